package main

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/rogpeppe/go-internal/txtar"

	"tideline/engine/record"
	"tideline/rules/fault"
)

var update = flag.Bool("update", false, "write the outputs that tests compare with anew")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"tideline": main})
}

// mayUpdate refuses to write expected outputs where nobody would read them.
func mayUpdate(t *testing.T) bool {
	t.Helper()
	if *update && os.Getenv("CI") != "" {
		t.Fatal("-update is refused when CI is set: look at what changed, and commit it by hand")
	}
	return *update
}

// scripts lists the folders of scripts, one for each command.
func scripts(t *testing.T) []string {
	t.Helper()
	folders, err := filepath.Glob("../../testdata/script/*")
	if err != nil || len(folders) == 0 {
		t.Fatalf("no folders of scripts: %v", err)
	}
	return folders
}

// TestScripts runs every script under testdata/script: the real program, told as a job.
func TestScripts(t *testing.T) {
	packs, err := filepath.Abs("../../testdata/packs")
	if err != nil {
		t.Fatal(err)
	}
	books, err := filepath.Abs("../../testdata/books")
	if err != nil {
		t.Fatal(err)
	}
	for _, folder := range scripts(t) {
		t.Run(filepath.Base(folder), func(t *testing.T) {
			testscript.Run(t, testscript.Params{
				Dir: folder, RequireExplicitExec: true, RequireUniqueNames: true, UpdateScripts: mayUpdate(t),
				Setup: func(e *testscript.Env) error {
					e.Setenv("LANG", "C.UTF-8")
					e.Setenv("TINY", filepath.Join(packs, "tiny.yaml"))
					e.Setenv("BOOKS", books)
					return nil
				},
			})
		})
	}
}

// TestScriptBooksLoad reads every book of every script under the pack the scripts use: a script whose book no longer
// loads would test nothing. Those meant to be bad say so in their names.
func TestScriptBooksLoad(t *testing.T) {
	a := &app{packs: []string{"../../testdata/packs/tiny.yaml"}}
	p, err := a.loadPack()
	if err != nil {
		t.Fatal(err)
	}
	read := 0
	for _, folder := range scripts(t) {
		files, _ := filepath.Glob(filepath.Join(folder, "*.txtar"))
		for _, name := range files {
			archive, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range archive.Files {
				if !strings.HasSuffix(f.Name, "book.yaml") {
					continue
				}
				read++
				faults := &fault.List{}
				record.Parse(f.Name, f.Data, record.WordsOf(p), noDay, faults)
				if bad := strings.HasPrefix(f.Name, "bad-"); bad != (faults.Len() > 0) {
					t.Errorf("%s: %s has %d faults, and bad is %v: %v", name, f.Name, faults.Len(), bad, faults.Err())
				}
			}
		}
	}
	if read == 0 {
		t.Fatal("no script holds a book")
	}
}
