package cond

import (
	"slices"

	"tideline/rules/vocab"
)

// Cell is a set of answers to one question that no condition compiled so far can tell apart.
type Cell struct {
	// Answers are the answers of the cell. For a Number they are only points of it: its ends where the cell has them,
	// and a point between.
	Answers []vocab.Answer
}

// Some gives one answer of the cell.
func (c Cell) Some() vocab.Answer { return c.Answers[0] }

// gridPoints is how finely the range of a number is cut when a condition reckons with it.
const gridPoints = 9

// Cells cuts the answers of a question into cells by every value it is compared with. exact is false when a condition
// reckons with the answer (adds, multiplies, compares it with another answer), so that a grid stands in for the cells: the
// ends of the range, [gridPoints] points evenly over it, the ends of what a function takes, every value it is compared
// with, and a point between each two.
func (e *Env) Cells(q *vocab.Question) (cells []Cell, exact bool) { return Cut(q, e.atoms) }

// Cut cuts the answers of a question like [Env.Cells], by what some atoms only compare it with.
func Cut(q *vocab.Question, atoms []*Atom) (cells []Cell, exact bool) {
	var tests []*Test
	var steady []*Atom
	var marks []float64
	// Yes and no stay apart even where no condition compares them: whether a list is complete is read by no condition.
	merge, exact := q.Type != vocab.YesNo, true
	for _, a := range atoms {
		for _, r := range a.Reads {
			if r.Question != q {
				continue
			}
			switch marks = append(marks, a.Marks(q)...); {
			case a.Test != nil:
				tests = append(tests, a.Test)
			case a.Steady():
				steady = append(steady, a)
			default:
				merge = false
				exact = exact && q.Type != vocab.Number
			}
		}
	}
	same := func(a, b vocab.Answer) bool { return alike(q, tests, steady, a, b) }
	for _, a := range points(q, tests, marks) {
		if i := joins(q, same, cells, a); i >= 0 && (merge || cells[i].Some() == a) { // cuts can be neighbours, with nothing between
			cells[i].Answers = append(cells[i].Answers, a)
			continue
		}
		cells = append(cells, Cell{Answers: []vocab.Answer{a}})
	}
	return cells, exact
}

// joins finds the cell that an answer belongs to, -1 for none: the last one, or, since words have no order, any.
func joins(q *vocab.Question, same func(a, b vocab.Answer) bool, cells []Cell, a vocab.Answer) int {
	for i := len(cells) - 1; i >= 0; i-- {
		if same(cells[i].Some(), a) {
			return i
		}
		if q.Type != vocab.Words {
			break
		}
	}
	return -1
}

func alike(q *vocab.Question, tests []*Test, steady []*Atom, a, b vocab.Answer) bool {
	for _, t := range tests {
		if t.Holds(q, a) != t.Holds(q, b) {
			return false
		}
	}
	for _, s := range steady {
		if s.Says(a) != s.Says(b) {
			return false
		}
	}
	return true
}

// points lists answers so that every cell holds at least one of them, in rising order.
func points(q *vocab.Question, tests []*Test, marks []float64) []vocab.Answer {
	var list []vocab.Answer
	switch q.Type {
	case vocab.YesNo:
		return []vocab.Answer{vocab.Yes(false), vocab.Yes(true)}
	case vocab.Words:
		for _, w := range q.Words {
			list = append(list, vocab.Word(w))
		}
		return list
	case vocab.Grade:
		for g := 1.0; g <= 5; g += 0.5 {
			list = append(list, vocab.Num(g))
		}
		return list
	}
	cuts := append([]float64{q.From, q.To}, marks...)
	for _, t := range tests {
		for _, v := range t.Values {
			cuts = append(cuts, v.Num)
		}
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	for i, c := range cuts {
		list = append(list, vocab.Num(c))
		if i+1 < len(cuts) {
			list = append(list, vocab.Num((c+cuts[i+1])/2))
		}
	}
	return list
}
