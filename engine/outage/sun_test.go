package outage

import (
	"math"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// anySun is what panels give over some days, dark at night, now and then in
// the middle of the day too.
func anySun(t *rapid.T) []units.Watts {
	most := rapid.SampledFrom([]float64{0, 30, 300, 3000}).Draw(t, "most sun")
	sun := make([]units.Watts, rapid.IntRange(0, 100).Draw(t, "hours of sun"))
	for h := range sun {
		if clock := h % 24; clock >= 6 && clock < 19 {
			sun[h] = units.Watts(max(0, rapid.Float64Range(-0.2, 1).Draw(t, "sun")*most))
		}
	}
	return sun
}

func TestEnergyClosesWithSun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		c := anyCase(t, p)
		c.Sun = anySun(t)
		until := units.Hours(rapid.Float64Range(0, 150).Draw(t, "until"))
		full, offered, at := units.WattHours(math.Inf(1)), 0.0, units.Hours(0)
		r := NewRig(p)
		full = r.Run(c, 0, nil).Battery.Usable
		out := r.Run(c, until, func(s Step) {
			if s.LeftTo < 0 || s.LeftTo > full*(1+1e-12) {
				t.Fatalf("%v Wh in a battery of %v", s.LeftTo, full)
			}
			if math.Abs(float64(s.From-at)) > 1e-9 || s.To < s.From {
				t.Fatalf("a step from %v to %v follows one to %v", s.From, s.To, at)
			}
			at = s.To
			offered += float64(s.Sun.For(s.To - s.From))
		})
		b := out.Balance
		if gap := math.Abs(b.Gap()); !(gap <= 1e-9*float64(b.Start+b.Sun)) {
			t.Fatalf("%g Wh are unexplained: %+v", gap, b)
		}
		if d := math.Abs(float64(b.Sun+b.Spilled) - offered); d > 1e-9*offered {
			t.Fatalf("of %v Wh of sun %v was taken, %v spilled", offered, b.Sun, b.Spilled)
		}
		for _, part := range []units.WattHours{b.Left, b.Sun, b.ToLoads, b.Conversion, b.Idle, b.Rate, b.SelfDrain, b.Charging, b.Spilled} {
			if !(part >= -1e-9*(b.Start+b.Sun)) {
				t.Fatalf("a part below zero: %+v", b)
			}
		}
	})
}

// What is left agrees with the second-by-second course at every step, and
// where one of the two ends the other is about to.
func TestRunWithSunAgainstSeconds(t *testing.T) {
	const longest = 40.0 // hours
	full, ended := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		p := unswung(anyPlan(t))
		c := anyCase(t, p)
		c.Sun = anySun(t)
		empty, left := bySeconds(p, c, longest)
		r := NewRig(p)
		usable := r.Run(c, 0, nil).Battery.Usable
		// Two seconds of the greatest flow yet, an hour of self-discharge, which
		// a step of charging takes in one go, and the stepping's own error.
		var flow units.Watts
		near := func() float64 {
			drain := float64(p.Supply.Battery.Model().Drain)
			return 2*float64(flow)/3600 + drain + 2e-3*float64(usable)
		}
		out := r.Run(c, longest, func(s Step) {
			flow = max(flow, s.Out, s.Sun)
			if minute := int(math.Round(float64(s.From) * 60)); minute < len(left) {
				if math.Abs(left[minute]-float64(s.LeftFrom)) > near() {
					t.Fatalf("after %v h %v Wh are left, by seconds %v", s.From, s.LeftFrom, left[minute])
				}
			}
			if s.LeftFrom > usable*0.999 {
				full++
			}
		})
		got := float64(out.Empty)
		switch {
		case got < empty-2.0/3600: // seconds go on: there must be next to nothing left
			if minute := int(got * 60); minute < len(left)-1 && left[minute+1] > 2*near() {
				t.Fatalf("got %v h, by seconds %v h with %v Wh left", got, empty, left[minute+1])
			}
		case got > empty+2.0/3600:
			rest := 0.0
			r.Run(c, units.Hours(empty), func(s Step) { rest = float64(s.LeftTo) })
			if rest > 2*near() {
				t.Fatalf("got %v h with %v Wh left where seconds end, at %v h", got, rest, empty)
			}
		}
		if !math.IsInf(got, 1) {
			ended++
		}
	})
	if full < 5 || ended < 20 {
		t.Errorf("full %d times, ended %d times: the test says too little", full, ended)
	}
}

