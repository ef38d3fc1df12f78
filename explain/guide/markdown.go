package guide

import (
	"fmt"
	"regexp"
	"strings"
)

// Markdown writes the handbook as Markdown (CommonMark, with the tables of GitHub's). What stands in packs cannot become
// markup.
func (g *Guide) Markdown() string {
	m := &markdown{}
	m.heading(1, g.Title)
	m.line(escape(strings.Join(g.Packs, ", ")))
	m.contents(g)
	for _, c := range g.Chapters {
		m.anchor(c.Anchor)
		m.heading(2, c.Title)
		m.line(escape(c.Says))
		for _, s := range c.Sections {
			level := 3
			if s.Title != "" {
				m.anchor(s.Anchor)
				m.heading(3, s.Title)
				level = 4
			}
			for _, e := range s.Entries {
				m.entry(level, e)
			}
		}
	}
	return strings.TrimRight(m.b.String(), "\n") + "\n"
}

type markdown struct{ b strings.Builder }

// line writes a paragraph.
func (m *markdown) line(s string) {
	if s != "" {
		m.b.WriteString(s + "\n\n")
	}
}

func (m *markdown) heading(level int, s string) {
	m.line(strings.Repeat("#", level) + " " + escape(s))
}

func (m *markdown) anchor(a string) { m.b.WriteString(`<a id="` + a + "\"></a>\n\n") }

func (m *markdown) contents(g *Guide) {
	m.heading(2, contents)
	for _, c := range g.Chapters {
		fmt.Fprintf(&m.b, "- %s\n", reference(c.Title, c.Anchor))
		for _, s := range c.Sections {
			if s.Title == "" {
				continue
			}
			fmt.Fprintf(&m.b, "  - %s\n", reference(s.Title, s.Anchor))
			if c.Anchor != inTreatments {
				continue
			}
			for _, e := range s.Entries {
				fmt.Fprintf(&m.b, "    - %s\n", reference(e.Title, e.Anchor))
			}
		}
	}
	m.b.WriteByte('\n')
}

func (m *markdown) entry(level int, e Entry) {
	m.anchor(e.Anchor)
	m.heading(level, e.Title)
	if e.ID != "" {
		m.line(fence(e.ID))
	}
	if e.Mark != "" {
		m.line("**" + escape(e.Mark) + "**")
	}
	m.line(escape(e.Says))
	m.groups(e.Dangers)
	m.fields("", e.Fields)
	m.groups(e.Groups)
}

func (m *markdown) groups(list []Group) {
	for _, g := range list {
		m.line("**" + escape(g.Heading) + "**")
		if g.Kind == "beside" {
			m.beside(g.Items)
		} else {
			m.items(g.Items)
		}
		m.fields("", g.Fields)
		m.line(escape(g.Note))
	}
}

func (m *markdown) items(list []Item) {
	for _, i := range list {
		m.b.WriteString("- " + head(i) + "\n")
		if i.Mark != "" {
			m.b.WriteString("  - **" + escape(i.Mark) + "**\n")
		}
		m.rows("  ", i.Fields)
	}
	if len(list) > 0 {
		m.b.WriteByte('\n')
	}
}

// head is what an item says.
func head(i Item) string {
	lead := pieces(i.Lead, ", ")
	switch {
	case lead == "":
		return escape(i.Text)
	case i.Text == "":
		return "**" + lead + "**"
	}
	return "**" + lead + ":** " + escape(i.Text)
}

func (m *markdown) fields(indent string, list []Field) {
	if len(list) > 0 {
		m.rows(indent, list)
		m.b.WriteByte('\n')
	}
}

func (m *markdown) rows(indent string, list []Field) {
	for _, f := range list {
		if len(f.Pieces) == 1 && f.Pieces[0].Code && strings.Contains(f.Pieces[0].Text, "\n") {
			fmt.Fprintf(&m.b, "%s- %s:\n", indent, escape(f.Label))
			m.block(indent+"  ", f.Pieces[0].Text)
			continue
		}
		fmt.Fprintf(&m.b, "%s- %s: %s\n", indent, escape(f.Label), pieces(f.Pieces, f.Sep))
	}
}

// block writes code of several lines between fences that it does not hold.
func (m *markdown) block(indent, text string) {
	f := ticks(text, 3)
	for _, line := range strings.Split(f+"\n"+text+"\n"+f, "\n") {
		m.b.WriteString(strings.TrimRight(indent+line, " ") + "\n")
	}
}

// beside sets two items side by side.
func (m *markdown) beside(list []Item) {
	var rows [3][]string
	for _, i := range list {
		rows[0] = append(rows[0], cell(pieces(i.Lead, ", ")))
		rows[1] = append(rows[1], "---")
		lines := []string{escape(i.Text)}
		if i.Mark != "" {
			lines = append(lines, "**"+escape(i.Mark)+"**")
		}
		for _, f := range i.Fields {
			lines = append(lines, escape(f.Label)+": "+pieces(f.Pieces, f.Sep))
		}
		rows[2] = append(rows[2], cell(strings.Join(lines, "<br>")))
	}
	for _, r := range rows {
		m.b.WriteString("| " + strings.Join(r, " | ") + " |\n")
	}
	m.b.WriteByte('\n')
}

// cell makes text fit a cell of a table, where a stroke divides even within code.
func cell(s string) string { return strings.ReplaceAll(s, "|", `\|`) }

func pieces(list []Piece, sep string) string {
	var all []string
	for _, p := range list {
		s := escape(p.Text)
		if p.Code {
			s = fence(p.Text)
		}
		switch {
		case p.To != "":
			s = "[" + s + "](#" + p.To + ")"
		case p.URL != "":
			s = "<" + address.Replace(p.URL) + ">"
		}
		all = append(all, s)
	}
	return strings.Join(all, sep)
}

var address = strings.NewReplacer("<", "%3C", ">", "%3E", " ", "%20")

func reference(text, anchor string) string { return "[" + escape(text) + "](#" + anchor + ")" }

// fence sets code, on one line, between backticks that it does not hold.
func fence(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	f := ticks(s, 1)
	if strings.HasPrefix(s, "`") || strings.HasSuffix(s, "`") {
		s = " " + s + " "
	}
	return f + s + f
}

// ticks gives so many backticks that none in s is as long, and at least least.
func ticks(s string, least int) string {
	run := 0
	for _, r := range s {
		if r != '`' {
			run = 0
			continue
		}
		if run++; run >= least {
			least = run + 1
		}
	}
	return strings.Repeat("`", least)
}

var (
	marks   = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "[", `\[`, "]", `\]`, "<", `\<`, "&", `\&`, "~", `\~`)
	opening = regexp.MustCompile(`^([#>=|:]|[+-]+( |$)|--|\d+[.)]( |$))`)
	bare    = regexp.MustCompile(`(^|[^\pL\pN_])_|_([^\pL\pN_]|$)`)
)

// escape makes text that Markdown shows as it is.
func escape(s string) string {
	s = marks.Replace(s)
	s = bare.ReplaceAllStringFunc(s, func(m string) string { return strings.ReplaceAll(m, "_", `\_`) })
	if opening.MatchString(s) {
		n := strings.IndexFunc(s, func(r rune) bool { return r < '0' || r > '9' }) // digits may not be escaped
		s = s[:n] + `\` + s[n:]
	}
	return s
}
