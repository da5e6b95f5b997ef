package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"slices"
	"strings"
	"testing"

	"candleclock/engine/gauge"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
)

// cottage is an invented household's plan file, with texts in it replaced.
func cottage(t *testing.T, oldNew ...string) string {
	t.Helper()
	for i := 0; i < len(oldNew); i += 2 {
		if strings.Count(plantest.CottageFile, oldNew[i]) != 1 {
			t.Fatalf("%q is not once in the file", oldNew[i])
		}
	}
	return strings.NewReplacer(oldNew...).Replace(plantest.CottageFile)
}

// raw is what run prints, key by key.
func raw(t *testing.T, file string, args ...string) map[string]json.RawMessage {
	t.Helper()
	var out bytes.Buffer
	if err := run(args, strings.NewReader(file), &out); err != nil {
		t.Fatal(err)
	}
	var got map[string]json.RawMessage
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatalf("%v in\n%.300s", err, out.Bytes())
	}
	return got
}

// answer is what run prints of those keys that are objects, or null.
func answer(t *testing.T, file string, args ...string) map[string]map[string]any {
	t.Helper()
	got := map[string]map[string]any{}
	for k, v := range raw(t, file, args...) {
		if v[0] == '[' {
			continue
		}
		var figure map[string]any
		if err := json.Unmarshal(v, &figure); err != nil {
			t.Fatalf("%s: %v in %.300s", k, err, v)
		}
		got[k] = figure
	}
	return got
}

func keys[V any](m map[string]V) []string {
	var k []string
	for name := range m {
		k = append(k, name)
	}
	slices.Sort(k)
	return k
}

func TestAnswer(t *testing.T) {
	got := answer(t, cottage(t))
	for figure, want := range map[string][]string{
		"runtime":   {"box_h", "likely_h", "count_on_h", "ends_likely", "ends_count_on"},
		"losses_wh": {"capacity", "age", "cold", "rate", "cutoff", "self_discharge", "idle", "conversion", "to_loads"},
		"load":      {"running_w", "running_va", "daily_wh", "worst_restart_w", "worst_restart_load"},
		"start":     {"order", "fits", "never"},
		"odds":      {"hold", "draws", "seed", "survival"},
	} {
		for _, k := range want {
			if _, ok := got[figure][k]; !ok {
				t.Errorf("%s has no %s: %v", figure, k, got[figure])
			}
		}
	}
	r := got["runtime"]
	box, likely, countOn := r["box_h"].(float64), r["likely_h"].(float64), r["count_on_h"].(float64)
	if !(0 < countOn && countOn < likely && likely < box) {
		t.Errorf("count on %v, likely %v, box %v", countOn, likely, box)
	}
	// 32 + 90 + 9 + 14 W, and 40 Wh of phones a day.
	const tolerance = 1e-9
	l := got["load"]
	if want := 145 + 40.0/24; math.Abs(l["running_w"].(float64)-want) > tolerance {
		t.Errorf("running %v W, want %v", l["running_w"], want)
	}
	if want := 32*8 + 90*0.35*24 + 9*24 + 40 + 14*5.5; math.Abs(l["daily_wh"].(float64)-want) > tolerance {
		t.Errorf("daily %v Wh, want %v", l["daily_wh"], want)
	}
	// All on AC, 136 W, and what the freezer starts with beyond its 90 W.
	if l["worst_restart_w"] != 136+470.0 || l["worst_restart_load"] != "Chest freezer" {
		t.Errorf("worst restart %v W by %v", l["worst_restart_w"], l["worst_restart_load"])
	}
	first := got["start"]["order"].([]any)[0].(map[string]any)
	if first["load"] != "Chest freezer" || first["peak_w"] != 560.0 || got["start"]["fits"] != true {
		t.Errorf("start %v", got["start"])
	}
	if o := got["odds"]; o["draws"] != 511.0 || o["seed"] != 1.0 {
		t.Errorf("draws %v, seed %v", o["draws"], o["seed"])
	}
}

