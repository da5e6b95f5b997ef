package ui

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/gauge"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// steady is a page in an outage that began now: a breathing mask, a lamp and a
// heater on a battery of a kilowatt-hour whose gauge shows percents.
func steady(t testing.TB, d *disk) *world {
	t.Helper()
	w := openPage(t, d)
	w.act(w.app.PlanAhead)
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Supply.Battery.Chemistry, p.Supply.Battery.Capacity, p.Supply.Battery.Room = "lfp", 1024, 20
			p.Supply.Inverter.Continuous = 600
			thing := func(name string, rank load.Rank, watts units.Watts) load.Load {
				return load.Load{Name: name, Rank: rank, Outlet: load.AC, Count: 1, Running: watts, Duty: 1, PowerFactor: 1, Basis: load.Typical}
			}
			p.Loads = []load.Load{thing("Breathing mask", load.Vital, 30), thing("Lamp", load.Useful, 10), thing("Heater", load.Comfort, 60)}
		})
	})
	w.visit("tonight")
	w.act(w.app.PowerOut)
	w.read("100")
	return w
}

// read is a reading of the gauge, by the page.
func (w *world) read(percent string) {
	w.t.Helper()
	w.act(w.app.OpenReading)
	w.typeIn("read-percent", percent)
	w.act(w.app.SaveReading)
}

// Enter in the field keeps the reading, and no other key does.
func TestEnterKeepsTheReading(t *testing.T) {
	w := steady(t, new(disk))
	w.pass(time.Hour)
	w.act(w.app.OpenReading)
	w.typeIn("read-percent", "40")
	w.act(func() { w.app.Pressed("4", w.app.SaveReading) })
	if soc := w.app.book.Plan.Outage.SOC; soc != 1 {
		t.Errorf("before Enter it counts from %v", soc)
	}
	w.act(func() { w.app.Pressed("Enter", w.app.SaveReading) })
	w.act(func() { w.app.Pressed("Enter", w.app.SaveReading) }) // held down
	if o := w.app.book.Plan.Outage; o.SOC != 0.4 || len(o.Log.Readings) != 2 {
		t.Errorf("after Enter it counts from %v, readings %v", o.SOC, o.Log.Readings)
	}
}

// A lead battery's voltmeter is read as the wide interval it tells; lithium's
// tells nothing.
func TestReadVolts(t *testing.T) {
	w := steady(t, new(disk))
	w.visit("supply")
	w.pick("supply-gauge", "volts")
	w.visit("tonight")
	w.act(w.app.OpenReading)
	if f := w.typeIn("read-volts", "13.2"); f.Err != wReadNotLead {
		t.Errorf("lithium: %q", f.Err)
	}
	w.act(w.app.OpenReading)
	w.act(func() { w.app.editSupply(func(s *plan.Supply) { s.Battery.Chemistry = battery.AGM }) })
	w.act(w.app.OpenReading)
	for raw, want := range map[string]string{
		"full":   wReadPercent + ": " + quote("full") + " must be a number, like 12.4.",
		"80 %":   wReadPercent + ": " + quote("80 %") + " must be a number, like 12.4.",
		"9":      wReadPercent + ": 9 must be between 10 and 60 V.",
		"18":     wReadPercent + ": " + quote("18") + wReadNoSuch,
		"12.2 V": "",
	} {
		f := w.typeIn("read-volts", raw)
		if f.Leave(); f.Err != want {
			t.Errorf("%q: %q, want %q", raw, f.Err, want)
		}
	}
	f := w.typeIn("read-volts", "12.2")
	if f.Echo != wReadMeans+"42% to 88%." {
		t.Errorf("it means %q", f.Echo)
	}
	checkPage(t, w.html())
	w.act(w.app.SaveReading)
	o := w.app.book.Plan.Outage
	if math.Abs(o.SOC-0.883) > 1e-3 || o.SOCLow == nil || math.Abs(*o.SOCLow-0.429) > 1e-3 || w.app.Readings()[0].Shown != "42% to 88%" {
		t.Errorf("%+v, %v", o, w.app.Readings())
	}
	// The picture has quarters for marks: volts tell no more.
	w.act(w.app.Undo)
	if marks := w.app.Marks(); len(marks) == 0 || marks[0].Gauge != "full" || marks[1].Gauge != "3 quarters" {
		t.Errorf("marks: %+v", marks)
	}
}

