package guide

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
)

var (
	//go:embed guide.html
	page string
	//go:embed guide.css
	style string
	//go:embed guide.js
	script string

	layout = template.Must(template.New("guide").Funcs(template.FuncMap{"under": under}).Parse(page))
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
		Style: template.HTML("<style>" + style + "</style>"), Script: template.HTML("<script>" + script + "</script>"),
		Policy: fmt.Sprintf("default-src 'none'; img-src data:; style-src '%s'; script-src '%s'; base-uri 'none'; form-action 'none'", digest(style), digest(script)),
	}
	var b bytes.Buffer
	if err := layout.Execute(&b, s); err != nil {
		return "", fmt.Errorf("write the handbook: %w", err)
	}
	return b.String(), nil
}

// digest names a script or style in a policy (Content Security Policy Level 3, hash-source).
func digest(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}