// The odds are those of the whole outage, with its rules and its sun.
func TestOddsOfTheWholeOutage(t *testing.T) {
	file := cottage(t, `"soc": 1.0`, `"soc": 1.0, "comfort_below": 0.5, "useful_below": 0.3`, `"hours": 72`, `"hours": 12`)
	got := answer(t, file, "-only", "odds", "-draws", "31", "-seed", "5")["odds"]
	p, err := plan.Decode([]byte(file))
	if err != nil {
		t.Fatal(err)
	}
	e, _ := odds.NewSampler(31, 5).Through(p, nil)
	curve := got["survival"].([]any)
	last := curve[len(curve)-1].(map[string]any)
	if got["hold"] != e.Hold() || got["hold_all"] != e.HoldAll() || last["p_vital"] != e.Hold() || last["h"] != got["hours"] || got["of_20"] != float64(odds.Twenty(e.Hold())) {
		t.Errorf("%v, want %v and %v", got, e.Hold(), e.HoldAll())
	}
	without := got["without"].([]any)
	if len(without) != len(p.Loads) {
		t.Fatalf("%v", without)
	}
	for i, l := range p.Loads {
		if w := without[i].(map[string]any); w["load"] != l.Name || w["without_h"] != float64(e.Without[i]) {
			t.Errorf("%v, want %s without for %v h", w, l.Name, e.Without[i])
		}
	}
	// What is comfort goes first, and is missed soonest.
	if got["hold_all"].(float64) >= got["hold"].(float64) {
		t.Errorf("%v", got)
	}
}

func TestLossesSumToCapacity(t *testing.T) {
	for name, file := range map[string]string{
		"cottage":          cottage(t),
		"old and cold":     cottage(t, `"age_years": 2`, `"age_years": 9`, `"room_c": 12`, `"room_c": -20`),
		"lead":             cottage(t, `"lfp"`, `"flooded"`, `"running_w": 90`, `"running_w": 900`),
		"a watt-hour":      cottage(t, `"capacity_wh": 900`, `"capacity_wh": 1`),
		"beyond 90 days":   cottage(t, `"capacity_wh": 900`, `"capacity_wh": 1e6`),
		"charge at 10 %":   cottage(t, `"soc": 1.0`, `"soc": 0.1`),
		"cut-off of 95 %":  cottage(t, `"cutoff": 0.05`, `"cutoff": 0.95`),
		"nothing known":    cottage(t, `"battery": {"chemistry": "lfp", "capacity_wh": 900, "age_years": 2, "cycles": 60, "room_c": 12, "cutoff": 0.05},`, `"battery": {"chemistry": "agm", "capacity_wh": 900},`),
		"started at 03:17": cottage(t, `T17:00`, `T03:17`),
		"a night of -30":   cottage(t, `"room_c": 12`, `"room_c": 12, "night_c": -30`),
	} {
		l := answer(t, file, "-only", "losses_wh")["losses_wh"]
		sum := 0.0
		for k, v := range l {
			if v.(float64) < 0 {
				t.Errorf("%s: %s is %v", name, k, v)
			}
			if k != "capacity" {
				sum += v.(float64)
			}
		}
		if capacity := l["capacity"].(float64); math.Abs(sum-capacity) > 1e-9*capacity {
			t.Errorf("%s: the parts sum to %v of %v Wh", name, sum, capacity)
		}
	}
}

// What a cold night holds back is lost to the cold, not left.
func TestLossesOfAColdNight(t *testing.T) {
	for night, most := range map[string]float64{"12": 60, "-8": 250, "-30": 1024} {
		l := answer(t, cottage(t, `"room_c": 12`, `"room_c": 12, "night_c": `+night), "-only", "losses_wh")["losses_wh"]
		if left, ok := l["left"]; ok && left.(float64) > 1e-9 {
			t.Errorf("a night of %s °C: %v Wh left", night, left)
		}
		if cold := l["cold"].(float64); cold > most || cold < most/4 {
			t.Errorf("a night of %s °C: %v Wh not given", night, cold)
		}
	}
}

