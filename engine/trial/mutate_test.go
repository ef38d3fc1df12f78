package trial

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/dose"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

// small is a pack with one of everything that can be changed; its trials leave gaps on purpose.
const small = `pack: shipped
about: A made-up pack for tests.
criteria:
  looks: {says: how it looks, weight: 0.5, from: 0.2, to: 0.8}
aims:
  clean: {says: dirt is gone}
tests:
  part.kind: {asks: Which part, answer: {words: [cover, wrap]}}
  part.stained: {asks: Stained, answer: yes/no}
  part.ph: {asks: How acid, answer: {number: pH, from: 0, to: 14}, hazards: [{danger: The reagent stains hands., protect: Gloves.}]}
  ink.wet: {asks: Does it move, answer: grade}
  ink.kind: {asks: Which colour, answer: {words: [print, stamp, pen]}}
facts:
  part.acid: {is: part.ph < 6, says: it is acid, standing: house}
treatments:
  bath: {name: bath, of: part, family: wet, says: It lies in water., serves: [clean], intervention: 3, retreatable: no, makes stale: [ink.wet, part.ph], sets: {part.stained: no},
    hazards: [{danger: Wet floors slip., protect: Mop up.}, {danger: Warm water scalds., protect: Test it.}]}
rules:
  bath-moves-ink: {treatment: bath, each: ink, rules out when: 'ink.wet < 4 && ink.kind == "stamp"', because: It runs., standing: house}
  bath-called: {treatment: bath, called for when: part.stained || part.acid, because: Stains., standing: house}
  bath-good: {treatment: bath, for when: 'part.inks.exists(i, i.wet > 4)', criterion: looks, weight: 2, because: Better., standing: house}
  bath-bad: {treatment: bath, against when: 'part.inks.atLeast(2, i, i.kind in ["stamp", "pen"])', criterion: looks, weight: 1, because: Worse., standing: house}
  bath-slips: {treatment: bath, caution when: part.ph > 8, say: Lye makes the floor slippery., hazard: yes, because: Lye is soapy., standing: house}
  bath-slow: {treatment: bath, caution when: always, say: Take your time., because: Wet paper tears., standing: house}
  bath-twice: {treatment: bath, caution when: 'part.ph < 3 || (part.ph < 3 && part.stained)', say: Twice., because: It is twice., standing: house}
`

const trials = `samples:
  plain:
    owner: {aims: [clean]}
    parts: {cover: {kind: cover, seen: {stained: yes, ph: 7}, outside: {inks: {a: {kind: print, seen: {wet: 5}}, b: {kind: stamp, seen: {wet: 4}}}}}}
trials:
  - {name: clear and good, like: plain, fires: [bath-called, bath-good, bath-slow], silent: [bath-moves-ink, bath-bad, bath-slips, bath-twice], verdicts: {bath: recommended}}
  - {name: the stamp runs, like: plain, with: {ink.wet: 3-4}, fires: [bath-moves-ink], verdicts: {bath: ruled out}}
  - {name: a running print is no matter, like: plain, with: {cover/outside/a.wet: 3}, silent: [bath-moves-ink]}
  - {name: acid alone calls, like: plain, with: {part.stained: no, part.ph: 5.5}, fires: [bath-called], proves: [part.acid]}
  - {name: six is not acid, like: plain, with: {part.stained: no, part.ph: 6}, silent: [bath-called]}
  - {name: not known whether acid, like: plain, with: {part.stained: no, part.ph: not tested}, open: [bath-called]}
  - {name: two late colours, like: plain, with: {ink.kind: pen}, fires: [bath-bad]}
  - {name: lye is slippery, like: plain, with: {part.ph: 9}, fires: [bath-slips]}
  - {name: very acid, like: plain, with: {part.ph: 2}, fires: [bath-twice]}
  - {name: told, like: plain, with: {part.ph: 9}, stale: {bath: [ink.wet]}, warns: {bath: [scalds, slippery], part.ph: [stains hands]}}
`

func loadSmall(t *testing.T, text string) *pack.Pack {
	t.Helper()
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{{Files: []pack.File{{Name: "small.yaml", Data: []byte(text)}}}}, faults)
	for _, f := range faults.All() {
		t.Fatal(f.Render())
	}
	return p
}

func (m *Mutant) line() string {
	s := fmt.Sprintf("%s: %s: %s", m.Of, m.Change, m.Was)
	if m.Is != "" {
		s += " -> " + m.Is
	}
	if m.Safety {
		s += " (safety)"
	}
	return s
}

