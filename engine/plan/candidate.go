package plan

import (
	"cmp"
	"math"
	"slices"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// candidate is a treatment of a thing of the book, or of a finding that some treatment could bring. What it does is told here
// once, by the things it reaches; what it would be judged, on each book foreseen.
type candidate struct {
	Key
	*pack.Treatment
	n       int
	level   int             // how far down the orders of the pack the treatment stands
	thing   *evidence.Thing // in the full case
	parts   []string        // the parts it has to do with
	deals   map[*Subject]int
	brings  []*Brought
	meets   []*Brought // what others bring and it clears or lessens
	clears  []int      // findings it clears, by their place among the things of the full case
	sets    []settled
	worth   *int64 // its support, once asked for: see [planner.support]
	serves  set    // those that could need it: see [planner.servers]
	rests   *rests // what its verdict can rest on, once asked for: see [planner.restsOn]
	met     map[string]*meeting
	finding int // the place of the finding it is done to, -1 for any other thing
	instead set // those never done beside it
}

// settled is an answer that a step gives, or is expected to.
type settled struct {
	ask      int // by its number in the full case
	answer   vocab.Answer
	expected bool // it is to be asked again; where nothing was known, nothing is expected
}

// findCandidates makes the candidates: every treatment for every thing, and for every finding that any of them brings. The full
// case is the book with all these findings.
func (pl *planner) findCandidates() {
	c := pl.base.Case
	pl.full = c
	for before := -1; before != len(pl.brought); {
		before = len(pl.brought)
		for _, t := range c.Pack.Treatments {
			for _, target := range pl.full.Of(t.Of) {
				if len(t.Brings) > 0 && !t.DoesNothing && !target.Unlisted {
					pl.bring(t, target)
				}
			}
		}
		book := *c.Book
		pl.place(&book, func(*Brought) bool { return true })
		pl.full = evidence.Gather(c.Pack, &book, c.On)
	}
	for _, b := range pl.brought {
		pl.broughtAt[b.Path] = b
	}
	level := levels(c.Pack)
	for _, t := range c.Pack.Treatments {
		for _, target := range pl.full.Of(t.Of) {
			if !t.DoesNothing && !target.Unlisted && !pl.isDone(Key{t.ID, target.Path}) {
				pl.cands = append(pl.cands, pl.candidate(t, target, level[t.ID]))
			}
		}
	}
	slices.SortFunc(pl.cands, pl.before)
	pl.size = len(pl.cands) + len(pl.brought)
	for n, k := range pl.cands {
		k.n = n
		pl.byKey[k.Key] = n
	}
	pl.index()
}

// candidate makes a candidate.
func (pl *planner) candidate(t *pack.Treatment, target *evidence.Thing, level int) *candidate {
	k := &candidate{Key: Key{t.ID, target.Path}, Treatment: t, level: level, thing: target, deals: map[*Subject]int{}, finding: -1, met: map[string]*meeting{}}
	if target.Kind == vocab.Finding {
		k.finding = target.Index
	}
	for _, p := range pl.full.Reach(target, vocab.Part) {
		k.parts = append(k.parts, p.Path)
	}
	for s, level := range pl.deals[k.Key] {
		k.deals[s] = level
	}
	for _, f := range pl.full.Reach(target, vocab.Finding) {
		does := eases(t, pl.kindOf(f))
		if does == 0 {
			continue
		}
		if does == clears {
			k.clears = append(k.clears, f.Index)
		}
		if b := pl.broughtAt[f.Path]; b != nil {
			k.meets = append(k.meets, b)
		}
		if s := pl.subjectAt(f.Path); s != nil && pl.wanted(t) {
			k.deals[s] = max(does, k.deals[s])
			s.clearable = s.clearable || does == clears
		}
	}
	for _, s := range t.Sets {
		for _, z := range pl.full.Reach(target, s.Question.Kind) {
			if !z.Unlisted {
				k.sets = append(k.sets, settled{pl.full.Number(z, s.Question), s.Answer, slices.Contains(t.MakesStale, s.Question.ID)})
			}
		}
	}
	k.brings = pl.bring(t, target)
	return k
}

// index notes who does what to what.
func (pl *planner) index() {
	pl.settersOf, pl.clearersOf = map[int][]int{}, map[int][]int{}
	pl.bringersOf, pl.meetersOf = map[*Brought][]int{}, map[*Brought][]int{}
	for n, k := range pl.cands {
		for _, s := range k.sets {
			pl.settersOf[s.ask] = append(pl.settersOf[s.ask], n)
		}
		for _, f := range k.clears {
			pl.clearersOf[f] = append(pl.clearersOf[f], n)
		}
		for _, b := range k.brings {
			pl.bringersOf[b] = append(pl.bringersOf[b], n)
		}
		for _, b := range k.meets {
			pl.meetersOf[b] = append(pl.meetersOf[b], n)
		}
	}
	for i, b := range pl.brought {
		b.n = len(pl.cands) + i
		b.thing = pl.full.At(b.Path)
	}
	for n, k := range pl.cands {
		k.instead = newSet(pl.size)
		for m, o := range pl.cands {
			if m != n && k.Path == o.Path && (slices.Contains(k.InPlaceOf, o.Treatment.ID) || slices.Contains(o.InPlaceOf, k.Treatment.ID)) {
				k.instead.add(m)
			}
		}
	}
}

// support is what speaks for a step at its lowest, in millionths: on the book as it is or, where it is not clear there, on the
// book with those findings added that some treatment would bring and this one would clear or lessen.
func (pl *planner) support(n int) int64 {
	k := pl.cands[n]
	if k.worth != nil {
		return *k.worth
	}
	v := pl.base.Of(k.Treatment.ID, k.Path)
	if v == nil || !clear(v) {
		book := *pl.base.Case.Book
		pl.place(&book, func(b *Brought) bool { return b.Path == k.Path || slices.Contains(k.meets, b) })
		var err error
		if _, v, err = judge.One(evidence.Gather(pl.base.Case.Pack, &book, pl.base.Case.On), k.Treatment.ID, k.Path); err != nil {
			pl.fault = cmp.Or(pl.fault, err)
		}
	}
	k.worth = new(int64)
	if v != nil && clear(v) {
		*k.worth = int64(math.Round(v.Least * 1e6))
	}
	return *k.worth
}

func clear(v *judge.Verdict) bool { return v.Word == judge.Recommended || v.Word == judge.Possible }

// bring gives the findings that a treatment is expected to bring: on the side it is done to or the finding lies on, else on
// the first side of each part it reaches. Steps that bring the same kind to the same side bring one finding.
func (pl *planner) bring(t *pack.Treatment, target *evidence.Thing) (list []*Brought) {
	for _, kind := range t.Brings {
		for _, side := range sidesOf(pl.full, target) {
			if b := pl.bringOne(side.Record, kind); !slices.Contains(list, b) {
				list = append(list, b)
			}
		}
	}
	return list
}

func (pl *planner) bringOne(side *record.Thing, kind string) *Brought {
	for _, b := range pl.brought {
		if b.On == side.Path && b.Kind == kind {
			return b
		}
	}
	name := kind + " to come"
	r := &record.Thing{Kind: vocab.Finding, Name: name, Path: side.Path + "/" + name, Part: side.Part, Side: side}
	b := &Brought{Path: r.Path, Kind: kind, On: side.Path, record: r}
	pl.brought = append(pl.brought, b)
	return b
}

// kindOf gives what kind of finding a finding of the full case is.
func (pl *planner) kindOf(f *evidence.Thing) string {
	if f.Record == nil {
		return ""
	}
	if b := pl.broughtAt[f.Path]; b != nil {
		return b.Kind
	}
	return pl.kinds[f.Path]
}

// isDone tells whether a step was done already, whether or not its outcome was said; one done in part or stopped is not.
func (pl *planner) isDone(k Key) bool { return pl.doneOf(k) != nil }

func (pl *planner) doneOf(k Key) *record.Done {
	t := pl.base.Case.At(k.Path)
	if t == nil || t.Record == nil {
		return nil
	}
	d := pl.base.Case.Done(k.Treatment, t)
	if d == nil || d.Outcome == record.Partly || d.Outcome == record.Stopped {
		return nil
	}
	return d
}

func (pl *planner) subjectAt(path string) *Subject {
	for _, s := range pl.subjects {
		if s.Path == path && s.key() == "" {
			return s
		}
	}
	return nil
}

// servers gives the candidates that could need one, or bring something that it meets.
func (pl *planner) servers(n int) set {
	k := pl.cands[n]
	if k.serves != nil {
		return k.serves
	}
	k.serves = newSet(pl.size)
	for _, b := range k.meets {
		k.serves.join(pl.able(pl.bringersOf[b]))
	}
	for _, r := range pl.base.Case.Pack.Rules {
		if r.Effect != pack.Needs || r.Step == nil || !isWay(k.Treatment, r.Step) {
			continue
		}
		for m, o := range pl.cands {
			if m == n || !slices.Contains(r.Treatments, o.Treatment) {
				continue
			}
			for _, z := range pl.full.Reach(o.thing, cmp.Or(r.Each, o.Of)) {
				if slices.Contains(pl.full.Reach(z, r.Step.Of), k.thing) {
					k.serves.add(m)
				}
			}
		}
	}
	return k.serves
}

// isWay tells whether a treatment does where a step is needed: it is that, or a variant of it done to the same kind of thing.
func isWay(t, step *pack.Treatment) bool {
	return t == step || t.VariantOf == step.ID && t.Of == step.Of
}
