package guide

import (
	"encoding/base64"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tideline/engine/dose"
	"tideline/explain/page"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

var update = flag.Bool("update", false, "write golden files anew")

const folder = "../../testdata/guide/"

func load(t *testing.T, layers ...pack.Layer) *pack.Pack {
	t.Helper()
	faults := &fault.List{}
	p := pack.Load(layers, faults, dose.Functions()...)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return p
}

func small(t *testing.T) *pack.Pack {
	t.Helper()
	faults := &fault.List{}
	low, high := pack.ReadPath(folder+"small.yaml", faults), pack.ReadPath(folder+"small-house.yaml", faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return load(t, low, high)
}

func shipped(t *testing.T) *pack.Pack {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return load(t, layer)
}

func html(t *testing.T, g *Guide) string {
	t.Helper()
	s, err := g.HTML()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestGolden: the handbook of a small pack, whole, in both forms. Style and script stand in files of their own and are
// left out here.
func TestGolden(t *testing.T) {
	g := New(small(t))
	golden(t, "small.md", g.Markdown())
	golden(t, "small.html", strings.NewReplacer(style, "", script, "", policed(style), "STYLE", policed(script), "SCRIPT").Replace(html(t, g)))
	files, err := filepath.Glob(folder + "*")
	if err != nil || len(files) != 4 {
		t.Errorf("a file that nothing compares with: %v %v", files, err)
	}
}

// policed is a digest as the page writes it.
func policed(s string) string { return strings.ReplaceAll(page.Digest(s), "+", "&#43;") }

func golden(t *testing.T, name, got string) {
	t.Helper()
	if *update {
		if os.Getenv("CI") != "" {
			t.Fatal("-update is refused when CI is set: look at what changed, and commit it by hand")
		}
		if err := os.WriteFile(folder+name, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(folder + name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

var (
	anchorInHTML = regexp.MustCompile(` id="([^"]+)"`)
	anchorInMD   = regexp.MustCompile(`<a id="([^"]+)"></a>`)
	linkInHTML   = regexp.MustCompile(` href="#([^"]+)"`)
	linkInMD     = regexp.MustCompile(`[^\\]\]\(#([^)]+)\)`)
)

// TestPlaces: each thing of the packs has one place in either form, and every link leads to a place.
func TestPlaces(t *testing.T) {
	for name, p := range map[string]*pack.Pack{"shipped": shipped(t), "small": small(t)} {
		g := New(p)
		for form, f := range map[string]struct {
			text         string
			anchor, link *regexp.Regexp
		}{"html": {html(t, g), anchorInHTML, linkInHTML}, "markdown": {g.Markdown(), anchorInMD, linkInMD}} {
			places := map[string]int{}
			for _, m := range f.anchor.FindAllStringSubmatch(f.text, -1) {
				if places[m[1]]++; places[m[1]] > 1 {
					t.Errorf("%s, %s: the place %s is there twice", name, form, m[1])
				}
			}
			for _, want := range things(p) {
				if places[want] != 1 {
					t.Errorf("%s, %s: no place %s", name, form, want)
				}
			}
			links := f.link.FindAllStringSubmatch(f.text, -1)
			if len(links) < 50 {
				t.Errorf("%s, %s: only %d links", name, form, len(links))
			}
			for _, m := range links {
				if places[m[1]] == 0 {
					t.Errorf("%s, %s: a link leads to %s, which is nowhere", name, form, m[1])
				}
			}
		}
	}
}

// things lists the places there must be.
func things(p *pack.Pack) []string {
	var list []string
	for _, v := range p.Treatments {
		list = append(list, Anchor(OfTreatment, v.ID))
	}
	for _, v := range p.Rules {
		list = append(list, Anchor(OfRule, v.ID))
	}
	for _, id := range p.Vocabulary.IDs() {
		list = append(list, Anchor(OfTest, id))
	}
	for _, v := range p.Facts {
		list = append(list, Anchor(OfFact, v.ID))
	}
	for _, v := range p.Never {
		list = append(list, Anchor(OfNever, v.ID))
	}
	for _, v := range p.Principles {
		list = append(list, Anchor(OfPrinciple, v.ID))
	}
	for _, v := range p.Criteria {
		list = append(list, Anchor(OfCriterion, v.ID))
	}
	for _, v := range p.Aims {
		list = append(list, Anchor(OfAim, v.ID))
	}
	for _, v := range p.Sources {
		list = append(list, Anchor(OfSource, v.ID))
	}
	return list
}

// TestNothingLeftOut: what the shipped pack says stands in the handbook: each sentence, condition, setting, danger and
// stop sign, and each source with what cites it.
func TestNothingLeftOut(t *testing.T) {
	p := shipped(t)
	g := New(p)
	said := map[string]string{}
	for _, c := range g.Chapters {
		for _, s := range c.Sections {
			for _, e := range s.Entries {
				said[e.Anchor] = flat(e)
			}
		}
	}
	want := func(anchor string, list ...string) {
		t.Helper()
		for _, s := range list {
			if s = prose(s); !strings.Contains(said[anchor], s) {
				t.Errorf("%s does not say %q", anchor, s)
			}
		}
	}
	dangers := func(anchor string, list []pack.Hazard) {
		for _, h := range list {
			want(anchor, h.Danger, h.Protect, h.Stop, h.HandOver)
		}
	}
	for _, v := range p.Treatments {
		a := Anchor(OfTreatment, v.ID)
		want(a, v.Name, v.Says, v.Retreatable)
		want(a, v.StopSigns...)
		want(a, v.Materials...)
		want(a, v.MakesStale...)
		dangers(a, v.Hazards)
		for _, s := range v.Settings {
			want(a, s.What, s.Value, s.Because, s.Standing)
			if s.Dose != nil {
				want(a, s.Dose.Text)
			}
		}
	}
	for _, r := range p.Rules {
		want(Anchor(OfRule, r.ID), r.Because, r.Text, r.Say, r.Standing, r.Kind, string(r.Each))
		for _, v := range r.Treatments {
			want(Anchor(OfTreatment, v.ID), r.ID, r.Because, r.Text, r.Say)
		}
		for _, id := range r.Disagrees {
			want(Anchor(OfRule, r.ID), id, p.Rule(id).Because)
			want(Anchor(OfRule, id), r.ID, r.Because)
		}
		for _, id := range r.Sources {
			want(Anchor(OfSource, id), r.ID)
		}
	}
	for _, v := range p.Tests {
		a := Anchor(OfTest, v.Question.ID)
		want(a, v.Question.Asks, v.Purpose, v.How, v.Read, v.Dwell, v.Where, v.GoesWrong, v.Harm, v.Standing)
		want(a, v.Materials...)
		dangers(a, v.Hazards)
	}
	for _, v := range p.Sources {
		want(Anchor(OfSource, v.ID), v.Title, v.Author, v.Year, v.Publisher, v.URL, v.Note)
	}
}

// flat gives all text of an entry on one line.
func flat(e Entry) string {
	list := []string{e.Title, e.ID, e.Mark, e.Says}
	pieces := func(all []Piece) {
		for _, p := range all {
			list = append(list, p.Text)
		}
	}
	fields := func(all []Field) {
		for _, f := range all {
			pieces(f.Pieces)
		}
	}
	fields(e.Fields)
	for _, g := range slices.Concat(e.Dangers, e.Groups) {
		for _, i := range g.Items {
			pieces(i.Lead)
			list = append(list, i.Mark, i.Text)
			fields(i.Fields)
		}
		fields(g.Fields)
	}
	return prose(strings.Join(list, " "))
}

// TestPageHoldsTogether: the page is well formed (read as XML, style and script left out), and asks nothing of anyone.
func TestPageHoldsTogether(t *testing.T) {
	for name, p := range map[string]*pack.Pack{"shipped": shipped(t), "small": small(t)} {
		text := html(t, New(p))
		d := xml.NewDecoder(strings.NewReader(strings.NewReplacer(style, "", script, "").Replace(text)))
		for {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if start, ok := token.(xml.StartElement); ok {
				vetElement(t, name, start)
			}
		}
		for tag, want := range map[string]string{"style": style, "script": script} {
			if inside := between(text, "<"+tag+">", "</"+tag+">"); inside != want || !strings.Contains(text, policed(want)) {
				t.Errorf("%s: the policy does not let the page's own %s through", name, tag)
			}
		}
		if _, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(page.Digest(style), "sha256-")); err != nil {
			t.Error(err)
		}
	}
	for _, text := range []string{style, script} {
		if strings.Contains(text, "://") || strings.Contains(text, "url(") || strings.Contains(text, "</") || strings.Contains(text, "innerHTML") {
			t.Error("style or script reaches out of the page")
		}
	}
}

// vetElement refuses whatever would run, load or send something.
func vetElement(t *testing.T, name string, e xml.StartElement) {
	t.Helper()
	switch e.Name.Local {
	case "img", "iframe", "object", "embed", "form", "base", "svg", "video", "audio", "button", "b", "i":
		t.Errorf("%s: there is a %s", name, e.Name.Local)
	}
	for _, a := range e.Attr {
		switch {
		case strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "style" || a.Name.Local == "src" || a.Name.Local == "srcset":
			t.Errorf("%s: %s has %s", name, e.Name.Local, a.Name.Local)
		case a.Name.Local == "href" && e.Name.Local == "link" && a.Value != "data:,":
			t.Errorf("%s: %s is loaded", name, a.Value)
		case a.Name.Local == "href" && e.Name.Local == "a" && !strings.HasPrefix(a.Value, "#") && !strings.HasPrefix(a.Value, "https://") && !strings.HasPrefix(a.Value, "http://"):
			t.Errorf("%s: a link to %s", name, a.Value)
		}
	}
}

func between(s, from, to string) string {
	_, s, _ = strings.Cut(s, from)
	s, _, _ = strings.Cut(s, to)
	return s
}

// TestEscape: text shows in Markdown as it stands in the pack (CommonMark 0.31, sections 2.4, 4 and 6).
func TestEscape(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"plain words, 4-5 and 10 °C", "plain words, 4-5 and 10 °C"},
		{"*bold* and `code`", "\\*bold\\* and \\`code\\`"},
		{"_under_ ink.wet_long", `\_under\_ ink.wet_long`},
		{"[a](b) <b>&amp;~x~", `\[a\](b) \<b>\&amp;\~x\~`},
		{"# heading", `\# heading`},
		{"- list", `\- list`},
		{"+ list", `\+ list`},
		{"> quote", `\> quote`},
		{"12. list", `12\. list`},
		{"1) list", `1\) list`},
		{`back\slash`, `back\\slash`},
		{"--- rule", `\--- rule`},
		{"=== title", `\=== title`},
		{"0.8; and", "0.8; and"},
		{"-5 °C", "-5 °C"},
		{"1.", `1\.`},
		{"", ""},
	} {
		if got := escape(tt.text); got != tt.want {
			t.Errorf("%q gives %q, want %q", tt.text, got, tt.want)
		}
	}
	for _, tt := range []struct{ code, want string }{
		{"ink.wet < 4", "`ink.wet < 4`"}, {"a ` b", "``a ` b``"}, {"`a`", "`` `a` ``"}, {"a\n  && b", "`a && b`"},
	} {
		if got := fence(tt.code); got != tt.want {
			t.Errorf("%q gives %q, want %q", tt.code, got, tt.want)
		}
	}
	if got := cell("a || b"); got != `a \|\| b` {
		t.Errorf("in a table: %q", got)
	}
}

// TestSites: a link leads out of the page only to what a browser may be given.
func TestSites(t *testing.T) {
	for _, tt := range []struct {
		address string
		link    bool
	}{
		{"https://example.org/a", true},
		{"http://example.org", true},
		{"javascript:alert(1)", false},
		{"data:text/html,x", false},
		{"//example.org", false},
		{"https:", false},
		{"file:///etc", false},
		{"example.org", false},
		{"HTTPS://example.org", true},
		{"https://exa\u202emple.org", false},
	} {
		if p := site(tt.address); (p.URL != "") != tt.link {
			t.Errorf("%s: %+v", tt.address, p)
		}
	}
}

// TestSafe: nothing in a pack can command a terminal or turn the direction of writing.
func TestSafe(t *testing.T) {
	layer := pack.Layer{Files: []pack.File{
		{Name: "a\u202eb/Odd NAME.yaml", Data: []byte("pack: odd\nabout: \"\\e[31m red \\u202e turned\"\naims:\n  clean: {says: \"\\e]0;x\\a done\"}\n")},
		{Name: "other/odd-name.yaml", Data: []byte("pack: odd\naims:\n  whole: {says: all there}\n")},
	}}
	g := New(load(t, layer))
	for _, s := range []string{g.Markdown(), html(t, g)} {
		s = strings.ReplaceAll(s, "\n", "")
		if strings.ContainsFunc(s, func(r rune) bool { return r < ' ' || r == 0x202e }) {
			t.Errorf("a control character is left in\n%q", s)
		}
		if !strings.Contains(s, `u001b`) {
			t.Error("what was there does not show")
		}
	}
}
