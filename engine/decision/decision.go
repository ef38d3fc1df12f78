package decision

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/rules/fault"
	"tideline/rules/yamlfile"
)

// Edition is the newest edition of the format that this program reads.
const Edition = 1

// Decision is what the person decided.
type Decision struct {
	By         string
	Date       time.Time // zero when not given
	Accepted   []Accepted
	Departures []Departure
	Consent    *Consent // nil when none was recorded
}

// Accepted is a step that is to be done as advised.
type Accepted struct {
	Verdict  *judge.Verdict
	Cautions bool // its cautions and stop signs stand in the working notes
}

// Departure is a step done, or left, otherwise than advised; or a test left.
type Departure struct {
	Verdict   *judge.Verdict // of a step; nil of a test
	Test, On  string
	Did, Left string // one of them
	Because   string
	Cautions  bool
}

// Consent is the owner's.
type Consent struct {
	By   string
	Date time.Time
	Form string
}

// Limits far above any decision.
const maxEntries = 1000

// Advice is what is decided on: a judgement, and the plan made from it, nil for none.
type Advice struct {
	Judgement *judge.Judgement
	Plan      *plan.Plan
}

// Met gives the judgement that a verdict decided on is of: that of the book a step of the plan meets, or of the book as it is.
func (a Advice) Met(v *judge.Verdict) *judge.Judgement {
	if a.Plan != nil {
		for _, s := range a.Plan.Steps {
			if s.Verdict == v {
				return s.State
			}
		}
	}
	return a.Judgement
}

// Load reads the decision at path ("-" is stdin). See [Parse].
func Load(path string, stdin io.Reader, a Advice, today time.Time, faults *fault.List) *Decision {
	data := yamlfile.Read(path, stdin, faults)
	if data == nil {
		return nil
	}
	return Parse(path, data, a, today, faults)
}

// Parse reads a decision on advice. Dates after today are faults, unless today is zero. It goes on after a fault, so
// that one run tells all of them; it gives nil, with a fault, when there is nothing to walk.
func Parse(name string, data []byte, a Advice, today time.Time, faults *fault.List) *Decision {
	n := yamlfile.Parse(name, data, faults)
	if n == nil {
		return nil
	}
	r := &reader{g: a.Judgement, plan: a.Plan, today: today, decided: map[string]*yamlfile.Node{}}
	return r.read(n)
}

type reader struct {
	g       *judge.Judgement
	plan    *plan.Plan
	today   time.Time
	decided map[string]*yamlfile.Node // by step or test, and thing
}

func (r *reader) read(n *yamlfile.Node) *Decision {
	m := n.Map("a decision", "decision", "by", "date", "accepted", "departures", "consent")
	if !n.IsMap() {
		return nil
	}
	if e := m.Need("decision", "Start with the edition of this format: `decision: 1`."); e != nil {
		if v, ok := e.Number(); ok && v != Edition {
			e.Fault(fmt.Sprintf("edition %s is not known", e.Raw()), fmt.Sprintf("This program reads edition %d. Was the file written for a newer one?", Edition))
		}
	}
	d := &Decision{By: m.Text("by"), Accepted: []Accepted{}, Departures: []Departure{}}
	d.Date = r.date(m.Get("date"))
	whole := m.Get("accepted")
	if !r.isPlan(whole) {
		r.each(whole, "steps accepted", func(n *yamlfile.Node) {
			if a, ok := r.accepted(n); ok {
				d.Accepted = append(d.Accepted, a)
			}
		}, "plan")
		whole = nil
	}
	r.each(m.Get("departures"), "departures", func(n *yamlfile.Node) {
		if a, ok := r.departure(n); ok {
			d.Departures = append(d.Departures, a)
		}
	})
	if whole != nil {
		d.Accepted = r.planned(whole)
	}
	if c := m.Get("consent"); c != nil {
		d.Consent = r.consent(c)
	}
	return d
}

// each reads the entries of a list; at most so many. words may stand in its place.
func (r *reader) each(n *yamlfile.Node, what string, read func(*yamlfile.Node), words ...string) {
	if n == nil {
		return
	}
	if !n.IsList() {
		n.Fault("expected a list of "+what, "Start each with `- ` on a line of its own, or write [] for none.", words...)
		return
	}
	for i, item := range n.List() {
		if i == maxEntries {
			item.Fault(fmt.Sprintf("more than %d %s", maxEntries, what), "No book needs so many. Is it the right file?")
			return
		}
		read(item)
	}
}

