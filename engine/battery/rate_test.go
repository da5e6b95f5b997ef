package battery

import (
	"math"
	"strings"
	"testing"

	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// Worked examples of both forms of Peukert's law (1897).
func TestPeukertExamples(t *testing.T) {
	for _, c := range []struct {
		what            string
		got             units.Hours
		want, tolerance float64 // h
	}{
		{"120 Ah at 20 h, 120 A, k 1.4: 18 minutes", PeukertRated(120, 20, 120, 1.4), 0.302, 0.005},
		{"100 Ah at 20 h, 10 A, k 1.2", PeukertRated(100, 20, 10, 1.2), 8.706, 0.005},
		{"100 Ah at 20 h, at its rated current", PeukertRated(100, 20, 5, 1.3), 20, 1e-9},
		{"100 Ah at 1 A, 5 A, k 1.2", PeukertOneAmp(100, 5, 1.2), 14.5, 0.05},
	} {
		if !near(float64(c.got), c.want, c.tolerance) {
			t.Errorf("%s: got %v h, want %v", c.what, c.got, c.want)
		}
	}
}

func TestPeukertExponent(t *testing.T) {
	got, err := PeukertExponent(5, 20, 20, 3.5)
	if err != nil || !near(got, 1.257, 0.005) {
		t.Errorf("20 h at 5 A, 3.5 h at 20 A: got %v, %v, want 1.257", got, err)
	}
	for _, c := range []struct {
		of   [4]float64 // A, h, A, h
		want string
	}{
		{[4]float64{5, 20, 5, 20}, "two different currents"},
		{[4]float64{0, 20, 5, 3}, "a time above 0"},
		{[4]float64{5, 0, 20, 3}, "a time above 0"},
		{[4]float64{5, 20, 0, 3}, "a time above 0"},
		{[4]float64{5, 20, 20, 0}, "a time above 0"},
		{[4]float64{5, 20, 20, -1}, "a time above 0"},
		{[4]float64{math.NaN(), 1, 1, 1}, "a time above 0"},
		{[4]float64{5, 20, 20, 10}, "exponent of two discharges"},
		{[4]float64{5, 20, 20, 0.1}, "exponent of two discharges"},
	} {
		k, err := PeukertExponent(units.Amps(c.of[0]), units.Hours(c.of[1]), units.Amps(c.of[2]), units.Hours(c.of[3]))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v: got %v, %v, want an error that says %q", c.of, k, err, c.want)
		}
	}
}

func TestPeukertExponentFindsItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(1.01, 1.99).Draw(t, "k")
		i1 := rapid.Float64Range(0.5, 10).Draw(t, "i1")
		i2 := i1 * rapid.Float64Range(1.5, 20).Draw(t, "ratio")
		got, err := PeukertExponent(
			units.Amps(i1), PeukertRated(100, 20, units.Amps(i1), k),
			units.Amps(i2), PeukertRated(100, 20, units.Amps(i2), k))
		if err != nil || !near(got, k, 1e-9) {
			t.Fatalf("got %v, %v, want %v", got, err, k)
		}
	})
}

// bank is a 12 V, 100 Ah battery in new condition that is drawn until it is empty.
func bank(of Chemistry) Model { return drawnTo(of, 0) }

// drawnTo is the same with a supply that keeps back a share.
func drawnTo(of Chemistry, cutoff float64) Model {
	return Battery{Chemistry: of, Capacity: 1200, Room: 25, Cutoff: &cutoff}.Model()
}

// The share of the 20 h capacity a battery gives in so many hours.
func TestCapacityByHours(t *testing.T) {
	for _, c := range []struct {
		of        Chemistry
		k         float64
		tolerance float64
		hours     []float64
		share     []float64
	}{
		// Trade table; the battery decides.
		{Flooded, 1.45, 0.1, []float64{1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20},
			[]float64{0.3, 0.5, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 1}},
		// Usual data-sheet ratios, from memory.
		{AGM, 1.2, 0.07, []float64{1, 5, 10, 20}, []float64{0.6, 0.83, 0.92, 1}},
	} {
		for i, h := range c.hours {
			// The current that empties 100 Ah in h hours, by the law turned round.
			amps := 100.0 / 20 * math.Pow(20/h, 1/c.k)
			if got := float64(PeukertRated(100, 20, units.Amps(amps), c.k)); !near(got, h, 1e-9) {
				t.Fatalf("%v A lasts %v h, want %v", amps, got, h)
			}
			power := units.Watts(amps * 12 * 0.95)
			if got := bank(c.of).RateFactor(power); !near(got, c.share[i], c.tolerance) {
				t.Errorf("%s in %v h: got %v, want %v", c.of, h, got, c.share[i])
			}
		}
	}
}