func fates(s *Score, fate Fate) []string {
	var list []string
	for _, m := range s.Mutants {
		if m.Fate == fate {
			list = append(list, m.line())
		}
	}
	return list
}

// TestMutate: which changes to the small pack its trials notice, and which they let pass.
func TestMutate(t *testing.T) {
	p := loadSmall(t, small+trials)
	for _, f := range Run(p).Failures {
		t.Errorf("%s: expected %s, came %s", f.Trial.Name, f.Expected, f.Got)
	}
	calls := 0
	s := Mutate(p, func(done, all int) {
		if calls++; done < 1 || done > all {
			t.Errorf("%d of %d done", done, all)
		}
	})
	if calls != len(s.Mutants) || s.All.Made != calls {
		t.Errorf("%d calls, %d made, %d mutants", calls, s.All.Made, len(s.Mutants))
	}
	for fate, want := range map[Fate][]string{
		Survived: {
			`bath-bad: for and against swapped: against -> for`,
			`bath-bad: word changed: i.kind in ["stamp", "pen"] -> i.kind in ["print", "pen"]`,
			`bath-good: atom negated: i.wet > 4 -> !(i.wet > 4)`, // holds for the other ink
			`bath-good: threshold shifted: i.wet > 4 -> i.wet > 3.5`,
			`bath-good: threshold shifted: i.wet > 4 -> i.wet > 4.5`,
			`bath-slips: threshold shifted: part.ph > 8 -> part.ph > 8.4`,
			`bath-slips: limit taken in or out: part.ph > 8 -> part.ph >= 8`,
			`bath-twice: operand dropped: (part.ph < 3) || ((part.ph < 3) && part.stained) -> (part.ph < 3) && part.stained`,
			`bath-twice: && and || swapped: (part.ph < 3) || ((part.ph < 3) && part.stained) -> part.ph < 3 && (part.ph < 3) && part.stained`,
			`bath-twice: threshold shifted: part.ph < 3 -> part.ph < 2.85`,
			`bath-twice: threshold shifted: part.ph < 3 -> part.ph < 6`,
			`bath-twice: limit taken in or out: part.ph < 3 -> part.ph <= 3`,
			`bath-twice: threshold shifted: part.ph < 3 -> part.ph < 6`, // in its other place
			`bath-twice: limit taken in or out: part.ph < 3 -> part.ph <= 3`,
			`bath: makes stale dropped: part.ph (safety)`,
			`bath: answer given dropped: part.stained`,
			`bath: hazard dropped: Wet floors slip. (safety)`,
		},
		Equivalent: { // below 3 is below 3, stained or not
			`bath-twice: operand dropped: (part.ph < 3) || ((part.ph < 3) && part.stained) -> part.ph < 3`,
			`bath-twice: operand dropped: (part.ph < 3) && part.stained -> part.ph < 3`,
			`bath-twice: threshold shifted: part.ph < 3 -> part.ph < 2.85`,
			`bath-twice: atom negated: part.stained -> !(part.stained)`,
		},
		Undecided: nil,
	} {
		if diff := cmp.Diff(want, fates(s, fate)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", fate, diff)
		}
	}
	kinds := map[Change]int{}
	for _, m := range s.Mutants {
		kinds[m.Change]++
		if m.Place.Line == 0 || m.Fate == "" || (m.Fate == Killed) != (m.By != "") {
			t.Errorf("%s: place %s, fate %q by %q", m.line(), m.Place, m.Fate, m.By)
		}
	}
	for _, c := range []Change{
		NegateAtom, DropOperand, SwapJunction, ShiftThreshold, FlipStrictness, ChangeWord, SwapQuantifier, DropRule, DropFact, Weaken,
		SwapArgument, UnmarkHazard, DropStale, DropSet, DropHazard,
	} {
		if kinds[c] == 0 {
			t.Errorf("no mutant of the kind %q", c)
		}
	}
	if again := Mutate(p, nil); cmp.Diff(lines(s), lines(again)) != "" {
		t.Error("a second run gives another score")
	}
	for _, f := range Run(p).Failures {
		t.Errorf("the pack was changed: %s: expected %s, came %s", f.Trial.Name, f.Expected, f.Got)
	}
}

func lines(s *Score) []string {
	var list []string
	for _, m := range s.Mutants {
		list = append(list, m.line()+" "+string(m.Fate)+" "+m.By)
	}
	return list
}