// The gauge is read three times in a night that drains faster than planned; what
// is counted on follows, and the page says what was learned. Nothing of it is
// lost when the page is closed.
func TestReadingsNarrow(t *testing.T) {
	d := new(disk)
	w := steady(t, d)
	if rows := w.app.Readings(); len(rows) != 1 || rows[0].Shown != "100%" || len(w.app.Learned()) != 0 {
		t.Fatalf("at first: %v, learned %v", rows, w.app.Learned())
	}
	first := w.app.answer.run
	w.pass(2 * time.Hour)
	w.read("70")
	w.pass(time.Hour)
	w.read("55")
	a := &w.app.answer
	if a.read == nil {
		t.Fatal("nothing is learned of three readings")
	}
	// 45% in three hours: the rest is gone in 3 h 40, wherever it stops.
	left, best := a.left(a.run.CountOn), a.left(a.run.AtBest)
	if left < 2.5 || best > 4.4 {
		t.Errorf("after 100, 70 and 55%% in three hours: from %.2f to %.2f h left", left, best)
	}
	if was, is := first.AtBest-first.CountOn, best-left; is > was*0.6 {
		t.Errorf("the spread was %.2f h, and is %.2f", was, is)
	}
	// 15% an hour where about 11 were planned.
	says := strings.Join(w.app.Learned(), " ")
	if !strings.Contains(says, wPace) || !strings.Contains(says, "faster than planned") {
		t.Errorf("it says %q, the pace is %+v", says, a.read.Pace)
	}
	if rows := w.app.Readings(); len(rows) != 3 || rows[0].Shown != "55%" || rows[2].Shown != "100%" {
		t.Errorf("readings: %v", rows)
	}
	checkPage(t, w.html())
	said := w.said()
	again := openPage(t, d, func(v *world) { v.now = w.now })
	if got := again.said(); got != said {
		t.Errorf("opened again it says %q, it said %q", got, said)
	}
	w.act(w.app.Undo)
	if rows := w.app.Readings(); len(rows) != 2 {
		t.Errorf("undone: %v", rows)
	}
}

// Readings that would have moved the likely end far, and may be wrong, are not
// told as going by the plan.
func TestPaceThatIsNotSure(t *testing.T) {
	w := planned(t, new(disk))
	w.act(w.app.PowerOut)
	w.read("75")
	w.pass(20 * time.Minute)
	w.read("73")
	pace := w.app.answer.read.Pace
	if pace.Low > 1 || pace.High < 1 || pace.Likely > 0.86 {
		t.Fatalf("the pace is %+v, not as this test wants it", pace)
	}
	if says := strings.Join(w.app.Learned(), " "); !strings.HasPrefix(says, wPaceMay) || !strings.Contains(says, "slower") {
		t.Errorf("the pace is %+v, it says %q", pace, says)
	}
}

// A reading that nothing explains is named, and the last can be counted from
// alone.
func TestReadingInDoubt(t *testing.T) {
	w := steady(t, new(disk))
	for _, percent := range []string{"85", "70", "95"} {
		w.pass(90 * time.Minute)
		w.read(percent)
	}
	says := w.app.Clash()
	if !w.app.InDoubt() || !strings.HasPrefix(says, wClash+"95%"+wDoubtAt) || !strings.HasSuffix(says, wClashAll) {
		t.Fatalf("a charge that rose: %q", says)
	}
	if w.app.Marks() != nil || w.app.Candle().Wax != "" {
		t.Error("the candle is drawn from a reading that can't be right")
	}
	w.act(w.app.Recount)
	if len(w.app.Readings()) != 1 || w.app.InDoubt() || w.app.book.Plan.Outage.SOC != 0.95 {
		t.Errorf("counted from the last alone: %v, %+v", w.app.Readings(), w.app.book.Plan.Outage)
	}
	w.act(w.app.Undo)
	if len(w.app.Readings()) != 4 {
		t.Errorf("undone: %v", w.app.Readings())
	}

	// Read again it counts, with nothing to be found and tapped.
	before := w.app.answer.left(w.app.answer.run.CountOn)
	w.pass(10 * time.Minute)
	w.read("94")
	if got := w.app.answer.left(w.app.answer.run.CountOn); w.app.Clash() != "" || w.app.InDoubt() || got <= before {
		t.Errorf("shown twice: %q, %v h where it was %v", w.app.Clash(), got, before)
	}
}

