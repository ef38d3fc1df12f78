package numbers

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
)

const tablePack = `pack: table
aims: {clean: {says: clean}}
tests:
  part.kind: {asks: "?", answer: {words: [cover, wrap]}}
  finding.kind: {asks: "?", answer: {words: [tear, stain]}}
  ink.kind: {asks: "?", answer: {words: [print, pen]}}
  part.u: {asks: "?", answer: yes/no}
  part.t: {asks: "?", answer: yes/no}
  part.n: {asks: "?", answer: grade}
  ink.wet: {asks: "?", answer: grade}
treatments: {bath: {name: b, of: part, family: f, says: s, serves: [clean], intervention: 1, retreatable: yes}}
rules:
  r: {treatment: bath, rules out when: '%s', because: x, standing: house}
`

// tableBook has one answer of a part known, one ink of grade 2 and one not tested.
const tableBook = "record: 1\ntitle: T\nexamined: 2026-01-01\nlisted: {inks: yes, findings: yes, fasteners: yes}\nparts:\n  cover:\n    kind: cover\n    seen: {t: yes}\n" +
	"    outside: {inks: {red: {kind: print, seen: {wet: 2}}, blue: {kind: print}}}\n    inside: {}\n"

// unknowns are conditions with what they are by Kleene's tables, and over all completions.
var unknowns = []struct {
	text          string
	kleene, exact cond.Truth
}{
	{"part.u || true", cond.True, cond.True},
	{"part.u && false", cond.False, cond.False},
	{"part.u || false", cond.Open, cond.Open},
	{"!part.u", cond.Open, cond.Open},
	{"part.u == true", cond.Open, cond.Open},
	{"part.n < 3", cond.Open, cond.Open},
	{"part.u || !part.u", cond.Open, cond.True},
	{"part.n == part.n", cond.Open, cond.True},
	{"part.u ? part.t : part.t", cond.Open, cond.True},
	{"part.inks.exists(i, i.wet < 3)", cond.True, cond.True},
	{"part.inks.all(i, i.wet > 3)", cond.False, cond.False},
	{"part.inks.exists(i, i.wet > 4)", cond.Open, cond.Open},
	{"part.inks.atLeast(2, i, i.wet < 3)", cond.Open, cond.Open},
	{"part.inks.atLeast(1, i, i.wet < 3)", cond.True, cond.True},
}

// refused are conditions that would take "not tested" for "no", or hide an error; a pack with one must not load.
var refused = []string{
	"has(part.u)", "part.inks.exists_one(i, i.wet < 3)", "part.inks.filter(i, i.wet < 3).size() > 0", "part.inks.map(i, i.wet).size() == 2",
	"part.typo > 1 || part.n > 3", "part.typo > 1 || true", "part.inks.exists(i, i.typo > 3 || i.wet < 3)", "1 / part.n > 2 || true",
}

// logic measures the unknown table, planted errors and the Kleene gap.
func (m *measure) logic() {
	agree := 0
	for _, u := range unknowns {
		p := worlds.Load(host{}, fmt.Sprintf(tablePack, u.text))
		v := rejudge(p, worlds.Parse(host{}, p, tableBook)).Of("bath", "cover")
		exact := map[judge.Word]cond.Truth{judge.RuledOut: cond.True}[v.Word]
		if v.Word != judge.RuledOut {
			exact = cond.False // nothing calls for it, so that an open ban shows as no need
		}
		if v.Instances[0].Value == u.kleene && (exact == cond.True) == (u.exact == cond.True) {
			agree++
		}
	}
	stopped := 0
	for _, text := range refused {
		if loads(fmt.Sprintf(tablePack, text)) {
			continue
		}
		stopped++
	}
	m.row("unknown table", "conditions with open answers, against Kleene's tables and all completions; what would hide an open answer is refused",
		"all", is(agree == len(unknowns) && stopped == len(refused)), "%d of %d agree, %d of %d refused", agree, len(unknowns), stopped, len(refused))

	planted, through := 0, 0
	for _, s := range m.small[:min(len(m.small), 60)] {
		for _, swap := range [][2]string{{"ink.wet <", "ink.wett <"}, {"part.soft", "part.sofft"}, {"finding.deep", "finding.dep"}, {"part.ph <", "part.ph / part.ph <"}} {
			if lines := strings.SplitN(s.world.YAML, "rules:\n", 2); strings.Contains(lines[1], swap[0]) {
				planted++
				if loads(lines[0] + "rules:\n" + strings.Replace(lines[1], swap[0], swap[1], 1)) {
					through++
				}
			}
		}
	}
	m.row("hidden errors", "misspelt questions and divisions planted in rules of worlds that end in a verdict", "0", is(through == 0), "%d of %d", through, planted)
	open, gap := 0, 0
	for _, g := range m.all() {
		for _, v := range g.Verdicts {
			if !slices.ContainsFunc(v.Instances, ruling(cond.True)) && slices.ContainsFunc(v.Instances, ruling(cond.Open)) {
				open++
				if v.EitherWay {
					gap++
				}
			}
		}
	}
	m.row("Kleene gap (V2)", "ruling-outs open by the tables that are ruled out either way over all completions", "shown", nil, "%d of %d", gap, open)
}