func TestOnly(t *testing.T) {
	for only, want := range map[string][]string{
		"":             {"fill_h", "load", "losses_wh", "odds", "runtime", "start", "sun", "vital", "wiring", "with_sun"},
		"runtime":      {"runtime"},
		"odds,runtime": {"odds", "runtime"},
	} {
		got := keys(raw(t, cottage(t), "-only", only))
		for _, k := range want {
			if !slices.Contains(got, k) {
				t.Errorf("-only %q: got %v, want %v", only, got, want)
			}
		}
		if only != "" && len(got) != len(want) {
			t.Errorf("-only %q: got %v, want %v", only, got, want)
		}
	}
}

func TestSeedAndDraws(t *testing.T) {
	var outs []string
	for _, args := range [][]string{{}, {"-seed", "1", "-draws", "511"}, {"-seed", "2"}, {"-draws", "10"}, {"-draws", "1"}} {
		var out bytes.Buffer
		if err := run(args, strings.NewReader(cottage(t)), &out); err != nil {
			t.Fatal(args, err)
		}
		outs = append(outs, out.String())
	}
	if outs[0] != outs[1] {
		t.Error("the seed and draws it has by itself, given, print something else")
	}
	if outs[0] == outs[2] || outs[0] == outs[3] {
		t.Error("another seed, or fewer draws, print the same")
	}
}

// No hour is infinite in JSON: beyond the horizon it is null.
func TestNullBeyondTheHorizon(t *testing.T) {
	var file map[string]any
	if err := json.Unmarshal([]byte(cottage(t)), &file); err != nil {
		t.Fatal(err)
	}
	for name, loads := range map[string][]any{
		"no loads": {},
		"all off":  {map[string]any{"name": "Lamp", "running_w": 10, "off": true}},
	} {
		file["loads"] = loads
		text, err := json.Marshal(file)
		if err != nil {
			t.Fatal(err)
		}
		got := answer(t, string(text))
		for _, k := range []string{"box_h", "likely_h", "count_on_h", "ends_likely", "ends_count_on"} {
			if v, ok := got["runtime"][k]; !ok || v != nil {
				t.Errorf("%s: %s is %v, want null", name, k, v)
			}
		}
		if got["odds"]["hold"] != 1.0 || got["load"]["worst_restart_load"] != nil || got["load"]["running_w"] != 0.0 {
			t.Errorf("%s: %v, %v", name, got["odds"]["hold"], got["load"])
		}
	}
}

func TestEmptySupply(t *testing.T) {
	got := answer(t, cottage(t, `"soc": 1.0`, `"soc": 0`))
	if r := got["runtime"]; r["box_h"] != 0.0 || r["count_on_h"] != 0.0 || r["ends_count_on"] != "2026-01-14T17:00" {
		t.Errorf("got %v", r)
	}
	if got["odds"]["hold"] != 0.0 {
		t.Errorf("hold %v", got["odds"]["hold"])
	}
}

