package data

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/explain/account"
	"tideline/explain/words"
	"tideline/rules/pack"
	"tideline/rules/vocab"
)

// Head is what both forms say of what was judged.
type Head struct {
	Format int                `json:"format"` // edition of the form: 1
	Book   Book               `json:"book"`
	On     string             `json:"on"` // the day judged for
	Pack   []Pack             `json:"pack"`
	Aims   []string           `json:"aims"`
	Weight map[string]float64 `json:"weights"` // by criterion
}

// Book is the book judged.
type Book struct {
	Title    string `json:"title"`
	Examined string `json:"examined,omitempty"`
	By       string `json:"by,omitempty"`
}

// Pack is one layer of packs, the lowest first.
type Pack struct {
	Name    string `json:"name"`
	Edition string `json:"edition"` // "" while packs declare none
	Files   int    `json:"files"`
	Hash    string `json:"sha256"` // see hash
}

// Decision is all verdicts of a judgement, ranked.
type Decision struct {
	Head
	Contradictions []Contradiction `json:"contradictions"`
	Verdicts       []Verdict       `json:"verdicts"`
}

// Contradiction is answers that cannot all be true.
type Contradiction struct {
	Never     string `json:"never"`
	Sentence  string `json:"sentence"`
	Thing     string `json:"thing"`
	Condition string `json:"condition"`
}

// Verdict is one verdict with what it rests on.
type Verdict struct {
	Treatment string     `json:"treatment"`
	Name      string     `json:"name"`
	Target    Target     `json:"target"`
	Verdict   judge.Word `json:"verdict"`
	Rank      int        `json:"rank"`      // 0: not ranked
	Unordered bool       `json:"unordered"` // no order between this place and the next
	EitherWay bool       `json:"either_way"`
	Unproven  bool       `json:"unproven"`
	Sampled   bool       `json:"sampled"`    // numbers not known were tried at points of their range only
	Refused   bool       `json:"refused"`    // a condition cannot be computed with the answers given
	CalledFor string     `json:"called_for"` // true, false or open
	ServesAim string     `json:"serves_aim"` // true, false or open
	Standing  string     `json:"standing"`   // the firmest of the reasons; "" when it rests on none
	Support   Support    `json:"support"`
	For       []Argument `json:"for"`
	Against   []Argument `json:"against"`
	Reasons   []Reason   `json:"reasons"`
	Cases     *Node      `json:"cases,omitempty"` // the proof by cases of a ruling-out either way
	Missing   []Missing  `json:"missing"`
	Cautions  []Caution  `json:"cautions"`
}

// Target is what a treatment is done to.
type Target struct {
	Kind     vocab.Kind `json:"kind"`
	Path     string     `json:"path"`
	Part     string     `json:"part,omitempty"`
	Side     string     `json:"side,omitempty"`
	Finding  string     `json:"finding,omitempty"`
	Ink      string     `json:"ink,omitempty"`
	Fastener string     `json:"fastener,omitempty"`
}

// Support bounds the sum of the arguments, however the open answers turn out. It is given for what is recommended or
// possible, and is 0 otherwise.
type Support struct {
	Least float64 `json:"least"`
	Most  float64 `json:"most"`
}

// Argument is an argument with its weight: the criterion's times the rule's.
type Argument struct {
	Rule      string  `json:"rule"`
	Criterion string  `json:"criterion"`
	Weight    float64 `json:"weight"`
	Value     string  `json:"value"` // true or open
	Thing     string  `json:"thing"`
	Sentence  string  `json:"sentence"`
}

// Missing is an unanswered question that the verdict hangs on.
type Missing struct {
	Question string  `json:"question"`
	Asks     string  `json:"asks"`
	On       string  `json:"on"`
	Because  string  `json:"because"` // why no answer stands
	Test     *Method `json:"test"`    // null for what the record itself answers
}

// Method is how a question is answered.
type Method struct {
	How       string   `json:"how"`
	Materials []string `json:"materials"`
	Minutes   int      `json:"minutes"`
	Spots     int      `json:"spots"`
	Harm      string   `json:"harm"`
	Hazards   []Hazard `json:"hazards"`
}

// Hazard is a danger to people.
type Hazard struct {
	Danger   string   `json:"danger"`
	Protect  string   `json:"protect"`
	Stop     string   `json:"stop,omitempty"`
	HandOver string   `json:"hand_over,omitempty"`
	Sources  []Source `json:"sources"`
	Standing string   `json:"standing"`
}

// Caution is something to watch for.
type Caution struct {
	Say    string   `json:"say"`
	Hazard bool     `json:"hazard"`
	Open   bool     `json:"open"` // whether it applies is not known yet
	Rule   string   `json:"rule,omitempty"`
	Things []string `json:"things,omitempty"`
	Danger *Hazard  `json:"danger,omitempty"`
}

