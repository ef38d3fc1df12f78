package bench

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"tideline/engine/plan"
	"tideline/engine/schedule"
	"tideline/explain/words"
	"tideline/rules/vocab"
)

// plainScalar is text that YAML reads as it stands wherever a value may be: words, with slashes and hyphens within.
var plainScalar = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_./-]*( [A-Za-z0-9_./-]+)*$`)

// notText are plain words that YAML or the record would read as something else than text.
var notText = map[string]bool{"yes": true, "no": true, "true": true, "false": true, "null": true, "on": true, "off": true, "y": true, "n": true}

// quoted writes a text as a YAML value.
func quoted(s string) string {
	if plainScalar.MatchString(s) && !notText[strings.ToLower(s)] {
		return s
	}
	return strconv.Quote(s)
}

// Entries writes the steps of a plan as entries for the record's list of steps done, to be filled in. Until an entry has its
// date, no record with it is taken, so that nothing planned can pass for done.
func Entries(p *plan.Plan, s *schedule.Schedule) string {
	if len(s.Steps) == 0 {
		return ""
	}
	var b strings.Builder
	line := func(indent int, key, value, note string) {
		text := strings.Repeat(" ", indent) + key
		if value != "" {
			text += " " + value
		}
		if note != "" {
			text = fmt.Sprintf("%-34s # %s", text, strings.Join(strings.Fields(words.Safe(note)), " "))
		}
		b.WriteString(text + "\n")
	}
	if len(p.Judgement.Case.Book.Done) == 0 {
		line(0, "done:", "", "")
	} else {
		b.WriteString("# " + words.EntriesBelow + "\n")
	}
	for _, step := range InOrderOfWork(s) {
		line(2, "- step:", quoted(step.Key.Treatment), words.EntryTitle(step))
		if p.Judgement.Case.At(step.Path) == nil {
			line(4, "on:", "", words.EnterFirst+": "+step.Path)
		} else {
			line(4, "on:", quoted(step.Path), "")
		}
		line(4, "date:", "", words.EntryDate(step.From()))
		line(4, "result:", "", words.EntryResult())
		line(4, "minutes:", "", words.EntryMinutes(step.Treatment.Active))
		line(4, "by:", "", "")
		line(4, "note:", "", "")
		if list := readings(step.Step); len(list) > 0 {
			line(4, "readings:", "", words.EntryReadings)
			for _, r := range list {
				line(6, "- what:", quoted(r.What), "")
				line(8, "before:", r.Before, "")
				line(8, "after:", "", "")
				if r.Unit != "" {
					line(8, "unit:", quoted(r.Unit), "")
				}
			}
		}
	}
	return b.String()
}

// isNumber tells whether a question is answered by something that can be measured before and after.
func isNumber(q *vocab.Question) bool { return q.Type == vocab.Number || q.Type == vocab.Grade }
