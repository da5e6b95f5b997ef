package main

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
)

// Texts of the cottage's file, to be replaced.
const (
	place   = `"place": {"name": "Halifax", "lat": 44.65, "lon": -63.57, "zone": "America/Halifax"},`
	panels  = `"panels": {`
	input   = `{"kind": "panel", "min_v": 14, "max_v": 58, "max_a": 10, "max_w": 300},`
	inputs  = `"inputs": [`
	coolish = `"room_c": 12`
)

type layout struct {
	Input, Series, Parallel int
	Verdict                 string
	VocCold                 float64 `json:"voc_cold_v"`
	VmpHot                  float64 `json:"vmp_hot_v"`
	Isc                     float64 `json:"isc_a"`
	Watts                   float64
	Why                     string
}

func layouts(t *testing.T, file string) []layout {
	t.Helper()
	var out []layout
	if err := json.Unmarshal(raw(t, file, "-only", "wiring")["wiring"], &out); err != nil || out == nil {
		t.Fatalf("wiring: %v, %v", out, err)
	}
	return out
}

// number is a figure, and +Inf where it is null.
func number(t *testing.T, of map[string]any, key string) float64 {
	t.Helper()
	v, there := of[key]
	if !there {
		t.Fatalf("%s is missing", key)
	}
	if v == nil {
		return math.Inf(1)
	}
	return v.(float64)
}

func TestSunKeys(t *testing.T) {
	got := answer(t, cottage(t), "-draws", "101")
	run, lit := got["runtime"], got["with_sun"]
	if n, w := number(t, run, "count_on_h"), number(t, lit, "count_on_h"); w < n || w > number(t, lit, "likely_h") || lit["never_empty"] != false {
		t.Errorf("count on %v h without sun, with %v", n, lit)
	}
	s := got["sun"]
	poor, usual, fine := number(t, s, "poor_wh"), number(t, s, "usual_wh"), number(t, s, "fine_wh")
	if !(0 < poor && poor < usual && usual < fine && fine < 200*9) {
		t.Errorf("days of %v, %v, %v Wh", poor, usual, fine)
	}
	months, byMonth := s["horizontal_kwh_m2_day"].([]any), s["usual_wh_by_month"].([]any)
	if len(months) != 12 || len(byMonth) != 12 || byMonth[0] != usual {
		t.Errorf("months %v, %v", months, byMonth)
	}
	if !strings.Contains(s["station"].(string), "Halifax") || number(t, s, "station_km") > 20 {
		t.Errorf("station %v, %v km", s["station"], s["station_km"])
	}
	// 180 W into 900 Wh, of which the supply keeps back 5 %, from its adapter
	// and 96 W of a car: the whole hours that it must take at least.
	f := got["fill_h"]
	if w, c := number(t, f, "wall"), number(t, f, "car"); !(4.5 < w && w < 6.5 && 8 < c && c < 12) {
		t.Errorf("wall %v h, car %v h", w, c)
	}
	// 900 Wh, two years old and always kept full (9 %), less 5 %, with what charging
	// loses, are about 800 Wh: a fine day brings 890, two usual ones 830, twelve poor
	// ones 820.
	if p, u, b := number(t, f, "sun_poor"), number(t, f, "sun_usual"), number(t, f, "sun_fine"); !(b < 10 && 24 < u && u < 36 && 11*24 < p && p < 13*24) {
		t.Errorf("sun fills in %v, %v, %v h", p, u, b)
	}
	if f["generator"] != nil || f["generator_l"] != nil {
		t.Errorf("a generator that is not there: %v", f)
	}
}

