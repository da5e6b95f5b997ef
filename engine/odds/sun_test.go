package odds

import (
	"math"
	"slices"
	"testing"
	"time"

	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
	"candleclock/engine/yield"

	"pgregory.net/rapid"
)

// sunny is the plan with panels of a power, at a place and in a month.
func sunny(p plan.Plan, pmax units.Watts, lat float64, month time.Month) plan.Plan {
	p.Place.Lat, p.Place.Lon = new(lat), new(10.0)
	p.Outage.Starts = plan.At(time.Date(2026, month, 15, int(p.Outage.Starts.Minute())/60, 0, 0, 0, time.UTC))
	p.Panels = plan.Panels{Mount: plan.Leaned, PanelSet: plan.PanelSet{Count: 1, Label: panel.Label{Pmax: pmax, Voc: 24}}}
	p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 5, MaxV: 100, MaxW: 2000}}
	return p
}

// In each draw sun never hurts, so no quantile falls: below the figure without
// sun there is nothing, not even for rounding's sake more than a billionth.
func TestSunNeverShortens(t *testing.T) {
	s := NewSampler(15, Seed)
	helped := 0
	rapid.Check(t, func(t *rapid.T) {
		p := sunny(anyPlan(t), units.Watts(rapid.Float64Range(10, 1000).Draw(t, "pmax")),
			rapid.Float64Range(-65, 65).Draw(t, "lat"), time.Month(rapid.IntRange(1, 12).Draw(t, "month")))
		y := yield.Of(p)
		if y == nil {
			t.Fatal("no yield")
		}
		dark, lit := s.Runtime(p), s.WithSun(p, y)
		if !(lit.CountOn <= lit.Likely) || lit.Window < SunWindow || lit.NeverEmpty() != math.IsInf(float64(lit.CountOn), 1) {
			t.Fatalf("%+v", lit)
		}
		const rounding = 1 - 1e-9
		for what, pair := range map[string][2]units.Hours{"count on": {dark.CountOn, lit.CountOn}, "likely": {dark.Likely, lit.Likely}} {
			if pair[1] < pair[0]*rounding {
				t.Fatalf("%s: without sun %v h, with it %v", what, pair[0], pair[1])
			}
		}
		if lit.CountOn > dark.CountOn {
			helped++
		}
		// Twice the panels in the same weather never shorten either.
		p.Panels.Label.Pmax *= 2
		twice := s.WithSun(p, yield.Of(p))
		if twice.CountOn < lit.CountOn*rounding || twice.Likely < lit.Likely*rounding {
			t.Fatalf("twice the panels: %+v after %+v", twice, lit)
		}
	})
	if helped < 5 {
		t.Errorf("the sun helped %d times: the test says too little", helped)
	}
}

// In a polar night panels change nothing: neither where the draws decide nor
// where the box figure does.
func TestPolarNightIsNoSun(t *testing.T) {
	guessed := certain(200, 20) // a label's watts, above what is drawn
	guessed.Loads[0].Basis, guessed.Loads[0].Low, guessed.Loads[0].High = load.Label, new(5.0), new(20.0)
	for name, p := range map[string]plan.Plan{"cottage": plantest.Cottage(t), "one load": certain(1000, 8), "held to the box": guessed} {
		p = sunny(p, 500, 78, time.December)
		s := NewSampler(101, Seed)
		dark, lit := s.Runtime(p), s.WithSun(p, yield.Of(p))
		const tolerance = 1e-9 // dark hours are steps too, and round
		if math.Abs(float64(lit.CountOn/dark.CountOn)-1) > tolerance || math.Abs(float64(lit.Likely/dark.Likely)-1) > tolerance {
			t.Errorf("%s: with sun %v, %v h, without %v, %v", name, lit.CountOn, lit.Likely, dark.CountOn, dark.Likely)
		}
		if name == "held to the box" && dark.Likely != dark.Box {
			t.Errorf("%s: it is not", name)
		}
	}
}

