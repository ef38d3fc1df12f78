package numbers

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"tideline/engine/judge"
	"tideline/engine/seal"
	"tideline/engine/seal/canon"
)

// sealed gives the bytes of the body that a judgement is sealed as.
func sealed(g *judge.Judgement) ([]byte, error) {
	body, err := seal.New(g, seal.Sources{RecordName: "book.yaml", RecordText: []byte("x"), Layers: g.Case.Pack.Layers})
	if err != nil {
		return nil, err
	}
	return canon.Encode(body)
}

// replay measures whether what is judged again is sealed as the same bytes (R1): in another time zone, on one processor, and
// once more.
func (m *measure) replay() error {
	tried, others := 0, 0
	again := func(g *judge.Judgement) error {
		first, err := sealed(g)
		if err != nil {
			return err
		}
		for _, zone := range []*time.Location{time.UTC, time.FixedZone("far", 14*3600), time.FixedZone("west", -9*3600)} {
			second, err := elsewhere(zone, func() ([]byte, error) { return sealed(rejudge(g.Case.Pack, g.Case.Book)) })
			if err != nil {
				return err
			}
			if tried++; !bytes.Equal(first, second) {
				others++
			}
		}
		return nil
	}
	for _, g := range m.judged {
		if err := again(g); err != nil {
			return err
		}
	}
	for _, s := range m.small[:min(len(m.small), 200)] {
		if err := again(s.g); err != nil {
			return err
		}
	}
	m.row("replay bytes (R1)", "books and worlds judged and sealed again on this machine ("+runtime.GOOS+"/"+runtime.GOARCH+"), in other time zones, on one processor; other machines in their own runs",
		"identical", is(others == 0 && tried > 0), "%d of %d identical", tried-others, tried)
	return nil
}

// elsewhere does something in another time zone and on one processor.
func elsewhere(zone *time.Location, do func() ([]byte, error)) ([]byte, error) {
	local, processors := time.Local, runtime.GOMAXPROCS(1)
	time.Local = zone
	defer func() { time.Local = local; runtime.GOMAXPROCS(processors) }()
	return do()
}

// tampering measures whether every altered byte and every link taken out or put in another place is noticed (R2, R3). A tail
// cut off cannot be seen in the chain: it is found by the number on the owner's sheet.
func (m *measure) tampering() error {
	if len(m.small) == 0 {
		return nil
	}
	dir, err := os.MkdirTemp("", "tideline-numbers")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	const links = 4
	var files []string
	for range links {
		body, err := seal.New(m.small[0].g, seal.Sources{RecordName: "book.yaml", RecordText: []byte("x"), Layers: m.small[0].g.Case.Pack.Layers})
		if err != nil {
			return err
		}
		body.Case, body.At = "case", "2026-01-01T00:00:00Z"
		added, err := seal.In(dir).Add(body, nil)
		if err != nil {
			return err
		}
		files = append(files, filepath.Join(dir, added.File))
	}
	altered, missed, err := everyByte(files[0])
	if err != nil {
		return err
	}
	chains, unseen, tail, err := everyLink(dir, files)
	if err != nil {
		return err
	}
	m.row("tampering (R2, R3)", "every byte of a seal altered; every link but the last taken out, every two in each other's place; the last cut off is found by the number on the owner's sheet alone",
		"100 %", is(missed+unseen == 0 && tail), "%d of %d bytes, %d of %d chains; the tail by its number: %s", altered-missed, altered, chains-unseen, chains, map[bool]string{true: "yes", false: "no"}[tail])
	return nil
}

// everyByte alters each byte of a file in turn, and counts those that were not noticed.
func everyByte(path string) (altered, missed int, err error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return 0, 0, err
	}
	for i := range data {
		was := data[i]
		data[i] ^= 1
		if _, err := seal.Open(data); err == nil {
			missed++
		}
		data[i] = was
	}
	return len(data), missed, nil
}

// everyLink takes out and turns the links of a chain, and counts what was not noticed. tail tells whether the number of the
// last link is missing once it is cut off.
func everyLink(dir string, files []string) (chains, unseen int, tail bool, err error) {
	texts := make([][]byte, len(files))
	for i, f := range files {
		if texts[i], err = os.ReadFile(f); err != nil {
			return 0, 0, false, err
		}
		if err := os.Chmod(f, 0o600); err != nil {
			return 0, 0, false, err
		}
	}
	lay := func(order []int) ([]seal.Link, error) {
		for i, f := range files {
			os.Remove(f)
			if order[i] < 0 {
				continue
			}
			if err := os.WriteFile(f, texts[order[i]], 0o600); err != nil {
				return nil, err
			}
		}
		folder := seal.In(dir)
		cases, _, err := folder.Cases()
		return folder.Chain("case", cases["case"], nil), err
	}
	whole := make([]int, len(files))
	for i := range whole {
		whole[i] = i
	}
	links, err := lay(whole)
	if err != nil || broken(links) {
		return 0, 0, false, fmt.Errorf("a whole chain is called broken: %v %w", links, err)
	}
	number := seal.Number(links[len(links)-1].Sum)
	for i := range whole {
		for j := range i + 1 {
			order := append([]int{}, whole...)
			switch {
			case i == j && i == len(whole)-1:
				order[i] = -1
				links, err := lay(order)
				if err != nil {
					return 0, 0, false, err
				}
				tail = true
				for _, l := range links {
					tail = tail && !strings.EqualFold(seal.Number(l.Sum), number)
				}
				continue
			case i == j:
				order[i] = -1
			default:
				order[i], order[j] = order[j], order[i]
			}
			links, err := lay(order)
			if err != nil {
				return 0, 0, false, err
			}
			if chains++; !broken(links) {
				unseen++
			}
		}
	}
	return chains, unseen, tail, nil
}

func broken(links []seal.Link) bool {
	for _, l := range links {
		if len(l.Breaks) > 0 {
			return true
		}
	}
	return false
}
