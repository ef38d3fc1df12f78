package main

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"tideline/explain/data"
	"tideline/explain/guide"
)

func newPackGuide(a *app) *cobra.Command {
	var html bool
	var out string
	c := &cobra.Command{
		Use:   "guide [--html] [--out FILE] [--pack FILE|DIR]...",
		Short: "Prints packs as a handbook to read",
		Long: `Prints what the packs hold as a handbook: each treatment with its dangers, what
calls for it, what rules it out, what must come first, the tests to do first, the
arguments, settings and stop signs; every rule with its condition, reason and
sources; then the tests, facts, principles, criteria, aims and sources.

It is Markdown, or with --html one page that needs nothing else: it can be
searched, printed, and read without a network. Everything in it has an anchor of
its own: #treatment-ID, #rule-ID, #test-ink.wet, #source-ID.

With --out it goes to a file, which is replaced only once the whole is written.`,
		Example: "  tideline pack guide\n  tideline pack guide --html --out /tmp/handbook.html",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if html && a.json {
				return wrongUse{errors.New("--html and --json were given together; give one of them")}
			}
			p, err := a.loadPack()
			if err != nil {
				return err
			}
			s, err := a.guide(guide.New(p), html)
			if err != nil {
				return internal{err}
			}
			if out == "" || out == "-" {
				return a.write(s)
			}
			if err := replaceFile(out, []byte(s)); err != nil {
				return err
			}
			fmt.Fprintf(a.stderr, "written to %s\n", out)
			return nil
		},
	}
	c.Flags().BoolVar(&html, "html", false, "print one self-contained HTML page instead of Markdown")
	c.Flags().StringVar(&out, "out", "", "write to `FILE` instead of standard output")
	return c
}

// guide writes a handbook in the form asked for.
func (a *app) guide(g *guide.Guide, html bool) (string, error) {
	switch {
	case a.json:
		b, err := data.Encode(g)
		return string(b), err
	case html:
		return g.HTML()
	}
	return g.Markdown(), nil
}

// replaceFile puts a whole file in the place of the one at path, or leaves that as it was. What is no plain file, such as
// a folder or a device, is not replaced; a link is followed.
func replaceFile(path string, content []byte) error {
	mode := fs.FileMode(0o666) // less what the system takes away
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	switch info, err := os.Stat(path); {
	case err == nil && info.IsDir():
		return badInput{fmt.Errorf("%s is a folder. Give --out a file, for example %s.", path, filepath.Join(path, "handbook.html"))}
	case err == nil && !info.Mode().IsRegular():
		return badInput{fmt.Errorf("%s is no plain file, and is not replaced. Without --out the result goes to standard output.", path)}
	case err == nil:
		mode = info.Mode().Perm()
	}
	part := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+"."+rand.Text()[:8])
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return badInput{fmt.Errorf("%s cannot be written: %v. Nothing was changed.", path, plainCause(err))}
	}
	if err := fill(f, content); err != nil {
		os.Remove(part)
		return internal{fmt.Errorf("write %s: %w", path, plainCause(err))}
	}
	if err := os.Rename(part, path); err != nil {
		os.Remove(part)
		return internal{fmt.Errorf("write %s: %w", path, plainCause(err))}
	}
	return nil
}

// fill writes a file down to the disk and closes it.
func fill(f *os.File, content []byte) error {
	_, err := f.Write(content)
	return errors.Join(err, f.Sync(), f.Close())
}

// plainCause leaves out the name of the file written aside, which means nothing to anyone.
func plainCause(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err
	}
	return err
}