// A load of no watts that is switched every five minutes cuts the course into
// steps no longer than that, and changes nothing: charging is in closed form.
func TestLongStepsAreExact(t *testing.T) {
	metronome := load.Load{Name: "Metronome", Outlet: load.DC, Duty: 1, PowerFactor: 1}
	for m := load.Minute(0); m < load.Day; m += 10 {
		metronome.Use = append(metronome.Use, load.Window{From: m, To: m + 5})
	}
	charged := 0
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		drains := rapid.Bool().Draw(t, "drains")
		if !drains {
			p.Supply.Battery.SelfDischarge = new(0.0)
		}
		p.Supply.Battery.Capacity += 500
		p.Supply.Battery.Room = max(p.Supply.Battery.Room, 5)
		c := anyCase(t, p)
		c.SOC = max(c.SOC, 0.5)
		c.Sun = anySun(t)
		const until units.Hours = 72
		var most units.Hours
		want := NewRig(p).Run(c, until, nil)
		p.Loads = append(p.Loads, metronome)
		c.Draw = append(c.Draw, 1)
		got := NewRig(p).Run(c, until, func(s Step) { most = max(most, s.To-s.From) })
		if most > 5.0/60+1e-9 {
			t.Fatalf("a step of %v h", most)
		}
		if got.Balance.Charging > 0 {
			charged++
		}
		if !drains && math.Abs(float64(got.Empty-want.Empty)) > 1e-6 {
			t.Fatalf("in short steps empty at %v h, in long ones at %v", got.Empty, want.Empty)
		}
		if math.IsInf(float64(got.Empty), 1) && math.IsInf(float64(want.Empty), 1) {
			// Self-discharge comes off at the end of a step of charging, so a
			// full battery is told up to an hour of it low.
			tolerance := 1e-9*float64(want.Battery.Usable+want.Balance.Sun) + float64(p.Supply.Battery.Model().Drain)
			low := float64(got.Balance.Left - want.Balance.Left)
			if math.Abs(low) > tolerance {
				t.Fatalf("in short steps %v Wh are left, in long ones %v", got.Balance.Left, want.Balance.Left)
			}
		}
	})
	if charged < 10 {
		t.Errorf("only %d courses charged", charged)
	}
}

func TestMoreSunNeverShortens(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		c := anyCase(t, p)
		c.Sun = anySun(t)
		more := c
		more.Sun = append([]units.Watts(nil), c.Sun...)
		for range rapid.IntRange(0, 24).Draw(t, "more hours") {
			more.Sun = append(more.Sun, units.Watts(rapid.Float64Range(0, 500).Draw(t, "later")))
		}
		for h := range more.Sun {
			if rapid.Bool().Draw(t, "brighter") {
				more.Sun[h] += units.Watts(rapid.Float64Range(0, 500).Draw(t, "by"))
			}
		}
		r := NewRig(p)
		none, less, most := c, r.Run(c, 200, nil).Empty, r.Run(more, 200, nil).Empty
		none.Sun = nil
		dark := r.Run(none, 200, nil).Empty
		const rounding = 1 - 1e-9
		if less < dark*rounding || most < less*rounding {
			t.Fatalf("dark %v h, with sun %v, with more %v", dark, less, most)
		}
	})
}

// sunny is hourly sun of one power between two hours of a day, and dark after.
func sunny(w units.Watts, from, to int) []units.Watts {
	sun := make([]units.Watts, to)
	for h := from; h < to; h++ {
		sun[h] = w
	}
	return sun
}

