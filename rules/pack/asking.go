package pack

import (
	"slices"

	"tideline/rules/cond"
	"tideline/rules/vocab"
	"tideline/rules/yamlfile"
)

// Asking prices what a test costs, in the unit of support: the weight of a criterion times that of a rule. A test is
// worth its bench time and its harm when what it lets one do is supported by more.
type Asking struct {
	Minute float64            // what a minute at the bench costs
	Harm   map[string]float64 // by the word for the harm
	// Refused tells when tests of some harm may not be made, by the word for the harm.
	Refused map[string]*cond.Cond
}

// plainAsking is what a test costs where no pack says otherwise (common practice, no source): an hour at the bench
// outweighs no argument that counts, taking a sample outweighs most.
func plainAsking() Asking {
	return Asking{Minute: 0.005, Harm: map[string]float64{"none": 0, "trace": 0.1, "spot": 0.3, "sample": 1}, Refused: map[string]*cond.Cond{}}
}

// asking reads the prices of tests; a pack laid over another changes those it names.
func (l *loader) asking(n *yamlfile.Node) {
	if n == nil {
		return
	}
	m := n.Map("what tests cost", "minute", "harm", "refused when")
	price := func(n *yamlfile.Node) (float64, bool) {
		v, ok := n.Number()
		if ok && (v < 0 || v > 100) {
			n.Fault("a price lies between 0 and 100", "It is reckoned in units of support: the weight of a criterion times that of a rule.")
		}
		return v, ok
	}
	if minute := m.Get("minute"); minute != nil {
		if v, ok := price(minute); ok {
			l.Asking.Minute = v
		}
	}
	harms := m.Get("harm").Map("prices by harm", Harms...)
	for _, p := range harms.Pairs() {
		if v, ok := price(p.Value); ok && slices.Contains(Harms, p.Key.Raw()) {
			l.Asking.Harm[p.Key.Raw()] = v
		}
	}
	for _, p := range m.Get("refused when").Map("conditions by harm", Harms...).Pairs() {
		harm, when := p.Key.Raw(), p.Value
		l.compile = append(l.compile, func() {
			l.condition(when, Scope(vocab.Book, vocab.Book), func(c *cond.Cond) { l.Asking.Refused[harm] = c })
		})
	}
	last := 0.0
	for _, h := range Harms {
		if l.Asking.Harm[h] < last {
			m.Key("harm").Fault("a greater harm costs less than a smaller one", "From none to sample the prices must not fall.")
			break
		}
		last = l.Asking.Harm[h]
	}
}
