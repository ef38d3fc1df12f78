package seal

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// disk is what sealing asks of the machine. Tests put one in that fails.
type disk interface {
	Create(path string, mode fs.FileMode) (file, error) // fails if it is there
	Link(from, to string) error                         // fails if to is there
	Rename(from, to string) error
	Exists(path string) (bool, error)
	Remove(path string) error
	SyncDir(path string) error
}

// file is a file being written.
type file interface {
	io.Writer
	Sync() error
	Close() error
}

// machine is the disk of the machine.
type machine struct{}

func (machine) Create(path string, mode fs.FileMode) (file, error) {
	return os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
}
func (machine) Link(from, to string) error   { return os.Link(from, to) }
func (machine) Rename(from, to string) error { return os.Rename(from, to) }
func (machine) Remove(path string) error     { return os.Remove(path) }

func (machine) Exists(path string) (bool, error) {
	_, err := os.Lstat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

func (machine) SyncDir(path string) error {
	if runtime.GOOS == "windows" {
		return nil // folders cannot be synced there
	}
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, errors.ErrUnsupported) || errors.Is(err, fs.ErrInvalid) {
		err = nil // nor on this kind of file system
	}
	return errors.Join(err, d.Close())
}

// Unconfirmed says that a file stands whole under its name, but the disk did not confirm that it will after a power cut.
type Unconfirmed struct{ Err error }

// Error tells it.
func (u Unconfirmed) Error() string {
	return fmt.Sprintf("it was written, but the disk did not confirm it: %v", plain(u.Err))
}

// Unwrap gives what the disk said.
func (u Unconfirmed) Unwrap() error { return u.Err }

// asideMark is in the name of a file that is still being written.
const asideMark = ".unfinished-"

// put makes a whole new file, or none. It is written aside, brought to the disk, and given its name in one move that fails
// with [fs.ErrExist] if the name is taken. Whenever it is killed, the name stands for the whole file or for nothing.
func put(d disk, dir, name string, data []byte, mode fs.FileMode) error {
	aside, f, err := createAside(d, dir, name, mode)
	if err != nil {
		return err
	}
	if err := fill(f, data); err != nil {
		return errors.Join(err, d.Remove(aside))
	}
	to := filepath.Join(dir, name)
	err = d.Link(aside, to)
	if err != nil && !errors.Is(err, fs.ErrExist) {
		if err = withoutLinks(d, aside, to); err == nil {
			return confirm(d, dir)
		}
	}
	if removed := d.Remove(aside); err != nil {
		return errors.Join(err, removed)
	}
	return confirm(d, dir)
}

func confirm(d disk, dir string) error {
	if err := d.SyncDir(dir); err != nil {
		return Unconfirmed{err}
	}
	return nil
}

// createAside makes the file that is written aside. One left behind by a run that was killed has another number.
func createAside(d disk, dir, name string, mode fs.FileMode) (path string, f file, err error) {
	for n := range 10000 {
		path = filepath.Join(dir, fmt.Sprintf(".%s%s%d-%d", name, asideMark, os.Getpid(), n))
		if f, err = d.Create(path, mode); !errors.Is(err, fs.ErrExist) {
			return path, f, err
		}
	}
	return path, nil, err
}

// fill writes a file down to the disk and closes it.
func fill(f file, data []byte) error {
	_, err := f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// withoutLinks gives the file its name where the system knows no hard links. A lock beside it keeps a second one out while
// the name is looked at and given.
func withoutLinks(d disk, aside, to string) error {
	lock := to + ".lock"
	f, err := d.Create(lock, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return Locked{lock}
	} else if err != nil {
		return err
	}
	err = f.Close()
	if taken, looked := d.Exists(to); err == nil && (taken || looked != nil) {
		err = looked
		if taken {
			err = fs.ErrExist
		}
	}
	if err == nil {
		err = d.Rename(aside, to)
	}
	if removed := d.Remove(lock); err == nil && removed != nil {
		return Unconfirmed{removed}
	}
	return err
}

// Locked is a name that another run is giving to its file, or was when it was killed.
type Locked struct{ Lock string }

// Error says what to do.
func (l Locked) Error() string {
	return fmt.Sprintf("another run is sealing this case, or was killed while it did; if none is running, remove %s and seal again", l.Lock)
}

// plain leaves out the name of the file written aside, which means nothing to anyone.
func plain(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}

// isAside tells whether a name is that of a file that was never finished.
func isAside(name string) bool {
	return strings.HasPrefix(name, ".") && strings.Contains(name, asideMark)
}
