package ui

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
)

// typing is one box, what is typed, and what of the plan it may change.
type typing struct {
	id    string
	good  map[string]float64 // typed, and what the plan then holds
	bad   []string
	words []string // that the error for the first bad one names: value and range
	empty float64  // what the plan holds of an empty box; NaN where it must not be empty
	get   func(w *world) float64
}

func aLoad(w *world) load.Load          { return w.app.book.Plan.Loads[w.app.route.At] }
func aBattery(w *world) battery.Battery { return w.app.book.Plan.Supply.Battery }
func anInverter(w *world) inverter.Inverter {
	return w.app.book.Plan.Supply.Inverter
}

func input(w *world, kind charge.Kind) charge.Input {
	for _, in := range w.app.book.Plan.Supply.Inputs {
		if in.Kind == kind {
			return in
		}
	}
	return charge.Input{}
}

// known is a figure that may be unknown; -1 stands for that.
func known(v *float64) float64 {
	if v == nil {
		return -1
	}
	return *v
}

var must = math.NaN()

var typings = []typing{
	{"load-watts", map[string]float64{"60": 60, "1.5 kW": 1500, "12,5": 12.5, "1,500": 1500, " 0 ": 0, "20000": 20000, "60 W": 60, "7 watts": 7},
		[]string{"20001", "-5", "5 Wh", "60-80", "1e5"}, []string{"20,001", "20,000"}, must,
		func(w *world) float64 { return float64(aLoad(w).Running) }},
	{"load-count", map[string]float64{"1": 1, "3": 3, "100": 100}, []string{"101", "0", "-1", "2.5", "1.9"}, []string{"101", "100"}, must,
		func(w *world) float64 { return float64(aLoad(w).Count) }},
	{"load-duty", map[string]float64{"33": 0.33, "100": 1, "1": 0.01, "12,5 %": 0.125}, []string{"101", "0", "-1", "50 W"}, []string{"101", "100"}, must,
		func(w *world) float64 { return aLoad(w).Duty }},
	{"load-starting", map[string]float64{"600": 600, "1.2kW": 1200, "60000": 60000}, []string{"60001", "-1"}, []string{"60,001", "60,000"}, 0,
		func(w *world) float64 { return float64(aLoad(w).Starting) }},
	{"load-pf", map[string]float64{"0.7": 0.7, "0,65": 0.65, "1": 1, ".5": 0.5}, []string{"1.1", "0", "70"}, []string{"1.1", "0.1"}, 0,
		func(w *world) float64 { return aLoad(w).PowerFactor }},
	{"load-cycle", map[string]float64{"20": 20, "1 hour": 60, "240": 240}, []string{"241", "4", "0"}, []string{"241", "240"}, 0,
		func(w *world) float64 { return aLoad(w).Cycle }},

	{"supply-capacity", map[string]float64{"1024": 1024, "1,5 kWh": 1500, "100 Ah 12 V": 1200, "12V 100Ah": 1200, "100Ah x 12.8V": 1280, "12 V × 100 Ah": 1200,
		"20000 mAh 3.7 V": 74, "3.7V 20,000 mAh": 74, "1000000": 1e6},
		[]string{"1000001", "0", "-5", "100 Ah", "20000 mAh", "500 W", "100 kAh 12 V", "-100 Ah -12 V", "1e400 Ah 0 V", "100 Ah 1e400 V", "100 Ah 12 W", "V 100 Ah", "12 V Ah", "12 V 5 W 100 Ah"},
		[]string{"1,000,001", "1,000,000"}, must, func(w *world) float64 { return float64(aBattery(w).Capacity) }},
	{"supply-age", map[string]float64{"2": 2, "2,5": 2.5, "0": 0, "6 months": 0.5, "40": 40}, []string{"41", "-1"}, []string{"41", "40"}, 0,
		func(w *world) float64 { return aBattery(w).AgeYears }},
	{"supply-stands", map[string]float64{"50": 0.5, "100": 1, "0": 0, "62.5 %": 0.625}, []string{"101", "-1"}, []string{"101", "100"}, -1,
		func(w *world) float64 { return known(aBattery(w).StandsAt) }},
	{"supply-lowest", map[string]float64{"-30": -30, "-10 °C": -10, "14 °F": -10, "20": 20}, []string{"21", "-61"}, []string{"21", "20"}, -1,
		func(w *world) float64 { return known(aBattery(w).Lowest) }},
	{"supply-cycles", map[string]float64{"300": 300, "20000": 20000}, []string{"20001", "-1"}, []string{"20,001", "20,000"}, must,
		func(w *world) float64 { return aBattery(w).Cycles }},
	// Before the room: the night is never counted warmer than that.
	{"supply-night", map[string]float64{"5": 5, "-10": -10, "32 °F": 0, "4.5": 4.5}, []string{"61", "-31", "20 K"}, []string{"61", "60"}, -1,
		func(w *world) float64 { return known(aBattery(w).Night) }},
	{"supply-room", map[string]float64{"5": 5, "-10": -10, "−10": -10, "-30": -30, "60": 60, "50 °F": 10, "50F": 10, "32°F": 0, "140 °F": 60, "-22 °F": -30, "12.5 °C": 12.5},
		[]string{"61", "-31", "20 K", "141 °F", "-23 F", "500 °F"}, []string{"61", "60"}, must,
		func(w *world) float64 { return float64(aBattery(w).Room) }},
	{"supply-backon", map[string]float64{"20": 0.2, "1": 0.01, "50": 0.5}, []string{"51", "0"}, []string{"51", "50"}, -1,
		func(w *world) float64 { return known(w.app.book.Plan.Supply.BackOn) }},
	{"rule-comfort", map[string]float64{"50": 0.5, "90": 0.9, "5": 0.05}, []string{"91", "4", "-1"}, []string{"91", "90"}, -1,
		func(w *world) float64 { return known(w.app.book.Plan.Outage.ComfortBelow) }},
	{"rule-useful", map[string]float64{"20": 0.2, "5": 0.05, "12,5 %": 0.125}, []string{"91", "4", "30 W"}, []string{"91", "90"}, -1,
		func(w *world) float64 { return known(w.app.book.Plan.Outage.UsefulBelow) }},
	{"supply-continuous", map[string]float64{"600": 600, "1.2 kW": 1200}, []string{"100001", "0.5", "-1"}, []string{"100,001", "100,000"}, 0,
		func(w *world) float64 { return float64(anInverter(w).Continuous) }},
	{"supply-surge", map[string]float64{"2000": 2000, "2kW": 2000}, []string{"300001", "0"}, []string{"300,001", "300,000"}, -1,
		func(w *world) float64 { return known(anInverter(w).SurgeW) }},
	{"supply-surge-s", map[string]float64{"3": 3, "0": 0}, []string{"61", "-1"}, []string{"61", "60"}, -1,
		func(w *world) float64 { return known(anInverter(w).SurgeS) }},
	{"supply-va", map[string]float64{"1200": 1200, "1,2 kVA": 1200}, []string{"100001", "0"}, []string{"100,001", "100,000"}, -1,
		func(w *world) float64 { return known(anInverter(w).ContinuousVA) }},
	{"supply-idle", map[string]float64{"11": 11, "0": 0}, []string{"1001", "-1"}, []string{"1,001", "1,000"}, -1,
		func(w *world) float64 { return known(anInverter(w).IdleW) }},
	{"supply-efficiency", map[string]float64{"89": 0.89, "30": 0.3, "100": 1, "91,5%": 0.915}, []string{"101", "29", "0.89"}, []string{"101", "30"}, -1,
		func(w *world) float64 { return known(anInverter(w).Efficiency) }},
	{"supply-health", map[string]float64{"85": 0.85, "10": 0.1, "100": 1}, []string{"101", "9"}, []string{"101", "10"}, -1,
		func(w *world) float64 { return known(aBattery(w).Health) }},
	{"supply-cutoff", map[string]float64{"5": 0.05, "0": 0, "95": 0.95}, []string{"96", "-1"}, []string{"96", "95"}, -1,
		func(w *world) float64 { return known(aBattery(w).Cutoff) }},
	{"supply-dc", map[string]float64{"90": 0.9, "30": 0.3, "100": 1}, []string{"101", "29"}, []string{"101", "30"}, must,
		func(w *world) float64 { return w.app.book.Plan.Supply.DCEfficiency }},
	{"supply-wall", map[string]float64{"250": 250, "1.2 kW": 1200}, []string{"-1", "250 V"}, nil, 0,
		func(w *world) float64 { return float64(input(w, charge.Wall).Watts) }},
	{"supply-car", map[string]float64{"8": 8, "7,5 A": 7.5}, []string{"-1", "8 W"}, nil, 0,
		func(w *world) float64 { return float64(input(w, charge.Car).Amps) }},
	{"supply-generator", map[string]float64{"1000": 1000, "2 kW": 2000}, []string{"-1"}, nil, 0,
		func(w *world) float64 { return float64(input(w, charge.Generator).Watts) }},
	{"supply-bars", map[string]float64{"4": 4, "2": 2, "20": 20}, []string{"21", "1", "4.5"}, []string{"21", "20"}, must,
		func(w *world) float64 { return float64(w.app.book.Plan.Supply.Gauge.Bars) }},
}

