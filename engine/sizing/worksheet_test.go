package sizing

import (
	"math"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/sun"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// warmthOf is the temperature at which lead-acid gives a share of its capacity.
func warmthOf(share float64) units.Celsius {
	low, high := units.Celsius(-10), units.Celsius(25)
	for range 60 {
		if mid := (low + high) / 2; battery.AGM.ColdFactor(mid) < share {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// steadyOn is a plan of one steady load on 12 V, beside a battery that loses
// nothing else.
func steadyOn(b battery.Battery, w units.Watts) plan.Plan {
	p := plan.New("Worksheet", plan.At(time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC)))
	b.Chemistry, b.SelfDischarge = battery.AGM, new(0.0)
	p.Supply.Battery = b
	p.Supply.DCEfficiency = 1
	p.Loads = []load.Load{{Name: "Load", Rank: load.Vital, Outlet: load.DC, Running: w, Duty: 1, PowerFactor: 1, Basis: load.Measured}}
	return p
}

// The autonomy worksheet of IEEE Std 1013, which SAND87-7023, Stand-Alone
// Photovoltaic Systems: A Handbook of Recommended Design Practices, has too (its
// form from memory, the figures worked out here):
//
//	Ah = Ah a day · days ÷ depth of discharge ÷ share given at the temperature
//	     ÷ share left at the end of life
//
// A battery of that size, at its end of life and in that cold, carries the load
// for the days of the worksheet and no longer.
func TestAutonomyWorksheet(t *testing.T) {
	const volts = 12
	for _, c := range []struct {
		ahADay, days, depth, given, life float64
		want                             float64 // Ah
	}{
		{100, 5, 0.8, 0.9, 1, 694.4},
		{100, 5, 0.8, 0.9, 0.8, 868.1},
		{40, 3, 0.5, 1, 0.8, 300},
		{25, 10, 0.8, 0.8, 0.8, 488.3},
		{60, 7, 0.6, 0.9, 1, 777.8},
	} {
		ah := c.ahADay * c.days / c.depth / c.given / c.life
		if math.Abs(ah-c.want) > 0.05 {
			t.Errorf("%+v: the sheet comes to %v Ah", c, ah)
		}
		p := steadyOn(battery.Battery{Capacity: units.WattHours(ah * volts), Room: warmthOf(c.given), Cutoff: new(1 - c.depth), Health: new(c.life)},
			units.Watts(c.ahADay*volts/24))
		got := float64(outage.NewRig(p).Run(outage.AsPlanned(1), outage.Horizon, nil).Empty)
		if want := 24 * c.days; math.Abs(got/want-1) > 1e-6 {
			t.Errorf("%+v: carried for %v h, want %v", c, got, want)
		}
	}
}

// The cell sizing of IEEE Std 485 for one constant load: its size uncorrected,
// times kt of Table 1 (1.11 at 60 °F), a design margin of 1.10 to 1.15 and an
// ageing factor of 1.25 (clauses 6.2 and 6.3, from memory). Old and cold, such a
// battery still carries the load, with the margin to spare.
func TestCellSizeWorksheet(t *testing.T) {
	const kt, ageing = 1.11, 1.25
	for _, margin := range []float64{1, 1.10, 1.15} {
		const hours, watts = 20.0, 60.0 // the rated discharge: no loss to the rate
		uncorrected := hours * watts
		p := steadyOn(battery.Battery{Capacity: units.WattHours(uncorrected * kt * margin * ageing), Room: 15.6, Cutoff: new(0.0), Health: new(1 / ageing)}, watts)
		got := float64(outage.NewRig(p).Run(outage.AsPlanned(1), outage.Horizon, nil).Empty)
		// A constant power draws its current at 95 % of the nominal voltage (IEEE
		// Std 1013-2007 clause 5.2.2), so that the rated discharge is passed by a
		// little, at a health of 80 % by more.
		if want := hours * margin; got > want*(1+1e-9) || got < want*0.93 {
			t.Errorf("margin %v: carried for %v h, want up to %v", margin, got, want)
		}
	}
}

// The array worksheet of IEEE Std 1562 and SAND87-7023 (from memory): the rated
// power is the day's load over the peak sun hours of the design month on the
// panels' plane and over what is kept of it on the way. Need ÷ battery
// efficiency is the load that the array sees. What the engine asks for on usual
// days lies near that; it counts the cells' warmth and weak light too, which the
// worksheet leaves to the module's derating, and a usual day is the median, not
// the mean.
func TestArrayWorksheet(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		month    time.Month
	}{{43.1, -89.4, time.December}, {35, -106, time.December}, {36.1, -79.9, time.March}, {9, 38.7, time.July}, {-35, 149, time.June}} {
		p := sunnyLoad(c.lat, c.lon, c.month, 1000, 5000, 20)
		y := yield.Of(p)
		b := Enough(p, y, int(c.month))
		yard, err := sun.NewYard(y.Site, sun.Array{Pmax: 1, NOCT: 45, Mounting: y.Lies, Losses: sun.UsualLosses()})
		if err != nil {
			t.Fatal(err)
		}
		hours := yard.Insolation(int(c.month))
		kept := sun.UsualLosses().Kept() * (1 - 0.06) // glass and weak light, about (from memory)
		want := float64(b.Need) / yield.Pack(p).Efficiency / (hours * kept)
		if got := float64(b.WattsUsual); got < 0.8*want || got > 1.3*want {
			t.Errorf("%v°, %v: %v W, by the worksheet %v", c.lat, c.month, got, want)
		}
	}
}

// sunnyLoad is a steady 12 V load with panels of a power and a battery.
func sunnyLoad(lat, lon float64, month time.Month, panels units.Watts, capacity units.WattHours, w units.Watts) plan.Plan {
	p := steadyOn(battery.Battery{Capacity: capacity, Room: 25, Cutoff: new(0.2)}, w)
	p.Outage.Starts = plan.At(time.Date(2026, month, 1, 0, 0, 0, 0, time.UTC))
	p.Place.Lat, p.Place.Lon = &lat, &lon
	p.Panels = plan.Panels{Mount: plan.Leaned, PanelSet: plan.PanelSet{Count: 1, Label: panel.Label{Pmax: panels, Voc: 24}}}
	p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 5, MaxV: 100, MaxW: 50000}}
	return p
}

