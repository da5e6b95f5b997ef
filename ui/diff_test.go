package ui

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"candleclock/engine/doc"
	"candleclock/engine/link"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// fullPlan is a plan in which every field says something.
func fullPlan(t tester) plan.Plan {
	t.Helper()
	p, err := plan.Decode([]byte(`{
  "candleclock": 1, "id": "0123456789abcdef", "name": "Home",
  "place": {"name": "Halifax", "lat": 44.6, "lon": -63.6, "zone": "America/Halifax", "utc_offset_h": -4},
  "mains_v": 120,
  "loads": [
    {"name": "Breathing mask", "rank": "vital", "running_w": 40, "low_w": 30, "high_w": 60, "starting_w": 50, "duty": 0.9, "power_factor": 0.8,
     "cycles_itself": true, "cycle_min": 40, "count": 2, "outlet": "12v", "basis": "label", "off": true, "use": [{"from": "22:00", "to": "07:00"}]},
    {"name": "Fridge", "rank": "useful", "running_w": 120, "starting_w": 600, "duty": 0.35, "cycles_itself": true},
    {"name": "Phone", "rank": "comfort", "daily_wh": 15, "outlet": "usb"}],
  "supply": {"name": "The big one",
    "battery": {"chemistry": "lfp", "capacity_wh": 1000, "age_years": 2, "cycles": 100, "room_c": 10, "night_c": 3, "cutoff": 0.1, "health": 0.9,
      "self_discharge_month": 0.03, "peukert": 1.1, "rated_h": 20, "charge_efficiency": 0.9},
    "inverter": {"continuous_w": 1000, "continuous_va": 1100, "surge_w": 2000, "surge_s": 2, "idle_w": 12, "efficiency": 0.9, "efficiency_at_w": 500,
      "efficiency_2": 0.8, "efficiency_2_at_w": 50, "off_when_unused": true},
    "dc_efficiency": 0.85, "gauge": {"kind": "bars", "bars": 5},
    "inputs": [{"kind": "panel", "min_v": 12, "max_v": 60, "max_a": 10, "max_w": 400, "no_current_limit": true},
      {"kind": "wall", "watts": 300}, {"kind": "car", "volts": 12, "amps": 8, "fuse_a": 10},
      {"kind": "generator", "watts": 900, "tank_l": 2.1, "fuel": [{"load_w": 250, "l_per_h": 0.3}, {"load_w": 900, "l_per_h": 0.6}]}],
    "one_input_at_a_time": true, "back_on": 0.2, "price": 700, "weight_kg": 11},
  "candidates": [{"supply": {"name": "The small one", "battery": {"chemistry": "nmc", "capacity_wh": 500}, "inverter": {"continuous_w": 300},
      "gauge": {"kind": "percent"}, "inputs": [{"kind": "panel", "max_v": 50, "max_w": 100}], "price": 400, "weight_kg": 6}, "units": 2, "life_cycles": 800}],
  "panels": {"count": 2, "module": {"pmax_w": 100, "vmp_v": 18, "imp_a": 5.5, "voc_v": 22, "isc_a": 6, "voc_pct_per_c": -0.3, "pmax_pct_per_c": -0.4, "noct_c": 45, "cells": 36},
    "second": {"count": 1, "module": {"pmax_w": 50, "vmp_v": 18, "imp_a": 2.8, "voc_v": 22, "isc_a": 3, "voc_pct_per_c": -0.3, "pmax_pct_per_c": -0.4, "noct_c": 45, "cells": 36}},
    "mounting": "wall", "tilt_deg": 30, "azimuth_deg": 180, "sun_from": "09:00", "sun_to": "16:00", "shade": 0.1, "cable_m": 5, "cable_mm2": 4},
  "outage": {"hours": 24, "starts": "2026-01-14T18:00", "confidence": 0.9, "soc": 0.8, "soc_low": 0.6, "under_way": true,
    "comfort_below": 0.4, "useful_below": 0.2,
    "refills": [{"kind": "car", "from": "08:00", "to": "18:00"}, {"kind": "generator", "below": 0.3, "litres": 10}]}
}`))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func everyKey(c comparison) map[string]bool {
	all := map[string]bool{}
	for _, ch := range c.changes {
		all[ch.Key] = true
	}
	return all
}

// Each field of a plan, changed alone, is one change that says in words what
// differs.
func TestEveryFieldIsCompared(t *testing.T) {
	ours := fullPlan(t)
	count := 0
	alone := func(path string, theirs plan.Plan) {
		if bytes.Equal(theirs.Encode(), ours.Encode()) {
			return // a field that its kind of thing has not
		}
		count++
		c := compare(ours, theirs, Prefs{})
		if len(c.changes) != 1 {
			t.Errorf("%s: %d changes: %+v", path, len(c.changes), c.changes)
			return
		}
		for _, line := range c.changes[0].Lines {
			if line == wDiffFiner || slips.MatchString(line) {
				t.Errorf("%s: %q", path, line)
			}
		}
		if got := c.take(everyKey(c)); !bytes.Equal(got.Encode(), theirs.Encode()) {
			t.Errorf("%s: taken over it is\n%s", path, got.Encode())
		}
	}
	var walk func(path string, at func(p *plan.Plan) reflect.Value)
	walk = func(path string, at func(p *plan.Plan) reflect.Value) {
		p := fullPlan(t)
		v := at(&p)
		switch x := v.Interface().(type) {
		case doc.Unknown:
			return
		case plan.Moment:
			p.Outage.Starts = x.After(25)
			alone(path, p)
			return
		}
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				walk(path+"."+v.Type().Field(i).Name, func(p *plan.Plan) reflect.Value { return at(p).Field(i) })
			}
			return
		case reflect.Slice:
			for i := range v.Len() {
				walk(fmt.Sprintf("%s[%d]", path, i), func(p *plan.Plan) reflect.Value { return at(p).Index(i) })
			}
			return
		case reflect.Pointer:
			if v.IsNil() {
				return
			}
			walk(path, func(p *plan.Plan) reflect.Value { return at(p).Elem() })
			v.SetZero()
		case reflect.Float64:
			v.SetFloat(v.Float() + 0.01)
		case reflect.Int:
			v.SetInt(v.Int() + 1)
		case reflect.Bool:
			v.SetBool(!v.Bool())
		case reflect.String:
			if path == ".ID" || strings.HasSuffix(path, ".Kind") {
				return // not compared; nothing alone
			}
			v.SetString(otherWord(v))
		default:
			t.Fatalf("%s: a field of kind %s", path, v.Kind())
		}
		alone(path, p)
	}
	walk("", func(p *plan.Plan) reflect.Value { return reflect.ValueOf(p).Elem() })
	if count < 90 {
		t.Errorf("only %d fields were changed", count)
	}
}

