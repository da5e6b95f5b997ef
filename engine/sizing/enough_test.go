package sizing

import (
	"math"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

// spring is a household of the northern middle latitudes in April: one panel,
// a 1,500 Wh battery, and one load on its inverter all day.
func spring(panels, running units.Watts) plan.Plan {
	p := plan.New("Test", plan.At(time.Date(2026, 4, 15, 12, 0, 0, 0, time.UTC)))
	p.Place.Lat, p.Place.Lon = new(42.0), new(-90.0)
	p.Panels = plan.Panels{Mount: plan.Leaned, PanelSet: plan.PanelSet{Count: 1, Label: panel.Label{Pmax: panels, Voc: 40}}}
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1500, Room: 20, SelfDischarge: new(0.0)}
	p.Supply.Inverter = inverter.Inverter{Continuous: 1500, IdleW: new(12.0), Efficiency: new(0.9)}
	p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 10, MaxV: 100, MaxW: 5000}}
	p.Loads = []load.Load{{Name: "Heater", Outlet: load.AC, Running: running, Duty: 1, PowerFactor: 1}}
	return p
}

// Common practice: a steady 200 W can't live on a 400 W panel in a northern
// spring. It takes some 5 kWh a day, of which the panel brings a third, and a
// panel of about a kilowatt and a half.
func TestSteady200OnPanelOf400(t *testing.T) {
	p := spring(400, 200)
	b := Enough(p, yield.Of(p), 4)
	if b.Need < 24*(200+12) || b.Need > 24*(200+12)*1.15 {
		t.Errorf("needs %v Wh a day", b.Need)
	}
	if b.Usual > b.Need/2 || b.Usual < b.Need/5 || b.Poor > b.Usual/2 {
		t.Errorf("of %v Wh the panel covers %v on usual days, %v on poor ones", b.Need, b.Usual, b.Poor)
	}
	if b.WattsUsual < 1000 || b.WattsUsual > 2000 || b.WattsPoor < 2*b.WattsUsual {
		t.Errorf("it would take %v W, on poor days %v W", b.WattsUsual, b.WattsPoor)
	}
	if b.Steady < 30 || b.Steady > 70 {
		t.Errorf("the panel carries %v W day and night", b.Steady)
	}
}

// In frost nothing is stored, and no panels would be enough: none are named. A
// lead battery may be charged there.
func TestNoPanelsAreEnoughInFrost(t *testing.T) {
	p := spring(400, 200)
	p.Supply.Battery.Room = -4
	if b := Enough(p, yield.Of(p), 4); !b.NoCharge || b.Usual != 0 || b.Poor != 0 || b.WattsUsual != 0 || b.WattsPoor != 0 || b.Steady != 0 || b.Need <= 0 {
		t.Errorf("lithium in frost: %+v", b)
	}
	p.Supply.Battery.Chemistry = battery.AGM
	if b := Enough(p, yield.Of(p), 4); b.NoCharge || b.Usual <= 0 || b.WattsUsual <= 0 {
		t.Errorf("lead in frost: %+v", b)
	}
}

// What is advised is enough: panels of that size bring the need, and the steady
// load draws what the panels bring and no more.
func TestAdviceIsEnough(t *testing.T) {
	for _, c := range []struct{ panels, running units.Watts }{{100, 10}, {400, 200}, {2000, 50}, {50, 500}} {
		p := spring(c.panels, c.running)
		p.Supply.Battery.SelfDischarge = new(0.3)
		b := Enough(p, yield.Of(p), 4)
		const tolerance = 1e-6
		p.Panels.Label.Pmax = b.WattsUsual
		p.Supply.Inputs[0].MaxW = 50000
		if got := Enough(p, yield.Of(p), 4); math.Abs(float64(got.Usual/b.Need)-1) > tolerance {
			t.Errorf("%+v: panels of %v W store %v of the %v Wh on usual days", c, b.WattsUsual, got.Usual, b.Need)
		}
		p.Panels.Label.Pmax = b.WattsPoor
		if got := Enough(p, yield.Of(p), 4); math.Abs(float64(got.Poor/b.Need)-1) > tolerance {
			t.Errorf("%+v: panels of %v W store %v of the %v Wh on poor days", c, b.WattsPoor, got.Poor, b.Need)
		}
		p.Loads[0].Running = b.Steady
		need := outage.NewRig(p).Day()
		if b.Steady > 0 && math.Abs(float64(need/b.Usual)-1) > tolerance {
			t.Errorf("%+v: %v W draw %v Wh of %v", c, b.Steady, need, b.Usual)
		}
	}
}

