package ui

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// planned is a page with a breathing mask, a fridge and a phone on a battery of
// a kilowatt-hour, entered as a person would.
func planned(t testing.TB, d *disk, change ...func(w *world)) *world {
	t.Helper()
	w := openPage(t, d, change...)
	w.act(w.app.PlanAhead)
	for _, key := range []string{"cpap", "fridge", "phone"} {
		w.act(func() { w.app.AddFound(key) })
	}
	w.visit("supply")
	w.typeIn("supply-capacity", "1000")
	w.visit("tonight")
	if !w.app.Answered() {
		t.Fatalf("no answer: %q", w.app.Missing())
	}
	return w
}

func TestPlanAhead(t *testing.T) {
	d := new(disk)
	w := openPage(t, d)
	if got := w.app.Page(); got != pageDoors {
		t.Fatalf("first page: got %q, want the doors", got)
	}
	w.act(w.app.PlanAhead)
	if w.app.Page() != pageLoads || w.app.UnderWay() {
		t.Fatalf("plan ahead: page %q, under way %v", w.app.Page(), w.app.UnderWay())
	}
	w.visit("add")
	w.act(func() { w.app.Search("frid") })
	found := w.app.FoundNow()
	if len(found) == 0 || !slices.ContainsFunc(found, func(f Found) bool { return f.Key == "fridge" }) {
		t.Fatalf("a search for frid finds %v", found)
	}
	w.act(func() { w.app.AddFound("fridge") })
	w.act(func() { w.app.AddFound("fridge") })
	if n := len(w.app.book.Plan.Loads); n != 2 {
		t.Fatalf("added twice: %d loads", n)
	}
	if w.app.book.Plan.Loads[0].Name == w.app.book.Plan.Loads[1].Name {
		t.Error("two loads have one name")
	}
	w.act(w.app.Undo)
	if n := len(w.app.book.Plan.Loads); n != 1 {
		t.Fatalf("undone: %d loads, want 1", n)
	}

	w.act(w.app.AddOwn)
	if w.app.Page() != pageLoad || w.focus[len(w.focus)-1] != "load-name" {
		t.Fatalf("own load: page %q, focus %v", w.app.Page(), w.focus)
	}
	w.typeIn("load-name", "Fan in the hall")
	w.typeIn("load-watts", "35,5")
	l := w.app.book.Plan.Loads[1]
	if l.Name != "Fan in the hall" || l.Running != 35.5 {
		t.Errorf("own load: got %q, %v W", l.Name, l.Running)
	}
	w.visit("tonight")
	if w.app.Answered() || w.app.Missing() != wMissingSupply {
		t.Errorf("without a supply: answered %v, missing %q", w.app.Answered(), w.app.Missing())
	}
	w.visit("supply")
	w.typeIn("supply-capacity", "1 kWh")
	if got := w.app.book.Plan.Supply.Battery.Capacity; got != 1000 {
		t.Errorf("1 kWh: got %v Wh", got)
	}
	w.visit("tonight")
	if !w.app.Answered() || w.app.Big() == "" || w.app.Under() == "" || w.app.Range() == "" {
		t.Fatalf("no answer: %s", w.said())
	}

	again := openPage(t, d)
	if again.app.Page() != pageTonight {
		t.Errorf("opened again: page %q", again.app.Page())
	}
	if got, want := again.said(), w.said(); got != want {
		t.Errorf("opened again:\n got %s\nwant %s", got, want)
	}
	if len(d.mustPlans(t)) != 1 {
		t.Errorf("%d plans are stored, want 1", len(d.mustPlans(t)))
	}
}

// mustPlans is what the disk holds, read by a shelf of its own.
func (d *disk) mustPlans(t testing.TB) []plan.Plan {
	t.Helper()
	c := mustLoad(t, d)
	var out []plan.Plan
	for _, s := range c.Plans {
		p, err := plan.Decode(s.Data)
		if err != nil {
			t.Fatalf("plan %s was stored and cannot be read: %v", s.ID, err)
		}
		out = append(out, p)
	}
	return out
}

// Whatever is left empty on the supply form, a restart changes nothing of the
// answer.
func TestRestart(t *testing.T) {
	for name, fill := range map[string]func(w *world){
		"capacity alone": func(*world) {},
		"watts alone":    func(w *world) { w.typeIn("supply-continuous", "900") },
		"cold room":      func(w *world) { w.typeIn("supply-room", "-5") },
		"all of the inverter": func(w *world) {
			w.typeIn("supply-continuous", "600")
			w.typeIn("supply-surge", "1000")
			w.tick("supply-more", true)
			w.typeIn("supply-va", "700")
			w.typeIn("supply-idle", "6")
			w.typeIn("supply-efficiency", "90")
			w.tick("supply-off", true)
		},
		"bars": func(w *world) { w.pick("supply-gauge", "bars"); w.typeIn("supply-bars", "4") },
	} {
		t.Run(name, func(t *testing.T) {
			d := new(disk)
			w := planned(t, d)
			w.visit("supply")
			fill(w)
			w.visit("tonight")
			again := openPage(t, d)
			if got, want := again.said(), w.said(); got != want {
				t.Errorf("after a restart\n got %s\nwant %s", got, want)
			}
			if got, want := again.app.Advice(), w.app.Advice(); !slices.Equal(got, want) {
				t.Errorf("after a restart\n got %q\nwant %q", got, want)
			}
		})
	}
}

