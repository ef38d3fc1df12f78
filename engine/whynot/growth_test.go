package whynot

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

// grown makes a pack of so many rules about one treatment, of a part with so many inks, each with so many questions, and
// a book in which about a tenth of the rules rule out.
func grown(t testing.TB, rules, questions, inks int) *judge.Judgement {
	t.Helper()
	rnd := rand.New(rand.NewPCG(uint64(rules), uint64(questions)))
	var p, b strings.Builder
	p.WriteString("pack: grown\naims: {clean: {says: clean}}\ntests:\n  part.kind: {asks: \"kind?\", answer: {words: [cover, wrap]}, nature: fixed}\n" +
		"  ink.kind: {asks: \"kind?\", answer: {words: [print, pen]}, nature: fixed}\n  finding.kind: {asks: \"kind?\", answer: {words: [tear, stain]}, nature: fixed}\n")
	for q := range questions {
		fmt.Fprintf(&p, "  ink.g%d: {asks: \"grade?\", answer: grade}\n", q)
	}
	p.WriteString("treatments: {bath: {name: bath, of: part, family: wet, says: s, serves: [clean], intervention: 2, retreatable: no}}\nrules:\n" +
		"  call: {treatment: bath, called for when: always, because: x, standing: house}\n")
	for i := range rules {
		g := func() int { return rnd.IntN(questions) }
		fmt.Fprintf(&p, "  r%d: {treatment: bath, each: ink, rules out when: 'ink.g%d < 3 && (ink.g%d > 2 || ink.g%d < 2)', because: x, standing: house}\n", i, g(), g(), g())
	}
	b.WriteString("record: 1\ntitle: T\nexamined: 2026-01-01\nlisted: {inks: yes, findings: yes, fasteners: yes}\nparts:\n  w:\n    kind: wrap\n    outside:\n      inks:\n")
	for i := range inks {
		fmt.Fprintf(&b, "        i%d: {kind: print, seen: {", i)
		for q := range questions {
			grade := 3 + rnd.IntN(3)
			if rnd.IntN(10) == 0 {
				grade = 2
			}
			fmt.Fprintf(&b, "g%d: %d, ", q, grade)
		}
		b.WriteString("}}\n")
	}
	pack := worlds.Load(t, p.String())
	return judged(t, evidence.Gather(pack, worlds.Parse(t, pack, b.String()), time.Time{}))
}

// BenchmarkGrowth shows how finding what would turn a verdict grows with rules and questions; tried is up to which size
// all sets were tried, -1 where the search was finished.
func BenchmarkGrowth(b *testing.B) {
	for _, rules := range []int{10, 100, 1000} {
		for _, questions := range []int{4, 12} {
			for _, inks := range []int{1, 8} {
				g := grown(b, rules, questions, inks)
				v := g.Verdicts[0]
				b.Run(fmt.Sprintf("rules %d/questions %d", rules, questions*inks), func(b *testing.B) {
					var r *Result
					for b.Loop() {
						var err error
						if r, err = Find(g, v, To(v)); err != nil {
							b.Fatal(err)
						}
					}
					b.ReportMetric(float64(r.Tried), "tried")
					b.ReportMetric(float64(r.Count), "sets")
				})
			}
		}
	}
}