func TestRefusesFlags(t *testing.T) {
	for _, c := range []struct {
		args []string
		want []string
	}{
		{[]string{"-only", "horoscope"}, []string{"-only", "horoscope", "runtime"}},
		{[]string{"-only", "runtime,"}, []string{"-only", `""`}},
		{[]string{"-draws", "0"}, []string{"-draws", "0", "between 1 and 100,000"}},
		{[]string{"-draws", "100001"}, []string{"-draws", "100001", "between 1 and 100,000"}},
		{[]string{"-draws", "many"}, []string{"draws", "many"}},
		{[]string{"-seed", "-1"}, []string{"seed", "-1"}},
		{[]string{"-fast"}, []string{"-fast"}},
		{[]string{"plan.json"}, []string{"plan.json", "standard input"}},
	} {
		var out bytes.Buffer
		err := run(c.args, strings.NewReader(cottage(t)), &out)
		if err == nil {
			t.Errorf("%v: no error", c.args)
			continue
		}
		if out.Len() > 0 || strings.Contains(err.Error(), "\n") {
			t.Errorf("%v: printed %q, error %q", c.args, out.String(), err)
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%v: got %q, want %q in it", c.args, err, w)
			}
		}
	}
	var help bytes.Buffer
	if err := run([]string{"-h"}, strings.NewReader(""), &help); !errors.Is(err, flag.ErrHelp) || strings.Count(help.String(), "-draws") != 1 {
		t.Errorf("-h: got %v, printed %q", err, help.String())
	}
}

func TestRefusesPlans(t *testing.T) {
	for _, c := range []struct {
		name, file string
		want       []string
	}{
		{"watts in words", cottage(t, `"running_w": 90`, `"running_w": "ninety"`), []string{"loads[1].running_w", "ninety", "between 0 and 20,000 W"}},
		{"no supply", `{"candleclock":1,"name":"x","outage":{"starts":"2026-01-14T17:00"}}`, []string{"supply.battery.capacity_wh", "between 1 and 1,000,000 Wh"}},
		{"newer", cottage(t, `"candleclock": 1`, `"candleclock": 2`), []string{"candleclock", "2", "newer"}},
		{"endless", strings.Repeat(" ", 2<<20), []string{"the file", "1,048,576 bytes"}},
		{"truncated", cottage(t)[:900], []string{"the file", "whole plan file"}},
	} {
		var out bytes.Buffer
		err := run(nil, strings.NewReader(c.file), &out)
		if err == nil || out.Len() > 0 {
			t.Errorf("%s: error %v, printed %q", c.name, err, out.String())
			continue
		}
		if strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: more than a line: %q", c.name, err)
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: got %q, want %q in it", c.name, err, w)
			}
		}
	}
}

// left is what all readings tell, in an outage; before one there is none.
func TestLeft(t *testing.T) {
	if got := answer(t, cottage(t), "-only", "left")["left"]; got != nil {
		t.Errorf("before an outage: %v", got)
	}
	p := plantest.Cottage(t)
	p.Supply.Gauge, p.Panels, p.Supply.Inputs = plan.Gauge{Kind: plan.Percent}, plan.Panels{}, nil
	p.Outage.UnderWay = true
	for i, soc := range []float64{0.9, 0.84, 0.75} {
		at := p.Outage.Starts.After(1)
		p.Outage.Log = p.Outage.Log.Read(plan.Reading{At: at, SOCLow: soc, SOC: soc})
		p.Outage.Starts, p.Outage.SOC, p.Outage.SOCLow = at, soc, nil
		l := gauge.LeftOf(p, odds.NewSampler(odds.Draws, odds.Seed))
		got := answer(t, string(p.Encode()))
		for key, want := range map[string]float64{"count_on_h": float64(l.CountOn), "likely_h": float64(l.Likely), "at_best_h": float64(l.AtBest)} {
			if got["left"][key] != want {
				t.Errorf("%d readings: %s is %v, want %v", i+1, key, got["left"][key], want)
			}
		}
		if v := got["vital"]["count_on_h"].(float64); v < float64(l.CountOn)-0.01 || v > got["vital"]["likely_h"].(float64) {
			t.Errorf("%d readings: what is vital alone %v, all of it %v", i+1, got["vital"], got["left"])
		}
		if alone := got["runtime"]["count_on_h"] == got["left"]["count_on_h"]; alone != (i == 0) {
			t.Errorf("%d readings: by the last alone %v, by all %v", i+1, got["runtime"], got["left"])
		}
	}
}
