package drill

import (
	"errors"
	"math"
	"reflect"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/doc"
	"candleclock/engine/gauge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// plainly is a 1,000 Wh supply at a temperature at which cold takes nothing,
// whose inverter draws 10 W by itself and loses nothing more.
func plainly() plan.Plan {
	p := plan.New("Test", plan.At(time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC)))
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1000, Room: 40,
		Cutoff: new(0.1), SelfDischarge: new(0.0), Peukert: new(1.0)}
	p.Supply.Inverter = inverter.Inverter{Continuous: 1000, IdleW: new(10.0), Efficiency: new(1.0)}
	return p
}

func exactly(soc float64) gauge.Reading { return gauge.Reading{Low: soc, High: soc} }

// One test by hand: what left the battery over what the gauge fell by.
func TestCapacityByHand(t *testing.T) {
	for _, c := range []struct {
		name     string
		watts    units.Watts
		minutes  float64
		from, to gauge.Reading
		want     float64 // Wh
	}{
		// (100 + 10) W for 4 h out of half a charge.
		{"half a charge", 100, 240, Full(), exactly(0.5), 110 * 4 / 0.5},
		// (290 + 10) W for 2.4 h out of the nine tenths that are not kept back.
		{"to the end", 290, 144, Full(), ShutOff(plainly()), 300 * 2.4 / 0.9},
		// The inverter alone, for two days.
		{"nothing on", 0, 2880, exactly(0.9), exactly(0.3), 10 * 48 / 0.6},
	} {
		r, err := Measure(plainly(), Test{Loads: []load.Load{Metered(load.AC, c.watts)}, Inverter: true, Minutes: c.minutes, From: c.from, To: c.to}, nil)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		// Likely is at the middle of how odds spreads the idle draw, of 0.8 to 1.5
		// times: √(½·0.7·0.5) below 1.5.
		idle := 10 * (1.5 - math.Sqrt(0.5*0.7*0.5))
		want := c.want * (float64(c.watts) + idle) / (float64(c.watts) + 10)
		const tolerance = 1e-6
		if math.Abs(r.Capacity.Likely/want-1) > tolerance || r.Capacity.Low >= want || r.Capacity.High <= want {
			t.Errorf("%s: got %+v Wh, want %v", c.name, r.Capacity, want)
		}
	}
}

// The range by hand: a meter's 3 %, idle from 0.8 to 1.5 times (but for half a
// draw of 511 at either end), a minute, half a percent of the display at each end
// that is read, and the gauge's 3 %. Of those half is the same at both ends, so
// two readings leave no more open than one beside an end that needs no gauge.
func TestRangeByHand(t *testing.T) {
	at := plan.At(time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC))
	for _, c := range []struct {
		name      string
		from, to  gauge.Reading
		fell, off float64
	}{
		{"from full", Full(), gauge.Percent(at, 50), 0.5, 0.005 + 0.03},
		{"from a reading", gauge.Percent(at, 90), gauge.Percent(at, 50), 0.4, 2*0.005 + 0.03},
		{"to the end", gauge.Percent(at, 90), ShutOff(plainly()), 0.8, 0.005 + 0.03},
	} {
		r, err := Measure(plainly(), Test{Loads: []load.Load{Metered(load.AC, 100)}, Minutes: 240, From: c.from, To: c.to}, nil)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		low := (97 + 8.0) * 239 / 60 / (c.fell + c.off)
		high := (103 + 15.0) * 241 / 60 / (c.fell - c.off)
		const tolerance = 0.004 // the half draw
		if math.Abs(r.Capacity.Low/low-1) > tolerance || math.Abs(r.Capacity.High/high-1) > tolerance {
			t.Errorf("%s: got %+v, want %v to %v", c.name, r.Capacity, low, high)
		}
		if r.NewHealth == nil || *r.NewHealth != math.Floor(r.Health.Low*100)/100 || r.Assumed != 1 {
			t.Errorf("%s: from %+v: proposed %v", c.name, r.Health, r.NewHealth)
		}
	}
}