// Plenty of sun and a small load: never empty, in the window that the plan asks
// for.
func TestNeverEmpty(t *testing.T) {
	p := sunny(certain(1000, 8), 400, 40, time.June)
	w := NewSampler(101, Seed).WithSun(p, yield.Of(p))
	if !w.NeverEmpty() || w.Window != 336 {
		t.Errorf("%+v", w)
	}
	p.Outage.Hours = 800
	if w = NewSampler(11, Seed).WithSun(p, yield.Of(p)); !w.NeverEmpty() || w.Window != 800 {
		t.Errorf("%+v", w)
	}
	// A battery that lasts into the next afternoon, from five o'clock on: the
	// sun of the window's last day counts too.
	short := sunny(certain(150, 8), 400, 40, time.June)
	short.Outage.Starts = plan.At(time.Date(2026, 6, 15, 17, 0, 0, 0, time.UTC))
	if w = NewSampler(101, Seed).WithSun(short, yield.Of(short)); !w.NeverEmpty() {
		t.Errorf("%+v", w)
	}
	p.Outage.Hours = outage.Horizon
	if w = NewSampler(3, Seed).WithSun(p, yield.Of(p)); w.Window != outage.Horizon {
		t.Errorf("%+v", w)
	}
}

// The weathers of the draws are as independent as those of as many seeds: their
// first days' sun fills its whole range evenly, and neighbours do not go along.
func TestWeatherOfDraws(t *testing.T) {
	p := sunny(certain(1000, 8), 100, 45, time.April)
	y := yield.Of(p)
	day := func(seed uint64) (wh float64) {
		for _, w := range y.Series(seed, p.Outage.Starts, 1) {
			wh += float64(w)
		}
		return wh
	}
	const n = 2000
	var draws, seeds []float64
	for i := range uint64(n) {
		draws = append(draws, day(Seed+i<<32))
		seeds = append(seeds, day(i*0x9e3779b97f4a7c15))
	}
	mean := func(of []float64) (m float64) {
		for _, v := range of {
			m += v / float64(len(of))
		}
		return m
	}
	m := mean(draws)
	var along, spread float64
	for i := 1; i < n; i++ {
		along += (draws[i] - m) * (draws[i-1] - m)
		spread += (draws[i] - m) * (draws[i] - m)
	}
	if r := along / spread; math.Abs(r) > 3.3/math.Sqrt(n) { // 3.3 standard errors
		t.Errorf("neighbouring draws correlate by %v", r)
	}
	slices.Sort(draws)
	slices.Sort(seeds)
	for _, q := range []float64{0.1, 0.5, 0.9} {
		width := 1.5 * 3.3 * math.Sqrt(q*(1-q)/n) // of a difference of two
		low, high := seeds[int((q-width)*n)], seeds[int((q+width)*n)]
		if got := draws[int(q*n)]; got < low || got > high {
			t.Errorf("quantile %v: %v Wh, of other seeds %v to %v", q, got, low, high)
		}
	}
}

// Every machine gives the same bits with sun too.
func TestSameBitsWithSun(t *testing.T) {
	p := sunny(plantest.Cottage(t), 200, 44.65, time.April)
	y := yield.Of(p)
	h := uint64(14695981039346656037)
	add := func(v float64) {
		for b, i := math.Float64bits(v), 0; i < 8; i++ {
			h = (h ^ b>>(8*i)&0xff) * 1099511628211
		}
	}
	for seed := range uint64(5) {
		for n := range 12 {
			w := NewSampler(11+n, seed).WithSun(p, y)
			add(float64(w.Likely))
			add(float64(w.CountOn))
		}
		for _, w := range y.Series(seed, p.Outage.Starts, 15) {
			add(float64(w))
		}
	}
	const want uint64 = 0x5acc7aa62fb66126
	if h != want {
		t.Errorf("got %#x, want %#x", h, want)
	}
	if a, b := NewSampler(101, 3).WithSun(p, y), NewSampler(101, 3).WithSun(p, y); a != b {
		t.Errorf("the same seed: %+v and %+v", a, b)
	}
	if a, b := NewSampler(101, 3).WithSun(p, y), NewSampler(101, 4).WithSun(p, y); a == b {
		t.Errorf("another seed: %+v too", a)
	}
}

func BenchmarkWithSun(b *testing.B) {
	p := sunny(plantest.Cottage(b), 200, 44.65, time.April)
	y := yield.Of(p)
	s := NewSampler(101, Seed)
	for b.Loop() {
		s.WithSun(p, y)
	}
}
