package odds

import (
	"math"
	"math/rand/v2"
	"testing"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
)

// ample is a plan of one or several things on an inverter, with a battery that
// outlasts any outage.
func ample(t testing.TB, continuous, surge float64, loads ...load.Load) plan.Plan {
	p := plantest.Cottage(t)
	p.Loads, p.Panels, p.Supply.Inputs, p.Outage.Rules = loads, plan.Panels{}, nil, plan.Rules{}
	p.Supply.Battery.Capacity, p.Outage.Hours = 60000, 24
	p.Supply.Inverter = inverter.Inverter{Continuous: units.Watts(continuous), SurgeW: &surge, IdleW: new(10.0), Efficiency: new(0.9), EfficiencyAtW: new(200.0)}
	return p
}

// within is the share of outages in which things that draw anything between their
// low and high figures, most likely the typical one, ask for no more than a limit,
// W or VA: of 100,000 made by hand, by rejection from the triangle.
func within(loads []load.Load, limit float64) float64 {
	random := rand.New(rand.NewPCG(5, 6))
	const n = 100000
	held := 0
	for range n {
		watts, va := 0.0, 0.0
		for _, l := range loads {
			low, mode, high := *l.Low, float64(l.Running), *l.High
			for {
				x := low + (high-low)*random.Float64()
				of := (x - low) / (mode - low)
				if x > mode {
					of = (high - x) / (high - mode)
				}
				if random.Float64() < of {
					watts, va = watts+x, va+x/l.PowerFactor
					break
				}
			}
		}
		if watts <= limit && va <= limit {
			held++
		}
	}
	return float64(held) / n
}

// Limits are held against what is drawn. Things of the catalogue on the smallest
// inverter that carries what is typical of them are not held in 20 of 20: no more
// often than a made sample of what they draw stays within the limit, and as often
// as it does with a tenth to spare.
func TestLimitsAgainstWhatIsDrawn(t *testing.T) {
	six := []load.Load{}
	for range 6 {
		l := plantest.Catalogued(t, "tv")[0]
		l.Name += string(rune('A' + len(six)))
		l.Rank, l.Running, l.Low, l.High, l.PowerFactor = load.Vital, 95, new(66.5), new(133.0), 1
		six = append(six, l)
	}
	own := load.Load{Name: "Own ventilator", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 180, Low: new(100.0), High: new(250.0), Duty: 1, PowerFactor: 1, Basis: load.Typical}
	for _, c := range []struct {
		loads []load.Load
		limit float64
		most  int // of 20, by the draws above the limit itself
	}{
		{plantest.Catalogued(t, "ventilator"), 200, 9},
		{plantest.Catalogued(t, "oxygen-portable"), 150, 11},
		{plantest.Catalogued(t, "bipap"), 100, 11},
		{plantest.Catalogued(t, "cpap-humidifier"), 150, 17},
		{plantest.Catalogued(t, "suction-pump"), 200, 16},
		{six, 600, 12},
		{[]load.Load{own}, 200, 15},
		{[]load.Load{own}, 278, 20}, // 250 W with a tenth to spare
	} {
		name := c.loads[0].Name
		s := NewSampler(Draws, Seed)
		p := ample(t, c.limit, 3*c.limit, c.loads...)
		e, _ := s.Through(p, nil)
		if got := Twenty(e.Hold()); got > c.most {
			t.Errorf("%s on %v W: %d of 20, at most %d", name, c.limit, got, c.most)
		}
		if most := within(c.loads, c.limit); e.Hold() > most+0.01 {
			t.Errorf("%s on %v W: held in %v, within the limit in %v", name, c.limit, e.Hold(), most)
		}
		// Several err together, which the sample does not.
		if want := within(c.loads, 0.9*c.limit); len(c.loads) == 1 && math.Abs(e.Hold()-want) > 0.02+1.0/Draws {
			t.Errorf("%s on %v W: held in %v, with a tenth to spare in %v", name, c.limit, e.Hold(), want)
		}
		if trips := s.Trips(p); trips != e.Trips || math.Abs(trips+e.Hold()-1) > 1e-9 {
			t.Errorf("%s on %v W: trips in %v and %v, held in %v", name, c.limit, trips, e.Trips, e.Hold())
		}
		// The hours run as if it held.
		if r, free := s.Runtime(p), s.Runtime(ample(t, 10*c.limit, 30*c.limit, c.loads...)); r.CountOn != free.CountOn || r.Likely != free.Likely {
			t.Errorf("%s on %v W: counts on %v h, carried for sure %v h", name, c.limit, r.CountOn, free.CountOn)
		}
	}
}

