package drift

import (
	"errors"
	"testing"
	"time"

	"tideline/engine/judge"
)

// TestProgram: where today's program judges the sealed side otherwise than the seal says, the program differs; the proofs
// say which erred; the rest is put down to what changed.
func TestProgram(t *testing.T) {
	key := Key{"heat-press", "cover"}
	came := swap("yes: no}", "yes: yes}")(lantern)
	right := func(g *judge.Judgement, k Key) *judge.VerdictProof { return g.Prove(g.Of(k.Treatment, k.Path)) }
	wrong := func(g *judge.Judgement, k Key) *judge.VerdictProof {
		p := *right(g, k)
		v := *p.Verdict
		v.Word = judge.RuledOut
		p.Verdict = &v
		return &p
	}
	for _, tt := range []struct {
		name              string
		now               string
		sealed            judge.Word
		proof             func(*judge.Judgement, Key) *judge.VerdictProof
		class             Class
		erred             Erred // "" where the program does not differ
		changed, findings int
	}{
		{"the seal agrees, nothing changed", lantern, judge.Recommended, right, "", "", 0, 0},
		{"the seal agrees, an answer changed", came, judge.Recommended, right, Together, "", 1, 1},
		{"the sealed proof does not hold", lantern, judge.RuledOut, wrong, ByProgram, Then, 1, 1},
		{"there is no sealed proof", lantern, judge.RuledOut, nil, ByProgram, Then, 1, 1},
		{"both proofs hold", lantern, judge.RuledOut, right, ByProgram, Unproven, 1, 1},
		{"the program and an answer, which agree with the seal again", came, judge.RuledOut, wrong, Together, Then, 0, 1},
		{"the seal has no such candidate", lantern, "", nil, ByProgram, Then, 1, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rules := studio
			if tt.now == came {
				rules += dryRule
			}
			r, err := Between(sideFrom(t, lantern, time.Time{}, studio), sideFrom(t, tt.now, time.Time{}, rules), Options{Sealed: map[Key]judge.Word{key: tt.sealed}, Proof: tt.proof})
			if err != nil {
				t.Fatal(err)
			}
			if r.Changed != tt.changed || len(r.Findings) != tt.findings {
				t.Fatalf("%d changed, %d findings, want %d and %d", r.Changed, len(r.Findings), tt.changed, tt.findings)
			}
			if tt.findings == 0 {
				return
			}
			f := r.Findings[0]
			erred := Erred("")
			if f.Program != nil {
				erred = f.Program.Erred
			}
			if f.Class != tt.class || erred != tt.erred {
				t.Errorf("%q, %q erred; want %q, %q", f.Class, erred, tt.class, tt.erred)
			}
		})
	}
}

// TestErred goes through the ways in which two proofs can fare.
func TestErred(t *testing.T) {
	none, holds, fails := Check{}, Check{Given: true}, Check{Given: true, Err: errors.New("x")}
	for _, tt := range []struct {
		sealed, today Check
		want          Erred
	}{
		{none, none, Unproven},
		{none, holds, Then},
		{none, fails, Now},
		{holds, none, Now},
		{holds, holds, Unproven},
		{holds, fails, Now},
		{fails, none, Then},
		{fails, holds, Then},
		{fails, fails, Both},
	} {
		if got := erred(tt.sealed, tt.today); got != tt.want {
			t.Errorf("sealed %+v, today %+v: %q, want %q", tt.sealed, tt.today, got, tt.want)
		}
	}
}
