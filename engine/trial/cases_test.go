package trial_test

import (
	"fmt"
	"maps"
	"os"
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
	"tideline/rules/vocab"
)

const casesDir = "../../testdata/cases/"

// A published is one case of testdata/cases/expected.yaml: what a conservator decided, and where it is told.
type published struct {
	ID        string
	Source    struct{ Title, Author, Year, URL string }
	Note      string
	Decisions []decision
}

type decision struct {
	Decision, Published, Book, Why string
	KindOfNo                       string `yaml:"kind of no"`
	NotScored                      string `yaml:"not scored"`
	Treatment, On                  []string
	Accepted                       []string
}

// negative tells a decision against the treatment from one for it.
func (d decision) negative() bool {
	return !slices.Contains([]string{"done", "preferred", "modified"}, d.Published)
}

// forSafety tells a refusal because it would have done harm.
func (d decision) forSafety() bool { return d.KindOfNo == "safety" }

// agrees tells whether a verdict of ours is one that agrees.
func (d decision) agrees(v *judge.Verdict) bool {
	return slices.Contains(d.Accepted, string(v.Word)) ||
		v.Word == judge.Possible && v.Most < 0 && slices.Contains(d.Accepted, "possible with support below zero")
}

// Of the refusals at least 85 in a hundred must agree. Of the treatments done, leastDone in a hundred must agree outright: it is
// what the facts told in the publications allow. Every other must wait, and for tests of the object alone.
const (
	leastRefused = 85
	leastDone    = 68
)

// TestPublishedCases judges the books of testdata/cases/books and holds our verdicts against what the conservators named in
// testdata/cases/expected.yaml decided. No treatment that was ruled out or withheld for safety may be recommended. A treatment
// that was done may be ruled out or called needless in no case: where we do not allow it outright it waits for a test of an ink,
// a finding or the paper whose outcome the publication does not tell, and never for the owner, the bench or a list. `go test -v`
// prints the table.
func TestPublishedCases(t *testing.T) {
	data, err := os.ReadFile(casesDir + "expected.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var doc struct{ Cases []published }
	if err := yaml.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	shipped := shippedPack(t)
	words := record.WordsOf(shipped)
	judged := map[string]*judge.Judgement{}
	var table strings.Builder
	var agreed, scored [2]int // for, against
	unscored := 0
	waits := map[string]int{} // of the treatments done: how many wait, by the questions they wait for
	for _, c := range doc.Cases {
		if c.Source.Title == "" || c.Source.URL == "" {
			t.Errorf("%s names no source", c.ID)
		}
		fmt.Fprintf(&table, "%s  (%s, %s: %s)\n", c.ID, c.Source.Author, c.Source.Year, c.Source.Title)
		for _, d := range c.Decisions {
			if d.NotScored != "" {
				unscored++
				fmt.Fprintf(&table, "  %-48s %-20s not scored: %s\n", d.Decision, d.Published, d.NotScored)
				continue
			}
			book := d.Book
			if book == "" {
				book = c.ID
			}
			if judged[book] == nil {
				judged[book] = judgeCase(t, shipped, words, book)
			}
			verdicts := verdictsOf(judged[book], d)
			if len(verdicts) == 0 {
				t.Errorf("%s: %s: no treatment of %s is a candidate on %s", c.ID, d.Decision, d.Treatment, d.On)
				continue
			}
			side := 0
			agree := slices.ContainsFunc(verdicts, d.agrees)
			if d.negative() {
				side = 1
				agree = !slices.ContainsFunc(verdicts, func(v *judge.Verdict) bool { return !d.agrees(v) })
			}
			scored[side]++
			mark := "DIFFERS"
			switch untold := untoldTests(judged[book], verdicts); {
			case agree:
				agreed[side]++
				mark = "agrees"
			case !d.negative() && untold != "":
				waits[untold]++
				mark = "waits"
			case !d.negative():
				t.Errorf("%s: %s was done (%s), and we neither allow it nor wait for a test of the object alone", c.ID, d.Decision, c.Source.Title)
			}
			for _, v := range verdicts {
				if d.negative() && d.forSafety() && v.Word == judge.Recommended {
					mark = "SERIOUS"
					t.Errorf("%s: %s was refused for safety (%s), and we recommend %s on %s", c.ID, d.Decision, c.Source.Title, v.Treatment.ID, v.Target.Path)
				}
			}
			for i, v := range verdicts {
				left := [3]string{}
				if i == 0 {
					left = [3]string{d.Decision, d.Published, mark}
				}
				fmt.Fprintf(&table, "  %-48s %-20s %-8s %-22s %-12s %s\n", left[0], left[1], left[2], v.Treatment.ID, v.Word, leading(v))
			}
		}
	}
	for side, least := range []int{leastDone, leastRefused} {
		name := []string{"done, preferred or modified", "ruled out, withheld or not needed"}[side]
		fmt.Fprintf(&table, "%s: %d of %d agree (%.0f %%)\n", name, agreed[side], scored[side], 100*float64(agreed[side])/float64(scored[side]))
		if 100*agreed[side] < least*scored[side] {
			t.Errorf("of what was %s only %d of %d agree", name, agreed[side], scored[side])
		}
	}
	for _, untold := range slices.Sorted(maps.Keys(waits)) {
		fmt.Fprintf(&table, "  %2d of those done wait for %s\n", waits[untold], untold)
	}
	fmt.Fprintf(&table, "%d decisions not scored\n", unscored)
	t.Log("\n" + table.String())
}

func shippedPack(t *testing.T) *pack.Pack {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{layer}, faults, dose.Functions()...)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return p
}