// What can never start is never on: a concentrator that starts at 1,000 W, and at
// 1,333 VA by its power factor, on a surge of 900 W.
func TestWhatCannotStartIsNeverOn(t *testing.T) {
	concentrator := load.Load{Name: "Own concentrator", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 320, Starting: 1000, Duty: 1, PowerFactor: 0.75, Basis: load.Measured}
	router := load.Load{Name: "Own router", Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 10, Duty: 1, PowerFactor: 0.6, Basis: load.Measured}
	fridge := load.Load{Name: "Own cold box", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 150, Duty: 0.33, CyclesItself: true, Basis: load.Label}
	on := func(l load.Load, off bool, continuous, surge float64) (Ensemble, Runtime) {
		l.Off = off
		p := ample(t, continuous, surge, l, router)
		s := NewSampler(Draws, Seed)
		e, _ := s.Through(p, nil)
		return e, s.Runtime(p)
	}
	for _, c := range []struct {
		name              string
		load              load.Load
		continuous, surge float64
		starts            bool
		counted           bool // in the hours
	}{
		{"beyond the surge", concentrator, 600, 900, false, false},
		{"in volt-amperes", concentrator, 600, 1480, false, false},
		{"within it", concentrator, 600, 1482, true, true},
		{"not told", fridge, 300, 400, false, true},
		{"not told, with room for five times its label", fridge, 300, 855, true, true},
	} {
		e, r := on(c.load, false, c.continuous, c.surge)
		with, without := r.CountOn, units.Hours(0)
		if _, r := on(c.load, true, c.continuous, c.surge); true {
			without = r.CountOn
		}
		if (e.Hold() == 1) != c.starts || (e.Hold() == 0) == c.starts {
			t.Errorf("%s: held in %v", c.name, e.Hold())
		}
		if want := map[bool]units.Hours{false: 24, true: 0}[c.starts]; math.Abs(float64(e.Without[0]-want)) > 1e-9 {
			t.Errorf("%s: without for %v h of 24", c.name, e.Without[0])
		}
		if counted := with != without; counted != c.counted {
			t.Errorf("%s: counts on %v h, with it off %v h", c.name, with, without)
		}
	}
}

// A bigger inverter that idles and loses the same never holds worse, as long as no
// more is plugged in to it: from 760 W on all of it is.
func TestBiggerInverterHoldsNoWorse(t *testing.T) {
	loads := plantest.Catalogued(t, "oxygen-5l", "fridge", "lamp-led", "tv")
	loads[1].Rank = load.Vital
	last, lastAll, rose := 0.0, 0.0, 0
	s := NewSampler(255, Seed)
	for size := 760.0; size < 1700; size += 20 {
		e, _ := s.Through(ample(t, size, 3*size, loads...), nil)
		if e.Hold() < last || e.HoldAll() < lastAll {
			t.Fatalf("%v W: holds in %v and all in %v, a smaller one in %v and %v", size, e.Hold(), e.HoldAll(), last, lastAll)
		}
		if e.Hold() > last {
			rose++
		}
		last, lastAll = e.Hold(), e.HoldAll()
	}
	if last < 0.99 || rose < 5 {
		t.Errorf("holds in %v at last, rose %d times: the test says too little", last, rose)
	}
}
