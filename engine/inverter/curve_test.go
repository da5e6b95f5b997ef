package inverter

import (
	"math"
	"testing"

	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// efficiency is AC out over DC in.
func efficiency(c Curve, ac float64) float64 { return ac / float64(c.DC(units.Watts(ac))) }

// told is an inverter with its idle draw and two efficiency points known.
func told(rated, idle, at1, eta1, at2, eta2 float64) Inverter {
	return Inverter{
		Continuous: units.Watts(rated), IdleW: &idle,
		EfficiencyAtW: &at1, Efficiency: &eta1, Efficiency2AtW: &at2, Efficiency2: &eta2,
	}
}

func TestCurveGoesThroughItsPoints(t *testing.T) {
	const tolerance = 1e-12
	one := Inverter{Continuous: 1200, IdleW: new(11.0), Efficiency: new(0.89)}
	if got := efficiency(one.Curve(), 600); !near(got, 0.89, tolerance) {
		t.Errorf("one point: got %v, want 0.89 at half the rating", got)
	}
	for _, c := range []struct {
		what string
		of   Inverter
	}{
		{"loss grows faster than power", told(1200, 11, 300, 0.92, 1200, 0.87)},
		{"loss grows slower than power", told(1200, 11, 300, 0.85, 1200, 0.90)},
		{"lower point lossless but for idle", told(1000, 25, 500, 500.0/525, 1000, 0.9)},
		{"points the other way round", told(1200, 11, 1200, 0.87, 300, 0.92)},
	} {
		curve := c.of.Curve()
		if got := efficiency(curve, *c.of.EfficiencyAtW); !near(got, *c.of.Efficiency, tolerance) {
			t.Errorf("%s, first: got %v, want %v", c.what, got, *c.of.Efficiency)
		}
		if got := efficiency(curve, *c.of.Efficiency2AtW); !near(got, *c.of.Efficiency2, tolerance) {
			t.Errorf("%s, second: got %v, want %v", c.what, got, *c.of.Efficiency2)
		}
	}
	if got := one.Curve().DC(0); got != 11 {
		t.Errorf("empty: got %v W, want the idle draw, 11", got)
	}
}

// Points that contradict the rest of the plan or each other give a curve below
// them, never above.
func TestCurveNeverBeatsAPoint(t *testing.T) {
	const rounding = 1e-12
	rapid.Check(t, func(t *rapid.T) {
		v := anyInverter(t)
		c := v.Curve()
		if p := v.Point(); efficiency(c, float64(p.At)) > p.Efficiency+rounding {
			t.Fatalf("%v W: got %v, want at most %v", p.At, efficiency(c, float64(p.At)), p.Efficiency)
		}
		if v.Efficiency2 == nil || v.Efficiency2AtW == nil {
			return
		}
		if got := efficiency(c, *v.Efficiency2AtW); got > *v.Efficiency2+rounding {
			t.Fatalf("%v W: got %v, want at most %v", *v.Efficiency2AtW, got, *v.Efficiency2)
		}
	})
}

// Where the points don't settle the curve, the power drawn at others, W.
func TestCurveBeyondItsPoints(t *testing.T) {
	for _, c := range []struct {
		what     string
		of       Inverter
		ac, want float64 // tolerance 1e-9 W
	}{
		// 0.85 at 300 W and 0.90 at 600 W: above, the loss at 600 W in proportion;
		// between, straight.
		{"loss grows slower: in proportion above", told(1200, 11, 300, 0.85, 600, 0.90), 1200, 1200 / 0.9},
		{"loss grows slower: straight between", told(1200, 11, 300, 0.85, 600, 0.90), 450, (300/0.85 + 600/0.9) / 2},
		// 0.5 at 500 W and 0.98 at 700 W would draw 1,000 W, then 714 W.
		{"falling draw: the worse point in proportion", told(1200, 10, 500, 0.50, 700, 0.98), 700, 1400},
		{"falling draw: and above", told(1200, 10, 500, 0.50, 700, 0.98), 1000, 2000},
		{"falling draw: and below", told(1200, 10, 500, 0.50, 700, 0.98), 250, 260 + 245},
		{"too near for a slope: the worse point", told(1200, 10, 500, 0.90, 550, 0.80), 500, 500 / 0.8},
		{"idle draw alone beats the point", Inverter{Continuous: 1200, IdleW: new(100.0), Efficiency: new(0.95)}, 600, 700},
		{"idle draw alone beats the first of two", told(1000, 100, 500, 0.95, 1000, 0.85), 750, 750 + (100+1000/0.85-1000)/2},
		{"nothing known: 0.85 at half", Inverter{Continuous: 1000}, 500, 500 / 0.85},
		{"nothing known: with the power 1.5 above", Inverter{Continuous: 1000}, 1000, 1000 + math.Pow(2, 1.5)*(500/0.85-500)},
		{"second power missing: as if one point", Inverter{Continuous: 1000, IdleW: new(10.0), Efficiency: new(0.9), Efficiency2: new(0.5)}, 500, 500 / 0.9},
	} {
		if got := float64(c.of.Curve().DC(units.Watts(c.ac))); !near(got, c.want, 1e-9) {
			t.Errorf("%s, %v W: got %v W, want %v", c.what, c.ac, got, c.want)
		}
	}
}

// Up to twice its rating: more AC never takes less DC, and the loss is never
// below the idle draw.
func TestCurveNeverFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := anyInverter(t)
		c := v.Curve()
		p := units.Watts(rapid.Float64Range(0, 2*float64(v.Continuous)).Draw(t, "p"))
		q := units.Watts(rapid.Float64Range(float64(p), 2*float64(v.Continuous)).Draw(t, "q"))
		a, b := c.DC(p), c.DC(q)
		if rounding := 1e-12 * b; a > b+rounding || a < p+c.Idle()-rounding || b < q+c.Idle()-rounding {
			t.Fatalf("%v W for %v W, %v W for %v W, idle %v W: %+v", a, p, b, q, c.Idle(), c)
		}
	})
}

