package audit

import (
	"time"

	"tideline/engine/drift"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/seal"
	"tideline/engine/seal/edition1"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

// now judges with what holds today, and lists the verdicts that would be others, and what made them so where that is asked.
// It gives today's book too, nil where there is none.
func (a *Auditor) now(b *edition1.Body, again *judge.Judgement, sealed []pack.Layer) (n *Now, today *record.Book) {
	n = &Now{Record: a.Today.Record != nil, On: b.On}
	layers := a.layers(n, sealed)
	g := again
	if n.Record || !sameLayers(layers, sealed) {
		p, err := a.packs.load(layers)
		if err != nil {
			n.Fault = err.Error()
			return n, nil
		}
		name, text := b.Record.Name, b.Record.Text
		if n.Record {
			name, text, n.On = a.Today.Record.Name, a.Today.Record.Text, a.Today.Record.On
		}
		if g, err = a.judgeNow(p, name, text, n.On); err != nil {
			n.Fault = err.Error()
			return n, nil
		}
	}
	n.On = g.Case.On.Format(time.DateOnly)
	for _, l := range g.Case.Pack.Layers {
		n.Packs = append(n.Packs, l.Name)
	}
	if n.Record {
		today = g.Case.Book
	}
	if n.Moves = moves(b, g); len(n.Moves) > 0 && a.Causes {
		report, err := drift.Compare(again, g, a.driftOptions(b))
		if err != nil {
			n.Fault = err.Error()
		}
		n.Drift = report
	}
	return n, today
}

// driftOptions say what the seal knows of the old side: its verdicts, and their proofs.
func (a *Auditor) driftOptions(b *edition1.Body) drift.Options {
	o := drift.Options{Sealed: map[drift.Key]judge.Word{}}
	sealed := map[drift.Key]edition1.Verdict{}
	for _, w := range b.Verdicts {
		k := drift.Key{Treatment: w.Treatment, Path: w.On}
		o.Sealed[k], sealed[k] = judge.Word(w.Verdict), w
	}
	o.Proof = func(g *judge.Judgement, k drift.Key) *judge.VerdictProof {
		w, ok := sealed[k]
		if !ok {
			return nil
		}
		p, err := unseal(b, g, w)
		if err != nil {
			return nil // the audit tells what it names that is not there: see Replay
		}
		return p
	}
	return o
}

// judgeNow judges a record for a day; "record" is the last day it mentions.
func (a *Auditor) judgeNow(p *pack.Pack, name, text, on string) (*judge.Judgement, error) {
	if on != "record" {
		return a.judgeText(p, name, text, on)
	}
	faults := &fault.List{}
	book := record.Parse(name, []byte(text), record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return a.judge(evidence.Gather(p, book, time.Time{}))
}

// layers gives today's packs. Unless they were given whole, packs that the seal lays over the one that is shipped are kept
// as they were sealed.
func (a *Auditor) layers(n *Now, sealed []pack.Layer) []pack.Layer {
	layers := a.Today.Layers
	if !a.Today.Given && len(layers) == 1 {
		for i, l := range sealed {
			if i > 0 {
				layers = append(layers[:len(layers):len(layers)], l)
				n.Kept = append(n.Kept, l.Name)
			}
		}
	}
	return layers
}

func sameLayers(a, b []pack.Layer) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if seal.PackHash(a[i]) != seal.PackHash(b[i]) {
			return false
		}
	}
	return true
}

// moves lists the verdicts that are others than those sealed.
func moves(b *edition1.Body, g *judge.Judgement) []Could {
	var list []Could
	seen := map[place]bool{}
	for _, w := range b.Verdicts {
		seen[place{w.Treatment, w.On}] = true
		is := ""
		if v := g.Of(w.Treatment, w.On); v != nil {
			is = string(v.Word)
		}
		if is != w.Verdict {
			list = append(list, Could{w.Treatment, w.Name, w.On, w.Verdict, []string{is}})
		}
	}
	for _, v := range g.Verdicts {
		if at := (place{v.Treatment.ID, v.Target.Path}); !seen[at] {
			list = append(list, Could{at.treatment, v.Treatment.Name, at.on, "", []string{string(v.Word)}})
		}
	}
	return list
}