func ruling(v cond.Truth) func(*judge.Instance) bool {
	return func(i *judge.Instance) bool {
		return i.Rule.Effect == pack.RulesOut && i.Rule.Withdrawn == nil && i.Value == v
	}
}

// loads tells whether a pack loads.
func loads(text string) bool {
	faults := &fault.List{}
	pack.Load([]pack.Layer{{Files: []pack.File{{Name: "pack.yaml", Data: []byte(text)}}}}, faults)
	return faults.Len() == 0
}

// all gives the judgements of the books and the worlds.
func (m *measure) all() []*judge.Judgement {
	list := slices.Clone(m.judged)
	for _, s := range m.small {
		list = append(list, s.g)
	}
	return list
}

// settled measures whether more answers move a settled verdict, and whether a weight or an aim lifts a ruling-out.
func (m *measure) settled() {
	steps, breaches := 0, 0
	try := func(p *pack.Pack, b *record.Book) {
		fewer := *b
		fewer.Results = slices.DeleteFunc(slices.Clone(b.Results), func(r record.Result) bool {
			return r.Question.Name != "kind" && !r.Question.Measured && !strings.HasSuffix(r.Question.Name, "_listed") && m.rnd.IntN(3) == 0
		})
		was, is := rejudge(p, &fewer), rejudge(p, b)
		if len(was.Contradictions)+len(is.Contradictions) > 0 {
			return
		}
		now := words(is)
		for key, w := range words(was) {
			steps++
			n, there := now[key]
			if !there {
				continue // known by now to be none of the things the treatment is for
			}
			bad := (w == judge.RuledOut || w == judge.Recommended) && n != w || w == judge.Possible && (n == judge.RuledOut || n == judge.TestFirst) ||
				w == judge.NoNeed && n != judge.NoNeed && n != judge.RuledOut
			if bad {
				breaches++
			}
		}
	}
	for _, b := range m.Books {
		for range 8 {
			try(m.Pack, b)
		}
	}
	for _, s := range m.small {
		try(s.world.Pack, s.book)
		try(s.world.Pack, s.book)
	}
	m.row("settled breaches (V3, V8)", "a third of the answers left out at random, then given", "0", is(breaches == 0), "%d in %d verdicts", breaches, steps)
	draws, lifted := 0, 0
	for i, g := range m.judged {
		for range 4 {
			other := *m.Books[i]
			other.Weights = map[string]float64{}
			for _, k := range m.Pack.Criteria {
				other.Weights[k.ID] = m.rnd.Float64()
			}
			other.Aims = []string{}
			for _, a := range m.Pack.Aims {
				if m.rnd.IntN(2) == 0 {
					other.Aims = append(other.Aims, a.ID)
				}
			}
			draws++
			now := rejudge(m.Pack, &other)
			for _, v := range g.Verdicts {
				if (v.Word == judge.RuledOut) != (now.Of(v.Treatment.ID, v.Target.Path).Word == judge.RuledOut) {
					lifted++
				}
			}
		}
	}
	m.row("weight lifts a ban (V7)", "draws of weights and aims on the books", "0", is(lifted == 0), "%d in %d draws", lifted, draws)
}

// order measures whether the order of answers can matter.
func (m *measure) order() {
	shuffles, others := 0, 0
	for i, g := range m.judged {
		want := said(g)
		for range 6 {
			b := *m.Books[i]
			b.Results = slices.Clone(b.Results)
			m.rnd.Shuffle(len(b.Results), func(x, y int) { b.Results[x], b.Results[y] = b.Results[y], b.Results[x] })
			slices.SortStableFunc(b.Results, func(x, y record.Result) int { return x.Date.Compare(y.Date) })
			if twice(b.Results) {
				continue
			}
			shuffles++
			if said(rejudge(m.Pack, &b)) != want {
				others++
			}
		}
	}
	m.row("order bytes (V6)", "answers of one day shuffled; rules and files in its own test", "0 other outputs", is(others == 0), "%d in %d shuffles", others, shuffles)
}

// twice tells whether a question is answered twice on one day: the later in the file then counts, so order matters.
func twice(results []record.Result) bool {
	seen := map[string]bool{}
	for _, r := range results {
		key := r.Thing.Path + " " + r.Question.ID + r.Date.Format(time.RFC3339)
		if seen[key] {
			return true
		}
		seen[key] = true
	}
	return false
}

func said(g *judge.Judgement) string {
	var b strings.Builder
	for _, v := range g.Verdicts {
		fmt.Fprintln(&b, v.Rank, v.Treatment.ID, v.Target.Path, v.Word, v.EitherWay, v.Least, v.Most, v.Open, v.CalledFor, v.ServesAim, v.Unordered)
	}
	return b.String()
}
