package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestReplaceFile: a file is replaced whole, keeps what it allows to whom, and a failure leaves nothing behind.
func TestReplaceFile(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "handbook.md")
	for _, content := range []string{strings.Repeat("long ", 1000), "short"} {
		if err := replaceFile(path, []byte(content)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(path); err != nil || string(got) != content {
			t.Fatalf("%d bytes came of %d: %v", len(got), len(content), err)
		}
		if err := os.Chmod(path, 0o640); err != nil {
			t.Fatal(err)
		}
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("the mode is %v: %v", info.Mode(), err)
	}
	for _, bad := range []string{folder, filepath.Join(folder, "nowhere", "x.md"), filepath.Join(path, "x.md"), "/dev/null"} {
		if err := replaceFile(bad, []byte("new")); report(&strings.Builder{}, err) != exitInput {
			t.Errorf("%s: %v", bad, err)
		}
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) != 1 {
		t.Errorf("left behind: %v %v", left, err)
	}
}
