package load

import (
	"bytes"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"candleclock/engine/doc"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

// read reads one load from JSON.
func read(text string) (Load, error) {
	r := doc.Read([]byte(text), "loads[0]")
	l := Read(r)
	return l, r.Err()
}

func near(got, want float64) bool {
	const tolerance = 1e-12 // relative: rounding only
	return got == want || math.Abs(got-want) <= tolerance*math.Abs(want)
}

func TestDraw(t *testing.T) {
	evening := []Window{{From: 17 * 60, To: 22 * 60}}
	for _, c := range []struct {
		name                string
		load                Load
		draw, peak, va, day float64
	}{
		{"steady", Load{Count: 1, Running: 60, Duty: 1, PowerFactor: 1}, 60, 60, 60, 1440},
		{"cycling", Load{Count: 1, Running: 90, Duty: 0.35, PowerFactor: 0.75}, 31.5, 90, 120, 756},
		{"three alike", Load{Count: 3, Running: 10, Duty: 0.5, PowerFactor: 0.5}, 15, 30, 60, 360},
		{"evenings", Load{Count: 1, Running: 14, Duty: 1, PowerFactor: 1, Use: evening}, 14, 14, 14, 70},
		{"charged all day", Load{Count: 1, Daily: 48, Duty: 1, PowerFactor: 1}, 2, 2, 2, 48},
		{"charged in the evening", Load{Count: 2, Daily: 50, Duty: 1, PowerFactor: 0.5, Use: evening}, 20, 20, 40, 100},
		{"nothing", Load{Count: 1, Duty: 1, PowerFactor: 1}, 0, 0, 0, 0},
		{"never set", Load{Running: 60}, 60, 60, 60, 1440},
		{"switched off draws the same when on", Load{Running: 60, Off: true}, 60, 60, 60, 1440},
	} {
		got := [4]float64{float64(c.load.Draw()), float64(c.load.Peak()), float64(c.load.Apparent()), float64(c.load.DailyEnergy())}
		want := [4]float64{c.draw, c.peak, c.va, c.day}
		for i, what := range []string{"Draw", "Peak", "Apparent", "DailyEnergy"} {
			if !near(got[i], want[i]) {
				t.Errorf("%s: %s got %v, want %v", c.name, what, got[i], want[i])
			}
		}
	}
}

// A PC and a monitor of 270 W, 4 h a day, take 394 kWh a year; a window fan of
// 200 W, 4 h a day, takes 96 kWh in 120 days: US DOE Energy Saver, Estimating
// Appliance and Home Electronic Energy Use.
func TestDailyEnergyAgainstPublishedExamples(t *testing.T) {
	four := []Window{{From: 18 * 60, To: 22 * 60}}
	for _, c := range []struct {
		running         units.Watts
		days            float64
		want, tolerance float64 // kWh
	}{
		{270, 365, 394, 0.5},
		{200, 120, 96, 1e-9},
	} {
		l := Load{Running: c.running, Use: four}
		if got := float64(l.DailyEnergy()) * c.days / 1000; math.Abs(got-c.want) > c.tolerance {
			t.Errorf("%v W: got %v kWh, want %v", c.running, got, c.want)
		}
	}
}

func TestExcess(t *testing.T) {
	for _, c := range []struct {
		name string
		load Load
		want units.Watts
	}{
		{"compressor", Load{Running: 150, Starting: 600}, 450},
		{"no start given", Load{Running: 150}, 0},
		{"a start below running", Load{Running: 150, Starting: 100}, 0},
		{"of several alike one starts", Load{Count: 3, Running: 150, Starting: 600}, 450},
	} {
		if got := c.load.Excess(); got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

func TestSpread(t *testing.T) {
	for _, c := range []struct {
		name            string
		load            Load
		low, mode, high float64
	}{
		{"measured", Load{Running: 50, Duty: 1, Basis: Measured}, 0.97, 1, 1.03},
		{"measured while it ran", Load{Running: 50, Duty: 0.3, Basis: Measured}, 0.97 * 0.75, 1, 1.03 * 1.5},
		{"measured over its cycles", Load{Running: 50, Duty: 0.3, Basis: Measured, MeasuredDay: true}, 0.97, 1, 1.03},
		{"a day of a label", Load{Running: 50, Duty: 0.3, Basis: Label, MeasuredDay: true}, 0.375, 0.85, 1.5},
		{"label", Load{Running: 50, Duty: 1, Basis: Label}, 0.5, 0.85, 1},
		{"label of a heater", Load{Outlet: AC, Running: 1500, Duty: 1, Basis: Label, PowerFactor: 1}, 0.95, 1, 1.05},
		{"label of a heater with a thermostat", Load{Outlet: AC, Running: 1500, Duty: 0.5, Basis: Label, PowerFactor: 1}, 0.95 * 0.75, 1, 1.575},
		{"label of a motor", Load{Outlet: AC, Running: 1500, Duty: 1, Basis: Label, PowerFactor: 0.7}, 0.5, 0.85, 1},
		{"label of what has no mains", Load{Outlet: DC, Running: 60, Duty: 1, Basis: Label, PowerFactor: 1}, 0.5, 0.85, 1},
		{"label of a kettle of the catalogue", Load{Name: "Kettle (120 V countries)", Outlet: AC, Running: 1500, Duty: 1, Basis: Label}, 0.95, 1, 1.05},
		{"label of a travel kettle", Load{Name: "Travel kettle, 12 V", Outlet: DC, Running: 150, Duty: 1, Basis: Label, PowerFactor: 1}, 0.95, 1, 1.05},
		{"label, cycling", Load{Running: 50, Duty: 0.3, Basis: Label}, 0.375, 0.85, 1.5},
		{"label, nearly always on", Load{Running: 50, Duty: 0.96, Basis: Label}, 0.375, 0.85, 1 / 0.96},
		{"typical", Load{Running: 50, Duty: 1, Basis: Typical}, 0.7, 1, 1.4},
		{"typical, range known", Load{Running: 50, Duty: 1, Basis: Typical, Low: new(40.0), High: new(90.0)}, 0.8, 1, 1.8},
		{"typical, a range of one figure", Load{Running: 50, Duty: 1, Basis: Typical, Low: new(50.0), High: new(50.0)}, 1, 1, 1},
		{"a range that misses the figure", Load{Running: 50, Duty: 1, Basis: Typical, Low: new(60.0), High: new(40.0)}, 1, 1, 1},
		{"nothing said", Load{}, 0.7, 1, 1.4},
		{"next to no draw", Load{Running: 1e-300, Duty: 1, High: new(20000.0)}, 0.7, 1, 1.4},
	} {
		low, mode, high := c.load.Spread()
		if !near(low, c.low) || !near(mode, c.mode) || !near(high, c.high) {
			t.Errorf("%s: got %v, %v, %v, want %v, %v, %v", c.name, low, mode, high, c.low, c.mode, c.high)
		}
	}
}

// anyLoad is a load that Read could have read.
func anyLoad(t *rapid.T) Load {
	l := Load{
		Name:         rapid.StringMatching(`[A-Z][a-z <>&"é]{0,20}[a-z]`).Draw(t, "name"),
		Rank:         Rank(rapid.SampledFrom(Ranks).Draw(t, "rank")),
		Outlet:       Outlet(rapid.SampledFrom(Outlets).Draw(t, "outlet")),
		Count:        rapid.IntRange(1, 100).Draw(t, "count"),
		Starting:     units.Watts(rapid.Float64Range(0, 60000).Draw(t, "starting")),
		Duty:         rapid.Float64Range(0.01, 1).Draw(t, "duty"),
		PowerFactor:  rapid.OneOf(rapid.SampledFrom([]float64{0, 1}), rapid.Float64Range(0.1, 1)).Draw(t, "power factor"),
		CyclesItself: rapid.Bool().Draw(t, "cycles itself"),
		Basis:        Basis(rapid.SampledFrom(Bases).Draw(t, "basis")),
		MeasuredDay:  rapid.Bool().Draw(t, "measured for a day"),
		Use:          anyUse(t),
		Off:          rapid.Bool().Draw(t, "off"),
	}
	if rapid.Bool().Draw(t, "charged") {
		l.Daily = units.WattHours(rapid.Float64Range(0.001, 100000).Draw(t, "daily"))
		return l
	}
	l.Running = units.Watts(rapid.Float64Range(0, 20000).Draw(t, "running"))
	if rapid.Bool().Draw(t, "range known") {
		l.Low = new(rapid.Float64Range(0, float64(l.Running)).Draw(t, "low"))
		l.High = new(rapid.Float64Range(float64(l.Running), 20000).Draw(t, "high"))
	}
	return l
}

func TestSpreadIsOrderedAndFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLoad(t)
		low, mode, high := l.Spread()
		if !(0 <= low && low <= mode && mode <= high) || math.IsInf(high, 1) {
			t.Fatalf("got %v, %v, %v", low, mode, high)
		}
		// A true draw beyond the running watts without a pause is impossible
		// for a label, but for what heats by its tolerance.
		if most := float64(l.Draw()) * high; l.Basis == Label && l.Daily == 0 && most > float64(l.Peak())*1.05*(1+1e-12) {
			t.Fatalf("a label's draw may reach %v W, beyond its %v W", most, l.Peak())
		}
	})
}

