package pack

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tideline/rules/cond"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// Uses are what a treatment works with, so far as people or books need to be warned of it.
var Uses = []string{"water", "chemical", "solvent", "heat", "blade", "strong light", "mould", "pressure"}

// dangerous uses need a hazard in the pack.
var dangerous = []string{"chemical", "solvent", "heat", "blade", "strong light", "mould"}

// Equipment is what a treatment may occupy.
var Equipment = []string{"press", "tray", "lamp", "chamber", "suction table", "tacking iron", "fume hood", "freezer"}

func (l *loader) treatment(key, body *yamlfile.Node) {
	m := body.Map("a treatment", keys("name", "of", "where", "family", "variant of", "says", "serves", "intervention", "retreatable", "uses",
		"minutes", "equipment", "materials", "clears", "lessens", "brings", "can bring", "sets", "does nothing", "in place of", "makes stale", "before", "after", "settings",
		"stop signs", "hazards")...)
	t := &Treatment{
		Name: m.Need("name", "As the trade calls it.").Text(), Says: m.Need("says", "Say what is done, in a plain sentence.").Text(),
		Of: l.target(m.Need("of", "What it is done to.")), Families: m.Need("family", "One word or more: wet, dry, press.").Texts(), VariantOf: m.Text("variant of"),
		Serves: m.Need("serves", "Which aims it serves.").Texts(), Intervention: m.Need("intervention", "1 (mildest) to 5.").Int(1, 5),
		Retreatable: m.Need("retreatable", "yes, partly or no.").Word("yes", "partly", "no"), Materials: m.Get("materials").Texts(),
		Clears: m.Get("clears").Texts(), Lessens: m.Get("lessens").Texts(), Brings: m.Get("brings").Texts(), CanBring: m.Get("can bring").Texts(),
		MakesStale: m.Get("makes stale").Texts(),
		Before:     m.Get("before").Texts(), After: m.Get("after").Texts(), InPlaceOf: m.Get("in place of").Texts(), StopSigns: m.Get("stop signs").Texts(),
		Hazards: l.hazards(m.Get("hazards")), Cite: l.cite(m, false), Place: key.Place(),
	}
	for _, n := range m.Get("uses").List() {
		t.Uses = append(t.Uses, n.Word(Uses...))
	}
	for _, n := range m.Get("equipment").List() {
		t.Equipment = append(t.Equipment, n.Word(Equipment...))
	}
	minutes := m.Get("minutes").Map("minutes", "active", "waiting")
	if n := minutes.Get("active"); n != nil {
		t.Active = n.Int(0, 10000)
	}
	if n := minutes.Get("waiting"); n != nil {
		t.Waiting = n.Int(0, 1000000)
	}
	for _, n := range m.Get("settings").List() {
		l.setting(n, t)
	}
	if n := m.Get("does nothing"); n != nil {
		t.DoesNothing, _ = n.YesNo()
	}
	l.sets(m.Get("sets"), t)
	t.ID = l.name(key, t)
	l.Treatments = append(l.Treatments, t)
	l.treatmentNames(m, t)
	where := m.Get("where")
	l.compile = append(l.compile, func() {
		if where != nil && t.Of != "" {
			l.condition(where, Scope(t.Of, t.Of), func(c *cond.Cond) { t.Where = c })
		}
	})
	if need := slices.IndexFunc(t.Uses, func(u string) bool { return slices.Contains(dangerous, u) }); need >= 0 && len(t.Hazards) == 0 {
		key.Fault(fmt.Sprintf("%s uses %s and warns of no hazard", t.ID, t.Uses[need]), "Say the danger and the protection under `hazards:`.")
	}
}

// sets reads the answers that a treatment settles by being done.
func (l *loader) sets(n *yamlfile.Node, t *Treatment) {
	for _, p := range n.Map("answers by question").Pairs() {
		l.declare = append(l.declare, func() {
			id := p.Key.Text()
			q := l.Vocabulary.Question(id)
			if q == nil {
				p.Key.Fault(fmt.Sprintf("there is no question %q", id), "")
				l.nearName(id, "question")
				return
			}
			a, _, err := q.Parse(p.Value.Raw())
			if err != nil {
				p.Value.Fault(err.Error(), "Give the answer that surely holds once the step is done.", q.Words...)
				return
			}
			t.Sets = append(t.Sets, Set{q, a})
		})
	}
}