// TestMutateAgainstAllTrials: what Mutate makes of each change by running parts of the pack is what running every trial
// on the whole changed pack gives.
func TestMutateAgainstAllTrials(t *testing.T) {
	p := loadSmall(t, small+trials)
	w := newWorkshop(p, nil)
	for _, m := range mutants(p) {
		w.try(m)
		a := m.make(w)
		env := w.pack.Env
		if a.env != nil {
			w.pack.Env = a.env
		}
		noticed := len(Run(w.pack).Failures) > 0
		w.pack.Env = env
		if a.undo(); noticed != (m.Fate == Killed) {
			t.Errorf("%s: %s, but all trials: noticed %v", m.line(), m.Fate, noticed)
		}
	}
	if failures := Run(w.pack).Failures; len(failures) > 0 {
		t.Errorf("not everything was undone: %d failures", len(failures))
	}
}

// TestMutateShippedAgainstFullRuns: on the shipped pack, for changes and trials drawn with a fixed seed and the trial that
// noticed each change, parts of the pack tell what the whole changed pack tells.
func TestMutateShippedAgainstFullRuns(t *testing.T) {
	const changes, trialsEach = 60, 6
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{layer}, faults, dose.Functions()...)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	w := newWorkshop(p, nil)
	whole := newRunner(w.pack, faults)
	all := mutants(p)
	draw := rand.New(rand.NewPCG(1, 2))
	noticed := 0
	for range changes {
		m := all[draw.IntN(len(all))]
		w.try(m)
		var some []*prepared
		for _, trial := range w.trials {
			if trial.trial.Name == m.By {
				some = append(some, trial)
			}
		}
		for range trialsEach {
			some = append(some, w.trials[draw.IntN(len(w.trials))])
		}
		made := m.make(w)
		for _, trial := range some {
			parts := slices.ContainsFunc(w.kills(), func(kill func(*prepared, *attempt) bool) bool { return kill(trial, made) })
			env := w.pack.Env
			if made.env != nil {
				w.pack.Env = made.env
			}
			whole.report = &Report{}
			whole.run(trial.trial, faults)
			w.pack.Env = env
			if full := len(whole.report.Failures) > 0; full != parts {
				t.Errorf("%s, trial %q: parts notice: %v, the whole: %v", m.line(), trial.trial.Name, parts, full)
			}
			if parts {
				noticed++
			}
		}
		made.undo()
	}
	if noticed < changes/2 {
		t.Errorf("only %d of the trials drawn noticed anything", noticed)
	}
	if err := faults.Err(); err != nil {
		t.Error(err)
	}
}

// TestMutateLeavesOutFailingTrials: a trial that fails anyway notices nothing, and is named.
func TestMutateLeavesOutFailingTrials(t *testing.T) {
	p := loadSmall(t, small+trials+"  - {name: wrong, like: plain, with: {part.ph: 8}, fires: [bath-slips]}\n")
	s := Mutate(p, nil)
	if !slices.Equal(s.Left, []string{"wrong"}) {
		t.Errorf("left %q", s.Left)
	}
	for _, m := range s.Mutants {
		if m.By == "wrong" {
			t.Errorf("%s noticed by a trial that fails", m.line())
		}
	}
	if got := fates(s, Survived); !slices.ContainsFunc(got, func(s string) bool { return strings.HasPrefix(s, "bath-slips: limit") }) {
		t.Errorf("%q", got)
	}
}

// TestSpeaks: a trial that says how a rule argues notices when it argues the other way; one that only has it fire does not.
func TestSpeaks(t *testing.T) {
	for _, tt := range []struct {
		expects string
		left    []string // the swaps not noticed
		failed  []string // what came, when the trial is wrong
	}{
		{"fires: [bath-good, bath-bad]", []string{"bath-bad", "bath-good"}, nil},
		{"speaks for: [bath-good], fires: [bath-bad]", []string{"bath-bad"}, nil},
		{"speaks for: [bath-good], speaks against: [bath-bad]", nil, nil},
		{"speaks against: [bath-good]", nil, []string{"it fires, but its effect is: for"}},
		{"speaks for: [bath-called]", nil, []string{"it fires, but its effect is: called for"}},
		{"speaks for: [bath-slips]", nil, []string{"it is silent"}},
	} {
		i := strings.Index(trials, "  - {name")
		p := loadSmall(t, small+trials[:i]+"  - {name: pens, like: plain, with: {ink.kind: pen}, "+tt.expects+"}\n")
		var failed []string
		for _, f := range Run(p).Failures {
			failed = append(failed, f.Got)
		}
		if !slices.Equal(failed, tt.failed) {
			t.Errorf("%s: %q, want %q", tt.expects, failed, tt.failed)
		}
		var left []string
		for _, m := range Mutate(p, nil).Mutants {
			if m.Change == SwapArgument && m.Fate == Survived {
				left = append(left, m.Of)
			}
		}
		if tt.failed == nil && !slices.Equal(left, tt.left) {
			t.Errorf("%s: swaps left %q, want %q", tt.expects, left, tt.left)
		}
	}
}

