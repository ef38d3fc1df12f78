package audit

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/decision"
	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/record"
	"tideline/engine/seal"
	"tideline/engine/seal/canon"
	"tideline/engine/seal/edition1"
	"tideline/engine/verify"
	"tideline/engine/worlds"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

// tinyLayer is the made-up pack.
func tinyLayer(t testing.TB, names ...string) []pack.Layer {
	t.Helper()
	faults := &fault.List{}
	var layers []pack.Layer
	for _, n := range append([]string{"tiny.yaml"}, names...) {
		layers = append(layers, pack.ReadPath("../../testdata/packs/"+n, faults))
	}
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return layers
}

// sealing is what a test seals.
type sealing struct {
	layers         []pack.Layer
	book, decision string
	on, at         string
	plan           bool // seal the plan with it
	change         func(*edition1.Body)
}

// sealed seals decisions as one case, one after the other.
func sealed(t testing.TB, list ...sealing) *seal.Folder {
	t.Helper()
	f := seal.In(t.TempDir())
	for _, s := range list {
		s.into(t, f, "case")
	}
	return f
}

func (s sealing) into(t testing.TB, f *seal.Folder, name string) {
	t.Helper()
	var trimmed []pack.Layer
	for _, l := range s.layers {
		trimmed = append(trimmed, pack.Trim(l))
	}
	faults := &fault.List{}
	p := pack.Load(trimmed, faults, dose.Functions()...)
	b := record.Parse("book.yaml", []byte(s.book), record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	var on time.Time
	if s.on != "" {
		on, _ = time.Parse(time.DateOnly, s.on)
	}
	g, err := judge.Judge(evidence.Gather(p, b, on))
	if err != nil {
		t.Fatal(err)
	}
	body, err := seal.New(g, seal.Sources{RecordName: "book.yaml", RecordText: []byte(s.book), Layers: s.layers})
	if err != nil {
		t.Fatal(err)
	}
	body.Case, body.At = name, s.at
	if s.at == "" {
		body.At = g.Case.On.Format(time.RFC3339)
	}
	var steps *plan.Plan
	if s.plan {
		if steps, err = plan.Make(context.Background(), g, plan.Options{Next: 2}); err != nil {
			t.Fatal(err)
		}
		body.Plan = steps.Sealed()
	}
	if s.decision != "" {
		d := decision.Parse("decision.yaml", []byte(s.decision), decision.Advice{Judgement: g, Plan: steps}, time.Time{}, faults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		body.Decision = d.Sealed()
	}
	if s.change != nil {
		s.change(body)
	}
	if _, err := f.Add(body, nil); err != nil {
		t.Fatal(err)
	}
}

// book is an invented booklet for the made-up pack. The fold is not torn; the rest is as asked.
func book(red, dusty, more string) string {
	ink := "{kind: printing ink}"
	if red != "" {
		ink = fmt.Sprintf("{kind: printing ink, seen: {wet: %s}}", red)
	}
	side := ""
	if dusty != "" {
		side = fmt.Sprintf(", seen: {dusty: %s}", dusty)
	}
	return `record: 1
title: Quay Lists
examined: 2025-10-12
by: M. K.
listed: {inks: yes, findings: yes, fasteners: yes}
owner: {aims: [clean]}
parts:
  cover:
    kind: cover
    seen: {stained: yes, fold_torn: no, drop: 20 s}
    outside: {inks: {red: ` + ink + `}` + side + `}
    inside: {inks: {}, seen: {dusty: no}}
` + more
}

// audited audits one decision of the case.
func audited(f *seal.Folder, o Options, number int) *Report {
	cases, _, _ := f.Cases()
	return New(o).Case(f, "case", cases["case"], number)
}

func kinds(list []Finding) []string {
	var all []string
	for _, f := range list {
		all = append(all, strings.TrimSpace(string(f.Kind)+" "+f.Treatment+" "+strings.Join(could(f), "; ")))
	}
	return all
}

func could(f Finding) []string {
	var all []string
	for _, c := range f.Could {
		all = append(all, c.Treatment+": "+c.Was+" > "+strings.Join(c.To, ", "))
	}
	return all
}

// TestSound: what is found about decisions, judged on what was known then.
func TestSound(t *testing.T) {
	tiny := tinyLayer(t)
	brush := func(more string) string {
		return "decision: 1\naccepted: [{step: brush, on: cover/outside" + more + "}]\nconsent: {by: x, date: 2025-10-13, form: letter}\n"
	}
	did := func(step, because string) string {
		return fmt.Sprintf("decision: 1\ndepartures: [{step: %s, on: cover, did: it, because: %q, cautions: yes}]\nconsent: {by: x, date: 2025-10-13, form: letter}\n", step, because)
	}
	done := func(steps ...string) string {
		s := "done:\n"
		for _, step := range steps {
			s += "  - {" + step + "}\n"
		}
		return s
	}
	for _, tt := range []struct {
		name        string
		list        []sealing
		want, notes []string
		result      Result
	}{
		{name: "advice only", list: []sealing{{book: book("", "", "")}}, result: SoundThen},
		{name: "a step accepted, cautions carried", list: []sealing{{book: book("5", "yes", ""), decision: brush(", cautions: yes")}}, result: SoundThen},
		{
			name: "cautions not carried", list: []sealing{{book: book("5", "yes", ""), decision: brush("")}},
			want: []string{"not carried brush"}, result: NotSound,
		},
		{
			name: "cautions carried by the plan", list: []sealing{{book: book("5", "yes", ""), decision: brush(""), change: func(b *edition1.Body) {
				b.Plan = &edition1.Plan{Steps: []edition1.PlanStep{{Treatment: "brush", Targets: []string{"cover/outside"}, Cautions: []string{"Dust harms the lungs."}}}}
			}}},
			result: SoundThen,
		},
		{
			name: "the plan carries them for another side", list: []sealing{{book: book("5", "yes", ""), decision: brush(""), change: func(b *edition1.Body) {
				b.Plan = &edition1.Plan{Steps: []edition1.PlanStep{{Treatment: "brush", Targets: []string{"cover/inside"}, Cautions: []string{"Dust harms the lungs."}}}}
			}}},
			want: []string{"not carried brush"}, notes: []string{"left of the plan brush", "beside the plan brush"}, result: NotSound,
		},
		{
			name: "a test skipped that the step hangs on", list: []sealing{{book: book("5", "", ""), decision: brush(", cautions: yes")}},
			want: []string{"test skipped  brush: possible > no need, recommended"}, result: NotSound,
		},
		{
			name: "the same test left for a reason", list: []sealing{{book: book("5", "", ""), decision: strings.Replace(brush(", cautions: yes"), "consent", "departures: [{test: side.dusty, on: cover/outside, left: it, because: no light}]\nconsent", 1)}},
			result: SoundThen,
		},
		{
			name: "a test left on which nothing decided hangs", list: []sealing{{book: book("", "", ""), decision: "decision: 1\naccepted: [{step: box, on: book}, {step: brush, on: cover/outside, cautions: yes}]\ndepartures: [{test: side.dusty, on: cover/outside, left: it, because: no light}]\nconsent: {by: x, date: 2025-10-13, form: letter}\n"}},
			notes: []string{"tests left"}, result: SoundThen,
		},
		{
			name: "ruled out, done for a reason", list: []sealing{{book: book("3", "yes", ""), decision: did("bath", "the owner's wish")}},
			notes: []string{"decided otherwise bath"}, result: SoundThen,
		},
		{
			name: "ruled out, and no reason sealed", list: []sealing{{book: book("3", "yes", ""), decision: did("bath", "x"), change: func(b *edition1.Body) { b.Decision.Departures[0].Because = " " }}},
			want: []string{"against advice bath"}, result: NotSound,
		},
		{
			name: "ruled out and accepted by a file that was not read strictly", list: []sealing{{book: book("3", "yes", ""), decision: did("bath", "x"), change: func(b *edition1.Body) {
				b.Decision.Accepted, b.Decision.Departures = []edition1.Accepted{{Step: "bath", On: "cover", Cautions: true}}, nil
			}}},
			want: []string{"against advice bath"}, result: NotSound,
		},
		{
			name: "no consent", list: []sealing{{book: book("5", "yes", ""), decision: strings.Split(brush(", cautions: yes"), "consent")[0]}},
			notes: []string{"no consent"}, result: SoundThen,
		},
		{
			name: "done since, though it waited for a test", list: []sealing{
				{book: book("", "yes", "")},
				{book: book("", "yes", done("step: bath, on: cover, date: 2025-10-14")), on: "2025-10-15"},
			},
			want: []string{"against advice bath", "test skipped  bath: test first > ruled out, recommended"}, result: NotSound,
		},
		{
			name: "done since for a reason given afterwards", list: []sealing{
				{book: book("", "yes", "")},
				{book: book("", "yes", done("step: bath, on: cover, date: 2025-10-14")), on: "2025-10-15", decision: did("bath", "the pipe burst over it")},
			},
			notes: []string{"decided otherwise bath"}, result: SoundThen,
		},
		{
			name: "done since as advised, and nobody wrote it down", list: []sealing{
				{book: book("5", "yes", "")},
				{book: book("5", "yes", done("step: brush, on: cover/outside, date: 2025-10-14")), on: "2025-10-15"},
			},
			notes: []string{"not decided brush"}, result: SoundThen,
		},
		{
			name: "done long after, on a test out of date", list: []sealing{
				{book: book("5", "no", ""), decision: "decision: 1\naccepted: [{step: bath, on: cover, cautions: yes}]\nconsent: {by: x, date: 2025-10-13, form: letter}\n"},
				{book: book("5", "no", done("step: bath, on: cover, date: 2026-10-30")), on: "2026-10-30"},
			},
			want: []string{"stale bath bath: recommended > test first"}, result: NotSound,
		},
		{
			name: "done on the last day the test was good for", list: []sealing{
				{book: book("5", "no", ""), decision: "decision: 1\naccepted: [{step: bath, on: cover, cautions: yes}]\nconsent: {by: x, date: 2025-10-13, form: letter}\n"},
				{book: book("5", "no", done("step: bath, on: cover, date: 2026-10-12")), on: "2026-10-12"},
			},
			result: SoundThen,
		},
		{
			name: "a second wet step on tests that the first made stale", list: []sealing{
				{book: book("5", "no", ""), decision: "decision: 1\naccepted: [{step: bath, on: cover, cautions: yes}, {step: damp-cloth, on: cover}]\nconsent: {by: x, date: 2025-10-13, form: letter}\n"},
				{book: book("5", "no", done("step: bath, on: cover, date: 2025-10-14", "step: damp-cloth, on: cover, date: 2025-10-16")), on: "2025-10-16"},
			},
			want: []string{"stale damp-cloth damp-cloth: recommended > test first"}, result: NotSound,
		},
		{
			name: "sealed long after the day judged for", list: []sealing{
				{book: book("5", "no", ""), at: "2026-11-01T09:00:00Z", decision: "decision: 1\naccepted: [{step: bath, on: cover, cautions: yes}]\nconsent: {by: x, date: 2025-10-13, form: letter}\n"},
			},
			want: []string{"stale bath bath: recommended > test first"}, result: NotSound,
		},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for i := range tt.list {
				tt.list[i].layers = tiny
			}
			r := audited(sealed(t, tt.list...), Options{}, 1)
			if len(r.Decisions) != 1 {
				t.Fatalf("%d decisions, %+v", len(r.Decisions), r.Breaks())
			}
			d := r.Decisions[0]
			if !d.Replay.Same {
				t.Errorf("it is not the same when judged again: %+v", d.Replay)
			}
			if diff := cmp.Diff(tt.want, kinds(d.Findings)); diff != "" {
				t.Errorf("findings (-want +got):\n%s", diff)
			}
			if diff := cmp.Diff(tt.notes, kinds(d.Notes)); diff != "" {
				t.Errorf("notes (-want +got):\n%s", diff)
			}
			if r.Result != tt.result {
				t.Errorf("%s, want %s", r.Result, tt.result)
			}
		})
	}
}

