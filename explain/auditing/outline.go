package auditing

import (
	"cmp"
	"path/filepath"
	"slices"
	"strings"

	"tideline/engine/audit"
	"tideline/engine/drift"
	"tideline/engine/seal"
	"tideline/explain/words"
)

// Outline is what is told of one case or one decision.
type Outline struct {
	Result   audit.Result
	Heading  string // the result, and what it is of
	Lead     []string
	Sections []Section
}

// Section is a heading with what stands below it.
type Section struct {
	Title string
	Items []Item
}

// ItemMark stands before one of several things that belong to the sentence above it.
const ItemMark = "- "

// Item is a sentence, with what belongs to it.
type Item struct {
	Text string
	Sub  []string
}

// Of outlines the audit of one case. brief leaves out what is as it should be.
func Of(r *audit.Report, brief bool) Outline {
	o := Outline{Result: r.Result, Heading: words.ResultOf(r.Result, nameOf(r, brief))}
	if len(r.Decisions) == 1 {
		d := r.Decisions[0]
		if d.On != "" {
			o.Lead = append(o.Lead, words.SealedOn(d.On, d.Link.At, d.Link.Sum))
		}
	}
	o.add(words.TheChain, chain(r, brief))
	for _, d := range r.Decisions {
		o.decision(d, brief, len(r.Decisions) > 1)
	}
	return o
}

// nameOf names what an audit is of: the book and its file, or the case; among others, with its folder.
func nameOf(r *audit.Report, brief bool) string {
	name := r.Case
	if len(r.Decisions) == 1 {
		name = r.Decisions[0].Link.File
	}
	if brief {
		name = filepath.Join(r.Folder, name)
	}
	if len(r.Decisions) == 1 && r.Decisions[0].Title != "" {
		return r.Decisions[0].Title + " (" + name + ")"
	}
	return name
}

func (o *Outline) add(title string, items []Item) {
	if len(items) > 0 {
		o.Sections = append(o.Sections, Section{title, items})
	}
}

func chain(r *audit.Report, brief bool) []Item {
	var items []Item
	for _, b := range r.Breaks() {
		items = append(items, Item{Text: words.Break(b)})
	}
	if len(items) == 0 && !brief {
		items = append(items, Item{Text: words.Labelled(words.Links(len(r.Links)), words.LinksWhole)})
	}
	for _, u := range r.Unfinished {
		items = append(items, Item{Text: words.Unfinished(u)})
	}
	if brief {
		return items
	}
	if signer := signerOf(r); signer != "" {
		items = append(items, Item{Text: signer})
	}
	noNumber := func(b seal.Break) bool { return b.Kind == seal.NoWitness }
	switch {
	case r.Witnessed > 0:
		at := slices.IndexFunc(r.Links, func(l seal.Link) bool { return l.Number == r.Witnessed })
		items = append(items, Item{Text: words.Witnessed(r.Witnessed, r.Links[len(r.Links)-1].Number, r.Links[at].Sum)})
	case r.Trusted: // nobody else could have written it anew
		items = append(items, Item{Text: words.WithoutTail})
	case !slices.ContainsFunc(r.Breaks(), noNumber):
		items = append(items, Item{Text: words.WithoutWitness})
	}
	return items
}

// signerOf says who signed, where every link is signed with one key or none is.
func signerOf(r *audit.Report) string {
	if len(r.Links) == 0 || slices.ContainsFunc(r.Links, func(l seal.Link) bool { return l.Signer != r.Links[0].Signer }) {
		return ""
	}
	if slices.ContainsFunc(r.Breaks(), func(b seal.Break) bool { return b.Kind == seal.Untrusted || b.Kind == seal.BadlySigned }) {
		return ""
	}
	switch {
	case r.Links[0].Signer == "":
		return words.NotSigned
	case r.Trusted:
		return words.TrustedKey(r.Links[0].Signer)
	}
	return words.UntrustedKey(r.Links[0].Signer)
}

func (o *Outline) decision(d *audit.Decision, brief, named bool) {
	title := func(t string) string {
		if named {
			return words.Labelled(d.Link.File, t)
		}
		return t
	}
	o.add(title(words.JudgedAgain), replay(d, brief))
	if d.Replay.Fault != "" {
		return
	}
	if !d.Decided && !brief {
		o.add(title(words.KnownThen), append([]Item{{Text: words.NotDecidedYet}}, known(d, brief)...))
	} else {
		o.add(title(words.KnownThen), known(d, brief))
	}
	if !brief {
		o.add(title(words.AlsoNoted), findings(d.Notes))
	}
	o.add(title(words.JudgedNow), now(d.Now, brief))
}