func TestSunByHand(t *testing.T) {
	router := load.Load{Name: "Router", Running: 100, Outlet: load.DC, Duty: 1, PowerFactor: 1}
	half := lossless(1000)
	half.Battery.ChargeEfficiency = new(0.5)
	cold, lead := lossless(1000), lossless(1000)
	cold.Battery.Room, lead.Battery.Room = -5, -5
	lead.Battery.Chemistry = "agm"
	lead.Battery.ChargeEfficiency = new(1.0)
	usable := func(s plan.Supply) float64 { return float64(s.Battery.Model().Usable) }
	for _, c := range []struct {
		name   string
		supply plan.Supply
		starts string
		soc    float64
		sun    []units.Watts
		empty  float64
		taken  float64
		spill  float64
	}{
		{"none", half, "12:00", 1, nil, 10, 0, 0},
		{"half the load for four hours", half, "12:00", 1, sunny(50, 12, 16), 12, 200, 0},
		{"all of it", half, "12:00", 1, sunny(100, 12, 16), 14, 400, 0},
		{"twice, of which half is lost in storing", half, "12:00", 0.5, sunny(200, 12, 16), 11, 800, 0},
		{"from the middle of an hour", half, "12:30", 0.5, sunny(100, 12, 13), 5.5, 50, 0},
		{"an hour that has passed", half, "13:00", 0.5, sunny(100, 12, 13), 5, 0, 0},
		{"the next morning, too late", half, "12:00", 0.5, sunny(500, 30, 40), 5, 0, 0},
		{"the next morning, in time", half, "23:00", 1, sunny(100, 30, 33), 13, 300, 0},
		{"full already", half, "12:00", 1, sunny(300, 12, 14), 12, 200, 400},
		{"lithium in the cold", cold, "12:00", 0.5, sunny(300, 12, 14), 2 + usable(cold)*0.5/100, 200, 400},
		{"lead in the cold", lead, "12:00", 0.2, sunny(200, 12, 13), 1 + (usable(lead)*0.2+100)/100, 200, 0},
	} {
		p := household(t, c.supply, router)
		p.Outage.Starts = clock(t, c.starts)
		circumstances := AsPlanned(c.soc)
		circumstances.Sun = c.sun
		got := NewRig(p).Run(circumstances, Horizon, nil)
		const tolerance = 1e-9
		if math.Abs(float64(got.Empty)-c.empty) > tolerance || math.Abs(float64(got.Balance.Sun)-c.taken) > tolerance*1000 ||
			math.Abs(float64(got.Balance.Spilled)-c.spill) > tolerance*1000 {
			t.Errorf("%s: empty %v h, taken %v, spilled %v Wh, want %v, %v, %v", c.name, got.Empty, got.Balance.Sun, got.Balance.Spilled, c.empty, c.taken, c.spill)
		}
	}
}

// The loads take the sun first: while it shines enough for them, nothing leaves
// the battery, and no conversion is paid for storing.
func TestSunServesTheLoadsFirst(t *testing.T) {
	p := household(t, lossless(1000), load.Load{Name: "Router", Running: 100, Outlet: load.DC, Duty: 1, PowerFactor: 1})
	p.Supply.Battery.ChargeEfficiency = new(0.5)
	c := AsPlanned(0.5)
	c.Sun = sunny(100, 12, 20)
	b := NewRig(p).Run(c, 8, nil).Balance
	if b.Left != b.Start || b.Charging != 0 || b.Spilled != 0 || b.Sun != 800 || b.ToLoads != 800 {
		t.Errorf("%+v", b)
	}
}

// No sun at all, and no hours of sun, are the same, bit for bit; dark hours are
// but for rounding.
func TestNoSunIsDark(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		c := anyCase(t, p)
		r := NewRig(p)
		want := r.Run(c, Horizon, nil)
		c.Sun = []units.Watts{}
		if got := r.Run(c, Horizon, nil); got != want {
			t.Fatalf("got %+v, want %+v", got, want)
		}
		c.Sun = make([]units.Watts, 100)
		if got := r.Run(c, Horizon, nil); got.Empty != want.Empty && math.Abs(float64(got.Empty-want.Empty)) > 1e-9*float64(want.Empty) {
			t.Fatalf("dark hours end at %v, none at %v", got.Empty, want.Empty)
		}
	})
}
