package worlds

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"tideline/engine/record"
	"tideline/rules/vocab"
)

// Repair makes a world for plans: treatments that clear, lessen and bring findings, settle answers and make others stale, need
// one another and have orders, with rules that read just that.
func Repair(t Host, rnd *rand.Rand, treatments int) *World {
	t.Helper()
	w := &World{Rnd: rnd}
	r := &repair{World: w}
	for i := range treatments {
		r.treatments = append(r.treatments, kinded{fmt.Sprintf("t%d", i), []vocab.Kind{vocab.Part, vocab.Part, vocab.Finding, vocab.Finding, vocab.Side, vocab.Book}[rnd.IntN(6)]})
	}
	var b strings.Builder
	b.WriteString("pack: random\n" + strings.Replace(worldTests, "[tear, stain]", "[tear, stain, cockle]", 1))
	if rnd.IntN(4) == 0 {
		fmt.Fprintf(&b, "facts: {part.spoilt: {is: '%s', says: spoilt, standing: house}}\n", r.when(vocab.Part))
	}
	if rnd.IntN(4) == 0 {
		fmt.Fprintf(&b, "never: {not-both: {each: %s, because: x, standing: house}}\n",
			r.one("part, when: 'part.soft && part.ph < 6'", "finding, when: 'finding.deep && finding.kind == \"stain\"'", "ink, when: 'ink.old && ink.wet < 4'"))
	}
	var does, rules []string
	for i, t := range r.treatments {
		var d, u strings.Builder
		r.treatment(&d, i)
		r.rules(&u, i)
		does, rules = append(does, d.String()), append(rules, u.String())
		if before := i - 1; i > 0 && r.in(6) && !strings.Contains(does[before], "["+t.id+"]") { // the same by another name
			was := r.treatments[before].id
			r.treatments[i].of = r.treatments[before].of
			does[i], rules[i] = strings.ReplaceAll(does[before], was, t.id), strings.ReplaceAll(rules[before], was, t.id)
		}
	}
	b.WriteString("treatments:\n" + strings.Join(does, "") + "rules:\n" + strings.Join(rules, ""))
	w.YAML = b.String()
	w.Pack = Load(t, w.YAML)
	return w
}

// repair is such a world in the making.
type repair struct {
	*World
	treatments []kinded
}

type kinded struct {
	id string
	of vocab.Kind
}

func (r *repair) one(of ...string) string { return of[r.Rnd.IntN(len(of))] }
func (r *repair) in(n int) bool           { return r.Rnd.IntN(n) == 0 }
func (r *repair) findingKind() string     { return r.one("tear", "stain", "cockle") }

// treatment writes a treatment; what it does is drawn, each by itself.
func (r *repair) treatment(b *strings.Builder, i int) {
	t := r.treatments[i]
	fmt.Fprintf(b, "  %s: {name: %s, of: %s, family: f, says: s, serves: [%s], intervention: %d, retreatable: yes, minutes: {active: %d, waiting: %d}",
		t.id, t.id, t.of, r.one("clean", "whole", "clean, whole"), 1+r.Rnd.IntN(2), 5*r.Rnd.IntN(2), 30*r.Rnd.IntN(2))
	n := len(r.treatments)
	earlier, later := r.treatments[r.Rnd.IntN(i+1)].id, r.treatments[i+r.Rnd.IntN(n-i)].id // a pack may have no ring of orders
	for _, f := range []struct {
		in   int
		text func() string
	}{
		{2, func() string { return "clears: [" + r.findingKind() + "]" }},
		{3, func() string { return "lessens: [" + r.findingKind() + "]" }},
		{3, func() string { return "brings: [" + r.findingKind() + "]" }},
		{2, func() string {
			return "sets: {" + r.one("part.soft: yes", "part.soft: no", "part.ph: 5", "part.ph: 7", "finding.deep: no", "finding.deep: yes", "owner.says_no: no") + "}"
		}},
		{2, func() string {
			return "makes stale: [" + r.one("part.soft", "part.ph", "finding.deep", "ink.wet", "part.soft, ink.wet, finding.deep") + "]"
		}},
		{4, func() string { return "after: [" + earlier + "]" }},
		{4, func() string { return "before: [" + later + "]" }},
		{8, func() string { return "in place of: [" + r.treatments[r.Rnd.IntN(n)].id + "]" }},
		{12, func() string { return "does nothing: yes" }},
		{8, func() string {
			where := map[vocab.Kind]string{vocab.Finding: "finding.kind == \"tear\"", vocab.Part: "!part.soft", vocab.Side: "side.name == \"outside\"", vocab.Book: "book.parts.exists(p, p.soft)"}
			return "where: '" + where[t.of] + "'"
		}},
	} {
		if text := f.text(); r.in(f.in) && !strings.Contains(text, "["+t.id+"]") {
			b.WriteString(", " + text)
		}
	}
	if v := r.treatments[r.Rnd.IntN(i+1)]; v.id != t.id && v.of == t.of && r.in(2) {
		b.WriteString(", variant of: " + v.id)
	}
	b.WriteString("}\n")
}

