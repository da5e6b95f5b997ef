package sizing

import (
	"math"
	"slices"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
	"candleclock/engine/yield"

	"pgregory.net/rapid"
)

// front is a front that nothing stops.
func front(t testing.TB, p plan.Plan, w Wish, draws int) Front {
	t.Helper()
	f, whole := NewFront(p, w, draws, odds.Seed, nil)
	if !whole {
		t.Fatal("stopped")
	}
	return f
}

func vital(p plan.Plan, h units.Hours) Wish {
	w := WishOf(p, load.Vital)
	w.Hours = h
	return w
}

// certain is a plan of one DC load that is known exactly, on a battery that loses
// nothing and of which only the capacity is uncertain; without a place.
func certain(capacity units.WattHours, running units.Watts) plan.Plan {
	p := plan.New("Test", plan.At(time.Date(2026, 4, 14, 12, 0, 0, 0, time.UTC)))
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: capacity, Room: 40,
		Cutoff: new(0.0), SelfDischarge: new(0.0), Peukert: new(1.0)}
	p.Supply.DCEfficiency = 1
	w := float64(running)
	p.Loads = []load.Load{{Name: "Router", Rank: load.Vital, Outlet: load.DC, Running: running, Duty: 1, PowerFactor: 1,
		Basis: load.Typical, Low: &w, High: &w}}
	return p
}

// Without sun the battery is the load's energy over the share of the label that
// all but the spared draws give. That share is spread in a triangle from 0.90
// over 0.97 to 1 (package odds), a draw in the middle of each equal part:
// its quantile u is 0.90 + √(u·0.10·0.07) below 0.97.
func TestSmallestBatteryByHand(t *testing.T) {
	for _, c := range []struct {
		running    units.Watts
		hours      units.Hours
		confidence float64
	}{{10, 24, 0.9}, {37, 72, 0.9}, {8, 336, 0.5}, {300, 5, 0.99}, {1, 2, 0.8}} {
		p := certain(500, c.running)
		const draws = 511
		u := (math.Floor((1-c.confidence)*draws) + 0.5) / draws
		share := 0.90 + math.Sqrt(u*0.10*0.07)
		want := steps[stepUp(float64(c.running)*float64(c.hours)/share)]
		f := front(t, p, Wish{Hours: c.hours, Confidence: c.confidence, Rank: load.Vital}, draws)
		if len(f.Points) != 1 || f.Points[0] != (Point{0, units.WattHours(want)}) || !f.Is(NoPlace) || f.Inverter != 0 {
			t.Errorf("%+v: got %+v, want %v Wh without panels", c, f, want)
		}
		// The plan's own battery does as it is, or there is no way.
		if got := f.With != nil; got != (500*share >= float64(c.running)*float64(c.hours)) {
			t.Errorf("%+v: with 500 Wh %+v", c, f.With)
		}
	}
}

// A label's watts are an upper bound, so that with confidence a half some 800 Wh
// would do for 10 W over 100 hours; yet without sun the box figure, 1000 Wh, is
// what counts, and it is just enough. What a car brings by the clock, 120 W for
// four hours of each day, leaves 20 hours to the battery and none to the box.
func TestBoxBoundsTheFront(t *testing.T) {
	p := certain(500, 10)
	p.Loads[0].Basis, p.Loads[0].Low, p.Loads[0].High = load.Label, nil, nil
	w := Wish{Hours: 100, Confidence: 0.5, Rank: load.Vital}
	if f := front(t, p, w, 511); len(f.Points) != 1 || f.Points[0].Battery != 1000 {
		t.Errorf("got %+v, want 1000 Wh", f.Points)
	}
	p = certain(500, 10)
	p.Supply.Inputs = []charge.Input{{Kind: charge.Car, Volts: 12, Amps: 10, Fuse: 20}}
	p.Outage.Refills = []plan.Refill{{Kind: charge.Car, From: new(load.Minute(600)), To: new(load.Minute(840))}}
	if f := front(t, p, w, 511); len(f.Points) != 1 || f.Points[0].Battery < 200 || f.Points[0].Battery > 240 {
		t.Errorf("with the car %+v, want 200 Wh and what is lost", f.Points)
	}
}