// The Sandia handbook's rule for days of storage, as fitted to its curves in the
// trade's textbooks (from memory): with an array that covers the design month,
// 4.58 − 0.48·T days of storage carry 95 % of the time and 18.3 − 1.9·T days 99 %,
// T being the peak sun hours of that month, 1 to 7. Weather made up for three
// winter months on such systems is without power for no less than such a share, a
// factor of 2.5 aside. The rule knows the month's sun; where skies are often grey the
// made-up places may be far darker than their climate: an array that covers the
// month even where it is as dark as 1 place in 10 keeps to the rule, within the same
// factor, and within 5 where skies are grey and places darker still are among them.
func TestDaysOfStorage(t *testing.T) {
	for _, c := range []struct {
		name           string
		lat, lon, most float64
	}{{"north", 43.1, -89.4, 5}, {"south-west", 35, -106, 2.5}} {
		probe := sunnyLoad(c.lat, c.lon, time.December, 1000, 5000, 20)
		y := yield.Of(probe)
		yard, err := sun.NewYard(y.Site, sun.Array{Pmax: 1, NOCT: 45, Mounting: y.Lies, Losses: sun.UsualLosses()})
		if err != nil {
			t.Fatal(err)
		}
		T := yard.Insolation(12)
		const w = 20
		need := 24.0 * w
		array := need / yield.Pack(probe).Efficiency / float64(y.Month(12).Mean) * float64(y.Best.Array) // covers the mean day
		without := func(array, days float64) float64 {
			p := sunnyLoad(c.lat, c.lon, time.December, units.Watts(array), units.WattHours(need*days/0.8), w)
			p.Supply.Battery.Health = new(1.0)
			p.Outage.Hours = outage.Horizon
			e, _ := odds.NewSampler(41, odds.Seed).Through(p, nil)
			return float64(e.Without[0] / p.Outage.Hours)
		}
		for _, level := range []struct{ days, short float64 }{{4.58 - 0.48*T, 0.05}, {18.3 - 1.9*T, 0.01}} {
			mean, dark := without(array, level.days), without(array/yard.PoorCut(12), level.days)
			t.Logf("%s, %.2f h of sun, %.1f days: without %.1f %% of the time, with panels for a dark place %.1f %%", c.name, T, level.days, 100*mean, 100*dark)
			if mean < level.short/2.5 || dark > level.short*c.most {
				t.Errorf("%s, %.2f h of sun, %.1f days: without %.1f and %.1f %% of the time, want about %.0f %%", c.name, T, level.days, 100*mean, 100*dark, 100*level.short)
			}
		}
	}
}