func (r *reader) date(n *yamlfile.Node) time.Time {
	t, ok := n.Date()
	if !ok {
		return time.Time{}
	}
	if y, m, d := r.today.Date(); !r.today.IsZero() && !t.Before(time.Date(y, m, d+1, 0, 0, 0, 0, time.UTC)) {
		n.Fault(n.Raw()+" is in the future", fmt.Sprintf("Today is %s. A decision is written down when it was taken.", r.today.Format(time.DateOnly)))
	}
	return t
}

func (r *reader) accepted(n *yamlfile.Node) (a Accepted, ok bool) {
	m := n.Map("a step accepted", "step", "on", "cautions")
	if a.Verdict = r.verdict(n, m); a.Verdict == nil {
		return a, false
	}
	if w := a.Verdict.Word; w != judge.Recommended && w != judge.Possible {
		n.Fault(fmt.Sprintf("%s on %s is %s", a.Verdict.Treatment.ID, a.Verdict.Target.Path, told(w)),
			"It cannot be accepted as advised. To go on all the same, write it under `departures`, with `did:` and the reason under `because:`.")
		return a, false
	}
	a.Cautions, _ = m.Get("cautions").YesNo()
	return a, true
}

// isPlan tells whether the whole plan is accepted: `accepted: plan`.
func (r *reader) isPlan(n *yamlfile.Node) bool { return n != nil && n.IsScalar() && n.Raw() == "plan" }

// planned gives the steps of the plan, in its order, but for those that are departed from.
func (r *reader) planned(n *yamlfile.Node) []Accepted {
	list := []Accepted{}
	if r.plan == nil {
		n.Fault("there is no plan to accept", "None was made: it was left out with --no-plan, or answers of the record cannot all be true. See to that, or list the steps: `- {step: dry-brush, on: cover/outside}`.")
		return list
	}
	for _, s := range r.plan.Steps {
		if r.decided[s.Key.Treatment+" "+s.Path] == nil {
			list = append(list, Accepted{Verdict: s.Verdict})
		}
	}
	return list
}

// told says a verdict after "is".
func told(w judge.Word) string {
	switch w {
	case judge.NoNeed:
		return "of no need"
	case judge.TestFirst:
		return "waiting for a test"
	}
	return string(w)
}

func (r *reader) departure(n *yamlfile.Node) (d Departure, ok bool) {
	m := n.Map("a departure", "step", "test", "on", "did", "left", "because", "cautions")
	if !n.IsMap() {
		return d, false
	}
	because := m.Need("because", "Say why, in a sentence: `because: ...`. Whoever looks at it later has nothing else to go by.").Text()
	d.Because = strings.TrimSpace(because)
	ok = r.what(n, m, &d)
	did, left := m.Get("did"), m.Get("left")
	switch {
	case did == nil && left == nil:
		n.Fault("neither done nor left", "Write `did:` and what was done, or `left:` and what was not.")
		return d, false
	case did != nil && left != nil:
		m.Key("left").Fault("both done and left", "Write one of `did:` and `left:`.")
		return d, false
	case did != nil && d.Test != "":
		m.Key("did").Fault("a test that was done belongs in the book's record", "Write its result under `tests` there. Here stands what was left: `left: ...`.")
		return d, false
	}
	d.Did, d.Left = filled(did, "did", "what was done"), filled(left, "left", "what was left")
	d.Cautions, _ = m.Get("cautions").YesNo()
	return d, ok && d.Because != "" && d.Did+d.Left != ""
}

// filled reads a text that says something.
func filled(n *yamlfile.Node, key, what string) string {
	text := strings.TrimSpace(n.Text())
	if n.IsScalar() && text == "" {
		n.Fault(fmt.Sprintf("%q is empty", key), "Say in a few words "+what+".")
	}
	return text
}