// Two tests by hand: 12 W by itself, 800 Wh.
func TestIdleByHand(t *testing.T) {
	const idle, capacity = 14.0, 800.0
	after := func(watts, hours float64) gauge.Reading { return exactly(1 - (watts+idle)*hours/capacity) }
	r, err := Measure(plainly(),
		Test{Loads: []load.Load{Metered(load.AC, 100)}, Minutes: 300, From: Full(), To: after(100, 5)},
		&Test{Inverter: true, Minutes: 1440, From: Full(), To: after(0, 24)})
	if err != nil {
		t.Fatal(err)
	}
	const tolerance = 1e-6
	if r.Idle == nil || math.Abs(r.Idle.Likely/idle-1) > tolerance || r.Idle.Low >= idle || r.Idle.High <= idle {
		t.Errorf("idle %+v, %v, want %v W", r.Idle, r.NoIdle, idle)
	}
	if math.Abs(r.Health.Likely/(capacity/1000)-1) > tolerance || r.NewIdle == nil || *r.NewIdle < 14 || *r.NewIdle > 15 {
		t.Errorf("health %+v, idle proposed %v", r.Health, r.NewIdle)
	}
}

// A battery of 600 Wh at 15 °C gives 580; of those 290 are drawn by day. What a
// night would hold back has no part in it.
func TestColdNightHasNoPart(t *testing.T) {
	p := plainly()
	p.Supply.Battery.Room, p.Supply.Battery.Cutoff = 15, nil
	first := Test{Loads: []load.Load{Metered(load.AC, 47)}, Minutes: 300, From: Full(), To: exactly(0.5)}
	second := Test{Inverter: true, Minutes: 1440, From: Full(), To: exactly(0.6)}
	for _, second := range []*Test{nil, &second} {
		p.Supply.Battery.Night = nil
		want, err := Measure(p, first, second)
		if err != nil || math.Abs(want.Health.Likely-0.6) > 0.02 || want.NewHealth == nil || *want.NewHealth > 0.6 {
			t.Fatalf("without a night: got %+v, proposed %v, %v", want.Health, want.NewHealth, err)
		}
		for _, night := range []float64{-5, -30} {
			p.Supply.Battery.Night = &night
			if got, err := Measure(p, first, second); err != nil || !reflect.DeepEqual(got, want) {
				t.Errorf("a night of %v °C: got %+v, %v, want %+v", night, got.Health, err, want.Health)
			}
		}
	}
}

