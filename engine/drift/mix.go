package drift

import (
	"slices"
	"strings"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// mixer judges what lies between two sides: some edits made, others not.
type mixer struct {
	side  [2]side // old, new
	blend *pack.Blend
	ends  [2]*pack.Pack // the blend with no edit made, and with all
	list  []Item
	// Where the edits of things, answers, rules and weights stand in list.
	thingAt  map[string]int
	answerAt map[ask]int
	editAt   map[int]int
	weightAt map[string]int
	aimsAt   int
	lone     map[string]bool // things that only one side has so
	packs    map[string]fitted
	bonds    map[string]*bond // by treatment
	words    map[string]map[Key]judge.Word
	judged   int
}

// unfit is the word for a mixture that cannot be judged: its facts or needs run in a ring. No verdict has it.
const unfit judge.Word = "unfit"

// choice tells of each item whether it is made.
type choice []bool

func (c choice) with(items []int, made bool) choice {
	d := slices.Clone(c)
	for _, i := range items {
		d[i] = made
	}
	return d
}

func newMixer(old, new side) *mixer {
	m := &mixer{
		side: [2]side{old, new}, blend: pack.NewBlend(old.Pack, new.Pack), aimsAt: -1,
		thingAt: map[string]int{}, answerAt: map[ask]int{}, editAt: map[int]int{}, weightAt: map[string]int{}, lone: map[string]bool{},
		packs: map[string]fitted{}, bonds: map[string]*bond{}, words: map[string]map[Key]judge.Word{},
	}
	for i, made := range []bool{false, true} {
		m.ends[i], _ = m.blend.Pack(func(int) bool { return made })
	}
	for path := range union(old.byPath, new.byPath) {
		a, b := old.byPath[path], new.byPath[path]
		if a == nil || b == nil || a.Kind != b.Kind {
			m.lone[path] = true
		}
	}
	m.items()
	return m
}

// judge judges a choice; only treatments of the bond, all when it is nil. nil: the choice is unfit.
func (m *mixer) judge(c choice, only *bond) (*judge.Judgement, error) {
	p := m.pack(c, only)
	if !p.fit {
		return nil, nil
	}
	m.judged++
	return judge.Judge(evidence.Gather(p.Pack, m.book(c, p.Pack), time.Time{}))
}

// verdicts gives the words of a choice, of the treatments of a bond.
func (m *mixer) verdicts(c choice, only *bond) (map[Key]judge.Word, error) {
	key := m.key(c, func(i int) bool { return only == nil || only.items[i] })
	if only != nil {
		key += only.treatment
	}
	if found, known := m.words[key]; known {
		return found, nil
	}
	g, err := m.judge(c, only)
	if err != nil {
		return nil, err
	}
	var words map[Key]judge.Word
	if g != nil {
		words = wordsOf(g)
	}
	m.words[key] = words
	return words, nil
}

// word gives the verdict of a choice.
func (m *mixer) word(c choice, k Key, only *bond) (judge.Word, error) {
	words, err := m.verdicts(c, only)
	if words == nil {
		return unfit, err
	}
	return words[k], err
}

func wordsOf(g *judge.Judgement) map[Key]judge.Word {
	words := map[Key]judge.Word{}
	for _, v := range g.Verdicts {
		words[Key{v.Treatment.ID, v.Target.Path}] = v.Word
	}
	return words
}

// key writes which of some items are made.
func (m *mixer) key(c choice, of func(i int) bool) string {
	var b strings.Builder
	for i := range m.list {
		if of(i) && c[i] {
			b.WriteByte('1')
		} else {
			b.WriteByte('0')
		}
	}
	return b.String()
}

// fitted is a pack, and whether it can be judged by.
type fitted struct {
	*pack.Pack
	fit bool
}

// pack gives the pack of a choice, less the treatments that are none of the bond's, and the rules about them.
func (m *mixer) pack(c choice, only *bond) fitted {
	key := m.key(c, func(i int) bool { return m.list[i].Kind == Edited && (only == nil || only.items[i]) })
	if only != nil {
		key += only.treatment
	}
	if p, known := m.packs[key]; known {
		return p
	}
	p, fit := m.blend.Pack(func(edit int) bool { return c[m.editAt[edit]] })
	if only != nil {
		p = only.pack(p)
	}
	m.packs[key] = fitted{p, fit}
	return m.packs[key]
}

// lapsesBy gives the pack by which answers are read and lapse in a choice. Choices that differ in other rules share one.
func (m *mixer) lapsesBy(c choice) *pack.Pack {
	d := slices.Clone(c)
	for i, item := range m.list {
		e := item.Edit
		d[i] = c[i] && e != nil && (e.Of == pack.OfTreatment || e.Of == pack.OfGoodFor || e.Of == pack.OfQuestion)
	}
	return m.pack(d, nil).Pack
}

// book makes the record of a choice: things, and the answers that stand, without days.
func (m *mixer) book(c choice, p *pack.Pack) *record.Book {
	b := &record.Book{Aims: m.side[1].Book.Aims, Weights: m.weights(c)}
	if m.aimsAt >= 0 && !c[m.aimsAt] {
		b.Aims = m.side[0].Book.Aims
	}
	by := m.lapsesBy(c)
	stand := [2]standing{m.side[0].standing(by), m.side[1].standing(by)}
	byPath := map[string]*record.Thing{}
	for i := range m.side {
		for _, t := range m.side[i].Book.Things {
			if there, alone := m.there(c, t, i); !there || !alone && i == 0 {
				continue
			}
			copied := *m.reaching(c, t)
			b.Things = append(b.Things, &copied)
			byPath[copied.Path] = &copied
		}
	}
	relink(b, byPath)
	for a := range union(stand[0], stand[1]) {
		t := byPath[a.path]
		if t == nil {
			continue
		}
		answer := stand[m.from(c, a)][a]
		if q := p.Vocabulary.Question(a.question); answer.Known && q.Kind == t.Kind {
			b.Results = append(b.Results, record.Result{Question: q, Thing: t, Answer: answer})
		}
	}
	return b
}

// there tells whether a thing of a side is there in a choice, and whether only that side has it so.
func (m *mixer) there(c choice, t *record.Thing, of int) (there, alone bool) {
	lone := func(path string) bool { return m.lone[path] }
	top := t.Path
	if !lone(top) && !above(top, lone) {
		return true, false
	}
	for i, r := range t.Path {
		if r == '/' && lone(t.Path[:i]) {
			top = t.Path[:i]
			break
		}
	}
	return c[m.thingAt[top]] == (of == 1), true
}

// reaching gives a thing with the reach it has in a choice.
func (m *mixer) reaching(c choice, t *record.Thing) *record.Thing {
	if i, moved := m.thingAt[t.Path]; moved && m.list[i].Kind == Moved && !c[i] {
		return m.list[i].both[0]
	}
	return t
}

// from tells which side an answer is from in a choice.
func (m *mixer) from(c choice, a ask) int {
	if i, edited := m.answerAt[a]; edited {
		return index(c[i])
	}
	lone := func(path string) bool { return m.lone[path] }
	for i, r := range a.path + "/" {
		if r == '/' && lone((a.path + "/")[:i]) {
			return index(c[m.thingAt[a.path[:i]]])
		}
	}
	return 1
}

func index(made bool) int {
	if made {
		return 1
	}
	return 0
}

// weights gives what each criterion weighs in a choice.
func (m *mixer) weights(c choice) map[string]float64 {
	w := union(m.side[0].g.Weights, m.side[1].g.Weights)
	for id, i := range m.weightAt {
		if !c[i] {
			w[id] = m.list[i].From
		}
	}
	return w
}

// relink makes things lead to their copies; what is not there any more is left out.
func relink(b *record.Book, byPath map[string]*record.Thing) {
	find := func(t *record.Thing) *record.Thing {
		if t == nil {
			return nil
		}
		return byPath[t.Path]
	}
	list := func(old []*record.Thing) []*record.Thing {
		if old == nil {
			return nil
		}
		now := []*record.Thing{}
		for _, t := range old {
			if found := find(t); found != nil && found.Kind == t.Kind {
				now = append(now, found)
			}
		}
		return now
	}
	slices.SortStableFunc(b.Things, func(a, b *record.Thing) int { return depth(a) - depth(b) })
	for _, t := range b.Things {
		t.Part, t.Side, t.Fastener = find(t.Part), find(t.Side), find(t.Fastener)
		if t.Fastener != nil && t.Fastener.Kind != vocab.Fastener {
			t.Fastener = nil
		}
		t.Near, t.Holds = list(t.Near), list(t.Holds)
	}
}

func depth(t *record.Thing) int {
	switch {
	case t.Side != nil:
		return 2
	case t.Part != nil:
		return 1
	}
	return 0
}
