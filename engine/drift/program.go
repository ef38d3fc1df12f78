package drift

import (
	"tideline/engine/judge"
	"tideline/engine/verify"
)

// Program is what is known of a verdict that today's program gives otherwise than the seal, from the same record and packs.
type Program struct {
	Sealed, Today judge.Word
	// SealedProof and TodayProof are the checks of the two proofs.
	SealedProof, TodayProof Check
	Erred                   Erred
}

// Check is how a proof fared under the checker, which shares no code with the judge.
type Check struct {
	Given bool
	Err   error // the first step that does not hold; nil when all do
}

func (c Check) holds() bool { return c.Given && c.Err == nil }
func (c Check) fails() bool { return c.Given && c.Err != nil }

// Erred is which program erred.
type Erred string

// The programs.
const (
	Then     Erred = "then" // the program that sealed
	Now      Erred = "now"  // today's
	Both     Erred = "both"
	Unproven Erred = "unproven" // the proofs do not tell
)

// program checks the proofs of a verdict that the seal and today's program give otherwise.
func (d *differ) program(f *Finding) {
	g := d.side[0].g
	p := &Program{Sealed: f.Was, Today: f.Replayed}
	f.Program = p
	if d.o.Proof != nil {
		if sealed := d.o.Proof(g, f.Key); sealed != nil {
			_, err := verify.New(g).Check(sealed)
			p.SealedProof = Check{true, err}
		}
	}
	if f.Before != nil {
		_, err := verify.New(g).Check(g.Prove(f.Before))
		p.TodayProof = Check{true, err}
	}
	p.Erred = erred(p.SealedProof, p.TodayProof)
}

// erred tells which program erred. A proof that holds clears its program; one that fails convicts it. Of two verdicts that
// differ one at most is right, so that a proof that holds convicts the other program too, unless that one's holds as well.
func erred(sealed, today Check) Erred {
	switch {
	case sealed.fails() && today.fails():
		return Both
	case sealed.holds() && today.holds():
		return Unproven
	case sealed.holds(), today.fails() && !sealed.Given:
		return Now
	case today.holds(), sealed.fails() && !today.Given:
		return Then
	}
	return Unproven
}
