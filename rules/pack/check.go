package pack

import (
	"cmp"
	"fmt"
	"slices"

	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/vocab"
)

// Finding is something about a pack that its author may want to know: nothing that keeps it from being judged by.
type Finding struct {
	Place fault.Place
	Kind  FindingKind
	What  string // the id or word found
	// Other is the rule that covers What or says the same, with its place.
	Other      string
	OtherPlace fault.Place
	// Witness is a book where both rules hold; Wider, of a covered rule, one where only Other holds. None of their answers
	// can be left out.
	Witness, Wider []cond.Supposed
}

// FindingKind is what a finding is about.
type FindingKind string

// The kinds of finding.
const (
	UnreadQuestion      FindingKind = "unread question"   // no rule, fact, never, `where` or dose of a setting reads it
	UnusedFact          FindingKind = "unused fact"       // no condition uses it
	NoRulingOut         FindingKind = "no ruling-out"     // no rule can rule the treatment out
	NoCall              FindingKind = "no call"           // nothing calls for the treatment, and no other needs it
	NoArgument          FindingKind = "no argument for"   // no rule speaks for the treatment
	UntreatedFinding    FindingKind = "untreated finding" // no treatment is called for by such a finding, and none clears it
	UncitedSource       FindingKind = "uncited source"
	UnusedAim           FindingKind = "unused aim"           // no treatment serves it
	UnusedCriterion     FindingKind = "unused criterion"     // no argument belongs to it
	UnusedPrinciple     FindingKind = "unused principle"     // no rule names it
	NeverTrue           FindingKind = "never true"           // the rule's condition holds under no answers
	AlwaysTrue          FindingKind = "always true"          // it holds whatever the answers, and is not written `always`
	CoveredRule         FindingKind = "covered rule"         // wherever it holds, Other holds and does the same
	DoubledRule         FindingKind = "doubled rule"         // it holds just where Other does, and does the same
	UndecidedRule       FindingKind = "undecided rule"       // whether it is ever or always true was not searched to the end
	UndecidedComparison FindingKind = "undecided comparison" // whether Other covers it was not searched to the end
)

// Check looks for what a pack holds in vain: what nothing reads, and rules that others make idle. Conditions are compared
// over all answers that they can tell apart; [cond.Env.Find] says what limits that. The findings are in the order of the
// files.
func Check(p *Pack) []Finding {
	c := &checker{Pack: p, reads: map[*vocab.Question]bool{}, uses: map[string]bool{}}
	c.conditions(c.read)
	c.doses()
	c.orphans()
	c.treatments()
	c.findingKinds()
	c.cited()
	c.truths()
	c.covers()
	slices.SortStableFunc(c.findings, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.Place.File, b.Place.File), cmp.Compare(a.Place.Line, b.Place.Line), cmp.Compare(a.Place.Col, b.Place.Col),
			cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.What, b.What), cmp.Compare(a.Other, b.Other))
	})
	return c.findings
}

type checker struct {
	*Pack
	findings []Finding
	reads    map[*vocab.Question]bool
	uses     map[string]bool // facts
}

func (c *checker) add(place fault.Place, kind FindingKind, what string) {
	c.findings = append(c.findings, Finding{Place: place, Kind: kind, What: what})
}

// conditions visits every condition of the pack.
func (c *checker) conditions(visit func(*cond.Cond)) {
	for _, r := range c.Rules {
		for _, of := range r.targets() {
			visit(r.When[of])
		}
	}
	for _, f := range c.Facts {
		visit(f.Is)
	}
	for _, n := range c.Never {
		visit(n.When)
	}
	for _, t := range c.Treatments {
		if t.Where != nil {
			visit(t.Where)
		}
	}
}

// targets lists the kinds a rule's condition is compiled for, in the order of all kinds.
func (r *Rule) targets() []vocab.Kind {
	var list []vocab.Kind
	for _, k := range vocab.Kinds {
		if r.When[k] != nil {
			list = append(list, k)
		}
	}
	return list
}

func (c *checker) read(w *cond.Cond) {
	w.Root.Walk(func(n *cond.Node) {
		switch n.Op {
		case cond.OpAtom:
			for _, r := range n.Atom.Reads {
				c.reads[r.Question] = true
			}
		case cond.OpFact:
			c.uses[n.Fact] = true
		}
	})
}

// doses notes what settings are computed from.
func (c *checker) doses() {
	for _, t := range c.Treatments {
		for _, s := range t.Settings {
			if s.Dose == nil {
				continue
			}
			for _, r := range s.Dose.Reads {
				c.reads[r.Question] = true
			}
		}
	}
}

