package bench

import (
	"fmt"
	"time"

	"tideline/engine/schedule"
	"tideline/explain/words"
)

// The measures of a day's strip, in its own units. A letter of the page takes about 6 of them.
const (
	labelWidth = 110
	hoursWidth = 720
	rowHeight  = 22
	top        = 18
	letter     = 7
)

// strip is a day's chart as it is drawn.
type strip struct {
	Width, Height int
	Says          string // in words, for who does not see it
	Hours, Labels []mark
	Bars          []drawnBar
}

type mark struct {
	X, Y int
	Text string
}

type drawnBar struct {
	Kind           Kind
	X, Y, W, End   int
	NumberX, TextY int
	Number         string // "" where it does not fit
	Onward         bool
}

// drawn draws a day. The person's row comes first, then what is occupied and what waits.
func drawn(d *Day) strip {
	s := strip{Width: labelWidth + hoursWidth + 3*letter, Height: top + rowHeight*len(d.Rows), Says: words.ChartText(d.From, len(d.Rows))}
	x := func(at time.Time) int {
		return labelWidth + hoursWidth*schedule.Span{From: d.From, To: at}.Minutes()/d.Minutes()
	}
	last := -letter * 6
	for at := d.From.Truncate(time.Hour); !at.After(d.To); at = at.Add(time.Hour) {
		if here := x(at); !at.Before(d.From) && here-last >= 3*letter {
			s.Hours = append(s.Hours, mark{X: here, Text: words.Clock(at)})
			last = here
		}
	}
	for i, r := range d.Rows {
		y := top + rowHeight*i
		s.Labels = append(s.Labels, mark{Y: y + 12, Text: r.Label})
		for _, b := range r.Bars {
			one := drawnBar{Kind: b.Kind, X: x(b.From), Y: y, W: max(1, x(b.To)-x(b.From)), TextY: y + 12, End: x(b.To) + 2, Onward: b.Onward}
			if n := fmt.Sprint(b.Step); len(n)*letter+2 <= one.W {
				one.Number, one.NumberX = n, one.X+2
			}
			s.Bars = append(s.Bars, one)
		}
	}
	return s
}
