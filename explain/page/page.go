// Package page is what all pages of the program have in common: the house style, and a policy that lets a browser run and
// load nothing but what stands in the page itself.
//
// In:  the style and script of a page. Out: the elements that hold them, and the policy to go with them.
package page

import (
	"crypto/sha256"
	_ "embed" // for the file beside this one
	"encoding/base64"
	"fmt"
	"html/template"
)

// House is the house style. A page's own comes behind it.
//
//go:embed page.css
var House string

// Element puts a style or script into its element. What it holds is the program's own, and trusted.
func Element(name, content string) template.HTML {
	return template.HTML("<" + name + ">" + content + "</" + name + ">")
}

// Policy lets a browser use this style and this script, and nothing else; a page without a script gives "".
func Policy(style, script string) string {
	scripts := "'none'"
	if script != "" {
		scripts = "'" + Digest(script) + "'"
	}
	return fmt.Sprintf("default-src 'none'; img-src data:; style-src '%s'; script-src %s; base-uri 'none'; form-action 'none'", Digest(style), scripts)
}

// Digest names a script or style in a policy (Content Security Policy Level 3, hash-source).
func Digest(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}
