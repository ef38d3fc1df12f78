// Package edition1 is the body of a sealed decision, edition 1, as it is written and read for ever.
//
// In:  nothing; it holds types only. Out: [Body], which the canonical form of JSON turns into the sealed bytes.
//
// THIS FILE IS FROZEN. Sealed files of this edition lie in studios. A field may neither be added, renamed nor taken away:
// what a new need asks for is a new edition beside this one. testdata/seals holds files of it that must always be read.
// Plans were null in every file until the first was sealed, and what a plan holds was settled then.
//
// Numbers stand as decimal texts, with their unit beside them where they have one, and keys are ASCII. References
// are decimal places in lists, counted from 0.
package edition1

// Edition is how the body calls its edition.
const Edition = "1"

// Body is all that a decision was made from, and all it said.
type Body struct {
	// The head: these six mean the same in every edition.
	Edition  string `json:"edition"`
	Case     string `json:"case"`     // the book's case: a chain of decisions
	Number   string `json:"number"`   // its place in the chain, from 1
	Previous string `json:"previous"` // SHA-256 of the body before it, "" for the first
	At       string `json:"at"`       // when it was sealed, RFC 3339
	Signer   string `json:"signer"`   // ed25519 public key in hex, "" when not signed

	Judge    string      `json:"judge"` // which way of judging the program had
	On       string      `json:"on"`    // the day judged for
	Record   Record      `json:"record"`
	Packs    []Pack      `json:"packs"` // the lowest first
	Texts    []Text      `json:"texts"` // of packs, each once, by hash
	Aims     []string    `json:"aims"`
	Weights  []Weight    `json:"weights"`
	Clashes  []Clash     `json:"clashes"` // answers that cannot all be true
	Verdicts []Verdict   `json:"verdicts"`
	Steps    []ProofStep `json:"proof_steps"` // each after those it rests on
	Plan     *Plan       `json:"plan"`        // null: none was made
	Decision *Decision   `json:"decision"`    // null: none was recorded yet
}

// Record is the book record: its file word for word, and what was read from it.
type Record struct {
	Name     string   `json:"name"` // of the file, without its folder
	SHA256   string   `json:"sha256"`
	Text     string   `json:"text"`
	Title    string   `json:"title"`
	By       string   `json:"by,omitempty"`
	Examined string   `json:"examined,omitempty"`
	Aims     []string `json:"aims"`
	AimsOpen bool     `json:"aims_not_given,omitempty"`
	Weights  []Weight `json:"weights"` // of the owner
	Things   []Thing  `json:"things"`
	Answers  []Answer `json:"answers"`
	Done     []Done   `json:"done"`
}

// Thing is a thing of the book.
type Thing struct {
	Kind     string   `json:"kind"`
	Path     string   `json:"path"`
	Size     *Size    `json:"size,omitempty"`
	Line     []Point  `json:"line,omitempty"`
	Area     []Point  `json:"area,omitempty"`
	At       *Point   `json:"at,omitempty"`
	Near     []string `json:"near,omitempty"` // paths
	NearNone bool     `json:"near_none,omitempty"`
	Holds    []string `json:"holds,omitempty"` // paths
	Fastener string   `json:"fastener,omitempty"`
}

// Size is a width and height.
type Size struct {
	Width  string `json:"width"`
	Height string `json:"height"`
	Unit   string `json:"unit"`
}

// Point is a place from the top left corner.
type Point struct {
	X    string `json:"x"`
	Y    string `json:"y"`
	Unit string `json:"unit"`
}

// Answer is a result as recorded.
type Answer struct {
	Question string `json:"question"`
	On       string `json:"on"`
	Answer   string `json:"answer"`
	Unit     string `json:"unit,omitempty"`
	Date     string `json:"date,omitempty"`
	By       string `json:"by,omitempty"`
	At       *Point `json:"at,omitempty"`
	Note     string `json:"note,omitempty"`
}

// Done is a step done before.
type Done struct {
	Step string `json:"step"`
	On   string `json:"on"`
	Date string `json:"date,omitempty"`
	By   string `json:"by,omitempty"`
	Note string `json:"note,omitempty"`
}

// Pack is a layer of packs: the hash is over all its files, in order, each with its size.
type Pack struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	Files  []File `json:"files"`
}

// File is a file of a pack: its text stands among the texts.
type File struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

// Text is the whole text of a file.
type Text struct {
	SHA256 string `json:"sha256"`
	Text   string `json:"text"`
}

// Weight is what a criterion weighs.
type Weight struct {
	Criterion string `json:"criterion"`
	Weight    string `json:"weight"`
}

// Clash is a never statement that the answers break.
type Clash struct {
	Never string `json:"never"`
	On    string `json:"on"`
}