// A step in the curve would let an outage's sum jump with a milliwatt.
func TestCurveHasNoStep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyInverter(t).Curve()
		for _, turn := range []float64{c.a.at, c.b.at} {
			below, above := c.DC(units.Watts(turn)), c.DC(units.Watts(math.Nextafter(turn, math.Inf(1))))
			if !near(float64(above), float64(below), 1e-9*float64(below)) {
				t.Fatalf("at %v W from %v to %v W", turn, below, above)
			}
		}
	})
}

// With one point known, no loss of Schmidt and Sauer's form with k1, k2 >= 0
// through that point is greater below it.
func TestOnePointIsTheWorstCurveBelowIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		share := rapid.Float64Range(0, 1).Draw(t, "share that goes with the current")
		ac := rapid.Float64Range(0, 600).Draw(t, "ac")
		const at, eta, idle = 600.0, 0.89, 11.0
		load := at/eta - at - idle
		want := idle + ac + share*load*ac/at + (1-share)*load*(ac/at)*(ac/at)
		v := Inverter{Continuous: 1200, IdleW: new(idle), Efficiency: new(eta)}
		if got := float64(v.Curve().DC(units.Watts(ac))); got < want-1e-9 {
			t.Fatalf("%v W: got %v W, want at least %v", ac, got, want)
		}
	})
}

// Told only what it does at half power, it does no better at full power than those
// of which both are published, to a thousandth: the set that European and
// Californian weights are shown with, Schmidt and Sauer's form through 0.80, 0.92
// and 0.90, and Dobos' grid inverter.
func TestOnePointAboveIt(t *testing.T) {
	for _, c := range []struct{ half, full float64 }{{0.95, 0.93}, {0.92, 0.90}, {0.9522, 0.95}} {
		v := Inverter{Continuous: 1000, IdleW: new(8.0), Efficiency: new(c.half)}
		if got := efficiency(v.Curve(), 1000); got > c.full+0.001 || got < c.full-0.05 {
			t.Errorf("%v at half: %v at full, published %v", c.half, got, c.full)
		}
	}
}

