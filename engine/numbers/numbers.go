// Package numbers measures how well the program keeps what it promises: each promise as a figure, with what it should be.
//
// In:  judged books, and how many random worlds to make. Out: rows, each a figure with its target. It is a maintainer's
// instrument; nothing a conservator sees rests on it.
package numbers

import (
	"fmt"
	"math/rand/v2"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/engine/worlds"
	"tideline/rules/pack"
)

// Row is one figure.
type Row struct {
	Name   string `json:"name"`
	How    string `json:"how"`
	Figure string `json:"figure"`
	Target string `json:"target"`
	// Met tells whether the target is met: yes, no, or "" where the figure is only shown.
	Met string `json:"met"`
}

// Input is what is measured.
type Input struct {
	Pack   *pack.Pack
	Books  []*record.Book
	Worlds int
}

// measure is one measurement in the making.
type measure struct {
	Input
	rnd    *rand.Rand
	judged []*judge.Judgement // of the books
	small  []small
	rows   []Row
}

// small is a random world with a book, judged.
type small struct {
	world *worlds.World
	book  *record.Book
	g     *judge.Judgement
}

// host makes worlds for a measurement; what does not load is a fault of the program.
type host struct{}

func (host) Helper()                           {}
func (host) Fatal(args ...any)                 { panic(fmt.Sprint(args...)) }
func (host) Fatalf(format string, args ...any) { panic(fmt.Sprintf(format, args...)) }

// Take measures everything that can be measured so far.
func Take(in Input) ([]Row, error) {
	m := &measure{Input: in, rnd: rand.New(rand.NewPCG(2, 2))}
	for _, b := range in.Books {
		g, err := judge.Judge(evidence.Gather(in.Pack, b, time.Time{}))
		if err != nil {
			return nil, err
		}
		m.judged = append(m.judged, g)
	}
	for seed := range in.Worlds {
		w := worlds.New(host{}, rand.New(rand.NewPCG(uint64(seed), 23)))
		for n := range 6 {
			book := w.Book(host{}, n%5)
			g, err := judge.Judge(evidence.Gather(w.Pack, book, time.Time{}))
			if err != nil {
				return nil, err
			}
			if len(g.Contradictions) == 0 {
				m.small = append(m.small, small{w, book, g})
			}
		}
	}
	m.logic()
	m.settled()
	m.order()
	m.proofs()
	m.length()
	m.asking()
	for _, take := range []func() error{m.turning, m.drift, m.grading, m.planFaults, m.plans, m.replay, m.tampering} {
		if err := take(); err != nil {
			return nil, err
		}
	}
	for _, later := range [][2]string{
		{"unnamed exits (V9)", "random event logs"},
		{"change sets vs brute force (W1-W3)", "its own tests: go test ./engine/whynot"},
		{"duality (W5)", "its own tests: go test ./engine/whynot"},
		{"interval ends (K1)", "its own tests: go test ./engine/firm"},
		{"plans vs oracle (O1)", "its own tests: go test ./engine/plan"},
		{"pack findings", "its own tests: go test ./rules/pack"},
		{"trial strength", "tideline pack trial --mutate"},
		{"three readers", "its own tests: go test -run ThreeReaders ./cmd/tideline"},
		{"simulatability", ""},
	} {
		m.rows = append(m.rows, Row{Name: later[0], How: later[1], Figure: "not yet"})
		if later[1] != "" {
			m.rows[len(m.rows)-1].Figure = "measured elsewhere"
		}
	}
	return m.rows, nil
}

// row adds a figure. ok is nil where it is only shown.
func (m *measure) row(name, how, target string, met *bool, format string, args ...any) {
	r := Row{Name: name, How: how, Figure: fmt.Sprintf(format, args...), Target: target}
	if met != nil {
		r.Met = map[bool]string{true: "yes", false: "no"}[*met]
	}
	m.rows = append(m.rows, r)
}

func is(ok bool) *bool { return &ok }

// words gives the verdicts of a judgement by treatment and target.
func words(g *judge.Judgement) map[string]judge.Word {
	all := map[string]judge.Word{}
	for _, v := range g.Verdicts {
		all[v.Treatment.ID+" "+v.Target.Path] = v.Word
	}
	return all
}

// rejudge judges a book with other results, aims or weights.
func rejudge(p *pack.Pack, b *record.Book) *judge.Judgement {
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		panic(err)
	}
	return g
}