// TestMutateWhere: a change that shows only on what a treatment is never done to is equivalent, unless another treatment of
// the rule is done there; it weakens nothing either.
func TestMutateWhere(t *testing.T) {
	const more = `  patch: {name: patch, of: part, where: part.kind == "cover", family: dry, says: A patch., serves: [clean], intervention: 1, retreatable: yes}
  brush: {name: brush, of: part, family: dry, says: A brush., serves: [clean], intervention: 1, retreatable: yes}
rules:
  patch-called: {treatment: patch, called for when: 'part.kind == "cover" && part.stained', because: Stains., standing: house}
  patch-not: {treatment: patch, rules out when: 'part.kind == "cover" && part.acid', because: Acid., standing: house}
  both-called: {treatment: [patch, brush], called for when: 'part.kind == "cover" && part.acid', because: Acid., standing: house}
`
	s := Mutate(loadSmall(t, strings.Replace(small, "rules:\n", more, 1)), nil)
	got := map[string]Fate{}
	for _, m := range s.Mutants {
		if m.Change == DropOperand {
			got[m.line()] = m.Fate
		}
	}
	for line, want := range map[string]Fate{
		`patch-called: operand dropped: (part.kind == "cover") && part.stained -> part.stained`:         Equivalent,
		`patch-called: operand dropped: (part.kind == "cover") && part.stained -> part.kind == "cover"`: Survived,
		`patch-not: operand dropped: (part.kind == "cover") && part.acid -> part.acid`:                  Equivalent,
		`both-called: operand dropped: (part.kind == "cover") && part.acid -> part.acid`:                Survived,
	} {
		if got[line] != want {
			t.Errorf("%s: %q, want %q; all: %v", line, got[line], want, got)
		}
	}
}

// TestMutateWithoutTrials: nothing is noticed, and what touches safety is counted apart.
func TestMutateWithoutTrials(t *testing.T) {
	s := Mutate(loadSmall(t, small), nil)
	if s.All.Killed != 0 || s.All.Share() != 0 {
		t.Errorf("%+v", s.All)
	}
	safety := map[string]bool{}
	for _, m := range s.Mutants {
		if m.Safety {
			safety[m.line()] = true
		}
	}
	for line, want := range map[string]bool{
		`bath-moves-ink: rule dropped: ink.wet < 4 && ink.kind == "stamp" (safety)`:                       true,
		`bath-moves-ink: rules out made against: rules out -> against (safety)`:                           true,
		`bath-moves-ink: threshold shifted: ink.wet < 4 -> ink.wet < 3.5 (safety)`:                        true,
		`bath-moves-ink: threshold shifted: ink.wet < 4 -> ink.wet < 4.5 (safety)`:                        false, // stricter
		`bath-moves-ink: operand dropped: (ink.wet < 4) && (ink.kind == "stamp") -> ink.wet < 4 (safety)`: false,
		`bath-slips: caution no longer for people: hazard: yes (safety)`:                                  true,
		`bath-slow: rule dropped: always (safety)`:                                                        true,
		`bath: makes stale dropped: ink.wet (safety)`:                                                     true,
		`part.ph: hazard dropped: The reagent stains hands. (safety)`:                                     true,
		`bath-called: rule dropped: part.stained || part.acid (safety)`:                                   false,
	} {
		if safety[line] != want {
			t.Errorf("%s: %v", line, safety[line])
		}
	}
	if s.Safety.Made != len(safety) {
		t.Errorf("%d safety mutants counted, %d found", s.Safety.Made, len(safety))
	}
}

// TestSteps: half a grade up and down within the grades; of a number the neighbouring cut, or 5 % where there is none.
func TestSteps(t *testing.T) {
	p := loadSmall(t, small)
	for _, tt := range []struct {
		question string
		value    float64
		want     []float64
	}{
		{"ink.wet", 4, []float64{3.5, 4.5}},
		{"ink.wet", 5, []float64{4.5}},
		{"ink.wet", 1, []float64{1.5}},
		{"part.ph", 6, []float64{3, 8}},
		{"part.ph", 8, []float64{6, 8.4}},
		{"part.ph", 3, []float64{2.85, 6}},
	} {
		if got := steps(p.Env, p.Vocabulary.Question(tt.question), tt.value); !slices.Equal(got, tt.want) {
			t.Errorf("%s %g: got %v, want %v", tt.question, tt.value, got, tt.want)
		}
	}
}
