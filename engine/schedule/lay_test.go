package schedule

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

// monday is a Monday (ISO 8601 week date 2026-W41-1).
var monday = time.Date(2026, 10, 5, 0, 0, 0, 0, time.UTC)

// TestSmallCharts lays small plans out that can be followed by hand. Minutes count from midnight on Monday; work is from 9:00
// (540) to 15:00 (900).
func TestSmallCharts(t *testing.T) {
	const mon, tue, wed, sat, nextMon = 540, day + 540, 2*day + 540, 5*day + 540, 7*day + 540
	for _, tt := range []struct {
		name string
		jobs []job
		want []place // what starts when; see shown
	}{
		{"tests, then work, then waiting", []job{{tests: 20, active: 40, waiting: 60}}, []place{{[]span{{mon, mon + 20}}, []span{{mon + 20, mon + 60}}, span{mon + 60, mon + 120}}}},
		{
			"while one waits, another part is worked on",
			[]job{{active: 30, waiting: 180}, {active: 60}},
			[]place{{nil, []span{{mon, mon + 30}}, span{mon + 30, mon + 210}}, {nil, []span{{mon + 30, mon + 90}}, span{mon + 90, mon + 90}}},
		},
		{
			"the same part waits overnight",
			[]job{{active: 30, waiting: 1440}, {active: 60, after: []int{0}}},
			[]place{{nil, []span{{mon, mon + 30}}, span{mon + 30, mon + 1470}}, {nil, []span{{tue + 30, tue + 90}}, span{tue + 90, tue + 90}}},
		},
		{
			"one press",
			[]job{{active: 30, waiting: 100, equipment: []string{"press"}}, {tests: 10, active: 20, equipment: []string{"lamp", "press"}}},
			[]place{{nil, []span{{mon, mon + 30}}, span{mon + 30, mon + 130}}, {[]span{{mon + 120, mon + 130}}, []span{{mon + 130, mon + 150}}, span{mon + 150, mon + 150}}},
		},
		{
			"what does not fit is left for the next day; a shorter one fills the gap",
			[]job{{active: 300}, {active: 90}, {active: 60}},
			[]place{{nil, []span{{mon, mon + 300}}, span{mon + 300, mon + 300}}, {nil, []span{{tue, tue + 90}}, span{tue + 90, tue + 90}}, {nil, []span{{mon + 300, mon + 360}}, span{mon + 360, mon + 360}}},
		},
		{
			"longer than a day",
			[]job{{active: 10}, {tests: 30, active: 400, equipment: []string{"press"}}, {waiting: 5, equipment: []string{"press"}}},
			[]place{
				{nil, []span{{mon, mon + 10}}, span{mon + 10, mon + 10}},
				{[]span{{tue, tue + 30}}, []span{{tue + 30, tue + 360}, {wed, wed + 70}}, span{wed + 70, wed + 70}},
				{nil, nil, span{mon, mon + 5}},
			},
		},
		{"over the weekend", []job{{active: 10, waiting: 4*day + 1000}, {active: 5, after: []int{0}}}, []place{{nil, []span{{mon, mon + 10}}, span{mon + 10, mon + 4*day + 1010}}, {nil, []span{{nextMon, nextMon + 5}}, span{nextMon + 5, nextMon + 5}}}},
		{"nothing at all", []job{{}}, []place{{nil, nil, span{mon, mon}}}},
	} {
		got := calendar{Usual(monday), int(time.Monday)}.lay(tt.jobs)
		if fmt.Sprint(got) != fmt.Sprint(tt.want) {
			t.Errorf("%s:\n got %v\nwant %v", tt.name, got, tt.want)
		}
	}
	if o := Usual(monday); o.Days[time.Saturday] || sat/day != 5 {
		t.Error("Saturday is a day off")
	}
}

