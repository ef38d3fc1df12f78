package drift

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/pack"
)

// Side is what a book is judged from. The owner's aims and weights stand in the record.
type Side struct {
	Pack *pack.Pack
	Book *record.Book // read by the words of Pack
	On   time.Time    // the day judged for; zero: the latest that the record mentions
}

// Key names a verdict.
type Key struct{ Treatment, Path string }

// Options say what else is known of the old side, and how long to search.
type Options struct {
	// Sealed are the verdicts that the old program gave; nil when they are not at hand.
	Sealed map[Key]judge.Word
	// Proof gives the sealed proof of a verdict, read back onto a judgement of the old side; nil when there is none.
	Proof func(*judge.Judgement, Key) *judge.VerdictProof
	Steps int // how many sets to try for one verdict and factor, 0: [Steps]
}

// Steps is how many sets of edits are tried for one verdict, unless [Options] say otherwise.
const Steps = 2000

// Class is how edits made a difference.
type Class string

// The classes.
const (
	One       Class = "one"        // one edit is enough by itself, and no other set is
	Together  Class = "together"   // several edits, only together
	Either    Class = "either"     // each of several sets is enough by itself
	Returned  Class = "returned"   // moved, and moved back
	ByProgram Class = "by program" // the sides are judged alike by today's program: only the program differs
	Untold    Class = "untold"     // the mixtures were not judged as the sides are: too large to be searched to the end
)

// Finding is a verdict that is another, or was moved and moved back, or that the programs give otherwise.
type Finding struct {
	Key
	Name     string     // of the treatment
	Was, Is  judge.Word // "" for no such candidate; Was as sealed
	Replayed judge.Word // the old side as today's program judges it
	Program  *Program   // nil where today's program agrees with the seal, or there is none
	// Before and After are the verdicts by today's program; nil for no such candidate. WasBecause and IsBecause are their
	// leading reasons, nil where no rule is, or where the seal has another verdict.
	Before, After         *judge.Verdict
	WasBecause, IsBecause *judge.Proof

	Class Class
	// EnoughFactors and NeededFactors are the smallest sets of whole factors.
	EnoughFactors, NeededFactors [][]Factor
	// Enough and Needed are the smallest sets of single edits, within those.
	Enough, Needed []Set
	// EnoughTried and NeededTried are up to which size all sets of edits were tried; -1: to the end.
	EnoughTried, NeededTried int
	Returns                  []Return // for Returned
}

// Set is edits that make a difference together, and of which none can be left out.
type Set []Item

// Return is edits that moved a verdict, and the sets of edits each of which moved it back.
type Return struct {
	Moved Set
	To    judge.Word
	Back  []Set
	Tried int // as in Finding
}

// Report is all that there is to say of two sides.
type Report struct {
	Old, New           *judge.Judgement // by today's program
	Items              []Item           // every single edit, whether or not it made a difference
	Changed, Unchanged int              // verdicts, as sealed against now
	// Singly tells whether every edit was tried by itself on the verdicts that are the same; otherwise only whole factors.
	Singly   bool
	Findings []Finding // by treatment and target: the changed first, then the others
	Judged   int       // how many mixtures were judged
}

// Between tells why the new side is decided otherwise than the old. The error is a fault of a pack.
func Between(old, new Side, o Options) (*Report, error) {
	var sides [2]*judge.Judgement
	for i, s := range []Side{old, new} {
		g, err := judge.Judge(evidence.Gather(s.Pack, s.Book, s.On))
		if err != nil {
			return nil, err
		}
		sides[i] = g
	}
	return Compare(sides[0], sides[1], o)
}

// Compare is Between of two sides that are judged already.
func Compare(old, new *judge.Judgement, o Options) (*Report, error) {
	d := &differ{mixer: newMixer(sideOf(old), sideOf(new)), o: o, report: &Report{Old: old, New: new}}
	d.o.Steps = cmp.Or(o.Steps, Steps)
	if err := d.run(); err != nil {
		return nil, err
	}
	d.report.Items, d.report.Judged = d.list, d.judged
	return d.report, nil
}

// With gives the verdict of the new side with some edits taken back; "" for no such candidate.
func With(old, new *judge.Judgement, k Key, back func(Item) bool) (judge.Word, error) {
	m := newMixer(sideOf(old), sideOf(new))
	c := make(choice, len(m.list))
	for i, item := range m.list {
		c[i] = !back(item)
	}
	return m.word(c, k, nil)
}

func sideOf(g *judge.Judgement) side {
	s := side{Side: Side{g.Case.Pack, g.Case.Book, g.Case.On}, g: g, byPath: map[string]*record.Thing{}, stand: map[*pack.Pack]standing{}}
	for _, t := range g.Case.Book.Things {
		s.byPath[t.Path] = t
	}
	return s
}