// judgements gives judgements of random worlds and of the shipped books, with what they were made from.
func judgements(t *testing.T, n int) []struct {
	name string
	g    *judge.Judgement
	src  seal.Sources
} {
	t.Helper()
	type item = struct {
		name string
		g    *judge.Judgement
		src  seal.Sources
	}
	var all []item
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	paths, _ := filepath.Glob("../../testdata/books/*.yaml")
	if testing.Short() {
		paths = paths[:min(1, len(paths))]
	}
	for _, path := range paths {
		text, _ := os.ReadFile(path)
		b := record.Parse(path, text, record.WordsOf(p), time.Time{}, faults)
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, item{filepath.Base(path), g, seal.Sources{RecordName: path, RecordText: text, Layers: []pack.Layer{layer}}})
	}
	if len(paths) == 0 {
		t.Fatal("no example books")
	}
	for seed := range n {
		w := worlds.New(t, rand.New(rand.NewPCG(uint64(seed), 23)))
		b := w.Book(t, seed%8)
		g, err := judge.Judge(evidence.Gather(w.Pack, b, time.Time{}))
		if err != nil {
			t.Fatal(err)
		}
		layers := []pack.Layer{{Files: []pack.File{{Name: "pack.yaml", Data: []byte(w.YAML)}}}}
		all = append(all, item{fmt.Sprint("world ", seed), g, seal.Sources{RecordName: "b.yaml", RecordText: []byte("x"), Layers: layers}})
	}
	return all
}

