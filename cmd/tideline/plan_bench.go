package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tideline/engine/plan"
	"tideline/engine/schedule"
	"tideline/explain/bench"
	"tideline/explain/text"
	"tideline/rules/yamlfile"
)

// benchFlags are how the bench side of a plan is asked for.
type benchFlags struct {
	chart              bool
	sheet              string
	start, begin, days string
	perDay             float64
}

func (f *benchFlags) add(c *cobra.Command) {
	c.Flags().BoolVar(&f.chart, "chart", false, "print a time chart instead of the plan")
	c.Flags().StringVar(&f.sheet, "sheet", "", "write the sheet for the bench to `FILE` instead: a page when its name ends in .html, else text; - prints the text")
	c.Flags().StringVar(&f.start, "start", "", "lay the steps out from this `DATE` on; left out, from the day judged for")
	c.Flags().Float64Var(&f.perDay, "hours", 6, "so many `HOURS` a day at the bench")
	c.Flags().StringVar(&f.begin, "begin", "09:00", "work begins at this `TIME` of day")
	c.Flags().StringVar(&f.days, "days", "Mon,Tue,Wed,Thu,Fri", "the `DAYS` worked")
}

// instead tells whether something else than the plan is asked for.
func (f *benchFlags) instead() bool { return f.chart || f.sheet != "" }

// hours reads when someone is at the bench. Without a start the day is left zero.
func (f *benchFlags) hours() (schedule.Options, error) {
	wrong := func(flag, given, want string) (schedule.Options, error) {
		return schedule.Options{}, wrongUse{fmt.Errorf("%s %q: %s", flag, given, want)}
	}
	var o schedule.Options
	if f.chart && f.sheet != "" {
		return o, wrongUse{errors.New("--chart and --sheet were given together; give one of them")}
	}
	if f.start != "" {
		var ok bool
		if o.Start, ok = yamlfile.ParseDate(f.start); !ok {
			return wrong("--start", f.start, "write year-month-day, as in 2026-10-12")
		}
	}
	begin, err := time.Parse("15:04", f.begin)
	if err != nil {
		return wrong("--begin", f.begin, "write hour and minute, as in 09:00")
	}
	o.Begin = begin.Hour()*60 + begin.Minute()
	if !(f.perDay > 0 && f.perDay <= 24) {
		return wrong("--hours", strconv.FormatFloat(f.perDay, 'g', -1, 64), "a day at the bench has more than 0 hours and no more than 24")
	}
	o.PerDay = max(1, int(f.perDay*60+0.5))
	if o.Begin+o.PerDay > 24*60 {
		return wrong("--hours", strconv.FormatFloat(f.perDay, 'g', -1, 64), "from "+f.begin+" on that goes beyond the end of the day; begin earlier, or work less")
	}
	for _, word := range strings.Split(f.days, ",") {
		n := slices.IndexFunc(weekdays, func(d string) bool { return strings.EqualFold(d, strings.TrimSpace(word)) })
		if n < 0 {
			return wrong("--days", word, "write days as "+strings.Join(weekdays, ", ")+didYouMean(word, weekdays))
		}
		o.Days[n] = true
	}
	return o, nil
}

var weekdays = []string{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"}

// layOut lays a plan out in time, from the day judged for where none is given.
func layOut(p *plan.Plan, o schedule.Options) (*schedule.Schedule, error) {
	if o.Start.IsZero() {
		o.Start = p.Judgement.Case.On
	}
	if o.Start.IsZero() {
		return nil, wrongUse{errors.New("the record has no date to begin from: give --start DATE, as in 2026-10-12")}
	}
	s, err := schedule.Make(p, o)
	if err != nil {
		return nil, internal{err}
	}
	return s, nil
}

// benchSide writes the time chart or the sheet for the bench.
func (a *app) benchSide(p *plan.Plan, o schedule.Options, f benchFlags) error {
	if a.json {
		return wrongUse{errors.New("--json gives the plan with its times; leave out --chart and --sheet")}
	}
	s, err := layOut(p, o)
	if err != nil {
		return err
	}
	if f.chart {
		return a.write(text.TimeChart(s, a.style()))
	}
	sheet, err := bench.New(p, s)
	if err != nil {
		return internal{err}
	}
	if f.sheet == "-" {
		return a.write(text.BenchSheet(sheet, a.style()))
	}
	page := text.BenchSheet(sheet, text.Style{Width: 80})
	if ext := strings.ToLower(filepath.Ext(f.sheet)); ext == ".html" || ext == ".htm" {
		if page, err = sheet.HTML(); err != nil {
			return internal{err}
		}
	}
	if info, err := os.Stat(f.sheet); err == nil && info.IsDir() {
		return badInput{fmt.Errorf("%s is a folder. Give --sheet a file, for example %s.", f.sheet, filepath.Join(f.sheet, "sheet.html"))}
	}
	if err := replaceFile(f.sheet, []byte(page)); err != nil {
		return err
	}
	fmt.Fprintf(a.stderr, "written to %s\n", f.sheet)
	return nil
}