// Drills that are followed by package outage, on a supply whose truth is known
// and whose gauge is as far off as a gauge may be, tell ranges that hold the
// truth.
func TestTruthIsWithinTheRange(t *testing.T) {
	measured, idles := 0, 0
	cottage := plantest.Cottage(t)
	rapid.Check(t, func(t *rapid.T) {
		p := cottage
		draw := func(low, high float64, what string) float64 { return rapid.Float64Range(low, high).Draw(t, what) }
		p.Supply.Battery.Chemistry = rapid.SampledFrom(battery.Chemistries).Draw(t, "chemistry")
		p.Supply.Battery.Room = units.Celsius(draw(-5, 30, "room"))
		if rapid.Bool().Draw(t, "idle not known") {
			p.Supply.Inverter.IdleW = nil
		}
		health := draw(0.4, 1, "health")
		// A hair within the odds' outermost draws.
		open := newBench(p, Test{}).spread
		in := func(s span, what string) float64 { return s.low + (s.high-s.low)*draw(0, 1, what) }
		c := outage.Case{Capacity: 1, Ageing: 1, Idle: in(open.idle, "idle"), Loss: in(open.loss, "loss"), Warmer: units.Celsius(in(open.warmer, "warmer"))}
		bias := draw(-1, 1, "bias")

		run := func(what string, watts units.Watts, hours float64) (Test, bool) {
			l := Metered(load.AC, watts)
			q := p
			q.Loads = []load.Load{l}
			q.Supply.Inverter.OffWhenUnused = false
			q.Supply.Battery.Health = &health
			c.SOC, c.Draw = 1, []float64{draw(0.97, 1.03, what+" meter")}
			o := outage.NewRig(q).Run(c, units.Hours(hours), nil)
			m := q.Supply.Battery.Model()
			cut := float64(m.Cut / m.Aged)
			test := Test{Loads: []load.Load{l}, Inverter: true, Minutes: math.Round(hours * 60), From: Full()}
			if o.Empty < units.Hours(hours) {
				test.Minutes, test.To = math.Round(float64(o.Empty)*60), ShutOff(q)
				return test, test.Minutes >= 10
			}
			soc := cut + float64(o.Balance.Left/o.Battery.Usable)*(1-cut)
			shown := soc + bias*0.015 + draw(-1, 1, what+" gauge")*0.015
			if shown <= 0.01 || shown >= 0.99 {
				return test, false // pinned at an end
			}
			if bars := rapid.IntRange(0, 10).Draw(t, what+" bars"); bars >= 5 {
				test.To = gauge.Bars(p.Outage.Starts, int(math.Ceil(shown*float64(bars))), bars)
			} else {
				test.To = gauge.Percent(p.Outage.Starts, math.Round(shown*100))
			}
			return test, true
		}
		first, ok := run("first", units.Watts(draw(5, 600, "watts")), draw(0.5, 30, "hours"))
		second, ok2 := run("second", 0, draw(5, 60, "hours"))
		if !ok {
			return
		}
		var also *Test
		if ok2 {
			also = &second
		}
		r, err := Measure(p, first, also)
		if err != nil {
			return // too short, and says so
		}
		measured++
		const hair = 1e-6
		if health < r.Health.Low*(1-hair) || health > r.Health.High*(1+hair) {
			t.Fatalf("health %v is not within %+v", health, r.Health)
		}
		if r.NewHealth != nil && *r.NewHealth > health {
			t.Fatalf("proposed %v, it is %v", *r.NewHealth, health)
		}
		if r.Idle != nil {
			idles++
			idle := c.Idle * float64(p.Supply.UsualInverter().Idle())
			if idle < r.Idle.Low*(1-hair) || idle > r.Idle.High*(1+hair) {
				t.Fatalf("idle draw %v is not within %+v", idle, *r.Idle)
			}
		}
	})
	if measured < 20 || idles < 5 {
		t.Errorf("only %d drills told something, %d of the idle draw", measured, idles)
	}
}

func TestRefuses(t *testing.T) {
	at := plan.At(time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC))
	hundred := []load.Load{Metered(load.AC, 100)}
	good := Test{Loads: hundred, Minutes: 240, From: Full(), To: gauge.Percent(at, 50)}
	with := func(change func(x *Test)) Test { x := good; change(&x); return x }
	for _, c := range []struct {
		name string
		test Test
		want error
	}{
		{"the gauge rose", with(func(x *Test) { x.From, x.To = gauge.Percent(at, 50), gauge.Percent(at, 60) }), NoFall},
		{"it fell by what it may be off", with(func(x *Test) { x.To = gauge.Percent(at, 97) }), TooShort},
		{"one of five bars", with(func(x *Test) { x.From, x.To = gauge.Bars(at, 5, 5), gauge.Bars(at, 4, 5) }), TooShort},
		{"two of five bars", with(func(x *Test) { x.To = gauge.Bars(at, 3, 5) }), nil},
		{"to the last bar", with(func(x *Test) { x.To = gauge.Bars(at, 1, 5) }), nil},
		// Far more than the battery can hold, however large it may be taken.
		{"too little, whatever was drawn", with(func(x *Test) { x.Minutes, x.From, x.To = 6000, exactly(0.05), gauge.Reading{Low: 0.02, High: 0.04} }), TooShort},
		// 1,000 W for 4 hours out of half a charge would take eight such batteries;
		// 240 W for 4 hours two, which may be a label's fault.
		{"more than any battery gives", with(func(x *Test) { x.Loads = []load.Load{Metered(load.AC, 980)} }), TooMuch},
		{"twice the label", with(func(x *Test) { x.Loads = []load.Load{Metered(load.AC, 240)} }), nil},
		{"good", good, nil},
	} {
		if _, err := Measure(plainly(), c.test, nil); !errors.Is(err, c.want) && !(err == nil && c.want == nil) {
			t.Errorf("%s: got %v, want %v", c.name, err, c.want)
		}
	}
	for name, x := range map[string]Test{
		"first test, minutes":    with(func(x *Test) { x.Minutes = 9 }),
		"first test, a reading":  with(func(x *Test) { x.To = gauge.Reading{Low: 0.5, High: 0.4} }),
		"first test, Metered ac": with(func(x *Test) { x.Loads = []load.Load{Metered(load.AC, -1)} }),
		"what was on":            with(func(x *Test) { x.Loads = []load.Load{Metered(load.AC, 1001)} }),
	} {
		var e *doc.Error
		if _, err := Measure(plainly(), x, nil); !errors.As(err, &e) || e.Field != name {
			t.Errorf("%s: got %v", name, err)
		}
	}
	for name, c := range map[Refusal]Test{
		TooAlike: with(func(x *Test) { x.Loads = []load.Load{Metered(load.AC, 60)} }),
		TooVague: {Inverter: true, Minutes: 60, From: Full(), To: gauge.Percent(at, 99)},
		NoFall:   {Inverter: true, Minutes: 600, From: gauge.Percent(at, 50), To: gauge.Percent(at, 60)},
	} {
		if r, err := Measure(plainly(), good, &c); err != nil || r.Idle != nil || r.NoIdle != name {
			t.Errorf("%s: got %v, %+v", name, err, r)
		}
	}
}