// Verdict is a verdict with its whole proof: the reasons are places in the list of proof steps.
type Verdict struct {
	Treatment string `json:"treatment"`
	Name      string `json:"name"`
	On        string `json:"on"`
	Verdict   string `json:"verdict"`
	Rank      string `json:"rank,omitempty"`
	Unordered bool   `json:"unordered,omitempty"`
	EitherWay bool   `json:"either_way,omitempty"`
	Unproven  bool   `json:"unproven,omitempty"`
	CalledFor string `json:"called_for"` // true, false or open
	ServesAim string `json:"serves_aim"` // true, false or open
	Least     string `json:"least"`      // of the support
	Most      string `json:"most"`
	HangsOn   []Ask  `json:"hangs_on,omitempty"`

	RulesOut    []string `json:"rules_out,omitempty"`
	CalledBy    []string `json:"called_by,omitempty"`
	Needs       []string `json:"needs,omitempty"`
	For         []string `json:"for,omitempty"`
	Against     []string `json:"against,omitempty"`
	Cautions    []string `json:"cautions,omitempty"`
	NeededBy    []Needer `json:"needed_by,omitempty"`
	NotNeededBy []Needer `json:"not_needed_by,omitempty"`
	Cases       string   `json:"cases,omitempty"`

	Dangers   []string `json:"dangers,omitempty"`    // of the treatment, to people
	StopSigns []string `json:"stop_signs,omitempty"` // of the treatment
}

// Ask is a question of a thing.
type Ask struct {
	Question string `json:"question"`
	On       string `json:"on"`
}

// Needer is another verdict that needs the treatment, or could.
type Needer struct {
	Treatment string   `json:"treatment"`
	On        string   `json:"on"`
	Reasons   []string `json:"reasons"`
}

// ProofStep is one step of a proof.
type ProofStep struct {
	Step     string   `json:"step"`
	Value    string   `json:"value"` // true, false or open
	Text     string   `json:"text,omitempty"`
	On       string   `json:"on,omitempty"`       // the thing it speaks of
	Rule     string   `json:"rule,omitempty"`     // of a reason
	Fact     string   `json:"fact,omitempty"`     // of a fact
	Count    string   `json:"count,omitempty"`    // of at least
	Question string   `json:"question,omitempty"` // of an answer, cases or a case
	Answer   string   `json:"answer,omitempty"`   // of an answer that stands
	Unit     string   `json:"unit,omitempty"`
	Result   string   `json:"result,omitempty"` // of an answer: its place among the record's answers
	Lapsed   string   `json:"lapsed,omitempty"` // stale, or out of date
	Cells    []string `json:"cells,omitempty"`  // of a case: the answers it stands for
	Kids     []string `json:"kids,omitempty"`   // what it rests on
}

// Plan is the plan recommended.
type Plan struct {
	Steps        []PlanStep    `json:"steps"`
	Untreated    []Untreated   `json:"untreated"`
	Alternatives []Alternative `json:"alternatives"`
	Unproven     bool          `json:"unproven,omitempty"` // the search was stopped: a better one may exist
}

// PlanStep is a treatment at its place in the plan.
type PlanStep struct {
	Treatment string   `json:"treatment"`
	Targets   []string `json:"targets"`
	For       []string `json:"for"` // paths of what it deals with, with its questions; TREATMENT@THING of a step that needs it
	Doses     []Dose   `json:"doses"`
	Cautions  []string `json:"cautions"` // dangers to people first
	StopSigns []string `json:"stop_signs"`
	Minutes   Minutes  `json:"minutes"`
	Retests   []Retest `json:"retests,omitempty"` // to be answered again just before it
}

// Retest is a question that steps before make stale, to be answered again.
type Retest struct {
	Question string `json:"question"`
	On       string `json:"on"`
	Was      string `json:"was,omitempty"`      // the answer gone stale
	Expected string `json:"expected,omitempty"` // what the plan counts on
	Unit     string `json:"unit,omitempty"`
}

// Dose is a setting. Without a value, the working says why there is none.
type Dose struct {
	What    string `json:"what"`
	Value   string `json:"value"`
	Unit    string `json:"unit,omitempty"`
	Working string `json:"working,omitempty"`
}

// Minutes are the bench time of a step.
type Minutes struct {
	Active  string `json:"active"`
	Waiting string `json:"waiting"`
}

// Untreated is what calls for care and that the plan leaves as it is, or only lessens: the verdicts of what could ease it.
type Untreated struct {
	On      string `json:"on"`
	Because string `json:"because"`
}

// Alternative is a next best plan: the steps it has instead of others, and what it would lose.
type Alternative struct {
	Steps   []PlanStep `json:"steps"`
	Without []string   `json:"without,omitempty"` // as TREATMENT@THING
	Loses   string     `json:"loses"`
}

// Decision is what the person decided.
type Decision struct {
	By         string      `json:"by,omitempty"`
	Date       string      `json:"date,omitempty"`
	Accepted   []Accepted  `json:"accepted"`
	Departures []Departure `json:"departures"`
	Consent    *Consent    `json:"consent"` // null: none was recorded
}

// Accepted is a step that is to be done as advised.
type Accepted struct {
	Step     string `json:"step"`
	On       string `json:"on"`
	Cautions bool   `json:"cautions,omitempty"` // its cautions and stop signs stand in the working notes
}

// Departure is a step done, or left, otherwise than advised; or a test left.
type Departure struct {
	Step     string `json:"step,omitempty"`
	Test     string `json:"test,omitempty"`
	On       string `json:"on"`
	Did      string `json:"did,omitempty"`
	Left     string `json:"left,omitempty"`
	Because  string `json:"because"`
	Cautions bool   `json:"cautions,omitempty"`
}

// Consent is the owner's.
type Consent struct {
	By   string `json:"by"`
	Date string `json:"date"`
	Form string `json:"form"`
}