// drawByDraw tells of a battery with panels whether it is enough for a plan, by
// each of so many draws on its own; a tenth may fail.
func drawByDraw(q plan.Plan, draws int) func(units.WattHours, units.Watts) bool {
	y := yield.Of(anyPanels(q))
	return func(size units.WattHours, panels units.Watts) bool {
		q.Supply.Battery.Capacity = size
		rig := outage.NewRig(q)
		failed := 0
		odds.NewSampler(draws, odds.Seed).Each(q, y, func(_ int, c outage.Case) bool {
			for i := range c.Sun {
				c.Sun[i] *= panels / y.Best.Array
			}
			o := rig.Run(c, q.Outage.Hours, nil)
			if o.Empty < q.Outage.Hours || o.Balance.Sun == 0 && rig.Box(q.Outage.SOC) < q.Outage.Hours {
				failed++
			}
			return true
		})
		return failed <= draws/10
	}
}

// Each point is the first step that is enough, as each draw on its own says at
// every step; and so are the panels for the plan's own battery.
func TestFrontAgainstEveryStep(t *testing.T) {
	const draws = 21
	p := plantest.Cottage(t)
	p.Outage.Starts = plan.At(time.Date(2026, 4, 15, 17, 0, 0, 0, time.UTC))
	w := vital(p, 60)
	f := front(t, p, w, draws)
	enough := drawByDraw(w.of(p), draws)
	if len(f.Points) < 6 {
		t.Fatalf("%+v: the test says too little", f.Points)
	}
	for _, pt := range f.Points {
		for _, step := range steps {
			if got := enough(units.WattHours(step), pt.Panels); got != (step >= float64(pt.Battery)) {
				t.Errorf("%v W with %v Wh: %v, want from %v Wh on", pt.Panels, step, got, pt.Battery)
			}
		}
	}
	if f.With == nil {
		t.Fatal("no panels for the plan's own battery")
	}
	for _, step := range steps[:stepUp(panelsMost)+1] {
		if got := enough(f.With.Battery, units.Watts(step)); got != (step >= float64(f.With.Panels)) {
			t.Errorf("%v Wh with %v W: %v, want from %v W on", f.With.Battery, step, got, f.With.Panels)
		}
	}
}

// What the other pages count on agrees: a battery of the front reaches the
// wished hours, the next smaller one doesn't.
func TestFrontAgreesWithCountOn(t *testing.T) {
	p := plantest.Cottage(t)
	w := WishOf(p, load.Comfort)
	w.Hours = 30
	f := front(t, p, w, odds.Draws)
	p.Outage.Hours = w.Hours
	s := odds.NewSampler(odds.Draws, odds.Seed)
	for _, battery := range []units.WattHours{f.Points[0].Battery, units.WattHours(steps[stepUp(float64(f.Points[0].Battery))-1])} {
		p.Supply.Battery.Capacity = battery
		if got := s.Runtime(p).CountOn; (got >= w.Hours) != (battery == f.Points[0].Battery) {
			t.Errorf("%v Wh last %v h", battery, got)
		}
	}
	// The plan's own panels are among the sizes, and its input takes them.
	own := slices.IndexFunc(f.Points, func(pt Point) bool { return pt.Panels == 200 })
	if own < 0 {
		t.Fatalf("no point for the plan's 200 W: %+v", f.Points)
	}
	p.Supply.Battery.Capacity = f.Points[own].Battery
	if got := s.WithSun(p, yield.Of(p)).CountOn; got < w.Hours {
		t.Errorf("with 200 W %v Wh last %v h", f.Points[own].Battery, got)
	}
}

