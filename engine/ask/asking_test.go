package ask

import (
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/worlds"
)

const askingPack = `pack: asking
criteria: {life: {says: it lasts, weight: 1, from: 0, to: 1}}
aims: {clean: {says: clean}}
asking: {minute: 0.01, harm: {spot: 0.4}, refused when: {sample: owner.no_samples}}
tests:
  part.kind: {asks: "?", answer: {words: [cover, wrap]}}
  ink.kind: {asks: "?", answer: {words: [print, pen]}}
  finding.kind: {asks: "?", answer: {words: [tear, stain]}}
  owner.no_samples: {asks: "none?", answer: yes/no}
  part.fast: {asks: "fast?", answer: yes/no, minutes: 10, harm: HARM, chance: {yes: 3, no: 1}}
  part.whole: {asks: "whole?", answer: yes/no, minutes: 10, harm: none}
treatments: {bath: {name: bath, of: part, family: f, says: s, serves: [clean], intervention: 1, retreatable: yes}}
rules:
  ban: {treatment: bath, rules out when: '!part.fast || !part.whole', because: x, standing: house}
  call: {treatment: bath, called for when: always, because: x, standing: house}
  good: {treatment: bath, for when: always, criterion: life, weight: 2, because: x, standing: house}
`

func asked(t *testing.T, harm, owner string) *Report {
	t.Helper()
	p := worlds.Load(t, strings.Replace(askingPack, "HARM", harm, 1))
	book := worlds.Parse(t, p, "record: 1\ntitle: T\nexamined: 2026-01-01\nlisted: {inks: yes, findings: yes, fasteners: yes}\n"+owner+
		"parts: {cover: {kind: cover, outside: {inks: {}}, inside: {inks: {}}}}\n")
	g, err := judge.Judge(evidence.Gather(p, book, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	return Next(g, Options{Draws: 50})
}

// TestOnlyTogether: two tests that only together clear a bath are proposed together, at hand-reckoned figures: 2 gained
// with a chance of 3/4 times 1/2; the test that needs no further one more often comes first.
func TestOnlyTogether(t *testing.T) {
	r := asked(t, "none", "")
	if len(r.Proposals) != 1 || len(r.Proposals[0].Tests) != 2 || !r.Exact {
		t.Fatalf("%d proposals", len(r.Proposals))
	}
	p := r.Proposals[0]
	// whole first: it ends the row in 1 of 2 cases, so that fast is paid for in half of them: 0.1 + 0.05
	if got, want := p.Worth, 2*0.375-0.15; got < want-1e-9 || got > want+1e-9 || p.Tests[0].Ask.Question.ID != "part.whole" {
		t.Errorf("worth %v, by hand %v, with %s first", got, want, p.Tests[0].Ask.Question.ID)
	}
	if out, n := r.Shares[0].Most(); !out || n != 3 || r.Shares[0].All != 4 {
		t.Errorf("share %+v", r.Shares[0])
	}
}

// TestRefused: a test of a harm the pack refuses is not proposed, be it refused or not known; once allowed, it is.
func TestRefused(t *testing.T) {
	for owner, want := range map[string]int{"": 0, "tests: [{test: owner.no_samples, on: owner, yes: yes}]\n": 0, "tests: [{test: owner.no_samples, on: owner, yes: no}]\n": 1} {
		r := asked(t, "sample", owner)
		refused := 0
		for _, i := range r.Idle {
			if i.Refused {
				refused++
			}
		}
		if len(r.Proposals) > want || want == 0 && refused != 1 {
			t.Errorf("%q: %d proposals, %d refused", owner, len(r.Proposals), refused)
		}
	}
}
