package dose

import (
	"fmt"

	"tideline/engine/dose/paper"
)

var papers = []Computation{
	{Name: "permanence", Says: "how a paper stands to the permanence standard for new paper", Run: runPermanence, Params: []Param{
		{Name: "ph", Says: "pH of the cold extract", Unit: unit(PHKind, "pH"), From: 0, To: 14, Source: "loc-permanence"},
		{Name: "reserve", Says: "alkali reserve, as calcium carbonate", Unit: unit(Fraction, "%"), From: 0, To: 100, Source: "loc-permanence"},
		{Name: "kappa", Says: "kappa number (lignin)", Unit: plain, From: 0, To: 200, Source: "loc-permanence"},
		{Name: "tear", Says: "tear resistance", Unit: unit(Force, "mN"), From: 0, To: 20000, Source: "loc-permanence"},
		{Name: "grammage", Says: "mass per area, for the tear limit", Unit: unit(Grammage, "g/m²"), From: 25, To: 225, Source: "loc-permanence"},
	}},
	{Name: "tear-index", Says: "tear force per grammage", Run: runTearIndex, Params: []Param{
		{Name: "force", Says: "tear force", Unit: unit(Force, "mN"), From: 1, To: 20000, Required: true, Source: ownID},
		{Name: "grammage", Says: "mass per area", Unit: unit(Grammage, "g/m²"), From: 5, To: 500, Required: true, Source: ownID},
	}},
}

// runPermanence holds each property given against ISO 9706; a property not
// given is unknown, never a pass.
func runPermanence(a Args) (Result, error) {
	var r Result
	r.Range = "unprinted paper of 25 g/m² and over, not board"
	failed, open := 0, 0
	judge := func(name, says string, given, ok bool, limit string) {
		text := "not known"
		switch {
		case given && ok:
			text = "passes"
		case given:
			text = "fails"
			failed++
		default:
			open++
		}
		r.say("loc-permanence", limit, text, "%s", says)
		r.words(name, says, text, Seen)
	}
	ph := a.In("ph", PHKind, "pH")
	judge("ph", "pH of extract", a.Has("ph"), ph >= 7.5 && ph <= 10, "7.5 to 10")
	judge("reserve", "alkali reserve", a.Has("reserve"), a.In("reserve", Fraction, "%") >= 2, "2 % calcium carbonate or more")
	judge("kappa", "kappa number", a.Has("kappa"), a.In("kappa", Plain, "") <= 5, "5 or less")
	least, ok := paper.TearMinimum(a.In("grammage", Grammage, "g/m²"))
	judge("tear", "tear resistance", a.Has("tear") && ok, a.In("tear", Force, "mN") >= least, fmt.Sprintf("%s mN or more", num(least)))
	verdict := "permanent by these properties"
	switch {
	case failed > 0:
		verdict = "not permanent"
	case open > 0:
		verdict = "not known"
	}
	r.words("verdict", "all together", verdict, Seen)
	r.caution("A printed, stapled, aged booklet is outside the scope of the standard: this is a mark to compare with, not a test of the book.")
	r.caution("pH by different methods (cold or hot extract, surface) must not be compared or averaged; coatings and fillers shift it.")
	return r, nil
}

// runTearIndex is force over grammage (arithmetic).
func runTearIndex(a Args) (Result, error) {
	var r Result
	f, g := a.In("force", Force, "mN"), a.In("grammage", Grammage, "g/m²")
	q := of(paper.TearIndex(f, g), TearKind, "mN m²/g")
	r.Range = "5 to 500 g/m²"
	r.line("arithmetic", "index = force/grammage", q, "", "%s mN/%s g/m²", num(f), num(g))
	r.value("index", "tear index", q, Arithmetic)
	r.caution("It compares papers of different weight; it doesn't foretell how an aged sheet tears.")
	return r, nil
}