// More panels, a smaller battery: no point is as good as another in one and
// better in the other. A longer or a surer wish never takes less.
func TestFrontIsInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.Any(t)
		p.Supply.Inverter.Continuous, p.Supply.Inverter.ContinuousVA, p.Supply.Inverter.SurgeW = 0, nil, nil
		p.Place.Lat, p.Place.Lon = new(rapid.Float64Range(-60, 60).Draw(t, "lat")), new(10.0)
		p.Outage.SOC = 1
		w := Wish{Hours: units.Hours(rapid.Float64Range(1, 100).Draw(t, "hours")),
			Confidence: rapid.Float64Range(0.5, 0.95).Draw(t, "confidence"), Rank: load.Comfort}
		draws := rapid.IntRange(5, 50).Draw(t, "draws")
		f, _ := NewFront(p, w, draws, odds.Seed, nil)
		for i, pt := range f.Points[min(1, len(f.Points)):] {
			if before := f.Points[i]; pt.Panels <= before.Panels || pt.Battery >= before.Battery {
				t.Fatalf("%+v after %+v", pt, before)
			}
		}
		more := w
		more.Hours *= 1.3
		more.Confidence += 0.04
		g, _ := NewFront(p, more, draws, odds.Seed, nil)
		for _, pt := range g.Points {
			for _, weaker := range f.Points {
				if weaker.Panels == pt.Panels && weaker.Battery > pt.Battery {
					t.Fatalf("%+v is enough for %+v, %+v for %+v", pt, more, weaker, w)
				}
			}
		}
		if f.With != nil && f.With.Panels == 0 && len(f.Points) > 0 && f.Points[0].Panels == 0 && f.Points[0].Battery > units.WattHours(steps[stepUp(float64(f.With.Battery))]) {
			t.Fatalf("%+v is enough, and so is %+v at least", *f.With, f.Points[0])
		}
	})
}

func TestWhyNot(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(p *plan.Plan)
		why    Why
		points bool
	}{
		{"nothing on", func(p *plan.Plan) { p.Loads[0].Off = true }, NothingOn, false},
		{"a load of no watts", func(p *plan.Plan) { p.Loads[0].Running = 0 }, NothingOn, false},
		{"an inverter of 20 W", func(p *plan.Plan) { p.Supply.Inverter.Continuous = 20 }, TooWeak, true},
		{"empty", func(p *plan.Plan) { p.Outage.SOC = 0.05 }, Flat, false},
		{"nowhere", func(p *plan.Plan) { p.Place.Lat = nil }, NoPlace, true},
		{"a polar night", func(p *plan.Plan) { p.Place.Lat = new(80.0) }, NoSun, true},
		{"frost", func(p *plan.Plan) { p.Supply.Battery.Room = -5 }, TooCold, true},
		{"more than a plan can hold", func(p *plan.Plan) {
			p.Loads[0].Use, p.Loads[0].Running, p.Supply.Inverter = nil, 18000, inverter.Inverter{}
		}, NoneEnough, false},
	} {
		p := plantest.Cottage(t)
		w := vital(p, 300)
		c.change(&p)
		f := front(t, p, w, 21)
		if !f.Is(c.why) || (len(f.Points) > 0) != c.points {
			t.Errorf("%s: %+v", c.name, f)
		}
		if weak := len(f.Beyond) == 1 && f.Beyond[0] == 0; weak != (c.why == TooWeak) || f.Is(TooWeak) != weak {
			t.Errorf("%s: can't carry %v, %v", c.name, f.Beyond, f.Why)
		}
	}
}

// Without a supply a new LFP battery and an inverter that carries and starts
// all are sized; an outage under way is prepared for with a full battery.
func TestFrontWithoutSupply(t *testing.T) {
	p := plantest.Cottage(t)
	p.Supply = plan.New("", p.Outage.Starts).Supply
	p.Outage.UnderWay, p.Outage.SOC = true, 0.1
	f := front(t, p, WishOf(p, load.Comfort), 51)
	// The freezer's start, 560 W by a power factor of 0.7, beside the mask machine
	// at its most, and a tenth to spare.
	if f.Inverter != units.Watts(steps[stepUp((560/0.7+32*1.03)/0.9)]) || len(f.Points) < 3 || f.With != nil || f.Points[0].Battery < 3000 {
		t.Errorf("%+v", f)
	}
}