// TestSealedProofsHold: every proof of every verdict, sealed and opened again, passes the independent checker as the
// original does.
func TestSealedProofsHold(t *testing.T) {
	checked := 0
	for _, x := range judgements(t, 60) {
		b, err := seal.New(x.g, x.src)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := byPlace(b); err != nil {
			t.Fatal(err)
		}
		c := verify.New(x.g)
		for i, w := range b.Verdicts {
			_, original := c.Check(x.g.Prove(x.g.Verdicts[i]))
			if got := checkSealed(c, b, x.g, w); got.Holds != (original == nil) {
				t.Fatalf("%s: %s on %s: %s; the original: %v", x.name, w.Treatment, w.On, got.Why, original)
			}
			checked++
		}
	}
	t.Logf("%d proofs", checked)
}

// TestForgedProofs: a sealed proof changed in one place does not pass, whatever is changed.
func TestForgedProofs(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 5))
	made := 0
	for _, x := range judgements(t, 60)[len(judgements(t, 0)):] {
		b, err := seal.New(x.g, x.src)
		if err != nil {
			t.Fatal(err)
		}
		c := verify.New(x.g)
		for _, w := range b.Verdicts {
			if w.Unproven || len(w.RulesOut) == 0 {
				continue
			}
			at, _ := strconv.Atoi(w.RulesOut[rnd.IntN(len(w.RulesOut))])
			for len(b.Steps[at].Kids) > 0 && rnd.IntN(4) > 0 {
				at, _ = strconv.Atoi(b.Steps[at].Kids[0])
			}
			was := b.Steps[at]
			forged := was
			switch rnd.IntN(4) {
			case 0:
				forged.Value = map[string]string{"true": "false", "false": "true", "open": "true"}[was.Value]
			case 1:
				forged.Text += " "
			case 2:
				forged.On = "owner"
				if was.On == "owner" || was.On == "" {
					continue
				}
			case 3:
				if len(was.Kids) == 0 {
					forged.Answer = "forged"
				}
				forged.Kids = nil
			}
			b.Steps[at] = forged
			if checkSealed(c, b, x.g, w).Holds {
				t.Errorf("%s: %s on %s holds, with %+v in place of %+v", x.name, w.Treatment, w.On, forged, was)
			}
			b.Steps[at] = was
			made++
		}
	}
	if made < 30 {
		t.Fatalf("only %d forged", made)
	}
}

