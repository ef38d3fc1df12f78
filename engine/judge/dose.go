package judge

import (
	"slices"

	"tideline/rules/cond"
	"tideline/rules/vocab"
)

// marks are what is to be said of a value that rests on reckoning.
type marks struct{ sampled, refused bool }

func (m marks) with(o marks) marks { return marks{m.sampled || o.sampled, m.refused || o.refused} }

// marks finds whether formulas rest on points of a range, and whether they hold something that cannot be computed with
// the answers given.
func (j *judge) marks(formulas ...*formula) marks {
	if !j.reckons {
		return marks{}
	}
	some := func(is func(*leaf) bool) bool {
		return slices.ContainsFunc(formulas, func(f *formula) bool { return f.find(is) })
	}
	return marks{
		sampled: some(func(l *leaf) bool { return l.sampled && len(l.asks) > 0 }),
		refused: some(func(l *leaf) bool { return l.refused != nil && len(l.asks) == 0 }),
	}
}

// Dosed is a call of a function with the answers of the case.
type Dosed struct {
	Call   *cond.Call
	Values []vocab.Answer // of the parameters; the zero answer for one not known
	Value  float64        // what it gives, when it was computed
	// Refusal is why it cannot be computed, whatever the answers not known turn out to be; nil otherwise.
	Refusal error
}

// makeCall makes a call with what read gives for the questions it reads. done is false where an answer is missing, or it
// refuses.
func makeCall(c *cond.Call, read func(n int) vocab.Answer) (d *Dosed, done bool) {
	d = &Dosed{Call: c}
	for _, a := range c.Args {
		v := a.Value
		if a.Read >= 0 {
			v = read(a.Read)
		}
		d.Values = append(d.Values, v)
	}
	d.Value, done, d.Refusal = c.Do(read)
	return d, done
}

// MakeCall makes a call with the answers to all that its atom reads, in their order.
func MakeCall(c *cond.Call, answers []vocab.Answer) *Dosed {
	d, _ := makeCall(c, func(n int) vocab.Answer { return answers[n] })
	return d
}

// doses gives a node for each function that an atom calls: what it was given and what came of it.
func (j *judge) doses(n *cond.Node, env []int32) []*Proof {
	var list []*Proof
	for _, c := range n.Atom.Calls {
		d, done := makeCall(c, func(read int) vocab.Answer {
			r := &n.Atom.Reads[read]
			thing := j.end(cond.Path{Slot: n.Args[r.Arg], Links: r.Links}, env)
			return j.c.Asks[thing.Base+r.Slot].Answer
		})
		p := j.node(StepDose)
		p.Text, p.About = c.Text, &About{Dose: d}
		if done {
			p.Value = cond.True
		}
		list = append(list, p)
	}
	return list
}
