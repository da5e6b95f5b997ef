package ui

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// heardHours is how long a reader takes "8 hours 30 minutes" to be, the greatest
// it may be for "more than …" is not told: more reports that.
func heardHours(t *rapid.T, s string) (h units.Hours, more bool) {
	rest, more := strings.CutPrefix(s, "more than ")
	words := strings.Fields(strings.ReplaceAll(rest, "\u00a0", " "))
	if len(words) == 0 || len(words)%2 != 0 {
		t.Fatalf("%q is no length of time", s)
	}
	for i := 0; i < len(words); i += 2 {
		n, err := strconv.Atoi(words[i])
		in, ok := map[string]float64{"minute": 1. / 60, "hour": 1, "day": 24}[strings.TrimSuffix(words[i+1], "s")]
		if err != nil || !ok {
			t.Fatalf("%q is no length of time", s)
		}
		h += units.Hours(float64(n) * in)
	}
	return h, more
}

// heardClock is the moment a reader takes a clock time to be when it is said at
// from: the next one to come, on the day told if one is; before from where past
// says that it is over.
func heardClock(t *rapid.T, s string, from plan.Moment, past bool) plan.Moment {
	clock, day, _ := strings.Cut(s, " on ")
	m, ok := say.ParseClock(clock)
	if !ok {
		t.Fatalf("%q is no clock time", s)
	}
	at := from.After(units.Hours(float64(int(m)-int(from.Minute())) / 60))
	step := units.Hours(24)
	if past {
		step = -24
	}
	if d := at.Since(from); !past && d < 0 || past && d > 0 {
		at = at.After(step)
	}
	for range 400 {
		_, month, d := at.Date()
		y, _, _ := at.Date()
		date := strconv.Itoa(d) + " " + month.String()
		if day == "" || day == at.Weekday().String() || day == date || day == date+" "+strconv.Itoa(y) {
			return at
		}
		at = at.After(step)
	}
	t.Fatalf("%q is on no day near %s", s, from)
	return at
}

func aPlan() *rapid.Generator[plan.Plan] {
	return rapid.Custom(func(t *rapid.T) plan.Plan {
		starts := plan.At(time.Date(2026, time.Month(rapid.IntRange(1, 12).Draw(t, "month")), rapid.IntRange(1, 31).Draw(t, "day"), 0, rapid.IntRange(0, 1439).Draw(t, "starts"), 0, 0, time.UTC))
		p := plan.New("p", starts)
		for i := range rapid.IntRange(1, 4).Draw(t, "loads") {
			var l load.Load
			if rapid.Bool().Draw(t, "from the catalogue") {
				l = rapid.SampledFrom(load.Catalogue()).Draw(t, "entry").Load()
			} else {
				l = load.Load{Rank: load.Useful, Outlet: load.Outlet(rapid.SampledFrom(load.Outlets).Draw(t, "outlet")), Count: rapid.IntRange(1, 3).Draw(t, "count"),
					Running: units.Watts(rapid.OneOf(rapid.Float64Range(0, 5), rapid.Float64Range(5, 2000)).Draw(t, "watts")),
					Duty:    rapid.Float64Range(0.01, 1).Draw(t, "duty"), PowerFactor: 1, Basis: load.Basis(rapid.SampledFrom(load.Bases).Draw(t, "basis"))}
			}
			l.Name = "thing " + strconv.Itoa(i)
			if rapid.IntRange(0, 3).Draw(t, "hours of use") == 0 {
				l.Use = []load.Window{{From: load.Minute(rapid.IntRange(0, 1439).Draw(t, "from")), To: load.Minute(rapid.IntRange(0, 1439).Draw(t, "to"))}}
			}
			p.Loads = append(p.Loads, l)
		}
		p.Supply.Battery = battery.Battery{Chemistry: rapid.SampledFrom(battery.Chemistries).Draw(t, "chemistry"),
			Capacity: units.WattHours(rapid.OneOf(rapid.Float64Range(1, 1000), rapid.Float64Range(1000, 20000), rapid.Float64Range(5000, 1e6)).Draw(t, "Wh")),
			AgeYears: rapid.Float64Range(0, 10).Draw(t, "years"), Room: units.Celsius(rapid.Float64Range(-20, 40).Draw(t, "room"))}
		if rapid.Bool().Draw(t, "inverter known") {
			p.Supply.Inverter = inverter.Inverter{Continuous: units.Watts(rapid.Float64Range(100, 5000).Draw(t, "continuous"))}
		}
		switch rapid.IntRange(0, 2).Draw(t, "gauge") {
		case 0:
			p.Supply.Gauge = plan.Gauge{Kind: plan.Bars, Bars: rapid.IntRange(2, 20).Draw(t, "bars")}
		case 1:
			p.Supply.Gauge.Kind = plan.NoGauge
		}
		o := &p.Outage
		o.SOC = rapid.OneOf(rapid.Just(1.0), rapid.Float64Range(0.3, 1), rapid.Float64Range(0.05, 1), rapid.SampledFrom([]float64{0, 1e-9, 0.01})).Draw(t, "soc")
		if rapid.Bool().Draw(t, "soc in a range") {
			low := rapid.Float64Range(0, o.SOC).Draw(t, "low")
			o.SOCLow = &low
		}
		o.UnderWay = rapid.Bool().Draw(t, "under way")
		return p
	})
}

