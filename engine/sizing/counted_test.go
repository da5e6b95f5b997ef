package sizing

import (
	"math"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/start"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// steady30 is a measured mains load of 30 W on a new battery of 1024 Wh, of whose
// inverter nothing is known: what is counted on is 16 h, by hand 1024 Wh · 0.9 and
// a little over 30 W, 15 W of idle draw and more, and what the inverter loses.
func steady30() plan.Plan {
	p := plan.New("Test", plan.At(time.Date(2026, 1, 14, 18, 0, 0, 0, time.UTC)))
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1024, Room: 20}
	p.Loads = []load.Load{{Name: "Pump", Rank: load.Vital, Outlet: load.AC, Running: 30, Duty: 1, PowerFactor: 1, Basis: load.Measured}}
	return p
}

func TestUnknownInverterAsElsewhere(t *testing.T) {
	p := steady30()
	for hours, enough := range map[units.Hours]bool{12: true, 16: true, 16.3: false, 22: false, 24: false, 60: false} {
		w := vital(p, hours)
		f := front(t, p, w, odds.Draws)
		if got := f.With != nil && f.With.Panels == 0; got != enough || judged(t, p, w, odds.Draws)[0].Meets != enough {
			t.Errorf("%v h: the plan's own battery does: %v, want %v as it is judged", hours, got, enough)
		}
		q := p
		for step, want := range map[int]bool{0: true, -1: false} {
			q.Supply.Battery.Capacity = units.WattHours(steps[stepUp(float64(f.Points[0].Battery))+step])
			q.Supply.Inverter = p.Supply.Inverter
			if q.Supply.Battery.Capacity > chosen {
				q.Supply.Inverter = inverter.Inverter{Continuous: f.Inverter, IdleW: new(30.0), EfficiencyAtW: new(1000.0)}
			}
			if on := odds.NewSampler(odds.Draws, odds.Seed).Runtime(q).CountOn; want && on < hours || !want && on >= hours && q.Supply.Battery.Capacity <= chosen {
				t.Errorf("%v h: %v Wh of %v last %v h", hours, q.Supply.Battery.Capacity, f.Points, on)
			}
		}
	}
}

// Whatever is told of an inverter but its power: a battery of the front is enough
// as every other page counts, and so is the plan's own.
func TestUnknownInverterIsNeverHopeful(t *testing.T) {
	said := 0
	rapid.Check(t, func(t *rapid.T) {
		p := plantest.Any(t)
		p.Supply.Inverter.Continuous, p.Outage.SOC, p.Outage.Confidence = 0, 1, 0.9
		w := WishOf(p, load.Comfort)
		w.Hours = units.Hours(rapid.Float64Range(0.5, 100).Draw(t, "hours"))
		draws := rapid.IntRange(5, 50).Draw(t, "draws")
		f, _ := NewFront(p, w, draws, odds.Seed, nil)
		if f.Is(TooWeak) || f.Is(Flat) || f.Is(NothingOn) {
			return // another inverter, or no figures
		}
		// as is whether the supply with a battery carries and starts it all.
		as := func(size units.WattHours) (plan.Plan, bool) {
			q := p
			q.Supply.Battery.Capacity = size
			return q, len(unmet(q)) == 0 && len(start.Order(q.Loads, q.Supply.UsualInverter().Limits()).Never) == 0 &&
				odds.NewSampler(draws, odds.Seed).Trips(q) == 0
		}
		for _, pt := range f.Points {
			q, carried := as(pt.Battery)
			if pt.Battery <= max(chosen, p.Supply.Battery.Capacity) {
				if on := odds.NewSampler(draws, odds.Seed).Runtime(q).CountOn; carried && on < w.Hours {
					t.Fatalf("%+v for %v h, counted on elsewhere are %v h", pt, w.Hours, on)
				}
				continue
			}
			// A larger one than the plan's own has what the front tells of, and is as
			// uncertain as one of which nothing is known.
			inv, _ := inverterFor(p, WishOf(p, load.Comfort), odds.NewSampler(51, odds.Seed))
			known := q
			known.Supply.Inverter = inv.beside(pt.Battery)
			rig, failed := outage.NewRig(known), 0
			odds.NewSampler(draws, odds.Seed).Cases(q, func(c outage.Case) {
				if rig.Run(c, w.Hours, nil).Empty < w.Hours {
					failed++
				}
			})
			if pt.Panels == 0 && (failed > w.spared(draws) || rig.Box(1) < w.Hours) {
				t.Fatalf("%+v for %v h: %d of %d draws don't last, the box figure is %v h", pt, w.Hours, failed, draws, rig.Box(1))
			}
		}
		if _, carried := as(p.Supply.Battery.Capacity); carried {
			v, _ := Judge(p, w, draws, odds.Seed, nil)
			if (f.With != nil) != v[0].Meets {
				t.Fatalf("the own: %+v in the front, judged %+v", f.With, v[0])
			}
			said++
		}
	})
	if said == 0 {
		t.Error("the test says nothing")
	}
}