// The order in which the supply's boxes are filled changes nothing.
func TestSupplyInAnyOrder(t *testing.T) {
	steps := map[string]func(w *world){
		"capacity":  func(w *world) { w.typeIn("supply-capacity", "1000") },
		"room":      func(w *world) { w.typeIn("supply-room", "2") },
		"chemistry": func(w *world) { w.pick("supply-chemistry", "agm") },
	}
	try := func(order ...string) plan.Supply {
		w := openPage(t, new(disk))
		w.act(w.app.PlanAhead)
		w.visit("supply")
		for _, s := range order {
			steps[s](w)
		}
		return w.app.book.Plan.Supply
	}
	for _, order := range [][]string{{"capacity", "room"}, {"room", "capacity"}} {
		if got := try(order...).Battery.Room; got != 2 {
			t.Errorf("%v: the room is %v °C, want the 2 that were typed", order, got)
		}
	}
	for _, order := range [][]string{{"capacity", "chemistry"}, {"chemistry", "capacity"}} {
		if got := try(order...).Battery.Room; got != 20 {
			t.Errorf("%v: the room is %v °C, want the 20 that the form shows", order, got)
		}
	}
	if got := try("chemistry", "room", "capacity").Battery; got.Room != 2 || got.Chemistry != "agm" || got.Capacity != 1000 {
		t.Errorf("got %+v", got)
	}
}

// A generator charges through the wall adapter; while that is not told, the box
// says what is counted on.
func TestGeneratorWithoutAdapter(t *testing.T) {
	w := openPage(t, new(disk))
	w.act(w.app.PlanAhead)
	w.visit("supply")
	w.typeIn("supply-capacity", "1000")
	for _, c := range []struct{ generator, wall, says string }{
		{"", "", ""},
		{"2000", "", wWeCountOn + "100\u00a0W" + wThroughIt},
		{"60", "", wWeCountOn + "60\u00a0W" + wThroughIt},
		{"2000", "400", ""},
	} {
		w.typeIn("supply-generator", c.generator)
		w.typeIn("supply-wall", c.wall)
		if got := w.field("supply-wall").Echo; (c.says != "" || c.wall == "") && got != c.says {
			t.Errorf("generator %q, adapter %q: it says %q, want %q", c.generator, c.wall, got, c.says)
		}
	}
}

func TestOutNow(t *testing.T) {
	w := openPage(t, new(disk), func(w *world) { w.hour24 = true })
	w.act(w.app.OutNow)
	if w.app.Page() != pageOut || !w.app.UnderWay() {
		t.Fatalf("page %q, under way %v", w.app.Page(), w.app.UnderWay())
	}
	w.tick("out-cpap", true)
	w.tick("out-fridge", true)
	w.typeIn("out-other", "60")
	if n := len(w.app.book.Plan.Loads); n != 3 {
		t.Fatalf("%d loads, want 3", n)
	}
	w.tick("out-fridge", false)
	w.typeIn("out-other", "")
	if n := len(w.app.book.Plan.Loads); n != 1 {
		t.Fatalf("%d loads, want 1", n)
	}
	w.pick("out-size", "lfp-500")
	if !w.app.Answered() {
		t.Fatalf("no answer: %q", w.app.Missing())
	}
	unread := w.app.answer.run.CountOn
	for _, kind := range []string{"unknown", "bars", "percent"} {
		if w.pick("out-gauge", kind); w.app.OutLead() != wNotEntered+" "+w.app.answer.Lead() {
			t.Errorf("%s, and nothing is read: %q", kind, w.app.OutLead())
		}
	}
	w.typeIn("out-percent", "100")
	if got := w.app.OutLead(); got != w.app.answer.Lead() {
		t.Errorf("100%% is entered: %q", got)
	}
	full := w.app.answer.run.CountOn
	if unread >= full/2 {
		t.Errorf("before the gauge is read it counts on %v h, full on %v h", unread, full)
	}

	w.typeIn("out-percent", "50")
	half := w.app.answer.run.CountOn
	if half <= 0 || half >= full {
		t.Errorf("at 50%% it counts on %v h, full on %v h", half, full)
	}
	w.pick("out-gauge", "bars")
	w.typeIn("out-bars", "4")
	w.typeIn("out-lit", "2")
	o := w.app.book.Plan.Outage
	if o.SOC != 0.5 || o.SOCLow == nil || *o.SOCLow != 0.25 {
		t.Errorf("2 of 4 bars: got %v from %v", o.SOC, o.SOCLow)
	}
	bars := w.app.answer.run.CountOn
	if bars >= half {
		t.Errorf("2 of 4 bars count on %v h, 50%% on %v h: bars tell less", bars, half)
	}
	w.typeIn("out-lit", "9") // more than there are
	if o := w.app.book.Plan.Outage; o.SOC > 1 {
		t.Errorf("9 of 4 bars: got %v", o.SOC)
	}
	w.typeIn("out-lit", "0")
	if o := w.app.book.Plan.Outage; o.SOC != 0 || *o.SOCLow != 0 {
		t.Errorf("0 of 4 bars: got %v from %v", o.SOC, *o.SOCLow)
	}
	w.pick("out-gauge", "unknown")
	o = w.app.book.Plan.Outage
	if o.SOC != 1 || o.SOCLow == nil || *o.SOCLow > 0.25 {
		t.Errorf("not known: got %v from %v", o.SOC, o.SOCLow)
	}
	if got := w.app.answer.run.CountOn; got >= full/2 {
		t.Errorf("with the gauge not known it counts on %v h, full on %v h", got, full)
	}
	w.pick("out-gauge", "percent")
	if o := w.app.book.Plan.Outage; o.SOCLow != nil || o.SOC != 0.5 {
		t.Errorf("back to percent, where 50 stands: got %v, low %v", o.SOC, o.SOCLow)
	}
	w.visit("tonight")
	if !w.app.Answered() || !strings.Contains(w.app.Heading(), wPlanOnUntil) {
		t.Errorf("got %s", w.said())
	}
}