// treatmentNames checks what a treatment names elsewhere.
func (l *loader) treatmentNames(m *yamlfile.Map, t *Treatment) {
	aim := func(id string) bool { _, ok := l.ids[id].(*Aim); return ok }
	finding := func(word string) bool {
		q := l.Vocabulary.Question("finding.kind")
		return q != nil && slices.Contains(q.Words, word)
	}
	treatment := func(id string) bool { return l.Treatment(id) != nil }
	question := func(id string) bool { return l.Vocabulary.Question(id) != nil }
	for _, r := range []struct {
		key, what string
		exists    func(string) bool
	}{
		{"serves", "aim", aim},
		{"clears", "kind of finding", finding},
		{"lessens", "kind of finding", finding},
		{"brings", "kind of finding", finding},
		{"can bring", "kind of finding", finding},
		{"makes stale", "question", question},
		{"before", "treatment", treatment},
		{"after", "treatment", treatment},
		{"variant of", "treatment", treatment},
		{"in place of", "treatment", treatment},
	} {
		l.refer(m.Get(r.key), r.what, r.exists)
	}
}

// target reads the kind of thing a treatment is done to.
func (l *loader) target(n *yamlfile.Node) vocab.Kind {
	return vocab.Kind(n.Word(string(vocab.Book), string(vocab.Part), string(vocab.Side), string(vocab.Finding), string(vocab.Fastener)))
}

var effectKeys = []string{"rules out when", "called for when", "for when", "against when", "caution when", "needs when"}

func (l *loader) rule(key, body *yamlfile.Node) {
	own := append([]string{"treatment", "each", "because", "principle", "kind", "criterion", "weight", "say", "hazard", "step", "disagrees with"}, effectKeys...)
	m := body.Map("a rule", keys(own...)...)
	r := &Rule{
		Because: m.Need("because", "Say what would happen to the book, and by what mechanism.").Text(), Principle: m.Text("principle"),
		Kind: m.Get("kind").Word(RuleKinds...), Disagrees: m.Get("disagrees with").Texts(), Cite: l.cite(m, true), Place: key.Place(), When: map[vocab.Kind]*cond.Cond{},
	}
	if n := m.Get("each"); n != nil {
		r.Each = l.kind(n)
	}
	r.ID = l.name(key, r)
	l.Rules = append(l.Rules, r)
	l.layerOf[r] = len(l.Layers)
	when := l.effect(key, m, r)
	l.refer(m.Get("principle"), "principle", func(id string) bool { return l.Principle(id) != nil })
	l.refer(m.Get("disagrees with"), "rule", func(id string) bool { return l.Rule(id) != nil })
	treatment := m.Need("treatment", "Which treatments the rule is about: an id, a list, or {family: wet}.")
	l.declare = append(l.declare, func() { r.Treatments, r.Families = l.treatments(treatment), families(treatment) })
	l.compile = append(l.compile, func() {
		r.Text = strings.TrimRight(when.Raw(), "\n")
		var targets []vocab.Kind
		for _, t := range r.Treatments {
			if of := t.Of; of != "" && !slices.Contains(targets, of) {
				targets = append(targets, of)
				before := l.faults.Len()
				l.condition(when, Scope(of, cmp.Or(r.Each, of)), func(c *cond.Cond) { r.When[of] = c })
				if l.faults.Len() > before { // of no use for the other kinds either
					return
				}
			}
		}
	})
}