// otherWord is a text that may stand in the place of this one.
func otherWord(v reflect.Value) string {
	for _, words := range [][]string{load.Ranks, load.Outlets, load.Bases, plan.Mounts, {"lfp", "nmc"}} {
		if i := slices.Index(words, v.String()); i >= 0 {
			return words[(i+1)%len(words)]
		}
	}
	return v.String() + " x"
}

func TestCompare(t *testing.T) {
	for name, c := range map[string]struct {
		change func(p *plan.Plan)
		want   []string // the titles
		says   string   // is in a line
	}{
		"nothing": {func(*plan.Plan) {}, nil, ""},
		"watts": {func(p *plan.Plan) { p.Loads[1].Running = 90 },
			[]string{"Change Fridge"}, "Power while it runs: 120\u00a0W here, 90\u00a0W in the one sent"},
		"a new load":          {func(p *plan.Plan) { p.Loads = append(p.Loads, lamp("Lamp")) }, []string{"Add Lamp"}, "Useful: 9\u00a0W"},
		"a load less":         {func(p *plan.Plan) { p.Loads = without(p.Loads, 2) }, []string{"Remove Phone"}, wDiffGone},
		"another name":        {func(p *plan.Plan) { p.Loads[1].Name = "Fridge, kitchen" }, []string{"Change Fridge"}, "Name: “Fridge” here, “Fridge, kitchen” in the one sent"},
		"capitals":            {func(p *plan.Plan) { p.Loads[1].Name = "FRIDGE" }, []string{"Change Fridge"}, "FRIDGE"},
		"the order":           {func(p *plan.Plan) { slices.Reverse(p.Loads) }, []string{wDiffOrder}, "Phone; Fridge; Breathing mask"},
		"an input less":       {func(p *plan.Plan) { p.Supply.Inputs = p.Supply.Inputs[:3] }, []string{"The supply"}, "Generator: there here, not said in the one sent"},
		"no battery":          {func(p *plan.Plan) { p.Supply.Battery.Capacity = 0 }, []string{"The supply"}, "Capacity on the label: 1,000\u00a0Wh here, not said in"},
		"no place":            {func(p *plan.Plan) { p.Place = plan.Place{} }, []string{"The place"}, "Town: “Halifax” here, not said in"},
		"candidates left out": {func(p *plan.Plan) { p.Candidates = nil }, nil, ""}, // as by a link
		"a candidate more": {func(p *plan.Plan) { p.Candidates = append(p.Candidates, plan.NewCandidate("Cellar")) }, []string{wOwnSale},
			"Supply 2, Called: not said here, “Cellar” in the one sent"},
		"several": {func(p *plan.Plan) {
			p.Name, p.Mains, p.Panels.Count, p.Outage.UnderWay = "Hut", 230, 3, false
		}, []string{"The plan’s name", "The panels", "The outage", "The mains"}, "Under way: yes here, no in the one sent"},
	} {
		t.Run(name, func(t *testing.T) {
			ours, theirs := fullPlan(t), fullPlan(t)
			c.change(&theirs)
			got := compare(ours, theirs, Prefs{})
			var titles, lines []string
			for _, ch := range got.changes {
				titles = append(titles, ch.Title)
				lines = append(lines, ch.Lines...)
			}
			if !slices.Equal(titles, c.want) || !strings.Contains(strings.Join(lines, "\n"), c.says) {
				t.Errorf("got %q, %q", titles, lines)
			}
		})
	}
}

