package guide

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"

	"tideline/explain/page"
)

var (
	//go:embed guide.html
	markup string
	//go:embed guide.css
	own string
	//go:embed guide.js
	script string

	style  = page.House + own
	layout = template.Must(template.New("guide").Funcs(template.FuncMap{"under": under}).Parse(markup))
)

// placed is an entry with what its heading stands under: a chapter, or a section of one.
type placed struct {
	Entry
	Deep bool
}

func under(s Section, e Entry) placed { return placed{e, s.Title != ""} }

// sheet is what the page is made from.
type sheet struct {
	*Guide
	Style, Script          template.HTML
	Policy                 string
	Contents, Search       string
	Skip, Back, FindInPage string
}

// HTML writes the handbook as one page that asks nothing of anyone: its style and its script stand in it, and its policy
// lets a browser run and load nothing else.
func (g *Guide) HTML() (string, error) {
	s := sheet{
		Guide: g, Contents: contents, Search: searchFor, Skip: skip, Back: back, FindInPage: findInPage,
		Style: page.Element("style", style), Script: page.Element("script", script), Policy: page.Policy(style, script),
	}
	var b bytes.Buffer
	if err := layout.Execute(&b, s); err != nil {
		return "", fmt.Errorf("write the handbook: %w", err)
	}
	return b.String(), nil
}
