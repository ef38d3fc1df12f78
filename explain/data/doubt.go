package data

import (
	"tideline/engine/change"
	"tideline/engine/evidence"
	"tideline/engine/firm"
	"tideline/engine/judge"
	"tideline/engine/suppose"
	"tideline/engine/whynot"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/vocab"
)

// Turns is what would turn one verdict or more.
type Turns struct {
	Head
	Turns []Turn `json:"turns"`
}

// Turn is what would turn a verdict.
type Turn struct {
	Brief
	To       judge.Word     `json:"to"`
	Outcome  whynot.Outcome `json:"outcome"`
	Count    int            `json:"count"` // of the sets there are
	Tried    int            `json:"tried"` // up to which size all sets were tried; -1: to the end
	Sets     []ChangeSet    `json:"sets"`
	Given    []ChangeSet    `json:"given"` // with what is given with the paper, where nothing else would do
	Variants []Brief        `json:"variants"`
}

// Brief names a verdict.
type Brief struct {
	Treatment string     `json:"treatment"`
	Name      string     `json:"name"`
	Target    Target     `json:"target"`
	Verdict   judge.Word `json:"verdict"`
}

// ChangeSet is a smallest set of answers that would turn a verdict.
type ChangeSet struct {
	Steps   float64   `json:"steps"` // from the answers that stand, in grades
	Minutes int       `json:"minutes"`
	Changes []Changed `json:"changes"`
}

// Changed is one answer that would have to be another.
type Changed struct {
	Question string       `json:"question"`
	Asks     string       `json:"asks"`
	On       string       `json:"on"`
	Nature   vocab.Nature `json:"nature"` // fixed, treatable or testable
	Now      string       `json:"now"`
	To       string       `json:"to"`    // the mildest answer that does
	Range    string       `json:"range"` // all that do
	Test     *Method      `json:"test"`
}

// WhyNot gives what would turn verdicts.
func WhyNot(g *judge.Judgement, results []*whynot.Result) Turns {
	w := Turns{Head: head(g), Turns: []Turn{}}
	for _, r := range results {
		t := Turn{Brief: brief(r.Verdict), To: r.To, Outcome: r.Outcome, Count: r.Count, Tried: r.Tried, Sets: changeSets(g, r.Sets), Given: changeSets(g, r.Given), Variants: []Brief{}}
		for _, v := range r.Variants {
			t.Variants = append(t.Variants, brief(v))
		}
		w.Turns = append(w.Turns, t)
	}
	return w
}

func brief(v *judge.Verdict) Brief {
	return Brief{v.Treatment.ID, v.Treatment.Name, target(v.Target), v.Word}
}

func changeSets(g *judge.Judgement, sets []whynot.Set) []ChangeSet {
	list := []ChangeSet{}
	for _, s := range sets {
		set := ChangeSet{Steps: s.Steps, Minutes: s.Minutes, Changes: []Changed{}}
		for _, c := range s.Changes {
			q := c.Ask.Question
			set.Changes = append(set.Changes, Changed{
				q.ID, q.Asks, c.Ask.Thing.Path, q.Nature, words.Answer(c.Ask), q.Text(c.To),
				words.Ranges(q, c.Does, account.Points(g.Case, q)), method(g, c.Test),
			})
		}
		list = append(list, set)
	}
	return list
}

// Supposition is what would be other with supposed answers.
type Supposition struct {
	Head
	Supposed []SupposedAnswer `json:"supposed"`
	Changes  []VerdictChange  `json:"changes"`
}

// SupposedAnswer is an answer supposed in place of the one that stands.
type SupposedAnswer struct {
	Question string `json:"question"`
	On       string `json:"on"`
	Now      string `json:"now"`
	Supposed string `json:"supposed"`
}

// VerdictChange is a verdict that is other; was or is is "" where the treatment is not considered.
type VerdictChange struct {
	Treatment      string     `json:"treatment"`
	Name           string     `json:"name"`
	Target         Target     `json:"target"`
	Was            judge.Word `json:"was"`
	Is             judge.Word `json:"is"`
	SupportBefore  Support    `json:"support_before"`
	SupportAfter   Support    `json:"support_after"`
	Reason         *Reason    `json:"reason"` // the first that speaks otherwise
	ReasonIsGone   bool       `json:"reason_is_gone"`
	NeededByTarget *Brief     `json:"needed_by"`
}

// Suppose gives what would be other.
func Suppose(r *suppose.Result, answers []suppose.Answer) Supposition {
	w := Supposition{Head: head(r.Before), Supposed: []SupposedAnswer{}, Changes: []VerdictChange{}}
	for _, a := range answers {
		ask := askOf(r.Before.Case, a)
		to := words.NotTested
		if a.Answer.Known {
			to = a.Question.Text(a.Answer)
		}
		w.Supposed = append(w.Supposed, SupposedAnswer{a.Question.ID, a.Thing.Path, words.Answer(ask), to})
	}
	for _, c := range r.Changes {
		v := c.After
		if v == nil {
			v = c.Before
		}
		change := VerdictChange{Treatment: v.Treatment.ID, Name: v.Treatment.Name, Target: target(v.Target), ReasonIsGone: c.Gone}
		if c.Before != nil {
			change.Was, change.SupportBefore = c.Before.Word, Support{c.Before.Least, c.Before.Most}
		}
		if c.After != nil {
			change.Is, change.SupportAfter = c.After.Word, Support{c.After.Least, c.After.Most}
		}
		if c.Reason != nil {
			g := r.After
			if c.Gone {
				g = r.Before
			}
			why := reason(g, c.Reason)
			change.Reason = &why
		}
		if c.Needer != nil {
			needer := brief(c.Needer)
			change.NeededByTarget = &needer
		}
		w.Changes = append(w.Changes, change)
	}
	return w
}