// few draws are enough for what is said of the figures.
func sampler() *odds.Sampler { return odds.NewSampler(31, odds.Seed) }

// runnable is a plan whose supply can run something of it.
func runnable() *rapid.Generator[plan.Plan] {
	return aPlan().Filter(func(p plan.Plan) bool { return !outage.NewRig(p).NoneRuns() })
}

// anAnswer thinks about a random plan, seen at some time around its start, its
// end, or long after.
func anAnswer(t *rapid.T) Answer {
	p := runnable().Draw(t, "plan")
	clock := say.Clock{Hour24: rapid.Bool().Draw(t, "24 hours")}
	a := think(p, sampler(), p.Outage.Starts, clock)
	end := float64(min(a.run.CountOn, outage.Horizon))
	since := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(-30, 3000), rapid.Float64Range(0, end), rapid.Float64Range(0, end),
		rapid.Float64Range(end-0.5, end+0.5), rapid.Float64Range(end-13, end-11.5), rapid.Float64Range(end-3, end-1)).Draw(t, "since")
	a.now = p.Outage.Starts.After(units.Hours(since))
	if !p.Outage.UnderWay && rapid.Bool().Draw(t, "before") {
		a.now = p.Outage.Starts.After(-units.Hours(math.Abs(since)))
	}
	return a
}

// rounding, in hours, is what moments are rounded to, half a millisecond, and what
// package say takes for noise of reckoning, 22 microseconds at most.
const rounding = 2e-7

// No figure on the screen is more than the engine's, by clock or by hours, and
// all that is said at one time agrees.
func TestNeverHopeful(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := anAnswer(t)
		from, o := a.from(), a.plan.Outage
		most := a.left(min(a.run.CountOn, outage.Horizon))
		switch {
		case !a.Ready():
			t.Fatal("there is no answer")
		case o.UnderWay && a.now.Since(o.Starts) > 0 && from != a.now, !o.UnderWay && from != o.Starts:
			t.Fatalf("counted from %s at %s", from, a.now)
		case a.Passed() != (most <= 0):
			t.Fatalf("passed: %v with %v h to go", a.Passed(), most)
		}
		said := a.Lead() + "|" + a.Big() + "|" + a.Under() + "|" + a.Range() + "|" + a.Sentence() + "|" + a.Box()
		if slips.MatchString(said) {
			t.Fatal(said)
		}
		lower := "" // as the two lines say it
		switch {
		case a.Passed():
			if o.UnderWay {
				if m := heardClock(t, a.Big(), from, true); m.Since(from) > 0 {
					t.Fatalf("over at %s, seen at %s: %s", m, from, said)
				}
			}
			if likely, ok := strings.CutPrefix(a.Range(), wItMayStill); ok {
				m := heardClock(t, strings.TrimSuffix(likely, "."), from, false)
				if m.Since(from) > a.left(a.run.Likely)+rounding {
					t.Fatalf("it is likely to last until %v h: %s", a.left(a.run.Likely), said)
				}
			}
			if !strings.Contains(a.Sentence(), a.Big()) {
				t.Fatal(said)
			}
			return
		case beyond(a.run.CountOn):
			if h, more := heardHours(t, a.Big()); !more || h > most+rounding {
				t.Fatalf("%v h are known to be left: %s", most, said)
			}
			if !strings.Contains(a.Sentence(), a.Big()) {
				t.Fatal(said)
			}
			return
		case o.UnderWay:
			m := heardClock(t, a.Big(), from, false)
			if d := m.Since(from); d > most+rounding || most-d > max(0.51, most/4) {
				t.Fatalf("%v h are left, %v h are heard: %s", most, d, said)
			}
			lower = strings.TrimSuffix(a.Under(), wFromNow)
			if h, more := heardHours(t, lower); more || from.After(h).Since(m) > 0 {
				t.Fatalf("the hours are beyond the clock time: %s", said)
			}
		default:
			lower = a.Big()
			m := heardClock(t, strings.TrimPrefix(a.Under(), wUntilAbout), from, false)
			if d := m.Since(from); d > most+rounding {
				t.Fatalf("%v h are left, %v h are heard: %s", most, d, said)
			}
		}
		least, more := heardHours(t, lower)
		if more || least > most+rounding {
			t.Fatalf("%v h are left, %v are said: %s", most, least, said)
		}
		// The range begins with the figure to count on, ends with no more than
		// the best, and the likely one is between.
		spread, ok := strings.CutPrefix(a.Range(), wItCouldLast+lower)
		if !ok {
			t.Fatalf("the range does not begin with %q: %s", lower, said)
		}
		if got := a.NineInTen(); got != wNineInTen+lower+"." {
			t.Fatalf("not of the time to plan on: %q; %s", got, said)
		}
		spread, likely, has := strings.Cut(spread, "."+wAbout)
		top := least
		if s, ok := strings.CutPrefix(strings.TrimSuffix(spread, "."), wTo); ok {
			var more bool
			if top, more = heardHours(t, s); top < least || top > a.left(a.run.AtBest)+rounding || more && !beyond(a.run.AtBest) {
				t.Fatalf("best is %v h: %s", a.left(a.run.AtBest), said)
			}
		}
		if has {
			if h, _ := heardHours(t, strings.TrimSuffix(likely, wMostLikely)); h < least || h > top || h > a.left(a.run.Likely)+rounding {
				t.Fatalf("likely is %v h: %s", a.left(a.run.Likely), said)
			}
		}
		if s := a.Sentence(); !strings.Contains(s, a.Big()) || !strings.Contains(s, a.Under()) {
			t.Fatal(said)
		}
	})
}

