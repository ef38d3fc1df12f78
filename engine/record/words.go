package record

import (
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// WordsOf gives what a record may say under a pack.
func WordsOf(p *pack.Pack) *Words {
	w := &Words{Vocabulary: p.Vocabulary, Criteria: map[string]Bounds{}, Treatments: map[string]vocab.Kind{}}
	for _, a := range p.Aims {
		w.Aims = append(w.Aims, a.ID)
	}
	for _, c := range p.Criteria {
		w.Criteria[c.ID] = Bounds{c.From, c.To}
	}
	for _, t := range p.Treatments {
		w.Treatments[t.ID] = t.Of
	}
	return w
}
