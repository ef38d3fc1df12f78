package audit

import (
	"errors"
	"fmt"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal"
	"tideline/engine/seal/canon"
	"tideline/engine/seal/edition1"
	"tideline/rules/pack"
)

// Options say what a sealed decision is held against.
type Options struct {
	Trust   string // a public key in hex: every decision must be signed with it; "" for none
	Witness string // the number on the owner's sheet, as [seal.Number] writes it; "" for none
	Today   *Today // nil: what would be decided now is not looked at
	Causes  bool   // find what made each verdict another that would be decided otherwise now
}

// Today is what holds now.
type Today struct {
	Layers []pack.Layer // whole; the lowest first
	// Given tells that the layers are all there are. Otherwise packs that the seal lays over the lowest are kept from it.
	Given bool
	// Record is the book's record as it is now, nil to judge the sealed one, for the day it was judged for.
	Record *Record
}

// Record is the text of a book's record, and the day to judge it for.
type Record struct{ Name, Text, On string }

// Auditor audits cases, several at once if need be. They share the packs they were sealed by.
type Auditor struct {
	Options
	packs compiled
	judge func(*evidence.Case) (*judge.Judgement, error) // a test puts one in that errs
}

// New makes an auditor.
func New(o Options) *Auditor { return &Auditor{Options: o, judge: judge.Judge} }

// Case audits the chain of a case, and all its decisions, or one: only is its number, 0 for all.
func (a *Auditor) Case(folder *seal.Folder, name string, numbers []int, only int) *Report {
	r := &Report{Folder: folder.Path, Case: name}
	c := &chain{a: a, r: r, only: only}
	r.Links = folder.Chain(name, numbers, c.visit)
	c.finish(nil)
	a.trust(r)
	a.witness(r)
	r.Result = Sound
	for _, d := range r.Decisions {
		r.Result = Worse(r.Result, d.Result)
	}
	if len(r.Breaks()) > 0 || len(r.Decisions) == 0 {
		r.Result = Broken
	}
	return r
}

// trust holds every link against the key to trust.
func (a *Auditor) trust(r *Report) {
	r.Trusted = a.Trust != "" && len(r.Links) > 0
	for i := range r.Links {
		l := &r.Links[i]
		if a.Trust == "" || l.Signer == a.Trust {
			continue
		}
		detail := "it is not signed"
		if l.Signer != "" {
			detail = "it is signed with " + l.Signer
		}
		if r.Trusted = false; len(l.Breaks) > 0 && l.At == "" {
			continue // who signed it cannot be told
		}
		l.Breaks = append(l.Breaks, seal.Break{Kind: seal.Untrusted, File: l.File, Detail: detail})
	}
}

// witness looks for the link that has the number on the owner's sheet.
func (a *Auditor) witness(r *Report) {
	if a.Witness == "" || len(r.Links) == 0 {
		return
	}
	for _, l := range r.Links {
		if seal.Number(l.Sum) == a.Witness && !slices.ContainsFunc(l.Breaks, func(b seal.Break) bool { return b.Kind == seal.Altered }) {
			r.Witnessed = l.Number
			return
		}
	}
	last := &r.Links[len(r.Links)-1]
	last.Breaks = append(last.Breaks, seal.Break{Kind: seal.NoWitness, File: last.File, Detail: a.Witness})
}

// chain goes along a chain, one decision behind: what became of a decision stands in the record of the next.
type chain struct {
	a       *Auditor
	r       *Report
	only    int
	waiting *waiting
}

// waiting is a decision that was replayed and waits for the next one.
type waiting struct {
	d    *Decision
	body *edition1.Body
	g    *judge.Judgement // nil when it could not be judged again
	// today is the book by today's record, nil when none was given or it cannot be read.
	today *record.Book
}

func (c *chain) visit(l seal.Link, s *seal.Sealed) {
	wanted := c.only == 0 || c.only == l.Number
	if !wanted && c.waiting == nil {
		return
	}
	d := &Decision{Link: l, Edition: s.Edition}
	body, err := read(l, s)
	c.finish(body)
	if !wanted {
		return
	}
	c.r.Decisions = append(c.r.Decisions, d)
	if err != nil {
		d.Replay.Fault, d.Result = err.Error(), NotJudged
		return
	}
	d.Title, d.On, d.Decided = body.Record.Title, body.On, body.Decision != nil
	c.waiting = c.a.start(d, s, body)
}

// Judge judges what a sealed decision was made from, by its own record, packs and day.
func (a *Auditor) Judge(s *seal.Sealed) (*edition1.Body, *judge.Judgement, error) {
	body, err := read(seal.Link{}, s)
	if err != nil {
		return nil, nil, err
	}
	g, _, err := a.again(body)
	return body, g, err
}

var errAltered = errors.New("it was altered, so what it says proves nothing")

// read reads the body of a sealed file.
func read(l seal.Link, s *seal.Sealed) (*edition1.Body, error) {
	for _, b := range l.Breaks {
		if b.Kind == seal.Altered {
			return nil, errAltered
		}
	}
	if s.Edition != edition1.Edition {
		return nil, fmt.Errorf("it is of edition %s, which a newer program wrote; this one reads edition %s", s.Edition, edition1.Edition)
	}
	b := &edition1.Body{}
	if err := canon.Decode(s.Body, b); err != nil {
		return nil, fmt.Errorf("it is not written as edition %s is: %w", s.Edition, err)
	}
	return b, nil
}

// start replays a decision, and looks at it with today's packs.
func (a *Auditor) start(d *Decision, s *seal.Sealed, b *edition1.Body) *waiting {
	w := &waiting{d: d, body: b}
	g, layers, err := a.again(b)
	if err != nil {
		d.Replay.Fault = err.Error()
		return w
	}
	if d.Replay, err = a.replay(s, b, g, layers); err != nil {
		d.Replay.Fault = err.Error()
		return w
	}
	w.g = g
	if a.Today != nil {
		d.Now, w.today = a.now(b, g, layers)
	}
	return w
}

// finish judges the soundness of the decision that waits, with the next one at hand, if there is one.
func (c *chain) finish(next *edition1.Body) {
	w := c.waiting
	c.waiting = nil
	if w == nil {
		return
	}
	if w.g != nil {
		c.a.sound(w, next)
	}
	w.d.Result = resultOf(w.d)
}

func resultOf(d *Decision) Result {
	switch {
	case len(d.Findings) > 0:
		return NotSound
	case d.Replay.Fault != "":
		return NotJudged
	case d.Now == nil || d.Now.Fault != "":
		return SoundThen
	case len(d.Now.Moves) > 0:
		return Otherwise
	}
	return Sound
}
