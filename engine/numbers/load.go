package numbers

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/suppose"
	"tideline/engine/whynot"
	"tideline/rules/vocab"
)

// planLimit is how long one plan may take in a measurement; what is not proven by then is left out, and counted.
const planLimit = 5 * time.Second

// planned makes the plan of a judgement, nil when it was not proven in time.
func planned(g *judge.Judgement, o plan.Options) (*plan.Plan, error) {
	ctx, cancel := context.WithTimeout(context.Background(), planLimit)
	defer cancel()
	p, err := plan.Make(ctx, g, o)
	if err != nil || !p.Proven {
		return nil, err
	}
	return p, nil
}

// plans measures plans of the books: how much there is to watch for at a step, and how near a plan stays to itself when an
// answer surprises.
func (m *measure) plans() error {
	var loads []int
	repeats, all, unproven := 0, 0, 0
	d := &distances{measure: m}
	for _, g := range m.judged {
		p, err := planned(g, plan.Options{})
		if err != nil {
			return err
		}
		if p == nil {
			unproven++
			continue
		}
		told := map[string]bool{}
		for _, s := range p.Steps {
			cautions, _ := s.Verdict.AtHand()
			load := 0
			for _, c := range cautions {
				if all++; told[c] {
					repeats++
				} else {
					load++
				}
				told[c] = true
			}
			loads = append(loads, load)
		}
		if err := d.surprises(p); err != nil {
			return err
		}
	}
	slices.Sort(loads)
	median, high := 0, 0
	if len(loads) > 0 {
		median, high = loads[len(loads)/2], loads[len(loads)*95/100]
	}
	m.row("caution load", "cautions of a step in the plans of the books, those an earlier step told folded: median, 95th percentile", "≤ 4",
		shown(len(loads) > 0, high <= 4), "%d, %d over %d steps; %d of %d folded; %d plans not proven in time", median, high, len(loads), repeats, all, unproven)
	m.row("plan distance", "an answer that a step rests on becomes another: steps changed, over the least among plans as good that keep or drop any of them, asked for one by one",
		"0 excess", shown(d.tried > 0, d.excess == 0), "%d steps changed by %d surprises, %d more than the least; %d surprises not gone through", d.changed, d.tried, d.excess, d.left)
	return nil
}

// shown tells whether a target is met, and nothing where there was nothing to measure it on.
func shown(some, ok bool) *bool {
	if !some {
		return nil
	}
	return &ok
}

// distances counts steps changed after planted surprises.
type distances struct {
	*measure
	tried, changed, excess, left int
}

// Of each book so many surprises are tried, and of each so many changed steps are gone through at the most.
const (
	mostSurprises = 2
	mostMixed     = 3
)

// surprises plants answers that differ from those a plan's steps rest on.
func (d *distances) surprises(p *plan.Plan) error {
	tried := 0
	for _, s := range p.Steps {
		if tried == mostSurprises {
			return nil
		}
		v := p.Judgement.Of(s.Key.Treatment, s.Path)
		if v == nil {
			continue
		}
		g, err := d.surprise(p.Judgement, v)
		if err != nil {
			return err
		}
		if g == nil {
			continue
		}
		tried++
		if err := d.distance(p, g); err != nil {
			return err
		}
	}
	return nil
}

// surprise judges a book with one answer, of those a verdict rests on, turned so that the verdict is another; nil when no
// such answer is found. Lists and the kinds of things stay: they are no test that could come out otherwise.
func (d *distances) surprise(g *judge.Judgement, v *judge.Verdict) (*judge.Judgement, error) {
	for _, n := range leaves(g, v) {
		a := g.Case.Asks[n]
		if !a.Answer.Known || a.Question.Measured || a.Question.Nature == vocab.Fixed || a.Thing.Unlisted || strings.HasSuffix(a.Question.Name, "_listed") {
			continue
		}
		cells, _ := g.Case.Pack.Env.Cells(a.Question)
		for _, cell := range cells {
			if cell.Some() == a.Answer {
				continue
			}
			now, err := suppose.Judge(g, []suppose.Answer{{Thing: a.Thing.Record, Question: a.Question, Answer: cell.Some()}})
			if err != nil {
				return nil, err
			}
			if w := now.Of(v.Treatment.ID, v.Target.Path); len(now.Contradictions) == 0 && w != nil && w.Word != v.Word {
				return now, nil
			}
		}
	}
	return nil, nil
}

// distance plans again near an earlier plan, and looks for a plan as good that is nearer.
func (d *distances) distance(before *plan.Plan, g *judge.Judgement) error {
	earlier := keysOf(before)
	now, err := planned(g, plan.Options{Earlier: earlier})
	if err != nil {
		return err
	}
	if now == nil {
		d.left++
		return nil
	}
	changed := apart(earlier, keysOf(now))
	if len(changed) > mostMixed {
		d.left++
		return nil
	}
	d.tried, d.changed = d.tried+1, d.changed+len(changed)
	least := len(changed)
	for bits := 1; bits < 1<<len(changed); bits++ {
		o := plan.Options{Earlier: earlier}
		for i, k := range changed {
			switch kept := slices.Contains(earlier, k); {
			case bits>>i&1 == 0:
			case kept && g.Of(k.Treatment, k.Path) != nil:
				o.With = append(o.With, k)
			case !kept:
				o.Without = append(o.Without, k)
			}
		}
		if len(o.With)+len(o.Without) == 0 {
			continue
		}
		other, err := planned(g, o)
		if refused := (*plan.Refusal)(nil); errors.As(err, &refused) {
			continue // there is no such plan
		}
		if err != nil {
			return err
		}
		if other != nil && len(other.Steps) > 0 && other.Cost.Compare(now.Cost) <= 0 {
			least = min(least, len(apart(earlier, keysOf(other))))
		}
	}
	d.excess += len(changed) - least
	return nil
}

func keysOf(p *plan.Plan) (list []plan.Key) {
	for _, s := range p.Steps {
		list = append(list, s.Key)
	}
	return list
}

// apart lists the steps of one plan and not of the other.
func apart(a, b []plan.Key) (list []plan.Key) {
	for _, k := range a {
		if !slices.Contains(b, k) {
			list = append(list, k)
		}
	}
	for _, k := range b {
		if !slices.Contains(a, k) {
			list = append(list, k)
		}
	}
	return list
}

// mostAsked is of how many verdicts of a book it is measured what would turn them.
const mostAsked = 40

// turning measures how long it takes to find what would turn a verdict.
func (m *measure) turning() error {
	var took []time.Duration
	for _, g := range m.judged {
		asked := 0
		for _, v := range g.Verdicts {
			if v.Word != judge.RuledOut && v.Word != judge.TestFirst || asked == mostAsked {
				continue
			}
			asked++
			start := time.Now()
			if _, err := whynot.Find(g, v, whynot.To(v)); err != nil {
				return err
			}
			took = append(took, time.Since(start))
		}
	}
	slices.Sort(took)
	median, high := time.Duration(0), time.Duration(0)
	if len(took) > 0 {
		median, high = took[len(took)/2], took[len(took)*95/100]
	}
	m.row("what would turn it", "time to find all smallest changes of verdicts that are ruled out or wait: median, 95th percentile; a time, so no target fails on it", "≤ 200 ms", nil,
		"%d ms, %d ms over %d", median.Milliseconds(), high.Milliseconds(), len(took))
	return nil
}
