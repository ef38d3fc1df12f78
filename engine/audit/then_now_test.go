package audit

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/drift"
	"tideline/engine/judge"
	"tideline/engine/seal/edition1"
	"tideline/rules/pack"
)

// orderly is laid over the made-up pack: a limp cover is sized after it was rinsed, and since water may loosen the ink, the ink
// is tested again between the two.
const orderly = `pack: orderly
about: Steps in an order, over the made-up pack.
tests:
  part.limp: {asks: "Is it limp?", answer: yes/no, nature: treatable}
treatments:
  rinse: {name: rinse, of: part, family: rinsing, says: It is rinsed., serves: [clean], intervention: 1, retreatable: partly, sets: {part.stained: no}, makes stale: [ink.wet]}
  size: {name: size, of: part, family: fills, says: Size is brushed on., serves: [clean], intervention: 1, retreatable: yes, sets: {part.limp: no}, after: [rinse], stop signs: [The colour strays.]}
rules:
  rinse-stained: {treatment: rinse, called for when: part.stained, because: The stain goes on browning the paper., standing: house}
  rinse-helps: {treatment: rinse, for when: always, criterion: stability, weight: 3, because: It takes out dirt., standing: house}
  size-loose-ink: {treatment: size, each: ink, rules out when: ink.wet < 4, because: Size moves loose colour., standing: house}
  size-limp: {treatment: size, called for when: part.limp, because: Limp paper tears., standing: house}
  size-helps: {treatment: size, for when: always, criterion: stability, weight: 3, because: The sheet is firm., standing: house}
`

// TestCarriedOut: what was done is held against the plan that was accepted, by the record of the day it is audited.
func TestCarriedOut(t *testing.T) {
	layers := append(tinyLayer(t), pack.Layer{Name: "orderly", Files: []pack.File{{Name: "orderly.yaml", Data: []byte(orderly)}}})
	const accept = "decision: 1\naccepted: plan\nconsent: {by: x, date: 2025-10-13, form: letter}\n"
	const leave = "departures: [{step: size, on: cover, left: undone, because: it holds}]\n"
	again := "tests: [{test: ink.wet, on: cover/outside/red, date: 2025-10-16, grade: 5}]\n"
	done := func(lines ...string) string { return "done:\n  - {" + strings.Join(lines, "}\n  - {") + "}\n" }
	const (
		brush = "step: brush, on: cover/outside, date: 2025-10-13, result: as planned"
		rinse = "step: rinse, on: cover, date: 2025-10-14, result: as planned"
		size  = "step: size, on: cover, date: 2025-10-17, result: as planned"
	)
	limp := func(more string) string {
		return strings.Replace(book("5", "yes", more), "stained: yes", "stained: yes, limp: yes", 1)
	}
	for _, tt := range []struct {
		name, decision, later string
		want, notes           []string
	}{
		{"nothing done yet", accept, "", nil, nil},
		{"all as planned", accept, again + done(brush, rinse, size), nil, nil},
		{"without the test the plan has before it", accept, done(brush, rinse, size), []string{"not tested again size"}, nil},
		{"a step passed over", accept, again + done(brush, size), []string{"step skipped rinse"}, nil},
		{"a step that can still be done", accept, done(brush, rinse), nil, []string{"not done size"}},
		{"a step left for a reason", accept + leave, again + done(brush, rinse), nil, []string{"left of the plan size"}},
		{"stopped, and not said why", accept, again + done(brush, rinse, strings.Replace(size, "as planned", "stopped early", 1)), []string{"stopped, not said size"}, nil},
		{"stopped, and said why", accept, again + done(brush, rinse, strings.Replace(size, "as planned", "stopped early, note: colour strayed", 1)), nil, nil},
		{"before what the packs have before it", accept, done(brush, strings.Replace(size, "17", "13", 1), rinse), []string{"out of order size"}, nil},
		{"in another order, that nothing forbids", accept, again + done(rinse, size, strings.Replace(brush, "13", "18", 1)), nil, []string{"other order rinse", "other order size"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			first := sealing{layers: layers, book: limp(""), plan: true, decision: tt.decision}
			today := &Today{Layers: layers, Given: true, Record: &Record{Name: "today.yaml", Text: limp(tt.later), On: "2025-10-21"}}
			byRecord := audited(sealed(t, first), Options{Today: today}, 1).Decisions[0]
			bySeal := audited(sealed(t, first, sealing{layers: layers, book: limp(tt.later), on: "2025-10-21"}), Options{}, 1).Decisions[0]
			for i, d := range []*Decision{byRecord, bySeal} {
				if !d.Replay.Same {
					t.Errorf("it is not the same when judged again: %+v", d.Replay)
				}
				if diff := cmp.Diff(tt.want, kinds(d.Findings)); diff != "" {
					t.Errorf("%d: findings (-want +got):\n%s", i, diff)
				}
				if diff := cmp.Diff(tt.notes, kinds(d.Notes)); diff != "" {
					t.Errorf("%d: notes (-want +got):\n%s", i, diff)
				}
			}
		})
	}
}