// Every box to type a number in: what is good reaches the plan, what is not
// leaves its last good value, is told when the box is left, in words that name
// box, value and range, and is taken back once it is mended.
func TestBoxes(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("supply")
	w.pick("supply-gauge", "bars")
	tested := map[string]bool{}
	for _, c := range typings {
		t.Run(c.id, func(t *testing.T) {
			w.t = t
			tested[c.id] = true
			if strings.HasPrefix(c.id, "load-") {
				w.visit("load=1")
			} else {
				w.visit("supply")
				w.tick("supply-more", true)
			}
			for typed, want := range c.good {
				f := w.typeIn(c.id, typed)
				if got := c.get(w); math.Abs(got-want) > 1e-9*math.Abs(want) || f.Err != "" || f.Raw != typed {
					t.Errorf("%q: the plan holds %v, want %v; error %q; in the box %q", typed, got, want, f.Err, f.Raw)
				}
				if _, err := plan.Decode(w.app.book.Plan.Encode()); err != nil {
					t.Errorf("%q: the plan can't be read again: %v", typed, err)
				}
			}
			held := c.get(w)
			label, _, _ := strings.Cut(w.field(c.id).Label, ", in ")
			for i, typed := range append(c.bad, "many", "1e400", "-1e400", "99999999999999999999", "--", "NaN", "Inf", "1/2", "½", "0x10", strings.Repeat("9", 5000)) {
				f := w.field(c.id)
				w.act(func() { w.app.TypeText(f, typed) })
				if got := c.get(w); got != held {
					t.Errorf("%q: the plan holds %v, want still %v", typed, got, held)
				}
				if i == 0 && f.Err != "" {
					t.Errorf("%q: the error %q shows before the box is left", typed, f.Err)
				}
				w.act(func() { w.onLeave(c.id) })
				switch {
				case f.Err == "" || f.Raw != typed:
					t.Errorf("%q: error %q, in the box %q", typed, f.Err, f.Raw)
				case !strings.HasPrefix(f.Err, label):
					t.Errorf("%q: the error %q does not name the box %q", typed, f.Err, label)
				case strings.Contains(f.Err, "e+"), slips.MatchString(strings.ReplaceAll(f.Err, quote(typed), "")):
					t.Errorf("%q: the error is %q", typed, f.Err)
				case len([]rune(f.Err)) > 200:
					t.Errorf("an error of %d letters", len([]rune(f.Err)))
				case f.Invalid() != "true" || !strings.Contains(f.About(), "-err"):
					t.Errorf("%q: not marked as wrong", typed)
				}
				if _, example, ok := strings.Cut(f.Err, "must be a number, like "); ok {
					w.act(func() { w.app.TypeText(f, strings.TrimSuffix(example, ".")) })
					if f.Err != "" {
						t.Errorf("the example %q is no good: %q", example, f.Err)
					}
					held = c.get(w)
					w.act(func() { w.onLeave(c.id) })
				}
				for _, word := range c.words {
					if i == 0 && !strings.Contains(f.Err, word) {
						t.Errorf("%q: the error %q does not name %s", typed, f.Err, word)
					}
				}
			}
			for typed := range c.good { // mended, without leaving
				f := w.field(c.id)
				w.act(func() { w.app.TypeText(f, typed) })
				if f.Err != "" {
					t.Errorf("mended, and still %q", f.Err)
				}
				break
			}
			w.act(func() { w.onLeave(c.id) }) // what is left in order is what later errors fall back to
			held = c.get(w)
			f := w.typeIn(c.id, "  ")
			if math.IsNaN(c.empty) {
				if c.get(w) != held || f.Err == "" {
					t.Errorf("empty: the plan holds %v, error %q", c.get(w), f.Err)
				}
			} else if c.get(w) != c.empty || f.Err != "" {
				t.Errorf("empty: the plan holds %v, want %v; error %q", c.get(w), c.empty, f.Err)
			}
		})
	}
	w.t = t
	for _, page := range []string{"load=1", "supply"} {
		w.visit(page)
		if page == "supply" {
			w.tick("supply-more", true)
		}
		for _, it := range w.app.Form().Shown() {
			if it.Field != nil && !tested[it.Field.ID] && it.Field.ID != "load-name" {
				t.Errorf("the box %s is not tested", it.Field.ID)
			}
		}
	}
}