func TestReading(t *testing.T) {
	w := planned(t, new(disk))
	before := w.app.book.Plan.Outage
	w.act(w.app.PowerOut)
	if o := w.app.book.Plan.Outage; !o.UnderWay || o.Starts != plan.At(w.now) {
		t.Errorf("power out: got %+v", o)
	}
	w.act(w.app.Undo)
	if o := w.app.book.Plan.Outage; o.UnderWay || o.Starts != before.Starts || o.SOC != before.SOC {
		t.Errorf("undone: got %+v, want %+v", o, before)
	}
	w.act(w.app.PowerOut)

	w.pass(90 * time.Minute)
	w.act(w.onWake)
	w.act(w.app.OpenReading)
	w.act(w.app.SaveReading)
	if f := w.field("read-percent"); f.Err == "" || w.focus[len(w.focus)-1] != "read-percent" {
		t.Errorf("an empty reading: error %q, focus %v", f.Err, w.focus)
	}
	for _, bad := range []string{"101", "-5", "half", "50 W", "1e400"} {
		f := w.typeIn("read-percent", bad)
		w.act(w.app.SaveReading)
		if f.Err == "" {
			t.Errorf("a reading of %q is taken", bad)
		}
	}
	out := w.app.book.Plan.Outage
	w.typeIn("read-percent", "62 %")
	w.act(w.app.SaveReading)
	if o := w.app.book.Plan.Outage; o.SOC != 0.62 || o.Starts != plan.At(w.now) || !o.UnderWay {
		t.Errorf("read 62%%: got %+v", o)
	}
	if w.app.Open("read") || w.app.Form() != nil {
		t.Error("the question stays open")
	}
	w.act(w.app.SaveReading) // a second tap
	w.act(w.app.Undo)
	if o := w.app.book.Plan.Outage; o.SOC != out.SOC || o.Starts != out.Starts {
		t.Errorf("undone: got %+v, want %+v", o, out)
	}

	w.act(w.app.PowerBack)
	if o := w.app.book.Plan.Outage; o.UnderWay || o.SOC >= 0.8 || o.SOCLow == nil || o.Starts != plan.At(w.now) {
		t.Errorf("power back: got %+v", o)
	}
	w.act(w.app.Undo)
	if !w.app.UnderWay() {
		t.Error("power back, undone: not under way")
	}

	w.visit("supply")
	w.pick("supply-gauge", "bars")
	w.visit("tonight")
	if got := w.app.Bars(); !slices.Equal(got, []int{5, 4, 3, 2, 1, 0}) {
		t.Errorf("bars: got %v", got)
	}
	w.act(w.app.OpenReading)
	w.act(func() { w.app.ReadBars(3) })
	if o := w.app.book.Plan.Outage; o.SOC != 0.6 || *o.SOCLow != 0.4 {
		t.Errorf("3 of 5 bars: got %v from %v", o.SOC, *o.SOCLow)
	}
}

// The question for the gauge is whole whenever it is open.
func TestReadingLeftOpen(t *testing.T) {
	w := planned(t, new(disk))
	w.act(w.app.OpenReading)
	w.visit("loads")
	w.visit("tonight")
	if w.app.Open("read") && w.app.Form().field("read-percent") == nil {
		t.Error("the question is open without its box")
	}
}