// The table of marks runs forward in time, ends with the likely end at the
// latest that is in it, and is never later than the course.
func TestMarks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := anAnswer(t)
		last := a.from()
		for _, m := range a.Marks() {
			at := heardClock(t, m.Clock, last, false)
			if at.Since(last) > 24 && !strings.Contains(m.Clock, " on ") {
				t.Fatalf("%q after %s", m.Clock, last)
			}
			last = at
			if m.Gauge == firstUpper(wPlanOnIt) && at.Since(a.from()) > a.left(a.run.CountOn)+rounding {
				t.Fatalf("the time to plan on is %v h off, the table says %s", a.left(a.run.CountOn), m.Clock)
			}
			if at.Since(a.from()) > a.left(max(a.run.Likely, a.middle[len(a.middle)-1].h))+rounding {
				t.Fatalf("%v: after the end", m)
			}
		}
	})
}

func coordinate(t *rapid.T, s string) float64 {
	y, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(y) || math.IsInf(y, 0) {
		t.Fatalf("%q is no coordinate", s)
	}
	return y
}

// The candle: in the picture, labels apart, heights in the order of energy.
func TestCandle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := anAnswer(t)
		last := math.Inf(1)
		for _, share := range []float64{0, 0.1, 0.5, 0.9, 1, 2} {
			y := a.height(units.WattHours(share * float64(a.full)))
			if y > last || y < candleTop || y > candleDish {
				t.Fatalf("%v of a full battery stands at %v, less at %v", share, y, last)
			}
			last = y
		}
		c := a.Candle()
		if c == nil {
			return
		}
		top := a.height(a.leftAt(a.from().Since(a.plan.Outage.Starts)))
		count := coordinate(t, c.CountOn.Y)
		if count < top-0.1 || count > candleDish {
			t.Fatalf("the time to plan on stands at %v, the wax between %v and %v", count, top, candleDish)
		}
		if y, h := coordinate(t, c.Doubt.Y), coordinate(t, c.Doubt.H); h < 0 || math.Abs(y+h-candleDish) > 0.11 {
			t.Fatalf("the doubtful part is %+v", c.Doubt)
		}
		apart := func(what string, labels []Notch, room float64) {
			last := math.Inf(-1)
			for i, n := range labels {
				y := coordinate(t, n.TextY)
				if y < 12 || y > 414 || n.Label == "" {
					t.Fatalf("%s: label %d is %+v", what, i, n)
				}
				if y-last < room-0.11 {
					t.Fatalf("%s: %+v is too near to the one before, at %v", what, n, last)
				}
				last = y
			}
		}
		apart("gauge", c.Gauge, tickRoom)
		apart("clock", c.Hours, tickRoom)
		// The words at the right, from top to bottom: hours, the time to plan on
		// with the words under it, the likely end. Letters are 16 high at least.
		const letters = 16
		words := map[string]float64{"the time to plan on": coordinate(t, c.CountOn.TextY), "the likely end": 386}
		if c.Under != "" {
			words["the words under it"] = coordinate(t, c.Under)
		}
		for _, n := range c.Hours {
			words[n.Label+" among the hours"] = coordinate(t, n.TextY)
		}
		for a, ya := range words {
			for b, yb := range words {
				if a < b && math.Abs(ya-yb) < letters {
					t.Fatalf("%s at %v and %s at %v overlap", a, ya, b, yb)
				}
			}
		}
		for _, n := range c.Notches {
			if y := coordinate(t, n.Y); y < top-0.1 || y > candleDish {
				t.Fatalf("an hour stands at %v", y)
			}
		}
		if slips.MatchString(c.Flame + c.Wax + c.Wick + c.GaugeTicks() + c.HourTicks() + c.CountTick() + c.Likely) {
			t.Fatalf("%+v", c)
		}
		if coordinate(t, strings.Fields(strings.TrimPrefix(c.Flame, "M126 "))[0][:strings.IndexAny(strings.TrimPrefix(c.Flame, "M126 "), "c ")]) < 0 {
			t.Fatalf("the flame is above the picture: %s", c.Flame)
		}
	})
}

