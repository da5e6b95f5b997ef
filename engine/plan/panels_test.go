package plan

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/panel"
	"candleclock/engine/sun"
	"candleclock/engine/units"
)

// panelled is a plan file with panels and inputs of every kind, with one text
// in it replaced.
func panelled(old, replacement string) string {
	const file = `{"candleclock":1,"name":"Test","place":{"lat":44.65,"lon":-63.57,"utc_offset_h":-4},` +
		`"supply":{"battery":{"chemistry":"lfp","capacity_wh":500},"inputs":[` +
		`{"kind":"panel","min_v":12,"max_v":60,"max_a":10,"max_w":400,"no_current_limit":true,"later":"panel"},` +
		`{"kind":"wall","watts":250,"later":"wall"},{"kind":"car","volts":12,"amps":8,"fuse_a":15,"later":"car"},` +
		`{"kind":"generator","watts":2000,"tank_l":4,"fuel":[{"load_w":0,"l_per_h":0.25,"later":"fuel"},{"load_w":1000,"l_per_h":0.7}],"later":"generator"}]},` +
		`"panels":{"module":{"pmax_w":100,"vmp_v":18,"imp_a":5.5,"voc_v":22,"isc_a":6,"voc_pct_per_c":-0.29,"pmax_pct_per_c":-0.38,"noct_c":45,"later":"module"},"count":2,` +
		`"second":{"module":{"pmax_w":50,"cells":36},"count":3,"later":"second"},"mounting":"rail","tilt_deg":30,"azimuth_deg":170,` +
		`"sun_from":"09:00","sun_to":"15:30","shade":0.1,"cable_m":8,"cable_mm2":6,"later":"panels"},` +
		`"outage":{"starts":"2026-04-14T17:00"}}`
	if old == replacement {
		return file
	}
	if strings.Count(file, old) != 1 {
		panic(old + " is not once in the file")
	}
	return strings.Replace(file, old, replacement, 1)
}

