package record

import "tideline/rules/vocab"

// need tells where a key must stand.
type need int

const (
	optional need = iota
	always
	inFiles // in a file; the sample books of packs may leave it out
)

// key is one word that may stand at a level of a record.
type key struct {
	name  string
	need  need
	says  string // what it holds, to follow "Add `name:`, " in help; also its description in the schema
	value func(*Words) schema
}

// level is one group of keys of a record.
type level struct {
	what string // as messages write it: "a part"
	def  string // its name among the definitions of the schema
	keys []key
	also schema // what the schema says of several keys together
}

func (l *level) names() []string {
	names := make([]string, len(l.keys))
	for i, k := range l.keys {
		names[i] = k.name
	}
	return names
}

// The levels of a record, from the inside out.
var (
	bookLists = level{what: "`listed`", def: "book-lists", keys: []key{
		{"inks", optional, "whether all inks of all sides are listed, yes or no", yesNo},
		{"findings", optional, "whether all findings of all sides are listed, yes or no", yesNo},
		{"fasteners", optional, "whether all fasteners are listed, yes or no", yesNo},
	}}
	sideLists = level{what: "`listed` of a part or side", def: "side-lists", keys: []key{
		{"inks", optional, "whether all inks here are listed, yes or no", yesNo},
		{"findings", optional, "whether all findings here are listed, yes or no", yesNo},
	}}
	inkLevel = level{what: "an ink", def: "ink", keys: []key{
		{"kind", always, "what kind of ink or other colourant it is", kindOf(vocab.Ink)},
		{"seen", optional, "what was seen of it, dated `examined`", seenOf(vocab.Ink)},
	}}
	findingLevel = level{what: "a finding", def: "finding", also: atMostOne("line", "area", "at"), keys: []key{
		{"kind", always, "what it is", kindOf(vocab.Finding)},
		{"line", optional, "its course: two points or more, in mm from the top left corner of the side", pointsOf(2)},
		{"area", optional, "its outline: three points or more, once round, in mm from the top left corner of the side", pointsOf(3)},
		{"at", optional, "one point, in mm from the top left corner of the side", point},
		{"near", optional, "the inks it touches; left out, all inks of the part", names},
		{"fastener", optional, "the fastener that it comes from", text},
		{"found", optional, "when it was found; left out, before any step was done", date},
		{"seen", optional, "what was seen of it, dated `examined`", seenOf(vocab.Finding)},
	}}
	sideLevel = level{what: "a side", def: "side", keys: []key{
		{"listed", optional, "whether its lists are complete", object(&sideLists)},
		{"seen", optional, "what was seen of it, dated `examined`", seenOf(vocab.Side)},
		{"inks", optional, "its inks and other colourants by name: stamp, pen and retouching too", named(&inkLevel, maxInks)},
		{"findings", optional, "what was found on it, by name", named(&findingLevel, maxFindings)},
	}}
	partLevel = level{what: "a part", def: "part", keys: []key{
		{"kind", always, "what part it is", kindOf(vocab.Part)},
		{"size", optional, "width and height of a side laid open, in mm", sizes},
		{"listed", optional, "whether the lists of its sides are complete", object(&sideLists)},
		{"seen", optional, "what was seen of it, dated `examined`", seenOf(vocab.Part)},
		{"outside", optional, "its outside", object(&sideLevel)},
		{"inside", optional, "its inside", object(&sideLevel)},
	}}
	fastenerLevel = level{what: "a fastener", def: "fastener", keys: []key{
		{"kind", always, "what kind of fastener it is", kindOf(vocab.Fastener)},
		{"at", optional, "its place, in mm from the top left corner of the first part it holds", point},
		{"holds", optional, "the parts it goes through; left out, all of them", names},
		{"seen", optional, "what was seen of it, dated `examined`", seenOf(vocab.Fastener)},
	}}
	ownerLevel = level{what: "the owner", def: "owner", keys: []key{
		{"aims", optional, "what the owner wants from the treatment", aims},
		{"weights", optional, "what matters how much to the owner, within the bounds the pack sets", weights},
		{"limits", optional, "what the owner refuses or has agreed to; `none` says that nothing is refused", limits},
	}}
	testLevel = level{what: "a test", def: "test", also: exactlyOne("grade", "number", "yes", "word"), keys: []key{
		{"test", always, "the question it answers, as in `test: part.surface_ph`", testable},
		{"on", always, "the thing tested, as in `on: cover/outside/red`", text},
		{"date", optional, "when it was done; left out, when the book was examined", date},
		{"grade", optional, "the answer as a grade, from 1 (heavy) to 5 (none) in half steps", grade},
		{"number", optional, "the answer as a number; a unit may follow", number},
		{"yes", optional, "the answer as yes or no: `yes: no` means no", yesNo},
		{"word", optional, "the answer as a word", text},
		{"at", optional, "where it was done, in mm from the top left corner", point},
		{"by", optional, "who did it", text},
		{"note", optional, "anything else that was seen", text},
	}}
	doneLevel = level{what: "a step done", def: "done", keys: []key{
		{"step", always, "the treatment, as in `step: dry-brush`", treatment},
		{"on", always, "the thing treated, as in `on: cover`", text},
		{"date", inFiles, "when it was done: it tells which answers are older than the step", date},
		{"by", optional, "who did it", text},
		{"result", optional, "how it went: as planned, partly, stopped early", result},
		{"minutes", optional, "how long it took at the bench", plainNumber},
		{"readings", optional, "what was measured before and after", listOf(&readingLevel, maxReadings)},
		{"note", optional, "what came of it", text},
	}}
	readingLevel = level{what: "a reading", def: "reading", keys: []key{
		{"what", always, "what was measured and where", text},
		{"before", always, "the number before the step", plainNumber},
		{"after", always, "the number after it", plainNumber},
		{"unit", optional, "the unit of both", text},
	}}
	bookLevel = level{what: "a book record", def: "book", keys: []key{
		{"record", inFiles, "the edition of this format, as in `record: 1`", edition},
		{"title", inFiles, "what the book is called", text},
		{"examined", optional, "the date of every answer under `seen`", date},
		{"by", optional, "who examined it", text},
		{"listed", optional, "whether each list is complete; a part or side may say otherwise", object(&bookLists)},
		{"seen", optional, "what was seen of the book, dated `examined`", seenOf(vocab.Book)},
		{"owner", optional, "the person it belongs to", object(&ownerLevel)},
		{"bench", optional, "the worker and the studio: what is at hand, who is at risk", seenOf(vocab.Bench)},
		{"parts", optional, "the cover, wraps and inserts, by name", named(&partLevel, maxParts)},
		{"fasteners", optional, "the staples or threads, by name", named(&fastenerLevel, maxFasteners)},
		{"tests", optional, "the results of tests", listOf(&testLevel, maxResults)},
		{"done", optional, "the steps already carried out", listOf(&doneLevel, maxDone)},
	}}
	levels = []*level{&bookLists, &sideLists, &inkLevel, &findingLevel, &sideLevel, &partLevel, &fastenerLevel, &ownerLevel, &testLevel, &doneLevel, &readingLevel}
)