// randomJobs makes a plan: some steps on some of three parts and of three pieces of equipment, in grains of so many minutes.
func randomJobs(r *rand.Rand, most, grain, longest int) []job {
	var jobs []job
	var parts [][]string
	for i := range 1 + r.IntN(most) {
		var mine []string
		j := job{tests: r.IntN(3) / 2 * r.IntN(3) * grain, active: r.IntN(longest) * grain, waiting: r.IntN(2) * r.IntN(3*longest) * grain}
		for n, name := range []string{"press", "tray", "lamp"} {
			if r.IntN(3) == 0 {
				j.equipment = append(j.equipment, name)
			}
			if n == i%3 || r.IntN(6) == 0 {
				mine = append(mine, fmt.Sprint("part-", n))
			}
		}
		for n, other := range parts {
			if share(mine, other) {
				j.after = append(j.after, n)
			}
		}
		jobs, parts = append(jobs, j), append(parts, mine)
	}
	return jobs
}

// randomCalendar makes hours that may be very short, and weeks of one day or more.
func randomCalendar(r *rand.Rand, grain int) calendar {
	o := Options{Start: monday, Begin: r.IntN(10) * 60, PerDay: (1 + r.IntN(8)) * grain * 2}
	o.Days[r.IntN(7)] = true
	for n := range o.Days {
		o.Days[n] = o.Days[n] || r.IntN(3) > 0
	}
	return calendar{o, r.IntN(7)}
}

func ends(places []place) (end int) {
	for _, p := range places {
		end = max(end, p.wait.to)
	}
	return end
}

// oneByOne is the oracle of the upper bound: each job begins when all before it are over, minute by minute.
func oneByOne(c calendar, jobs []job) int {
	now := 0
	for _, j := range jobs {
		for ; ; now++ {
			n := now / day
			begins := now >= n*day+c.Begin && now < n*day+c.Begin+c.PerDay && c.Days[(c.weekday+n)%7]
			if begins && (j.tests+j.active <= n*day+c.Begin+c.PerDay-now || j.tests+j.active > c.PerDay && now == n*day+c.Begin) {
				break
			}
		}
		for left := j.tests + j.active; left > 0; now++ {
			if n := now / day; now >= n*day+c.Begin && now < n*day+c.Begin+c.PerDay && c.Days[(c.weekday+n)%7] {
				left--
			}
		}
		now += j.waiting
	}
	return now
}

// TestCharts holds charts of random plans against what doc.go says, minute by minute.
func TestCharts(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	shorter, broken := 0, 0
	for range 1000 {
		c, jobs := randomCalendar(r, 15), randomJobs(r, 9, 15, 9)
		placed := c.lay(jobs)
		hands, held := map[int]int{}, map[string]map[int]int{}
		for i, p := range placed {
			j := jobs[i]
			minutes, last := map[string]int{}, -1
			take := func(what string, s span) {
				for m := s.from; m < s.to; m++ {
					minutes[what]++
					hour := span{m/day*day + c.Begin, m/day*day + c.Begin + c.PerDay}
					if m < hour.from || m >= hour.to || !c.Days[(c.weekday+m/day)%7] {
						t.Fatalf("%v, hours %v: job %d is worked at out of hours: %v", jobs, c, i, p)
					}
					if by, taken := hands[m]; taken {
						t.Fatalf("%v: two hands wanted by jobs %d and %d: %v", jobs, by, i, placed)
					}
					hands[m] = i
				}
				if last >= 0 && s.from != last {
					broken++
					if j.hands() <= c.PerDay || s.from%day != c.Begin {
						t.Fatalf("%v: job %d is broken: %v", jobs, i, p)
					}
				}
				last = s.to
			}
			for _, s := range p.tests {
				take("tests", s)
			}
			for _, s := range p.work {
				take("work", s)
			}
			if minutes["tests"] != j.tests || minutes["work"] != j.active || p.wait.to-p.wait.from != j.waiting || last >= 0 && p.wait.from != last {
				t.Fatalf("job %v is not done in full, or does not wait at once: %v", j, p)
			}
			from := p.wait.to
			if len(p.work) > 0 {
				from = p.work[0].from
			} else if j.waiting > 0 {
				from = p.wait.from
			}
			for _, e := range j.equipment {
				if held[e] == nil {
					held[e] = map[int]int{}
				}
				for m := from; m < p.wait.to; m++ {
					if by, taken := held[e][m]; taken {
						t.Fatalf("%v: one %s wanted by jobs %d and %d: %v", jobs, e, by, i, placed)
					}
					held[e][m] = i
				}
			}
			for _, n := range j.after {
				if p.start() < placed[n].wait.to {
					t.Fatalf("%v: job %d begins before job %d is over: %v", jobs, i, n, placed)
				}
			}
		}
		slowest := oneByOne(c, jobs)
		if ends(placed) > slowest {
			t.Fatalf("%v, %v: done at %d, one after another at %d", c, jobs, ends(placed), slowest)
		}
		if ends(placed) < slowest {
			shorter++
		}
	}
	t.Logf("%d of 1000 charts are shorter than one step after another; work is broken by a night %d times", shorter, broken)
	if shorter == 0 || broken == 0 {
		t.Error("the plans tried are too easy")
	}
}

