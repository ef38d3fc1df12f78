package auditing

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"

	"tideline/explain/words"
)

var (
	//go:embed page.html
	page string
	//go:embed page.css
	style string

	layout = template.Must(template.New("audit").Parse(page))
)

// sheet is what the page is made from.
type sheet struct {
	Title    string
	Lead     []string
	Outlines []Outline
	Close    []string
	Style    template.HTML
	Policy   string
}

// Page writes the audit of one case or decision as one HTML page that asks nothing of anyone: its style stands in it, it has
// no script, and its policy lets a browser load nothing.
func Page(o Outline) (string, error) {
	rest := o
	rest.Heading, rest.Lead = "", nil
	return fill(sheet{Title: o.Heading, Lead: o.Lead, Outlines: []Outline{rest}, Close: []string{words.PersonDecides}})
}

// FolderPage writes the audit of a folder in the same way.
func FolderPage(s *Summary) (string, error) {
	return fill(sheet{Title: s.Heading(), Lead: []string{strings.Join(s.Counted(), "; ") + "."}, Outlines: s.Worst(), Close: []string{words.WithoutWitness, words.PersonDecides}})
}

func fill(s sheet) (string, error) {
	sum := sha256.Sum256([]byte(style))
	s.Style = template.HTML("<style>" + style + "</style>")
	s.Policy = fmt.Sprintf("default-src 'none'; img-src data:; style-src 'sha256-%s'; base-uri 'none'; form-action 'none'", base64.StdEncoding.EncodeToString(sum[:]))
	var b bytes.Buffer
	if err := layout.Execute(&b, s); err != nil {
		return "", fmt.Errorf("write the audit: %w", err)
	}
	return b.String(), nil
}
