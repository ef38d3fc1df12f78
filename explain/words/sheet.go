package words

import (
	"fmt"

	"tideline/engine/record"
)

// NoteCarried is said of a new result whose note is word for word that of an earlier one.
const NoteCarried = "its note is that of an earlier result; was it meant to stand again?"

// LaterCounts is said of a result when another of a later day counts.
func LaterCounts(later *record.Result) string {
	return fmt.Sprintf("recorded, but the result of %s is later and counts", Day(later.Date))
}

// InRow says something of a result in a table.
func InRow(row int, what, says string) string { return fmt.Sprintf("row %d: %s; %s", row, what, says) }

// Added says how many results a table added.
func Added(n int) string {
	if n == 0 {
		return "Nothing new: the record holds every result of the table."
	}
	return Count(n, "result", "results") + " added."
}
