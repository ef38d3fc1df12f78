package trial

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gopkg.in/yaml.v3"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

const expectations = "expect.yaml"

// expectation is what must come for one example book, as the head of expect.yaml describes it.
type expectation struct {
	Decides        string   `yaml:"decides"`
	RecommendsOnly []string `yaml:"recommends only"`
	Expects        []expected
}

type expected struct {
	Treatment  oneOrMore
	On         oneOrMore
	Verdict    oneOrMore
	DecidedBy  []string `yaml:"decided by"`
	RanksAbove []string `yaml:"ranks above"`
	Says       []string
	Why        string
}

// oneOrMore is a word or a list of words.
type oneOrMore []string

func (o *oneOrMore) UnmarshalYAML(n *yaml.Node) error {
	if n.Kind == yaml.ScalarNode {
		*o = oneOrMore{n.Value}
		return nil
	}
	return n.Decode((*[]string)(o))
}

// TestBooks holds the example books, judged under the shipped pack, against what a conservator would defend.
func TestBooks(t *testing.T) {
	shipped := shippedPack(t)
	folder := filepath.Join("..", "..", "testdata", "books")
	expects := readExpectations(t, filepath.Join(folder, "..", expectations))
	files, err := filepath.Glob(filepath.Join(folder, "*.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 {
		t.Fatal("no example books in " + folder)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".yaml")
		want, ok := expects[name]
		delete(expects, name)
		t.Run(name, func(t *testing.T) {
			if !ok || len(want.Expects) == 0 {
				t.Fatalf("%s expects nothing of %s", expectations, name)
			}
			g := judgeBook(t, shipped, file)
			if want.Decides == "" {
				t.Error("it does not say what decides this book")
			}
			for _, e := range want.Expects {
				e.check(t, g)
			}
			want.checkOnly(t, g)
		})
	}
	for name := range expects {
		t.Errorf("%s expects something of %s, which is not there", expectations, name)
	}
}

func shippedPack(t *testing.T) *pack.Pack {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return p
}

func readExpectations(t *testing.T, file string) map[string]expectation {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	d := yaml.NewDecoder(bytes.NewReader(data))
	d.KnownFields(true)
	var all map[string]expectation
	if err := d.Decode(&all); err != nil {
		t.Fatal(err)
	}
	return all
}

func judgeBook(t *testing.T, p *pack.Pack, file string) *judge.Judgement {
	t.Helper()
	faults := &fault.List{}
	book := record.Load(file, nil, record.WordsOf(p), time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	g, err := judge.Judge(evidence.Gather(p, book, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range g.Contradictions {
		t.Errorf("%s: the answers break %s", c.Thing.Path, c.Never.ID)
	}
	return g
}

func (e expected) check(t *testing.T, g *judge.Judgement) {
	t.Helper()
	if len(e.Treatment) == 0 || len(e.On) == 0 || len(e.Verdict) == 0 || e.Why == "" {
		t.Errorf("an expectation needs treatment, on, verdict and why: %+v", e)
	}
	for _, treatment := range e.Treatment {
		for _, on := range e.On {
			v := g.Of(treatment, on)
			if v == nil {
				t.Errorf("%s on %s is no candidate; want %s", treatment, on, strings.Join(e.Verdict, " or "))
				continue
			}
			e.checkVerdict(t, g, v)
		}
	}
}

func (e expected) checkVerdict(t *testing.T, g *judge.Judgement, v *judge.Verdict) {
	t.Helper()
	what := v.Treatment.ID + " on " + v.Target.Path
	if !slices.Contains(e.Verdict, string(v.Word)) {
		t.Errorf("%s: %s; want %s, because %s", what, v.Word, strings.Join(e.Verdict, " or "), e.Why)
	}
	hangs := func(word string) bool { return word == string(judge.RuledOut) || word == string(judge.TestFirst) }
	if len(e.DecidedBy) == 0 && slices.ContainsFunc(e.Verdict, hangs) {
		t.Errorf("%s: the expectation does not say which rule or question decides it", what)
	}
	for _, d := range e.DecidedBy {
		question := strings.Contains(d, ".")
		switch {
		case question && !waitsFor(g, v, d):
			t.Errorf("%s does not wait for %s", what, d)
		case !question && g.Case.Pack.Rule(d) == nil:
			t.Errorf("%s: there is no rule %s", what, d)
		case !question && !ruleHolds(v, d):
			t.Errorf("%s: %s does not hold or decides nothing", what, d)
		}
	}
	for _, other := range e.RanksAbove {
		if o := g.Of(other, v.Target.Path); o != nil && o.Rank > 0 && (v.Rank == 0 || o.Rank <= v.Rank) {
			t.Errorf("%s ranks %d, and %s %d; want it above", what, v.Rank, other, o.Rank)
		}
	}
	text := printed(v)
	for _, s := range e.Says {
		if !strings.Contains(text, s) {
			t.Errorf("%s does not say %q", what, s)
		}
	}
}

// waitsFor tells whether a verdict waits for a question: of a kind of thing (ink.wet) or of one thing (cover/inside/black.wet).
func waitsFor(g *judge.Judgement, v *judge.Verdict, question string) bool {
	if v.Word != judge.TestFirst {
		return false
	}
	dot := strings.LastIndex(question, ".")
	return slices.ContainsFunc(g.Missing(v), func(a evidence.Ask) bool {
		return a.Question.ID == question || a.Thing.Path == question[:dot] && strings.HasSuffix(a.Question.ID, question[dot:])
	})
}

// ruleHolds tells whether a rule is true of something in a verdict; for a ruling-out, as one that rules out.
func ruleHolds(v *judge.Verdict, rule string) bool {
	return slices.ContainsFunc(v.Instances, func(i *judge.Instance) bool {
		return i.Rule.ID == rule && i.Value == cond.True && (v.Word != judge.RuledOut || i.Rule.Effect == pack.RulesOut)
	})
}

// printed is what is printed with a step: settings, what it can bring about, stop signs and the cautions that hold.
func printed(v *judge.Verdict) string {
	text := slices.Concat([]string{v.Treatment.Says}, v.Treatment.Brings, v.Treatment.CanBring, v.Treatment.StopSigns)
	for _, s := range v.Treatment.Settings {
		text = append(text, s.What+": "+s.Value)
	}
	for _, i := range v.Instances {
		if i.Rule.Effect == pack.Caution && i.Value == cond.True {
			text = append(text, i.Rule.Say)
		}
	}
	return strings.Join(text, "\n")
}

func (want expectation) checkOnly(t *testing.T, g *judge.Judgement) {
	t.Helper()
	if want.RecommendsOnly == nil {
		return
	}
	for _, v := range g.Verdicts {
		if v.Word != judge.NoNeed && v.Word != judge.RuledOut && !slices.Contains(want.RecommendsOnly, v.Treatment.ID) {
			t.Errorf("%s on %s: %s; want only %s", v.Treatment.ID, v.Target.Path, v.Word, strings.Join(want.RecommendsOnly, ", "))
		}
	}
}