// effect reads what the rule does, and gives its condition.
func (l *loader) effect(key *yamlfile.Node, m *yamlfile.Map, r *Rule) (when *yamlfile.Node) {
	for _, e := range Effects {
		n := m.Get(string(e) + " when")
		if n == nil {
			continue
		}
		if when != nil {
			m.Key(string(e)+" when").Fault("a rule has one effect", "Make two rules of it.")
			continue
		}
		when, r.Effect = n, e
	}
	if when == nil {
		key.Fault("the rule says nothing", "Give one of: rules out when, called for when, for when, against when, caution when, needs when.")
	}
	if r.Effect == RulesOut && !r.Firm() {
		m.Key("rules out when").Fault(fmt.Sprintf("what is %q may not rule out", r.Standing), "Ask for a test, argue against, or caution.")
	}
	l.only(m, r, "criterion", For, Against)
	l.only(m, r, "weight", For, Against)
	l.only(m, r, "say", Caution)
	l.only(m, r, "step", Needs)
	switch r.Effect {
	case For, Against:
		criterion := m.Need("criterion", "Which criterion the argument belongs to.")
		l.refer(criterion, "criterion", func(id string) bool { _, ok := l.ids[id].(*Criterion); return ok })
		l.declare = append(l.declare, func() { r.Criterion, _ = l.ids[criterion.Text()].(*Criterion) })
		r.Weight = l.weight(m.Need("weight", weightHelp))
	case Caution:
		r.Say = m.Need("say", "What to watch for.").Text()
		if n := m.Get("hazard"); n != nil {
			r.Hazard, _ = n.YesNo()
		}
	case Needs:
		step := m.Need("step", "The treatment that must come first.")
		l.refer(step, "treatment", func(id string) bool { return l.Treatment(id) != nil })
		l.declare = append(l.declare, func() { r.Step = l.Treatment(step.Text()) })
	}
	return when
}

const weightHelp = "1 to 3; or 9, for what nothing that speaks the other way should outweigh."

// weight reads what an argument weighs.
func (l *loader) weight(n *yamlfile.Node) float64 {
	v := n.Int(1, 9)
	if v > 3 && v < 9 {
		n.Fault(fmt.Sprintf("%d is not a weight", v), "It is "+weightHelp)
	}
	return float64(v)
}

// only refuses a key that goes with other effects.
func (l *loader) only(m *yamlfile.Map, r *Rule, name string, effects ...Effect) {
	if n := m.Key(name); n != nil && r.Effect != "" && !slices.Contains(effects, r.Effect) {
		n.Fault(fmt.Sprintf("%q does not go with %q", name, string(r.Effect)+" when"), "")
	}
}

// treatments finds the treatments a rule is about.
func (l *loader) treatments(n *yamlfile.Node) []*Treatment {
	var list []*Treatment
	add := func(t *Treatment) {
		if !slices.Contains(list, t) {
			list = append(list, t)
		}
	}
	if n.IsMap() {
		for _, word := range n.Map("a choice of treatments", "family").Need("family", "").List() {
			before := len(list)
			for _, t := range l.Treatments {
				if slices.Contains(t.Families, word.Text()) {
					add(t)
				}
			}
			if len(list) == before && !l.hasFamily(word.Text()) {
				word.Fault(fmt.Sprintf("no treatment is of the family %q", word.Text()), "")
				l.nearName(word.Text(), "family")
			}
		}
		return list
	}
	if n.IsList() && len(n.List()) == 0 {
		n.Fault("the rule is about no treatment", "Name one, or choose a family: {family: wet}.")
	}
	for _, item := range n.List() {
		if text := item.Text(); !item.IsScalar() {
			continue // told
		} else if t := l.Treatment(text); t != nil {
			add(t)
		} else {
			item.Fault(fmt.Sprintf("there is no treatment %q", item.Text()), "")
			l.nearName(text, "treatment")
		}
	}
	return list
}

// families gives the families that a choice of treatments speaks of, nil where it names treatments.
func families(n *yamlfile.Node) []string {
	if !n.IsMap() {
		return nil
	}
	return n.Map("a choice of treatments").Get("family").Texts()
}

func (l *loader) hasFamily(word string) bool {
	return slices.ContainsFunc(l.Treatments, func(t *Treatment) bool { return slices.Contains(t.Families, word) })
}