// TestCauses: an audit names what made a verdict another, by the sealed verdict and proof on one side and what holds today on
// the other.
func TestCauses(t *testing.T) {
	strict := "pack: strict\nabout: A rule more.\nrules:\n  brush-bare-ink: {treatment: brush, each: ink, rules out when: ink.wet < 5, because: Loose colour smears., standing: house}\n"
	layers := tinyLayer(t)
	stricter := append(tinyLayer(t), pack.Layer{Name: "strict", Files: []pack.File{{Name: "strict.yaml", Data: []byte(strict)}}})
	for _, tt := range []struct {
		name    string
		first   sealing
		layers  []pack.Layer
		record  string
		causes  bool
		want    string // class and edits that made the brush on the outside another
		erred   drift.Erred
		results Result
	}{
		{"nothing", sealing{book: book("5", "yes", "")}, layers, "", true, "", "", Sound},
		{"an answer", sealing{book: book("5", "yes", "")}, layers, book("5", "no", ""), true, "one answers corrected", "", Otherwise},
		{"a rule", sealing{book: book("3", "yes", "")}, stricter, "", true, "one rules edited", "", Otherwise},
		{"only together", sealing{book: book("5", "yes", "")}, stricter, book("3", "yes", ""), true, "together answers corrected, rules edited", "", Otherwise},
		{"not asked for", sealing{book: book("5", "yes", "")}, layers, book("5", "no", ""), false, "", "", Otherwise},
		{"the program", sealing{book: book("5", "yes", ""), change: func(b *edition1.Body) {
			for i := range b.Verdicts {
				if b.Verdicts[i].Treatment == "brush" && b.Verdicts[i].On == "cover/outside" {
					b.Verdicts[i].Verdict = string(judge.NoNeed)
				}
			}
		}}, layers, "", true, "by program", drift.Then, NotSound},
	} {
		t.Run(tt.name, func(t *testing.T) {
			tt.first.layers = layers
			today := &Today{Layers: tt.layers, Given: true}
			if tt.record != "" {
				today.Record = &Record{Name: "today.yaml", Text: tt.record, On: "record"}
			}
			d := audited(sealed(t, tt.first), Options{Today: today, Causes: tt.causes}, 1).Decisions[0]
			if d.Result != tt.results {
				t.Errorf("%s, want %s", d.Result, tt.results)
			}
			got, erred := "", drift.Erred("")
			if d.Now.Drift != nil {
				for _, f := range d.Now.Drift.Findings {
					if f.Treatment != "brush" || f.Path != "cover/outside" {
						continue
					}
					var edits []string
					for _, set := range f.Enough {
						for _, i := range set {
							edits = append(edits, map[drift.Factor]string{drift.Answers: "answers", drift.Rules: "rules", drift.Wishes: "wishes"}[i.Factor]+" "+string(i.Kind))
						}
					}
					got = strings.TrimSpace(string(f.Class) + " " + strings.Join(edits, ", "))
					if f.Program != nil {
						erred = f.Program.Erred
					}
				}
			}
			if got != tt.want || erred != tt.erred {
				t.Errorf("%q %q, want %q %q", got, erred, tt.want, tt.erred)
			}
		})
	}
}
