package audit

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal"
	"tideline/engine/seal/canon"
	"tideline/engine/seal/edition1"
	"tideline/engine/verify"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/yamlfile"
)

// again judges the sealed record by the sealed packs.
func (a *Auditor) again(b *edition1.Body) (*judge.Judgement, []pack.Layer, error) {
	if len(b.Record.Text) > yamlfile.MaxBytes {
		return nil, nil, errors.New("its record is larger than a record can be")
	}
	layers, err := seal.Layers(b)
	if err != nil {
		return nil, nil, err
	}
	p, err := a.packs.load(layers)
	if err != nil {
		return nil, nil, fmt.Errorf("its packs cannot be read any more: %w", err)
	}
	g, err := a.judgeText(p, b.Record.Name, b.Record.Text, b.On)
	return g, layers, err
}

// judgeText judges the text of a record for a day.
func (a *Auditor) judgeText(p *pack.Pack, name, text, on string) (*judge.Judgement, error) {
	day, err := time.Parse(time.DateOnly, on)
	if err != nil {
		return nil, fmt.Errorf("the day judged for is %q, which is no date", on)
	}
	faults := &fault.List{}
	book := record.Parse(name, []byte(text), record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		return nil, fmt.Errorf("the record cannot be read: %w", err)
	}
	g, err := a.judge(evidence.Gather(p, book, day))
	if err != nil {
		return nil, fmt.Errorf("the packs cannot be judged by: %w", err)
	}
	return g, nil
}

// replay compares what is judged again with what was sealed.
func (a *Auditor) replay(s *seal.Sealed, b *edition1.Body, g *judge.Judgement, layers []pack.Layer) (r Replay, err error) {
	now, err := seal.New(g, seal.Sources{RecordName: b.Record.Name, RecordText: []byte(b.Record.Text), Layers: layers})
	if err != nil {
		return r, err
	}
	now.Case, now.Number, now.Previous, now.At, now.Signer = b.Case, b.Number, b.Previous, b.At, b.Signer
	now.Plan, now.Decision = b.Plan, b.Decision
	if now.Judge != b.Judge {
		r.Judge, now.Judge = b.Judge, b.Judge
	}
	data, err := canon.Encode(now)
	if err != nil {
		return r, err
	}
	if r.Same = bytes.Equal(data, s.Body); r.Same {
		return r, nil
	}
	if r.Reading, err = differ(now.Record, b.Record); err != nil {
		return r, err
	}
	r.Moved, err = a.moved(b, now, g)
	return r, err
}

// differ tells whether two values have different canonical forms.
func differ(a, b any) (bool, error) {
	x, err := canon.Encode(a)
	if err != nil {
		return false, err
	}
	y, err := canon.Encode(b)
	return !bytes.Equal(x, y), err
}

type place struct{ treatment, on string }

// moved finds the verdicts that differ in anything, their proofs included, and has both proofs checked.
func (a *Auditor) moved(then, now *edition1.Body, g *judge.Judgement) ([]Moved, error) {
	if len(then.Verdicts) > len(g.Case.Pack.Treatments)*len(g.Case.Things) {
		return nil, errors.New("it holds more verdicts than there can be on this book")
	}
	old, err := byPlace(then)
	if err != nil {
		return nil, err
	}
	today, err := byPlace(now)
	if err != nil {
		return nil, err
	}
	checker := verify.New(g)
	var list []Moved
	add := func(w edition1.Verdict, m Moved) {
		m.Treatment, m.Name, m.On = w.Treatment, w.Name, w.On
		list = append(list, m)
	}
	seen := map[place]bool{}
	for _, w := range then.Verdicts {
		at := place{w.Treatment, w.On}
		seen[at] = true
		is, there := today[at]
		if there && is == old[at] {
			continue
		}
		m := Moved{Was: w.Verdict, Then: checkSealed(checker, then, g, w), Today: Check{Holds: false, Why: notConsidered}}
		if v := g.Of(w.Treatment, w.On); v != nil {
			m.Is, m.Today = string(v.Word), check(checker, g.Prove(v))
		}
		add(w, m)
	}
	for _, w := range now.Verdicts {
		if !seen[place{w.Treatment, w.On}] {
			add(w, Moved{Is: w.Verdict, Then: Check{Why: notConsidered}, Today: check(checker, g.Prove(g.Of(w.Treatment, w.On)))})
		}
	}
	return list, nil
}