// TestProgramsDiffer: where this program and the sealed one do not agree, the checker tells which of them erred.
func TestProgramsDiffer(t *testing.T) {
	tiny := tinyLayer(t)
	s := sealing{layers: tiny, book: book("3", "yes", "")}
	erring := func(c *evidence.Case) (*judge.Judgement, error) {
		g, err := judge.Judge(c)
		if err == nil {
			g.Of("bath", "cover").Word = judge.Possible // wrong: an ink bleeds
		}
		return g, err
	}
	moved := func(a *Auditor, f *seal.Folder) Replay {
		cases, _, _ := f.Cases()
		return a.Case(f, "case", cases["case"], 1).Decisions[0].Replay
	}
	t.Run("this program errs", func(t *testing.T) {
		a := New(Options{})
		a.judge = erring
		r := moved(a, sealed(t, s))
		if len(r.Moved) != 1 || r.Moved[0].Erred() != TodaysProgram || r.Moved[0].Was != "ruled out" || r.Moved[0].Is != "possible" {
			t.Errorf("%+v", r)
		}
	})
	t.Run("that program erred", func(t *testing.T) {
		wrong := s
		wrong.change = func(b *edition1.Body) {
			i := slices.IndexFunc(b.Verdicts, func(v edition1.Verdict) bool { return v.Treatment == "bath" })
			b.Verdicts[i].Verdict = "recommended"
		}
		f := sealed(t, wrong)
		r := moved(New(Options{}), f)
		if len(r.Moved) != 1 || r.Moved[0].Erred() != ThatProgram {
			t.Fatalf("%+v", r)
		}
		report := audited(f, Options{}, 1)
		if got := kinds(report.Decisions[0].Findings); report.Result != NotSound || !slices.Equal(got, []string{"program erred bath bath: recommended > ruled out"}) {
			t.Errorf("%s, %q", report.Result, got)
		}
	})
	t.Run("only the rank", func(t *testing.T) {
		ranked := s
		ranked.change = func(b *edition1.Body) { b.Verdicts[0].Rank = "7" }
		r := moved(New(Options{}), sealed(t, ranked))
		if r.Same || len(r.Moved) != 1 || r.Moved[0].Erred() != Neither {
			t.Errorf("%+v", r)
		}
	})
	t.Run("another way of judging, the same verdicts", func(t *testing.T) {
		other := s
		other.change = func(b *edition1.Body) { b.Judge = "0" }
		if r := moved(New(Options{}), sealed(t, other)); !r.Same || r.Judge != "0" {
			t.Errorf("%+v", r)
		}
	})
	t.Run("the record read otherwise", func(t *testing.T) {
		other := s
		other.change = func(b *edition1.Body) { b.Record.Title = "another" }
		if r := moved(New(Options{}), sealed(t, other)); r.Same || !r.Reading || len(r.Moved) > 0 {
			t.Errorf("%+v", r)
		}
	})
}