// differ is one comparison in the making.
type differ struct {
	*mixer
	o      Options
	report *Report
	cube   []map[Key]judge.Word // by which factors are new, as bits; nil: unfit
	alone  []map[Key]judge.Word // by item: the old side with that one edit made; nil: not tried
}

func (d *differ) run() error {
	was, is := wordsOf(d.side[0].g), wordsOf(d.side[1].g)
	if err := d.judgeCube(); err != nil {
		return err
	}
	if err := d.judgeAlone(); err != nil {
		return err
	}
	sealed := d.o.Sealed
	if sealed == nil {
		sealed = was
	}
	keys := slices.SortedFunc(maps.Keys(union(union(was, is), sealed)), func(a, b Key) int {
		return cmp.Or(cmp.Compare(a.Treatment, b.Treatment), cmp.Compare(a.Path, b.Path))
	})
	var same []Finding
	for _, k := range keys {
		f := Finding{Key: k, Was: sealed[k], Is: is[k], Replayed: was[k], EnoughTried: -1, NeededTried: -1}
		if err := d.find(&f); err != nil {
			return err
		}
		switch {
		case f.Was != f.Is:
			d.report.Changed++
			d.report.Findings = append(d.report.Findings, f)
			continue
		case f.Program != nil || f.Class == Returned:
			same = append(same, f)
		}
		d.report.Unchanged++
	}
	d.report.Findings = append(d.report.Findings, same...)
	return nil
}

// judgeCube judges every mixture of whole factors.
func (d *differ) judgeCube() error {
	for bits := range 1 << len(Factors) {
		c := make(choice, len(d.list))
		for i, item := range d.list {
			c[i] = bits>>item.Factor&1 == 1
		}
		words, err := d.verdicts(c, nil)
		if err != nil {
			return err
		}
		d.cube = append(d.cube, words)
	}
	return nil
}

// mostAlone is up to how many edits each is tried by itself on all verdicts.
const mostAlone = 200

// judgeAlone judges the old side with every edit made by itself.
func (d *differ) judgeAlone() error {
	d.alone = make([]map[Key]judge.Word, len(d.list))
	if len(d.list) > mostAlone {
		return nil
	}
	d.report.Singly = true
	for i := range d.list {
		words, err := d.verdicts(make(choice, len(d.list)).with([]int{i}, true), nil)
		if err != nil {
			return err
		}
		d.alone[i] = words
	}
	return nil
}

// find finds what there is to say of one verdict.
func (d *differ) find(f *Finding) error {
	f.Before, f.After = d.side[0].g.Of(f.Treatment, f.Path), d.side[1].g.Of(f.Treatment, f.Path)
	f.Name = d.name(f.Treatment)
	f.WasBecause, f.IsBecause = leading(d.side[0].g, f.Before), leading(d.side[1].g, f.After)
	if d.o.Sealed != nil && f.Was != f.Replayed {
		d.program(f)
		f.WasBecause = nil // it is of another verdict than the sealed one
	}
	if d.at(0, f.Key) != f.Replayed || d.at(len(d.cube)-1, f.Key) != f.Is {
		f.Class = Untold
		return nil
	}
	if f.Replayed == f.Is {
		if f.Was != f.Is {
			f.Class = ByProgram
		}
		return d.returned(f)
	}
	return d.attribute(f)
}

func (d *differ) name(treatment string) string {
	for _, s := range []int{1, 0} {
		if t := d.side[s].Pack.Treatment(treatment); t != nil {
			return t.Name
		}
	}
	return treatment
}

// at gives a verdict at a corner of the cube.
func (d *differ) at(bits int, k Key) judge.Word {
	if d.cube[bits] == nil {
		return unfit
	}
	return d.cube[bits][k]
}

// attribute finds the smallest sets of factors, and within them of edits.
func (d *differ) attribute(f *Finding) error {
	all := len(d.cube) - 1
	f.EnoughFactors = factorSets(func(bits int) bool { return d.at(bits, f.Key) == f.Is })
	f.NeededFactors = factorSets(func(bits int) bool { return d.at(all&^bits, f.Key) == f.Replayed })
	var err error
	if f.Enough, f.EnoughTried, err = d.within(f.EnoughFactors, f.Key, f.Is, false); err != nil {
		return err
	}
	if f.Needed, f.NeededTried, err = d.within(f.NeededFactors, f.Key, f.Replayed, true); err != nil {
		return err
	}
	switch {
	case len(f.Enough) == 0 || len(f.Needed) == 0:
		f.Class = Untold
	case len(f.Enough) > 1:
		f.Class = Either
	case len(f.Enough[0]) > 1:
		f.Class = Together
	default:
		f.Class = One
	}
	return nil
}

// factorSets lists the sets of factors of which is is true, and of no proper part.
func factorSets(is func(bits int) bool) (sets [][]Factor) {
	var found []int
	for size := 1; size <= len(Factors); size++ {
		for bits := range 1 << len(Factors) {
			part := slices.ContainsFunc(found, func(f int) bool { return f&^bits == 0 })
			if set := factorsOf(bits); len(set) == size && !part && is(bits) {
				found, sets = append(found, bits), append(sets, set)
			}
		}
	}
	return sets
}

