package plan

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/doc"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/units"
)

// cottage is an invented household's plan file.
func cottage(t testing.TB) []byte {
	t.Helper()
	file, err := os.ReadFile("plantest/harbour_cottage.json")
	if err != nil {
		t.Fatal(err)
	}
	return file
}

func TestDecode(t *testing.T) {
	p, err := Decode(cottage(t))
	if err != nil {
		t.Fatal(err)
	}
	if p.Name != "Harbour cottage" || p.Mains != 120 || *p.Place.Lat != 44.65 || *p.Place.Lon != -63.57 || p.Place.Zone != "America/Halifax" {
		t.Errorf("got %q, %v V, %+v", p.Name, p.Mains, p.Place)
	}
	if len(p.Loads) != 5 || p.Loads[1].Name != "Chest freezer" || p.Loads[1].Starting != 560 || p.Loads[1].Basis != load.Label || p.Loads[0].Count != 1 {
		t.Errorf("got loads %+v", p.Loads)
	}
	s := p.Supply
	if s.Battery.Chemistry != battery.LFP || s.Battery.Capacity != 900 || *s.Battery.Cutoff != 0.05 ||
		s.Inverter.Continuous != 1000 || s.DCEfficiency != 0.92 || s.Gauge.Kind != Bars || s.Gauge.Bars != 5 || !s.OneInput || *s.Price != 640 {
		t.Errorf("got supply %+v", s)
	}
	if o := p.Outage; o.Hours != 72 || o.Starts.String() != "2026-01-14T17:00" || o.Confidence != 0.9 || o.SOC != 1 || o.SOCLow != nil || o.UnderWay {
		t.Errorf("got outage %+v", o)
	}
}

// What a file leaves out.
func TestDefaults(t *testing.T) {
	p, err := Decode([]byte(`{"candleclock":1,"name":"x","supply":{"gauge":{}},"outage":{"starts":"2026-01-14T17:00"}}`))
	if err != nil {
		t.Fatal(err)
	}
	start, _ := ParseMoment("2026-01-14T17:00")
	if want := New("x", start); !reflect.DeepEqual(p, want) {
		t.Errorf("got %+v, want %+v", p, want)
	}
}

// same fails unless what Encode makes of p decodes to p again.
func same(t testing.TB, p Plan) {
	t.Helper()
	file := p.Encode()
	again, err := Decode(file)
	if err != nil {
		t.Fatalf("%v in what Encode wrote:\n%s", err, file)
	}
	if second := again.Encode(); !bytes.Equal(second, file) {
		t.Fatalf("written twice:\n%s\n%s", file, second)
	}
	// Unknown fields are kept as text, of which only the blanks may change.
	if a, b := settled(p), settled(again); !reflect.DeepEqual(a, b) {
		t.Fatalf("read back as another:\n%+v\n%+v", a, b)
	}
}

// settled is p with the blanks taken out of the texts of unknown fields.
func settled(p Plan) Plan {
	settle := func(u doc.Unknown) doc.Unknown {
		var out doc.Unknown
		for k, v := range u {
			if out == nil {
				out = doc.Unknown{}
			}
			var b bytes.Buffer
			if json.Compact(&b, v) != nil {
				panic("an unknown field that is no JSON")
			}
			out[k] = b.Bytes()
		}
		return out
	}
	p.Unknown, p.Place.Unknown, p.Outage.Unknown = settle(p.Unknown), settle(p.Place.Unknown), settle(p.Outage.Unknown)
	p.Supply.Unknown, p.Supply.Gauge.Unknown = settle(p.Supply.Unknown), settle(p.Supply.Gauge.Unknown)
	p.Supply.Battery.Unknown, p.Supply.Inverter.Unknown = settle(p.Supply.Battery.Unknown), settle(p.Supply.Inverter.Unknown)
	p.Panels.Unknown, p.Panels.Label.Unknown = settle(p.Panels.Unknown), settle(p.Panels.Label.Unknown)
	p.Panels.Second.Unknown, p.Panels.Second.Label.Unknown = settle(p.Panels.Second.Unknown), settle(p.Panels.Second.Label.Unknown)
	inputs := p.Supply.Inputs
	p.Supply.Inputs = nil
	for _, in := range inputs {
		in.Unknown = settle(in.Unknown)
		fuel := in.Fuel
		in.Fuel = nil
		for _, point := range fuel {
			point.Unknown = settle(point.Unknown)
			in.Fuel = append(in.Fuel, point)
		}
		p.Supply.Inputs = append(p.Supply.Inputs, in)
	}
	past := p.History
	p.History = nil
	for _, o := range past {
		o.Unknown = settle(o.Unknown)
		p.History = append(p.History, o)
	}
	refills := p.Outage.Refills
	p.Outage.Refills = nil
	for _, f := range refills {
		f.Unknown = settle(f.Unknown)
		p.Outage.Refills = append(p.Outage.Refills, f)
	}
	g := p.Outage.Log
	p.Outage.Log = Log{}
	for _, e := range g.Readings {
		e.Unknown = settle(e.Unknown)
		p.Outage.Log.Readings = append(p.Outage.Log.Readings, e)
	}
	for _, e := range g.Switches {
		e.Unknown = settle(e.Unknown)
		p.Outage.Log.Switches = append(p.Outage.Log.Switches, e)
	}
	for _, e := range g.Power {
		e.Unknown = settle(e.Unknown)
		p.Outage.Log.Power = append(p.Outage.Log.Power, e)
	}
	loads := p.Loads
	p.Loads = nil
	for _, l := range loads {
		l.Unknown = settle(l.Unknown)
		use := l.Use
		l.Use = nil
		for _, w := range use {
			w.Unknown = settle(w.Unknown)
			l.Use = append(l.Use, w)
		}
		p.Loads = append(p.Loads, l)
	}
	return p
}