// what reads which step or test it is about.
func (r *reader) what(n *yamlfile.Node, m *yamlfile.Map, d *Departure) bool {
	test := m.Get("test")
	switch {
	case test == nil:
		d.Verdict = r.verdict(n, m)
		return d.Verdict != nil
	case m.Get("step") != nil:
		m.Key("test").Fault("both a step and a test", "Write two departures.")
		return false
	}
	d.Test = test.Text()
	q := r.g.Case.Pack.Vocabulary.Question(d.Test)
	if q == nil || q.Measured {
		if test.IsScalar() {
			test.Fault(fmt.Sprintf("no test is called %q", test.Raw()), "Tests are named kind.question, as in part.surface_ph.", r.g.Case.Pack.Vocabulary.IDs()...)
		}
		return false
	}
	on := m.Need("on", "Say on what it was not done: `on: cover/outside/red`.")
	d.On = on.Text()
	if on == nil || !on.IsScalar() {
		return false
	}
	if t := r.g.Case.At(d.On); t == nil || t.Kind != q.Kind {
		var paths []string
		for _, t := range r.g.Case.Of(q.Kind) {
			if !t.Unlisted {
				paths = append(paths, t.Path)
			}
		}
		on.Fault(fmt.Sprintf("%s is not asked of %q", q.ID, d.On), thereIs(string(q.Kind), paths), paths...)
		return false
	}
	return r.once(n, d.Test+" "+d.On)
}

// verdict finds the verdict of the step and thing that an entry names.
func (r *reader) verdict(n *yamlfile.Node, m *yamlfile.Map) *judge.Verdict {
	if !n.IsMap() {
		return nil
	}
	step := m.Need("step", "Name the treatment by its id, as `tideline decide --json` does: `step: dry-brush`.")
	on := m.Need("on", "Say on what: `on: cover`.")
	if !step.IsScalar() || !on.IsScalar() {
		step.Text() // tells what is no text
		on.Text()
		return nil
	}
	t := r.g.Case.Pack.Treatment(step.Text())
	if t == nil {
		var ids []string
		for _, t := range r.g.Case.Pack.Treatments {
			ids = append(ids, t.ID)
		}
		step.Fault(fmt.Sprintf("no treatment is called %q", step.Raw()), "The packs declare the treatments; `tideline decide --all` names those considered for this book.", ids...)
		return nil
	}
	v := r.step(t.ID, on.Text())
	if v == nil {
		v = r.g.Of(t.ID, on.Text())
	}
	if v == nil {
		var paths []string
		for _, v := range r.g.Verdicts {
			if v.Treatment == t {
				paths = append(paths, v.Target.Path)
			}
		}
		slices.Sort(paths)
		on.Fault(fmt.Sprintf("%s is not considered for %q", t.ID, on.Text()), thereIs(string(t.Of), paths), paths...)
		return nil
	}
	if !r.once(n, t.ID+" "+v.Target.Path) {
		return nil
	}
	return v
}

// step gives the verdict of a step of the plan on the book that it meets: what it is done to may be there only then. It is
// nil for what is no step of the plan.
func (r *reader) step(treatment, on string) *judge.Verdict {
	if r.plan == nil {
		return nil
	}
	for _, s := range r.plan.Steps {
		if s.Key.Treatment == treatment && s.Path == on {
			return s.Verdict
		}
	}
	return nil
}

func thereIs(kind string, paths []string) string {
	const most = 12
	switch {
	case len(paths) == 0:
		return fmt.Sprintf("This book has no %s for it.", kind)
	case len(paths) > most:
		return fmt.Sprintf("It is for %s and %d more.", strings.Join(paths[:most], ", "), len(paths)-most)
	}
	return "It is for " + strings.Join(paths, ", ") + "."
}

// once faults what was decided twice.
func (r *reader) once(n *yamlfile.Node, what string) bool {
	if first := r.decided[what]; first != nil {
		n.Fault("this was decided already", fmt.Sprintf("It stands at %s too; leave out one of the two.", first.Place()))
		return false
	}
	r.decided[what] = n
	return true
}

func (r *reader) consent(n *yamlfile.Node) *Consent {
	m := n.Map("the owner's consent", "by", "date", "form")
	if !n.IsMap() {
		return nil
	}
	c := &Consent{}
	c.By = m.Need("by", "Say who gave it: `by: the owner`.").Text()
	c.Date = r.date(m.Need("date", "Say when: `date: 2026-10-14`."))
	c.Form = m.Need("form", "Say how it was given: `form: signed sheet`, or by letter, or spoken.").Text()
	return c
}