func lamp(name string) load.Load {
	return load.Load{Name: name, Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 9, Duty: 1, PowerFactor: 1, Basis: load.Typical}
}

// edited is a plan with a few of its things changed, as its owner might.
func edited(t *rapid.T, p plan.Plan) plan.Plan {
	p.Loads = slices.Clone(p.Loads)
	for range rapid.IntRange(0, 6).Draw(t, "edits") {
		at := rapid.IntRange(0, max(0, len(p.Loads)-1)).Draw(t, "at")
		name := rapid.SampledFrom([]string{"Lamp", "lamp 2", "Radio", "Fan"}).Draw(t, "name")
		switch what := rapid.IntRange(0, 9).Draw(t, "what"); {
		case what == 0 && findLoad(p.Loads, name) < 0:
			p.Loads = slices.Insert(p.Loads, at, lamp(name))
		case what == 1 && len(p.Loads) > 0:
			p.Loads = slices.Delete(p.Loads, at, at+1)
		case what == 2 && len(p.Loads) > 0:
			p.Loads[at].Running, p.Loads[at].Daily = units.Watts(rapid.IntRange(61, 99).Draw(t, "watts")), 0
			p.Loads[at].Low, p.Loads[at].High = nil, nil
		case what == 3 && len(p.Loads) > 0 && findLoad(p.Loads, name) < 0:
			p.Loads[at].Name = name
		case what == 4 && len(p.Loads) > 0:
			to := rapid.IntRange(0, len(p.Loads)-1).Draw(t, "to")
			p.Loads[at], p.Loads[to] = p.Loads[to], p.Loads[at]
		case what == 5:
			p.Supply.Battery.AgeYears = float64(rapid.IntRange(0, 9).Draw(t, "age"))
		case what == 6:
			p.Panels.Count = rapid.IntRange(0, 4).Draw(t, "panels")
		case what == 7:
			p.Place.Name = name
		case what == 8:
			p.Outage.Hours = units.Hours(rapid.IntRange(1, 99).Draw(t, "hours"))
		case what == 9:
			p.Name = name
		}
	}
	return p
}

// Taking none leaves ours, taking all makes theirs, and whatever is taken is a
// plan that can stand, in which what was taken no longer differs.
func TestTake(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := fullPlan(t)
		ours, theirs := edited(t, base), edited(t, base)
		if rapid.Bool().Draw(t, "by link") {
			var err error
			if theirs, err = link.Parse(link.Text(theirs)); err != nil {
				t.Fatal(err)
			}
			theirs.Candidates = ours.Candidates // stay: a link can't carry them
		}
		c := compare(ours, theirs, Prefs{})
		if got := c.take(nil); !bytes.Equal(got.Encode(), ours.Encode()) {
			t.Fatalf("none taken: got\n%s\nwant\n%s", got.Encode(), ours.Encode())
		}
		if got := c.take(everyKey(c)); !bytes.Equal(got.Encode(), theirs.Encode()) {
			t.Fatalf("all taken: got\n%s\nwant\n%s", got.Encode(), theirs.Encode())
		}
		if (len(c.changes) == 0) != bytes.Equal(ours.Encode(), theirs.Encode()) {
			t.Fatalf("%d changes between\n%s\nand\n%s", len(c.changes), ours.Encode(), theirs.Encode())
		}
		chosen := map[string]bool{}
		for _, ch := range c.changes {
			chosen[ch.Key] = rapid.Bool().Draw(t, ch.Key)
		}
		p := c.take(chosen)
		if _, err := plan.Decode(p.Encode()); err != nil {
			t.Fatalf("taken %v: %v", chosen, err)
		}
		left := everyKey(compare(p, theirs, Prefs{}))
		for key := range left {
			if chosen[key] && key != orderKey {
				t.Fatalf("%s was taken and still differs", key)
			}
		}
		again := compare(p, theirs, Prefs{})
		if got := again.take(everyKey(again)); !bytes.Equal(got.Encode(), theirs.Encode()) {
			t.Fatal("the rest taken afterwards does not make theirs")
		}
	})
}