// What is switched is noted, and the readings are weighed with what was on: a
// slow drain with the heater off is no sign of a battery that lasts.
func TestSwitchesAreNoted(t *testing.T) {
	w := steady(t, new(disk))
	w.act(func() { w.app.Toggle(2) }) // the heater, off from the first minute
	w.pass(2 * time.Hour)
	w.read("89")
	w.act(func() { w.app.Toggle(2) })
	log := w.app.book.Plan.Outage.Log.Switches
	if len(log) != 2 || log[0].Load != "Heater" || log[0].On || !log[1].On {
		t.Fatalf("noted: %+v", log)
	}
	if pace := w.app.answer.read.Pace; pace.Low > 1.02 || pace.High < 0.95 {
		t.Errorf("with the heater off 11%% in two hours are as planned; the pace is %+v", pace)
	}
	left := w.app.answer.left(w.app.answer.run.CountOn)
	if left > 8 || left < 4.2 { // 0.89 of about 900 Wh at 130 W
		t.Errorf("with the heater on again %.2f h are counted on", left)
	}
}

// What was told with the answer of then does not stand beside another.
func TestNewsGoesWithItsAnswer(t *testing.T) {
	w := steady(t, new(disk))
	w.pass(time.Hour)
	w.read("80")
	told := w.app.News()
	if !strings.HasSuffix(told, w.app.answer.News()) || !w.app.CanUndo() {
		t.Fatalf("it says %q", told)
	}
	w.act(func() { w.app.edit(func(p *plan.Plan) { p.Name = "By the sea" }) })
	if w.app.News() != told {
		t.Errorf("another name, and it says %q, not %q", w.app.News(), told)
	}
	w.act(func() { w.app.Toggle(2) })
	if w.app.News() != "" {
		t.Errorf("after a switch it still says %q; the answer is %q", w.app.News(), w.app.answer.News())
	}
	// As time goes on the bar says what the page says, and can still be undone.
	w.read("79")
	for range 40 {
		w.pass(30 * time.Minute)
		w.act(w.onWake)
		if !strings.HasSuffix(w.app.News(), w.app.answer.News()) || !strings.HasPrefix(w.app.News(), wReadDone) || !w.app.CanUndo() {
			t.Fatalf("it says %q, and the page %q", w.app.News(), w.app.answer.News())
		}
	}
	w.act(w.app.Undo)
	if w.app.News() != wUndone {
		t.Errorf("undone it says %q", w.app.News())
	}
	// What tells no answer stays.
	w.act(func() { w.app.tell(wFileSaved, nil) })
	w.act(func() { w.app.Toggle(2) })
	if w.app.News() != wFileSaved {
		t.Errorf("it says %q", w.app.News())
	}
}

