package seal

import (
	"crypto/ed25519"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tideline/engine/seal/canon"
	"tideline/engine/seal/edition1"
)

// Folder is a folder with sealed decisions, each in a file of its own: CASE-0001.json, CASE-0002.json and so on.
type Folder struct {
	Path string
	disk disk
}

// In gives the folder at a path of the machine.
func In(path string) *Folder { return &Folder{path, machine{}} }

// Link is one decision of a chain: a file, and what is wrong with it as a link.
type Link struct {
	File   string // its name in the folder
	Number int
	Sum    string // its hash, "" when that could not be reckoned
	At     string // when it was sealed
	Signer string
	Breaks []Break
}

// BreakKind is a way in which a chain is broken.
type BreakKind string

// The kinds.
const (
	Unreadable  BreakKind = "cannot be read"
	NotSealed   BreakKind = "not a sealed decision"
	Altered     BreakKind = "altered"
	BadlySigned BreakKind = "signature does not fit"
	Renamed     BreakKind = "renamed"      // it says itself to be of another case or number
	Missing     BreakKind = "missing link" // no file of that number, though later ones are there
	Parted      BreakKind = "parted"       // it does not follow the file before it
	Untrusted   BreakKind = "not signed by a trusted key"
	NoWitness   BreakKind = "number not found" // the number on the owner's sheet is of no link
)

// Break is one thing wrong with a link.
type Break struct {
	Kind   BreakKind
	File   string
	Detail string // what was found, where that helps
}

