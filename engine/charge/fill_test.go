package charge

import (
	"math"
	"testing"

	"candleclock/engine/aids"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tolerance {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, tolerance)
	}
}

// Common practice: a 150 W adapter fills 1,500 Wh in about 10 hours; with 94 %
// stored (lithium iron phosphate, from memory) and the taper, nearer 11.
func TestFillFromWall(t *testing.T) {
	ideal := Pack{Capacity: 1500, Efficiency: 1, Taper: Lithium, MayCharge: true}
	h, fills := ideal.Fill(0, 150)
	if !fills {
		t.Fatal("never fills")
	}
	near(t, "without loss", float64(h), 10, 0.2)
	real := ideal
	real.Efficiency = 0.94
	h, _ = real.Fill(0, 150)
	near(t, "with loss", float64(h), 10.7, 0.2)
}

// A 12 V, 8 A socket fills 1,000 Wh in about 11 hours: 96 W.
func TestFillFromCar(t *testing.T) {
	car := Input{Kind: Car, Volts: 12, Amps: 8}
	p := Pack{Capacity: 1000, Efficiency: 0.94, Taper: Lithium, MayCharge: true}
	h, _ := p.Fill(0, car.Most())
	near(t, "car", float64(h), 1000/96.0/0.94, 0.2)
}

// Lead, 100 Ah at 12 V, on a tenth of its capacity an hour: the last fifth takes
// far longer than the fifths before it.
func TestLeadTapers(t *testing.T) {
	p := Pack{Capacity: 1200, Efficiency: 0.7, Taper: Lead, MayCharge: true}
	all, _ := p.Fill(0, 300)
	last, _ := p.Fill(0.8, 300)
	if first := all - last; last < first/4*2 {
		t.Errorf("last fifth %v h after %v h for four, want more than twice a fifth's share", last, first)
	}
	// ∫ ds ÷ (0.2 − 0.9(s − 0.8)) from 0.8 to 1 = ln(0.2 ÷ 0.02) ÷ 0.9, when the
	// charger gives more than the knee.
	last, _ = p.Fill(0.8, 1000)
	near(t, "closed form", float64(last), math.Log(10)/0.9, 1e-12)
}

func TestNoChargeBelowZero(t *testing.T) {
	p := Pack{Capacity: 1000, Efficiency: 0.9, Taper: Lithium, MayCharge: false}
	if h, fills := p.Fill(0.2, 500); fills || !math.IsInf(float64(h), 1) {
		t.Errorf("Fill = %v, %v, want never", h, fills)
	}
	if h, fills := p.Fill(1, 500); !fills || h != 0 {
		t.Errorf("full already: Fill = %v, %v, want 0 h", h, fills)
	}
	if w := p.Takes(500, 0.2); w != 0 {
		t.Errorf("takes %v W, want 0", w)
	}
	if s := p.After(0.2, 500, 10); s != 0.2 {
		t.Errorf("after 10 h at %v, want 0.2", s)
	}
	if f := p.PassThrough(500, 120, 0.2); f.ToLoad != 120 || f.ToBattery != 0 || f.FromBattery != 0 || f.Spilled != 380 {
		t.Errorf("PassThrough = %+v, want the load fed and the rest spilled", f)
	}
}

func TestNothingFillsNothing(t *testing.T) {
	p := Pack{Capacity: 1000, Efficiency: 0.9, Taper: Lithium, MayCharge: true}
	if h, fills := p.Fill(0.5, 0); fills || !math.IsInf(float64(h), 1) {
		t.Errorf("from no source: Fill = %v, %v, want never", h, fills)
	}
	if h, fills := p.Fill(1, 0); !fills || h != 0 {
		t.Errorf("full already: Fill = %v, %v, want 0 h", h, fills)
	}
}

func aPack(t *rapid.T) Pack {
	return Pack{
		Capacity:   units.WattHours(rapid.Float64Range(50, 20000).Draw(t, "Wh")),
		Efficiency: rapid.Float64Range(0.5, 1).Draw(t, "efficiency"),
		Taper:      rapid.SampledFrom([]Taper{Lithium, Lead}).Draw(t, "taper"),
		MayCharge:  true,
	}
}

func watts(t *rapid.T, name string) units.Watts {
	return units.Watts(rapid.Float64Range(1, 5000).Draw(t, name))
}

func TestFillIsBoundAndMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, w := aPack(t), watts(t, "W")
		from := rapid.Float64Range(0, 1).Draw(t, "from")
		h, fills := p.Fill(from, w)
		if !fills || h < 0 {
			t.Fatalf("Fill = %v, %v", h, fills)
		}
		// Never faster than what is missing over what comes, losses paid.
		least := (1 - from) * float64(p.Capacity) / float64(w) / p.Efficiency
		if float64(h) < least*(1-1e-9) {
			t.Fatalf("%v h, below the %v h of the energy", h, least)
		}
		if more, _ := p.Fill(from, w*units.Watts(rapid.Float64Range(1, 3).Draw(t, "more"))); float64(more) > float64(h)*(1+1e-9) {
			t.Fatalf("%v h with more power, %v h with less", more, h)
		}
		if later, _ := p.Fill(from+(1-from)*rapid.Float64Range(0, 1).Draw(t, "later"), w); float64(later) > float64(h)*(1+1e-9) {
			t.Fatalf("%v h from a fuller battery, %v h from this", later, h)
		}
	})
}

// The closed form against many small steps of Takes.
func TestFillAgreesWithSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, w := aPack(t), watts(t, "W")
		from := rapid.Float64Range(0, 0.98).Draw(t, "from")
		full, _ := p.Fill(from, w)
		at := full * units.Hours(rapid.Float64Range(0, 0.99).Draw(t, "when"))
		const steps = 20000
		soc, dt := from, float64(at)/steps
		for range steps {
			soc += float64(p.Takes(w, soc)) * p.Efficiency / float64(p.Capacity) * dt
		}
		// First-order steps, of which one may straddle the knee: they are off by
		// the largest at most, which is long where a small battery takes much.
		largest := float64(w) * p.Efficiency / float64(p.Capacity) * dt
		if got := p.After(from, w, at); math.Abs(got-soc) > 1e-5+largest {
			t.Fatalf("After = %v, steps give %v", got, soc)
		}
	})
}

func TestAfterIsTheInverseOfFill(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, w := aPack(t), watts(t, "W")
		from := rapid.Float64Range(0, 1).Draw(t, "from")
		full, _ := p.Fill(from, w)
		if got := p.After(from, w, full); got != 1 {
			t.Fatalf("after the time to fill: %v, want 1", got)
		}
		h := full * units.Hours(rapid.Float64Range(0, 2).Draw(t, "share"))
		soc := p.After(from, w, h)
		if soc > 1 || soc < from-1e-12 {
			t.Fatalf("after %v h: %v from %v", h, soc, from)
		}
		if h < full {
			rest, _ := p.Fill(soc, w)
			if math.Abs(float64(rest+h-full)) > 1e-6*float64(full)+1e-9 {
				t.Fatalf("%v h and then %v h, want %v h together", h, rest, full)
			}
		}
	})
}

func TestPassThroughBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := aPack(t)
		p.MayCharge = rapid.Bool().Draw(t, "may charge")
		source := units.Watts(rapid.Float64Range(0, 3000).Draw(t, "source"))
		load := units.Watts(rapid.Float64Range(0, 3000).Draw(t, "load"))
		soc := rapid.Float64Range(0, 1).Draw(t, "soc")
		f := p.PassThrough(source, load, soc)
		if d := source - f.ToLoad - f.ToBattery - f.Spilled; math.Abs(float64(d)) > 1e-9 {
			t.Fatalf("source does not balance: %+v", f)
		}
		if d := load - f.ToLoad - f.FromBattery; math.Abs(float64(d)) > 1e-9 {
			t.Fatalf("load does not balance: %+v", f)
		}
		if f.ToLoad < 0 || f.ToBattery < 0 || f.Spilled < 0 || f.FromBattery < 0 || f.ToBattery > 0 && f.FromBattery > 0 {
			t.Fatalf("flow runs two ways: %+v", f)
		}
		if soc == 1 && f.ToBattery != 0 {
			t.Fatalf("a full battery takes %v W", f.ToBattery)
		}
	})
}