// Less watts or a lower duty never make any quantile of the draw greater: the
// ends and the mode of the spread, in watts, all go down.
func TestSpreadFallsWithTheDraw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLoad(t)
		less := l
		share := rapid.Float64Range(0, 1).Draw(t, "share")
		if rapid.Bool().Draw(t, "less duty") {
			less.Duty = max(0.01, l.Duty*share)
		} else {
			less.Running = units.Watts(float64(l.Running) * share)
			if l.Low != nil {
				less.Running = max(less.Running, units.Watts(*l.Low))
			}
		}
		a, b, c := l.Spread()
		x, y, z := less.Spread()
		more, fewer := float64(l.Draw()), float64(less.Draw())
		const rounding, nothing = 1 + 1e-12, 1e-9 // relative, and W
		if fewer*x > more*a*rounding+nothing || fewer*y > more*b*rounding+nothing || fewer*z > more*c*rounding+nothing {
			t.Fatalf("%v W × %v, %v, %v became %v W × %v, %v, %v", more, a, b, c, fewer, x, y, z)
		}
	})
}

func TestWriteReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyLoad(t)
		text := want.Write().Bytes()
		got, err := read(string(text))
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%s:\n got %+v\nwant %+v", text, got, want)
		}
	})
}

// A load made in code with only what must be there reads back too.
func TestWriteOfFiguresNeverSet(t *testing.T) {
	l, err := read(string(Load{Name: "Lamp", Running: 8}.Write().Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if l.Duty != 1 || l.PowerFactor != 0 || l.Apparent() != 8 || l.Draw() != 8 {
		t.Errorf("got duty %v, power factor %v, draw %v", l.Duty, l.PowerFactor, l.Draw())
	}
}

// A power factor told as 1 comes back as told, and one that nobody told as not:
// it reads as 1, and says nothing of what the thing is.
func TestPowerFactorToldOrNot(t *testing.T) {
	for text, want := range map[string]struct {
		factor float64
		told   bool
		va     float64
	}{
		`{"name":"Thing","running_w":100}`:                     {0, false, 100},
		`{"name":"Thing","running_w":100,"power_factor":1}`:    {1, true, 100},
		`{"name":"Thing","running_w":100,"power_factor":0.75}`: {0.75, false, 100 / 0.75},
	} {
		l, err := read(text)
		if err != nil {
			t.Fatal(err)
		}
		again, err := read(string(l.Write().Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range []Load{l, again} {
			if l.PowerFactor != want.factor || l.ToldResistive() != want.told || float64(l.Apparent()) != want.va {
				t.Errorf("%s: power factor %v, resistive %v, %v VA", text, l.PowerFactor, l.ToldResistive(), l.Apparent())
			}
		}
	}
}

func TestUnknownFieldsAreKept(t *testing.T) {
	const text = `{"name":"Lamp","running_w":8,"use":[{"from":"17:00","to":"22:00","mood":[1,{"a":null}]}],"bulb":{"base":"E27"},"z":null}`
	l, err := read(text)
	if err != nil {
		t.Fatal(err)
	}
	l.Running = 9
	got := l.Write().Bytes()
	for _, want := range []string{`"mood":[1,{"a":null}]`, `"bulb":{"base":"E27"}`, `"z":null`, `"running_w":9`} {
		if !bytes.Contains(got, []byte(want)) {
			t.Errorf("%s is not in %s", want, got)
		}
	}
}

// A null figure is no figure, and is not written beside the true one.
func TestNullIsAbsent(t *testing.T) {
	for _, text := range []string{
		`{"name":"Phone","running_w":null,"daily_wh":40}`,
		`{"name":"Lamp","running_w":8,"daily_wh":null,"duty":null,"use":null,"off":null,"count":null}`,
	} {
		l, err := read(text)
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if l.Unknown != nil {
			t.Errorf("%s: kept %v", text, l.Unknown)
		}
		l.Running, l.Daily = 12, 0
		if again, err := read(string(l.Write().Bytes())); err != nil || again.Running != 12 {
			t.Errorf("%s: after an edit got %v, %v", text, again.Running, err)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	long := strings.Repeat("x", NameMost+1)
	for _, c := range []struct {
		text string
		want []string // all of them in the error
	}{
		{`{"running_w":5}`, []string{"loads[0].name", "1 to 60 characters"}},
		{`{"name":" ","running_w":5}`, []string{"loads[0].name", "1 to 60 characters"}},
		{`{"name":"` + long + `","running_w":5}`, []string{"loads[0].name", "61", "at most 60"}},
		{`{"name":"Lamp"}`, []string{"loads[0].running_w", "between 0 and 20,000 W", "daily_wh"}},
		{`{"name":"Lamp","running_w":null}`, []string{"loads[0].running_w", "between 0 and 20,000 W"}},
		{`{"name":"Lamp","running_w":5,"daily_wh":5}`, []string{"loads[0].daily_wh", "left out"}},
		{`{"name":"Lamp","running_w":"five"}`, []string{"loads[0].running_w", `"five"`, "between 0 and 20,000 W"}},
		{`{"name":"Lamp","running_w":"5"}`, []string{"loads[0].running_w", `"5"`, "between 0 and 20,000 W"}},
		{`{"name":"Lamp","running_w":1e400}`, []string{"loads[0].running_w", "1e400", "between 0 and 20,000 W"}},
		{`{"name":"Lamp","running_w":-5}`, []string{"loads[0].running_w", "-5", "between 0 and 20,000 W"}},
		{`{"name":"Lamp","running_w":[5]}`, []string{"loads[0].running_w", "[5]", "between 0 and 20,000 W"}},
		{`{"name":"Lamp","running_w":20000.5}`, []string{"loads[0].running_w", "20,000.5", "between 0 and 20,000 W"}},
		{`{"name":"Lamp","daily_wh":-1}`, []string{"loads[0].daily_wh", "-1", "between 0 and 100,000 Wh a day"}},
		{`{"name":"Lamp","running_w":5,"count":0}`, []string{"loads[0].count", "0", "between 1 and 100"}},
		{`{"name":"Lamp","running_w":5,"count":1.5}`, []string{"loads[0].count", "1.5", "whole", "between 1 and 100"}},
		{`{"name":"Lamp","running_w":5,"duty":0}`, []string{"loads[0].duty", "0", "between 0.01 and 1"}},
		{`{"name":"Lamp","running_w":5,"power_factor":2}`, []string{"loads[0].power_factor", "2", "between 0.1 and 1"}},
		{`{"name":"Lamp","running_w":5,"starting_w":60001}`, []string{"loads[0].starting_w", "60,001", "between 0 and 60,000 W"}},
		{`{"name":"Lamp","running_w":5,"low_w":6}`, []string{"loads[0].low_w", "6", "at most running_w, 5 W"}},
		{`{"name":"Lamp","running_w":5,"high_w":4}`, []string{"loads[0].high_w", "4", "at least running_w, 5 W"}},
		{`{"name":"Lamp","running_w":5,"rank":"dear"}`, []string{"loads[0].rank", "dear", "vital, useful, comfort"}},
		{`{"name":"Lamp","running_w":5,"outlet":"hdmi"}`, []string{"loads[0].outlet", "hdmi", "ac, 12v, usb"}},
		{`{"name":"Lamp","running_w":5,"basis":1}`, []string{"loads[0].basis", "1", "measured, label, typical"}},
		{`{"name":"Lamp","running_w":5,"off":"yes"}`, []string{"loads[0].off", "yes", "true or false"}},
		{`{"name":5,"running_w":5}`, []string{"loads[0].name", "5", "text in quotes"}},
		{`{"name":"La\u0007mp","running_w":5}`, []string{"loads[0].name", `\a`, "control characters"}},
		{`{"name":"La\u202emp","running_w":5}`, []string{"loads[0].name", `\u202e`, "control characters"}},
		{`{"name":"La\u061cmp","running_w":5}`, []string{"loads[0].name", `\u061c`, "control characters"}},
		{`{"name":"Lamp","running_w":5,"use":"night"}`, []string{"loads[0].use", "night", "a list"}},
		{`{"name":"Lamp","running_w":5,"use":[7]}`, []string{"loads[0].use[0]", "7", "an object"}},
		{`{"name":"Lamp","running_w":5,"use":[{"from":"25:99","to":"06:00"}]}`, []string{"loads[0].use[0].from", "25:99", "between 00:00 and 23:59"}},
		{`{"name":"Lamp","running_w":5,"use":[{"from":"22:00"}]}`, []string{"loads[0].use[0].to", "between 00:00 and 23:59"}},
		{`{"name":"Lamp","running_w":5,"use":[` + strings.Repeat(`{"from":"01:00","to":"02:00"},`, 12) + `{"from":"01:00","to":"02:00"}]}`,
			[]string{"loads[0].use", "13", "at most 12"}},
	} {
		_, err := read(c.text)
		if err == nil {
			t.Errorf("%s: no error", c.text)
			continue
		}
		if e := (*doc.Error)(nil); !errors.As(err, &e) {
			t.Errorf("%s: got a %T", c.text, err)
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: got %q, want %q in it", c.text, err, w)
			}
		}
	}
}

func TestRankOrder(t *testing.T) {
	for want, r := range Ranks {
		if got := Rank(r).Order(); got != want {
			t.Errorf("%s: got %d, want %d", r, got, want)
		}
	}
}

// A compressor goes on and off; what has no duty of its own or is told by the day
// does not. Where no length is told it is half an hour.
func TestCycles(t *testing.T) {
	fridge := Load{Running: 90, Duty: 0.3, CyclesItself: true}
	slow := fridge
	slow.Cycle = 55
	pump, daily, none := fridge, Load{Daily: 100, Duty: 0.5, CyclesItself: true}, Load{Duty: 0.5, CyclesItself: true}
	pump.Duty = 1
	for name, c := range map[string]struct {
		load    Load
		minutes float64
		ok      bool
	}{"usual": {fridge, 30, true}, "told": {slow, 55, true}, "always on": {pump, 0, false}, "by the day": {daily, 0, false},
		"no watts": {none, 0, false}, "by hand": {Load{Running: 90, Duty: 0.3}, 0, false}} {
		minutes, duty, ok := c.load.Cycles()
		if minutes != c.minutes || ok != c.ok || ok && duty != 0.3 {
			t.Errorf("%s: got %v, %v, %v", name, minutes, duty, ok)
		}
	}
}

// A motor whose first moment nobody told takes 5 times what it runs at: by its
// going on and off by itself, or by its kind as people call it. What is told stands.
func TestStartOfAMotor(t *testing.T) {
	for _, c := range []struct {
		name    string
		load    Load
		want    units.Watts
		guessed bool
	}{
		{"goes on and off by itself", Load{Name: "Thing", Running: 150, Outlet: AC, Duty: 0.3, CyclesItself: true}, 750, true},
		{"with the power factor of a motor", Load{Name: "Thing", Running: 150, Outlet: AC, CyclesItself: true, PowerFactor: 0.7}, 750, true},
		{"heats", Load{Name: "Thing", Running: 150, Outlet: AC, CyclesItself: true, PowerFactor: 1}, 150, false},
		{"told", Load{Name: "Thing", Running: 150, Starting: 400, Outlet: AC, CyclesItself: true}, 400, false},
		{"told as no more than it runs", Load{Name: "Thing", Running: 150, Starting: 150, Outlet: AC, CyclesItself: true}, 150, false},
		{"told below what it runs at", Load{Name: "Thing", Running: 150, Starting: 20, Outlet: AC, CyclesItself: true}, 150, false},
		{"on 12 V, where no inverter bears it", Load{Name: "Thing", Running: 150, Outlet: DC, CyclesItself: true}, 150, false},
		{"stays on", Load{Name: "Thing", Running: 150, Outlet: AC}, 150, false},
		{"charged", Load{Name: "Thing", Daily: 150, Outlet: AC, CyclesItself: true}, 0, false},
		{"of a kind", Load{Name: "Chest freezer 2", Running: 90, Outlet: AC}, 450, true},
		{"by its short name", Load{Name: "well pump", Running: 900, Outlet: AC}, 4500, true},
		{"by its last word", Load{Name: "Grandma’s fridge", Running: 100, Outlet: AC}, 500, true},
		{"by a word that says nothing", Load{Name: "Pump", Running: 100, Outlet: AC}, 100, false},
		{"a short word for another thing", Load{Name: "Vent", Running: 180, Outlet: AC}, 180, false},
	} {
		if got, guessed := c.load.Start(); got != c.want || guessed != c.guessed {
			t.Errorf("%s: starts with %v W, guessed %v, want %v, %v", c.name, got, guessed, c.want, c.guessed)
		}
	}
	// What the catalogue lists is known, and starts as it lists it.
	for _, e := range Catalogue() {
		l := e.Load()
		if got, guessed := l.Start(); guessed || got != max(e.Starting, l.Running) {
			t.Errorf("%s: starts with %v W, guessed %v", e.Key, got, guessed)
		}
	}
}
