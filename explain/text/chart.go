package text

import (
	"fmt"
	"strings"
	"time"

	"tideline/engine/schedule"
	"tideline/explain/bench"
	"tideline/explain/words"
)

// gutter is how wide the labels of a chart's rows are.
const gutter = 16

// marks draw what goes on: by shape, so that nothing hangs on tone.
var marks = map[bench.Kind]byte{bench.Tests: '=', bench.Work: '#', bench.Wait: '.'}

// TimeChart writes a schedule as a chart of each day on which something is done by hand, with the times in words.
func TimeChart(s *schedule.Schedule, style Style) string {
	p := &page{Style: style}
	p.line(0, words.Calendar(s))
	if len(s.Steps) > 0 {
		p.blank()
		p.chart(bench.Days(s), words.Hours(s.Options))
	}
	return p.String()
}

func (p *page) chart(days []*bench.Day, hours string) {
	p.heading(words.TimeChart)
	p.line(0, hours)
	p.line(0, words.TimesOfPack)
	if !p.narrow() {
		p.line(0, words.ChartKey(string(marks[bench.Work]), string(marks[bench.Tests]), string(marks[bench.Wait]), ">"))
	}
	for _, d := range days {
		p.blank()
		if d.Idle != "" {
			p.line(0, d.Idle)
			p.blank()
		}
		p.line(0, words.Weekday(d.From))
		if !p.narrow() {
			p.drawn(d)
		}
		for _, task := range d.Tasks {
			p.item(2, task.Time, task.What)
		}
	}
}

// drawn draws the rows of a day over its hours, so many minutes to a column.
func (p *page) drawn(d *bench.Day) {
	minutes := grain(d.Minutes(), p.Width-gutter)
	scale := []byte(strings.Repeat(" ", p.Width))
	for at := d.From.Truncate(time.Hour); !at.After(d.To); at = at.Add(time.Hour) {
		if x := gutter + column(d, at, minutes); !at.Before(d.From) && x+2 <= len(scale) {
			copy(scale[x:], at.Format("15"))
		}
	}
	p.b.WriteString(strings.TrimRight(string(scale), " ") + "\n")
	for _, r := range d.Rows {
		label := r.Label
		if len(label) > gutter-3 {
			label = label[:gutter-3]
		}
		line := []byte(strings.Repeat(" ", gutter+column(d, d.To, minutes)+1))
		copy(line[2:], label)
		for _, b := range r.Bars {
			from, to := gutter+column(d, b.From, minutes), gutter+max(column(d, b.To, minutes), column(d, b.From, minutes)+1)
			for x := from; x < to; x++ {
				line[x] = marks[b.Kind]
			}
			if n := fmt.Sprint(b.Step); len(n) < to-from || len(n) == 1 {
				copy(line[from:], n)
			}
			if b.Onward {
				line[to] = '>'
			}
		}
		p.b.WriteString(strings.TrimRight(string(line), " ") + "\n")
	}
}

// column is how far into the day a time lies.
func column(d *bench.Day, at time.Time, minutes int) int {
	return schedule.Span{From: d.From, To: at}.Minutes() / minutes
}

// grain gives the minutes of a column with which a day fits into so many columns, with one to spare for what goes on.
func grain(day, columns int) int {
	for _, minutes := range []int{1, 2, 3, 5, 6, 10, 12, 15, 20, 30} {
		if day/minutes < columns {
			return minutes
		}
	}
	return 60
}
