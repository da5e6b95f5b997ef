package ui

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
	"candleclock/ui/errand"
	"candleclock/ui/say"
)

// lookedAt is what the page says of some outages of the cottage's, 72 hours from
// 5pm.
func lookedAt(t testing.TB, got *errand.Outages, change ...func(p *plan.Plan)) *Ahead {
	t.Helper()
	v := &Ahead{plan: plantest.Cottage(t), vital: true}
	for _, c := range change {
		c(&v.plan)
	}
	v.take(got)
	return v
}

// outages are twenty of which the first so many are out for vital things and for
// anything at the hour given.
func outages(vital, all int, h units.Hours) *errand.Outages {
	o := &errand.Outages{}
	o.Hours, o.Draws, o.Without = 72, 20, make([]units.Hours, 5)
	outs := func(n int) (out []units.Hours) {
		for i := range 20 {
			if i < n {
				out = append(out, h)
			} else {
				out = append(out, units.Hours(math.Inf(1)))
			}
		}
		return out
	}
	o.Vital, o.All = outs(vital), outs(all)
	return o
}

func TestChanceIsWary(t *testing.T) {
	for _, c := range []struct {
		failed int
		vital  bool
		want   string
	}{
		{3, true, "In 17 of 20 outages like this the vital things have power all the time."},
		{0, true, "In 20 of 20 outages like this the vital things have power all the time."},
		{20, true, "In none of 20 outages like this do the vital things have power all the time."},
		{3, false, "In 17 of 20 outages like this everything has power all the time."},
		{20, false, "In none of 20 outages like this does everything have power all the time."},
	} {
		v := lookedAt(t, outages(c.failed, c.failed, 30))
		v.vital = c.vital
		if got := v.Chance(); got != c.want {
			t.Errorf("%d of 20 fail: %q, want %q", c.failed, got, c.want)
		}
		if promised := strings.Contains(strings.Join(v.Beside(), " "), "no promise"); promised != (c.failed == 0) {
			t.Errorf("%d of 20 fail: %q", c.failed, v.Beside())
		}
		if n := strings.Count(v.Wax(), "M"); n != 20-c.failed || strings.Count(v.Flames(), "M") != n || strings.Count(v.Stubs(), "M") != c.failed {
			t.Errorf("%d of 20 fail: %d candles burn, %d are burnt down", c.failed, n, strings.Count(v.Stubs(), "M"))
		}
	}
	// One in 511 is enough for one in 20.
	o := outages(0, 0, 30)
	o.Draws = 511
	o.Vital = append([]units.Hours{30}, make([]units.Hours, 510)...)
	for i := range 510 {
		o.Vital[i+1] = units.Hours(math.Inf(1))
	}
	if got := lookedAt(t, o).Chance(); !strings.HasPrefix(got, "In 19 of 20") {
		t.Errorf("one of 511 fails: %q", got)
	}
}

func TestNineTimesInTen(t *testing.T) {
	for _, c := range []struct {
		vital, all int
		want       string
	}{
		{0, 3, "9 times in 10 the vital things have power throughout. 9 times in 10 everything has power for at least 30 hours, until about 11pm on Thursday."},
		{3, 3, "9 times in 10 the vital things have power for at least 30 hours, until about 11pm on Thursday. 9 times in 10 everything has power for at least 30 hours, until about 11pm on Thursday."},
		{0, 2, "9 times in 10 the vital things have power throughout. 9 times in 10 everything has power throughout."},
	} {
		if got := lookedAt(t, outages(c.vital, c.all, 30)).Nine(); strings.ReplaceAll(got, "\u00a0", " ") != c.want {
			t.Errorf("%d and %d fail after 30 hours:\n got %q\nwant %q", c.vital, c.all, got, c.want)
		}
	}
}