func factorsOf(bits int) (set []Factor) {
	for _, f := range Factors {
		if bits>>f&1 == 1 {
			set = append(set, f)
		}
	}
	return set
}

// within finds the smallest sets of edits in sets of factors that turn the verdict to a word: made on the old side, or taken
// back from the new.
func (d *differ) within(factors [][]Factor, k Key, to judge.Word, back bool) (sets []Set, tried int, err error) {
	tried = -1
	base := make(choice, len(d.list))
	if back {
		base = base.with(indices(len(base)), true)
	}
	for _, set := range factors {
		var of []int
		for i, item := range d.list {
			if slices.Contains(set, item.Factor) {
				of = append(of, i)
			}
		}
		found, upTo, err := d.smallest(base, of, !back, k, func(w judge.Word) bool { return w == to })
		if err != nil {
			return nil, 0, err
		}
		sets = append(sets, found...)
		if upTo >= 0 && (tried < 0 || upTo < tried) {
			tried = upTo
		}
	}
	slices.SortStableFunc(sets, func(a, b Set) int { return len(a) - len(b) })
	return sets, tried, nil
}

func indices(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// smallest finds the smallest sets of some edits that, made or taken back, give a verdict that is as asked.
func (d *differ) smallest(base choice, of []int, made bool, k Key, is func(judge.Word) bool) (sets []Set, tried int, err error) {
	only := d.bond(k.Treatment)
	s := &search{left: d.o.Steps, holds: func(set []int) (bool, error) {
		w, err := d.word(base.with(set, made), k, only)
		return is(w), err
	}}
	found, tried := s.smallest(d.relevant(k, only, of))
	for _, set := range found {
		var items Set
		for _, i := range set {
			items = append(items, d.list[i])
		}
		sets = append(sets, items)
	}
	return sets, tried, s.err
}

// returned finds edits, single ones or else within one whole factor, that moved a verdict which is as it was, and those that
// moved it back.
func (d *differ) returned(f *Finding) error {
	other := func(w judge.Word) bool { return w != f.Replayed && w != unfit }
	var moves [][]int
	for i, words := range d.alone {
		if words != nil && other(words[f.Key]) {
			moves = append(moves, []int{i})
		}
	}
	base := make(choice, len(d.list))
	if len(moves) == 0 {
		for _, set := range factorSets(func(bits int) bool { return other(d.at(bits, f.Key)) }) {
			of := slices.DeleteFunc(indices(len(d.list)), func(i int) bool { return !slices.Contains(set, d.list[i].Factor) })
			found, _, err := d.smallest(base, of, true, f.Key, other)
			if err != nil {
				return err
			}
			for _, items := range found {
				moves = append(moves, d.placesOf(items))
			}
		}
	}
	for _, move := range moves {
		moved := base.with(move, true)
		to, err := d.word(moved, f.Key, d.bond(f.Treatment))
		if err != nil {
			return err
		}
		rest := slices.DeleteFunc(indices(len(d.list)), func(i int) bool { return moved[i] })
		r := Return{To: to}
		for _, i := range move {
			r.Moved = append(r.Moved, d.list[i])
		}
		if r.Back, r.Tried, err = d.smallest(moved, rest, true, f.Key, func(w judge.Word) bool { return w == f.Replayed }); err != nil {
			return err
		}
		f.Returns = append(f.Returns, r)
	}
	if len(f.Returns) > 0 && f.Class == "" {
		f.Class = Returned
	}
	return nil
}

// placesOf gives the places of items in the list.
func (d *differ) placesOf(items Set) (places []int) {
	for i := range d.list {
		if slices.ContainsFunc(items, func(o Item) bool { return same(o, d.list[i]) }) {
			places = append(places, i)
		}
	}
	return places
}

// same tells whether two items are one.
func same(a, b Item) bool {
	return a.Factor == b.Factor && a.Kind == b.Kind && a.Path == b.Path && questionID(a) == questionID(b) && a.Edit == b.Edit && a.Of == b.Of
}

// leading gives the reason that a verdict rests on first, nil where no rule is that reason.
func leading(g *judge.Judgement, v *judge.Verdict) *judge.Proof {
	if v == nil {
		return nil
	}
	p := g.Prove(v)
	lists := [][]*judge.Proof{p.CalledFor, p.For, p.Against}
	switch v.Word {
	case judge.NoNeed:
		return nil
	case judge.RuledOut, judge.TestFirst:
		lists = [][]*judge.Proof{p.RulesOut}
	}
	for _, list := range lists {
		for _, r := range list { // those that hold stand first, then the open
			if r.Value != cond.False && r.Rule.Withdrawn == nil {
				return r
			}
		}
	}
	return nil
}
