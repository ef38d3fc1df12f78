package ask

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/worlds"
)

// BenchmarkAsk asks on the largest example book and on the one of which least is known, with the firmness and without.
func BenchmarkAsk(b *testing.B) {
	books := shipped(b)
	for _, name := range []string{"harbour-almanac", "parcel-from-the-attic"} {
		g := books[name+".yaml"]
		for _, draws := range []int{0, 200} {
			b.Run(fmt.Sprintf("%s/%d draws", name, draws), func(b *testing.B) {
				for b.Loop() {
					Next(g, Options{Draws: draws})
				}
			})
		}
	}
}

// BenchmarkGrowth asks on made-up packs of 10, 100 and 1,000 rules with 5, 20 and 80 questions open.
func BenchmarkGrowth(b *testing.B) {
	for _, rules := range []int{10, 100, 1000} {
		for _, questions := range []int{5, 20, 80} {
			g := grown(b, rules, questions)
			b.Run(fmt.Sprintf("%d rules/%d questions", rules, questions), func(b *testing.B) {
				var r *Report
				for b.Loop() {
					r = Next(g, Options{Draws: 20})
				}
				b.ReportMetric(float64(len(r.Proposals)), "proposals")
			})
		}
	}
}

// grown judges a part with so many rules over so many questions open, in treatments of ten rules each.
func grown(b *testing.B, rules, questions int) *judge.Judgement {
	b.Helper()
	rnd := rand.New(rand.NewPCG(uint64(rules), uint64(questions)))
	var p strings.Builder
	p.WriteString("pack: grown\ncriteria: {life: {says: it lasts, weight: 0.8, from: 0.2, to: 1}}\naims: {clean: {says: it is clean}}\ntests:\n" +
		"  part.kind: {asks: \"?\", answer: {words: [cover, wrap]}}\n  ink.kind: {asks: \"?\", answer: {words: [print, pen]}}\n  finding.kind: {asks: \"?\", answer: {words: [tear, stain]}}\n")
	for i := range questions {
		fmt.Fprintf(&p, "  part.q%d: {asks: \"grade?\", answer: grade, minutes: %d, harm: %s}\n", i, 1+i%7, []string{"none", "trace", "spot"}[i%3])
	}
	p.WriteString("treatments:\n")
	for t := range (rules + 9) / 10 {
		fmt.Fprintf(&p, "  t%d: {name: t, of: part, family: f, says: s, serves: [clean], intervention: 1, retreatable: yes}\n", t)
	}
	p.WriteString("rules:\n")
	for i := range rules {
		q := func() int { return (i/10 + rnd.IntN(4)) % questions }
		effect := fmt.Sprintf("rules out when: 'part.q%d < %d && part.q%d < 4'", q(), 2+rnd.IntN(3), q())
		switch i % 10 {
		case 0:
			effect = "called for when: always"
		case 1, 2:
			effect = fmt.Sprintf("for when: 'part.q%d > %d || part.q%d < 5', criterion: life, weight: %d", q(), 1+rnd.IntN(3), q(), 1+rnd.IntN(3))
		}
		fmt.Fprintf(&p, "  r%d: {treatment: t%d, %s, because: x, standing: house}\n", i, i/10, effect)
	}
	pk := worlds.Load(b, p.String())
	book := worlds.Parse(b, pk, "record: 1\ntitle: T\nexamined: 2026-01-01\nlisted: {inks: yes, findings: yes, fasteners: yes}\nparts: {cover: {kind: cover, outside: {inks: {}}, inside: {inks: {}}}}\n")
	g, err := judge.Judge(evidence.Gather(pk, book, time.Time{}))
	if err != nil {
		b.Fatal(err)
	}
	return g
}
