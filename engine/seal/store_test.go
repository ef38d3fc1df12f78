package seal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
)

// failing is a disk on which one thing fails.
type failing struct {
	machine
	what string
	err  error
}

func (d *failing) fail(what string) error {
	if what == d.what {
		return d.err
	}
	return nil
}

func (d *failing) Create(path string, mode fs.FileMode) (file, error) {
	if err := d.fail("create"); err != nil {
		return nil, &fs.PathError{Op: "open", Path: path, Err: err}
	}
	f, err := d.machine.Create(path, mode)
	return &failingFile{f, d}, err
}

func (d *failing) Link(from, to string) error {
	if err := d.fail("link"); err != nil {
		return &os.LinkError{Op: "link", Old: from, New: to, Err: err}
	}
	return d.machine.Link(from, to)
}

func (d *failing) Rename(from, to string) error {
	if err := d.fail("rename"); err != nil {
		return &os.LinkError{Op: "rename", Old: from, New: to, Err: err}
	}
	return d.machine.Rename(from, to)
}

func (d *failing) SyncDir(path string) error {
	if err := d.fail("sync folder"); err != nil {
		return &fs.PathError{Op: "sync", Path: path, Err: err}
	}
	return d.machine.SyncDir(path)
}

type failingFile struct {
	file
	d *failing
}

// Write writes half of it and fails, as a disk does that fills up.
func (f *failingFile) Write(b []byte) (int, error) {
	if err := f.d.fail("write"); err != nil {
		n, _ := f.file.Write(b[:len(b)/2])
		return n, err
	}
	return f.file.Write(b)
}

func (f *failingFile) Sync() error {
	return errors.Join(f.d.fail("sync"), f.file.Sync())
}

func (f *failingFile) Close() error {
	return errors.Join(f.d.fail("close"), f.file.Close())
}

// names lists a folder.
func names(t *testing.T, path string) []string {
	t.Helper()
	entries, err := os.ReadDir(path)
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return list
}

// TestDiskFails: whatever fails, what was there is as it was, nothing half is left under a name or aside, and the error says
// what the machine said. Only a disk that does not confirm leaves the whole seal there, and says that.
func TestDiskFails(t *testing.T) {
	for _, tt := range []struct {
		what string
		err  error
		// linkless: links are not known there either
		linkless, sealed bool
	}{
		{what: "create", err: syscall.EROFS},
		{what: "create", err: syscall.EACCES},
		{what: "create", err: syscall.ENOSPC},
		{what: "write", err: syscall.ENOSPC},
		{what: "write", err: syscall.EIO},
		{what: "sync", err: syscall.EIO},
		{what: "sync", err: syscall.ENOSPC},
		{what: "close", err: syscall.EDQUOT},
		{what: "rename", err: syscall.EIO, linkless: true},
		{what: "sync folder", err: syscall.EIO, sealed: true},
	} {
		t.Run(fmt.Sprintf("%s %v", tt.what, tt.err), func(t *testing.T) {
			f := seals(t, 1, nil)
			before := names(t, f.Path)
			d := &failing{what: tt.what, err: tt.err}
			f.disk = d
			if tt.linkless {
				f.disk = linkless{d}
			}
			added, err := f.Add(sample(t, false), nil)
			if !errors.Is(err, tt.err) {
				t.Fatalf("it says %v", err)
			}
			if unconfirmed := errors.As(err, &Unconfirmed{}); unconfirmed != tt.sealed || (added.File != "") != tt.sealed {
				t.Errorf("sealed %q, unconfirmed %v", added.File, unconfirmed)
			}
			want := before
			if tt.sealed {
				want = append(slices.Clone(before), FileName("tin-harbour", 2))
			}
			if got := names(t, f.Path); !slices.Equal(got, want) {
				t.Errorf("the folder holds %q, want %q", got, want)
			}
			f.disk = machine{}
			if added, err := f.Add(sample(t, false), nil); err != nil || added.Number != len(want)+1 {
				t.Errorf("sealing goes on: %d, %v", added.Number, err)
			}
		})
	}
}

// linkless is a disk that knows no hard links.
type linkless struct{ disk }

func (linkless) Link(from, to string) error {
	return &os.LinkError{Op: "link", Old: from, New: to, Err: syscall.EPERM}
}

