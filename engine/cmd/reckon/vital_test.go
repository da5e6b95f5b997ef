package main

import (
	"math"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// What is vital alone lasts as long as a plan of nothing else. By hand: a mask
// of 30 W at a 12 V outlet of 90 % takes 33.3 W of a battery that gives 900 of
// 1,000 Wh: 27 hours; with a lamp of 60 W beside it 9.
func TestVital(t *testing.T) {
	file := func(lamp, mask load.Load) string {
		p := plan.New("Test", plan.Moment{})
		p.Outage.Starts, _ = plan.ParseMoment("2026-01-14T17:00")
		p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1000, Room: 20, Health: new(1.0), Cutoff: new(0.1), SelfDischarge: new(0.0)}
		p.Supply.DCEfficiency = 0.9
		for _, l := range []load.Load{lamp, mask} {
			l.Outlet, l.Count, l.Duty, l.PowerFactor, l.Basis = load.DC, 1, 1, 1, load.Measured
			p.Loads = append(p.Loads, l)
		}
		return string(p.Encode())
	}
	thing := func(name string, rank load.Rank, watts units.Watts, off bool) load.Load {
		return load.Load{Name: name, Rank: rank, Running: watts, Off: off}
	}
	lamp, mask := thing("Lamp", load.Useful, 60, false), thing("Mask", load.Vital, 30, false)
	got := answer(t, file(lamp, mask), "-only", "vital,runtime")
	h := got["vital"]["likely_h"].(float64)
	if h < 25.5 || h > 27.5 {
		t.Errorf("likely %v h, by hand 27", h)
	}
	if all := got["runtime"]["likely_h"].(float64); all < 8.4 || all > 9.2 {
		t.Errorf("with the lamp likely %v h, by hand 9", all)
	}
	if c := got["vital"]["count_on_h"].(float64); c > h || c < 0.8*h {
		t.Errorf("count on %v of %v h", c, h)
	}
	// The very figures of a plan in which the lamp is off, and of one of nothing
	// but what is vital.
	lamp.Off = true
	for _, key := range []string{"likely_h", "count_on_h"} {
		off := answer(t, file(lamp, mask), "-only", "vital,runtime")
		if off["vital"][key] != got["vital"][key] || off["runtime"][key] != got["vital"][key] {
			t.Errorf("%s: %v, with the lamp off %v and %v", key, got["vital"][key], off["vital"][key], off["runtime"][key])
		}
	}
	mask.Off, lamp.Off = true, false
	if got := answer(t, file(lamp, mask), "-only", "vital")["vital"]; got != nil {
		t.Errorf("nothing vital is on: %v", got)
	}
}

// In an outage it goes by the readings: where twice as much is drawn as listed,
// they tell of less than the last alone; with nothing but what is vital on it is
// what is left.
func TestVitalByReadings(t *testing.T) {
	at, _ := plan.ParseMoment("2026-01-14T17:00")
	p := plan.New("Test", at)
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1000, Room: 20}
	p.Supply.DCEfficiency = 0.9
	p.Loads = []load.Load{
		{Name: "Mask", Rank: load.Vital, Running: 30, Outlet: load.DC, Count: 1, Duty: 1, PowerFactor: 1, Basis: load.Typical},
		{Name: "Lamp", Rank: load.Useful, Running: 30, Outlet: load.DC, Count: 1, Duty: 1, PowerFactor: 1, Basis: load.Typical},
	}
	p.Outage.UnderWay = true
	for i, soc := range []float64{1, 0.86, 0.72, 0.58} { // 130 W and more, where 60 are listed
		p.Outage.Starts, p.Outage.SOC = at.After(units.Hours(i)), soc
		p.Outage.Log = p.Outage.Log.Read(plan.Reading{At: p.Outage.Starts, SOC: soc, SOCLow: soc})
	}
	read := answer(t, string(p.Encode()), "-only", "vital,left")
	last := p
	last.Outage.Log.Readings = p.Outage.Log.Readings[3:]
	alone := answer(t, string(last.Encode()), "-only", "vital,left")
	for _, key := range []string{"count_on_h", "likely_h"} {
		v, l := read["vital"][key].(float64), read["left"][key].(float64)
		if v >= 0.8*alone["vital"][key].(float64) || v <= l {
			t.Errorf("%s: vital alone %v, left %v; by the last reading %v", key, v, l, alone["vital"][key])
		}
	}
	p.Loads[1].Off = true
	p.Loads[0].Running = 60
	if got := answer(t, string(p.Encode()), "-only", "vital,left"); got["vital"]["count_on_h"] != got["left"]["count_on_h"] || got["vital"]["likely_h"] != got["left"]["likely_h"] {
		t.Errorf("nothing else is on: %v", got)
	}
}

