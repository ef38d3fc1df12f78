package data

import (
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/explain/account"
	"tideline/explain/guide"
	"tideline/explain/words"
	"tideline/rules/pack"
)

// Reason is a rule asked of a thing, with its proof.
type Reason struct {
	Rule      string      `json:"rule"`
	Guide     string      `json:"guide"` // its place in the handbook of `tideline pack guide`
	Effect    pack.Effect `json:"effect"`
	Value     string      `json:"value"` // true, false or open
	Thing     string      `json:"thing"`
	Sentence  string      `json:"sentence"` // what would happen to the book, and by what mechanism
	Kind      string      `json:"kind,omitempty"`
	Condition string      `json:"condition"`
	Principle *Principle  `json:"principle,omitempty"`
	Sources   []Source    `json:"sources"`
	Standing  string      `json:"standing"`
	Withdrawn *Withdrawal `json:"withdrawn,omitempty"`
	Disagrees []string    `json:"disagrees_with,omitempty"`
	Criterion string      `json:"criterion,omitempty"` // of an argument
	Weight    float64     `json:"weight,omitempty"`    // of an argument: the criterion's times the rule's
	Say       string      `json:"say,omitempty"`       // of a caution
	Hazard    bool        `json:"hazard,omitempty"`    // of a caution
	Step      string      `json:"step,omitempty"`      // of a need: the treatment that must come first
	Proof     []Node      `json:"proof"`
}

// Principle is the mechanism behind a rule.
type Principle struct {
	ID       string   `json:"id"`
	Says     string   `json:"says"`
	Sources  []Source `json:"sources"`
	Standing string   `json:"standing"`
}

// Source is a published source.
type Source struct {
	ID        string `json:"id"`
	Title     string `json:"title"`
	Author    string `json:"author,omitempty"`
	Year      string `json:"year,omitempty"`
	Publisher string `json:"publisher,omitempty"`
	URL       string `json:"url,omitempty"`
}

// Withdrawal is a house's word that it does not follow a ruling-out.
type Withdrawal struct {
	Because string `json:"because"`
	By      string `json:"by"`
	Date    string `json:"date"`
	Pack    string `json:"pack"`
}

// Node is one node of a proof, the deciding branches first.
type Node struct {
	Step     judge.Step `json:"step"`
	Value    string     `json:"value"`              // true, false or open
	Text     string     `json:"text,omitempty"`     // the part of the condition, as written
	Thing    string     `json:"thing,omitempty"`    // what the node speaks of
	Fact     *Fact      `json:"fact,omitempty"`     // of a fact
	Count    int        `json:"count,omitempty"`    // of at least
	Answer   *Answer    `json:"answer,omitempty"`   // of an answer
	Question string     `json:"question,omitempty"` // of cases
	Cells    []string   `json:"cells,omitempty"`    // of a case: the answers it stands for
	Range    string     `json:"range,omitempty"`    // of a case: the same in words
	Rule     string     `json:"rule,omitempty"`     // of a reason
	Sentence string     `json:"sentence,omitempty"` // of a reason
	Call     *Call      `json:"call,omitempty"`     // of a dose
	Kids     []Node     `json:"kids,omitempty"`
}

// Fact is a named stepping stone.
type Fact struct {
	ID       string   `json:"id"`
	Guide    string   `json:"guide"`
	Says     string   `json:"says"`
	Is       string   `json:"is"`
	Sources  []Source `json:"sources"`
	Standing string   `json:"standing"`
}

// Answer is a leaf of a proof: a question with the answer that stands, or why none does.
type Answer struct {
	Question string   `json:"question"`
	Guide    string   `json:"guide,omitempty"` // of a question a test answers
	Asks     string   `json:"asks"`
	Known    bool     `json:"known"`
	Text     string   `json:"text"`              // the answer as a person writes it, or why none stands
	Asked    string   `json:"asked,omitempty"`   // the answers the condition asked for
	Result   *Result  `json:"result,omitempty"`  // the latest result
	Earlier  []Result `json:"earlier,omitempty"` // results it replaced, the latest first
	Lapsed   string   `json:"lapsed,omitempty"`  // stale or out of date, when the latest result does not stand
}

// Result is one result as recorded.
type Result struct {
	Answer string    `json:"answer"`
	Date   string    `json:"date,omitempty"`
	By     string    `json:"by,omitempty"`
	At     []float64 `json:"at,omitempty"` // mm from the top left corner
	Note   string    `json:"note,omitempty"`
}