// Of two inverters of which the same efficiency is stated the one that idles more
// never draws less, however doubted.
func TestMoreIdleNeverDrawsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := anyInverter(t)
		low := rapid.Float64Range(0, IdleRange.High).Draw(t, "idle")
		high := rapid.Float64Range(low, IdleRange.High).Draw(t, "more")
		p := units.Watts(rapid.Float64Range(0, 2*float64(v.Continuous)).Draw(t, "p"))
		loss := rapid.Float64Range(0.5, 2).Draw(t, "loss factor")
		idle := rapid.Float64Range(0.5, 2).Draw(t, "idle factor")
		drawn := func(w float64) float64 {
			v.IdleW = &w
			c := v.Curve()
			return c.Doubted(p, idle, loss) + w*idle
		}
		if less, more := drawn(low), drawn(high); more < less-1e-9*(less+float64(p)) {
			t.Fatalf("%v W: loses %v W idling at %v W, %v W idling at %v W", p, less, low, more, high)
		}
	})
}

// schmidtSauer solves eta(p) = p/(p + k0 + k1·p + k2·p²), p in parts of the
// rating, for its three coefficients from the efficiencies at 10, 50 and 100 %
// (Schmidt and Sauer 1996): three linear equations in the losses 1/eta − 1.
func schmidtSauer(eta10, eta50, eta100 float64) (k0, k1, k2 float64) {
	x1, x2, x3 := 0.1, 0.5, 1.0
	y1, y2, y3 := x1*(1/eta10-1), x2*(1/eta50-1), x3*(1/eta100-1)
	d12, d23 := (y2-y1)/(x2-x1), (y3-y2)/(x3-x2)
	k2 = (d23 - d12) / (x3 - x1)
	k1 = d12 - k2*(x1+x2)
	k0 = y1 - k1*x1 - k2*x1*x1
	return k0, k1, k2
}

// Our curve, given the same idle draw and two of the points, must be the one
// their three-point fit gives.
func TestSchmidtAndSauer(t *testing.T) {
	k0, k1, k2 := schmidtSauer(0.80, 0.92, 0.90)
	const tolerance = 1e-5
	if !near(k0, 0.025329, tolerance) || !near(k1, -0.013184, tolerance) || !near(k2, 0.098967, tolerance) {
		t.Fatalf("coefficients: got %v, %v, %v, want 0.025329, -0.013184, 0.098967", k0, k1, k2)
	}
	c := told(1000, 1000*k0, 500, 0.92, 1000, 0.90).Curve()
	for _, p := range []struct{ at, want float64 }{{500, 0.92}, {1000, 0.90}, {250, 0.89858}} {
		if got := efficiency(c, p.at); !near(got, p.want, tolerance) {
			t.Errorf("at %v W: got %v, want %v", p.at, got, p.want)
		}
	}
	// At 100 W their negative k1 puts the load's loss a third of a watt below
	// 0; ours stays at 0, so the curve runs a little below the point.
	if got := efficiency(c, 100); got > 0.80 || !near(got, 0.80, 0.003) {
		t.Errorf("at 100 W: got %v, want 0.80 or a little less", got)
	}
}

// share and weight of the European efficiency (IEC 61683, EN 50530) and of the
// California Energy Commission's.
var (
	euro = []struct{ share, weight float64 }{{0.05, 0.03}, {0.10, 0.06}, {0.20, 0.13}, {0.30, 0.10}, {0.50, 0.48}, {1, 0.20}}
	cec  = []struct{ share, weight float64 }{{0.10, 0.04}, {0.20, 0.05}, {0.30, 0.12}, {0.50, 0.21}, {0.75, 0.53}, {1, 0.05}}
)