// TestEarliest holds that no job could be put earlier than it is, all before it left where they are.
func TestEarliest(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 400 {
		c, jobs := randomCalendar(r, 15), randomJobs(r, 6, 15, 9)
		placed := c.lay(jobs)
		for i, j := range jobs {
			after := 0
			for _, n := range j.after {
				after = max(after, placed[n].wait.to)
			}
			for m := after; m < placed[i].start(); m++ {
				if c.fit(m, j.hands()) == m && c.blocked(jobs[:i], placed[:i], j, c.at(j, m)) == 0 {
					t.Fatalf("%v, %v: job %d could begin at %d, not %d", c, jobs, i, m, placed[i].start())
				}
			}
		}
	}
}

// TestShortest tells how much longer than need be the charts of small plans are. The shortest is found by trying all times at
// which jobs could begin. That a list schedule is at times longer is known; that it is shorter would be a fault.
func TestShortest(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	const grain = 30
	longer, worst, sum, n := 0, 0.0, 0.0, 0
	for range 300 {
		c := randomCalendar(r, grain)
		c.PerDay, c.Begin = 4*grain, 0
		jobs := randomJobs(r, 4, grain, 4)
		got := ends(c.lay(jobs))
		best := shortest(c, jobs, grain, got)
		if got == 0 {
			continue
		}
		n++
		first := c.fit(0, 0)
		gap := float64(got-first)/float64(max(1, best-first)) - 1
		if sum += gap; gap > 0 {
			longer, worst = longer+1, max(worst, gap)
		}
		if best > got {
			t.Fatalf("%v, %v: done at %d, which trying everything did not find (%d)", c, jobs, got, best)
		}
	}
	t.Logf("%d of %d small charts are longer than the shortest: by %.1f %% in the mean of all, %.0f %% at most", longer, n, 100*sum/float64(n), 100*worst)
}

// shortest tries every grain of time at which each job could begin, and gives the earliest end of all, or more than most when
// all end later.
func shortest(c calendar, jobs []job, grain, most int) int {
	best := most + 1
	var try func(done []place)
	try = func(done []place) {
		i := len(done)
		if i == len(jobs) {
			best = min(best, ends(done))
			return
		}
		from := 0
		for _, n := range jobs[i].after {
			from = max(from, done[n].wait.to)
		}
		for m := from; m < best; m += grain {
			if c.fit(m, jobs[i].hands()) != m {
				continue
			}
			p := c.at(jobs[i], m)
			if p.wait.to >= best {
				break
			}
			if c.blocked(jobs[:i], done, jobs[i], p) == 0 {
				try(append(done[:i:i], p))
			}
		}
	}
	try(nil)
	return best
}