// In degrees Fahrenheit, too, everything typed is taken or told.
func TestRoomInFahrenheit(t *testing.T) {
	w := planned(t, new(disk), func(w *world) { w.lang = "en-US" })
	w.visit("supply")
	f := w.typeIn("supply-room", "41")
	if got := aBattery(w).Room; math.Abs(float64(got)-5) > 1e-9 || f.Err != "" {
		t.Errorf("41 °F: the plan holds %v °C, error %q", got, f.Err)
	}
	if f := w.typeIn("supply-room", "5 °C"); float64(aBattery(w).Room) != 5 || !strings.Contains(f.Echo, "41") {
		t.Errorf("5 °C: the plan holds %v °C, read as %q", aBattery(w).Room, f.Echo)
	}
	if f := w.typeIn("supply-room", "141"); !strings.Contains(f.Err, "141") || !strings.Contains(f.Err, "140") {
		t.Errorf("141 °F: error %q", f.Err)
	}
	for _, edge := range []float64{140, -22, 60, -30} {
		for _, unit := range []string{"", "F", "C"} {
			for _, v := range []float64{edge, math.Nextafter(edge, 1000), math.Nextafter(edge, -1000), edge + 1e-13, edge - 1e-13} {
				w.typeIn("supply-room", fmt.Sprintf("%.17g %s", v, unit))
				if r := float64(aBattery(w).Room); battery.RoomRange.Check("", r) != nil {
					t.Errorf("%v %s: the plan holds %v °C", v, unit, r)
				}
			}
		}
	}
}