// TestHostile: a file with a right hash and a body from a stranger ends in a word, not in a hang or a panic.
func TestHostile(t *testing.T) {
	tiny := tinyLayer(t)
	step := func(kids ...string) edition1.ProofStep {
		return edition1.ProofStep{Step: "and", Value: "true", Kids: kids}
	}
	for name, change := range map[string]func(*edition1.Body){
		"a proof that rests on itself": func(b *edition1.Body) { b.Steps[0].Kids = []string{"0"} },
		"a proof that rests on what follows": func(b *edition1.Body) {
			b.Steps[0].Kids = []string{strconv.Itoa(len(b.Steps) - 1)}
		},
		"a proof that doubles fifty times": func(b *edition1.Body) {
			for range 50 {
				last := strconv.Itoa(len(b.Steps) - 1)
				b.Steps = append(b.Steps, step(last, last))
			}
			b.Verdicts[0].RulesOut = []string{strconv.Itoa(len(b.Steps) - 1)}
		},
		"a proof too deep": func(b *edition1.Body) {
			for range 2 * mostDepth {
				b.Steps = append(b.Steps, step(strconv.Itoa(len(b.Steps)-1)))
			}
			b.Verdicts[0].RulesOut = []string{strconv.Itoa(len(b.Steps) - 1)}
		},
		"more verdicts than there can be": func(b *edition1.Body) {
			for range 1000 {
				b.Verdicts = append(b.Verdicts, b.Verdicts[0])
			}
		},
		"a record that never ends":  func(b *edition1.Body) { b.Record.Text += strings.Repeat("#\n", 3<<20) },
		"steps that are no numbers": func(b *edition1.Body) { b.Verdicts[0].For = []string{"x", "-1", "99999999999999999999"} },
		"no steps":                  func(b *edition1.Body) { b.Steps = nil },
		"a day that is none":        func(b *edition1.Body) { b.On = "someday" },
		"a record that is none":     func(b *edition1.Body) { b.Record.Text = "\x00" },
		"no packs":                  func(b *edition1.Body) { b.Packs = nil },
		"a pack text left out":      func(b *edition1.Body) { b.Texts = nil },
		"a verdict on nothing":      func(b *edition1.Body) { b.Verdicts[0].On, b.Verdicts[0].Treatment = "nowhere", "nothing" },
		"a support that is no number": func(b *edition1.Body) {
			b.Verdicts[0].Least = "much"
		},
		"a newer edition": func(b *edition1.Body) { b.Edition = "2" },
	} {
		t.Run(name, func(t *testing.T) {
			r := audited(sealed(t, sealing{layers: tiny, book: book("3", "yes", ""), change: change}), Options{Today: &Today{Layers: tiny, Given: true}}, 1)
			d := r.Decisions[0]
			if d.Replay.Same || d.Replay.Fault == "" && len(d.Replay.Moved) == 0 {
				t.Errorf("%+v", d.Replay)
			}
			if d.Replay.Fault != "" && d.Result != NotJudged || len(r.Breaks()) > 0 {
				t.Errorf("%s, %+v", d.Result, r.Breaks())
			}
		})
	}
}