func judgeCase(t *testing.T, p *pack.Pack, words *record.Words, id string) *judge.Judgement {
	t.Helper()
	faults := &fault.List{}
	book := record.Load(casesDir+"books/"+id+".yaml", nil, words, time.Time{}, faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	g, err := judge.Judge(evidence.Gather(p, book, book.Examined))
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// verdictsOf gives the verdicts that stand for a decision.
func verdictsOf(g *judge.Judgement, d decision) (found []*judge.Verdict) {
	for _, treatment := range d.Treatment {
		for _, on := range d.On {
			if v := g.Of(treatment, on); v != nil {
				found = append(found, v)
			}
		}
	}
	return found
}

// untoldTests names the questions that the first waiting verdict waits for, if all are asked of the object itself and not of its
// owner, the bench or a list; empty if none waits so.
func untoldTests(g *judge.Judgement, verdicts []*judge.Verdict) string {
	for _, v := range verdicts {
		if v.Word != judge.TestFirst {
			continue
		}
		var questions []string
		for _, ask := range g.Missing(v) {
			if strings.HasSuffix(ask.Question.ID, "_listed") || ask.Thing.Kind == vocab.Owner || ask.Thing.Kind == vocab.Bench {
				return ""
			}
			if !slices.Contains(questions, ask.Question.ID) {
				questions = append(questions, ask.Question.ID)
			}
		}
		slices.Sort(questions)
		return strings.Join(questions, ", ")
	}
	return ""
}

// leading names the reasons that a verdict rests on.
func leading(v *judge.Verdict) string {
	rules := func(effect pack.Effect, values ...cond.Truth) (ids []string) {
		for _, i := range v.Instances {
			if i.Rule.Effect == effect && slices.Contains(values, i.Value) && !slices.Contains(ids, i.Rule.ID) {
				ids = append(ids, i.Rule.ID)
			}
		}
		return ids
	}
	switch v.Word {
	case judge.RuledOut:
		return strings.Join(rules(pack.RulesOut, cond.True), ", ")
	case judge.TestFirst:
		return "open: " + strings.Join(rules(pack.RulesOut, cond.Open), ", ")
	case judge.NoNeed:
		return "nothing found calls for it"
	}
	return fmt.Sprintf("%s; support %.1f to %.1f", strings.Join(rules(pack.CalledFor, cond.True, cond.Open), ", "), v.Least, v.Most)
}
