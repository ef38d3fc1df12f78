package vocab

import "sort"

// Vocabulary is every question that can be asked, of a pack laid over the measured ones.
type Vocabulary struct {
	byID   map[string]*Question
	byKind map[Kind][]*Question
}

// NewVocabulary starts with the questions that the record itself answers.
func NewVocabulary() *Vocabulary {
	v := &Vocabulary{byID: map[string]*Question{}, byKind: map[Kind][]*Question{}}
	for _, q := range Measured() {
		v.Add(&q)
	}
	return v
}

// Add adds a question; it gives false when the id is taken.
func (v *Vocabulary) Add(q *Question) bool {
	if v.byID[q.ID] != nil {
		return false
	}
	v.byID[q.ID] = q
	v.byKind[q.Kind] = append(v.byKind[q.Kind], q)
	return true
}

// Question gives the question of that id (kind.name), nil when there is none.
func (v *Vocabulary) Question(id string) *Question { return v.byID[id] }

// Of gives the questions asked of a kind, in the order they were declared.
func (v *Vocabulary) Of(k Kind) []*Question { return v.byKind[k] }

// IDs lists all question ids in alphabetical order.
func (v *Vocabulary) IDs() []string {
	ids := make([]string, 0, len(v.byID))
	for id := range v.byID {
		ids = append(ids, id)
	}
	sort.Strings(ids)
	return ids
}