// The trade table gives 1.05 to 1.3 of the capacity in 24 to 100 h; none of it
// is counted on.
func TestSlowerThanRatedEarnsNothing(t *testing.T) {
	for _, of := range Chemistries {
		for _, p := range []units.Watts{0, 1, 10, 50} {
			if got := bank(of).RateFactor(p); got != 1 {
				t.Errorf("%s at %v W: got %v, want 1", of, p, got)
			}
		}
	}
}

// A constant power's current is taken at 95 % of the nominal voltage (IEEE Std
// 1013-2007 clause 5.2.2): 114 W draw 10 A from 12 V, and 10 A give 87.06 of
// 100 Ah (PeukertRated, k 1.2).
func TestConstantPowerOnLead(t *testing.T) {
	if got := bank(AGM).RateFactor(114); !near(got, 0.8706, 0.0001) {
		t.Errorf("got %v, want 0.8706", got)
	}
}

// What a fast discharge leaves is still in the plates: of a supply that keeps back a
// share of the charge it takes no more than what the law lacks of the rest.
func TestRateDownToTheCutoff(t *testing.T) {
	for _, c := range []struct {
		of           Chemistry
		cutoff       float64
		watts        units.Watts
		whole, taken float64 // of 1,200 Wh
	}{
		{AGM, 0.5, 300, 0.717, 0.5}, // 26 A: half lasts as long as half of the charge does
		{AGM, 0, 300, 0.717, 0.717},
		{AGM, 0.2, 300, 0.717, 0.717},
		{Flooded, 0.5, 114, 0.732, 0.5},
		{Flooded, 0.5, 300, 0.474, 0.474}, // the trade's table: half of it in two hours, which is all
	} {
		if got := bank(c.of).RateFactor(c.watts); !near(got, c.whole, 0.001) {
			t.Errorf("%s at %v: %v of a whole discharge, want %v", c.of, c.watts, got, c.whole)
		}
		m := drawnTo(c.of, c.cutoff)
		if got := float64(m.Usable) * m.RateFactor(c.watts) / 1200; !near(got, c.taken, 0.001) {
			t.Errorf("%s at %v, %v kept back: gives %v, want %v", c.of, c.watts, c.cutoff, got, c.taken)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		of := rapid.SampledFrom(Chemistries).Draw(t, "chemistry")
		p := units.Watts(rapid.Float64Range(0, 1e5).Draw(t, "p"))
		less := rapid.Float64Range(0, 0.95).Draw(t, "cutoff")
		more := rapid.Float64Range(less, 0.95).Draw(t, "more")
		a, b := drawnTo(of, less), drawnTo(of, more)
		if x, y := float64(a.Usable)*a.RateFactor(p), float64(b.Usable)*b.RateFactor(p); y > x*(1+1e-12) {
			t.Fatalf("%s at %v W: %v Wh with %v kept back, %v with %v", of, p, x, less, y, more)
		}
	})
}

// Common practice: about 4 % at the rate that empties it in an hour.
func TestLithiumLosesLittle(t *testing.T) {
	for _, of := range []Chemistry{LFP, NMC} {
		if got := bank(of).RateFactor(1200); !near(got, 0.96, 0.005) {
			t.Errorf("%s: got %v, want 0.96", of, got)
		}
	}
	b := Battery{Chemistry: LFP, Capacity: 1200, Room: 25, Cutoff: new(0.0), Peukert: new(1.05), RatedHours: new(5.0)}
	// 1,200 W at 95 % of the voltage are 5/0.95 rated currents.
	if got, want := b.Model().RateFactor(1200), math.Pow(5/0.95, -0.05); !near(got, want, 1e-12) {
		t.Errorf("measured exponent: got %v, want %v", got, want)
	}
}

func TestRateFactorNeverRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyBattery(t).Model()
		p := rapid.Float64Range(0, 1e5).Draw(t, "p")
		q := rapid.Float64Range(p, 1e6).Draw(t, "q")
		a, b := m.RateFactor(units.Watts(p)), m.RateFactor(units.Watts(q))
		// The exponential is good to a few last bits, so nearly equal powers may
		// come out the wrong way round by that much.
		if !(a > 0 && a <= 1 && b > 0 && b <= a*(1+1e-14)) {
			t.Fatalf("%v at %v W, %v at %v W", a, p, b, q)
		}
	})
}

func TestPower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(1e-6, 1e6).Draw(t, "x")
		n := rapid.Float64Range(-2, 2).Draw(t, "n")
		if got, want := power(x, n), math.Pow(x, n); !near(got, want, 1e-13*want) {
			t.Fatalf("%v^%v: got %v, want %v", x, n, got, want)
		}
	})
}