// What a newer version wrote stays when a plan comes back by a link, which
// can't carry it; a file that carries other things is a change.
func TestUnknownStays(t *testing.T) {
	ours := fullPlan(t)
	x := doc.Unknown{"wish": json.RawMessage(`"a windmill"`)}
	ours.Unknown, ours.Place.Unknown, ours.Supply.Unknown, ours.Supply.Battery.Unknown = x, x, x, x
	ours.Supply.Inverter.Unknown, ours.Supply.Gauge.Unknown, ours.Panels.Unknown, ours.Outage.Unknown = x, x, x, x
	ours.Panels.Label.Unknown, ours.Panels.Second.Unknown, ours.Panels.Second.Label.Unknown = x, x, x
	ours.Loads[0].Unknown, ours.Loads[0].Use[0].Unknown, ours.Supply.Inputs[3].Unknown, ours.Supply.Inputs[3].Fuel[1].Unknown = x, x, x, x
	theirs, err := link.Parse(link.Text(ours))
	if err != nil {
		t.Fatal(err)
	}
	if c := compare(ours, theirs, Prefs{}); len(c.changes) != 0 {
		t.Errorf("sent and come back: %+v", c.changes)
	}
	theirs.Loads[0].Running, theirs.Supply.Battery.Capacity, theirs.Panels.Count, theirs.Outage.Hours, theirs.Place.Name = 45, 2000, 3, 48, "Lunenburg"
	c := compare(ours, theirs, Prefs{})
	got := c.take(everyKey(c))
	if n := strings.Count(string(got.Encode()), "a windmill"); n != 15 {
		t.Errorf("of 15 unknown fields %d are left:\n%s", n, got.Encode())
	}
	theirs.Unknown = doc.Unknown{"wish": json.RawMessage(`"a mill"`)}
	if c := compare(ours, theirs, Prefs{}); !everyKey(c)["rest"] {
		t.Error("another unknown field is no change")
	}
}

// The log of an outage, which no link carries, stays with the outage that it is
// of; another reading goes without it.
func TestLogStays(t *testing.T) {
	ours := fullPlan(t)
	o := &ours.Outage
	o.Log = o.Log.Read(plan.Reading{At: o.Starts.After(-2), SOCLow: 0.9, SOC: 1}).Read(plan.Reading{At: o.Starts, SOCLow: *o.SOCLow, SOC: o.SOC})
	o.Log = o.Log.Switched(plan.Switch{At: o.Starts, Load: "Fridge"})
	theirs, err := link.Parse(link.Text(ours))
	if err != nil {
		t.Fatal(err)
	}
	if c := compare(ours, theirs, Prefs{}); len(c.changes) != 0 {
		t.Errorf("sent and come back: %+v", c.changes)
	}
	theirs.Outage.Starts = o.Starts.After(1)
	c := compare(ours, theirs, Prefs{})
	if got := c.take(everyKey(c)).Outage; got.Starts != theirs.Outage.Starts || len(got.Log.Readings) != 0 {
		t.Errorf("a later reading taken: %+v", got)
	}
	theirs = ours
	theirs.Outage.Log = theirs.Outage.Log.Read(plan.Reading{At: o.Starts, SOCLow: 0.5, SOC: 0.5}).Read(plan.Reading{At: o.Starts.After(1), SOCLow: 0.5, SOC: 0.5})
	c = compare(ours, theirs, Prefs{})
	if len(c.changes) != 1 || c.changes[0].Lines[0] != "Readings noted: 2 here, 3 in the one sent" {
		t.Errorf("one reading more: %+v", c.changes)
	}
	theirs = ours
	theirs.Outage.Log = theirs.Outage.Log.Came(plan.Power{At: o.Starts.After(-3)})
	c = compare(ours, theirs, Prefs{})
	if len(c.changes) != 1 || !strings.HasPrefix(c.changes[0].Lines[0], "Times noted at which the power went or came: ") {
		t.Errorf("when the power went: %+v", c.changes)
	}
}