// What to turn off for a wished time, done and undone with one tap; where that
// is not enough, what would be, and never the vital thing.
func TestHold(t *testing.T) {
	d := new(disk)
	w := steady(t, d)
	w.pass(time.Hour) // 8:03pm
	w.act(w.onWake)
	w.act(w.app.OpenHold)
	w.act(w.app.SaveHold)
	if f := w.field("hold-until"); f.Err == "" || w.app.Holding() != nil {
		t.Errorf("nothing typed: error %q, %v", f.Err, w.app.Holding())
	}
	for _, bad := range []string{"soon", "100 days", "7 parsecs", "-3 hours", "25:00"} {
		f := w.typeIn("hold-until", bad)
		if f.Err == "" {
			t.Errorf("%q is taken", bad)
		}
	}
	ask := func(when string) string {
		if !w.app.Open("hold") {
			w.act(w.app.OpenHold)
		}
		w.typeIn("hold-until", when)
		w.act(w.app.SaveHold)
		return strings.Join(w.app.Holding().Says(), " ")
	}
	if got := ask("9pm"); !strings.HasPrefix(got, wHoldNothing) || w.app.CanHold() {
		t.Errorf("until 9pm: %q", got)
	}
	if got := ask("7am"); !strings.HasPrefix(got, wHoldOff+"heater. "+wHoldThen+"7am.") || strings.Contains(got, "breathing") {
		t.Errorf("until 7am: %q", got)
	}
	checkPage(t, w.html())
	// Done with one tap, and undone with one.
	w.act(w.app.TurnOff)
	a := &w.app.answer
	if l := w.app.book.Plan.Loads; !l[2].Off || l[1].Off || a.left(a.run.CountOn) < 10.9 {
		t.Errorf("turned off: %+v, %v h are counted on", l, a.left(a.run.CountOn))
	}
	if len(w.app.book.Plan.Outage.Log.Switches) != 1 || w.app.Holding() != nil {
		t.Error("it is not noted, or the question stays open")
	}
	w.act(w.app.Undo)
	if w.app.book.Plan.Loads[2].Off || len(w.app.book.Plan.Outage.Log.Switches) != 0 {
		t.Error("it is not undone")
	}
	// Too long: how far it reaches, what is missing, and never the vital thing.
	got := ask("2 days")
	for _, want := range []string{wHoldCant, wHoldEven + "lamp and heater.", wHoldReach, wHoldLacks, wHoldElse, wHoldLeave} {
		if !strings.Contains(got, want) {
			t.Errorf("2 days: %q lacks %q", got, want)
		}
	}
	// Nothing by the button reads as if the vital thing were switched by it.
	if h := w.app.Holding(); h.Does() != wHoldDoShort || h.Vital() != "" || strings.Contains(strings.ToLower(got), "breathing") {
		t.Errorf("2 days: %q, %q, %q", got, h.Does(), h.Vital())
	}
	w.act(w.app.TurnOff)
	if l := w.app.book.Plan.Loads; l[0].Off || !l[1].Off || !l[2].Off {
		t.Errorf("for 2 days: %+v", l)
	}
	if got := ask("2 days"); !strings.HasPrefix(got, wHoldCantAll) || w.app.CanHold() {
		t.Errorf("with the vital thing alone: %q", got)
	}
	// Of several vital things it is told which would have to be off besides.
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Loads = append(p.Loads[:3:3], load.Load{Name: "Monitor", Rank: load.Vital, Outlet: load.AC, Count: 1, Running: 4, Duty: 1, PowerFactor: 1, Basis: load.Typical})
		})
	})
	if got := ask("1 day"); strings.Contains(got, "breathing") || w.app.Holding().Vital() != wHoldVital+"breathing mask"+wHoldVitalIs {
		t.Errorf("with two vital things: %q, %q", got, w.app.Holding().Vital())
	}
	if !strings.HasSuffix(w.app.Status(), wHoldVitalIs) {
		t.Errorf("it is not spoken: %q", w.app.Status())
	}
	checkPage(t, w.html())
}