// The way a load's use is told can be changed to and fro.
func TestWattsOrDaily(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("load=1")
	w.pick("load-given", "daily")
	w.typeIn("load-daily", "0,5 kWh")
	if l := aLoad(w); l.Daily != 500 || l.Running != 0 || l.Starting != 0 {
		t.Errorf("0.5 kWh a day: got %+v", l)
	}
	if f := w.typeIn("load-daily", "0"); f.Err == "" || aLoad(w).Daily != 500 {
		t.Errorf("0 a day: error %q, %+v", f.Err, aLoad(w))
	}
	w.pick("load-given", "watts")
	w.typeIn("load-watts", "80")
	if l := aLoad(w); l.Running != 80 || l.Daily != 0 {
		t.Errorf("80 W: got %+v", l)
	}
	w.pick("load-use", "hours")
	w.typeIn("load-from", "10pm")
	w.typeIn("load-to", "6.30")
	if u := aLoad(w).Use; len(u) != 1 || u[0].From != 22*60 || u[0].To != 6*60+30 {
		t.Errorf("hours of use: %+v", u)
	}
	f := w.field("load-from")
	w.act(func() { w.app.TypeText(f, "25:00") })
	w.act(func() { w.onLeave("load-from") })
	if f.Err == "" || aLoad(w).Use[0].From != 22*60 {
		t.Errorf("25:00: error %q, on from %v", f.Err, aLoad(w).Use[0].From)
	}
	w.pick("load-use", "always")
	if u := aLoad(w).Use; len(u) != 0 {
		t.Errorf("day and night: %+v", u)
	}
}