func (c *checker) orphans() {
	for _, t := range c.Tests {
		if !c.reads[t.Question] {
			c.add(t.Place, UnreadQuestion, t.Question.ID)
		}
	}
	for _, f := range c.Facts {
		if !c.uses[f.ID] {
			c.add(f.Place, UnusedFact, f.ID)
		}
	}
}

// treatments finds those that no rule can rule out, call for, or speak for.
func (c *checker) treatments() {
	has := map[*Treatment]map[Effect]bool{}
	for _, t := range c.Treatments {
		has[t] = map[Effect]bool{}
	}
	for _, r := range c.Rules {
		if r.Withdrawn != nil {
			continue
		}
		for _, t := range r.Treatments {
			has[t][r.Effect] = true
		}
		if r.Step != nil {
			has[r.Step][CalledFor] = true
		}
	}
	for _, t := range c.Treatments {
		for _, lack := range []struct {
			effect Effect
			kind   FindingKind
		}{{RulesOut, NoRulingOut}, {CalledFor, NoCall}, {For, NoArgument}} {
			if !has[t][lack.effect] {
				c.add(t.Place, lack.kind, t.ID)
			}
		}
	}
}

// findingKinds finds the words of finding.kind that no treatment clears and no calling rule compares with.
func (c *checker) findingKinds() {
	q := c.Vocabulary.Question("finding.kind")
	if q == nil {
		return
	}
	met := map[string]bool{}
	for _, t := range c.Treatments {
		for _, w := range t.Clears {
			met[w] = true
		}
	}
	for _, r := range c.Rules {
		if r.Effect != CalledFor {
			continue
		}
		for _, of := range r.targets() {
			for _, a := range c.atoms(r.When[of].Root, map[string]bool{}) {
				for _, w := range q.Words {
					if a.Test != nil && a.Reads[0].Question == q && a.Test.Holds(q, vocab.Word(w)) {
						met[w] = true
					}
				}
			}
		}
	}
	for _, w := range q.Words {
		if t := c.Test(q.ID); t != nil && !met[w] {
			c.add(t.Place, UntreatedFinding, w)
		}
	}
}

// atoms lists the atoms of a formula and of the facts it uses.
func (c *checker) atoms(n *cond.Node, seen map[string]bool) []*cond.Atom {
	var list []*cond.Atom
	n.Walk(func(n *cond.Node) {
		switch {
		case n.Op == cond.OpAtom:
			list = append(list, n.Atom)
		case n.Op == cond.OpFact && !seen[n.Fact]:
			seen[n.Fact] = true
			list = append(list, c.atoms(c.Fact(n.Fact).Is.Root, seen)...)
		}
	})
	return list
}

// cited finds sources, aims, criteria and principles that nothing names.
func (c *checker) cited() {
	named := map[string]bool{}
	cite := func(list ...Cite) {
		for _, x := range list {
			for _, s := range x.Sources {
				named[s] = true
			}
		}
	}
	hazards := func(list []Hazard) {
		for _, h := range list {
			cite(h.Cite)
		}
	}
	for _, v := range c.Principles {
		cite(v.Cite)
	}
	for _, t := range c.Tests {
		cite(t.Cite)
		hazards(t.Hazards)
	}
	for _, f := range c.Facts {
		cite(f.Cite)
	}
	for _, n := range c.Never {
		cite(n.Cite)
	}
	for _, t := range c.Treatments {
		cite(t.Cite)
		hazards(t.Hazards)
		for _, s := range t.Settings {
			cite(s.Cite)
		}
		for _, a := range t.Serves {
			named[a] = true
		}
	}
	for _, r := range c.Rules {
		cite(r.Cite)
		named[r.Principle] = true
		if r.Criterion != nil {
			named[r.Criterion.ID] = true
		}
	}
	for _, s := range c.Sources {
		if !named[s.ID] {
			c.add(s.Place, UncitedSource, s.ID)
		}
	}
	for _, v := range c.Aims {
		if !named[v.ID] {
			c.add(v.Place, UnusedAim, v.ID)
		}
	}
	for _, v := range c.Criteria {
		if !named[v.ID] {
			c.add(v.Place, UnusedCriterion, v.ID)
		}
	}
	for _, v := range c.Principles {
		if !named[v.ID] {
			c.add(v.Place, UnusedPrinciple, v.ID)
		}
	}
}

func (c *checker) factCond(id string) *cond.Cond { return c.Fact(id).Is }

