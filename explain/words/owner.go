package words

import "fmt"

// Phrases for the owner of a book, each for one state: plain words for what the proof says.
const (
	OwnerWillDo     = "What would be done"
	OwnerWhy        = "Because"
	OwnerPeople     = "Dangers to people while it is done"
	OwnerNotUndone  = "This cannot be undone."
	OwnerPartUndone = "This can be undone only in part."
	OwnerMayBring   = "It may leave"
	OwnerStays      = "What would stay as it is"
	OwnerNothing    = "Nothing would be done to the book for now."
	OwnerWaits      = "Before anything can be done, tests have to be made."
	OwnerYourWord   = "What rests on your word"
	OwnerYes        = "yes"
	OwnerNo         = "no"
	OwnerNotAsked   = "not asked yet"
	OwnerRecommends = "This is advice. What is done is for you and the conservator to decide. Signed and dated here by whoever agrees:"
	OwnerBench      = "The conservator follows the local safety rules and the suppliers' safety data sheets, and hands over to a licensed or specialist practice where a danger cannot be controlled."
)

// OwnerVerdict says in plain words what a verdict comes to.
func OwnerVerdict(treatment, target, verdict string) string {
	return fmt.Sprintf("%s, for %s: %s.", Upper(treatment), target, map[string]string{
		"recommended": "this would help, and what speaks for it outweighs what speaks against it",
		"possible":    "this could be done, but it is not sure to be worth it",
		"test first":  "whether this is safe is not known until a test is made",
		"ruled out":   "this should not be done",
		"no need":     "nothing found calls for this",
	}[verdict])
}

// OwnerTime sums the time up.
func OwnerTime(active, waiting int) string {
	return fmt.Sprintf("Work by hand: %s. Waiting between: %s.", Minutes(active), Minutes(waiting))
}