// After readings holding goes by them: it is enough, and no less would be.
func TestHoldByReadings(t *testing.T) {
	for _, shown := range [][2]string{{"70", "55"}, {"85", "76"}} { // faster and slower than planned
		for _, when := range []string{"1am", "3am", "5am", "7am"} {
			w := steady(t, new(disk))
			w.act(func() {
				w.app.edit(func(p *plan.Plan) {
					for i, watts := range []units.Watts{5, 12, 25, 40} {
						p.Loads = append(p.Loads, load.Load{Name: "Thing " + strconv.Itoa(i), Rank: load.Comfort, Outlet: load.AC, Count: 1, Running: watts, Duty: 1, PowerFactor: 1, Basis: load.Typical})
					}
				})
			})
			w.pass(2 * time.Hour)
			w.read(shown[0])
			w.pass(time.Hour)
			w.read(shown[1])
			w.pass(10 * time.Minute) // 10:13pm
			w.act(w.onWake)
			w.act(w.app.OpenHold)
			w.typeIn("hold-until", when)
			w.act(w.app.SaveHold)
			off := w.app.Holding().off
			hours := float64(w.app.Holding().until.Since(w.app.now))
			onward := w.app.onward()
			with := func(off []int) float64 {
				return float64(w.app.countOn(onward, func(p *plan.Plan) { turn(p, w.app.now, off...) }))
			}
			for n := range off {
				if h := with(slices.Delete(slices.Clone(off), n, n+1)); h >= hours+1e-6 { // rounding
					t.Errorf("%v, until %s: %v off, without %d too it lasts %.2f h", shown, when, off, off[n], h)
				}
			}
			says := strings.Join(w.app.Holding().Says(), " ")
			if h := with(off); strings.HasPrefix(says, wHoldCant) != (h < hours-1e-6) {
				t.Errorf("%v, until %s: %.2f h, and it says %q", shown, when, h, says)
			}
			w.act(w.app.TurnOff)
			if a := &w.app.answer; !strings.HasPrefix(says, wHoldCant) && float64(a.left(a.run.CountOn)) < hours-1e-6 {
				t.Errorf("%v, until %s: then %v h are counted on, not %v", shown, when, a.left(a.run.CountOn), hours)
			}
		}
	}
}

// Common practice of starting: with 650 W on and a limit of 1,200 W for a moment,
// a 150 W compressor that starts at 600 W trips started last (1,250 W) and runs
// started first (800 W); but when it starts again by itself it trips it too.
func TestStartedLast(t *testing.T) {
	w := steady(t, new(disk))
	surge := 1200.0
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Supply.Inverter.Continuous, p.Supply.Inverter.SurgeW = 1000, &surge
			p.Loads = []load.Load{{Name: "Heater", Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 650, Duty: 1, PowerFactor: 1, Basis: load.Measured}}
		})
	})
	w.visit("plug")
	w.typeIn("plug-watts", "150")
	w.typeIn("plug-starting", "600")
	got := spaced(strings.Join(w.app.PlugSays(), " "))
	for _, want := range []string{wPlugNotYet, wPlugLast + "1,250 W", wPlugFirst + wPlugFirstIs + "800 W", wPlugRestart + "this" + wPlugRestartIs + "1,250 W" + wPlugRestartDo} {
		if !strings.Contains(got, want) {
			t.Errorf("it says %q, not %q", got, want)
		}
	}
	checkPage(t, w.html())
	// In the plan: first in the order, and the worst moment told.
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Loads = append(p.Loads, load.Load{Name: "Pump", Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 150, Starting: 600, CyclesItself: true, Duty: 0.5, PowerFactor: 1, Basis: load.Measured})
		})
	})
	w.visit("tonight")
	steps := w.app.StartSteps()
	if len(steps) != 2 || steps[0].Name != "Pump" || !strings.Contains(spaced(steps[0].Text), "600 W") || !strings.Contains(spaced(steps[1].Text), "800 W") {
		t.Errorf("steps: %+v", steps)
	}
	if got := spaced(w.app.WorstRestart()); !strings.Contains(got, "pump"+wStartWorstIs+"1,250 W"+wStartOf+"1,200 W") {
		t.Errorf("worst restart: %q", got)
	}
	if got := spaced(strings.Join(w.app.Advice(), " ")); !strings.Contains(got, "Pump"+wRestartTrips+"1,250 W") {
		t.Errorf("advice: %q", got)
	}
	w.act(func() { w.app.Started("Pump") })
	if s := w.app.StartSteps(); !s[0].Done || s[1].Done || !w.app.SomeStarted() {
		t.Errorf("ticked: %+v", s)
	}
	w.act(w.app.StartAgain)
	if w.app.SomeStarted() {
		t.Error("the ticks are not cleared")
	}
}

// spaced turns blanks that don't break into plain ones.
func spaced(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }

func TestPlugIn(t *testing.T) {
	w := steady(t, new(disk))
	w.visit("plug")
	if got := w.app.PlugSays(); len(got) != 1 || got[0] != wPlugNone {
		t.Errorf("at first: %q", got)
	}
	w.typeIn("plug-what", "kettle")
	if f := w.app.PlugFound(); len(f) == 0 || f[0].Key != "kettle" {
		t.Fatalf("found: %+v", f)
	}
	w.act(func() { w.app.Plug("kettle") })
	if got := w.app.PlugSays(); !strings.HasPrefix(got[0], wPlugNo) {
		t.Errorf("a kettle on 600 W: %q", got)
	}
	says := func() string { return spaced(strings.Join(w.app.PlugSays(), " ")) }
	if got := says(); strings.Contains(got, wPlugCosts) {
		t.Errorf("of what can't run, the cost is told: %q", got)
	}
	w.typeIn("plug-watts", "100")
	if got := says(); !strings.HasPrefix(got, wPlugYes) || !strings.Contains(got, wPlugCosts) {
		t.Errorf("100 W: %q", got)
	}
	// Half an hour of 100 W is about 55 Wh at the battery, of which 120 to 150 W
	// are drawn: 22 to 27 minutes.
	w.typeIn("plug-minutes", "30")
	if got := says(); !strings.Contains(got, "30 minutes"+wPlugMinutesIs+"25 minutes") {
		t.Errorf("100 W for half an hour: %q", got)
	}
	w.typeIn("plug-watts", "550")
	if got := says(); !strings.HasPrefix(got, wPlugNotYet) || !strings.Contains(got, wPlugTogether+"650 W") {
		t.Errorf("550 W beside 100: %q", got)
	}
	// A thing that starts hard may be carried, and not started.
	w.typeIn("plug-watts", "100")
	w.typeIn("plug-starting", "700")
	if got := says(); !strings.HasPrefix(got, wPlugNo+" This"+wPlugHard+"700 W") {
		t.Errorf("a start of 700 W: %q", got)
	}
	w.act(func() { w.app.editSupply(func(s *plan.Supply) { s.Inverter.Continuous = 0 }) })
	w.typeIn("plug-starting", "")
	if got := says(); !strings.HasPrefix(got, wPlugUnknown) {
		t.Errorf("without a known limit: %q", got)
	}
}

// The figures of the sources: USDA FSIS (4 h, 48 h, 24 h), and the cylinders'
// factors: an E at 2,200 psi, nothing kept back, 2 L/min: 308 minutes.
func TestAids(t *testing.T) {
	w := steady(t, new(disk))
	w.visit("aids")
	notes := func() string {
		var all []string
		for _, it := range w.app.Form().Shown() {
			all = append(all, it.Note(), it.Text)
		}
		return spaced(strings.Join(all, " "))
	}
	has := func(want string) {
		t.Helper()
		if got := notes(); !strings.Contains(got, want) {
			t.Errorf("it says %q, not %q", got, want)
		}
	}
	has(wFoodFridge + "11:03pm" + wFoodKeeps + "7:03pm on Friday.")
	w.pick("food-freezer", "half")
	has(wFoodKeeps + "7:03pm on Thursday.")
	w.typeIn("food-ago", "5")
	has(wFoodOver + "6:03pm")
	w.tick("food-opened", true)
	has(wFoodSooner)
	w.typeIn("food-ago", "60")
	has(wFoodBoth)

	w.pick("oxygen-by", "us")
	w.pick("oxygen-size", "E")
	w.typeIn("oxygen-gauge", "2200")
	w.typeIn("oxygen-reserve", "0")
	w.typeIn("oxygen-flow", "2")
	has(wOxygenLasts + "5 hours" + wOxygenUntil)
	w.typeIn("oxygen-gauge", "151.7") // bar: the same
	w.pick("oxygen-unit", "bar")
	has(wOxygenLasts + "5 hours" + wOxygenUntil)
	w.pick("oxygen-unit", "psi")
	w.typeIn("oxygen-reserve", "200")
	has(wOxygenNone)

	w.typeIn("cable-watts", "2300")
	w.typeIn("cable-volts", "230")
	w.typeIn("cable-length", "20")
	w.pick("cable-size", "1.5")
	has(wCableLoses + "5.8 V" + wCableShare + "2.5 %") // 20 m of 1.5 mm², 10 A: 5.74 V at 40 °C
	has(wCordWell + "10 A" + wCordMay + "1.5 mm²" + wCordMayIs + "16 A")
	w.typeIn("cable-length", "40")
	has(wCableThick)

	w.typeIn("gen-rated", "1000")
	w.typeIn("gen-energy", "2000")
	w.typeIn("gen-hours", "2")
	has(wGenNeeds + "1.6 L") // at full load, 1.1 × 0.688 L/kWh
	w.typeIn("gen-hours", "1")
	has(wGenFew + "2,000 W")
	checkPage(t, w.html())
}