// rules writes the rules of a treatment: what calls for it and speaks for it; often what rules it out, speaks against it, or
// must come first.
func (r *repair) rules(b *strings.Builder, i int) {
	t := r.treatments[i]
	write := func(name, effect, each, when, extra string) {
		fmt.Fprintf(b, "  %s-%s: {treatment: %s, %s when: '%s', because: x, standing: house%s%s}\n", t.id, name, t.id, effect, when, each, extra)
	}
	condition := func(name, effect, extra string) {
		kind, each := t.of, ""
		if k := []vocab.Kind{vocab.Finding, vocab.Ink, vocab.Part}[r.Rnd.IntN(3)]; r.in(3) && k != t.of {
			kind, each = k, ", each: "+string(k)
		}
		write(name, effect, each, r.when(kind), extra)
	}
	weigh := func(most int) string { return fmt.Sprintf(", criterion: life, weight: %d", 1+r.Rnd.IntN(most)) }
	switch {
	case r.in(5):
		write("call", "called for", "", "always", "")
	case !r.in(6):
		condition("call", "called for", "")
	}
	write("worth", "for", "", "always", weigh(2))
	for _, f := range []struct {
		in           int
		name, effect string
	}{{3, "ban", "rules out"}, {6, "ban-too", "rules out"}, {3, "against", "against"}, {4, "for", "for"}} {
		if r.in(f.in) {
			extra := ""
			if f.effect != "rules out" {
				extra = weigh(3)
			}
			condition(f.name, f.effect, extra)
		}
	}
	if i > 0 && r.in(3) { // of one before it: a pack may have no ring of needs
		kind, when := t.of, "always"
		if r.in(2) {
			when = r.when(kind)
		}
		write("need", "needs", "", when, ", step: "+r.treatments[r.Rnd.IntN(i)].id)
	}
}

var repairAtoms = map[vocab.Kind][]string{
	vocab.Part: {
		"part.soft", "!part.soft", "part.ph < 6", "part.ph >= 6", "part.findings.exists(f, f.kind == \"K\")", "!part.findings.exists(f, f.kind == \"K\")",
		"part.findings.all(f, f.kind != \"K\")", "part.findings.all(f, f.deep || f.kind == \"K\")", "part.findings.atLeast(2, f, f.kind == \"K\" || f.deep)",
		"part.inks.exists(i, i.wet < 4)", "part.findings.exists(f, f.kind == \"K\" && f.deep)",
	},
	vocab.Finding: {"finding.kind == \"K\"", "finding.kind != \"K\"", "finding.deep", "!finding.deep", "finding.part.soft", "finding.inks.exists(i, i.wet < 4)"},
	vocab.Side:    {"side.part.soft", "!side.part.soft", "side.findings.exists(f, f.kind == \"K\")", "side.findings.all(f, !f.deep)", "side.name == \"outside\""},
	vocab.Book:    {"book.findings.exists(f, f.kind == \"K\")", "book.parts.exists(p, p.soft)", "book.parts.all(p, p.ph >= 6)", "owner.says_no"},
	vocab.Ink:     {"ink.wet < 4", "ink.wet < 3 && ink.old", "ink.part.soft"},
}

// when makes a condition of one atom or two.
func (r *repair) when(kind vocab.Kind) string {
	atom := func() string {
		return strings.ReplaceAll(r.one(repairAtoms[kind]...), "K", r.findingKind())
	}
	switch {
	case r.in(4):
		return atom() + " && " + atom()
	case r.in(4):
		return "!(" + atom() + " || " + atom() + ")"
	case r.in(4):
		return atom() + " || " + atom()
	}
	return atom()
}

// Damaged makes a random book for such a world: a part for every four findings, or two, with an ink on some sides, and most
// questions answered.
func (w *World) Damaged(t Host, findings int) *record.Book {
	t.Helper()
	parts, names := 1+w.Rnd.IntN(2), []string{"cover"}
	for i := range max(parts, findings/4) {
		names = append(names, fmt.Sprintf("wrap-%d", i+1))
	}
	one := func(of ...string) string { return of[w.Rnd.IntN(len(of))] }
	seen := func(pairs ...string) string {
		pairs = slices.DeleteFunc(pairs, func(string) bool { return w.Rnd.IntN(6) == 0 })
		return "seen: {" + strings.Join(pairs, ", ") + "}"
	}
	var b strings.Builder
	fmt.Fprintf(&b, "record: 1\ntitle: T\nexamined: 2026-01-01\nlisted: {inks: yes, findings: %s, fasteners: yes}\n", one("yes", "yes", "yes", "no"))
	fmt.Fprintf(&b, "owner: {aims: [%s]}\nparts:\n", one("clean", "whole", "clean, whole", "clean, whole"))
	names = names[:max(parts, findings/4)]
	for i, part := range names {
		fmt.Fprintf(&b, "  %s:\n    kind: %s\n    %s\n", part, strings.Split(part, "-")[0], seen("soft: "+one("yes", "no"), "ph: "+one("5", "7")))
		for _, side := range []string{"outside", "inside"} {
			fmt.Fprintf(&b, "    %s:\n      inks: {%s}\n", side, one("", "red: {kind: print, "+seen("wet: "+one("2", "3", "5"), "old: "+one("yes", "no"))+"}"))
			var here []string
			for last := i == len(names)-1 && side == "inside"; findings > 0 && len(here) < 4 && (last || w.Rnd.IntN(3) > 0); {
				here = append(here, fmt.Sprintf("f%d: {kind: %s, %s}", findings, one("tear", "stain", "cockle"), seen("deep: "+one("yes", "no"))))
				findings--
			}
			fmt.Fprintf(&b, "      findings: {%s}\n", strings.Join(here, ", "))
		}
	}
	b.WriteString(one("", "tests: [{test: owner.says_no, on: owner, yes: yes}]\n", "tests: [{test: owner.says_no, on: owner, yes: no}]\n"))
	return Parse(t, w.Pack, b.String())
}