// TestWithoutLinks: on such a disk a seal is made too, never over one that is there, and a lock left behind is told.
func TestWithoutLinks(t *testing.T) {
	f := In(t.TempDir())
	f.disk = linkless{machine{}}
	for n := 1; n <= 3; n++ {
		if added, err := f.Add(sample(t, false), nil); err != nil || added.Number != n {
			t.Fatalf("%d, %v", added.Number, err)
		}
	}
	if got := names(t, f.Path); len(got) != 3 {
		t.Errorf("the folder holds %q", got)
	}
	if err := put(f.disk, f.Path, FileName("tin-harbour", 1), []byte("other"), 0o444); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a name that is taken: %v", err)
	}
	lock := filepath.Join(f.Path, FileName("tin-harbour", 4)+".lock")
	overwrite(t, lock, nil)
	_, err := f.Add(sample(t, false), nil)
	if !errors.As(err, &Locked{}) || !strings.Contains(err.Error(), lock) {
		t.Errorf("a lock left behind: %v", err)
	}
	os.Remove(lock)
	if _, err := f.Add(sample(t, false), nil); err != nil {
		t.Errorf("the lock taken away: %v", err)
	}
}

// TestTogether: many seal one case at once, with links and without. Each gets a number of its own, the chain is whole, and
// whoever was overtaken is told by whom.
func TestTogether(t *testing.T) {
	for _, d := range []disk{machine{}, linkless{machine{}}} {
		f := In(t.TempDir())
		f.disk = d
		const runs, each = 6, 4
		var mu sync.Mutex
		taken, overtaken := map[int]bool{}, 0
		var all sync.WaitGroup
		for range runs {
			body := sample(t, false)
			all.Go(func() {
				for range each {
					added, err := f.Add(body, nil)
					for errors.As(err, &Locked{}) { // without links the other one is waited for
						added, err = f.Add(body, nil)
					}
					mu.Lock()
					if err != nil || taken[added.Number] {
						t.Errorf("number %d, %v", added.Number, err)
					}
					for _, n := range added.Meanwhile {
						if n >= added.Number {
							t.Errorf("%d says it was overtaken by %d", added.Number, n)
						}
					}
					overtaken += len(added.Meanwhile)
					taken[added.Number] = true
					mu.Unlock()
				}
			})
		}
		all.Wait()
		if len(taken) != runs*each {
			t.Errorf("%T: %d numbers for %d seals", d, len(taken), runs*each)
		}
		cases, unfinished, err := f.Cases()
		if err != nil || len(unfinished) > 0 {
			t.Errorf("%v, %q", err, unfinished)
		}
		for _, l := range f.Chain("tin-harbour", cases["tin-harbour"], nil) {
			if len(l.Breaks) > 0 {
				t.Errorf("%T: %+v", d, l.Breaks)
			}
		}
		t.Logf("%T: overtaken %d times", d, overtaken)
	}
}

// TestUnfinished: what a killed run left aside is found, belongs to its case, and is in nobody's way.
func TestUnfinished(t *testing.T) {
	f := seals(t, 1, nil)
	left := "." + FileName("tin-harbour", 2) + asideMark + fmt.Sprint(os.Getpid()) + "-0"
	overwrite(t, filepath.Join(f.Path, left), []byte(opening))
	_, unfinished, err := f.Cases()
	if err != nil || !slices.Equal(UnfinishedOf("tin-harbour", unfinished), []string{left}) || UnfinishedOf("tin", unfinished) != nil {
		t.Errorf("%q, %v", unfinished, err)
	}
	if added, err := f.Add(sample(t, false), nil); err != nil || added.Number != 2 {
		t.Errorf("%d, %v", added.Number, err)
	}
}

// TestListingMissesOne: a file that came while the folder was listed is looked for before a chain is called broken.
func TestListingMissesOne(t *testing.T) {
	f := seals(t, 3, nil)
	if got := f.complete("tin-harbour", []int{1, 3}); !slices.Equal(got, []int{1, 2, 3}) {
		t.Errorf("%v", got)
	}
	os.Remove(filepath.Join(f.Path, FileName("tin-harbour", 2)))
	if got := f.complete("tin-harbour", []int{1, 3}); !slices.Equal(got, []int{1, 3}) {
		t.Errorf("%v", got)
	}
}

// TestFullDevice: a device that is always full gives the machine's own word.
func TestFullDevice(t *testing.T) {
	f, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if err := fill(f, []byte("x")); !errors.Is(err, syscall.ENOSPC) {
		t.Errorf("%v", err)
	}
}