// When to act: the gauge again before a third is gone, ready before the time to
// plan on, the food clock of what has no power; none of it before an outage.
func TestMoments(t *testing.T) {
	w := steady(t, new(disk))
	a := &w.app.answer
	end := a.until(a.run.CountOn)
	by := map[string]plan.Moment{}
	var last plan.Moment
	for _, m := range w.app.Moments() {
		if !last.IsZero() && m.at.Since(last) < 0 {
			t.Errorf("%s comes before what stands before it", m.What)
		}
		last, by[m.key] = m.at, m.at
	}
	if got := by["plan-on"]; got != end.After(-0.5) {
		t.Errorf("ready at %s, planned on until %s", got, end)
	}
	if got := by["read"].Since(a.from()); got < 0.25 || got > a.left(a.run.CountOn)/3 {
		t.Errorf("to be read after %v h", got)
	}
	if _, thaws := by["freezer"]; thaws || by["fridge"] != plan.At(w.now).After(4) {
		t.Errorf("food: fridge %s, freezer %s, which is not there", by["fridge"], by["freezer"])
	}
	// A freezer on the battery keeps cold until it is switched off.
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Loads = append(p.Loads, load.Load{Name: "Chest freezer", Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 30, Duty: 1, PowerFactor: 1, Basis: load.Typical})
		})
	})
	for _, m := range w.app.Moments() {
		if m.key == "freezer" {
			t.Error("a freezer that runs is said to thaw")
		}
	}
	w.pass(time.Hour)
	w.act(func() { w.app.Toggle(3) })
	for _, m := range w.app.Moments() {
		if m.key == "freezer" && m.at != plan.At(w.now).After(24) {
			t.Errorf("switched off now, the food keeps until %s", m.at)
		}
	}
	w.act(w.app.SaveAlarms)
	if n := len(w.files); n != 1 || w.files[0].name != "tonight.ics" || strings.Count(string(w.files[0].data), "BEGIN:VALARM") != len(w.app.Moments()) {
		t.Errorf("%d files: %+v", n, w.files)
	}
	checkPage(t, w.html())
	w.act(w.app.PowerBack)
	if got := w.app.Moments(); got != nil {
		t.Errorf("with the power back: %v", got)
	}
}

// What one more thing costs is told against the time that stands on Tonight,
// with readings and without.
func TestPlugAgreesWithTonight(t *testing.T) {
	w := steady(t, new(disk))
	for _, percent := range []string{"", "70", "55"} {
		if percent != "" {
			w.visit("tonight")
			w.pass(2 * time.Hour)
			w.read(percent)
		}
		big := say.Hours(w.app.answer.left(w.app.answer.run.CountOn))
		w.visit("plug")
		w.typeIn("plug-watts", "80")
		if got := spaced(strings.Join(w.app.PlugSays(), " ")); !strings.Contains(got, wPlugInstead+spaced(big)+".") {
			t.Errorf("after %q%%: %q, planned on are %s", percent, got, big)
		}
	}
}

