package gauge

import (
	"math"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

func TestReadings(t *testing.T) {
	var at plan.Moment
	volts := func(v units.Volts) Reading {
		r, ok := Volts(at, battery.Flooded, v)
		if !ok {
			t.Fatalf("%v V: no reading", v)
		}
		return r
	}
	for _, c := range []struct {
		name      string
		got       Reading
		low, high float64
	}{
		{"5 of 5 bars", Bars(at, 5, 5), 0.8, 1},
		{"3 of 5 bars", Bars(at, 3, 5), 0.4, 0.6},
		{"no bar of 5", Bars(at, 0, 5), 0, 0},
		{"100 %", Percent(at, 100), 0.995, 1},
		{"60 %", Percent(at, 60), 0.595, 0.605},
		{"0 %", Percent(at, 0), 0, 0.005},
		{"12.20 V", volts(12.20), 0.4 + 0.1*4/14, 0.8 + 0.1*10/12},
		// 0.2 V less at rest is 12.00 V, four of fourteen from 11.96 to 12.10; 0.4 V more
		// is 12.60 V, ten of twelve from 12.50 to 12.62.
		{"12.13 V", volts(12.13), 0.3 + 0.1*12/15, 0.8 + 0.1*3/12},
		{"24.40 V", volts(24.40), 0.4 + 0.1*4/14, 0.8 + 0.1*10/12},
		{"48.80 V", volts(48.80), 0.4 + 0.1*4/14, 0.8 + 0.1*10/12},
		{"14.00 V", volts(14), 1, 1},
		{"10.50 V", volts(10.5), 0, 0},
	} {
		if math.Abs(c.got.Low-c.low) > 1e-9 || math.Abs(c.got.High-c.high) > 1e-9 { // rounding
			t.Errorf("%s: got %v to %v, want %v to %v", c.name, c.got.Low, c.got.High, c.low, c.high)
		}
	}
	if _, ok := Volts(at, battery.LFP, 13.2); ok {
		t.Error("the voltage of lithium was read")
	}
	for _, v := range []units.Volts{0, 9.9, 17, 61} {
		if _, ok := Volts(at, battery.AGM, v); ok {
			t.Errorf("%v V was read", v)
		}
	}
}

func TestFits(t *testing.T) {
	bar := Reading{Low: 0.4, High: 0.6, Error: 0.04}
	full := Reading{Low: 0.8, High: 1, Error: 0.04}
	sure := Reading{Low: 0.4, High: 0.6}
	const floor = 0.05
	for _, c := range []struct {
		r           Reading
		level, blur float64
		out         bool
		want        float64
	}{
		{bar, 0.5, 0, false, 1},
		{bar, 0.6, 0, false, 0.5},
		{bar, 0.61, 0, false, 0.25},
		{bar, 0.61, 0.02, false, 0.375},
		{bar, 0.7, 0, false, 0},
		{full, 1.1, 0, false, 1},
		{full, 0.7, 0, false, 0},
		{sure, 0.4, 0, false, 1},
		{sure, 0.61, 0, false, 0},
		{Reading{High: 0.2, Error: 0.03}, 0.1, 0, true, 0}, // a bar is not shown by one that is dead
		{Reading{Error: 0.03}, 0.04, 0, true, 1},
		{Reading{Error: 0.03}, -0.2, 0, false, 1},
	} {
		if got := c.r.fits(c.level, c.out, floor, c.blur); math.Abs(got-c.want) > 1e-9 { // rounding
			t.Errorf("%+v at %v, out %v, blur %v: got %v, want %v", c.r, c.level, c.out, c.blur, got, c.want)
		}
	}
}
