package ask

import "math"

// Outcome is one way in which something could turn out: its chance, and the value then.
type Outcome struct{ Chance, Value float64 }

// Gain is the expected value of finding out which of the outcomes it is, over the value now. The chances need not sum to
// 1; where they sum to nothing, all outcomes are held equally likely.
func Gain(now float64, outcomes []Outcome) float64 {
	sum, value := 0.0, 0.0
	for _, o := range outcomes {
		sum, value = sum+o.Chance, value+o.Chance*o.Value
	}
	if sum == 0 {
		equal := make([]Outcome, 0, len(outcomes))
		for _, o := range outcomes {
			equal = append(equal, Outcome{1, o.Value})
		}
		if len(equal) == 0 {
			return 0
		}
		return Gain(now, equal)
	}
	return value/sum - now
}

// Table is a decision table: what each action pays in each state, and the chance of each state.
type Table struct {
	Chance []float64
	Pays   [][]float64 // by action, then by state
}

// Best is the action that can be expected to pay most, and how much.
func (t Table) Best() (action int, pays float64) { return t.best(t.Chance) }

func (t Table) best(chance []float64) (action int, pays float64) {
	pays = math.Inf(-1)
	for a := range t.Pays {
		if v := t.Expected(a, chance); v > pays {
			action, pays = a, v
		}
	}
	return action, pays
}

// Expected is what an action can be expected to pay.
func (t Table) Expected(action int, chance []float64) float64 {
	states := make([]Outcome, 0, len(chance))
	for s, p := range chance {
		states = append(states, Outcome{p, t.Pays[action][s]})
	}
	return Gain(0, states)
}

// Perfect is the expected value of knowing the state.
func (t Table) Perfect() float64 {
	_, now := t.Best()
	states := make([]Outcome, 0, len(t.Chance))
	for s, p := range t.Chance {
		most := math.Inf(-1)
		for a := range t.Pays {
			most = max(most, t.Pays[a][s])
		}
		states = append(states, Outcome{p, most})
	}
	return Gain(now, states)
}

// Sample is the expected value of a test that hints at the state: likely gives, by result and then by state, how likely
// the result is in that state.
func (t Table) Sample(likely [][]float64) float64 {
	_, now := t.Best()
	results := make([]Outcome, 0, len(likely))
	for _, given := range likely {
		joint, p := make([]float64, len(t.Chance)), 0.0
		for s, chance := range t.Chance {
			joint[s] = chance * given[s]
			p += joint[s]
		}
		_, pays := t.best(joint)
		results = append(results, Outcome{p, pays})
	}
	return Gain(now, results)
}
