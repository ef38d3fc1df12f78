package text

import (
	"fmt"
	"regexp"
	"strconv"

	"tideline/engine/dose"
	"tideline/engine/dose/colour"
	"tideline/explain/words"
)

// plainPath is a path of a record that YAML reads as it stands.
var plainPath = regexp.MustCompile(`^[a-z][a-z0-9/_-]*$`)

// TestLine writes what was graded from pictures as an entry of a record's tests. It takes the lowest grade within the
// uncertainty, as the result's caution says.
func TestLine(r dose.Result, test, on, date string) (string, error) {
	grade, _ := r.Value("grade")
	worst, found := r.Value("grade_worst")
	if !found {
		return "", fmt.Errorf("the measurement has no grade")
	}
	var sums []string
	for _, name := range []string{"sample_sha256", "reference_sha256"} {
		if v, ok := r.Value(name); ok {
			sums = append(sums, v.Text)
		}
	}
	low := colour.Grade(min(grade.Quantity.Value, worst.Quantity.Value)).String()
	if !plainPath.MatchString(on) {
		on = strconv.Quote(on)
	}
	note := words.MeasuredNote(colour.Grade(grade.Quantity.Value).String(), low, sums)
	return fmt.Sprintf("- {test: %s, on: %s, date: %s, grade: %s, note: %q}", test, on, date, low, note), nil
}