// Where nothing that is on can start, an idle inverter's days are told of nobody.
func TestNothingRunsNoTime(t *testing.T) {
	p := plan.New("Test", plan.Moment{})
	p.Outage.Starts, _ = plan.ParseMoment("2026-01-14T17:00")
	p.Outage.UnderWay = true
	p.Outage.Log.Readings = []plan.Reading{{At: p.Outage.Starts.After(-3), SOCLow: 1, SOC: 1}, {At: p.Outage.Starts, SOCLow: 0.9, SOC: 0.9}}
	p.Outage.SOC = 0.9
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 10000, Room: 20}
	p.Supply.Inverter.Continuous, p.Supply.Inverter.SurgeW = 600, new(900.0)
	p.Loads = []load.Load{{Name: "Concentrator", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 320, Starting: 1000, Duty: 1, PowerFactor: 0.75, Basis: load.Measured}}
	got := answer(t, string(p.Encode()), "-only", "runtime,left,vital,odds,shed")
	for _, key := range []string{"runtime", "left", "vital"} {
		for _, figure := range []string{"count_on_h", "likely_h"} {
			if got[key][figure] != 0.0 {
				t.Errorf("%s.%s is %v", key, figure, got[key][figure])
			}
		}
	}
	if got["odds"]["of_20"] != 0.0 || got["shed"]["reaches"] != false || got["shed"]["count_on_h"] != 0.0 {
		t.Errorf("holds in %v of 20; %v", got["odds"]["of_20"], got["shed"])
	}
	// With lamps on beside it, no switch helps what is vital.
	p.Loads = append(p.Loads, load.Load{Name: "Lamps", Rank: load.Comfort, Outlet: load.AC, Count: 1, Running: 40, Duty: 1, Basis: load.Measured})
	if got := answer(t, string(p.Encode()), "-only", "shed")["shed"]; got["reaches"] != false || got["count_on_h"] != 0.0 {
		t.Errorf("with lamps: %v", got)
	}
}

// In an outage what is asked of all readings goes by all of them: what drains
// faster than planned is not held for longer than it is said to last.
func TestReadingsEverywhere(t *testing.T) {
	p := plan.New("Test", plan.Moment{})
	p.Outage.Starts, _ = plan.ParseMoment("2026-01-14T22:00")
	p.Outage.UnderWay, p.Outage.SOC, p.Outage.Hours = true, 0.4, 3
	p.Outage.Log.Readings = []plan.Reading{{At: p.Outage.Starts.After(-4), SOCLow: 1, SOC: 1}, {At: p.Outage.Starts, SOCLow: 0.4, SOC: 0.4}}
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1000, Room: 20}
	p.Supply.Gauge.Kind = plan.Percent
	p.Loads = []load.Load{{Name: "Pump", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 60, Duty: 1, PowerFactor: 1, Basis: load.Typical}}
	got := answer(t, string(p.Encode()), "-only", "left,odds,shed")
	best := got["left"]["at_best_h"].(float64)
	if best > 3.5 || got["odds"]["hold"].(float64) > 0.5 {
		t.Errorf("left %v, holds for 3 h in %v", got["left"], got["odds"]["hold"])
	}
	if got["shed"]["reaches"] != false || math.Abs(got["shed"]["count_on_h"].(float64)-got["left"]["count_on_h"].(float64)) > 0.05 {
		t.Errorf("left %v, with nothing to switch off %v", got["left"], got["shed"])
	}
}