// Turning a thing off in the middle of an outage does not give back what it has
// used already.
func TestOffLater(t *testing.T) {
	w := openPage(t, new(disk))
	w.act(w.app.PlanAhead)
	for _, watts := range []string{"100", "100"} {
		w.act(w.app.AddOwn)
		w.typeIn("load-watts", watts)
		w.pick("load-basis", "measured")
	}
	w.visit("supply")
	w.typeIn("supply-capacity", "2000")
	w.typeIn("supply-continuous", "1000")
	w.visit("tonight")
	w.act(w.app.PowerOut)
	both := w.app.answer.run.CountOn
	w.pass(time.Duration(float64(both) * 0.6 * float64(time.Hour)))
	w.act(w.onWake)
	left := w.app.answer.left(w.app.answer.run.CountOn)

	w.act(func() { w.app.Toggle(1) })
	a := &w.app.answer
	// Half the draw, and the inverter's own: twice as long at most, or little
	// more where the losses fall with it.
	if got := a.left(a.run.CountOn); got > 2.2*left {
		t.Errorf("%.2f h were left with both; with one of two it counts on %.2f h more", left, got)
	} else if got < left {
		t.Errorf("%.2f h were left with both; with one of two only %.2f h are", left, got)
	}
	w.act(func() { w.app.Toggle(1) })
	if got := a.left(a.run.CountOn); got > left+rounding {
		t.Errorf("off and on again: %.2f h, more than the %.2f h before", got, left)
	}
}

// A plan made weeks ago is not for a day that is over.
func TestPlannedLongAgo(t *testing.T) {
	w := planned(t, new(disk))
	before := w.app.answer
	kept := string(w.app.book.Plan.Encode())
	w.pass(21 * 24 * time.Hour)
	w.visit("loads")
	w.visit("tonight")
	a := &w.app.answer
	if a.Lead() != before.Lead() || a.Under() != before.Under() || a.Big() != before.Big() {
		t.Errorf("it says %q, %q, %q, not %q, %q, %q", a.Lead(), a.Big(), a.Under(), before.Lead(), before.Big(), before.Under())
	}
	if got := string(w.app.book.Plan.Encode()); got != kept {
		t.Errorf("looking at it changed the plan:\n%s", got)
	}
	if s := a.plan.Outage.Starts.Since(w.app.now); s < 0 || s >= 24 {
		t.Errorf("it starts in %v h", s)
	}
	w.act(w.app.OpenHold)
	w.typeIn("hold-until", "5 hours")
	w.act(w.app.SaveHold)
	if got := w.app.Holding().Says(); len(got) == 0 || !strings.HasPrefix(got[0], wHoldNothing) {
		t.Errorf("to hold five of its six hours: %q", got)
	}
}

// What a switch is said to buy, it buys from now on.
func TestOffBuysFromNow(t *testing.T) {
	w := planned(t, new(disk))
	w.act(w.app.PowerOut)
	a := &w.app.answer
	whole := w.app.Switches()
	w.pass(time.Duration(float64(a.run.CountOn) * 0.8 * float64(time.Hour)))
	w.act(w.onWake)
	later := w.app.Switches()
	for i := range whole {
		if strings.Contains(whole[i].Line, wOffBuys) && whole[i].Line == later[i].Line {
			t.Errorf("%q is said to buy as much when four fifths are over", later[i].Line)
		}
	}
}

// What a switch is said to buy is what the time to plan on then rises by, or less.
func TestOffBuysWhatIsPlannedOn(t *testing.T) {
	for _, c := range []struct {
		name  string
		then  func(w *world)
		exact bool
	}{
		{"planned", func(w *world) { w.act(w.app.PowerBack) }, true},
		{"begun", func(*world) {}, true},
		{"later", func(w *world) { w.pass(3 * time.Hour); w.act(w.onWake) }, true},
		{"read twice", func(w *world) { w.pass(2 * time.Hour); w.read("75"); w.pass(time.Hour); w.read("60") }, false},
	} {
		for i := range 3 {
			w := steady(t, new(disk))
			c.then(w)
			w.visit("tonight")
			a := &w.app.answer
			line, before := w.app.Switches()[i].Line, a.left(a.run.CountOn)
			adds := a.adds[i]
			w.act(func() { w.app.Toggle(i) })
			rise := a.left(a.run.CountOn) - before
			if adds > rise+1e-6 || c.exact && adds < rise-1e-6 || !strings.Contains(line, wOffBuys+say.Hours(adds)) {
				t.Errorf("%s, %d: %v h, and it rises by %v h: %q", c.name, i, adds, rise, line)
			}
		}
	}
	// Of very many things that would take too long.
	w := steady(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			for i := range mostAdds {
				l := p.Loads[2]
				l.Name = "Thing " + strconv.Itoa(i)
				l.Running = 10
				p.Loads = append(p.Loads[:len(p.Loads):len(p.Loads)], l)
			}
		})
	})
	if got := w.app.Switches()[2].Line; !strings.Contains(got, wOffLikely) {
		t.Errorf("of many things: %q", got)
	}
}