func TestWiringKey(t *testing.T) {
	got := layouts(t, cottage(t))
	best := got[0]
	// 2 × 21.8 V × (1 + 0.0029 × 66) at −41 °C; 1.25 × 5.9 A.
	if best.Series != 2 || best.Parallel != 1 || best.Verdict != "fits" || best.Watts != 200 ||
		math.Abs(best.VocCold-51.9) > 0.1 || best.Isc != 7.375 || best.Why == "" {
		t.Errorf("best %+v", best)
	}
	for i, l := range got {
		if (l.Watts > 0) != (l.Verdict == "fits" || l.Verdict == "clipped") {
			t.Errorf("%+v", l)
		}
		if i > 0 && l.Watts > got[i-1].Watts {
			t.Errorf("%+v after %+v", l, got[i-1])
		}
	}
	// At a limit of 45 V two in series would damage the input, on any day of
	// the place's worst cold.
	got = layouts(t, cottage(t, `"max_v": 58`, `"max_v": 45`))
	if got[0].Series != 1 || got[0].Watts <= 0 || got[len(got)-1].Verdict != "damages" {
		t.Errorf("got %+v", got)
	}
	// Of two inputs the better one is first, and told by its index.
	got = layouts(t, cottage(t, inputs, inputs+`{"kind": "panel", "min_v": 12, "max_v": 25, "max_w": 60}, `))
	if got[0].Input != 1 || got[0].Watts != 200 {
		t.Errorf("best %+v", got[0])
	}
}

func TestSunUnknown(t *testing.T) {
	for _, c := range []struct {
		name, file           string
		sun, days, withSun   bool
		wired                bool
		firstVerdict, filler string
	}{
		{"all there", cottage(t), true, true, true, true, "fits", "wall"},
		{"no place", cottage(t, place, ""), false, false, false, true, "fits", "wall"},
		{"no panels", cottage(t, panels, `"x": {`), true, false, false, false, "", "wall"},
		{"no panel input", cottage(t, input, ""), true, false, false, false, "", "wall"},
		{"no inputs", cottage(t, inputs, `"x": [`), true, false, false, false, "", ""},
		{"damaging", cottage(t, `"max_v": 58`, `"max_v": 20`), true, false, false, true, "damages", "wall"},
		{"too weak to start", cottage(t, `"min_v": 14`, `"min_v": 50`), true, false, false, true, "wont_start", "wall"},
		{"cold lithium", cottage(t, coolish, `"room_c": -5`), true, true, true, true, "fits", ""},
	} {
		got := answer(t, c.file, "-draws", "5")
		if (got["sun"] != nil) != c.sun || (got["with_sun"] != nil) != c.withSun {
			t.Errorf("%s: sun %v, with_sun %v", c.name, got["sun"], got["with_sun"])
		}
		if c.sun && (got["sun"]["usual_wh"] != nil) != c.days {
			t.Errorf("%s: a usual day of %v", c.name, got["sun"]["usual_wh"])
		}
		for _, k := range []string{"sun_poor", "sun_usual", "sun_fine", "wall", "car", "generator"} {
			v, there := got["fill_h"][k]
			if fills := c.filler != "" && (k == "wall" || k == "car" || c.days && strings.HasPrefix(k, "sun")); !there || (v != nil) != fills {
				t.Errorf("%s: %s fills in %v", c.name, k, v)
			}
		}
		if l := layouts(t, c.file); (len(l) > 0) != c.wired || c.wired && l[0].Verdict != c.firstVerdict {
			t.Errorf("%s: wiring %+v", c.name, l)
		}
	}
}

// Of two generators the one that fills the battery first is told, in whatever
// order they stand.
func TestGenerators(t *testing.T) {
	const small, large = `{"kind": "generator", "watts": 100}`, `{"kind": "generator", "watts": 2000}`
	first := answer(t, cottage(t, inputs, inputs+small+", "+large+", "), "-only", "fill_h")["fill_h"]
	second := answer(t, cottage(t, inputs, inputs+large+", "+small+", "), "-only", "fill_h")["fill_h"]
	if fmt.Sprint(first) != fmt.Sprint(second) || first["generator"] != first["wall"] {
		t.Errorf("got %v and %v", first, second)
	}
}