// letters types a text letter by letter and leaves the box.
func (w *world) letters(id, text string) *Field {
	f := w.field(id)
	for i := range text {
		w.act(func() { w.app.TypeText(f, text[:i+1]) })
	}
	w.act(func() { w.onLeave(id) })
	return f
}

// A first figure that can't stand is not half counted: nothing stands then, as
// before.
func TestFirstFigureCannotStand(t *testing.T) {
	w := openPage(t, new(disk))
	w.do(w.app.OutNow)
	w.tick("out-cpap", true)
	if f := w.letters("out-capacity", "10000000"); f.Err == "" || aBattery(w).Capacity != 0 || w.app.Answered() {
		t.Errorf("10,000,000 Wh: error %q, the plan holds %v", f.Err, aBattery(w).Capacity)
	}
	w.letters("out-capacity", "1024")
	unread := w.app.Big()
	w.pick("out-gauge", "percent")
	if f := w.letters("out-percent", "140"); f.Err == "" || w.app.Big() != unread {
		t.Errorf("140 %%: error %q, the page says %q, unread %q", f.Err, w.app.Big(), unread)
	}
	if got := w.app.book.Plan.Supply.Gauge.Kind; got != plan.Percent {
		t.Errorf("the gauge shows %q", got)
	}
	w.pick("out-gauge", "bars")
	if f := w.letters("out-lit", "1.5"); f.Err == "" || w.app.Big() != unread {
		t.Errorf("1.5 bars: error %q, the page says %q, unread %q", f.Err, w.app.Big(), unread)
	}
	if got := w.app.book.Plan.Supply.Gauge; got.Kind != plan.Bars || got.Bars != 5 {
		t.Errorf("the gauge is %+v", got)
	}
	w.letters("out-lit", "5")
	five := w.app.Big()
	if f := w.letters("out-lit", "55"); f.Err == "" || w.app.Big() != five {
		t.Errorf("55 bars: error %q, the page says %q, with 5 %q", f.Err, w.app.Big(), five)
	}

	w = planned(t, new(disk))
	w.visit("load=1")
	was := aLoad(w)
	w.pick("load-given", "daily")
	if f := w.letters("load-daily", "1000000000"); f.Err == "" || !reflect.DeepEqual(aLoad(w), was) {
		t.Errorf("too much a day: error %q, the plan holds %+v, want %+v", f.Err, aLoad(w), was)
	}
}

// typedText is what people, and others, put into a box.
func typedText() *rapid.Generator[string] {
	figure := rapid.OneOf(
		rapid.Map(rapid.Float64(), func(v float64) string { return fmt.Sprint(v) }),
		rapid.Map(rapid.IntRange(-10, 30000), func(v int) string { return fmt.Sprint(v) }),
		rapid.SampledFrom([]string{"0", "1", "100", "95", "0.1", "1e-9", "1e-320", "1e400", "-1e400", "NaN", "Inf", "0,5", "1,500", "1 000,5", "5:30", "25:00", "midnight", "9pm", "100 Ah", "100Ah 12V", "50 °F"}),
	)
	unit := rapid.SampledFrom([]string{"", "", " ", " W", "kW", " Wh", " kWh", "%", " VA", " V", "°C", "°F", " years", " h", " days", "mAh 5 V", " bars"})
	return rapid.OneOf(
		rapid.Custom(func(t *rapid.T) string { return figure.Draw(t, "figure") + unit.Draw(t, "unit") }),
		rapid.String(),
		rapid.StringN(0, 80, -1),
		rapid.SampledFrom([]string{"", " ", "Lamp", "<b>", "a\u202eb", strings.Repeat("x", 61), strings.Repeat("ü", 60), "\xff\xfe"}),
	)
}