func askOf(c *evidence.Case, a suppose.Answer) evidence.Ask {
	return c.Asks[c.Number(c.At(a.Thing.Path), a.Question)]
}

// Firmness is how firm a ranking is.
type Firmness struct {
	Head
	Criteria []Share    `json:"criteria"` // with their share of the whole weight
	Pairs    []FirmPair `json:"pairs"`
	Leads    []FirmLead `json:"leads"`
	Exact    bool       `json:"exact"`
	Draws    int        `json:"draws"`
	Error    float64    `json:"error"`
}

// Share is a criterion with a share of the whole weight.
type Share struct {
	Criterion string  `json:"criterion"`
	Share     float64 `json:"share"`
}

// FirmPair is two places next to each other. Move is negative where no move of weight makes a tie.
type FirmPair struct {
	Above     Brief       `json:"above"`
	Below     Brief       `json:"below"`
	Tie       bool        `json:"tie"`
	Unordered bool        `json:"unordered"`
	Ranges    []FirmRange `json:"ranges"`
	Move      float64     `json:"move"`
	From      string      `json:"from"`
	To        string      `json:"to"`
}

// FirmRange is the share of the whole weight a criterion may have so that the order stands.
type FirmRange struct {
	Criterion string  `json:"criterion"`
	Least     float64 `json:"least"`
	Most      float64 `json:"most"`
}

// FirmLead is the share of the admissible weights under which verdicts come first.
type FirmLead struct {
	Verdicts []Brief `json:"verdicts"`
	Share    float64 `json:"share"`
}

// Firm gives how firm a ranking is.
func Firm(g *judge.Judgement, r *firm.Result) Firmness {
	w := Firmness{Head: head(g), Criteria: []Share{}, Pairs: []FirmPair{}, Leads: []FirmLead{}, Exact: r.Exact, Draws: r.Draws, Error: r.Error}
	for k, c := range r.Criteria {
		w.Criteria = append(w.Criteria, Share{c.ID, r.Weights[k]})
	}
	for _, p := range r.Pairs {
		pair := FirmPair{Above: brief(p.Above.Verdicts[0]), Below: brief(p.Below.Verdicts[0]), Tie: p.Tie, Unordered: p.Unordered, Move: p.Move, Ranges: []FirmRange{}}
		for k, span := range p.Ranges {
			pair.Ranges = append(pair.Ranges, FirmRange{r.Criteria[k].ID, span.Least, span.Most})
		}
		if p.Move >= 0 {
			pair.From, pair.To = r.Criteria[p.From].ID, r.Criteria[p.To].ID
		}
		w.Pairs = append(w.Pairs, pair)
	}
	for _, l := range r.Leads {
		lead := FirmLead{Share: l.Share}
		for _, v := range l.Row.Verdicts {
			lead.Verdicts = append(lead.Verdicts, brief(v))
		}
		w.Leads = append(w.Leads, lead)
	}
	return w
}

// Exits is what no longer stands since an earlier record.
type Exits struct {
	Head
	Exits []Exit `json:"exits"`
}

// Exit is a settled verdict that is another now; is is "" when its target is gone.
type Exit struct {
	Treatment string     `json:"treatment"`
	On        string     `json:"on"`
	Was       judge.Word `json:"was"`
	Is        judge.Word `json:"is"`
	Causes    []Cause    `json:"causes"`
}

// Cause is something that withdrew what a verdict rested on.
type Cause struct {
	Kind     change.Kind `json:"kind"`
	On       string      `json:"on"`
	Question string      `json:"question"`
	Old      string      `json:"old"`
	New      string      `json:"new"`
	Sentence string      `json:"sentence"`
}

// Since gives what no longer stands.
func Since(g *judge.Judgement, exits []change.Exit) Exits {
	w := Exits{Head: head(g), Exits: []Exit{}}
	for _, e := range exits {
		exit := Exit{e.Treatment, e.Path, e.Was, e.Is, []Cause{}}
		for _, c := range e.Causes {
			cause := Cause{Kind: c.Kind, On: c.Path, Sentence: words.Event(c)}
			if c.Question != nil {
				cause.Question, cause.Old, cause.New = c.Question.ID, c.Question.Text(c.Old), c.Question.Text(c.New)
			}
			exit.Causes = append(exit.Causes, cause)
		}
		w.Exits = append(w.Exits, exit)
	}
	return w
}