// A household that takes the need of its advice from usual days alone, hour by
// hour, comes out of each day with no less than it went in: counting all as
// stored is wary.
func TestAdviceByTheHour(t *testing.T) {
	p := spring(400, 200)
	p.Supply.Battery.Capacity = 15000 // no day fills or empties it
	p.Panels.Label.Pmax = Enough(p, yield.Of(p), 4).WattsUsual
	p.Supply.Inputs[0].MaxW = 50000
	y := yield.Of(p)
	c := outage.AsPlanned(0.5)
	mid := plan.At(time.Date(2025, 4, 15, 0, 0, 0, 0, time.UTC))
	p.Outage.Starts = mid
	for range 5 {
		c.Sun = append(c.Sun, y.UsualDay(mid)...)
	}
	b := outage.NewRig(p).Run(c, 120, nil).Balance
	if gain := b.Left - b.Start; gain < 0 || gain > 5*0.1*Enough(p, y, 4).Need {
		t.Errorf("after five days %+.0f Wh, want a little more than none", float64(gain))
	}
}

func TestEnoughAtItsEnds(t *testing.T) {
	p := spring(400, 200)
	p.Supply.Battery.Room = -5 // lithium is not charged in frost
	b := Enough(p, yield.Of(p), 4)
	if b.Poor != 0 || b.Usual != 0 || b.Steady != 0 || b.Need <= 0 {
		t.Errorf("in frost %+v", b)
	}
	p = spring(400, 0)
	p.Loads = nil
	if b = Enough(p, yield.Of(p), 4); b.Need != 0 || b.WattsUsual != 0 || b.WattsPoor != 0 || b.Usual <= 0 {
		t.Errorf("with nothing on %+v", b)
	}
	p = spring(400, 200)
	p.Place.Lat = new(78.0)
	p.Outage.Starts = plan.At(time.Date(2026, 12, 15, 12, 0, 0, 0, time.UTC))
	if b = Enough(p, yield.Of(p), 12); b.Usual != 0 || b.Steady != 0 || b.WattsUsual != 0 || b.WattsPoor != 0 {
		t.Errorf("in a polar night %+v", b)
	}
	p = spring(2000, 200)
	p.Panels.Count = 10
	p.Supply.Inputs[0].MaxW = 50000
	p.Supply.Inverter.Continuous = 300
	if b = Enough(p, yield.Of(p), 4); b.Steady != 300 {
		t.Errorf("an inverter of 300 W carries %v", b.Steady)
	}
	// A limit of the input cuts what the day brings, and not the panels advised.
	free := Enough(spring(400, 200), yield.Of(spring(400, 200)), 4)
	p = spring(400, 200)
	p.Supply.Inputs[0].MaxW = 50
	if b = Enough(p, yield.Of(p), 4); b.WattsUsual != free.WattsUsual || b.Usual >= free.Usual {
		t.Errorf("behind 50 W %+v, free %+v", b, free)
	}
	// Lead that is drawn until it is empty gives less the faster that is.
	p = spring(400, 200)
	p.Supply.Battery.Cutoff = new(0.0)
	gentle := Enough(p, yield.Of(p), 4).Need
	p.Supply.Battery.Chemistry = battery.AGM
	if hard := Enough(p, yield.Of(p), 4).Need; hard <= gentle {
		t.Errorf("lead needs %v Wh, lithium %v", hard, gentle)
	}
}