func TestFrontTellsAndStops(t *testing.T) {
	p := plantest.Cottage(t)
	calls, last := 0, 0
	_, whole := NewFront(p, vital(p, 72), 101, odds.Seed, func(done, all int) bool {
		if done < last || done > all || all < 3 {
			t.Errorf("%d of %d after %d", done, all, last)
		}
		last = done
		calls++
		return true
	})
	// Some ten sizes of panels ask two or three things of each draw, and tell of
	// every 64.
	if !whole || calls < 20 || calls > 10+10*3*101/64 {
		t.Errorf("told %d times, whole %v", calls, whole)
	}
	for _, stop := range []int{1, 2, calls / 2, calls} {
		n := 0
		if _, whole := NewFront(p, vital(p, 72), 101, odds.Seed, func(int, int) bool { n++; return n < stop }); whole || n != stop {
			t.Errorf("stopped at call %d: whole %v after %d calls", stop, whole, n)
		}
	}
}

// As a load at noon grows, so do the panels for the plan's own battery, up to
// the largest; what those don't carry none do.
func TestLargestPanels(t *testing.T) {
	p := plantest.Cottage(t)
	p.Outage.Starts = plan.At(time.Date(2026, 4, 15, 17, 0, 0, 0, time.UTC))
	p.Supply.Inverter = inverter.Inverter{}
	p.Loads = p.Loads[:1]
	p.Loads[0].Outlet, p.Loads[0].Use = load.DC, []load.Window{{From: 11 * 60, To: 13 * 60}}
	with := func(running units.Watts) *Point {
		p.Loads[0].Running = running
		return front(t, p, vital(p, 60), 21).With
	}
	low, high := units.Watts(1), units.Watts(20000)
	most := units.Watts(0)
	for range 30 {
		mid := (low + high) / 2
		if w := with(mid); w != nil {
			low, most = mid, w.Panels
		} else {
			high = mid
		}
	}
	if most != panelsMost {
		t.Errorf("the greatest load, %v W, asks for %v W, want %v", low, most, panelsMost)
	}
}

// The panels are of the plan's kind: those that lose more to the cells' warmth
// must be more. Without panels it does not matter what their label says.
func TestPanelsOfThePlansKind(t *testing.T) {
	p := spring(100, 50)
	watts := func(count int, percent float64) units.Watts {
		p.Panels.Count, p.Panels.Label.PmaxPct = count, new(percent)
		return Enough(p, yield.Of(anyPanels(p)), 4).WattsUsual
	}
	if good, poor := watts(2, -0.2), watts(2, -0.6); poor <= good {
		t.Errorf("at -0.6 %% for each degree %v W, at -0.2 %% %v W", poor, good)
	}
	if one, other := watts(0, -0.2), watts(0, -0.6); one != other {
		t.Errorf("without panels %v W or %v W", one, other)
	}
}

func TestSteps(t *testing.T) {
	for i, s := range steps[1:] {
		if r := s / steps[i]; r <= 1 || r > 1.1+1e-12 {
			t.Errorf("%v after %v", s, steps[i])
		}
	}
	for size, want := range map[float64]float64{0: 10, 10: 10, 10.1: 11, 999: 1000, 1000: 1000, 1001: 1100, 4810: 5000, 2e6: 1e6} {
		if got := steps[stepUp(size)]; got != want {
			t.Errorf("%v is told as %v, want %v", size, got, want)
		}
	}
}

func BenchmarkFront(b *testing.B) {
	p := plantest.Cottage(b)
	for b.Loop() {
		front(b, p, vital(p, 336), odds.Draws)
	}
}

// Nine sizes of panels rise to what carries the days that count, rounded up to a
// size, each √2 times the one before but for rounding.
func TestPanelSizes(t *testing.T) {
	p := plantest.Cottage(t)
	p.Panels.Count, p.Panels.Second.Count = 0, 0
	sizes, y, _ := panelSizes(p)
	_, month, _ := p.Outage.Starts.Date()
	days := Enough(p, y, int(month))
	if top := float64(max(days.WattsPoor, days.WattsUsual)); len(sizes) != 10 || sizes[0] != 0 || sizes[9] != units.Watts(steps[stepUp(top)]) {
		t.Fatalf("got %v, want none and nine up to %v W", sizes, top)
	}
	for i := 2; i < len(sizes); i++ {
		const grid = 1.1 // the most that a size is rounded up by
		if times := float64(sizes[i] / sizes[i-1]); times < math.Sqrt2/grid || times > math.Sqrt2*grid {
			t.Errorf("%v W after %v W", sizes[i], sizes[i-1])
		}
	}
}