var (
	caseName = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9._-]*$`)
	linkName = regexp.MustCompile(`^([A-Za-z0-9][A-Za-z0-9._-]*)-(\d{4,7})\.json$`)
)

// maxCase is how long the name of a case may be, so that every system can have such files.
const maxCase = 100

// CheckCase tells whether a case can be called so.
func CheckCase(name string) error {
	if !caseName.MatchString(name) || len(name) > maxCase {
		return fmt.Errorf("%q cannot name a case: use up to %d letters a to z, digits, dots, dashes and underscores, the first a letter or digit", name, maxCase)
	}
	return nil
}

// FileName is the name of the file of a decision.
func FileName(name string, number int) string { return fmt.Sprintf("%s-%04d.json", name, number) }

// ParseName takes the name of a decision's file apart.
func ParseName(file string) (name string, number int, ok bool) {
	m := linkName.FindStringSubmatch(file)
	if m == nil {
		return "", 0, false
	}
	number, err := strconv.Atoi(m[2])
	return m[1], number, err == nil && number > 0 && FileName(m[1], number) == file && len(m[1]) <= maxCase
}

// Cases lists the cases of the folder, with the numbers of their files, and the files that were never finished.
func (f *Folder) Cases() (cases map[string][]int, unfinished []string, err error) {
	d, err := os.Open(f.Path)
	if err != nil {
		return nil, nil, err
	}
	defer d.Close()
	cases = map[string][]int{}
	for {
		names, err := d.Readdirnames(1000)
		for _, n := range names {
			if name, number, ok := ParseName(n); ok {
				cases[name] = append(cases[name], number)
			} else if isAside(n) {
				unfinished = append(unfinished, n)
			}
		}
		if err == io.EOF {
			break
		} else if err != nil {
			return nil, nil, err
		}
	}
	for _, numbers := range cases {
		slices.Sort(numbers)
	}
	slices.Sort(unfinished)
	return cases, unfinished, nil
}

// UnfinishedOf gives those of the unfinished files that were to be of a case.
func UnfinishedOf(name string, unfinished []string) []string {
	var mine []string
	for _, u := range unfinished {
		file, _, _ := strings.Cut(strings.TrimPrefix(u, "."), asideMark)
		if of, _, ok := ParseName(file); ok && of == name {
			mine = append(mine, u)
		}
	}
	return mine
}

// Chain reads the chain of a case and tells of every link whether it is as it was sealed and where it belongs. visit, if
// any, is given each file that could be taken apart, in order; it must not keep the body.
func (f *Folder) Chain(name string, numbers []int, visit func(Link, *Sealed)) []Link {
	var links []Link
	previous, known := "", true
	next := 1
	for _, n := range numbers {
		if n > next {
			links, known = append(links, gap(name, next, n-1)), false
		}
		next = n + 1
		l, s := f.link(name, n)
		whole := s != nil && s.Sum == s.Claimed
		if whole && known && s.Previous != previous {
			l.Breaks = append(l.Breaks, Break{Parted, l.File, follows(s.Previous, previous)})
		}
		if s != nil && visit != nil {
			visit(l, s)
		}
		links = append(links, l)
		if previous, known = "", s != nil; known {
			previous = s.Claimed // what follows an altered link follows it as it was sealed
		}
	}
	return links
}

// gap is the place of links that are missing, from one number to another. However many they are, it is one link.
func gap(name string, from, to int) Link {
	b := Break{Kind: Missing, File: FileName(name, from)}
	if to > from {
		b.Detail = "and all up to " + FileName(name, to)
	}
	return Link{File: b.File, Number: from, Breaks: []Break{b}}
}

// follows says which seal a link names before it, and which stands there.
func follows(says, stands string) string {
	say := func(sum string) string {
		if sum == "" {
			return "none"
		}
		return Number(sum)
	}
	return fmt.Sprintf("it follows %s, and before it stands %s", say(says), say(stands))
}

// link reads one file.
func (f *Folder) link(name string, number int) (Link, *Sealed) {
	l := Link{File: FileName(name, number), Number: number}
	data, err := Read(filepath.Join(f.Path, l.File))
	if err != nil {
		l.Breaks = []Break{{Unreadable, l.File, plain(err).Error()}}
		return l, nil
	}
	s, err := Open(data)
	if s != nil {
		l.Sum, l.At, l.Signer = s.Sum, s.At, s.Signer
	}
	switch {
	case errors.Is(err, ErrAltered):
		l.Breaks = append(l.Breaks, Break{Kind: Altered, File: l.File})
		return l, s
	case s == nil:
		l.Breaks = append(l.Breaks, Break{Kind: NotSealed, File: l.File})
		return l, nil
	case err != nil:
		l.Breaks = append(l.Breaks, Break{BadlySigned, l.File, err.Error()})
	}
	if s.Case != name || s.Number != strconv.Itoa(number) {
		l.Breaks = append(l.Breaks, Break{Renamed, l.File, fmt.Sprintf("it says of itself that it is number %s of the case %s", s.Number, s.Case)})
	}
	return l, s
}

// Read reads a sealed file, at most [MaxBytes].
func Read(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	switch {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, errors.New("it is a folder")
	case !info.Mode().IsRegular():
		return nil, errors.New("it is no plain file")
	case info.Size() > MaxBytes:
		return nil, fmt.Errorf("it is larger than %d MiB", MaxBytes>>20)
	}
	data := make([]byte, info.Size())
	n, err := io.ReadFull(f, data)
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		err = nil // it became shorter meanwhile
	}
	return data[:n], err
}

// Make makes the folder, with those above it, and brings each to the disk, unless they are there.
func (f *Folder) Make() error {
	if there, err := f.disk.Exists(f.Path); there || err != nil {
		return err
	}
	above := &Folder{filepath.Dir(f.Path), f.disk}
	if above.Path != f.Path {
		if err := above.Make(); err != nil {
			return err
		}
	}
	if err := os.Mkdir(f.Path, 0o777); err != nil && !errors.Is(err, fs.ErrExist) { // another run may have been faster
		return err
	}
	return f.disk.SyncDir(above.Path)
}

// BrokenChain is a chain that is not added to before someone has looked at it.
type BrokenChain struct{ Breaks []Break }

// Error names the first break.
func (b BrokenChain) Error() string {
	first := b.Breaks[0]
	return fmt.Sprintf("%s: %s", first.File, first.Kind)
}

// Busy says that other runs kept sealing the same case.
var errBusy = errors.New("other runs keep sealing this case; seal again when they are done")

// Added is what came of sealing.
type Added struct {
	Link
	// Meanwhile are the numbers of decisions that other runs sealed for this case while this one was at work.
	Meanwhile []int
}

// Add seals a body as the next decision of its case, with a key or nil. It sets the body's number, the hash before it and
// the signer. When another run has taken the number meanwhile, it follows that one, and says so. An error that is
// [Unconfirmed] comes with the link: the decision is sealed then.
func (f *Folder) Add(b *edition1.Body, key ed25519.PrivateKey) (Added, error) {
	var added Added
	b.Signer = signer(key)
	for range 100 {
		last, err := f.last(b.Case)
		if err != nil {
			return added, err
		}
		b.Number, b.Previous = strconv.Itoa(last.Number+1), last.Sum
		body, err := canon.Encode(b)
		if err != nil {
			return added, err
		}
		sum := hash(body)
		name := FileName(b.Case, last.Number+1)
		err = put(f.disk, f.Path, name, frame(body, sign(key, sum)), 0o444)
		switch {
		case err == nil, errors.As(err, &Unconfirmed{}):
			added.Link = Link{File: name, Number: last.Number + 1, Sum: sum, At: b.At, Signer: b.Signer}
			return added, err
		case !errors.Is(err, fs.ErrExist):
			return added, err
		}
		added.Meanwhile = append(added.Meanwhile, last.Number+1)
	}
	return added, errBusy
}

// complete adds the numbers that a listing missed because their files came while it was made.
func (f *Folder) complete(name string, listed []int) []int {
	var all []int
	for _, n := range listed {
		for next := len(all) + 1; next < n; next++ {
			if there, err := f.disk.Exists(filepath.Join(f.Path, FileName(name, next))); err != nil || !there {
				return listed
			}
			all = append(all, next)
		}
		all = append(all, n)
	}
	return all
}

// last gives the last link of a chain that is whole, the zero link of one that is empty.
func (f *Folder) last(name string) (Link, error) {
	cases, _, err := f.Cases()
	if err != nil {
		return Link{}, err
	}
	var last Link
	for _, l := range f.Chain(name, f.complete(name, cases[name]), nil) {
		if len(l.Breaks) > 0 {
			return Link{}, BrokenChain{l.Breaks}
		}
		last = l
	}
	return last, nil
}
