package data

import (
	"tideline/engine/audit"
	"tideline/engine/seal"
	"tideline/engine/seal/edition1"
)

// Sealed is what came of sealing.
type Sealed struct {
	Format    int      `json:"format"` // edition of the form: 1
	File      string   `json:"file"`
	Case      string   `json:"case"`
	Number    int      `json:"number"`
	SHA256    string   `json:"sha256"`
	Sheet     string   `json:"owners_sheet"` // the short number
	Previous  string   `json:"previous"`     // SHA-256 of the one before it, "" for the first
	On        string   `json:"on"`           // the day judged for
	At        string   `json:"at"`           // when it was sealed
	Signer    string   `json:"signer"`       // public key, "" when not signed
	Decided   bool     `json:"decided"`
	Overrides []Place  `json:"overrides"` // what is ruled out and decided on all the same
	Meanwhile []string `json:"meanwhile"` // files that other runs sealed while this one was at work
}

// Place is a treatment and what it is done to.
type Place struct {
	Treatment string `json:"treatment"`
	On        string `json:"on"`
}

// Seal tells what was sealed.
func Seal(path string, b *edition1.Body, added seal.Link, meanwhile []string, overrides []Place) Sealed {
	return Sealed{
		Format: 1, File: path, Case: b.Case, Number: added.Number, SHA256: added.Sum, Sheet: seal.Number(added.Sum), Previous: b.Previous,
		On: b.On, At: b.At, Signer: added.Signer, Decided: b.Decision != nil, Overrides: list(overrides), Meanwhile: list(meanwhile),
	}
}

// Audit is the audit of a file or a folder.
type Audit struct {
	Format int          `json:"format"` // edition of the form: 1
	Result audit.Result `json:"result"` // the worst of all
	Cases  []AuditCase  `json:"cases"`
}

// AuditCase is the audit of one case.
type AuditCase struct {
	Folder     string         `json:"folder"`
	Case       string         `json:"case"`
	Result     audit.Result   `json:"result"`
	Links      []AuditLink    `json:"links"`
	Breaks     []AuditBreak   `json:"breaks"`
	Trusted    bool           `json:"trusted"`   // every link is signed with the key of --trust
	Witnessed  int            `json:"witnessed"` // which decision has the number on the owner's sheet; 0: none
	Unfinished []string       `json:"unfinished"`
	Decisions  []AuditDecided `json:"decisions"`
}

// AuditLink is a link of the chain.
type AuditLink struct {
	File   string `json:"file"`
	Number int    `json:"number"`
	SHA256 string `json:"sha256"`
	At     string `json:"at"`
	Signer string `json:"signer"`
}

// AuditBreak is something wrong with the chain.
type AuditBreak struct {
	Kind   seal.BreakKind `json:"kind"`
	File   string         `json:"file"`
	Detail string         `json:"detail"`
}

// AuditDecided is the audit of one decision.
type AuditDecided struct {
	File     string         `json:"file"`
	Result   audit.Result   `json:"result"`
	Edition  string         `json:"edition"`
	Title    string         `json:"title"`
	On       string         `json:"on"`
	Decided  bool           `json:"decided"` // a decision of the person is recorded
	Replay   AuditReplay    `json:"replay"`
	Findings []AuditFinding `json:"findings"` // each makes it not sound
	Notes    []AuditFinding `json:"notes"`
	Now      *AuditNow      `json:"now"`   // null: not looked at
	Drift    *Drift         `json:"drift"` // null: what made each difference was not looked at, or there is none
}

// AuditReplay is what came of judging the sealed record by the sealed packs again.
type AuditReplay struct {
	Fault   string       `json:"fault"` // why it could not be judged again
	Same    bool         `json:"same"`  // byte for byte
	Judge   string       `json:"judge"` // the sealed way of judging, where this program's is another
	Reading bool         `json:"record_reads_otherwise"`
	Moved   []AuditMoved `json:"moved"`
}

// AuditMoved is a verdict that differs from the sealed one, its proof included.
type AuditMoved struct {
	Treatment string     `json:"treatment"`
	On        string     `json:"on"`
	Was       string     `json:"was"`
	Is        string     `json:"is"`
	Then      AuditCheck `json:"sealed_proof"`
	Today     AuditCheck `json:"todays_proof"`
	Erred     audit.Side `json:"erred"`
}

// AuditCheck is what the independent checker says of a proof.
type AuditCheck struct {
	Holds bool   `json:"holds"`
	Why   string `json:"why"`
}