// A device whose clock is lost still keeps what is typed.
func TestClockLost(t *testing.T) {
	for _, year := range []int{1970, 1999, 2000, 2099, 2100, 9999} {
		d := new(disk)
		planned(t, d, func(w *world) { w.now = time.Date(year, 3, 1, 4, 5, 0, 0, time.UTC) })
		again := openPage(t, d)
		if len(again.app.books) != 1 || again.app.books[0].Sealed != nil {
			t.Errorf("year %d: what was kept cannot be opened again", year)
		}
	}
}

func TestUndo(t *testing.T) {
	w := planned(t, new(disk))
	loads := func() (s []string) {
		for _, l := range w.app.book.Plan.Loads {
			s = append(s, l.Name)
		}
		return
	}
	before := loads()
	w.visit("load=1")
	w.act(w.app.RemoveLoad)
	w.act(w.app.RemoveLoad) // a second tap
	if len(loads()) != 2 {
		t.Fatalf("removed one: %v", loads())
	}
	w.act(w.app.Undo)
	if !slices.Equal(loads(), before) {
		t.Errorf("undone: got %v, want %v", loads(), before)
	}
	if w.app.CanUndo() {
		t.Error("undo can be undone for ever")
	}

	w.visit("supply")
	supply := w.app.book.Plan.Supply
	w.act(func() { w.app.TakePreset(presets[1]) })
	if w.app.book.Plan.Supply.Battery.Capacity == supply.Battery.Capacity || w.field("supply-capacity").Raw != "300" {
		t.Errorf("preset: %+v, in the box %q", w.app.book.Plan.Supply, w.field("supply-capacity").Raw)
	}
	w.act(w.app.Undo)
	if got := w.app.book.Plan.Supply; got.Battery.Capacity != supply.Battery.Capacity || got.Name != supply.Name || w.field("supply-capacity").Raw != "1000" {
		t.Errorf("undone: got %+v, in the box %q", got, w.field("supply-capacity").Raw)
	}

	// What is typed after the thing that can be undone is not undone with it.
	w.act(func() { w.app.TakePreset(presets[0]) })
	w.typeIn("supply-age", "7")
	if w.app.CanUndo() {
		w.act(w.app.Undo)
		if got := w.app.book.Plan.Supply.Battery.AgeYears; got != 7 {
			t.Errorf("undo took back what was typed since: age %v", got)
		}
	}

	w.visit("more")
	name := w.app.book.Plan.Name
	w.act(w.app.RemoveBook)
	if w.app.HasBook() || w.app.Page() != pageDoors {
		t.Fatalf("removed: page %q", w.app.Page())
	}
	w.act(w.app.RemoveBook) // a second tap
	w.act(w.app.Undo)
	if !w.app.HasBook() || w.app.book.Plan.Name != name || len(loads()) != 3 {
		t.Errorf("undone: %q, %v", w.app.PlanName(), loads())
	}
}

func TestMoveLoad(t *testing.T) {
	w := openPage(t, new(disk))
	w.act(w.app.PlanAhead)
	for _, key := range []string{"fridge", "cpap", "router"} {
		w.act(func() { w.app.AddFound(key) })
	}
	p := &w.app.book.Plan
	p.Loads[0].Rank, p.Loads[1].Rank, p.Loads[2].Rank = "useful", "vital", "useful"
	w.visit("load=2")
	name := p.Loads[2].Name
	w.act(func() { w.app.MoveLoad(-1) })
	if p.Loads[0].Name != name || w.app.Heading() != name || w.focus[len(w.focus)-1] != "load-up" {
		t.Errorf("moved up past another rank: first is %q, in view %q, focus %v", p.Loads[0].Name, w.app.Heading(), w.focus)
	}
	w.act(func() { w.app.MoveLoad(-1) }) // no higher place
	if p.Loads[0].Name != name {
		t.Error("moved beyond the top")
	}
}

func TestSwitchOff(t *testing.T) {
	w := planned(t, new(disk))
	for i := range w.app.book.Plan.Loads {
		w.act(func() { w.app.Toggle(i) })
	}
	if w.app.Answered() || w.app.Missing() != wAllOff {
		t.Errorf("all off: %q", w.app.Missing())
	}
	w.html()
	if len(w.app.Switches()) == 0 {
		t.Error("all off, and no switch to turn anything on again")
	}
	w.act(func() { w.app.Toggle(0) })
	if !w.app.Answered() {
		t.Error("one on again, and no answer")
	}
	w.act(func() { w.app.Toggle(99) }) // a row that has just gone
}

// An empty or flat battery is answered, not crashed on.
func TestFlat(t *testing.T) {
	w := planned(t, new(disk))
	w.act(w.app.PowerOut)
	w.act(w.app.OpenReading)
	w.typeIn("read-percent", "0")
	w.act(w.app.SaveReading)
	if !w.app.answer.Passed() {
		t.Errorf("flat: %s", w.said())
	}
	w.html()
	w.pass(500 * time.Hour)
	w.act(w.onWake)
	w.html()
	if units.Hours(0) < w.app.answer.left(w.app.answer.run.CountOn) {
		t.Error("hours are left of a flat battery")
	}
}

