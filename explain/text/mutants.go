package text

import (
	"fmt"
	"math"
	"strings"

	"tideline/engine/trial"
	"tideline/explain/words"
)

// changeSays holds the phrase for each change to a pack: {was} is what was there, {is} what was put for it.
var changeSays = map[trial.Change]string{
	trial.NegateAtom:     "{was} turned round",
	trial.DropOperand:    "{was} cut down to {is}",
	trial.SwapJunction:   "{was} made {is}",
	trial.ShiftThreshold: "{was} shifted to {is}",
	trial.FlipStrictness: "{was} made {is}",
	trial.ChangeWord:     "{was} changed to {is}",
	trial.SwapQuantifier: "{was} made {is}",
	trial.DropRule:       "the whole rule dropped",
	trial.DropFact:       "the whole fact dropped",
	trial.Weaken:         "made to argue against instead of ruling out",
	trial.SwapArgument:   "made to argue {is} instead of {was}",
	trial.UnmarkHazard:   "no longer a caution for people",
	trial.DropStale:      "{was} no longer goes stale",
	trial.DropSet:        "{was} no longer answered by it",
	trial.DropHazard:     "the hazard {was} no longer told",
}

// Mutants writes the score of the trials of a pack, and what they did not notice, by what was changed.
func Mutants(s *trial.Score, style Style) string {
	p := &page{Style: style}
	for _, name := range s.Left {
		p.put("", "  ", fmt.Sprintf("left out, since it does not come out as written: trial %q", name))
	}
	last := ""
	for _, m := range s.Mutants {
		if m.Fate != trial.Survived && m.Fate != trial.Undecided {
			continue
		}
		if head := fmt.Sprintf("%s: %s", m.Place, m.Of); head != last {
			p.put("", "  ", head)
			last = head
		}
		text := strings.NewReplacer("{was}", m.Was, "{is}", m.Is).Replace(changeSays[m.Change])
		if m.Safety {
			text += " (safety)"
		}
		if m.Fate == trial.Undecided {
			text += " (undecided: perhaps no book can tell)"
		}
		p.line(2, text)
	}
	p.line(0, tally("changes in all", s.All))
	p.line(0, tally("changes that touch safety", s.Safety))
	p.line(0, "Safety: a ruling-out weakened or dropped; a caution, a hazard or a stale answer no longer told.")
	return p.String()
}

// Short says, a line each, what is missing of a score: the share asked for (in per cent), and safety whole. It is "" when
// nothing is.
func Short(s *trial.Score, least float64, style Style) string {
	p := &page{Style: style}
	if got := 100 * s.All.Share(); got < least {
		p.line(0, fmt.Sprintf("Not enough: %.1f %% noticed, %g %% asked for.", math.Floor(got*10)/10, least))
	}
	if left := s.Safety.Made - s.Safety.Killed - s.Safety.Equivalent; left > 0 {
		p.line(0, fmt.Sprintf("Not enough: %s not noticed.", words.Count(left, "change that touches safety", "changes that touch safety")))
	}
	return p.String()
}

func tally(what string, t trial.Tally) string {
	text := fmt.Sprintf("%s: %d made, %d noticed, %d not", what, t.Made, t.Killed, t.Made-t.Killed-t.Equivalent)
	if t.Equivalent > 0 {
		text += fmt.Sprintf(", %d that no book can tell from the pack", t.Equivalent)
	}
	if t.Undecided > 0 {
		text += fmt.Sprintf("; of those not noticed %d perhaps no book can tell", t.Undecided)
	}
	return fmt.Sprintf("%s. Score %.1f %%.", text, 100*t.Share())
}