// AuditFinding is something found about a decision.
type AuditFinding struct {
	Kind      audit.FindingKind `json:"kind"`
	Treatment string            `json:"treatment"`
	On        string            `json:"on"`
	Verdict   string            `json:"verdict"`
	Done      string            `json:"done"`
	Because   string            `json:"because"`
	Count     int               `json:"count"`
	Questions []AuditAsk        `json:"questions"`
	Missing   []string          `json:"missing"`
	Could     []AuditCould      `json:"could_have_been"`
	Before    *AuditBefore      `json:"before"` // the step that comes first in the plan; null but for steps out of order
}

// AuditBefore is a step that comes first in the plan, and the day it was done.
type AuditBefore struct {
	Treatment string `json:"treatment"`
	On        string `json:"on"`
	Done      string `json:"done"`
}

// AuditAsk is a question of a thing.
type AuditAsk struct {
	Question string `json:"question"`
	On       string `json:"on"`
}

// AuditCould is a verdict that could have been, or would be, another.
type AuditCould struct {
	Treatment string   `json:"treatment"`
	On        string   `json:"on"`
	Was       string   `json:"was"`
	To        []string `json:"to"`
}

// AuditNow is what would be decided today.
type AuditNow struct {
	Packs  []string     `json:"packs"`
	Kept   []string     `json:"packs_as_sealed"`
	Record bool         `json:"todays_record"`
	On     string       `json:"on"`
	Fault  string       `json:"fault"`
	Moves  []AuditCould `json:"would_be"`
}

// AuditOf tells the audit of one case.
func AuditOf(r *audit.Report) AuditCase {
	w := AuditCase{Folder: r.Folder, Case: r.Case, Result: r.Result, Links: []AuditLink{}, Breaks: []AuditBreak{}, Trusted: r.Trusted, Witnessed: r.Witnessed, Unfinished: list(r.Unfinished), Decisions: []AuditDecided{}}
	for _, l := range r.Links {
		w.Links = append(w.Links, AuditLink{l.File, l.Number, l.Sum, l.At, l.Signer})
	}
	for _, b := range r.Breaks() {
		w.Breaks = append(w.Breaks, AuditBreak{b.Kind, b.File, b.Detail})
	}
	for _, d := range r.Decisions {
		w.Decisions = append(w.Decisions, decided(d))
	}
	return w
}

func decided(d *audit.Decision) AuditDecided {
	w := AuditDecided{
		File: d.Link.File, Result: d.Result, Edition: d.Edition, Title: d.Title, On: d.On, Decided: d.Decided,
		Replay:   AuditReplay{d.Replay.Fault, d.Replay.Same, d.Replay.Judge, d.Replay.Reading, []AuditMoved{}},
		Findings: found(d.Findings), Notes: found(d.Notes),
	}
	for _, m := range d.Replay.Moved {
		w.Replay.Moved = append(w.Replay.Moved, AuditMoved{
			m.Treatment, m.On, m.Was, m.Is, AuditCheck{m.Then.Holds, m.Then.Why}, AuditCheck{m.Today.Holds, m.Today.Why}, m.Erred(),
		})
	}
	if n := d.Now; n != nil {
		w.Now = &AuditNow{list(n.Packs), list(n.Kept), n.Record, n.On, n.Fault, could(n.Moves)}
		if n.Drift != nil {
			causes := Drifted(n.Drift)
			w.Drift = &causes
		}
	}
	return w
}

func found(all []audit.Finding) []AuditFinding {
	w := []AuditFinding{}
	for _, f := range all {
		asks := []AuditAsk{}
		for _, a := range f.Asks {
			asks = append(asks, AuditAsk{a.Question.ID, a.Thing.Path})
		}
		one := AuditFinding{f.Kind, f.Treatment, f.On, f.Verdict, f.Done, f.Because, f.Count, asks, list(f.Missing), could(f.Could), nil}
		if f.Before != nil {
			one.Before = &AuditBefore{f.Before.Treatment, f.Before.On, f.Before.Done}
		}
		w = append(w, one)
	}
	return w
}

func could(all []audit.Could) []AuditCould {
	w := []AuditCould{}
	for _, c := range all {
		w = append(w, AuditCould{c.Treatment, c.On, c.Was, list(c.To)})
	}
	return w
}

// Key is a key that was made.
type Key struct {
	Format int    `json:"format"` // edition of the form: 1
	File   string `json:"file"`
	Public string `json:"public"` // in hex
}
