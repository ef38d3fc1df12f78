package bench_test

import (
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"tideline/engine/dose"
	"tideline/engine/evidence"
	"tideline/engine/judge"
	"tideline/engine/plan"
	"tideline/engine/record"
	"tideline/engine/schedule"
	"tideline/explain/account"
	"tideline/explain/bench"
	"tideline/explain/text"
	"tideline/explain/words"
	"tideline/rules/fault"
	"tideline/rules/pack"
	"tideline/rules/packs"
)

// monday is a Monday after all that the example books mention.
var monday = time.Date(2026, 11, 30, 0, 0, 0, 0, time.UTC)

func shipped(t testing.TB) *pack.Pack {
	t.Helper()
	layer, err := packs.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	faults := &fault.List{}
	p := pack.Load([]pack.Layer{pack.Trim(layer)}, faults, dose.Functions()...)
	if faults.Len() > 0 {
		t.Fatal(faults.Err())
	}
	return p
}

// load reads the text of a book, or tells what is wrong with it.
func load(p *pack.Pack, data string) (*record.Book, error) {
	faults := &fault.List{}
	b := record.Parse("book.yaml", []byte(data), record.WordsOf(p), time.Time{}, faults)
	return b, faults.Err()
}

// planned plans a book and lays the plan out.
func planned(t testing.TB, p *pack.Pack, b *record.Book) (*plan.Plan, *schedule.Schedule) {
	t.Helper()
	g, err := judge.Judge(evidence.Gather(p, b, time.Time{}))
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	made, err := plan.Make(ctx, g, plan.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := schedule.Make(made, schedule.Usual(monday))
	if err != nil {
		t.Fatal(err)
	}
	return made, s
}

func sheetOf(t testing.TB, p *plan.Plan, s *schedule.Schedule) *bench.Sheet {
	t.Helper()
	sheet, err := bench.New(p, s)
	if err != nil {
		t.Fatal(err)
	}
	return sheet
}

// made is an example book with its plan.
type made struct {
	name  string
	plan  *plan.Plan
	times *schedule.Schedule
	sheet *bench.Sheet
}

var (
	books []made
	once  sync.Once
)

// each visits example books with plans, made once for all tests.
func each(t *testing.T, visit func(t *testing.T, p *plan.Plan, s *schedule.Schedule, sheet *bench.Sheet)) {
	once.Do(func() {
		p := shipped(t)
		for _, name := range []string{"glasshouse-quarterly", "harbour-almanac", "north-pier-review", "parcel-from-the-attic", "signal-box-stories", "tram-depot-gazette"} {
			b, err := load(p, read(t, "../../testdata/books/"+name+".yaml"))
			if err != nil {
				t.Fatal(err)
			}
			plan, times := planned(t, p, b)
			books = append(books, made{name, plan, times, sheetOf(t, plan, times)})
		}
	})
	tried := 0
	for _, b := range books {
		tried += len(b.plan.Steps)
		t.Run(b.name, func(t *testing.T) { visit(t, b.plan, b.times, b.sheet) })
	}
	if tried < 50 {
		t.Errorf("only %d steps were looked at", tried)
	}
}

// TestNoCautionDropped: everything that the packs warn of at a step stands there, in full or by its number; in full it stands
// once, at a step or in the list before them; no step tells more than four in full; dangers to people are named at each step.
func TestNoCautionDropped(t *testing.T) {
	each(t, func(t *testing.T, p *plan.Plan, s *schedule.Schedule, sheet *bench.Sheet) {
		full := map[*bench.Caution]int{}
		for _, step := range sheet.Steps {
			all := slices.Concat(step.Dangers, step.Watch)
			for _, a := range step.Again {
				all = append(all, a.List...)
			}
			here := 0
			said := map[string]bool{}
			for _, told := range all {
				said[told.Say] = true
				if told.Full {
					here++
					full[told.Caution]++
				}
				if !slices.Contains(told.Steps, step.Number) || told.Full != (told.At == step.Number) {
					t.Errorf("step %d: caution %d stands at steps %v, in full at %d", step.Number, told.Number, told.Steps, told.At)
				}
			}
			if here > 4 {
				t.Errorf("step %d tells %d cautions in full", step.Number, here)
			}
			of := p.Steps[step.Number-1]
			for _, c := range account.Of(of.State, of.Verdict).Cautions {
				if !said[c.Say] {
					t.Errorf("step %d does not say: %s", step.Number, c.Say)
				}
				if c.Hazard && !slices.ContainsFunc(step.Dangers, func(d bench.Told) bool { return d.Say == c.Say }) {
					t.Errorf("step %d does not name the danger: %s", step.Number, c.Say)
				}
			}
			for _, r := range of.Retests {
				if test := of.State.Case.Pack.Test(r.Question.ID); test != nil {
					for _, h := range test.Hazards {
						if !said[h.Danger] {
							t.Errorf("step %d does not say of its tests: %s", step.Number, h.Danger)
						}
					}
				}
			}
		}
		for i, c := range sheet.Cautions {
			if c.Number != i+1 || full[c] > 1 || (full[c] == 0) != (c.At == 0) || (c.At == 0 || c.People) != slices.Contains(sheet.Before(), c) {
				t.Errorf("caution %d, %q, is told in full %d times, said to be at step %d", c.Number, c.Say, full[c], c.At)
			}
		}
		page := text.BenchSheet(sheet, text.Style{Width: 4000})
		for _, c := range sheet.Cautions {
			if !strings.Contains(page, strings.Join(strings.Fields(c.Say), " ")) {
				t.Errorf("the text does not say: %s", c.Say)
			}
		}
	})
}

// TestNothingLeftOut: stop signs, settings, materials, tests and what can come of a step stand on the sheet.
func TestNothingLeftOut(t *testing.T) {
	each(t, func(t *testing.T, p *plan.Plan, s *schedule.Schedule, sheet *bench.Sheet) {
		page := text.BenchSheet(sheet, text.Style{Width: 4000})
		markup, err := sheet.HTML()
		if err != nil {
			t.Fatal(err)
		}
		unescaped := strings.NewReplacer("&#39;", "'", "&#34;", `"`, "&lt;", "<", "&gt;", ">", "&#43;", "+", "&amp;", "&").Replace(markup)
		for i, step := range p.Steps {
			var want []string
			want = append(want, step.Treatment.StopSigns...)
			want = append(want, step.Treatment.Materials...)
			want = append(want, step.Treatment.Says, step.Treatment.Name)
			for _, set := range step.Treatment.Settings {
				want = append(want, set.Value, set.Because)
			}
			for _, r := range step.Retests {
				want = append(want, words.RetestLine(r))
				if test := step.State.Case.Pack.Test(r.Question.ID); test != nil {
					want = append(want, test.Read)
				}
			}
			for _, b := range step.Brings {
				want = append(want, b.Kind+" on "+b.On)
			}
			for _, kind := range step.Treatment.CanBring {
				want = append(want, kind+" on ")
			}
			for _, w := range want {
				if w = strings.Join(strings.Fields(w), " "); !strings.Contains(page, w) || !strings.Contains(strings.Join(strings.Fields(unescaped), " "), w) {
					t.Errorf("step %d: the sheet does not say %q", i+1, w)
				}
			}
		}
	})
}

// TestDangersFirst: on the text and on the page, a step's dangers to people stand before what is done.
func TestDangersFirst(t *testing.T) {
	seen := 0
	each(t, func(t *testing.T, p *plan.Plan, s *schedule.Schedule, sheet *bench.Sheet) {
		markup, err := sheet.HTML()
		if err != nil {
			t.Fatal(err)
		}
		page := text.BenchSheet(sheet, text.Style{Width: 4000})
		_, inSteps, _ := strings.Cut(page, words.WorkOrder)
		for _, step := range sheet.Steps {
			if len(step.Dangers) == 0 {
				continue
			}
			seen++
			_, after, _ := strings.Cut(inSteps, "\n[ ] "+step.Title()+"\n")
			if d, says := strings.Index(after, words.HazardsFirst), strings.Index(after, step.Says[:20]); d < 0 || says < d || strings.Index(after, words.LocalRules) > says {
				t.Errorf("text, step %d: dangers at %d, what is done at %d", step.Number, d, says)
			}
			_, after, _ = strings.Cut(markup, fmt.Sprintf(`<article id="step-%d">`, step.Number))
			if d, says := strings.Index(after, words.HazardsFirst), strings.Index(after, step.Says[:20]); d < 0 || says < d {
				t.Errorf("page, step %d: dangers at %d, what is done at %d", step.Number, d, says)
			}
		}
	})
	if seen < 20 {
		t.Errorf("only %d steps with dangers", seen)
	}
}

// TestDays: the bars of the days are the chart within working hours, to the minute, and all of it that is by hand.
func TestDays(t *testing.T) {
	each(t, func(t *testing.T, p *plan.Plan, s *schedule.Schedule, sheet *bench.Sheet) {
		hands := 0
		for _, d := range sheet.Days {
			for i, r := range d.Rows {
				last := d.From
				for _, b := range r.Bars {
					if b.From.Before(last) || b.To.After(d.To) || !b.From.Before(b.To) || b.Onward && !b.To.Equal(d.To) {
						t.Errorf("%s, row %s: the bar of step %d, %s to %s, is out of place", words.Weekday(d.From), r.Label, b.Step, b.From, b.To)
					}
					last = b.To
					if i == 0 {
						hands += b.Minutes()
					}
				}
			}
			if len(d.Tasks) == 0 || d.Rows[0].Label != words.You {
				t.Errorf("%s: nobody does anything", words.Weekday(d.From))
			}
		}
		if hands != s.Hands {
			t.Errorf("%d minutes by hand are drawn of %d", hands, s.Hands)
		}
	})
}

// book is what the entries are tried on: its record ends with a list of tests, so that steps done can follow.
const book = "../../testdata/books/tram-depot-gazette.yaml"

var blankDate = regexp.MustCompile(`(?m)^    date: +# .*planned for (\S+)$`)

// TestEntries: until its date is filled in, no entry is taken; filled in they are, and a plan of the book as it then is neither
// does them again nor deals with what they cleared.
func TestEntries(t *testing.T) {
	p := shipped(t)
	data := read(t, book)
	before, err := load(p, data)
	if err != nil {
		t.Fatal(err)
	}
	made, s := planned(t, p, before)
	entries := bench.Entries(made, s)
	if _, err := load(p, data+entries); err == nil || !strings.Contains(err.Error(), "date") {
		t.Fatalf("entries without a date were taken: %v", err)
	}
	filled := blankDate.ReplaceAllString(entries, "    date: $1")
	filled = regexp.MustCompile(`(?m)^    result: .*$`).ReplaceAllString(filled, "    result: as planned")
	filled = regexp.MustCompile(`(?m)^    minutes: .*$`).ReplaceAllString(filled, "    minutes: 12.5")
	filled = regexp.MustCompile(`(?m)^    readings: .*(\n      .*)*$`).ReplaceAllString(filled, "")
	after, err := load(p, data+filled)
	if err != nil {
		t.Fatalf("%v\n%s", err, filled)
	}
	if len(after.Done)-len(before.Done) != len(made.Steps) {
		t.Fatalf("%d steps done of %d", len(after.Done)-len(before.Done), len(made.Steps))
	}
	for _, d := range after.Done[len(before.Done):] {
		if d.Outcome != record.AsPlanned || d.Minutes != 12.5 || d.Date.Before(monday) {
			t.Errorf("%s on %s: %+v", d.Treatment, d.Target.Path, d)
		}
	}
	again, _ := planned(t, p, after)
	cleared := 0
	for _, step := range made.Steps {
		for _, sub := range step.For {
			thing := made.Judgement.Case.At(sub.Path)
			kind := before.Thing(sub.Path)
			if len(sub.Asks) > 0 || kind == nil || !slices.ContainsFunc(step.Treatment.Clears, func(k string) bool { return strings.Contains(words.SubjectIn(made, sub), k) }) {
				continue
			}
			cleared++
			if again.Judgement.Case.At(thing.Path) != nil {
				t.Errorf("%s was cleared by %s, and is still there", thing.Path, step.Treatment.ID)
			}
		}
	}
	for _, step := range again.Steps {
		if slices.ContainsFunc(made.Steps, func(o *plan.Step) bool { return o.Key == step.Key }) {
			t.Errorf("%s on %s is planned again", step.Treatment.ID, step.Path)
		}
	}
	if cleared == 0 {
		t.Error("no finding was cleared")
	}
}

// TestReadings: readings filled in are taken, with what was known before.
func TestReadings(t *testing.T) {
	p := shipped(t)
	data := read(t, book)
	b, err := load(p, data)
	if err != nil {
		t.Fatal(err)
	}
	made, s := planned(t, p, b)
	entries := blankDate.ReplaceAllString(bench.Entries(made, s), "    date: $1")
	entries = regexp.MustCompile(`(?m)^        before:$`).ReplaceAllString(entries, "        before: 7")
	entries = regexp.MustCompile(`(?m)^        after:$`).ReplaceAllString(entries, "        after: 8.5")
	after, err := load(p, data+entries)
	if err != nil {
		t.Fatalf("%v\n%s", err, entries)
	}
	readings := 0
	for _, d := range after.Done {
		for _, r := range d.Readings {
			readings++
			if r.After != 8.5 || r.What == "" || r.Unit == "" {
				t.Errorf("%s: %+v", d.Treatment, r)
			}
		}
	}
	if readings == 0 {
		t.Error("the plan has nothing to measure")
	}
}

// TestHostileText: texts of a pack and a book that try to get out of where they stand do not.
func TestHostileText(t *testing.T) {
	p := shipped(t)
	data := read(t, book)
	evil := "</code></pre><script>alert(1)</script>\u202e\x1b[2J\" 'x' # done:\n- {step: enclosure}"
	b, err := load(p, data)
	if err != nil {
		t.Fatal(err)
	}
	b.Title = evil
	made, s := planned(t, p, b)
	for _, step := range made.Steps {
		own := *step.Treatment
		own.Name, own.Says, own.Materials, own.StopSigns = evil, evil, []string{evil}, []string{evil}
		own.Hazards = []pack.Hazard{{Danger: evil, Protect: evil, Cite: pack.Cite{Standing: "house"}}}
		own.Settings = []pack.Setting{{What: evil, Value: evil, Because: evil}}
		step.Treatment = &own
	}
	sheet := sheetOf(t, made, s)
	markup, err := sheet.HTML()
	if err != nil {
		t.Fatal(err)
	}
	for name, out := range map[string]string{"page": markup, "text": text.BenchSheet(sheet, text.Style{Width: 80}), "chart": text.TimeChart(s, text.Style{Width: 80})} {
		if strings.ContainsAny(out, "\x1b\u202e") {
			t.Errorf("%s: what a terminal obeys, or turns writing round, came through", name)
		}
	}
	if strings.Contains(markup, "<script") {
		t.Error("a script came through")
	}
	entries := blankDate.ReplaceAllString(sheet.Entries, "    date: $1")
	entries = regexp.MustCompile(`(?m)^    readings: .*(\n      .*)*$`).ReplaceAllString(entries, "")
	after, err := load(p, data+entries)
	if err != nil || len(after.Done) != len(b.Done)+len(made.Steps) {
		t.Errorf("the entries do not hold: %v", err)
	}
}

// TestPage: the page is well formed (read as XML), has no script, loads nothing, and every link and label leads somewhere.
func TestPage(t *testing.T) {
	each(t, func(t *testing.T, p *plan.Plan, s *schedule.Schedule, sheet *bench.Sheet) {
		markup, err := sheet.HTML()
		if err != nil {
			t.Fatal(err)
		}
		ids, to := map[string]bool{}, map[string]bool{}
		style := regexp.MustCompile(`(?s)<style>.*?</style>`).FindString(markup)
		if strings.Contains(style, "://") || strings.Contains(style, "url(") {
			t.Error("the style reaches out of the page")
		}
		d := xml.NewDecoder(strings.NewReader(strings.Replace(markup, style, "", 1)))
		for {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			start, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			if slices.Contains([]string{"script", "form", "iframe", "object", "img"}, start.Name.Local) {
				t.Errorf("the page has a %s", start.Name.Local)
			}
			for _, a := range start.Attr {
				switch {
				case a.Name.Local == "id" && ids[a.Value]:
					t.Errorf("two things are called %s", a.Value)
				case a.Name.Local == "id":
					ids[a.Value] = true
				case a.Name.Local == "href" && strings.HasPrefix(a.Value, "#"):
					to[a.Value[1:]] = true
				case a.Name.Local == "aria-labelledby":
					to[a.Value] = true
				case a.Name.Local == "fill" && strings.HasPrefix(a.Value, "url(#"):
					to[strings.TrimSuffix(a.Value[5:], ")")] = true
				case a.Name.Local == "href" && start.Name.Local != "link", a.Name.Local == "src", a.Name.Local == "style", strings.HasPrefix(a.Name.Local, "on"):
					t.Errorf("%s has %s=%q", start.Name.Local, a.Name.Local, a.Value)
				}
			}
		}
		for id := range to {
			if !ids[id] {
				t.Errorf("nothing is called %s", id)
			}
		}
	})
}

func read(t testing.TB, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