func TestStorageTrouble(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{{ErrStoreFull, wNoRoom}, {ErrStoreLost, wLost}, {errBroken, wLost}, {ErrStoreDenied, wNotKept}} {
		d := new(disk)
		w := planned(t, d)
		d.fail = c.err
		w.visit("supply")
		w.typeIn("supply-capacity", "2048")
		if w.app.Trouble() != c.want || w.app.Kept() != "" {
			t.Errorf("%v: told %q, kept %q", c.err, w.app.Trouble(), w.app.Kept())
		}
		w.act(w.onWake)
		d.fail = nil
		w.act(w.onWake) // it is tried again by itself
		if got := d.mustPlans(t)[0].Supply.Battery.Capacity; got != 2048 {
			t.Errorf("%v: mended, and %v Wh are stored", c.err, got)
		}
		if !errors.Is(c.err, ErrStoreDenied) && w.app.Trouble() != "" {
			t.Errorf("%v: mended, and still told %q", c.err, w.app.Trouble())
		}
	}
	d := &disk{deaf: ErrStoreDenied}
	w := openPage(t, d)
	if w.app.Trouble() != wNotKept || w.app.Page() != pageDoors {
		t.Errorf("a browser that keeps nothing: page %q, told %q", w.app.Page(), w.app.Trouble())
	}
	w.act(w.app.PlanAhead)
	if w.app.Page() != pageLoads || w.app.Trouble() != wNotKept {
		t.Errorf("goes on: page %q, told %q", w.app.Page(), w.app.Trouble())
	}
}

// Storage that does not answer when the page is opened: what is kept in it is
// asked for again, and comes beside what was made meanwhile.
func TestStorageAnswersLate(t *testing.T) {
	kept := func() *disk {
		d := new(disk)
		w := planned(t, d)
		w.visit("settings")
		w.pick("set-look", "day")
		d.deaf, d.spare, d.last = ErrStoreLost, pocket{}, pocket{}
		return d
	}

	d := kept()
	name := d.mustPlans(t)[0].Name
	w := openPage(t, d)
	if w.app.Page() != pageDoors || w.app.Trouble() != wUnread {
		t.Fatalf("nothing came: page %q, told %q", w.app.Page(), w.app.Trouble())
	}
	w.act(w.onWake)
	d.deaf = nil
	w.act(w.onWake)
	if w.app.Page() != pageTonight || w.app.Trouble() != "" || w.app.PlanName() != name {
		t.Errorf("it came: page %q, plan %q, told %q", w.app.Page(), w.app.PlanName(), w.app.Trouble())
	}
	if w.app.prefs.Look != "day" {
		t.Errorf("the look is %q, kept was day", w.app.prefs.Look)
	}

	// What is picked before it came does not stand over all that is kept.
	d = kept()
	w = openPage(t, d)
	w.visit("settings")
	w.pick("set-heat", "f")
	d.deaf = nil
	again := openPage(t, d)
	if again.app.prefs.Look != "day" {
		t.Errorf("after something was picked before it came, the look kept is %q, was day", again.app.prefs.Look)
	}

	// One of the same name is made meanwhile.
	d = kept()
	w = openPage(t, d)
	d.fail = ErrStoreLost
	w.act(w.app.PlanAhead)
	w.visit("more")
	w.typeIn("plan-name", name)
	w.visit("supply")
	w.typeIn("supply-capacity", "3131")
	w.visit("more")
	if w.app.Trouble() == "" {
		t.Error("nothing says that the plan is not saved")
	}
	d.deaf, d.fail = nil, nil
	w.act(w.onWake)
	w.act(w.onWake)
	plans := d.mustPlans(t)
	if len(plans) != 2 || plan.SameName(plans[0].Name, plans[1].Name) {
		t.Fatalf("kept are %d plans, want the one before and the new one by different names", len(plans))
	}
	if w.app.Page() != pageMore || w.app.book.Plan.Supply.Battery.Capacity != 3131 || w.app.Trouble() != "" {
		t.Errorf("in view is the page %q, a plan of %v, told %q", w.app.Page(), w.app.book.Plan.Supply.Battery.Capacity, w.app.Trouble())
	}
	if w.app.prefs.Look != "day" {
		t.Errorf("the look is %q, kept was day", w.app.prefs.Look)
	}
}

// What happened is told in words that still hold hours later.
func TestNewsGrowsOld(t *testing.T) {
	w := planned(t, new(disk))
	w.act(w.app.PowerOut)
	w.pass(3 * time.Hour)
	w.act(w.onWake)
	for _, s := range []string{w.app.News(), w.app.Status()} {
		if strings.Contains(s, wFromNow) {
			t.Errorf("three hours later it still says %q", s)
		}
	}
	if w.app.News() == "" || !w.app.CanUndo() {
		t.Error("the news and its undo are gone")
	}
}