func decode(t *testing.T, file string) Plan {
	t.Helper()
	p, err := Decode([]byte(file))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPanelsRoundTrip(t *testing.T) {
	p := decode(t, panelled("", ""))
	if l := p.Panels; l.Count != 2 || l.Label.Pmax != 100 || *l.Label.VocPct != -0.29 || *l.Label.NOCT != 45 ||
		l.Second.Count != 3 || l.Second.Label.Cells != 36 || l.Mount != Rail || *l.Tilt != 30 || *l.Azimuth != 170 ||
		*l.SunFrom != 9*60 || *l.SunTo != 15*60+30 || l.Shade != 0.1 || *l.CableM != 8 || *l.CableMM2 != 6 {
		t.Errorf("panels %+v", l)
	}
	if in := p.Supply.Inputs; len(in) != 4 || in[0].Kind != charge.Panel || !in[0].Unlimited || in[1].Watts != 250 ||
		in[2].Fuse != 15 || in[3].Tank != 4 || in[3].Fuel[1].LPerH != 0.7 {
		t.Errorf("inputs %+v", in)
	}
	same(t, p)
	var got, want any
	if json.Unmarshal(p.Encode(), &got) != nil || json.Unmarshal([]byte(panelled("", "")), &want) != nil {
		t.Fatal("no JSON")
	}
	holds(t, "", got, want) // what is unknown too
}

// What is there in part is kept in part.
func TestPanelsInPartRoundTrip(t *testing.T) {
	for _, file := range []string{
		panelled(`"count":3,"later":"second"`, `"count":0`), // the second panels, put away
		panelled(`"count":2,`, ``),
		panelled(`"second":{"module":{"pmax_w":50,"cells":36},"count":3,`, `"second":{`),
		with(`"outage":{`, `"panels":{},"outage":{`),
		with(`"outage":{`, `"panels":{"later":1},"outage":{`),
	} {
		same(t, decode(t, file))
	}
	p := decode(t, panelled(`"count":3,"later":"second"`, `"count":0`))
	if again := decode(t, string(p.Encode())); again.Panels.Second.Label.Pmax != 50 {
		t.Error("the label of panels put away is lost")
	}
}

func TestDecodeRefusesPanels(t *testing.T) {
	for _, c := range []struct {
		old, replacement string
		want             []string
	}{
		{`"count":2`, `"count":25`, []string{"panels.count", "25", "between 0 and 24 panels"}},
		{`"count":2`, `"count":1.5`, []string{"panels.count", "1.5", "whole number"}},
		{`"count":3`, `"count":-1`, []string{"panels.second.count", "-1", "between 0 and 24 panels"}},
		{`"module":{"pmax_w":50,"cells":36},`, ``, []string{"panels.second.module", "there"}},
		{`"module":{"pmax_w":50,"cells":36}`, `"module":{"cells":36}`, []string{"panels.second.module.pmax_w", "between 0.5 and 2,000 W"}},
		{`"pmax_w":100`, `"pmax_w":2001`, []string{"panels.module.pmax_w", "2,001", "between 0.5 and 2,000 W"}},
		{`"voc_v":22`, `"voc_v":17`, []string{"panels.module.voc_v", "17", "above vmp_v"}},
		{`"voc_pct_per_c":-0.29`, `"voc_pct_per_c":-0.0029`, []string{"panels.module.voc_pct_per_c", "-0.0029", "between -0.6 and -0.1"}},
		{`"noct_c":45`, `"noct_c":30`, []string{"panels.module.noct_c", "30", "between 35 and 70"}},
		{`"second":{`, `"second":[],"x":{`, []string{"panels.second", "[]", "an object"}},
		{`"rail"`, `"roof"`, []string{"panels.mounting", "roof", "leaned, flat, rail, wall, turned"}},
		{`"tilt_deg":30`, `"tilt_deg":91`, []string{"panels.tilt_deg", "91", "between 0 and 90 degrees"}},
		{`"azimuth_deg":170`, `"azimuth_deg":-10`, []string{"panels.azimuth_deg", "-10", "between 0 and 360 degrees"}},
		{`"sun_from":"09:00"`, `"sun_from":"9 am"`, []string{"panels.sun_from", "9 am", "00:00 and 23:59"}},
		{`"sun_to":"15:30"`, `"sun_to":"09:00"`, []string{"panels.sun_to", "09:00", "later than sun_from, 09:00"}},
		{`"sun_from":"09:00",`, ``, []string{"panels.sun_from", "together with sun_to"}},
		{`"sun_to":"15:30",`, ``, []string{"panels.sun_to", "together with sun_from"}},
		{`"shade":0.1`, `"shade":10`, []string{"panels.shade", "10", "between 0 and 1"}},
		{`"cable_m":8`, `"cable_m":201`, []string{"panels.cable_m", "201", "between 0 and 200 m"}},
		{`"cable_mm2":6`, `"cable_mm2":0`, []string{"panels.cable_mm2", "0", "mm²"}},
		{`"utc_offset_h":-4`, `"utc_offset_h":15`, []string{"place.utc_offset_h", "15", "between -12 and 14 hours"}},
		{`"max_v":60`, `"max_v":1001`, []string{"supply.inputs[0].max_v", "1,001", "between 5 and 1,000 V"}},
		{`"watts":250`, `"watts":0`, []string{"supply.inputs[1].watts", "0", "between 1 and 50,000 W"}},
		{`"fuse_a":15`, `"fuse_a":"big"`, []string{"supply.inputs[2].fuse_a", "big", "between 0.1 and 100 A"}},
		{`"l_per_h":0.25`, `"l_per_h":51`, []string{"supply.inputs[3].fuel[0].l_per_h", "51", "between 0.01 and 50 litres per hour"}},
		{`"inputs":[`, `"inputs":[` + strings.Repeat(`{"kind":"wall","watts":9},`, 5), []string{"supply.inputs", "9", "at most 8"}},
	} {
		_, err := Decode([]byte(panelled(c.old, c.replacement)))
		if e := (*doc.Error)(nil); !errors.As(err, &e) {
			t.Errorf("%s: got %v", c.replacement, err)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: got %q, want %q in it", c.replacement, err, w)
			}
		}
	}
}

func at(lat, lon float64) Plan {
	var p Plan
	p.Place.Lat, p.Place.Lon = &lat, &lon
	return p
}

