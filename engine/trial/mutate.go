package trial

import (
	"runtime"
	"sync"
	"sync/atomic"

	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Score is what the trials of a pack notice of small changes made to it, one at a time.
type Score struct {
	Mutants []*Mutant // rules by id, then facts, treatments, tests; each in the order of its condition
	All     Tally
	// Safety counts those mutants by which a treatment could be let through, or a danger or a stale answer go untold.
	Safety Tally
	// Left are trials that do not come out as written even without a change. They notice nothing.
	Left []string
}

// Tally counts mutants. Undecided ones count among those not noticed.
type Tally struct {
	Made       int `json:"made"`
	Killed     int `json:"noticed"`
	Equivalent int `json:"equivalent"`
	Undecided  int `json:"undecided"`
}

// Share is killed of those made less the equivalent ones, 0 to 1; 1 when none is left.
func (t Tally) Share() float64 {
	if t.Made == t.Equivalent {
		return 1
	}
	return float64(t.Killed) / float64(t.Made-t.Equivalent)
}

func (t *Tally) add(f Fate) {
	t.Made++
	switch f {
	case Killed:
		t.Killed++
	case Equivalent:
		t.Equivalent++
	case Undecided:
		t.Undecided++
	}
}

// Mutant is one change to a pack.
type Mutant struct {
	Change  Change
	Of      string // the id of the rule, fact, treatment or question changed
	Place   fault.Place
	Was, Is string // the part changed, as conditions and packs write it; Is is "" for what was dropped
	// Safety marks a mutant that Score.Safety counts.
	Safety bool
	Fate   Fate
	By     string // the name of the trial that noticed

	make maker
}

// Change is what was done to a pack.
type Change string

// The changes. In a condition:
const (
	NegateAtom     Change = "atom negated"
	DropOperand    Change = "operand dropped" // of && or ||
	SwapJunction   Change = "&& and || swapped"
	ShiftThreshold Change = "threshold shifted"     // half a grade, to the neighbouring cut of a number, or 5 %; atLeast by one
	FlipStrictness Change = "limit taken in or out" // < and <=, > and >=
	ChangeWord     Change = "word changed"
	SwapQuantifier Change = "exists and all swapped"
)

// Elsewhere:
const (
	DropRule     Change = "rule dropped"
	DropFact     Change = "fact dropped" // it never holds
	Weaken       Change = "rules out made against"
	SwapArgument Change = "for and against swapped"
	UnmarkHazard Change = "caution no longer for people"
	DropStale    Change = "makes stale dropped"
	DropSet      Change = "answer given dropped"
	DropHazard   Change = "hazard dropped"
)

// Fate is what came of a mutant.
type Fate string

// The fates.
const (
	Killed     Fate = "noticed"
	Survived   Fate = "not noticed"
	Equivalent Fate = "equivalent" // no book can tell it from the pack: see cond.Env.Find
	Undecided  Fate = "undecided"  // not noticed, and not searched to the end whether it is equivalent
)

// Mutate changes a pack in small ways and runs the trials that the change touches, until one notices. progress, if not
// nil, is called after each mutant. The pack itself stays as it is: every worker changes a copy of its own, and the same
// pack gives the same score.
//
// A dropped rule or fact is one that never holds. Rules that are withdrawn, never statements and `where` stay unchanged.
func Mutate(p *pack.Pack, progress func(done, all int)) *Score {
	s := &Score{Mutants: mutants(p)}
	failed := failing(p)
	for _, t := range p.Trials {
		if failed[t.Name] {
			s.Left = append(s.Left, t.Name)
		}
	}
	var next, done atomic.Int64
	var telling sync.Mutex
	var workers sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(s.Mutants)) {
		workers.Go(func() {
			w := newWorkshop(p, failed)
			for i := int(next.Add(1)) - 1; i < len(s.Mutants); i = int(next.Add(1)) - 1 {
				w.try(s.Mutants[i])
				if n := int(done.Add(1)); progress != nil {
					telling.Lock()
					progress(n, len(s.Mutants))
					telling.Unlock()
				}
			}
		})
	}
	workers.Wait()
	for _, m := range s.Mutants {
		s.All.add(m.Fate)
		if m.Safety {
			s.Safety.add(m.Fate)
		}
	}
	return s
}

// failing gives the names of trials that fail or cannot be read.
func failing(p *pack.Pack) map[string]bool {
	report, failed := Run(p), map[string]bool{}
	for _, f := range report.Failures {
		failed[f.Trial.Name] = true
	}
	return failed
}

// workshop is where one worker changes its own copy of a pack and tries it.
type workshop struct {
	pack   *pack.Pack
	trials []*prepared
	uses   map[string]*users       // by fact
	needs  map[string][]string     // by treatment: itself and those its verdict hangs on
	about  map[string][]*pack.Rule // by treatment
	before map[string]string       // what rules said of a trial's book before the change
}