// TestOutside: what the number on the owner's sheet and a key to trust can show.
func TestOutside(t *testing.T) {
	s := sealing{layers: tinyLayer(t), book: book("3", "yes", "")}
	f := sealed(t, s, s, s)
	links := audited(f, Options{}, 1).Links
	number := func(n int) string { return seal.Number(links[n-1].Sum) }
	for n := 1; n <= 3; n++ {
		if r := audited(f, Options{Witness: number(n)}, 1); r.Witnessed != n || r.Result == Broken {
			t.Errorf("number of %d: %d, %s", n, r.Witnessed, r.Result)
		}
	}
	os.Remove(filepath.Join(f.Path, "case-0003.json"))
	if r := audited(f, Options{}, 1); r.Result == Broken {
		t.Error("a cut tail was found without a witness")
	}
	if r := audited(f, Options{Witness: number(3)}, 1); r.Result != Broken || r.Breaks()[0].Kind != seal.NoWitness {
		t.Errorf("a cut tail: %s, %+v", r.Result, r.Breaks())
	}
	if r := audited(sealed(t, s), Options{Witness: number(2)}, 1); r.Result != Broken {
		t.Errorf("written anew: %s", r.Result)
	}
	if r := audited(f, Options{Trust: strings.Repeat("0", 64)}, 1); r.Result != Broken || r.Trusted || r.Breaks()[0].Kind != seal.Untrusted {
		t.Errorf("not signed: %s, %+v", r.Result, r.Breaks())
	}
}

// TestNow: what would be decided by today's packs and record.
func TestNow(t *testing.T) {
	house := tinyLayer(t, "tiny-house.yaml")
	s := sealing{layers: house, book: book("3", "yes", "")}
	f := sealed(t, s)
	for _, tt := range []struct {
		name   string
		today  Today
		moves  []string
		kept   []string
		result Result
	}{
		{"nothing given: the house pack is kept as sealed", Today{Layers: house[:1]}, nil, []string{"tiny-house"}, Sound},
		{"the house pack is gone", Today{Layers: house[:1], Given: true}, []string{"bath: recommended > ruled out", "damp-cloth: recommended > ruled out"}, nil, Otherwise},
		{"the same packs", Today{Layers: house, Given: true}, nil, nil, Sound},
		{
			"another answer today",
			Today{Layers: house, Given: true, Record: &Record{"b.yaml", book("3", "no", ""), "record"}},
			[]string{"brush: recommended > no need"},
			nil, Otherwise,
		},
		{
			"another thing today",
			Today{Layers: house, Given: true, Record: &Record{"b.yaml", strings.Replace(book("3", "yes", ""), "cover:", "lid:", 1), "2025-10-13"}},
			[]string{
				"bath: recommended > ", "brush: recommended > ", "damp-cloth: recommended > ", "brush: no need > ", "drip: possible > ",
				"bath:  > recommended", "brush:  > recommended", "damp-cloth:  > recommended", "drip:  > possible", "brush:  > no need",
			},
			nil, Otherwise,
		},
		{"a record that cannot be read", Today{Layers: house, Given: true, Record: &Record{"b.yaml", "record: 1\n", "record"}}, nil, nil, SoundThen},
		{"a pack that cannot be read", Today{Layers: []pack.Layer{{Files: []pack.File{{Name: "x", Data: []byte("pack: [")}}}}, Given: true}, nil, nil, SoundThen},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := audited(f, Options{Today: &tt.today}, 1)
			n := r.Decisions[0].Now
			var moves []string
			for _, m := range n.Moves {
				moves = append(moves, m.Treatment+": "+m.Was+" > "+strings.Join(m.To, ","))
			}
			slices.Sort(moves)
			slices.Sort(tt.moves)
			if diff := cmp.Diff(tt.moves, moves); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
			if !slices.Equal(n.Kept, tt.kept) || r.Result != tt.result || (n.Fault != "") != (tt.result == SoundThen) {
				t.Errorf("kept %q, %s, fault %q", n.Kept, r.Result, n.Fault)
			}
		})
	}
}