const notConsidered = "the treatment is not considered there"

func check(c *verify.Checker, p *judge.VerdictProof) Check {
	if _, err := c.Check(p); err != nil {
		return Check{Why: err.Error()}
	}
	return Check{Holds: true}
}

func checkSealed(c *verify.Checker, b *edition1.Body, g *judge.Judgement, w edition1.Verdict) Check {
	p, err := unseal(b, g, w)
	if err != nil {
		return Check{Why: err.Error()}
	}
	return check(c, p)
}

// Limits far above any proof: how many steps one may come to, written out, and how deep they may stand.
const (
	mostSteps = 20_000_000
	mostDepth = 1000
)

// digests names proof steps by all they say and rest on. A step may rest only on steps before it, and all together may not
// come to more than a machine can go through: a file from a stranger cannot hang the program.
type digests struct {
	names         []string
	sizes, depths []int
}

func digestsOf(steps []edition1.ProofStep) (*digests, error) {
	d := &digests{}
	for _, s := range steps {
		size, depth := 1, 1
		for _, ref := range s.Kids {
			if n, err := strconv.Atoi(ref); err == nil && n >= 0 && n < len(d.sizes) {
				size, depth = size+d.sizes[n], max(depth, 1+d.depths[n])
			}
		}
		if size > mostSteps || depth > mostDepth {
			return nil, errors.New("a proof in it comes to more steps than can be followed")
		}
		var err error
		if s.Kids, err = d.of(s.Kids); err != nil {
			return nil, err
		}
		data, err := canon.Encode(s)
		if err != nil {
			return nil, err
		}
		d.names = append(d.names, fmt.Sprintf("%x", sha256.Sum256(data)))
		d.sizes, d.depths = append(d.sizes, size), append(d.depths, depth)
	}
	return d, nil
}

// of puts the names of steps in the place of references to them.
func (d *digests) of(refs []string) ([]string, error) {
	out := slices.Clone(refs)
	for i, ref := range refs {
		n, err := strconv.Atoi(ref)
		if err != nil || n < 0 || n >= len(d.names) {
			return nil, fmt.Errorf("a proof in it rests on step %q, which does not stand before it", ref)
		}
		out[i] = d.names[n]
	}
	return out, nil
}

// byPlace gives each verdict with its whole proof as one text, in which proof steps stand by what they say and not by
// their place in the list.
func byPlace(b *edition1.Body) (map[place]string, error) {
	d, err := digestsOf(b.Steps)
	if err != nil {
		return nil, err
	}
	all := map[place]string{}
	for _, v := range b.Verdicts {
		if err := d.verdict(&v); err != nil {
			return nil, err
		}
		data, err := canon.Encode(v)
		if err != nil {
			return nil, err
		}
		all[place{v.Treatment, v.On}] = string(data)
	}
	return all, nil
}

// verdict puts the names of steps into a copy of a verdict.
func (d *digests) verdict(v *edition1.Verdict) (err error) {
	v.NeededBy, v.NotNeededBy = slices.Clone(v.NeededBy), slices.Clone(v.NotNeededBy)
	lists := []*[]string{&v.RulesOut, &v.CalledBy, &v.Needs, &v.For, &v.Against, &v.Cautions}
	for _, needers := range [][]edition1.Needer{v.NeededBy, v.NotNeededBy} {
		for i := range needers {
			lists = append(lists, &needers[i].Reasons)
		}
	}
	for _, list := range lists {
		if *list, err = d.of(*list); err != nil {
			return err
		}
	}
	if v.Cases != "" {
		cases, err := d.of([]string{v.Cases})
		if err != nil {
			return err
		}
		v.Cases = cases[0]
	}
	return nil
}
