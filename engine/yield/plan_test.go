package yield

import (
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// inMonth is the plan with its outage in the middle of a month.
func inMonth(p plan.Plan, month time.Month) plan.Plan {
	p.Outage.Starts = plan.At(time.Date(2026, month, 15, 12, 0, 0, 0, time.UTC))
	return p
}

// single is a plan with one panel of a power, leaned as is best in the month,
// at a place, before an input that limits nothing.
func single(pmax units.Watts, lat, lon float64, month time.Month) plan.Plan {
	p := inMonth(plan.New("Test", plan.Moment{}), month)
	p.Place.Lat, p.Place.Lon = new(lat), new(lon)
	p.Panels = plan.Panels{Mount: plan.Leaned, PanelSet: plan.PanelSet{Count: 1, Label: panel.Label{Pmax: pmax, Voc: 24}}}
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 1500, Room: 20, Cutoff: new(0.0)}
	p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 10, MaxV: 100, MaxW: 2000}}
	return p
}

func anySet(t *rapid.T, most int) plan.PanelSet {
	pmax := rapid.Float64Range(5, 600).Draw(t, "pmax")
	voc := rapid.Float64Range(3, 60).Draw(t, "voc")
	vmp := voc * rapid.Float64Range(0.7, 0.9).Draw(t, "vmp share")
	s := plan.PanelSet{Count: rapid.IntRange(0, most).Draw(t, "count")}
	switch rapid.IntRange(0, 4).Draw(t, "what the label says") {
	case 0:
		s.Label = panel.Label{Pmax: units.Watts(pmax), Voc: units.Volts(voc)}
	case 1:
		s.Label = panel.Label{Pmax: units.Watts(pmax), Vmp: units.Volts(vmp)}
	case 2:
		s.Label = panel.Label{Pmax: units.Watts(pmax), Cells: rapid.IntRange(1, 200).Draw(t, "cells")}
	case 3:
		s.Label = panel.Label{Vmp: units.Volts(vmp), Imp: units.Amps(pmax / vmp)}
	case 4:
		s.Label = panel.Label{Pmax: units.Watts(pmax), Vmp: units.Volts(vmp), Imp: units.Amps(pmax / vmp), Voc: units.Volts(voc),
			Isc: units.Amps(1.06 * pmax / vmp), VocPct: new(-0.29), PmaxPct: new(-0.35)}
		noct := units.Celsius(rapid.Float64Range(35, 70).Draw(t, "noct"))
		s.Label.NOCT = &noct
	}
	return s
}

// anyPlan is a plan anywhere, with or without panels and inputs.
func anyPlan(t *rapid.T) plan.Plan {
	p := inMonth(plan.New("Test", plan.Moment{}), time.Month(rapid.IntRange(1, 12).Draw(t, "month")))
	maybe := func(low, high float64, what string) *float64 {
		if rapid.IntRange(0, 2).Draw(t, what+" known") == 0 {
			return nil
		}
		return new(rapid.Float64Range(low, high).Draw(t, what))
	}
	if rapid.IntRange(0, 9).Draw(t, "place known") > 0 {
		p.Place.Lat, p.Place.Lon = new(rapid.Float64Range(-90, 90).Draw(t, "lat")), new(rapid.Float64Range(-180, 180).Draw(t, "lon"))
		p.Place.Offset = maybe(-12, 14, "offset")
	}
	p.Panels = plan.Panels{
		PanelSet: anySet(t, 6), Second: anySet(t, 2),
		Mount: plan.Mount(rapid.SampledFrom(plan.Mounts).Draw(t, "mount")),
		Tilt:  maybe(0, 90, "tilt"), Azimuth: maybe(0, 360, "azimuth"),
		Shade:  rapid.Float64Range(0, 1).Draw(t, "shade"),
		CableM: maybe(0, 200, "cable"), CableMM2: maybe(0.5, 120, "section"),
	}
	if rapid.Bool().Draw(t, "sun for some hours") {
		from := load.Minute(rapid.IntRange(0, 1438).Draw(t, "from"))
		to := load.Minute(rapid.IntRange(int(from)+1, 1439).Draw(t, "to"))
		p.Panels.SunFrom, p.Panels.SunTo = &from, &to
	}
	for range rapid.IntRange(0, 3).Draw(t, "inputs") {
		in := charge.Input{Kind: charge.Kind(rapid.SampledFrom([]string{"panel", "panel", "wall"}).Draw(t, "kind")), Watts: 100}
		in.MaxV = units.Volts(rapid.Float64Range(5, 300).Draw(t, "max v"))
		in.MinV = in.MaxV * units.Volts(rapid.Float64Range(0, 0.5).Draw(t, "min v share"))
		limits := rapid.IntRange(0, 3).Draw(t, "limits")
		if limits != 0 {
			in.MaxA = units.Amps(rapid.Float64Range(0.1, 30).Draw(t, "max a"))
			in.Unlimited = limits == 3
		}
		if limits != 1 {
			in.MaxW = units.Watts(rapid.Float64Range(1, 2000).Draw(t, "max w"))
		}
		p.Supply.Inputs = append(p.Supply.Inputs, in)
	}
	return p
}