// truths finds rules that hold under no answers or under all, for every kind of target.
func (c *checker) truths() {
	for _, r := range c.Rules {
		never, always, sure := true, r.Text != "always", true
		for _, of := range r.targets() {
			w := []*cond.Cond{r.When[of]}
			_, holds, sureHolds := c.Env.Find(w, nil, c.factCond)
			never = never && !holds
			fails, sureFails := false, true
			if always {
				_, fails, sureFails = c.Env.Find(nil, w, c.factCond)
				always = !fails
			}
			sure = sure && sureHolds && sureFails
		}
		switch {
		case !sure && (never || always):
			c.add(r.Place, UndecidedRule, r.ID)
		case never:
			c.add(r.Place, NeverTrue, r.ID)
		case always:
			c.add(r.Place, AlwaysTrue, r.ID)
		}
	}
}

// covers compares rules that do the same to the same treatments.
func (c *checker) covers() {
	asks := map[*Rule]map[*vocab.Question]bool{}
	for _, r := range c.Rules {
		asks[r] = map[*vocab.Question]bool{}
		for _, of := range r.targets() {
			for _, a := range c.atoms(r.When[of].Root, map[string]bool{}) {
				for _, read := range a.Reads {
					asks[r][read.Question] = true
				}
			}
		}
	}
	for i, a := range c.Rules {
		for _, b := range c.Rules[i+1:] {
			if a.Withdrawn == nil && b.Withdrawn == nil && doesTheSame(a, b) {
				c.compare(a, b, shared(asks[a], asks[b]))
			}
		}
	}
}

// doesTheSame tells whether two rules have the same effect on things of the same kind, and there nothing of their own to say.
func doesTheSame(a, b *Rule) bool {
	return a.Effect == b.Effect && a.Each == b.Each && a.Criterion == b.Criterion && a.Step == b.Step && a.Say == b.Say
}

// shared tells whether two conditions have a question in common, or one reads none. Else none can imply the other, unless
// it is never or always true.
func shared(a, b map[*vocab.Question]bool) bool {
	for q := range a {
		if b[q] {
			return true
		}
	}
	return len(a) == 0 || len(b) == 0
}

// compare finds whether one of two rules covers the other.
func (c *checker) compare(a, b *Rule, related bool) {
	aInB, bInA := within(a, b), within(b, a)
	if !related || !aInB && !bInA {
		return
	}
	aImplies, sureA := aInB, true
	if aInB {
		aImplies, sureA = c.implies(a, b)
	}
	bImplies, sureB := bInA, true
	if bInA {
		bImplies, sureB = c.implies(b, a)
	}
	switch {
	case aImplies && bImplies && sureA && sureB:
		c.covered(b, a, DoubledRule)
	case aImplies && sureA:
		c.covered(a, b, CoveredRule)
	case bImplies && sureB:
		c.covered(b, a, CoveredRule)
	case aImplies:
		c.pair(a, b, UndecidedComparison)
	case bImplies:
		c.pair(b, a, UndecidedComparison)
	}
}

// within tells whether every treatment of a is one of b's.
func within(a, b *Rule) bool {
	for _, t := range a.Treatments {
		if !slices.Contains(b.Treatments, t) {
			return false
		}
	}
	return len(a.Treatments) > 0
}

// implies tells whether b holds wherever a does, for every kind of target a has, and a holds somewhere.
func (c *checker) implies(a, b *Rule) (yes, sure bool) {
	sure = true
	for _, of := range a.targets() {
		_, differ, s := c.Env.Find([]*cond.Cond{a.When[of]}, []*cond.Cond{b.When[of]}, c.factCond)
		if differ {
			return false, true
		}
		sure = sure && s
	}
	for _, of := range a.targets() {
		if _, ever, _ := c.Env.Find([]*cond.Cond{a.When[of]}, nil, c.factCond); ever {
			return true, sure
		}
	}
	return false, true // never true: told by itself
}

func (c *checker) pair(r, other *Rule, kind FindingKind) *Finding {
	c.findings = append(c.findings, Finding{Place: r.Place, Kind: kind, What: r.ID, Other: other.ID, OtherPlace: other.Place})
	return &c.findings[len(c.findings)-1]
}

func (c *checker) covered(r, other *Rule, kind FindingKind) {
	f := c.pair(r, other, kind)
	of := r.targets()[0]
	both := []*cond.Cond{r.When[of], other.When[of]}
	f.Witness, _, _ = c.Env.Find(both, nil, c.factCond)
	if kind == CoveredRule {
		f.Wider, _, _ = c.Env.Find(both[1:], both[:1], c.factCond)
	}
}

// String tells a finding in short, for tests and logs; explain words it for people.
func (f Finding) String() string {
	s := fmt.Sprintf("%s: %s", f.Kind, f.What)
	if f.Other != "" {
		s += " by " + f.Other
	}
	return s
}