// The basis names what charges only where its input is there, and says that
// someone must be awake for what is done by the gauge.
func TestBasisIsPlain(t *testing.T) {
	basis := func(change func(p *plan.Plan)) string {
		return strings.Join(lookedAt(t, outages(3, 3, 30), func(p *plan.Plan) {
			p.Supply.Inputs, p.Outage.Rules = nil, plan.Rules{}
			change(p)
		}).Basis(), " ")
	}
	low := []plan.Refill{{Kind: charge.Car, Below: new(0.3)}}
	hours := []plan.Refill{{Kind: charge.Car, From: new(load.Minute(600)), To: new(load.Minute(660))}}
	socket := []charge.Input{{Kind: charge.Car, Volts: 12, Amps: 8}}
	for _, c := range []struct {
		name        string
		change      func(p *plan.Plan)
		used, awake bool
	}{
		{"no rules", func(*plan.Plan) {}, false, false},
		{"comfort is dropped", func(p *plan.Plan) { p.Outage.ComfortBelow = new(0.4) }, false, true},
		{"a car by the gauge", func(p *plan.Plan) { p.Supply.Inputs, p.Outage.Refills = socket, low }, true, true},
		{"a car in hours", func(p *plan.Plan) { p.Supply.Inputs, p.Outage.Refills = socket, hours }, true, false},
		{"a car without a socket", func(p *plan.Plan) { p.Outage.Refills = low }, false, false},
	} {
		got := basis(c.change)
		if strings.Contains(got, wAheadRefill) != c.used || strings.Contains(got, wAheadAwake) != c.awake {
			t.Errorf("%s: %q", c.name, got)
		}
	}
}

// What is waited for is rounded up, worst first; what is hardly ever without is
// named all the same.
func TestWithoutWorstFirst(t *testing.T) {
	o := outages(3, 3, 30)
	o.Without = []units.Hours{0.01, 3.2, 14.1, 0.05, 7}
	v := lookedAt(t, o)
	var got []string
	for _, r := range v.Without() {
		got = append(got, r.Label+": "+strings.ReplaceAll(r.Value, "\u00a0", " "))
	}
	want := "Router: 15 h, Two lamps: 7 h, Chest freezer: 3 h 30, Breathing mask machine: 5 min"
	if s := strings.Join(got, ", "); s != want {
		t.Errorf("got %q, want %q", s, want)
	}
	if got := v.Never(); got != "Never or hardly ever without: three phones." {
		t.Errorf("never: %q", got)
	}
}

// The table of the chance ends with the first line on which none holds, and
// never behind the outage's end.
func TestCurveRows(t *testing.T) {
	o := outages(0, 0, 30)
	o.Hours = 30.5
	for i := range o.All {
		o.All[i], o.Vital[i] = 1.5, 3.5
	}
	rows := lookedAt(t, o).Curve().Rows
	if n := len(rows); n < 4 || rows[0].Vital != "20" || rows[n-2].Vital == "0" || rows[n-1].Vital != "0" {
		t.Errorf("after 3 hours and a half none holds: %+v", rows)
	}
	for i := range o.All {
		o.Vital[i] = o.Hours
	}
	rows = lookedAt(t, o).Curve().Rows
	if got := rows[len(rows)-1]; strings.ReplaceAll(got.After, "\u00a0", " ") != "30 h" || got.Vital != "20" {
		t.Errorf("the last line is %+v", got)
	}
}

// flat is a course in which the useful goes at 20 hours, all is off from 30 to 40.
func flat() []odds.Stretch {
	var out []odds.Stretch
	for h := range 72 {
		s := odds.Stretch{From: units.Hours(h), To: units.Hours(h + 1), LeftFrom: 500, LeftTo: 500, Out: 50, On: []int{0, 1}, Sun: 20}
		switch {
		case h < 20:
		case h >= 30 && h < 40:
			s.On, s.Without, s.Off, s.LeftFrom, s.LeftTo, s.Out = nil, []int{0, 1}, true, 0, 0, 0
		default:
			s.On, s.Without = []int{0}, []int{1}
		}
		out = append(out, s)
	}
	return out
}