// What was turned off to hold out is on again when the power is back, also where
// the readings before were dropped; undone, it is off again.
func TestSwitchesEndWithTheOutage(t *testing.T) {
	w := steady(t, new(disk))
	planned := w.app.answer.left(w.app.answer.run.CountOn)
	w.act(func() { w.app.Toggle(2) })
	w.pass(time.Hour)
	w.read("50")
	w.act(w.app.Recount)
	w.pass(time.Hour)
	w.act(func() { w.app.Toggle(1) })
	if _, err := plan.Decode(w.app.book.Plan.Encode()); err != nil {
		t.Fatalf("the plan can't be read again: %v", err)
	}
	off := func() (n int) {
		for _, l := range w.app.book.Plan.Loads {
			if l.Off {
				n++
			}
		}
		return n
	}
	w.act(w.app.PowerBack)
	if off() != 0 || !strings.HasSuffix(w.app.News(), wBackSwitched) {
		t.Errorf("%d things are off for the next time; it says %q", off(), w.app.News())
	}
	w.act(w.app.Undo)
	if off() != 2 || !w.app.UnderWay() {
		t.Errorf("undone: %d things are off", off())
	}
	w.act(w.app.PowerBack)
	w.typeIn("read-percent", "100")
	w.act(w.app.SaveReading)
	w.act(w.app.PowerOut)
	if next := w.app.answer.left(w.app.answer.run.CountOn); math.Abs(float64(next-planned)) > 1e-9 {
		t.Errorf("the next time it lasts %v h, at first %v", next, planned)
	}
}

// When the power is back the outage is remembered, and the plan can be corrected
// by it: to the wary side only, after what would change is told.
func TestOver(t *testing.T) {
	d := new(disk)
	w := steady(t, d)
	planned := float64(w.app.answer.run.CountOn)
	w.pass(2 * time.Hour)
	w.read("70")
	w.act(func() { w.app.Toggle(1) })
	w.pass(time.Hour)
	w.read("57")
	pace := w.app.answer.read.Pace.Likely
	w.act(w.app.PowerBack)
	h := w.app.book.Plan.History
	if len(h) != 1 || h[0].Ended.Since(h[0].Began) != 3 || h[0].Planned == nil || *h[0].Planned != planned || h[0].Pace == nil || *h[0].Pace != pace {
		t.Fatalf("remembered: %+v, planned on %v, pace %v", h, planned, pace)
	}
	w.act(w.app.Undo)
	if len(w.app.book.Plan.History) != 0 || !w.app.UnderWay() || len(w.app.Readings()) != 3 {
		t.Fatal("the power is back, undone: something is lost")
	}
	w.act(w.app.PowerBack)
	w.visit("more")
	if r := w.app.PastRows(); len(r) != 1 || !strings.HasPrefix(r[0].When, "7:03pm to 10:03pm") || !strings.Contains(r[0].Line, "faster than planned") {
		t.Errorf("rows: %+v", r)
	}
	if got := w.app.Correction(); !strings.HasPrefix(got, wPastWould) || !w.app.CanCorrect() {
		t.Errorf("correction: %q", got)
	}
	checkPage(t, w.html())
	before := w.app.answer.run.CountOn
	w.act(w.app.Correct)
	if after := w.app.answer.run.CountOn; after >= before || float64(after) < float64(before)/pace*0.95 {
		t.Errorf("corrected from %v to %v h by a pace of %v", before, after, pace)
	}
	if w.app.CanCorrect() {
		t.Error("it can be corrected twice")
	}
	w.act(w.app.Undo)
	if w.app.answer.run.CountOn != before || !w.app.CanCorrect() {
		t.Error("not undone")
	}
	again := openPage(t, d, func(v *world) { v.now = w.now })
	if len(again.app.book.Plan.History) != 1 {
		t.Error("not kept")
	}
}

// countOn is the time to count on from now with a change made now, by the
// readings where they tell it. onward is the plan from now on.
func (a *App) countOn(onward plan.Plan, change func(p *plan.Plan)) units.Hours {
	if a.answer.read != nil {
		q := a.answer.plan
		change(&q)
		if l := gauge.LeftOf(q, a.sampler); l.Read != nil {
			return l.CountOn - onward.Outage.Starts.Since(q.Outage.Starts)
		}
	}
	change(&onward)
	return a.sampler.Runtime(onward).CountOn
}