func newWorkshop(p *pack.Pack, failed map[string]bool) *workshop {
	own := pack.Load(p.Layers, &fault.List{}, p.Functions...)
	w := &workshop{pack: own, trials: prepare(own, failed), uses: factUsers(own), needs: map[string][]string{}, about: map[string][]*pack.Rule{}, before: map[string]string{}}
	for _, r := range own.Rules {
		for _, t := range r.Treatments {
			w.about[t.ID] = append(w.about[t.ID], r)
		}
	}
	for _, t := range own.Treatments {
		w.needs[t.ID] = hangsOn(own, t)
	}
	return w
}

// hangsOn lists a treatment and those by which it could be needed, and so on: what its verdict hangs on.
func hangsOn(p *pack.Pack, t *pack.Treatment) []string {
	list, seen := []string{t.ID}, map[string]bool{t.ID: true}
	for i := 0; i < len(list); i++ {
		for _, r := range p.Rules {
			if r.Effect != pack.Needs || r.Step == nil || r.Step.ID != list[i] {
				continue
			}
			for _, by := range r.Treatments {
				if !seen[by.ID] {
					seen[by.ID] = true
					list = append(list, by.ID)
				}
			}
		}
	}
	return list
}

// users is what reads a fact, directly or by way of other facts.
type users struct {
	facts, rules map[string]bool
	everywhere   bool // a never statement or a `where` reads it: every verdict may hang on it
}

func factUsers(p *pack.Pack) map[string]*users {
	by := map[string]*users{}
	for _, f := range p.Facts {
		by[f.ID] = &users{facts: map[string]bool{f.ID: true}, rules: map[string]bool{}}
	}
	each := func(c *cond.Cond, visit func(u *users)) {
		if c == nil {
			return
		}
		for _, u := range by {
			if readsAny(c, u.facts) {
				visit(u)
			}
		}
	}
	for _, f := range p.Facts { // each after those it uses
		each(f.Is, func(u *users) { u.facts[f.ID] = true })
	}
	for _, r := range p.Rules {
		for _, c := range r.When {
			each(c, func(u *users) { u.rules[r.ID] = true })
		}
	}
	for _, n := range p.Never {
		each(n.When, func(u *users) { u.everywhere = true })
	}
	for _, t := range p.Treatments {
		each(t.Where, func(u *users) { u.everywhere = true })
	}
	return by
}

func readsAny(c *cond.Cond, facts map[string]bool) (yes bool) {
	c.Root.Walk(func(n *cond.Node) { yes = yes || n.Op == cond.OpFact && facts[n.Fact] })
	return yes
}

// touched is what a change may make speak otherwise.
type touched struct {
	rules, facts map[string]bool
	verdicts     func(treatment string) bool
	of           string          // the rule or fact changed
	speakers     map[string]bool // the rules by whose values alone a verdict can change
	prune        bool            // there is no other way for a verdict to change
}

// kills are the ways in which a trial can notice a change, the quickest first.
func (w *workshop) kills() []func(*prepared, *attempt) bool {
	return []func(*prepared, *attempt) bool{w.noticedByRules, w.noticedByWarnings, w.noticedByStale, w.noticedByVerdicts}
}

// try makes a mutant, looks whether a trial notices it, and undoes it.
func (w *workshop) try(m *Mutant) {
	made := m.make(w)
	defer made.undo()
	m.Safety = made.safety
	for _, kill := range w.kills() {
		for _, t := range w.trials {
			if kill(t, made) {
				m.Fate, m.By = Killed, t.trial.Name
				return
			}
		}
	}
	m.Fate = made.fate
}

// relation compares conditions before and after a change, each for the kinds of target it has. Only targets count that a
// treatment in about may be done to; about is nil for a fact.
func (w *workshop) relation(env *cond.Env, was, is map[vocab.Kind]*cond.Cond, about []*pack.Treatment) (weaker bool, fate Fate) {
	fact := func(id string) *cond.Cond { return w.pack.Fact(id).Is }
	sure := true
	differs := false
	for _, k := range vocab.Kinds {
		if was[k] == nil {
			continue
		}
		for _, where := range targets(about, k) {
			holds := func(c *cond.Cond) []*cond.Cond { return append([]*cond.Cond{c}, where...) }
			_, less, sureLess := env.Find(holds(was[k]), []*cond.Cond{is[k]}, fact)
			_, more, sureMore := env.Find(holds(is[k]), []*cond.Cond{was[k]}, fact)
			weaker = weaker || less || !sureLess
			differs = differs || less || more
			sure = sure && sureLess && sureMore
		}
	}
	switch {
	case differs:
		return weaker, Survived
	case sure:
		return weaker, Equivalent
	}
	return weaker, Undecided
}

// targets gives, for each treatment done to a kind of thing, what must hold of the thing for it to be a candidate: a list
// of one condition, or of none when everything of the kind is. Where that is so for one treatment, the others add nothing.
func targets(about []*pack.Treatment, k vocab.Kind) [][]*cond.Cond {
	var list [][]*cond.Cond
	for _, t := range about {
		switch {
		case t.Of != k:
		case t.Where == nil:
			return [][]*cond.Cond{nil}
		default:
			list = append(list, []*cond.Cond{t.Where})
		}
	}
	if list == nil {
		return [][]*cond.Cond{nil}
	}
	return list
}