// TestFolder: audited at once or one by one, cases come in order and to the same; what is no case is left alone.
func TestFolder(t *testing.T) {
	root := t.TempDir()
	tiny := tinyLayer(t)
	want := []string{}
	for i := range 40 {
		dir := filepath.Join(root, fmt.Sprintf("drawer-%d", i%3))
		os.MkdirAll(dir, 0o755)
		name := fmt.Sprintf("case-%02d", i)
		sealing{layers: tiny, book: book([]string{"3", "5", ""}[i%3], "yes", "")}.into(t, seal.In(dir), name)
		want = append(want, fmt.Sprintf("drawer-%d/%s %s", i%3, name, SoundThen))
	}
	broken := filepath.Join(root, "drawer-1", "case-04-0001.json")
	data, _ := os.ReadFile(broken)
	os.Remove(broken)
	os.WriteFile(broken, bytes.Replace(data, []byte("Quay"), []byte("Quai"), 1), 0o644)
	want[4] = "drawer-1/case-04 broken"
	os.WriteFile(filepath.Join(root, "drawer-1", "notes.json"), []byte("{}"), 0o644)
	slices.Sort(want)
	var got []string
	told := 0
	err := New(Options{}).Folder(root, func(done, all int) {
		if told++; done != told || all != 40 {
			t.Errorf("%d of %d", done, all)
		}
	}, func(r *Report) error {
		rel, _ := filepath.Rel(root, r.Folder)
		got = append(got, rel+"/"+r.Case+" "+string(r.Result))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	stop := fmt.Errorf("enough")
	if err := New(Options{}).Folder(root, nil, func(*Report) error { return stop }); err != stop {
		t.Errorf("%v", err)
	}
	a := New(Options{})
	a.judge = func(*evidence.Case) (*judge.Judgement, error) { panic("broken program") }
	func() {
		defer func() {
			if r := recover(); !strings.Contains(fmt.Sprint(r), "drawer-0/case-00: broken program") {
				t.Errorf("a fault of the program: %v", r)
			}
		}()
		a.Folder(root, nil, func(*Report) error { return nil })
	}()
}

// TestPacksAreShared: cases sealed by the same packs share them, and no more than a few are kept.
func TestPacksAreShared(t *testing.T) {
	var c compiled
	tiny := tinyLayer(t)
	first, err := c.load(tiny)
	if err != nil {
		t.Fatal(err)
	}
	if again, _ := c.load(tinyLayer(t)); again != first {
		t.Error("the same pack was compiled twice")
	}
	for i := range 3 * mostPacks {
		other := pack.Layer{Files: []pack.File{{Name: "x", Data: fmt.Appendf(slices.Clone(tiny[0].Files[0].Data), "# %d\n", i)}}}
		if _, err := c.load([]pack.Layer{other}); err != nil {
			t.Fatal(err)
		}
	}
	if len(c.byKey) != mostPacks || len(c.order) != mostPacks {
		t.Errorf("%d packs are kept", len(c.byKey))
	}
}

// TestMangled mangles bodies where a forger would: any text put in the place of any other, any list shortened or doubled, any
// part emptied; each is hashed as if it had been sealed so. The audit ends in a word, and calls none of them the same.
func TestMangled(t *testing.T) {
	tiny := tinyLayer(t)
	f := sealed(t, sealing{layers: tiny, book: book("3", "yes", ""), decision: "decision: 1\naccepted: [{step: brush, on: cover/outside, cautions: yes}]\n"})
	data, err := seal.Read(filepath.Join(f.Path, "case-0001.json"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := seal.Open(data)
	if err != nil {
		t.Fatal(err)
	}
	tries := 600
	if testing.Short() {
		tries = 100
	}
	rnd, a, judged := rand.New(rand.NewPCG(9, 9)), New(Options{}), 0
	for range tries {
		var body any
		if err := canon.Decode(s.Body, &body); err != nil {
			t.Fatal(err)
		}
		mangle(rnd, body)
		text, err := canon.Encode(body)
		if err != nil {
			t.Fatal(err)
		}
		folder := seal.In(t.TempDir())
		file := fmt.Appendf(nil, `{"body":%s,"sha256":"%x","signature":""}`, text, sha256.Sum256(text))
		if err := os.WriteFile(filepath.Join(folder.Path, "case-0001.json"), file, 0o600); err != nil {
			t.Fatal(err)
		}
		r := a.Case(folder, "case", []int{1}, 0)
		for _, d := range r.Decisions {
			if d.Replay.Fault == "" {
				judged++
			}
			if d.Replay.Same && !bytes.Equal(text, s.Body) && !sameButForGiven(text, s.Body) {
				t.Errorf("called the same:\n%s", text)
			}
		}
	}
	if judged == 0 {
		t.Error("none could be judged again")
	}
}

// sameButForGiven tells whether two bodies differ only in what was given from outside and decides nothing: the person's
// decision, the place in the chain, the names of files.
func sameButForGiven(x, y []byte) bool {
	var a, b edition1.Body
	if canon.Decode(x, &a) != nil || canon.Decode(y, &b) != nil {
		return false
	}
	for _, body := range []*edition1.Body{&a, &b} {
		body.Decision, body.Plan, body.Case, body.Number, body.Previous, body.At, body.Signer, body.Judge = nil, nil, "", "", "", "", "", ""
		body.Record.Name = ""
		for _, p := range body.Packs {
			for i := range p.Files {
				p.Files[i].Name = ""
			}
		}
	}
	same, err := differ(a, b)
	return err == nil && !same
}

// mangle changes one thing somewhere in a value.
func mangle(rnd *rand.Rand, v any) {
	var texts, lists []func(any)
	var values []string
	var walk func(any, func(any))
	walk = func(v any, put func(any)) {
		switch v := v.(type) {
		case string:
			texts, values = append(texts, put), append(values, v)
		case []any:
			lists = append(lists, func(any) {
				switch n := len(v); {
				case n == 0 || rnd.IntN(3) == 0:
					put([]any{})
				case rnd.IntN(2) == 0:
					put(v[:n-1])
				default:
					put(append(slices.Clone(v), v[rnd.IntN(n)]))
				}
			})
			for i := range v {
				walk(v[i], func(x any) { v[i] = x })
			}
		case map[string]any:
			for _, k := range slices.Sorted(maps.Keys(v)) {
				walk(v[k], func(x any) { v[k] = x })
			}
		}
	}
	walk(v, func(any) {})
	if rnd.IntN(3) == 0 {
		lists[rnd.IntN(len(lists))](nil)
		return
	}
	texts[rnd.IntN(len(texts))](values[rnd.IntN(len(values))])
}

// The smallest pack and book that come to a verdict: what is tried with any bytes must be small to be tried often.
const (
	smallPack = `pack: small
aims: {a: {says: s}}
tests:
  part.kind: {asks: "k?", answer: {words: [cover, wrap]}}
  part.w: {asks: "w?", answer: yes/no}
treatments: {b: {name: b, of: part, family: f, says: s, serves: [a], intervention: 1, retreatable: yes}}
rules:
  r: {treatment: b, rules out when: part.w, because: x, standing: house}
  c: {treatment: b, called for when: always, because: x, standing: house}
`
	smallBook = "record: 1\ntitle: t\nparts: {cover: {kind: cover%s}}\n"
)

// FuzzAudit: whatever a body with a right hash holds, its audit ends in one of the results, without a panic.
func FuzzAudit(f *testing.F) {
	layers := []pack.Layer{{Files: []pack.File{{Name: "p.yaml", Data: []byte(smallPack)}}}}
	for _, answer := range []string{"", ", seen: {w: yes}", ", seen: {w: no}"} {
		folder := sealed(f, sealing{layers: layers, book: fmt.Sprintf(smallBook, answer), change: func(b *edition1.Body) {
			b.Decision = &edition1.Decision{Accepted: []edition1.Accepted{{Step: "b", On: "cover"}}}
		}})
		data, err := seal.Read(filepath.Join(folder.Path, "case-0001.json"))
		if err != nil {
			f.Fatal(err)
		}
		s, err := seal.Open(data)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(s.Body)
	}
	a := New(Options{Today: &Today{Layers: layers}})
	f.Fuzz(func(t *testing.T, body []byte) {
		folder := seal.In(t.TempDir())
		file := fmt.Appendf(nil, `{"body":%s,"sha256":"%x","signature":""}`, body, sha256.Sum256(body))
		if err := os.WriteFile(filepath.Join(folder.Path, "case-0001.json"), file, 0o600); err != nil {
			t.Fatal(err)
		}
		r := a.Case(folder, "case", []int{1}, 0)
		if !slices.Contains(Results, r.Result) || len(r.Links) != 1 {
			t.Errorf("%q with %d links", r.Result, len(r.Links))
		}
		for _, d := range r.Decisions {
			if d.Result == NotJudged && d.Replay.Fault == "" {
				t.Error("not judged again, and not said why")
			}
		}
	})
}