func TestRoundTrip(t *testing.T) {
	p, err := Decode(cottage(t))
	if err != nil {
		t.Fatal(err)
	}
	same(t, p)

	// Nothing of the example is lost: every value is still there.
	var before, after any
	if err := json.Unmarshal(cottage(t), &before); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(p.Encode(), &after); err != nil {
		t.Fatal(err)
	}
	holds(t, "", after, before)

	fresh := New("Fresh", p.Outage.Starts)
	same(t, fresh)
	if fresh.HasSupply() {
		t.Error("a new plan says it has a supply")
	}
	// All that may be left out, left in.
	low := 0.0
	p.ID, p.Outage.SOC, p.Outage.SOCLow, p.Outage.UnderWay = "a-1", 0, &low, true
	p.Loads[0].Low, p.Loads[0].High, p.Loads[0].Off, p.Loads[0].Count = &low, nil, true, 3
	p.Name = `"<&>" é 夜\`
	same(t, p)
}

// holds fails where got lacks what want holds. Defaults may be left out.
func holds(t *testing.T, path string, got, want any) {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			t.Errorf("%s: got %v, want %v", path, got, want)
			return
		}
		for k, v := range w {
			if _, there := g[k]; !there && (v == false || v == 0.0) {
				continue
			}
			holds(t, path+"."+k, g[k], v)
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			t.Errorf("%s: got %v, want %v", path, got, want)
			return
		}
		for i := range w {
			holds(t, fmt.Sprintf("%s[%d]", path, i), g[i], w[i])
		}
	default:
		if got != want {
			t.Errorf("%s: got %v, want %v", path, got, want)
		}
	}
}

// A field of a later version, wherever it stands, survives an edit of the
// objects around it.
func TestUnknownFieldsSurvive(t *testing.T) {
	const file = `{"candleclock":1,"name":"Test","later":{"top":[1,"two",null]},
		"place":{"name":"Here","later":"place"},
		"loads":[{"name":"Lamp","running_w":5,"later":"load","use":[{"from":"17:00","to":"22:00","later":"window"}]}],
		"supply":{"later":"supply","battery":{"chemistry":"lfp","capacity_wh":500,"later":"battery"},
			"inverter":{"continuous_w":300,"later":"inverter"},"gauge":{"kind":"none","later":"gauge"}},
		"outage":{"starts":"2026-01-14T17:00","later":"outage"}}`
	p, err := Decode([]byte(file))
	if err != nil {
		t.Fatal(err)
	}
	p.Name, p.Place.Name, p.Loads[0].Running, p.Loads[0].Use[0].From = "Edited", "There", 6, 16*60
	p.Supply.Name, p.Supply.Battery.Capacity, p.Supply.Inverter.Continuous, p.Supply.Gauge.Kind = "Box", 600, 400, Percent
	p.Outage.Hours = 48
	same(t, p)
	var got, want any
	if err := json.Unmarshal(p.Encode(), &got); err != nil {
		t.Fatal(err)
	}
	const kept = `{"later":{"top":[1,"two",null]},"place":{"name":"There","later":"place"},
		"loads":[{"running_w":6,"later":"load","use":[{"from":"16:00","later":"window"}]}],
		"supply":{"name":"Box","later":"supply","battery":{"capacity_wh":600,"later":"battery"},
			"inverter":{"continuous_w":400,"later":"inverter"},"gauge":{"kind":"percent","later":"gauge"}},
		"outage":{"hours":48,"later":"outage"}}`
	if err := json.Unmarshal([]byte(kept), &want); err != nil {
		t.Fatal(err)
	}
	holds(t, "", got, want)
}

// with is a small plan file with one text in it replaced.
func with(old, replacement string) string {
	const file = `{"candleclock":1,"name":"Test","mains_v":230,"place":{"lat":44.65,"lon":-63.57},` +
		`"loads":[{"name":"Lamp","running_w":5,"use":[{"from":"17:00","to":"22:00"}]}],` +
		`"supply":{"battery":{"chemistry":"lfp","capacity_wh":500},"inverter":{"continuous_w":300},"dc_efficiency":0.9,` +
		`"gauge":{"kind":"bars","bars":5},"one_input_at_a_time":true,"price":5,"weight_kg":5},` +
		`"outage":{"hours":24,"starts":"2026-01-14T17:00","confidence":0.9,"soc":1,"soc_low":0.8}}`
	if strings.Count(file, old) != 1 {
		panic(old + " is not once in the file")
	}
	return strings.Replace(file, old, replacement, 1)
}

func manyLoads(n int) string {
	var b strings.Builder
	for i := range n {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, `{"name":"Load %d","running_w":1}`, i)
	}
	return `"loads":[` + b.String() + `],"x":[`
}

func TestDecodeRefuses(t *testing.T) {
	whole := with("Test", "Test")
	if _, err := Decode([]byte(whole)); err != nil {
		t.Fatalf("what the refused are made of can't stand itself: %v", err)
	}
	deep := func(n int) string { return strings.Repeat("[", n) + strings.Repeat("]", n) }
	for _, c := range []struct {
		name, file string
		want       []string // all of them in the error
	}{
		{"empty", "", []string{"the file", "whole plan file"}},
		{"no JSON", "Dear all", []string{"the file", "whole plan file"}},
		{"truncated", whole[:len(whole)/2], []string{"the file", "whole plan file"}},
		{"followed by more", whole + "{}", []string{"the file", "whole plan file"}},
		{"a list", "[]", []string{"the document", "an object"}},
		{"null", "null", []string{"the document", "an object"}},
		{"another document", "{}", []string{"candleclock", "version"}},
		{"5 MB", `{"candleclock":1,"name":"` + strings.Repeat("x", 5<<20) + `"}`, []string{"the file", "5,242,9", "at most 1,048,576 bytes"}},
		{"deep", with(`"name":"Test"`, `"name":"Test","x":`+deep(16)), []string{"the file", "17 deep", "at most 16 deep"}},
		{"very deep", with(`"name":"Test"`, `"name":"Test","x":`+deep(9000)), []string{"the file", "9,001 deep", "at most 16 deep"}},
		{"deeper than JSON may be", with(`"name":"Test"`, `"name":"Test","x":`+deep(300000)), []string{"the file", "depth"}},
		{"grows when written", with(`"name":"Test"`, `"name":"Test","x":`+strings.Repeat("[", 14)+strings.Repeat("0,", 100000)+"0"+strings.Repeat("]", 14)),
			[]string{"the file", "when written again", "at most 1,048,576 bytes"}},
		{"version in words", with(`"candleclock":1`, `"candleclock":"one"`), []string{"candleclock", `"one"`, "between 1 and"}},
		{"version 0", with(`"candleclock":1`, `"candleclock":0`), []string{"candleclock", "0", "between 1 and"}},
		{"no name", with(`"name":"Test"`, `"x":0`), []string{"name", "1 to 60 characters"}},
		{"blank name", with("Test", `  `), []string{"name", "1 to 60 characters"}},
		{"long name", with("Test", strings.Repeat("é", 61)), []string{"name", "61", "at most 60"}},
		{"control in name", with("Test", `Te\nst`), []string{"name", `\n`, "control characters"}},
		{"bidi in name", with("Test", `Te\u2067st`), []string{"name", `\u2067`, "control characters"}},
		{"half a surrogate", with("Test", `Te\ud800st`), []string{"name", "control characters"}},
		{"no UTF-8", with("Test", "Te\xffst"), []string{"name", "control characters"}},
		{"name a number", with(`"Test"`, `7`), []string{"name", "7", "text in quotes"}},
		{"mains in words", with(`"mains_v":230`, `"mains_v":"high"`), []string{"mains_v", `"high"`, "between 90 and 260 V"}},
		{"mains", with(`"mains_v":230`, `"mains_v":1e400`), []string{"mains_v", "1e400", "between 90 and 260 V"}},
		{"place a list", with(`{"lat":44.65,"lon":-63.57}`, `[1]`), []string{"place", "[1]", "an object"}},
		{"latitude", with(`44.65`, `-90.1`), []string{"place.lat", "-90.1", "between -90 and 90 degrees"}},
		{"longitude", with(`-63.57`, `181`), []string{"place.lon", "181", "between -180 and 180 degrees"}},
		{"loads an object", with(`"loads":[`, `"loads":{},"x":[`), []string{"loads", "{}", "a list"}},
		{"loads of numbers", with(`"loads":[`, `"loads":[1],"x":[`), []string{"loads[0]", "1", "an object"}},
		{"10,000 loads", with(`"loads":[`, manyLoads(10000)), []string{"loads", "10,000", "at most 200"}},
		{"201 loads", with(`"loads":[`, manyLoads(201)), []string{"loads", "201", "at most 200"}},
		{"watts in words", with(`"running_w":5`, `"running_w":"five"`), []string{"loads[0].running_w", `"five"`, "between 0 and 20,000 W"}},
		{"watts beyond floats", with(`"running_w":5`, `"running_w":1e400`), []string{"loads[0].running_w", "1e400", "between 0 and 20,000 W"}},
		{"watts below 0", with(`"running_w":5`, `"running_w":-5`), []string{"loads[0].running_w", "-5", "between 0 and 20,000 W"}},
		{"no watts", with(`,"running_w":5`, ``), []string{"loads[0].running_w", "between 0 and 20,000 W"}},
		{"clock", with(`17:00","to`, `25:99","to`), []string{"loads[0].use[0].from", "25:99", "between 00:00 and 23:59"}},
		{"twins", with(`"loads":[`, `"loads":[{"name":" LAMP","running_w":1},`), []string{"loads[1].name", `"Lamp"`, "different", "loads[0]"}},
		{"supply a text", with(`"supply":{`, `"supply":"big","x":{`), []string{"supply", "big", "an object"}},
		{"no chemistry", with(`"chemistry":"lfp",`, ``), []string{"supply.battery.chemistry", "lfp"}},
		{"capacity 0", with(`"capacity_wh":500`, `"capacity_wh":0`), []string{"supply.battery.capacity_wh", "0", "between 1 and 1,000,000 Wh"}},
		{"chemistry", with(`"lfp"`, `"potato"`), []string{"supply.battery.chemistry", "potato", "lfp"}},
		{"dc efficiency", with(`"dc_efficiency":0.9`, `"dc_efficiency":1.1`), []string{"supply.dc_efficiency", "1.1", "between 0.3 and 1"}},
		{"gauge", with(`"kind":"bars"`, `"kind":"needle"`), []string{"supply.gauge.kind", "needle", "percent, bars, volts, none"}},
		{"bars", with(`"bars":5`, `"bars":1`), []string{"supply.gauge.bars", "1", "between 2 and 20 bars"}},
		{"no bars", with(`,"bars":5`, ``), []string{"supply.gauge.bars", "between 2 and 20 bars"}},
		{"yes", with(`"one_input_at_a_time":true`, `"one_input_at_a_time":1`), []string{"supply.one_input_at_a_time", "1", "true or false"}},
		{"price", with(`"price":5`, `"price":-1`), []string{"supply.price", "-1", "between 0 and 10,000,000"}},
		{"weight", with(`"weight_kg":5`, `"weight_kg":10001`), []string{"supply.weight_kg", "10,001", "between 0 and 10,000 kg"}},
		{"no outage", with(`"outage":{`, `"x":{`), []string{"outage", "hours and starts"}},
		{"hours", with(`"hours":24`, `"hours":2161`), []string{"outage.hours", "2,161", "between 0.5 and 2,160 hours"}},
		{"no start", with(`"starts":"2026-01-14T17:00",`, ``), []string{"outage.starts", "2000 to 2099"}},
		{"start", with(`2026-01-14T17:00`, `2026-02-30T17:00`), []string{"outage.starts", "2026-02-30T17:00", "2000 to 2099"}},
		{"start with a zone", with(`2026-01-14T17:00`, `2026-01-14T17:00Z`), []string{"outage.starts", "2026-01-14T17:00Z"}},
		{"confidence", with(`"confidence":0.9`, `"confidence":1`), []string{"outage.confidence", "1", "between 0.5 and 0.99"}},
		{"soc", with(`"soc":1`, `"soc":80`), []string{"outage.soc", "80", "between 0 and 1"}},
		{"soc_low", with(`"soc":1`, `"soc":0.7`), []string{"outage.soc_low", "0.8", "at most soc, 0.7"}},
	} {
		_, err := Decode([]byte(c.file))
		if err == nil {
			t.Errorf("%s: no error", c.name)
			continue
		}
		if e := (*doc.Error)(nil); !errors.As(err, &e) {
			t.Errorf("%s: got a %T", c.name, err)
		}
		if text := err.Error(); len(text) > 300 || strings.ContainsAny(text, "\n\r") {
			t.Errorf("%s: an error of %d bytes, want one short line: %.300q", c.name, len(text), text)
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: got %q, want %q in it", c.name, err, w)
			}
		}
	}
}

// What a newer version wrote is refused as such, whatever else is new in it.
func TestNewer(t *testing.T) {
	for _, file := range []string{
		with(`"candleclock":1`, `"candleclock":2`),
		with(`"candleclock":1`, `"candleclock":1.5`),
		`{"candleclock":2}`,
		`{"candleclock":3,"name":7,"loads":{"a":` + strings.Repeat("[", 100) + strings.Repeat("]", 100) + `}}`,
	} {
		_, err := Decode([]byte(file))
		if e := (*NewerError)(nil); !errors.As(err, &e) || !strings.Contains(err.Error(), "newer version") || !strings.Contains(err.Error(), "candleclock") {
			t.Errorf("%.60s: got %v", file, err)
		}
	}
}

// The most that may stand in a plan still reads back.
func TestFullestPlan(t *testing.T) {
	p, err := Decode(cottage(t))
	if err != nil {
		t.Fatal(err)
	}
	one := p.Loads[1]
	p.Loads = nil
	for i := range MostLoads {
		l := one
		l.Name = fmt.Sprintf("%03d", i) + strings.Repeat("<", load.NameMost-3)
		for range load.WindowsMost {
			l.Use = append(l.Use, load.Window{From: 1, To: 2})
		}
		p.Loads = append(p.Loads, l)
	}
	same(t, p)
}

// What stands in for an unknown inverter grows with the battery, within bounds,
// and one that is known stays as it is.
func TestUsualInverter(t *testing.T) {
	for _, c := range []struct{ capacity, continuous, idle float64 }{
		{1, 100, 5}, {1000, 500, 15}, {1e6, 5000, 100},
	} {
		v := Supply{Battery: battery.Battery{Capacity: units.WattHours(c.capacity)}}.UsualInverter()
		if float64(v.Continuous) != c.continuous || *v.IdleW != c.idle {
			t.Errorf("%v Wh: got %v W, idle %v", c.capacity, v.Continuous, *v.IdleW)
		}
	}
	known := inverter.Inverter{Continuous: 700}
	if got := (Supply{Battery: battery.Battery{Capacity: 1000}, Inverter: known}).UsualInverter(); !reflect.DeepEqual(got, known) {
		t.Errorf("got %+v, want %+v", got, known)
	}
}

func FuzzDecode(f *testing.F) {
	f.Add(cottage(f))
	for _, file := range []string{
		panelled("2", "2"),
		panelled(`"tilt_deg":30`, `"tilt_deg":null,"module":{},"later":[{"a":1}]`),
		panelled(`"count":3`, `"count":0`),
		panelled(`"second":{`, `"second":{},"x":{`),
		with(`"outage":{`, `"panels":{},"outage":{`),
		with("Test", "Test"),
		with("Test", `\u202e\ud83d\ude00`),
		with(`"running_w":5`, `"daily_wh":5,"running_w":null`),
		with(`"running_w":5`, `"running_w":5e-324,"low_w":0,"high_w":20000,"duty":0.01`),
		with(`"name":"Test"`, `"name":"Test","x":[ { } , [ ] , "\\\"]" , -0 , 1E-5 ]`),
		with(`"mains_v":230`, `"mains_v":null,"MAINS_V":1,"":2`),
		with(`"candleclock":1`, `"candleclock":2`),
		`{"candleclock":1,"name":"x","outage":{"starts":"2026-01-14T17:00"}}`,
		`{"candleclock":1,"candleclock":2,"name":"x"}`,
		`{"candleclock":1,"name":"x","supply":{"battery":{}},"outage":{"starts":"2000-01-01T00:00"}}`,
		`[]`, ``,
	} {
		f.Add([]byte(file))
	}
	f.Fuzz(func(t *testing.T, file []byte) {
		p, err := Decode(file)
		if err != nil {
			if len(err.Error()) > 400 {
				t.Fatalf("an error of %d bytes", len(err.Error()))
			}
			return
		}
		if len(p.Loads) > MostLoads {
			t.Fatalf("%d loads", len(p.Loads))
		}
		same(t, p)
	})
}