// Limits far above any book, so that no record can make judging hang.
const (
	maxParts     = 50
	maxInks      = 100 // on a side
	maxFindings  = 200 // on a side
	maxFasteners = 200
	maxResults   = 5000
	maxDone      = 500
	maxReadings  = 50   // of one step
	maxPoints    = 500  // of one line or area
	maxSize      = 5000 // mm
)

// reserved are the words that name something else in a path.
var reserved = []string{"outside", "inside", "book", "owner", "bench"}

// askable gives the questions of a kind that may be answered under `seen`: not those that the record itself answers,
// nor the one that `kind` answers.
func askable(words *Words, k vocab.Kind) []*vocab.Question {
	var questions []*vocab.Question
	for _, q := range words.Vocabulary.Of(k) {
		if saidElsewhere(q) == "" {
			questions = append(questions, q)
		}
	}
	return questions
}

// saidElsewhere tells, for a question not answered under `seen`, where its answer comes from; "" for all others.
func saidElsewhere(q *vocab.Question) string {
	if q.Name == "kind" && hasKind[q.Kind] {
		return "Write it beside `seen`, as in `kind: ...`."
	}
	return fromRecord[q.ID]
}

var hasKind = map[vocab.Kind]bool{vocab.Part: true, vocab.Ink: true, vocab.Finding: true, vocab.Fastener: true}

// fromRecord tells of each question in [vocab.Measured] where its answer comes from.
var fromRecord = func() map[string]string {
	from := map[string]string{}
	for _, q := range vocab.Measured() {
		from[q.ID] = "Write it under `listed`."
		if q.Measured {
			from[q.ID] = "It follows from the record itself: a width and height from `size`, a length from `line`, an area from `area`, a side from its name."
		}
	}
	return from
}()
