package schedule

import "slices"

// day is how many minutes a day has.
const day = 24 * 60

// job is what is to be laid out of a step. Times are minutes from the midnight on which the first day begins.
type job struct {
	tests, active, waiting int
	equipment              []string
	after                  []int // places of earlier jobs that must be over
}

func (j job) hands() int { return j.tests + j.active }

// span is a stretch of minutes, its end excluded.
type span struct{ from, to int }

func (s span) meets(o span) bool { return s.from < o.to && o.from < s.to }

// place is when a job is done. What it occupies is held from the start of its work until it has waited.
type place struct {
	tests, work []span
	wait        span
}

func (p place) hands() []span { return append(slices.Clone(p.tests), p.work...) }

func (p place) held() span {
	if len(p.work) > 0 {
		return span{p.work[0].from, p.wait.to}
	}
	return p.wait
}

func (p place) start() int {
	if hands := p.hands(); len(hands) > 0 {
		return hands[0].from
	}
	return p.wait.from
}

// calendar tells when someone is at the bench.
type calendar struct {
	Options
	weekday int // of the first day
}

// hours gives the working hours of a day, numbered from the first; empty on a day off.
func (c calendar) hours(n int) span {
	begin := n*day + c.Begin
	if !c.Days[(c.weekday+n)%7] {
		return span{begin, begin}
	}
	return span{begin, begin + c.PerDay}
}

// fit gives the earliest minute, from one on, at which so much hands-on work can begin.
func (c calendar) fit(from, minutes int) int {
	for n := from / day; ; n++ {
		h := c.hours(n)
		at := max(from, h.from)
		switch {
		case h.from == h.to:
		case minutes > c.PerDay && from <= h.from, minutes <= c.PerDay && at+minutes <= h.to && at < h.to:
			return at
		}
	}
}

// spans gives the stretches in which so much work is done that begins in working hours, or just when they end, and is broken
// only by nights and days off.
func (c calendar) spans(from, minutes int) (list []span, end int) {
	end = from
	for n := from / day; minutes > 0; n++ {
		h := c.hours(n)
		at := max(from, h.from)
		if took := min(minutes, h.to-at); took > 0 {
			end = at + took
			list = append(list, span{at, end})
			minutes -= took
		}
	}
	return list, end
}

// at gives a job as it would be done from a minute on that fits.
func (c calendar) at(j job, from int) place {
	var p place
	p.tests, from = c.spans(from, j.tests)
	p.work, from = c.spans(from, j.active)
	p.wait = span{from, from + j.waiting}
	return p
}

// lay puts jobs one by one, each at the earliest time that those put before leave it.
func (c calendar) lay(jobs []job) []place {
	var placed []place
	for i, j := range jobs {
		from := 0
		for _, n := range j.after {
			from = max(from, placed[n].wait.to)
		}
		for {
			from = c.fit(from, j.hands())
			p := c.at(j, from)
			later := c.blocked(jobs[:i], placed, j, p)
			if later <= from {
				placed = append(placed, p)
				break
			}
			from = later
		}
	}
	return placed
}

// blocked gives the next minute at which the job might begin since one put before is in the way of its place; 0 when none is.
func (c calendar) blocked(jobs []job, placed []place, j job, p place) (later int) {
	start := p.start()
	for i, o := range placed {
		for _, mine := range p.hands() {
			for _, other := range o.hands() {
				if mine.meets(other) {
					later = max(later, c.past(j, start, mine, other))
				}
			}
		}
		if p.held().meets(o.held()) && share(j.equipment, jobs[i].equipment) {
			later = max(later, c.past(j, start, p.held(), o.held()))
		}
	}
	return later
}

// past gives the earliest start at which a span of the job may begin behind another. Where nights break the job into pieces,
// how far they lie from its start is another matter on each day: then the next minute is tried.
func (c calendar) past(j job, start int, mine, other span) int {
	if j.hands() > c.PerDay {
		return start + 1
	}
	return start + other.to - mine.from
}

func share(a, b []string) bool {
	return slices.ContainsFunc(a, func(s string) bool { return slices.Contains(b, s) })
}