// Without an offset the clock follows the sun to the nearest hour, on either
// side of Greenwich and up to the date line.
func TestSiteOffset(t *testing.T) {
	for _, c := range []struct {
		lon  float64
		want units.Hours
	}{
		{0, 0}, {7.4, 0}, {7.6, 1}, {-7.4, 0}, {-7.6, -1}, {-63.57, -4}, {-122.4, -8}, {151.2, 10},
		{172.6, 12}, {179.9, 12}, {180, 12}, {-179.9, -12}, {-180, -12},
	} {
		for _, lat := range []float64{-90, -41.3, 0, 60, 90} {
			site, ok := at(lat, c.lon).Site()
			if !ok || site.Offset != c.want {
				t.Errorf("at %v, %v: got %v, %v, want %v h", lat, c.lon, site.Offset, ok, c.want)
			}
			if d := math.Abs(float64(site.Offset) - c.lon/15); d > 0.5 {
				t.Errorf("at %v, %v: the clock is %v h off the sun", lat, c.lon, d)
			}
		}
	}
	p, told := at(51, 0), 5.5
	p.Place.Offset = &told
	if site, _ := p.Site(); site.Offset != 5.5 {
		t.Errorf("told 5.5 h, got %v", site.Offset)
	}
	p.Place.Lon = nil
	if _, ok := p.Site(); ok {
		t.Error("a site without a longitude")
	}
}

func TestMounting(t *testing.T) {
	site := func(lat float64) sun.Site {
		s, ok := at(lat, 0).Site()
		if !ok {
			t.Fatal("no site")
		}
		return s
	}
	for _, c := range []struct {
		lat     float64
		month   int
		azimuth units.Degrees
		low     units.Degrees // of the tilt
		high    units.Degrees
	}{
		{45, 1, 180, 50, 75}, {45, 6, 180, 5, 30}, {-40, 7, 0, 45, 75}, {-40, 1, 0, 0, 30},
		// Between the tropics the noon sun stands in the north in June and in
		// the south in December.
		{10, 12, 180, 20, 45}, {10, 6, 0, 5, 25}, {-10, 6, 0, 20, 45}, {-10, 12, 180, 5, 25},
	} {
		s := site(c.lat)
		if m := (Panels{Mount: Leaned}).Mounting(s, c.month); m.Azimuth != c.azimuth || m.Tilt < c.low || m.Tilt > c.high || m.Turned {
			t.Errorf("leaned at %v in month %d: %+v", c.lat, c.month, m)
		}
		if m := (Panels{}).Mounting(s, c.month); m != (Panels{Mount: Leaned}).Mounting(s, c.month) {
			t.Errorf("no mount is not leaned: %+v", m)
		}
		if m := (Panels{Mount: Rail}).Mounting(s, c.month); m != sun.Rail(c.azimuth) {
			t.Errorf("rail at %v: %+v", c.lat, m)
		}
		if m := (Panels{Mount: Turned}).Mounting(s, c.month); !m.Turned || m.Tilt < c.low || m.Tilt > c.high {
			t.Errorf("turned at %v: %+v", c.lat, m)
		}
	}
	tilt, azimuth := 20.0, 100.0
	told := Panels{Mount: Leaned, Tilt: &tilt, Azimuth: &azimuth}
	for _, c := range []struct {
		mount Mount
		want  sun.Mounting
	}{
		{Leaned, sun.Leaned(20, 100)}, {Flat, sun.Flat()}, {Rail, sun.Rail(100)}, {Wall, sun.Wall(100)}, {Turned, sun.ByHand(20)},
	} {
		told.Mount = c.mount
		if m := told.Mounting(site(45), 1); m != c.want {
			t.Errorf("%s: got %+v, want %+v", c.mount, m, c.want)
		}
	}
}

// Who tells one of the two gets the best of the other, on either half of the Earth.
func TestMountingToldInPart(t *testing.T) {
	tilt, azimuth := 20.0, 100.0
	south, _ := at(-40, 0).Site()
	if m := (Panels{Tilt: &tilt}).Mounting(south, 7); m != sun.Leaned(20, 0) {
		t.Errorf("a tilt alone at 40° south: got %+v, want it toward north", m)
	}
	best := (Panels{}).Mounting(south, 7)
	if m := (Panels{Azimuth: &azimuth}).Mounting(south, 7); m != sun.Leaned(best.Tilt, 100) {
		t.Errorf("a direction alone: got %+v, want the tilt of %+v", m, best)
	}
}

// A label that Read accepts is one that a module can be made of.
func TestPanelsMakeModules(t *testing.T) {
	p := decode(t, panelled("", "")).Panels
	for _, s := range []PanelSet{p.PanelSet, p.Second} {
		if m := panel.FromLabel(s.Label); !(m.Pmax > 0 && m.Vmp > 0 && m.Voc > m.Vmp) {
			t.Errorf("module %+v", m)
		}
	}
}
