package guide

import (
	"net/url"
	"strings"

	"tideline/explain/words"
	"tideline/rules/pack"
)

// Guide is the handbook, in the order in which it is read. All text in it is safe to print.
type Guide struct {
	Title    string    `json:"title"`
	Packs    []string  `json:"packs"` // the lowest first
	Chapters []Chapter `json:"chapters"`
}

// Chapter is a chapter. A chapter that is not divided has one section without a title.
type Chapter struct {
	Anchor   string    `json:"anchor"`
	Title    string    `json:"title"`
	Says     string    `json:"says,omitempty"`
	Sections []Section `json:"sections"`
}

// Section is a part of a chapter.
type Section struct {
	Anchor  string  `json:"anchor,omitempty"`
	Title   string  `json:"title,omitempty"`
	Entries []Entry `json:"entries"`
}

// Entry is the one place of a treatment, rule, test ...
type Entry struct {
	Anchor  string  `json:"anchor"`
	Kind    string  `json:"kind"`
	Title   string  `json:"title"`
	ID      string  `json:"id,omitempty"`   // "" where it is the title
	Mark    string  `json:"mark,omitempty"` // why it no longer stands
	Says    string  `json:"says,omitempty"`
	Dangers []Group `json:"dangers,omitempty"` // to people: one or none, told before anything is done
	Fields  []Field `json:"fields"`
	Groups  []Group `json:"groups,omitempty"`
}

// Group is a list under a heading within an entry.
type Group struct {
	Kind    string  `json:"kind"` // for how it is shown
	Heading string  `json:"heading"`
	Note    string  `json:"note,omitempty"`
	Items   []Item  `json:"items,omitempty"`
	Fields  []Field `json:"fields,omitempty"`
}

// Item is one of a list: a sentence, and what goes with it.
type Item struct {
	Lead   []Piece `json:"lead,omitempty"`
	Mark   string  `json:"mark,omitempty"` // why it no longer stands
	Text   string  `json:"text,omitempty"`
	Fields []Field `json:"fields,omitempty"`
}

// Field is a label with what stands behind it.
type Field struct {
	Label  string  `json:"label"`
	Pieces []Piece `json:"pieces"`
	Sep    string  `json:"-"` // between pieces
}

// Piece is a run of text: plain, code, or a link within the handbook or out of it.
type Piece struct {
	Text string `json:"text"`
	To   string `json:"to,omitempty"`  // an anchor
	URL  string `json:"url,omitempty"` // http or https
	Code bool   `json:"code,omitempty"`
}

// Anchor names the place of something in the handbook: of is one of the constants below, id its id in the packs.
func Anchor(of, id string) string { return of + "-" + id }

// What has a place of its own.
const (
	OfTreatment = "treatment"
	OfRule      = "rule"
	OfTest      = "test" // by the question: test-ink.wet
	OfFact      = "fact"
	OfNever     = "never"
	OfPrinciple = "principle"
	OfCriterion = "criterion"
	OfAim       = "aim"
	OfSource    = "source"
	ofSubject   = "subject"
)

// New makes the handbook of packs.
func New(p *pack.Pack) *Guide {
	m := &maker{Pack: p, subjects: subjects(p)}
	m.index()
	g := &Guide{Title: title}
	for _, l := range p.Layers {
		g.Packs = append(g.Packs, prose(l.Name))
	}
	for _, c := range []Chapter{
		m.subjectChapter(), m.treatmentChapter(), m.ruleChapter(), m.testChapter(), m.factChapter(),
		m.principleChapter(), m.criteriaChapter(), m.sourceChapter(),
	} {
		var kept []Section
		for _, s := range c.Sections {
			if len(s.Entries) > 0 {
				kept = append(kept, s)
			}
		}
		if c.Sections = kept; len(kept) > 0 {
			g.Chapters = append(g.Chapters, c)
		}
	}
	return g
}

// maker makes the chapters.
type maker struct {
	*pack.Pack
	subjects []*subject
	cited    map[string][]Field      // what cites a source, by its id
	readBy   map[string][]Piece      // what reads a question or fact, by its id
	rests    map[string][]Piece      // what rests on a principle, criterion or aim, by its id
	stale    map[string][]Piece      // what makes a question's answer stale
	against  map[string][]*pack.Rule // rules that disagree with a rule, whichever of the two says so
}

// prose makes a sentence safe and puts it on one line.
func prose(s string) string { return strings.Join(strings.Fields(words.Safe(s)), " ") }

func plain(s string) Piece { return Piece{Text: prose(s)} }

// code keeps line breaks: a condition shows as it was written.
func code(s string) Piece { return Piece{Text: strings.TrimSpace(words.Safe(s)), Code: true} }

func link(of, id, text string) Piece { return Piece{Text: prose(text), To: Anchor(of, id)} }

// site links out of the handbook, where the address is one a browser may be given.
func site(address string) Piece {
	s := prose(address)
	if u, err := url.Parse(s); err == nil && (u.Scheme == "http" || u.Scheme == "https") && u.Host != "" {
		return Piece{Text: s, URL: s}
	}
	return Piece{Text: s}
}

// fields gathers those that say something.
type fields []Field

func (f *fields) add(label string, pieces ...Piece) { f.addSep(label, ", ", pieces...) }

func (f *fields) addSep(label, sep string, pieces ...Piece) {
	var kept []Piece
	for _, p := range pieces {
		if p.Text != "" {
			kept = append(kept, p)
		}
	}
	if len(kept) > 0 {
		*f = append(*f, Field{Label: label, Pieces: kept, Sep: sep})
	}
}

func (f *fields) text(label, s string) { f.add(label, plain(s)) }

func (f *fields) list(label string, list []string) {
	var pieces []Piece
	for _, s := range list {
		pieces = append(pieces, plain(s))
	}
	f.add(label, pieces...)
}

// founded says how well something is founded, and on which sources.
func (m *maker) founded(f *fields, c pack.Cite) {
	f.text("Standing", c.Standing)
	var list []Piece
	for _, id := range c.Sources {
		if s := m.Source(id); s != nil {
			list = append(list, link(OfSource, id, words.Source(s)))
		}
	}
	f.addSep("Source", "; ", list...)
}
