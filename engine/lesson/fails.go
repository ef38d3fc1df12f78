package lesson

import (
	"slices"

	"tideline/engine/judge"
	"tideline/rules/cond"
)

// FailKind tells in which way what an apprentice said does not follow.
type FailKind string

// The ways.
const (
	ShouldHold FailKind = "should hold" // Reason would have to hold; Path ends at its first step that does not
	Holds      FailKind = "holds"       // Reason holds, or may, and the answer says that none does
	EitherWay  FailKind = "either way"  // every way in which the open answers could turn out rules it out
	Unread     FailKind = "unread"      // no rule that could rule it out reads what was named
	NoRule     FailKind = "no rule"     // there is no rule that could make it so
	NothingFor FailKind = "nothing"     // what would have to be open is not: no answer still to come decides it
	Weighed    FailKind = "weighed"     // what speaks for it, against what speaks against it, decides
)

// Fails is the first step at which what an apprentice said does not follow.
type Fails struct {
	Kind   FailKind
	Reason *judge.Proof
	Path   []*judge.Proof // from the reason down
}

// Last is the first step that fails, nil when there is none.
func (f *Fails) Last() *judge.Proof {
	if len(f.Path) == 0 {
		return nil
	}
	return f.Path[len(f.Path)-1]
}

// shouldHold finds the reason of a list that is nearest to holding, and where it fails: one that reads what was named
// before others, one still open before one that does not hold. none is the kind when there is no such reason.
func shouldHold(list []*judge.Proof, named []int, none FailKind) *Fails {
	var best *judge.Proof
	bestRank := [3]int{}
	for _, r := range list {
		if r.Value == cond.True || withdrawn(r) {
			continue
		}
		rank := [3]int{reads(r, named), 0, -r.Leaves}
		if r.Value == cond.Open {
			rank[1] = 1
		}
		if best == nil || slices.Compare(rank[:], bestRank[:]) > 0 {
			best, bestRank = r, rank
		}
	}
	switch {
	case best == nil:
		return &Fails{Kind: none}
	case len(named) > 0 && bestRank[0] == 0:
		return &Fails{Kind: Unread}
	}
	return &Fails{ShouldHold, best, failing(best)}
}

// reads counts the questions of a list at the leaves of a proof.
func reads(p *judge.Proof, named []int) (n int) {
	for _, l := range p.Answers() {
		if slices.Contains(named, l.Ask) {
			n++
		}
	}
	return n
}

// failing goes from a reason that does not hold down to the first step at which it fails.
func failing(p *judge.Proof) []*judge.Proof {
	path := []*judge.Proof{p}
	for want := cond.True; ; {
		if p.Step == judge.StepNot {
			want = cond.Not(want)
		}
		if p.Step == judge.StepAtom || p.Step == judge.StepAnswer {
			return path
		}
		next := firstOther(p.Kids, want)
		if next == nil {
			return path
		}
		path, p = append(path, next), next
	}
}

// firstOther gives the first step that is not as wanted; one still open before one that is settled otherwise only where
// the list has no settled one. An answer that merely stands is no failing step.
func firstOther(kids []*judge.Proof, want cond.Truth) *judge.Proof {
	for _, value := range []cond.Truth{cond.Not(want), cond.Open} {
		for _, k := range kids {
			if k.Value == value && (k.Step != judge.StepAnswer || value == cond.Open) {
				return k
			}
		}
	}
	return nil
}

// failsWord tells why a verdict is not the word that was said: the one decided first of the two decides.
func failsWord(p *judge.VerdictProof, said judge.Word) *Fails {
	is := p.Verdict.Word
	first := Words[min(slices.Index(Words, is), slices.Index(Words, said))]
	switch {
	case first == judge.RuledOut && said == judge.RuledOut:
		return shouldHold(p.RulesOut, nil, NoRule)
	case first == judge.RuledOut && p.Verdict.EitherWay:
		return &Fails{Kind: EitherWay, Reason: p.Cases}
	case first == judge.NoNeed && said == judge.NoNeed:
		return calls(p)
	case first == judge.NoNeed:
		return shouldHold(p.CalledFor, nil, NoRule)
	case first == judge.TestFirst && said == judge.TestFirst:
		return &Fails{Kind: NothingFor}
	case first == judge.Recommended:
		return &Fails{Kind: Weighed}
	}
	return &Fails{Kind: Holds, Reason: lead(p)}
}

// calls gives what calls for a treatment, or may.
func calls(p *judge.VerdictProof) *Fails {
	lists := [][]*judge.Proof{p.CalledFor}
	for _, by := range p.NeededBy {
		lists = append(lists, by.Reasons)
	}
	for _, value := range []cond.Truth{cond.True, cond.Open} {
		for _, list := range lists {
			if i := slices.IndexFunc(list, func(r *judge.Proof) bool { return r.Value == value }); i >= 0 {
				return &Fails{Kind: Holds, Reason: list[i]}
			}
		}
	}
	return &Fails{Kind: NothingFor}
}