// Turning things off and on within a minute, at any time of an outage, never
// adds to what is counted on.
func TestSwitchingGainsNothing(t *testing.T) {
	w := planned(t, new(disk))
	w.act(w.app.PowerOut)
	whole := float64(w.app.answer.run.CountOn)
	start := w.now
	for _, share := range []float64{0.01, 0.2, 0.4, 0.6, 0.8, 0.95} {
		w.now = start.Add(time.Duration(whole * share * float64(time.Hour)))
		w.act(w.onWake)
		a := &w.app.answer
		before := a.left(a.run.CountOn)
		w.act(func() { w.app.Toggle(0) })
		w.act(func() { w.app.Toggle(0) })
		if after := a.left(a.run.CountOn); after > before+rounding {
			t.Errorf("after %v of the time: %.2f h were counted on, %.2f are", share, before, after)
		} else if after < before*0.9-0.1 { // nor is much lost
			t.Errorf("after %v of the time: %.2f h were counted on, only %.2f are", share, before, after)
		}
	}
}

// Moving the reading on to now, with nothing else changed, adds nothing to what
// is counted on, whatever the plan.
func TestReadingCarriedOn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := runnable().Draw(t, "plan")
		p.Outage.UnderWay = true
		some := sampler()
		a := think(p, some, p.Outage.Starts, say.Clock{})
		end := float64(min(a.run.CountOn, outage.Horizon))
		a.now = p.Outage.Starts.After(units.Hours(end * rapid.Float64Range(0, 1.2).Draw(t, "share")))
		left := max(0, a.left(min(a.run.CountOn, outage.Horizon)))
		p.Outage = a.carried(some)
		if o := p.Outage; !(0 <= *o.SOCLow && *o.SOCLow <= o.SOC && o.SOC <= a.plan.Outage.SOC) || o.Starts != a.from() {
			t.Fatalf("carried on: %+v", o)
		}
		if _, err := plan.Decode(p.Encode()); err != nil {
			t.Fatal(err)
		}
		b := think(p, some, a.now, say.Clock{})
		if got := b.run.CountOn; got > left && !beyond(a.run.CountOn) {
			t.Fatalf("%v h of %v were left, carried on %v are", left, end, got)
		}
	})
}

// Beyond what is followed, no more is said than is known, and that grows less.
func TestBeyondTheHorizon(t *testing.T) {
	p := plan.New("p", plan.At(time.Date(2026, 3, 1, 18, 0, 0, 0, time.UTC)))
	p.Loads = []load.Load{{Name: "clock", Rank: load.Useful, Outlet: load.DC, Count: 1, Running: 0.5, Duty: 1, PowerFactor: 1, Basis: load.Measured}}
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1e6, Room: 20}
	p.Outage.UnderWay = true
	a := think(p, sampler(), p.Outage.Starts, say.Clock{})
	for _, c := range []struct {
		days int
		big  string
	}{{0, "90 days"}, {50, "40\u00a0days"}, {89, "24\u00a0hours"}} {
		a.now = p.Outage.Starts.After(units.Hours(c.days * 24))
		if got, want := a.Big(), wMoreThan+c.big; got != want || a.Passed() || a.Under() != "" || a.Range() != "" {
			t.Errorf("after %d days: got %q, want %q; under it %q, %q", c.days, got, want, a.Under(), a.Range())
		}
		if lead := a.Lead(); strings.HasSuffix(lead, "until") {
			t.Errorf("%q %q", lead, a.Big())
		}
	}
	a.now = p.Outage.Starts.After(91 * 24)
	if !a.Passed() || slips.MatchString(a.Big()+a.Under()+a.Range()+a.Sentence()) {
		t.Errorf("after 91 days: %q, %q, %q", a.Big(), a.Under(), a.Range())
	}
}