func TestCourseInWords(t *testing.T) {
	p := plantest.Cottage(t)
	c := course{plan: p, clock: say.Clock{}, hours: 72, stretches: flat()}
	v := c.view("A course", "As told.")
	says := strings.ReplaceAll(strings.Join(v.Says, " "), "\u00a0", " ")
	for _, want := range []string{
		"First without power: chest freezer, from about 1pm on Thursday.",
		"The battery is empty for 10 hours in all, first from about 11pm on Thursday.",
		"What is vital is without power for 10 hours.",
	} {
		if !strings.Contains(says, want) {
			t.Errorf("it does not say %q: %q", want, says)
		}
	}
	var changes []string
	for _, m := range v.Changes {
		changes = append(changes, m.When+" "+m.What)
	}
	want := []string{"1pm on Thursday off: chest freezer",
		"11pm on Thursday the battery is empty, off: breathing mask machine",
		"9am on Friday back on: breathing mask machine"}
	if strings.Join(changes, "\n") != strings.Join(want, "\n") {
		t.Errorf("changes:\n%s\nwant\n%s", strings.Join(changes, "\n"), strings.Join(want, "\n"))
	}
	if n := strings.Count(v.Lacks, "M"); n != 2 {
		t.Errorf("%d broken lines, want one for each thing that goes without: %s", n, v.Lacks)
	}
	for _, r := range v.Rows {
		if r.When == "" || r.Left == "" || r.In == "" || r.Out == "" {
			t.Errorf("a line of the table: %+v", r)
		}
	}
	if v.Ends != "" {
		t.Errorf("it comes back, and ends %q", v.Ends)
	}
	// One in which nothing comes back.
	c.stretches[29].LeftTo = 0
	for i := 30; i < 72; i++ {
		c.stretches[i] = odds.Stretch{From: units.Hours(i), To: units.Hours(i + 1), Without: []int{0, 1}, Off: true}
	}
	v = c.view("A course", "As told.")
	if last := v.Rows[len(v.Rows)-1]; last.Left != "0" || v.Rows[len(v.Rows)-2].Left == "0" || v.Ends != wCourseEnds+"11pm on Thursday." {
		t.Errorf("it ends with %+v, %q", last, v.Ends)
	}
	c.stretches[71].Sun = 5
	if v = c.view("A course", "As told."); v.Ends != "" {
		t.Errorf("the sun comes back, and it ends %q", v.Ends)
	}
	// One in which nothing happens.
	for i := range c.stretches {
		c.stretches[i] = odds.Stretch{From: units.Hours(i), To: units.Hours(i + 1), LeftFrom: 500 - units.WattHours(i), LeftTo: 499 - units.WattHours(i), On: []int{0, 1}}
	}
	v = c.view("A course", "As told.")
	if says := strings.Join(v.Says, " "); !strings.Contains(says, "Nothing is ever without power. The least left is 428") || len(v.Changes) > 0 || v.Lacks != "" {
		t.Errorf("nothing happens: %q, %v", says, v.Changes)
	}
}

// Nights come and go with the sun of the place.
func TestNights(t *testing.T) {
	p := plantest.Cottage(t)
	c := course{plan: p, clock: say.Clock{}, hours: 72, stretches: flat()}
	// From 5pm in January, when the sun has set at Halifax: four nights, the last
	// one cut off by the end at 5pm.
	if got := strings.Count(c.nights(), "M"); got < 6 || got > 8 {
		t.Errorf("%d halves of nights in three days: %s", got, c.nights())
	}
	far := 78.2
	c.plan.Place.Lat, c.plan.Place.Offset = &far, nil
	if got, want := c.nights(), "M6 22H322V102H6ZM6 124H322V164H6Z"; got != want {
		t.Errorf("in the polar night: %s, want %s", got, want)
	}
}

var coordinates = regexp.MustCompile(`-?[0-9]+(\.[0-9]+)?`)

// Whatever the plan, the pictures can be drawn: vugu takes no attribute of 16 kB.
func TestPicturesAreShort(t *testing.T) {
	const most = 16 << 10
	rapid.Check(t, func(rt *rapid.T) {
		p := plantest.Any(rt)
		p.Outage.Hours = units.Hours(rapid.SampledFrom([]float64{0.5, 7, 72, 700, float64(outage.Horizon)}).Draw(rt, "hours"))
		p.Outage.SOC = 1
		if !p.HasSupply() || len(p.Loads) == 0 {
			return
		}
		got, _ := errand.Follow(p, odds.NewSampler(3, odds.Seed), nil)
		v := &Ahead{plan: p}
		for _, l := range p.Loads {
			v.vital = v.vital || l.Rank == load.Vital && !l.Off
		}
		v.take(got)
		paths := []string{v.curve.Vital, v.curve.All, v.curve.Axes, v.Wax(), v.Flames(), v.Stubs()}
		for _, c := range v.Courses() {
			paths = append(paths, c.Night, c.Left, c.In, c.Out, c.Has, c.Lacks, c.Axes, c.Legend)
			if len(c.Rows) > 16 || len(c.Changes) > mostChanges+1 {
				rt.Errorf("%d lines and %d changes", len(c.Rows), len(c.Changes))
			}
		}
		for _, path := range paths {
			if len(path) >= most || slips.MatchString(path) {
				rt.Fatalf("a path of %d letters: %.80s", len(path), path)
			}
			for _, n := range coordinates.FindAllString(path, -1) {
				if x, err := strconv.ParseFloat(n, 64); err != nil || math.Abs(x) > 400 {
					rt.Errorf("%s is off the picture: %.80s", n, path)
				}
			}
		}
	})
}
