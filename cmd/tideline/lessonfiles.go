package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"tideline/engine/lesson"
	"tideline/explain/data"
	"tideline/rules/fault"
	"tideline/rules/yamlfile"
)

// notesFile is where the notes of an apprentice are kept.
type notesFile struct {
	path string
	last []byte // what stood there when it was last read or written; nil when there was none
}

// openNotes reads notes; a file that is not there yet is empty ones. The file is not made before there is something to note.
func openNotes(path string) (*notesFile, *lesson.Notes, error) {
	own := path == ""
	if own {
		dir, err := os.UserConfigDir()
		if err != nil {
			return nil, nil, badInput{fmt.Errorf("where notes are kept on this machine cannot be found out: %w. Give a file with --notes.", err)}
		}
		path = filepath.Join(dir, "tideline", "lesson-notes.json")
	}
	f := &notesFile{path: path}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		if own { // its folder is made with the file
			return f, &lesson.Notes{}, nil
		}
		return f, &lesson.Notes{}, folderOf(path, "--notes")
	}
	faults := &fault.List{}
	f.last = yamlfile.Read(path, nil, faults)
	if faults.Len() == 0 && len(bytes.TrimSpace(f.last)) == 0 {
		faults.Add(fault.Fault{Where: fault.Place{File: path}, Summary: "the file is empty", Help: "Notes are never empty: something cut the file off. Move it away to begin anew, or put a copy back."})
	}
	if faults.Len() > 0 {
		return nil, nil, faults.Err()
	}
	notes := lesson.ParseNotes(path, f.last, faults)
	return f, notes, faults.Err()
}

// save puts notes in the place of those that stood there. It does not where others have come there meanwhile.
func (f *notesFile) save(n *lesson.Notes) error {
	content := n.Bytes()
	if bytes.Equal(content, f.last) {
		return nil
	}
	switch now, err := os.ReadFile(f.path); {
	case errors.Is(err, fs.ErrNotExist) && f.last == nil:
		if err := os.MkdirAll(filepath.Dir(f.path), 0o777); err != nil {
			return badInput{fmt.Errorf("%s cannot be written: %w. Give another file with --notes.", f.path, plainCause(err))}
		}
	case err != nil || !bytes.Equal(now, f.last):
		return badInput{fmt.Errorf("%s was changed by something else meanwhile, perhaps another lesson. It is left as it is; what was answered before this exercise is in it, or was.", f.path)}
	}
	if err := replaceFile(f.path, content); err != nil {
		return err
	}
	f.last = content
	return nil
}

// folderOf tells that the folder a new file is to go into is not there: a slip in the path, told before anything is asked.
func folderOf(path, flag string) error {
	if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
		return badInput{fmt.Errorf("%s %s: there is no folder %s to put it in. Make the folder, or give another file.", flag, path, filepath.Dir(path))}
	}
	return nil
}

// scoreFile is a CSV file to which score sheets are added; "" when none is wanted.
type scoreFile string

// read reads the sheets that stand in the file, nil where there is none yet. A file of something else is bad input: it is
// read before anything is asked, and again before it is replaced.
func (s scoreFile) read() ([]byte, error) {
	path := string(s)
	if path == "" {
		return nil, nil
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, folderOf(path, "--score")
	}
	faults := &fault.List{}
	old := yamlfile.Read(path, nil, faults)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	if len(old) > 0 && !strings.HasPrefix(strings.ReplaceAll(string(old), "\r\n", "\n"), string(data.CSV([][]string{data.ScoreHead}))) {
		return nil, badInput{fmt.Errorf("%s is no score sheet of this program: its first line is another. It is left as it is; give --score another file.", path)}
	}
	return old, nil
}

// add puts a sheet behind those that stand in the file.
func (s scoreFile) add(sheet *lesson.Sheet) error {
	if s == "" || len(sheet.Rows) == 0 {
		return nil
	}
	content, err := s.read()
	if err != nil {
		return err
	}
	if len(content) == 0 {
		content = data.CSV([][]string{data.ScoreHead})
	}
	if !bytes.HasSuffix(content, []byte("\n")) {
		content = append(content, '\n')
	}
	return replaceFile(string(s), append(content, data.Score(sheet)...))
}
