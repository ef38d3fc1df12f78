package export

import (
	"slices"
	"strconv"
	"time"

	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/record"
	"tideline/explain/words"
	"tideline/rules/vocab"
)

// history is what a record tells of a book's past, sorted for export.
type history struct {
	g       *judge.Judgement
	seen    []*record.Result // what the examination found
	tested  []*record.Result // what tests found
	derived []*record.Result // what follows from the record itself
	names   map[any]string   // of results and steps, each once
}

func historyOf(g *judge.Judgement) *history {
	h := &history{g: g, names: map[any]string{}}
	taken := map[string]int{}
	name := func(of any, s string) {
		if taken[s]++; taken[s] > 1 {
			s += "/" + strconv.Itoa(taken[s])
		}
		h.names[of] = s
	}
	b := g.Case.Book
	for i := range b.Results {
		r := &b.Results[i]
		name(r, answerName(r))
		switch {
		case fromRecord(r.Question):
			h.derived = append(h.derived, r)
		case r.Date.Equal(b.Examined) && r.By == b.By && r.At == nil && r.Note == "":
			h.seen = append(h.seen, r)
		default:
			h.tested = append(h.tested, r)
		}
	}
	for i := range b.Done {
		d := &b.Done[i]
		name(d, d.Treatment+"/"+d.Target.Path+"/"+moment(d.Date))
	}
	return h
}

// fromRecord tells of a question that the record itself answers: by its geometry, or by saying that a list is complete.
func fromRecord(q *vocab.Question) bool {
	return slices.ContainsFunc(vocab.Measured(), func(m vocab.Question) bool { return m.ID == q.ID })
}

// ask is the question a result answers, with what stands now.
func (h *history) ask(r *record.Result) *evidence.Ask {
	return &h.g.Case.Asks[h.g.Case.Number(h.g.Case.At(r.Thing.Path), r.Question)]
}

// stands tells whether a result is the one that counts now.
func (h *history) stands(r *record.Result) bool {
	ask := h.ask(r)
	return ask.Result == r && ask.Answer.Known
}

// staleBy is the step that made a result stale, nil when none did.
func (h *history) staleBy(r *record.Result) *record.Done {
	if ask := h.ask(r); ask.Result == r && ask.Lapsed != nil {
		return ask.Lapsed.Step
	}
	return nil
}

// reads gives the results that a verdict rests on, and the questions it found open, each in the order of the case: the
// leaves of its proof, of the proofs of what needs it, and of its premises.
func (h *history) reads(v *judge.Verdict) (results []*record.Result, open []*evidence.Ask) {
	read := map[int]bool{}
	note := func(proofs ...*judge.Proof) {
		for _, p := range proofs {
			for _, leaf := range p.Answers() {
				read[leaf.Ask] = true
			}
		}
	}
	h.proofs(v, map[*judge.Verdict]bool{}, note)
	premises := h.g.Premises(v)
	note(premises.Listed...)
	for _, tie := range premises.Never {
		note(tie.Proof)
	}
	for n := range h.g.Case.Asks {
		switch ask := &h.g.Case.Asks[n]; {
		case !read[n] || ask.Question == nil:
		case ask.Answer.Known:
			results = append(results, ask.Result)
		default:
			open = append(open, ask)
		}
	}
	return results, open
}

// proofs goes through the reasons of a verdict and of those that need it or could.
func (h *history) proofs(v *judge.Verdict, seen map[*judge.Verdict]bool, note func(...*judge.Proof)) {
	if seen[v] {
		return
	}
	seen[v] = true
	p := h.g.Prove(v)
	for _, list := range [][]*judge.Proof{p.RulesOut, p.CalledFor, p.Needs, p.For, p.Against, p.Cautions} {
		note(list...)
	}
	for _, n := range p.NeededBy {
		note(n.Reasons...)
		h.proofs(n.Verdict, seen, note)
	}
	for _, n := range p.NotNeededBy {
		note(n.Reasons...)
	}
}

// sentence says a result in words: thing, question, answer.
func (h *history) sentence(r *record.Result) string {
	return words.Answered(words.Thing(h.ask(r).Thing), r.Question.Asks, r.Question.Text(r.Answer))
}

// undated counts what has no date.
func (h *history) undated() (n int) {
	b := h.g.Case.Book
	for _, r := range b.Results {
		if !fromRecord(r.Question) && r.Date.IsZero() {
			n++
		}
	}
	for _, d := range b.Done {
		if d.Date.IsZero() {
			n++
		}
	}
	return n
}

// replaced counts results that a later one replaced.
func (h *history) replaced() (n int) {
	for i := range h.g.Case.Asks {
		n += len(h.g.Case.Asks[i].Earlier)
	}
	return n
}

// mapped counts findings and fasteners whose place is drawn.
func (h *history) mapped() (n int) {
	for _, t := range h.g.Case.Book.Things {
		if t.Shape.At != nil || len(t.Shape.Line) > 0 || len(t.Shape.Area) > 0 {
			n++
		}
	}
	return n
}

// treatmentName is a treatment's name in the packs.
func (h *history) treatmentName(id string) string {
	if t := h.g.Case.Pack.Treatment(id); t != nil {
		return t.Name
	}
	return id
}

// examined is the day of the examination, zero when nothing seen is dated.
func (h *history) examined() time.Time { return h.g.Case.Book.Examined }

// stale counts results that a step made stale.
func (h *history) stale() (n int) {
	for i := range h.g.Case.Asks {
		if lapsed := h.g.Case.Asks[i].Lapsed; lapsed != nil && lapsed.Step != nil {
			n++
		}
	}
	return n
}

// count is a loss of which there may be none.
type count struct {
	n    int
	says func(int) string
}

// counted tells the losses of which there are any.
func counted(losses []count) (list []string) {
	for _, l := range losses {
		if l.n > 0 {
			list = append(list, l.says(l.n))
		}
	}
	return list
}
