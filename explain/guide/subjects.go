package guide

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"tideline/explain/words"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/yamlfile"
)

// subject is what one file of a pack is about.
type subject struct {
	file        string
	name, title string // name is part of anchors
	about       string
}

// subjects gives the files of the packs in their order. Files of the same name are one subject.
func subjects(p *pack.Pack) []*subject {
	var list []*subject
	names := map[string]int{}
	for i, l := range p.Layers {
		for _, f := range l.Files {
			n := slices.IndexFunc(list, func(s *subject) bool { return s.file == f.Name })
			if n >= 0 {
				list[n].about = strings.TrimSpace(list[n].about + " " + about(f))
				continue
			}
			stem := strings.TrimSuffix(filepath.Base(f.Name), filepath.Ext(f.Name))
			s := &subject{file: f.Name, name: slug(stem), title: named(stem), about: about(f)}
			if i > 0 {
				s.title += fmt.Sprintf(" (pack %s)", prose(l.Name))
			}
			if names[s.name]++; names[s.name] > 1 {
				s.name += fmt.Sprintf("_%d", names[s.name]) // no slug has an underscore
			}
			list = append(list, s)
		}
	}
	return list
}

func about(f pack.File) string {
	root := yamlfile.Parse(f.Name, f.Data, &fault.List{}) // the loader told its faults
	return prose(root.Map("a pack", "about").Text("about"))
}

func slug(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, strings.ToLower(s))
}

// inFile orders by place within a file.
func inFile(a, b fault.Place) int {
	return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
}

// bySubject puts things into sections by the file they stand in, in its order.
func bySubject[T any](m *maker, chapter string, all []T, place func(T) fault.Place, entry func(T) Entry) []Section {
	var sections []Section
	for _, s := range m.subjects {
		section := Section{Anchor: Anchor(chapter, s.name), Title: s.title}
		for _, t := range within(s, all, place) {
			section.Entries = append(section.Entries, entry(t))
		}
		sections = append(sections, section)
	}
	return sections
}

func within[T any](s *subject, all []T, place func(T) fault.Place) []T {
	var own []T
	for _, t := range all {
		if place(t).File == s.file {
			own = append(own, t)
		}
	}
	slices.SortStableFunc(own, func(a, b T) int { return inFile(place(a), place(b)) })
	return own
}

// The anchors of sections.
const (
	inTreatments = "treatments"
	inRules      = "rules"
	inTests      = "tests"
)

func (m *maker) subjectChapter() Chapter {
	section := Section{}
	for _, s := range m.subjects {
		e := Entry{Anchor: Anchor(ofSubject, s.name), Kind: ofSubject, Title: s.title, Says: s.about}
		f := fields{}
		var treatments, tests []Piece
		for _, t := range within(s, m.Treatments, placeOfTreatment) {
			treatments = append(treatments, treatmentLink(t))
		}
		for _, t := range within(s, m.Tests, func(t *pack.Test) fault.Place { return t.Place }) {
			tests = append(tests, testLink(t.Question.ID))
		}
		f.add("Treatments", treatments...)
		f.add("Tests", tests...)
		if n := len(within(s, m.Rules, placeOfRule)); n > 0 {
			f.add("Rules", link(inRules, s.name, words.Count(n, "rule", "rules")))
		}
		if e.Fields = f; e.Says != "" || len(f) > 0 {
			section.Entries = append(section.Entries, e)
		}
	}
	return Chapter{Anchor: "subjects", Title: chSubjects, Sections: []Section{section}}
}

func placeOfTreatment(t *pack.Treatment) fault.Place { return t.Place }
func placeOfRule(r *pack.Rule) fault.Place           { return r.Place }

func treatmentLink(t *pack.Treatment) Piece { return link(OfTreatment, t.ID, t.Name) }
func ruleLink(r *pack.Rule) Piece           { return link(OfRule, r.ID, r.ID) }
func testLink(question string) Piece        { return link(OfTest, question, question) }