// With an inverter that grows with the battery, a smaller battery in the sun may
// do where a bigger one does not. A point is the first step that does.
func TestUnknownInverterAgainstEveryStep(t *testing.T) {
	const draws = 21
	p := plantest.Cottage(t)
	p.Outage.Starts = plan.At(time.Date(2026, 4, 15, 17, 0, 0, 0, time.UTC))
	p.Supply.Inverter = inverter.Inverter{}
	p.Supply.Battery.Capacity = 50000 // up to it the inverter grows
	falls := false
	for _, hours := range []units.Hours{30, 60, 200} {
		w := vital(p, hours)
		f := front(t, p, w, draws)
		enough := drawByDraw(w.of(p), draws)
		if len(f.Points) < 4 {
			t.Fatalf("%v h: %+v: the test says too little", hours, f.Points)
		}
		for _, pt := range f.Points {
			for i, step := range steps {
				got := enough(units.WattHours(step), pt.Panels)
				if want := step == float64(pt.Battery); got != want && step <= float64(pt.Battery) {
					t.Errorf("%v h: %v W with %v Wh: %v, want from %v Wh on", hours, pt.Panels, step, got, pt.Battery)
				}
				falls = falls || !got && i > stepUp(float64(pt.Battery))
			}
		}
	}
	if !falls {
		t.Error("a bigger battery was never worse: the test says too little")
	}
}

// What the usual one would not carry hangs on a stronger one, which draws no less
// by itself: by hand, it starts 1800 W with a tenth to spare; the heater's 1500 W
// are carried beside 3000 Wh at the least, with 45 W at rest and 0.85 at 1500 W.
func TestStrongerThanUsual(t *testing.T) {
	p := steady30()
	p.Loads[0].Running, p.Loads[0].Starting = 1500, 1800
	p.Supply.Battery.Capacity = 50000
	c, beyond := inverterFor(p, WishOf(p, load.Comfort), odds.NewSampler(51, odds.Seed))
	if len(beyond) > 0 || c.carries() != 2000 {
		t.Fatalf("%+v, beyond %v", c, beyond)
	}
	for size, want := range map[units.WattHours][3]float64{
		10: {45, 1500, 2000}, 1000: {45, 1500, 2000}, 3000: {45, 1500, 2000}, 3400: {51, 1700, 2000}, 5000: {75, 2500, 2500}, 50000: {100, 5000, 5000},
	} {
		v := c.beside(size)
		if at := v.Point(); math.Abs(float64(v.Idle())-want[0]) > 1e-9 || float64(at.At) != want[1] || at.Efficiency != 0.85 || float64(v.Continuous) != want[2] {
			t.Errorf("%v Wh: %v W at rest, %+v, carries %v W, want %v", size, v.Idle(), at, v.Continuous, want)
		}
	}
	// Beyond 2000 Wh and the household's own, none is larger than the loads need.
	p.Supply.Battery.Capacity = 3200
	c, _ = inverterFor(p, WishOf(p, load.Comfort), odds.NewSampler(51, odds.Seed))
	for size, want := range map[units.WattHours]float64{1000: 45, 3100: 46.5, 3200: 48, 50000: 48} {
		if got := float64(c.beside(size).Idle()); math.Abs(got-want) > 1e-9 {
			t.Errorf("%v Wh where one has 3200: %v W at rest, want %v", size, got, want)
		}
	}
	p.Loads[0].Running, p.Loads[0].Starting = 18000, 0
	if c, _ = inverterFor(p, WishOf(p, load.Comfort), odds.NewSampler(51, odds.Seed)); c.beside(1000).Idle() != 270 || c.beside(1e6).Point().At != 9000 {
		t.Errorf("for 18,000 W: %+v", c.beside(1000))
	}
	// What is told counts.
	p = steady30()
	p.Supply.Inverter = inverter.Inverter{IdleW: new(3.0), Efficiency: new(0.93), EfficiencyAtW: new(200.0)}
	c, _ = inverterFor(p, WishOf(p, load.Comfort), odds.NewSampler(51, odds.Seed))
	if v := c.beside(5000); v.Idle() != 3 || v.Point() != (inverter.Point{At: 200, Efficiency: 0.93}) {
		t.Errorf("told, but counted with %+v", v)
	}
}

// The most at once goes by the schedules, and apparent power counts where the
// inverter's is not told.
func TestAtOnce(t *testing.T) {
	l := func(w units.Watts, from, to load.Minute) load.Load {
		return load.Load{Outlet: load.AC, Running: w, Duty: 1, PowerFactor: 0.5, Use: []load.Window{{From: from, To: to}}}
	}
	loads := []load.Load{l(100, 600, 700), l(300, 650, 800), l(350, 1400, 20), l(1000, 650, 660), l(900, 0, 0)}
	loads[3].Off, loads[4].Outlet = true, load.DC
	if w, va := atOnce(loads, false), atOnce(loads, true); w != 400 || va != 800 {
		t.Errorf("%v W, %v VA at once, want 400 and 800", w, va)
	}
}
