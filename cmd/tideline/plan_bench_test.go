package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tideline/explain/data"
)

// benchBooks are the example books whose bench side is held word for word.
var benchBooks = []string{"lantern-street-4", "signal-box-stories"}

// TestBenchGolden compares the time chart and the bench sheet, as text and as a page without its style, with testdata/bench.
func TestBenchGolden(t *testing.T) {
	const folder = "../../testdata/bench"
	unused := map[string]bool{}
	old, err := filepath.Glob(filepath.Join(folder, "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range old {
		unused[name] = true
	}
	compare := func(name, got string) {
		t.Helper()
		path := filepath.Join(folder, name)
		delete(unused, path)
		if mayUpdate(t) {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
			return
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatalf("%v; `go test ./cmd/tideline -run TestBenchGolden -update` writes it", err)
		}
		if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
	style := regexp.MustCompile(`(?s)<style>.*?</style>|style-src '[^']*'`)
	for _, name := range benchBooks {
		book := "../../testdata/books/" + name + ".yaml"
		compare(name+".chart.txt", say(t, exitDone, "plan", book, "--on", "record", "--start", "2026-11-30", "--chart"))
		compare(name+".sheet.txt", say(t, exitDone, "plan", book, "--on", "record", "--start", "2026-11-30", "--sheet", "-"))
		page := filepath.Join(t.TempDir(), "sheet.html")
		say(t, exitDone, "plan", book, "--on", "record", "--start", "2026-11-30", "--sheet", page)
		html, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		compare(name+".sheet.html", style.ReplaceAllString(string(html), ""))
	}
	for path := range unused {
		if mayUpdate(t) {
			os.Remove(path)
		} else {
			t.Errorf("%s is used by no book", path)
		}
	}
}

// TestScheduleJSON: plan --json gives the times of every step, which agree with its minutes and with each other.
func TestScheduleJSON(t *testing.T) {
	var p data.Planned
	out := say(t, exitDone, "plan", "../../testdata/books/signal-box-stories.yaml", "--on", "record", "--start", "2026-11-30", "--hours", "3.5", "--begin", "08:30", "--days", "tue, Thu", "--json")
	if err := json.Unmarshal([]byte(out), &p); err != nil {
		t.Fatal(err)
	}
	s := p.Schedule
	if s == nil || len(s.Steps) != len(p.Steps) || len(s.Steps) == 0 {
		t.Fatalf("no times: %+v", s)
	}
	if diff := cmp.Diff(data.WorkingHours{Begin: "08:30", Minutes: 210, Days: []string{"Tuesday", "Thursday"}}, s.Hours); diff != "" {
		t.Errorf("working hours (-want +got):\n%s", diff)
	}
	minutes := func(list ...data.Time) (n int) {
		for _, span := range list {
			from, err := time.Parse("2006-01-02T15:04", span.From)
			if err != nil {
				t.Fatal(err)
			}
			to, err := time.Parse("2006-01-02T15:04", span.To)
			if err != nil {
				t.Fatal(err)
			}
			n += int(to.Sub(from) / time.Minute)
		}
		return n
	}
	hands := 0
	for i, step := range s.Steps {
		waited := 0
		if step.Waiting != nil {
			waited = minutes(*step.Waiting)
		}
		if step.Treatment != p.Steps[i].Treatment || minutes(step.Work...) != p.Steps[i].Minutes.Active || waited != p.Steps[i].Minutes.Waiting {
			t.Errorf("step %d: %+v, planned %+v", i+1, step, p.Steps[i].Minutes)
		}
		hands += minutes(step.Work...) + minutes(step.Tests...)
	}
	if hands != s.Hands || minutes(data.Time{From: s.From, To: s.To}) != s.Elapsed || s.From != "2026-12-01T08:30" {
		t.Errorf("%d minutes by hand, said to be %d; from %s to %s, %d minutes", hands, s.Hands, s.From, s.To, s.Elapsed)
	}
}
