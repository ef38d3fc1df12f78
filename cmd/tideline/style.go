package main

import (
	"os"
	"strconv"
	"strings"

	"golang.org/x/term"

	"tideline/explain/text"
)

// Widths of a page: what is assumed where nothing tells, and the least and the most that is used.
const (
	usualWidth = 80
	leastWidth = 20
	mostWidth  = 110 // longer lines are hard to read
)

// style finds what the output is written for: COLUMNS, the terminal, the locale, NO_COLOR and TERM have a say.
func (a *app) style() text.Style {
	columns, terminal := usualWidth, false
	if f, ok := a.stdout.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		terminal = true
		if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
			columns = w
		}
	}
	if w, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && w > 0 {
		columns = w
	}
	kind := os.Getenv("TERM")
	return text.Style{
		Width: min(max(columns, leastWidth), mostWidth),
		ASCII: !unicodeLocale(),
		Bold:  terminal && os.Getenv("NO_COLOR") == "" && kind != "" && kind != "dumb",
	}
}

// unicodeLocale tells whether the locale's characters are UTF-8; the first of the variables that is set counts.
func unicodeLocale() bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := strings.ToLower(os.Getenv(name)); v != "" {
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8")
		}
	}
	return false
}