func replay(d *audit.Decision, brief bool) []Item {
	r := d.Replay
	var items []Item
	switch {
	case r.Fault != "":
		return []Item{{Text: words.CannotJudge(r.Fault)}}
	case r.Same && !brief:
		items = append(items, Item{Text: words.SameBytes})
	}
	if r.Judge != "" {
		items = append(items, Item{Text: words.OtherJudge(r.Judge)})
	}
	if r.Reading {
		items = append(items, Item{Text: words.OtherReading})
	}
	for _, m := range r.Moved {
		what, who := words.Moved(m)
		items = append(items, Item{Text: what, Sub: []string{who}})
	}
	if !r.Same && !r.Reading && len(r.Moved) == 0 {
		items = append(items, Item{Text: words.OnlyElsewhere})
	}
	return items
}

// mostBelow is how many lines stand below a finding where many cases are told.
const mostBelow = 3

func known(d *audit.Decision, brief bool) []Item {
	items := findings(d.Findings)
	for i := range items {
		if more := len(items[i].Sub) - mostBelow; brief && more > 1 {
			items[i].Sub = append(items[i].Sub[:mostBelow:mostBelow], words.MoreOfIt(more))
		}
	}
	if len(items) > 0 || brief {
		return items
	}
	if d.Acts == 0 {
		return []Item{{Text: words.NoneToJudge}}
	}
	return []Item{{Text: words.NothingFound}}
}

func findings(list []audit.Finding) []Item {
	var items []Item
	for _, f := range list {
		item := Item{Text: words.Finding(f)}
		for _, a := range f.Asks {
			item.Sub = append(item.Sub, words.Answered(words.Thing(a.Thing), a.Question.Asks, words.Answer(a.Ask)))
		}
		item.Sub = append(item.Sub, f.Missing...)
		for _, c := range f.Could {
			item.Sub = append(item.Sub, words.CouldHave(c))
		}
		items = append(items, item)
	}
	return items
}

func now(n *audit.Now, brief bool) []Item {
	switch {
	case n == nil && brief:
		return nil
	case n == nil:
		return []Item{{Text: words.NoNowAsked}}
	case n.Fault != "":
		return []Item{{Text: words.CannotJudgeNow(n.Fault)}}
	case len(n.Moves) == 0 && brief:
		return nil
	}
	items := []Item{{Text: words.NowBy(n)}}
	if len(n.Moves) == 0 {
		return append(items, Item{Text: words.NowTheSame})
	}
	if n.Drift != nil {
		return append(items, causes(n.Drift)...)
	}
	for _, m := range n.Moves {
		items = append(items, Item{Text: words.NowWouldBe(m)})
	}
	return items
}

// causes tells each verdict that would be another, with what made it so.
func causes(r *drift.Report) (items []Item) {
	items = append(items, Item{Text: words.DriftCounted(r.Changed, r.Unchanged)})
	for _, g := range Drift(r) {
		item := Item{Text: strings.Join(g.Headings, "; ")}
		if g.Names != "" {
			item.Sub = append(item.Sub, g.Names)
		}
		for _, l := range g.Lines {
			text := l.Text
			if l.Item {
				text = ItemMark + text
			}
			item.Sub = append(item.Sub, text)
		}
		items = append(items, item)
	}
	if !r.Singly {
		items = append(items, Item{Text: words.OnlyFactors})
	}
	return items
}

// Summary is what is told of a folder: the counts, and the cases that call for a look.
type Summary struct {
	Result    audit.Result
	Cases     int
	Decisions int
	Counts    map[audit.Result]int
	Outlines  []Outline
}

// Add takes a report in. Of a case that is sound only the count is kept.
func (s *Summary) Add(r *audit.Report) {
	if s.Counts == nil {
		s.Counts = map[audit.Result]int{}
	}
	s.Cases, s.Decisions = s.Cases+1, s.Decisions+len(r.Decisions)
	s.Counts[r.Result]++
	s.Result = audit.Worse(cmp.Or(s.Result, r.Result), r.Result)
	if o := Of(r, true); len(o.Sections) > 0 {
		s.Outlines = append(s.Outlines, o)
	}
}

// Heading is the result of the worst case, and how many there are.
func (s *Summary) Heading() string {
	return words.ResultOf(s.Result, words.AuditCounts(s.Cases, s.Decisions))
}

// Worst gives the outlines, the worst first, else in the order of folders and cases.
func (s *Summary) Worst() []Outline {
	sorted := slices.Clone(s.Outlines)
	slices.SortStableFunc(sorted, func(a, b Outline) int {
		return slices.Index(audit.Results, b.Result) - slices.Index(audit.Results, a.Result)
	})
	return sorted
}

// Counted lists how many cases came to each result, the worst first.
func (s *Summary) Counted() []string {
	var list []string
	for _, r := range audit.Results {
		if n := s.Counts[r]; n > 0 {
			list = append(list, words.CountedResult(r, n))
		}
	}
	slices.Reverse(list)
	return list
}
