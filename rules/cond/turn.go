package cond

import (
	"slices"

	"tideline/rules/vocab"
)

// limit is a comparison of what one function gives with a written value.
type limit struct {
	call  *Call
	op    string
	value float64
}

func (l *limit) holds(v float64) bool {
	switch l.op {
	case "<":
		return v < l.value
	case "<=":
		return v <= l.value
	case ">":
		return v > l.value
	case ">=":
		return v >= l.value
	case "==":
		return v == l.value
	}
	return v != l.value
}

// Sampled tells whether the answers to what the atom reads cannot be cut exactly: it reckons with a number, so that
// points of its range stand in for all of it. A call of a function with one answer in which it is steady is none such.
func (a *Atom) Sampled() bool {
	number := func(r Read) bool { return r.Question.Type == vocab.Number }
	return a.Test == nil && !a.Steady() && slices.ContainsFunc(a.Reads, number)
}

// Steady tells whether the atom compares what a function gives for one answer with a written value, and turns but once
// where nothing is refused.
func (a *Atom) Steady() bool {
	if a.limit == nil || len(a.Reads) != 1 || a.limit.op == "==" || a.limit.op == "!=" {
		return false
	}
	for i, arg := range a.limit.call.Args {
		if arg.Read != written && !a.limit.call.Function.Params[i].Steady {
			return false
		}
	}
	return true
}

// Says is the value of a steady atom for an answer to its question: open where the function refuses it.
func (a *Atom) Says(answer vocab.Answer) Truth {
	v, known, _ := a.limit.call.Do(func(int) vocab.Answer { return answer })
	if !known {
		return Open
	}
	return Of(a.limit.holds(v))
}

// Marks gives numbers at which the answers to a question must be cut because of the atom, besides the values it compares
// them with: of a steady atom each number at which its value changes or after which it does, of one that reckons the ends
// of what its functions take and a grid over the range of the question.
func (a *Atom) Marks(q *vocab.Question) []float64 {
	switch {
	case a.Test != nil || q.Type != vocab.Number:
		return nil
	case a.Steady():
		return a.turns()
	}
	var marks []float64
	for i := range gridPoints {
		marks = append(marks, q.From+(q.To-q.From)*float64(i)/(gridPoints-1))
	}
	for _, c := range a.Calls {
		marks = append(marks, c.ends(func(n int) bool { return a.Reads[n].Question == q }, q)...)
	}
	return marks
}

// ends gives the ends of the ranges of the parameters that take the answer to a question, so far as it can reach them.
func (c *Call) ends(reads func(n int) bool, q *vocab.Question) (list []float64) {
	for i, arg := range c.Args {
		p := c.Function.Params[i]
		if arg.Read == written || !reads(arg.Read) || p.From == p.To {
			continue
		}
		for _, end := range []float64{p.From, p.To} {
			if end >= q.From && end <= q.To {
				list = append(list, end)
			}
		}
	}
	return list
}

// findTurns finds the numbers at which the value of a steady atom changes: the first with the new value, or the last with
// the old where that is the end of a range.
func (a *Atom) findTurns() []float64 {
	q := a.Reads[0].Question
	at := append(a.limit.call.ends(func(int) bool { return true }, q), q.From, q.To)
	slices.Sort(at)
	at = slices.Compact(at)
	var turns []float64
	for i := range len(at) - 1 {
		low, high := at[i], at[i+1]
		was := a.Says(vocab.Num(low))
		if was == a.Says(vocab.Num(high)) {
			continue
		}
		for mid := low + (high-low)/2; mid > low && mid < high; mid = low + (high-low)/2 {
			if a.Says(vocab.Num(mid)) == was {
				low = mid
			} else {
				high = mid
			}
		}
		if low == at[i] {
			turns = append(turns, low)
		} else {
			turns = append(turns, high)
		}
	}
	return turns
}