// Whatever is typed, tapped and ticked, in whatever order, the plan can be
// written and read again as the same plan, and the page can be drawn.
func TestAnythingTyped(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := openPage(t, new(disk), func(w *world) {
			w.hour24 = rapid.Bool().Draw(rt, "24 hours")
			w.lang = rapid.SampledFrom([]string{"en-GB", "en-US"}).Draw(rt, "language")
		})
		w.act(w.app.PlanAhead)
		keys := []string{"cpap", "fridge", "phone", "lamp-led", "router", "freezer-chest", "oxygen-5l", "kettle"}
		for range rapid.IntRange(0, 4).Draw(rt, "loads") {
			w.act(func() { w.app.AddFound(rapid.SampledFrom(keys).Draw(rt, "key")) })
		}
		w.act(w.app.AddCandidate)
		// Only the last act's answer is looked at: thinking is the slow part.
		for range rapid.IntRange(1, 25).Draw(rt, "acts") {
			page := rapid.SampledFrom([]string{"", "", "", "supply", "load=0", "load=1", "out", "prepare", "settings", "more", "tonight", "sun", "panels", "place", "candidate=0", "own", "drill"}).Draw(rt, "page")
			if page != "" {
				w.visit(page)
			}
			items := w.app.Form().Shown()
			var touch []Item
			for _, it := range items {
				if it.Field != nil || it.Choice != nil || it.Tick != nil {
					touch = append(touch, it)
				}
			}
			if len(touch) == 0 {
				w.act(w.app.AddOwn)
				continue
			}
			switch it := rapid.SampledFrom(touch).Draw(rt, "item"); {
			case it.Field != nil:
				text := typedText().Draw(rt, it.Field.ID)
				w.act(func() { w.app.TypeText(it.Field, text) })
				w.act(func() { w.onLeave(it.Field.ID) })
			case it.Choice != nil:
				v := rapid.SampledFrom(it.Choice.Options).Draw(rt, it.Choice.ID).Value
				w.act(func() { w.app.Pick(it.Choice, v) })
			default:
				on := rapid.Bool().Draw(rt, it.Tick.ID)
				w.act(func() { it.Tick.Set(on) })
			}
			data := w.app.book.Plan.Encode()
			got, err := plan.Decode(data)
			if err != nil {
				rt.Fatalf("the plan can't be read again: %v\n%s", err, data)
			}
			if again := got.Encode(); string(again) != string(data) {
				rt.Fatalf("the plan read again is another:\n%s\n%s", data, again)
			}
		}
		checkParts(rt, w.html())
	})
}

// Reading a plan again loses nothing that was typed into the supply.
func TestNothingTypedIsLost(t *testing.T) {
	for _, c := range typings {
		if !strings.HasPrefix(c.id, "supply-") {
			continue
		}
		for typed := range c.good {
			d := new(disk)
			w := openPage(t, d)
			w.act(w.app.PlanAhead)
			w.visit("supply")
			w.tick("supply-more", true)
			if c.id == "supply-bars" {
				w.pick("supply-gauge", "bars")
			}
			w.typeIn(c.id, typed)
			want := w.app.book.Plan.Supply
			if got, err := plan.Decode(w.app.book.Plan.Encode()); err != nil || !reflect.DeepEqual(got.Supply, want) {
				t.Errorf("%s, %q: read again (%v)\n got %+v\nwant %+v", c.id, typed, err, got.Supply, want)
			}
		}
	}
}