func TestFillDaily(t *testing.T) {
	p := Pack{Capacity: 1000, Efficiency: 1, Taper: Lithium, MayCharge: true}
	day := make([]units.Watts, 24)
	for h := 9; h < 15; h++ {
		day[h] = 40 // 240 Wh a day, so weak that the taper never shows
	}
	// 1000 Wh: four days bring 960, and the fifth's first hour the last 40.
	h, fills := p.FillDaily(0, day, 10)
	if !fills || math.Abs(float64(h)-(4*24+10)) > 1e-6 {
		t.Errorf("FillDaily = %v, %v, want 106 h", h, fills)
	}
	if h, fills := p.FillDaily(0, day, 4); fills || !math.IsInf(float64(h), 1) {
		t.Errorf("within four days = %v, %v, want never", h, fills)
	}
	if _, fills := p.FillDaily(0, make([]units.Watts, 24), 1<<40); fills {
		t.Error("a polar night fills")
	}
	// One hour a day at a 32nd of the capacity, all of it exact in binary: full
	// with the last hour of the 32nd day.
	if h, fills := (Pack{Capacity: 1024, Efficiency: 1, Taper: Lithium, MayCharge: true}).FillDaily(0, []units.Watts{32}, 32); !fills || h != 32 {
		t.Errorf("full with the last hour = %v, %v, want 32 h", h, fills)
	}
	if h, fills := p.FillDaily(1, nil, 0); !fills || h != 0 {
		t.Errorf("a full battery = %v, %v, want 0 h", h, fills)
	}
	if _, fills := p.FillDaily(0, nil, 5); fills {
		t.Error("no hours fill")
	}
}

// A day of one power throughout is the constant source.
func TestFillDailyIsFillOfAConstant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, w := aPack(t), watts(t, "W")
		day := make([]units.Watts, 24)
		for h := range day {
			day[h] = w
		}
		want, _ := p.Fill(0, w)
		if want > 24*365 {
			return
		}
		got, fills := p.FillDaily(0, day, 400)
		if !fills || math.Abs(float64(got-want)) > 1e-6*float64(want)+1e-9 {
			t.Fatalf("FillDaily = %v, %v, Fill = %v", got, fills, want)
		}
	})
}

func TestFillRun(t *testing.T) {
	p := Pack{Capacity: 1000, Efficiency: 1, Taper: Lithium, MayCharge: true}
	// 3 litres last 6 h at 600 W and 4 h at 1,200 W: a quarter of a litre an hour
	// with no load, and 0.25 / 0.6 a kilowatt-hour. At 40 W, below the tail, nothing
	// tapers: 25 h, of which idling burns 25 × 0.25, and the kilowatt-hour the rest.
	own := Input{Kind: Generator, Watts: 1000, Tank: 3, Fuel: []FuelPoint{
		{FuelPoint: aids.FuelPoint{Load: 600, LPerH: 0.5}},
		{FuelPoint: aids.FuelPoint{Load: 1200, LPerH: 0.75}},
	}}
	run, fills := own.FillRun(p, 0, 40)
	if !fills || run.Usual {
		t.Fatalf("FillRun = %+v, %v", run, fills)
	}
	near(t, "hours", float64(run.Hours), 25, 1e-9)
	near(t, "litres", run.Litres, 25*0.25+0.25/0.6, 1e-9)
	near(t, "tanks", run.Tanks, run.Litres/3, 1e-12)
	// The same energy at a better load costs less.
	if faster, _ := own.FillRun(p, 0, 400); faster.Litres >= run.Litres/2 {
		t.Errorf("at 400 W %v L, at 40 W %v L, want less than half", faster.Litres, run.Litres)
	}
	// With half lost, 80 W stores as fast as 40 W did, and burns for 80 W.
	line, _ := own.FuelLine()
	lossy := p
	lossy.Efficiency = 0.5
	near(t, "litres at half efficiency", must(own.FillRun(lossy, 0, 80)).Litres, 25*line.LPerH(80), 1e-9)
	usual, _ := Input{Kind: Generator, Watts: 1000}.FillRun(p, 0, 400)
	if !usual.Usual || usual.Tanks != 0 {
		t.Errorf("without figures = %+v, want the usual ones, no tanks", usual)
	}
	if slow, _ := own.FillRun(p, 0, 5000); slow.Hours != must(own.FillRun(p, 0, 1000)).Hours {
		t.Error("a generator charges with more than it gives")
	}
	p.MayCharge = false
	if run, fills := own.FillRun(p, 0, 400); fills || run.Litres != 0 {
		t.Errorf("a battery that may not be charged: %+v, %v", run, fills)
	}
}

func must(r Run, _ bool) Run { return r }