// Of a supply whose limit is not known nothing is said to be refused, and all
// that it would have to carry is counted.
func TestLimitUnknown(t *testing.T) {
	w := planned(t, new(disk))
	var most units.Watts
	for _, l := range w.app.book.Plan.Loads {
		most = max(most, l.Starting)
	}
	advice := strings.Join(w.app.Advice(), "\n")
	if strings.Contains(advice, wHardStart) {
		t.Errorf("the limit is a guess: %q", advice)
	}
	_, after, ok := strings.Cut(advice, wLimitUnknown)
	figure, _, _ := strings.Cut(after, "\u00a0W")
	if v, err := strconv.ParseFloat(strings.ReplaceAll(figure, ",", ""), 64); !ok || err != nil || v < float64(most) {
		t.Errorf("one thing draws up to %v W: %q", most, advice)
	}
	fridge := findLoad(w.app.book.Plan.Loads, "Refrigerator, modern")
	toStart := func() bool {
		return slices.ContainsFunc(w.app.answer.starts.Steps, func(s start.Step) bool { return s.Load == fridge })
	}
	if !toStart() {
		t.Errorf("the order to switch on lacks the fridge: %v", w.app.answer.Steps())
	}
	w.visit("supply")
	w.typeIn("supply-continuous", "500")
	if got := strings.Join(w.app.Advice(), "\n"); !strings.Contains(got, wHardStart) {
		t.Errorf("with 500 W: %q", got)
	}
	if toStart() {
		t.Errorf("what can't start is to be switched on: %v", w.app.answer.Steps())
	}
}

// Hours that are without something vital are never told as its own.
func TestVitalThatCannotRun(t *testing.T) {
	w := openPage(t, new(disk))
	w.act(w.app.PlanAhead)
	w.act(func() { w.app.AddFound("cpap") })
	w.visit("supply")
	w.typeIn("supply-capacity", "1000")
	w.typeIn("supply-continuous", "20")
	if w.app.Answered() || !strings.HasPrefix(w.app.Missing(), wNoneRuns) {
		t.Errorf("nothing runs: it says %q, %q", w.app.Big(), w.app.Missing())
	}
	w.act(func() { w.app.AddFound("phone") })
	name := lowerFirst(w.app.book.Plan.Loads[0].Name)
	a := &w.app.answer
	if !w.app.Answered() || !strings.HasPrefix(w.app.Cannot(), wCannotRun+name) {
		t.Fatalf("beside the hours it says %q", w.app.Cannot())
	}
	for _, s := range []string{a.Lead(), a.Sentence(), a.dated()} {
		if !strings.HasPrefix(s, wWithout+name+": ") {
			t.Errorf("it says %q", s)
		}
	}
	w.visit("tonight")
	if page := w.html(); !strings.Contains(page, w.app.Cannot()) {
		t.Error("the page does not say so")
	}
	if s := a.Short(); strings.Contains(s, plainText(wSendKeep)) {
		t.Errorf("it is to stay on, and can't run: %q", s)
	}
	w.visit("supply")
	w.typeIn("supply-continuous", "200")
	if s := w.app.Cannot(); s != "" || !strings.Contains(a.Short(), plainText(wSendKeep)) {
		t.Errorf("with 200 W: %q, %q", s, a.Short())
	}
	w.act(func() { w.app.AddFound("oxygen-5l") })
	w.typeIn("supply-continuous", "500")
	if s := w.app.Cannot(); !strings.HasPrefix(s, wCannotStart) {
		t.Errorf("a start too hard: %q", s)
	}
	// Who only looks at the plan is told too.
	says := w.app.Cannot()
	ben := openPage(t, new(disk), func(other *world) { other.route = w.sent() })
	if got := ben.app.Looking().Cannot(); got != says || !strings.Contains(ben.html(), says) {
		t.Errorf("looked at it says %q, not %q", got, says)
	}
}

// What is only counted on is not told as what the supply carries.
func TestGuessedLimitIsNoFact(t *testing.T) {
	w := planned(t, new(disk))
	w.act(func() { w.app.AddFound("kettle") })
	said := func() string { return strings.Join(append(w.app.Advice(), w.app.NeverStarts()), "\n") }
	for _, claim := range []string{wTooMuch, wSupplyCarries, wStartNever} {
		if strings.Contains(said(), claim) {
			t.Errorf("the limit is not known, and it says %q in %q", claim, said())
		}
	}
	if !strings.Contains(said(), wSupplyGuess) || !strings.Contains(said(), wStartNotCounted) {
		t.Errorf("it says %q", said())
	}
	w.visit("supply")
	w.typeIn("supply-continuous", "500")
	for _, fact := range []string{wTooMuch, wSupplyCarries, wStartNever} {
		if !strings.Contains(said(), fact) {
			t.Errorf("with 500 W %q is not in %q", fact, said())
		}
	}
}