// BenchmarkKeystroke is a letter typed into a load's watts, twenty loads in the
// plan: the plan changed, the answer worked out, the save begun.
func BenchmarkKeystroke(b *testing.B) {
	w := openPage(b, new(disk))
	w.act(w.app.PlanAhead)
	for i := range 20 { // a house that lasts the night
		w.act(func() { w.app.AddFound([]string{"cpap", "fridge", "router", "lamp-led", "phone"}[i%5]) })
	}
	w.visit("supply")
	w.typeIn("supply-capacity", "2048")
	w.visit("load=0")
	w.pick("load-given", "watts")
	f := w.field("load-watts")
	texts := []string{"3", "30"}
	b.ResetTimer()
	for i := range b.N {
		w.do(func() { w.app.TypeText(f, texts[i%2]) })
	}
}

// The sun's page says temperatures as they are read here, and what to expect
// before its verdict and the causes that follow from that.
func TestSunSays(t *testing.T) {
	w := planned(t, new(disk), func(w *world) {
		w.lang = "en-US"
		w.now = time.Date(w.now.Year(), 6, 14, 12, 30, 0, 0, w.now.Location())
	})
	w.app.edit(func(p *plan.Plan) {
		p.Place.Lat, p.Place.Lon = new(44.65), new(-63.57)
		p.Panels.PanelSet = plan.PanelSet{Count: 2, Label: panel.Label{Pmax: 100, Vmp: 18.2, Imp: 5.5, Voc: 21.8, Isc: 5.9}}
		p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 14, MaxV: 58, MaxA: 12, MaxW: 300}}
	})
	w.visit("sun")
	if s := w.app.SunView().Cold(); !strings.Contains(s, "\u00a0°F") || strings.Contains(s, "°C") {
		t.Errorf("the cold, in Fahrenheit: %q", s)
	}
	w.typeIn("check-watts", "20")
	says := w.app.Checked()
	if len(says) < 3 || !strings.HasPrefix(says[0], wSunCheckExpect) || says[1] != wSunCheckLow || says[2] != sunCauses[0] {
		t.Errorf("it says %q", says)
	}
}

// Hours of sun in the wrong order do not become a day without shade.
func TestHoursOfSun(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("panels")
	w.pick("panel-shade", "some")
	w.typeIn("panel-from", "11:00")
	w.typeIn("panel-to", "15:00")
	for _, c := range []struct{ id, typed string }{{"panel-from", "17:00"}, {"panel-to", "10:00"}, {"panel-to", "soon"}} {
		f := w.field(c.id)
		held := f.Raw
		w.act(func() { w.app.TypeText(f, c.typed) })
		w.act(func() { w.onLeave(c.id) })
		p := w.app.book.Plan.Panels
		if f.Err == "" || p.SunFrom == nil || p.SunTo == nil || *p.SunFrom != 11*60 || *p.SunTo != 15*60 {
			t.Errorf("%s %q: error %q, sun from %v to %v", c.id, c.typed, f.Err, p.SunFrom, p.SunTo)
		}
		w.act(func() { w.app.TypeText(f, held) })
	}
	for _, id := range []string{"panel-count", "panel-cells"} {
		if f := w.typeIn(id, "2.5"); f.Err == "" {
			t.Errorf("%s: 2.5 is taken", id)
		}
	}
}

func TestPlaceInDegrees(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("place")
	w.typeIn("place-lat", "-33.9")
	w.typeIn("place-lon", "18,4")
	p := w.app.book.Plan.Place
	if p.Lat == nil || *p.Lat != -33.9 || *p.Lon != 18.4 {
		t.Errorf("got %+v", p)
	}
	for id, bad := range map[string]string{"place-lat": "91", "place-lon": "181"} {
		if f := w.typeIn(id, bad); f.Err == "" {
			t.Errorf("%s: %s is taken", id, bad)
		}
	}
	before := w.app.book.Plan.Place
	w.act(w.app.Here) // a device that does not tell
	if w.app.News() == "" || w.app.book.Plan.Place.Name != before.Name || *w.app.book.Plan.Place.Lat != *before.Lat {
		t.Errorf("told %q, the place is %+v", w.app.News(), w.app.book.Plan.Place)
	}
}
