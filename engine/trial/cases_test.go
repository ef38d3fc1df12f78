package trial_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"gopkg.in/yaml.v3"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/rules/cond"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
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

// TestPublishedCases judges the books of testdata/cases/books and holds our verdicts against what the conservators named in
// testdata/cases/expected.yaml decided. No treatment that was ruled out or withheld for safety may be recommended, and of the
// refusals and of the treatments done at least 85 in a hundred must agree. `go test -v` prints the table.
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
			if agree {
				agreed[side]++
				mark = "agrees"
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
	for side, name := range []string{"done, preferred or modified", "ruled out, withheld or not needed"} {
		part := float64(agreed[side]) / float64(scored[side])
		fmt.Fprintf(&table, "%s: %d of %d agree (%.0f %%)\n", name, agreed[side], scored[side], 100*part)
		if part < 0.85 {
			t.Errorf("of what was %s only %d of %d agree", name, agreed[side], scored[side])
		}
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
	p := pack.Load([]pack.Layer{layer}, faults)
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
