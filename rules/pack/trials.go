package pack

import (
	"fmt"
	"slices"
	"strings"

	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// Verdicts are the five verdicts, as trials and people write them.
var Verdicts = []string{"recommended", "possible", "test first", "ruled out", "no need"}

func (l *loader) trial(n *yamlfile.Node) {
	m := n.Map("a trial", "name", "like", "with", "fires", "speaks for", "speaks against", "silent", "open", "proves", "verdicts", "stale", "settles", "warns")
	t := &Trial{
		Name: m.Need("name", "Say what the trial shows.").Text(), Like: m.Need("like", "The sample it starts from.").Text(),
		Fires: m.Get("fires").Texts(), SpeaksFor: m.Get("speaks for").Texts(), SpeaksAgainst: m.Get("speaks against").Texts(),
		Silent: m.Get("silent").Texts(), Open: m.Get("open").Texts(), Proves: m.Get("proves").Texts(), Place: n.Place(),
	}
	l.Trials = append(l.Trials, t)
	l.layerOf[t] = len(l.Layers)
	if key := m.Get("name"); key != nil {
		l.claim(key, "trial "+t.Name, t)
	}
	l.refer(m.Get("like"), "sample", func(id string) bool { _, ok := l.ids[id].(*Sample); return ok })
	for _, k := range []string{"fires", "speaks for", "speaks against", "silent", "open"} {
		l.refer(m.Get(k), "rule", func(id string) bool { return l.Rule(id) != nil })
	}
	l.refer(m.Get("proves"), "fact", func(id string) bool { return l.Fact(id) != nil })
	for _, p := range m.Get("with").Map("answers by question").Pairs() {
		t.With = append(t.With, change(p))
	}
	for _, p := range m.Get("verdicts").Map("verdicts by treatment").Pairs() {
		id, on, _ := strings.Cut(p.Key.Raw(), " on ")
		t.Verdicts = append(t.Verdicts, Expectation{Treatment: id, On: on, Verdict: p.Value.Word(Verdicts...), Place: p.Key.Place()})
		l.declare = append(l.declare, func() {
			if l.Treatment(id) == nil {
				p.Key.Fault(fmt.Sprintf("there is no treatment %q", id), "")
				l.nearName(id, "treatment")
			}
		})
	}
	t.Stale, t.Settles = l.aftermath(m.Get("stale")), l.aftermath(m.Get("settles"))
	l.warnings(m.Get("warns"), t)
	if len(t.Fires)+len(t.SpeaksFor)+len(t.SpeaksAgainst)+len(t.Silent)+len(t.Open)+len(t.Proves)+len(t.Verdicts)+len(t.Stale)+len(t.Settles)+len(t.Warns) == 0 {
		n.Fault("the trial expects nothing", "Say which rules fire or are silent, or which verdicts must come.")
	}
}

// aftermath reads a table of what becomes of answers once a treatment is done.
func (l *loader) aftermath(table *yamlfile.Node) (list []Aftermath) {
	for _, p := range table.Map("questions by treatment").Pairs() {
		list = append(list, Aftermath{Treatment: p.Key.Raw(), Questions: p.Value.Texts(), Place: p.Key.Place()})
		l.refer(p.Key, "treatment", func(id string) bool { return l.Treatment(id) != nil })
		l.refer(p.Value, "question", func(id string) bool { return l.Vocabulary.Question(id) != nil })
	}
	return list
}

// warnings reads the table `warns` of a trial.
func (l *loader) warnings(warns *yamlfile.Node, t *Trial) {
	for _, p := range warns.Map("words by treatment or question").Pairs() {
		t.Warns = append(t.Warns, Warning{Of: p.Key.Raw(), Words: p.Value.Texts(), Place: p.Key.Place()})
		l.refer(p.Key, "treatment", func(id string) bool { return l.Treatment(id) != nil || l.Test(id) != nil })
	}
}

// change reads `ink.wet: 3` or `cover/outside/red.wet: 3`. Kinds contain no slash and things are never named like kinds,
// so that the two cannot be mistaken; a fastener or part is named as `upper.rust`.
func change(p yamlfile.Pair) Change {
	key := p.Key.Raw()
	before, after, _ := strings.Cut(key, ".")
	if questionForm.MatchString(key) && slices.Contains(vocab.Kinds, vocab.Kind(before)) {
		return Change{Ask: key, Answer: p.Value}
	}
	return Change{On: before, Ask: after, Answer: p.Value}
}
