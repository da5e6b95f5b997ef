package battery

import (
	"math"
	"testing"

	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// IEEE Std 485-2010 Table 1, cell-size correction factor kt by °F, base 77 °F.
// The first three rows are from memory.
var ieee485 = []struct{ f, kt float64 }{
	{25, 1.52}, {30, 1.43}, {35, 1.35}, {40, 1.30}, {45, 1.25}, {50, 1.19}, {55, 1.15}, {60, 1.11},
	{65, 1.08}, {68, 1.056}, {70, 1.04}, {72, 1.029}, {75, 1.011}, {77, 1.0}, {80, 0.98}, {85, 0.96},
	{90, 0.94}, {95, 0.93}, {100, 0.91}, {105, 0.89}, {110, 0.88}, {115, 0.87}, {120, 0.86}, {125, 0.85},
}

func TestLeadInTheCold(t *testing.T) {
	for i, row := range ieee485 {
		c := units.Celsius((row.f - 32) * 5 / 9)
		want := min(1, 1/row.kt)
		// The table's °C are rounded to a tenth: up to 0.05 °C × 0.016 per °C.
		for _, of := range []Chemistry{AGM, Flooded} {
			if got := of.ColdFactor(c); !near(got, want, 0.001) {
				t.Errorf("%s at %v °F: got %v, want %v", of, row.f, got, want)
			}
		}
		if i == 0 {
			continue
		}
		// Between points the table is linear in kt; ours is linear in 1/kt.
		before := ieee485[i-1]
		mid := units.Celsius(((row.f+before.f)/2 - 32) * 5 / 9)
		if got, want := AGM.ColdFactor(mid), min(1, 2/(row.kt+before.kt)); !near(got, want, 0.0015) {
			t.Errorf("at %v °C: got %v, want %v", mid, got, want)
		}
	}
	for _, c := range []struct{ at, want float64 }{{4.4, 0.769}, {10, 0.840}, {20, 0.947}, {25, 1}, {32.2, 1}} {
		if got := AGM.ColdFactor(units.Celsius(c.at)); !near(got, c.want, 0.002) {
			t.Errorf("at %v °C: got %v, want %v", c.at, got, c.want)
		}
	}
}

// Middles of papers and data sheets, from memory; tolerance 0.08.
func TestLithiumInTheCold(t *testing.T) {
	at := []units.Celsius{25, 10, 0, -10, -20}
	for of, want := range map[Chemistry][]float64{
		LFP: {1, 0.95, 0.87, 0.75, 0.60},
		NMC: {1, 0.96, 0.90, 0.80, 0.65},
	} {
		for i, c := range at {
			if got := of.ColdFactor(c); !near(got, want[i], 0.08) {
				t.Errorf("%s at %v °C: got %v, want %v", of, c, got, want[i])
			}
		}
	}
}

func TestBelowTheTableItGoesOnDown(t *testing.T) {
	for _, c := range []struct {
		of   Chemistry
		at   units.Celsius
		want float64 // the last slope carried on; tolerance 0.001
	}{
		{LFP, -30, 0.45}, {NMC, -30, 0.50},
		{AGM, -30, 1/1.52 - 26.1*(1/1.43-1/1.52)/2.8},
		{LFP, -200, 0},
	} {
		if got := c.of.ColdFactor(c.at); !near(got, c.want, 0.001) {
			t.Errorf("%s at %v °C: got %v, want %v", c.of, c.at, got, c.want)
		}
	}
	for _, of := range Chemistries {
		if got := of.ColdFactor(-30); got <= 0.2 {
			t.Errorf("%s at the coldest room allowed: got %v, want some of it left", of, got)
		}
	}
}

func TestWarmthNeverCosts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		of := rapid.SampledFrom(Chemistries).Draw(t, "chemistry")
		cold := rapid.Float64Range(-80, 80).Draw(t, "cold")
		warm := rapid.Float64Range(cold, 80).Draw(t, "warm")
		a, b := of.ColdFactor(units.Celsius(cold)), of.ColdFactor(units.Celsius(warm))
		// The two ends of a slope may differ in the last bit.
		if a < 0 || b > 1 || a > b+1e-15 {
			t.Fatalf("%s: %v at %v °C, %v at %v °C", of, a, cold, b, warm)
		}
	})
}

// The capacity on a lithium label is that of a room at 20 °C; lead's is told for 25 °C.
func TestNothingIsLostInAWarmRoom(t *testing.T) {
	for _, of := range Chemistries {
		m := Battery{Chemistry: of, Capacity: 1000, Room: DefaultRoom}.Model()
		if (m.Cold > 0) != of.Lead() {
			t.Errorf("%s at %v °C: %v Wh are not given", of, DefaultRoom, m.Cold)
		}
	}
}

// Lithium's electronics stop it at −20 °C, where its label says nothing else.
func TestTooColdToGive(t *testing.T) {
	for _, c := range []struct {
		of     Chemistry
		room   units.Celsius
		lowest *float64
		gives  bool
	}{
		{LFP, -20, nil, true}, {LFP, -20.5, nil, false}, {NMC, -25, nil, false},
		{LFP, -25, new(-30.0), true}, {LFP, -31, new(-30.0), false},
		{LFP, -9, new(-10.0), true}, {LFP, -11, new(-10.0), false},
		{AGM, -25, nil, true}, {Flooded, -25, nil, true}, {AGM, -11, new(-10.0), false},
	} {
		m := Battery{Chemistry: c.of, Capacity: 1000, Room: c.room, Lowest: c.lowest}.Model()
		if (m.Usable > 0) != c.gives || math.Abs(float64(m.Aged-m.Cut-m.Cold-m.Usable)) > 1e-9 {
			t.Errorf("%s at %v °C: gives %v, %v not", c.of, c.room, m.Usable, m.Cold)
		}
	}
}

// Charging lithium: not below 0 °C, nor in a hot car.
func TestMayCharge(t *testing.T) {
	for _, c := range []struct {
		of   Chemistry
		at   units.Celsius
		want bool
	}{{LFP, -0.1, false}, {LFP, 0, true}, {LFP, 40, true}, {LFP, 45, true}, {LFP, 46, false}, {NMC, 60, false}, {AGM, -10, true}} {
		if got := c.of.MayCharge(c.at); got != c.want {
			t.Errorf("%s at %v °C: %v", c.of, c.at, got)
		}
	}
}
