package ask

import (
	"slices"

	"tideline/rules/cond"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Price is what a test costs, in units of support.
type Price struct {
	Minutes float64 // the bench time, priced
	Harm    float64 // what it does to the book, priced
}

// Sum is both together.
func (p Price) Sum() float64 { return p.Minutes + p.Harm }

// price gives the price of answering a question. What no test of the pack answers, the record itself can say: that costs
// a minute.
func (s *search) price(number int) Price {
	t := s.test(number)
	if t == nil {
		return Price{Minutes: s.asking.Minute}
	}
	return Price{float64(t.Minutes) * s.asking.Minute, s.asking.Harm[harmOf(t)]}
}

func (s *search) test(number int) *pack.Test {
	return s.g.Case.Pack.Test(s.g.Case.Asks[number].Question.ID)
}

func harmOf(t *pack.Test) string {
	if t == nil || t.Harm == "" {
		return pack.Harms[0]
	}
	return t.Harm
}

// destructive tells how much a test takes from the book: 0 for what leaves it whole.
func destructive(t *pack.Test) int {
	at := slices.Index(pack.Harms, harmOf(t))
	return max(0, at-1) // none and trace leave nothing that shows
}

// chances gives how likely each cell of a question is held to be. said is false when the pack holds nothing, so that all
// answers count equally: each yes or no, each word, each half grade, and of a number each stretch the rules tell apart.
func chances(q *vocab.Question, cells []cond.Cell, t *pack.Test) (list []float64, said bool) {
	list = make([]float64, len(cells))
	if t != nil && len(t.Chance) > 0 {
		for text, p := range t.Chance {
			if a, _, err := q.Parse(text); err == nil {
				if at := cellOf(q, cells, a); at >= 0 {
					list[at] += p
				}
			}
		}
		return list, true
	}
	for i, c := range cells {
		list[i] = 1
		if q.Type != vocab.Number {
			list[i] = float64(len(c.Answers))
		}
	}
	return list, false
}

// cellOf finds the cell an answer belongs to. Of a number the cells hold only points: its ends and a value between two.
func cellOf(q *vocab.Question, cells []cond.Cell, a vocab.Answer) int {
	if q.Type != vocab.Number {
		return slices.IndexFunc(cells, func(c cond.Cell) bool { return slices.Contains(c.Answers, a) })
	}
	var points []float64 // rising: by turns a value something compares with, and one that stands for all up to the next
	var owner []int
	for i, c := range cells {
		for _, p := range c.Answers {
			points, owner = append(points, p.Num), append(owner, i)
		}
	}
	at, exact := slices.BinarySearch(points, a.Num)
	switch {
	case exact:
		return owner[at]
	case at == 0 || at == len(points):
		return -1
	case at%2 == 0:
		return owner[at-1] // the point before stands for a stretch
	}
	return owner[at]
}

// chance gives how likely a cell is, from the pack or drawn.
func (s *search) chance(number, cell int) float64 {
	q := s.g.Case.Asks[number].Question
	if list, ok := s.drawn[q]; ok {
		return list[cell]
	}
	list, ok := s.held[q]
	if !ok {
		list, _ = chances(q, s.root.Cells(number), s.test(number))
		s.held[q] = list
	}
	return list[cell]
}

// refused tells whether the pack says that tests of such harm may not be made on this book. Not known is not allowed.
func (s *search) refused(number int) bool {
	when := s.asking.Refused[harmOf(s.test(number))]
	return when != nil && s.g.Holds(when, s.g.Case.Of(vocab.Book)[0]) != cond.False
}