func head(g *judge.Judgement) Head {
	b := g.Case.Book
	h := Head{Format: 1, Book: Book{Title: b.Title, By: b.By}, On: g.Case.On.Format(time.DateOnly), Aims: list(g.Aims), Weight: g.Weights}
	if !b.Examined.IsZero() {
		h.Book.Examined = words.Day(b.Examined)
	}
	for _, l := range g.Case.Pack.Layers {
		h.Pack = append(h.Pack, Pack{Name: l.Name, Files: len(l.Files), Hash: hash(l)})
	}
	return h
}

// hash is the SHA-256 of a pack: of the size in bytes, a line end and the bytes of each of its files, in the order of
// their names. Where the files lie does not matter.
func hash(l pack.Layer) string {
	h := sha256.New()
	for _, f := range l.Files {
		fmt.Fprintf(h, "%d\n", len(f.Data))
		h.Write(f.Data)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// Decide gives all verdicts of a judgement.
func Decide(g *judge.Judgement) Decision {
	d := Decision{Head: head(g), Contradictions: contradictions(g), Verdicts: []Verdict{}}
	for _, v := range g.Verdicts {
		a := account.Of(g, v)
		w := verdict(g, a)
		for _, r := range a.Deciding() {
			if r.Rule.Effect != pack.For && r.Rule.Effect != pack.Against {
				w.Reasons = append(w.Reasons, reason(g, r))
			}
		}
		d.Verdicts = append(d.Verdicts, w)
	}
	return d
}

func contradictions(g *judge.Judgement) []Contradiction {
	all := []Contradiction{}
	for _, c := range g.Contradictions {
		all = append(all, Contradiction{c.Never.ID, c.Never.Because, c.Thing.Path, c.Never.When.Text})
	}
	return all
}

func verdict(g *judge.Judgement, a *account.Account) Verdict {
	v := Verdict{
		Treatment: a.Treatment.ID, Name: a.Treatment.Name, Target: target(a.Target), Verdict: a.Word, Rank: a.Rank, Unordered: a.Unordered,
		EitherWay: a.EitherWay, Unproven: a.Unproven, Sampled: a.Sampled, Refused: a.Refused, CalledFor: a.CalledFor.String(), ServesAim: a.ServesAim.String(), Standing: a.Standing,
		Support: Support{a.Least, a.Most}, For: []Argument{}, Against: []Argument{}, Reasons: []Reason{}, Missing: []Missing{}, Cautions: []Caution{},
	}
	if a.Proof.Cases != nil {
		n := node(g, a.Proof.Cases)
		v.Cases = &n
	}
	for _, arguments := range [][]account.Argument{a.Arguments, a.Open} {
		for _, r := range arguments {
			w := Argument{r.Rule.ID, r.Rule.Criterion.ID, r.Weight, r.Value.String(), r.Thing.Path, r.Rule.Because}
			if r.Rule.Effect == pack.For {
				v.For = append(v.For, w)
			} else {
				v.Against = append(v.Against, w)
			}
		}
	}
	for _, m := range a.Missing {
		for _, ask := range m.Asks {
			v.Missing = append(v.Missing, Missing{m.Question.ID, m.Question.Asks, ask.Thing.Path, words.Answer(ask), method(g, m.Test)})
		}
	}
	for _, c := range a.Cautions {
		w := Caution{Say: c.Say, Hazard: c.Hazard, Open: c.Open}
		if c.Danger != nil {
			h := hazard(g, *c.Danger)
			w.Danger = &h
		} else {
			w.Rule = c.Reason.Rule.ID
			for _, t := range c.Things {
				w.Things = append(w.Things, t.Path)
			}
		}
		v.Cautions = append(v.Cautions, w)
	}
	return v
}

func target(t *evidence.Thing) Target {
	w := Target{Kind: t.Kind, Path: t.Path}
	name := t.Path
	if t.Record != nil {
		name = t.Record.Name
	}
	if t.Part != nil {
		w.Part = t.Part.Path
	}
	if t.Side != nil && t.Side.Record != nil {
		w.Side = t.Side.Record.Name
	}
	switch t.Kind {
	case vocab.Part:
		w.Part = name
	case vocab.Side:
		w.Side = name
	case vocab.Finding:
		w.Finding = name
	case vocab.Ink:
		w.Ink = name
	case vocab.Fastener:
		w.Fastener = name
	}
	return w
}

func method(g *judge.Judgement, t *pack.Test) *Method {
	if t == nil {
		return nil
	}
	m := &Method{How: t.How, Materials: list(t.Materials), Minutes: t.Minutes, Spots: t.Spots, Harm: t.Harm, Hazards: []Hazard{}}
	for _, h := range t.Hazards {
		m.Hazards = append(m.Hazards, hazard(g, h))
	}
	return m
}

func hazard(g *judge.Judgement, h pack.Hazard) Hazard {
	return Hazard{h.Danger, h.Protect, h.Stop, h.HandOver, sources(g, h.Cite), h.Standing}
}

// list is never null in JSON.
func list[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}