// Where volt-amperes are what is too much, they are what is told; and what the
// hours leave out says so at its switch.
func TestTooManyVoltAmpsTogether(t *testing.T) {
	w := steady(t, new(disk)) // the inverter carries 600 W
	thing := func(name string, watts units.Watts, pf float64) load.Load {
		return load.Load{Name: name, Rank: load.Useful, Outlet: load.AC, Count: 1, Running: watts, Duty: 1, PowerFactor: pf, Basis: load.Typical}
	}
	for _, c := range []struct {
		watts units.Watts
		says  string
	}{
		{140, "Fridge" + wTooMuchVA + "690\u00a0VA" + wVoltAmps + wSupplyCarries + "600\u00a0VA" + wLeftOut}, // 343 + 140 W, 490 + 200 VA
		{300, "Fridge" + wTooMuchTogether + "600\u00a0W" + wLeftOut},
	} {
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Loads = []load.Load{thing("Pump", 343, 0.7), thing("Fridge", c.watts, 0.7)}
			})
		})
		if got := w.app.Advice(); len(got) == 0 || got[0] != c.says {
			t.Errorf("%v W: it says %q, not %q", c.watts, got, c.says)
		}
		if l := w.app.Switches(); strings.Contains(l[0].Line, wNotCounted) || !strings.Contains(l[1].Line, wNotCounted) {
			t.Errorf("%v W: the switches say %+v", c.watts, l)
		}
	}
}

// What the hours leave out is not told to be switched on.
func TestLeftOutIsNotSwitchedOn(t *testing.T) {
	w := planned(t, new(disk))
	w.app.edit(func(p *plan.Plan) {
		surge := 2000.0
		p.Supply.Inverter = inverter.Inverter{Continuous: 600, SurgeW: &surge}
		for _, key := range []string{"oxygen-5l", "coffee-maker"} {
			e, _ := load.Find(key)
			p.Loads = append(p.Loads, e.Load())
		}
	})
	if len(w.app.answer.unmet) == 0 {
		t.Fatal("everything runs together")
	}
	for _, s := range w.app.answer.starts.Steps {
		if slices.Contains(w.app.answer.unmet, s.Load) {
			t.Errorf("%s is left out of the answer and to be switched on", w.app.book.Plan.Loads[s.Load].Name)
		}
	}
	for _, i := range w.app.answer.unmet {
		alone := slices.ContainsFunc(w.app.answer.starts.Never, func(r start.Refusal) bool { return r.Load == i })
		says := plainText(w.app.book.Plan.Loads[i].Name)
		if short := w.app.answer.Short(); strings.Contains(short, plainText(wCardNotWithRest)+says) == alone || strings.Contains(short, plainText(wSendUnmet)+says) != alone {
			t.Errorf("%s, too much alone %v: %q", says, alone, short)
		}
	}
}

// Whatever the focus is sent to is on the page, and shown.
func TestFocusTargets(t *testing.T) {
	w := openPage(t, new(disk))
	a := w.app
	steps := []struct {
		name string
		do   func()
	}{
		{"plan ahead", func() { w.act(a.PlanAhead) }},
		{"own load", func() { w.act(a.AddOwn) }},
		{"another", func() { w.act(a.AddOwn) }},
		{"down", func() { w.visit("load=0"); w.act(func() { a.MoveLoad(1) }) }},
		{"up", func() { w.act(func() { a.MoveLoad(-1) }) }},
		{"remove", func() { w.act(a.RemoveLoad) }},
		{"undo", func() { w.act(a.Undo) }},
		{"hide", func() { w.act(a.Dismiss) }},
		{"preset", func() { w.visit("supply"); w.act(func() { a.TakePreset(presets[2]) }) }},
		{"read", func() { w.visit("tonight"); w.act(a.OpenReading) }},
		{"read nothing", func() { w.act(a.SaveReading) }},
		{"read 50", func() { w.typeIn("read-percent", "50"); w.act(a.SaveReading) }},
		{"bars", func() {
			w.visit("supply")
			w.pick("supply-gauge", "bars")
			w.visit("tonight")
			w.act(a.OpenReading)
		}},
		{"read bars", func() { w.act(func() { a.ReadBars(2) }) }},
		{"copy", func() { w.visit("more"); w.act(a.CopyBook) }},
		{"file", func() { w.act(a.OpenFile); w.act(func() { w.accept("x", nil, errBroken) }) }},
		{"remove plan", func() { w.act(a.RemoveBook) }},
		{"remove the last", func() { w.act(a.RemoveBook) }},
	}
	for _, s := range steps {
		n := len(w.focus)
		s.do()
		if len(w.focus) == n {
			t.Errorf("%s: the focus is left where it was", s.name)
			continue
		}
		id, found := w.focus[len(w.focus)-1], false
		for _, e := range elements(t, w.html()) {
			if e.attr("id") == id {
				found = !e.hidden() && (e.has("tabindex") || slices.Contains([]string{"input", "button", "a"}, e.Data))
			}
		}
		if !found {
			t.Errorf("%s: the focus goes to %s, which cannot take it", s.name, id)
		}
	}
}