// What a test likely drew says whether two are too alike: of a label that is
// 85 %, of a meter's figure all.
func TestTooAlike(t *testing.T) {
	at := plan.At(time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC))
	first := Test{Loads: []load.Load{Metered(load.AC, 100)}, Minutes: 240, From: Full(), To: gauge.Percent(at, 50)}
	for _, c := range []struct {
		basis load.Basis
		watts units.Watts
		want  bool
	}{{load.Measured, 50, false}, {load.Measured, 51, true}, {load.Label, 58, false}, {load.Label, 59, true}} {
		l := Metered(load.AC, c.watts)
		l.Basis, l.PowerFactor = c.basis, 0.9
		second := Test{Loads: []load.Load{l}, Minutes: 480, From: Full(), To: gauge.Percent(at, 50)}
		if r, err := Measure(plainly(), first, &second); err != nil || (r.NoIdle == TooAlike) != c.want {
			t.Errorf("%v W, %s: got %v, %q, want it too alike: %v", c.watts, c.basis, err, r.NoIdle, c.want)
		}
	}
}

// What agrees with the plan and is not narrow proposes nothing.
func TestProposesOnlyWhatIsNew(t *testing.T) {
	at := plan.At(time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC))
	p := plainly()
	bars := Test{Loads: []load.Load{Metered(load.AC, 100)}, Minutes: 240, From: Full(), To: gauge.Bars(at, 3, 5)}
	r, err := Measure(p, bars, nil)
	if err != nil || r.Health.Low > 0.9 || r.Health.High < 0.9 {
		t.Fatalf("%v, %+v", err, r)
	}
	p.Supply.Battery.Health = new(0.9)
	if r, _ = Measure(p, bars, nil); r.NewHealth != nil {
		t.Errorf("bars agree with 0.9 and propose %v", *r.NewHealth)
	}
	p.Supply.Battery.Health = new(0.3)
	if r, _ = Measure(p, bars, nil); r.NewHealth == nil || *r.NewHealth < 0.5 {
		t.Errorf("bars are far from 0.3 and propose %v", r.NewHealth)
	}
}

func BenchmarkMeasure(b *testing.B) {
	at := plan.At(time.Date(2026, 5, 1, 9, 0, 0, 0, time.UTC))
	p := plantest.Cottage(b)
	first := Test{Loads: []load.Load{Metered(load.AC, 100)}, Minutes: 240, From: Full(), To: gauge.Percent(at, 50)}
	second := Test{Inverter: true, Minutes: 1440, From: Full(), To: gauge.Percent(at, 60)}
	for b.Loop() {
		if _, err := Measure(p, first, &second); err != nil {
			b.Fatal(err)
		}
	}
}
