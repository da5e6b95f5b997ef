package main

import (
	"encoding/json"
	"testing"
)

func TestOwning(t *testing.T) {
	file := cottage(t, `"outage": {`, `"candidates": [{"supply": {"name": "Larger", "battery": {"chemistry": "lfp", "capacity_wh": 4000}, "inverter": {"continuous_w": 1000, "idle_w": 8}, "price": 1500}}], "outage": {`)
	got := raw(t, file, "-only", "sizing,candidates", "-draws", "21")
	var fronts map[string]struct {
		Hours, Confidence float64
		Points            []struct {
			Panels  float64 `json:"panels_w"`
			Battery float64 `json:"battery_wh"`
		}
		WithOwn *struct {
			Panels float64 `json:"panels_w"`
		} `json:"with_own"`
	}
	if err := json.Unmarshal(got["sizing"], &fronts); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"vital", "all"} {
		if f := fronts[key]; f.Hours != 72 || f.Confidence != 0.9 || len(f.Points) < 3 || f.Points[0].Panels != 0 {
			t.Errorf("%s: %+v", key, f)
		}
	}
	if fronts["vital"].Points[0].Battery >= fronts["all"].Points[0].Battery || fronts["vital"].WithOwn == nil || fronts["all"].WithOwn != nil {
		t.Errorf("got %+v", fronts)
	}
	var lists map[string][]struct {
		Name    string
		Meets   bool
		CountOn *float64 `json:"count_on_h"`
		Price   *float64 `json:"price_per_kwh"`
	}
	if err := json.Unmarshal(got["candidates"], &lists); err != nil {
		t.Fatal(err)
	}
	if l := lists["vital"]; len(l) != 2 || l[0].Name != "Larger" || !l[0].Meets || l[1].Meets || l[0].Price == nil || *l[0].CountOn < 72 {
		t.Errorf("got %+v", l)
	}
	if all := raw(t, file, "-draws", "5"); all["sizing"] != nil || all["candidates"] != nil || all["runtime"] == nil {
		t.Error("printed unasked, or not all else")
	}
}