// A curve fitted to the ends and the middle of a measured set must agree with
// the whole set's weighted efficiencies, and with the points it was not given.
func TestWeightedEfficiencies(t *testing.T) {
	measured := map[float64]float64{0.05: 0.85, 0.10: 0.90, 0.20: 0.93, 0.30: 0.94, 0.50: 0.95, 0.75: 0.945, 1: 0.93}
	const rated = 1000
	k0, _, _ := schmidtSauer(measured[0.10], measured[0.50], measured[1])
	c := told(rated, rated*k0, 0.5*rated, measured[0.5], rated, measured[1]).Curve()
	for _, w := range []struct {
		name   string
		points []struct{ share, weight float64 }
		want   float64
	}{{"European", euro, 0.9364}, {"Californian", cec, 0.94215}} {
		var weights, set, curve float64
		for _, p := range w.points {
			weights += p.weight
			set += p.weight * measured[p.share]
			curve += p.weight * efficiency(c, p.share*rated)
		}
		if !near(weights, 1, 1e-12) {
			t.Errorf("%s weights: got a sum of %v, want 1", w.name, weights)
		}
		if !near(set, w.want, 1e-5) {
			t.Errorf("%s of the set: got %v, want %v", w.name, set, w.want)
		}
		if !near(curve, w.want, 0.005) {
			t.Errorf("%s of the curve: got %v, want %v", w.name, curve, w.want)
		}
	}
	for _, p := range []struct{ share, tolerance float64 }{{0.05, 0.03}, {0.20, 0.01}, {0.30, 0.01}, {0.75, 0.006}} {
		if got := efficiency(c, p.share*rated); !near(got, measured[p.share], p.tolerance) {
			t.Errorf("at %v of the rating: got %v, want %v", p.share, got, measured[p.share])
		}
	}
}

// The part-load curve of Dobos, NREL/TP-6A20-62641 (2014) eqs 10–12, is a grid
// inverter's, so only its shape is held against ours: idle draw where it gives
// nothing, points at half and full power.
func TestPartLoadShape(t *testing.T) {
	const dc0, nominal = 100.0, 0.95
	ac := func(dc float64) float64 {
		z := dc / dc0
		return nominal / 0.9637 * dc * (-0.0162*z - 0.0059/z + 0.9858)
	}
	for _, p := range []struct{ dc, want float64 }{{50, 47.60843624}, {90, 85.58556604752516}, {100, 95}} {
		if got := ac(p.dc); !near(got, p.want, 1e-6) {
			t.Errorf("published: %v W of DC: got %v W, want %v", p.dc, got, p.want)
		}
	}
	// The DC power at which it gives nothing: the lower root.
	empty := dc0 * (0.9858 - math.Sqrt(0.9858*0.9858-4*0.0162*0.0059)) / (2 * 0.0162)
	if got := ac(empty); !near(got, 0, 1e-9) {
		t.Fatalf("at %v W of DC: got %v W of AC, want 0", empty, got)
	}
	c := told(95, empty, ac(50), ac(50)/50, ac(100), ac(100)/100).Curve()
	for _, dc := range []float64{5, 10, 20, 30, 75, 90} {
		if got := float64(c.DC(units.Watts(ac(dc)))); !near(got, dc, 0.002*dc0) {
			t.Errorf("%v W of AC: got %v W of DC, want %v", ac(dc), got, dc)
		}
	}
}

func TestCurveDoesNotAllocate(t *testing.T) {
	v := told(1200, 11, 300, 0.92, 1200, 0.87)
	var sum units.Watts
	if got := testing.AllocsPerRun(100, func() { sum += v.Curve().DC(200) }); got != 0 {
		t.Errorf("got %v allocations, want 0", got)
	}
}

// With up to twice the loss, as when a figure is doubted, more AC still never
// takes less DC: a second point that claims a falling loss is not believed.
func TestDoubtedCurveNeverFalls(t *testing.T) {
	for _, v := range []Inverter{
		told(200, 5, 140, 0.40, 190, 0.50),
		told(1200, 11, 300, 0.85, 600, 0.90),
	} {
		c := v.Curve()
		doubled := func(p units.Watts) units.Watts { return c.DC(p) + (c.DC(p) - p - c.Idle()) }
		for p := units.Watts(0); p < 2*v.Continuous; p++ {
			if a, b := doubled(p), doubled(p+1); b < a {
				t.Errorf("%+v: %v W takes %v W, %v W takes %v", v.Point(), p, a, p+1, b)
			}
		}
	}
}