func reason(g *judge.Judgement, p *judge.Proof) Reason {
	r := p.Rule
	w := Reason{
		Rule: r.ID, Guide: place(guide.OfRule, r.ID), Effect: r.Effect, Value: p.Value.String(), Thing: p.Thing.Path, Sentence: r.Because, Kind: r.Kind, Condition: r.Text,
		Sources: sources(g, r.Cite), Standing: r.Standing, Disagrees: r.Disagrees, Say: r.Say, Hazard: r.Hazard, Proof: nodes(g, p.Kids),
	}
	if m := g.Case.Pack.Principle(r.Principle); m != nil {
		w.Principle = &Principle{m.ID, m.Says, sources(g, m.Cite), m.Standing}
	}
	if r.Withdrawn != nil {
		w.Withdrawn = &Withdrawal{r.Withdrawn.Because, r.Withdrawn.By, r.Withdrawn.Date, r.Withdrawn.Pack}
	}
	if r.Criterion != nil {
		w.Criterion, w.Weight = r.Criterion.ID, g.Weights[r.Criterion.ID]*r.Weight
	}
	if r.Step != nil {
		w.Step = r.Step.ID
	}
	return w
}

// place links to a place in the handbook.
func place(of, id string) string { return "#" + guide.Anchor(of, id) }

func nodes(g *judge.Judgement, list []*judge.Proof) []Node {
	all := make([]Node, 0, len(list))
	for _, p := range list {
		all = append(all, node(g, p))
	}
	return all
}

func node(g *judge.Judgement, p *judge.Proof) Node {
	n := Node{Step: p.Step, Value: p.Value.String(), Text: p.Text, Kids: nodes(g, p.Kids)}
	if p.Thing != nil {
		n.Thing = p.Thing.Path
	}
	switch p.Step {
	case judge.StepFact:
		n.Fact = &Fact{p.Fact.ID, place(guide.OfFact, p.Fact.ID), p.Fact.Says, p.Fact.Is.Text, sources(g, p.Fact.Cite), p.Fact.Standing}
	case judge.StepDose:
		n.Call = call(p)
	case judge.StepCount:
		n.Count = p.Count
	case judge.StepAnswer:
		n.Answer = answer(g, p)
	case judge.StepReason:
		n.Rule, n.Sentence = p.Rule.ID, p.Rule.Because
	case judge.StepCases, judge.StepCase:
		q := g.Case.Asks[p.Ask].Question
		n.Question = q.ID
		for _, c := range p.Cells {
			n.Cells = append(n.Cells, q.Text(c))
		}
		if len(p.Cells) > 0 {
			n.Range = words.Cells(q, p.Cells, account.Points(g.Case, q))
		}
	}
	return n
}

func answer(g *judge.Judgement, p *judge.Proof) *Answer {
	ask := g.Case.Asks[p.Ask]
	a := &Answer{Question: ask.Question.ID, Asks: ask.Question.Asks, Known: ask.Answer.Known, Text: words.Answer(ask)}
	if g.Case.Pack.Test(ask.Question.ID) != nil {
		a.Guide = place(guide.OfTest, ask.Question.ID)
	}
	if p.Test != nil {
		a.Asked = words.Range(p.Test, ask.Question, true)
	}
	if ask.Result != nil {
		r := result(ask.Result)
		a.Result = &r
	}
	for i := len(ask.Earlier) - 1; i >= 0; i-- {
		a.Earlier = append(a.Earlier, result(ask.Earlier[i]))
	}
	switch {
	case ask.Lapsed != nil && ask.Lapsed.Step != nil:
		a.Lapsed = "stale"
	case ask.Lapsed != nil:
		a.Lapsed = "out of date"
	}
	return a
}

func result(r *record.Result) Result {
	w := Result{Answer: r.Question.Text(r.Answer), By: r.By, Note: r.Note}
	if !r.Date.IsZero() {
		w.Date = words.Day(r.Date)
	}
	if r.At != nil {
		w.At = []float64{r.At.X, r.At.Y}
	}
	return w
}

func sources(g *judge.Judgement, c pack.Cite) []Source {
	all := []Source{}
	for _, id := range c.Sources {
		if s := g.Case.Pack.Source(id); s != nil {
			all = append(all, Source{s.ID, s.Title, s.Author, s.Year, s.Publisher, s.URL})
		}
	}
	return all
}
