package ui

import (
	"math"
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"candleclock/engine/link"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// A plan read in another zone goes by its household's clock, and says so.
func TestPlanOfAnotherZone(t *testing.T) {
	d := new(disk)
	w := openPage(t, d)
	w.travels, w.zone = true, "America/Halifax"
	w.now = time.Date(2026, 1, 14, 21, 0, 0, 0, time.UTC) // 5pm there
	halifax := w.NowIn("America/Halifax")
	w.now = halifax
	w.act(w.app.OutNow)
	w.tick("out-cpap", true)
	w.pick("out-size", "lfp-1000")
	w.visit("tonight")
	said, note := w.app.Big(), w.app.ZoneNote()
	if note != "" {
		t.Errorf("at home: %q", note)
	}
	var file []byte
	w.act(func() { file = w.app.book.Plan.Encode() })
	if p, err := plan.Decode(file); err != nil || p.Place.Zone != "America/Halifax" {
		t.Fatalf("the plan's zone: %q, %v", p.Place.Zone, err)
	}

	// The same moment, read in Berlin.
	w.zone = "Europe/Berlin"
	w.now = w.now.In(time.FixedZone("CET", 3600))
	w.act(w.onWake)
	if got := w.app.Big(); got != said {
		t.Errorf("in Berlin: %q, want %q", got, said)
	}
	if note := w.app.ZoneNote(); !strings.Contains(note, "Halifax") {
		t.Errorf("in Berlin: %q does not name the clock", note)
	}
}

// A night on which clocks are put back or forward goes by real hours: what is
// left, what readings tell and what holds until a time are as where no clock is
// put, and the clock times are those that clocks on the wall then show.
func TestNightOnWhichClocksArePut(t *testing.T) {
	in, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	night := func(zone *time.Location, at time.Time) *world {
		w := openPage(t, new(disk), func(w *world) {
			w.travels, w.zone, w.now = true, zone.String(), at.In(zone)
		})
		w.act(w.app.OutNow)
		w.tick("out-cpap", true)
		w.pick("out-size", "lfp-1000")
		w.pick("out-gauge", "percent")
		w.typeIn("out-percent", "90")
		w.visit("tonight")
		return w
	}
	// On 25 October 2026 at 3:00 clocks there go back to 2:00, on 29 March at 2:00
	// forward to 3:00.
	for _, evening := range []time.Time{
		time.Date(2026, 10, 24, 20, 0, 0, 0, in), time.Date(2026, 3, 28, 20, 0, 0, 0, in), time.Date(2026, 10, 23, 2, 0, 0, 0, in),
	} {
		here, plain := night(in, evening), night(time.UTC, evening)
		both := func(do func(w *world)) { do(here); do(plain) }
		wall := func(h units.Hours) plan.Moment {
			return plan.At(here.now.Add(time.Duration(float64(h) * float64(time.Hour)).Round(time.Minute)).In(in))
		}
		check := func(when string) {
			t.Helper()
			a, b := &here.app.answer, &plain.app.answer
			left := a.left(a.run.CountOn)
			if want := b.left(b.run.CountOn); math.Abs(float64(left-want)) > 1e-9 {
				t.Errorf("%v, %s: %v h left, without the change %v", evening, when, left, want)
			}
			if (a.read == nil) != (b.read == nil) || a.read != nil && math.Abs(a.read.Pace.Likely-b.read.Pace.Likely) > 1e-9 {
				t.Errorf("%v, %s: the readings tell %+v, without the change %+v", evening, when, a.read, b.read)
			}
			from := plan.At(here.now)
			end := wall(a.until(a.run.CountOn).Since(a.from()))
			clock := here.app.prefs.clock()
			if got, want := here.app.Big(), clock.Moment(end, from); got != want && end.Since(from) < 17 {
				t.Errorf("%v, %s: %q, by the wall %q", evening, when, got, want)
			}
			if got, want := here.app.Under(), plain.app.Under(); got != want {
				t.Errorf("%v, %s: %q, without the change %q", evening, when, got, want)
			}
			// The calendar, the message, the candle and the table of marks.
			both(func(w *world) { w.files = nil; w.act(w.app.SaveAlarms) })
			if len(here.files) != len(plain.files) {
				t.Fatalf("%v, %s: alarms %v, without the change %v", evening, when, here.files, plain.files)
			}
			if len(here.files) > 0 {
				for i, m := range plain.app.Moments() {
					start := "DTSTART:" + strings.NewReplacer("-", "", ":", "").Replace(wall(m.at.Since(b.from())).String()) + "00"
					if n := strings.Split(string(here.files[0].data), "BEGIN:VEVENT")[i+1]; !strings.Contains(n, start) {
						t.Errorf("%v, %s: alarm %s is not at %s: %s", evening, when, m.key, start, n)
					}
				}
			}
			if short := here.app.answer.Short(); !a.Passed() && !strings.Contains(short, say.OnPaper(func() string { return plainText(dated(clock, end)) })) {
				t.Errorf("%v, %s: the message says %q, by the wall it ends at %s", evening, when, short, end)
			}
			if c := here.app.Candle(); c.Likely != "" {
				if want := clock.Near(wall(a.likelyEnd().Since(a.from())), from); c.Likely != want && a.left(a.run.Likely) < 17 {
					t.Errorf("%v, %s: the candle ends at %q, by the wall %q", evening, when, c.Likely, want)
				}
			}
			checkPage(t, here.html())
		}
		both(func(w *world) { w.pass(time.Minute); w.read("90") })
		check("in the evening")
		both(func(w *world) { w.pass(5 * time.Hour); w.act(w.onWake) })
		check("five hours later")
		both(func(w *world) { w.pass(3 * time.Hour); w.act(w.onWake) })
		check("at night")
		both(func(w *world) { w.act(func() { w.app.hold = w.app.holdUntil(w.app.answer.from().After(3)) }) })
		if a, b := here.app.Holding(), plain.app.Holding(); len(a.off) != len(b.off) || a.short != b.short {
			t.Errorf("%v: held for 3 h by %v, without the change by %v", evening, a.off, b.off)
		}
		both(func(w *world) { w.read("60") })
		check("read again")
		both(func(w *world) {
			w.pass(2 * time.Hour)
			w.act(w.onWake)
			w.read("50")
		})
		check("in the morning")
		// Opened anew, nothing but what is kept tells when it was.
		both(func(w *world) {
			again := openPage(t, w.disk, func(v *world) { v.travels, v.zone, v.now = true, w.zone, w.now.Add(time.Hour) })
			again.visit("tonight")
			*w = *again
			w.app.ports.Clock = w
		})
		if a, b := &here.app.answer, &plain.app.answer; math.Abs(float64(a.left(a.run.CountOn)-b.left(b.run.CountOn))) > 1e-9 {
			t.Errorf("%v, opened anew: %v h left, without the change %v", evening, a.left(a.run.CountOn), b.left(b.run.CountOn))
		}
	}
}

// Of the hour that comes twice the earlier counts, where nothing else is known:
// less is left.
func TestReadInTheHourThatComesTwice(t *testing.T) {
	in, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	w := openPage(t, new(disk), func(w *world) {
		w.travels, w.zone, w.now = true, "Europe/Berlin", time.Date(2026, 10, 25, 0, 30, 0, 0, time.UTC).In(in) // 2:30, to come again
	})
	w.act(w.app.OutNow)
	w.tick("out-cpap", true)
	w.pick("out-size", "lfp-1000")
	w.visit("tonight")
	left := func(w *world) units.Hours { return w.app.answer.left(w.app.answer.run.CountOn) }
	whole := left(w)
	w.pass(time.Hour) // 2:30 again
	w.act(w.onWake)
	if got := left(w); math.Abs(float64(whole-got-1)) > 1e-9 {
		t.Errorf("an hour later %v h of %v are left", got, whole)
	}
	again := openPage(t, w.disk, func(v *world) { v.travels, v.zone, v.now = true, w.zone, w.now })
	again.visit("tonight")
	if got := left(again); math.Abs(float64(whole-got-1)) > 1e-9 {
		t.Errorf("opened anew %v h of %v are left", got, whole)
	}
}

// The page says that clocks are put within its hours, and no more once they have
// been.
func TestClocksPutBackAndForward(t *testing.T) {
	in, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	at := func(month time.Month, day, hour int) *world {
		w := openPage(t, new(disk), func(w *world) {
			w.travels, w.zone, w.now = true, "Europe/Berlin", time.Date(2026, month, day, hour, 0, 0, 0, in)
		})
		w.act(w.app.OutNow)
		w.tick("out-cpap", true)
		w.pick("out-size", "lfp-1000")
		w.visit("tonight")
		return w
	}
	if note := at(time.October, 23, 20).app.ClockNote(); note != "" {
		t.Errorf("two nights before: %q", note)
	}
	if note := at(time.March, 28, 20).app.ClockNote(); !strings.HasPrefix(note, wClocksOn+"1\u00a0hour at 2am.") {
		t.Errorf("before they go forward: %q", note)
	}
	w := at(time.October, 24, 20)
	w.read("90")
	if note := w.app.ClockNote(); !strings.HasPrefix(note, wClocksBack+"1\u00a0hour at 3am.") {
		t.Errorf("at %v: %q", w.now, note)
	}
	checkPage(t, w.html())
	w.pass(8 * time.Hour)
	w.act(w.onWake)
	if note := w.app.ClockNote(); note != "" {
		t.Errorf("afterwards: %q", note)
	}
}

// A clock that is before the last reading, after a reload or all at once, tells
// no time: it asks for a reading. One that went forward says so.
func TestClockThatWasSet(t *testing.T) {
	left := func(w *world) units.Hours { return w.app.answer.left(w.app.answer.run.CountOn) }
	asks := func(w *world, says string) {
		t.Helper()
		if strings.Contains(w.app.News(), "clock") || !w.app.ClockFault() {
			t.Errorf("at %v the news say %q", w.now, w.app.News())
		}
		if w.app.Answered() || !strings.HasPrefix(w.app.Missing(), says) || w.app.Big() != "" || len(w.app.Moments()) != 0 {
			t.Errorf("at %v it says %q, %q", w.now, w.app.Missing(), w.app.Big())
		}
		w.visit("send")
		if short := w.app.Parcel().Short; strings.Contains(short, plainText(wPlanOnUntil)) {
			t.Errorf("at %v the message says %q", w.now, short)
		}
		w.visit("tonight")
		checkPage(t, w.html())
	}
	for _, back := range []time.Duration{365 * 24 * time.Hour, 6*time.Hour + 30*time.Minute} {
		w := steady(t, new(disk))
		w.pass(5*time.Hour + 30*time.Minute)
		w.act(w.onWake)
		before := left(w)
		w.set(-back)
		w.act(w.onWake)
		asks(w, wClockBefore)
		again := openPage(t, w.disk, func(v *world) { v.now = w.now })
		again.visit("tonight")
		asks(again, wClockBefore)
		again.read("10")
		if !again.app.Answered() || left(again) > before*1.2 || len(again.app.book.Plan.Outage.Log.Readings) != 1 {
			t.Errorf("read: %q, %v h left, before %v; %+v", again.app.Missing(), left(again), before, again.app.book.Plan.Outage.Log)
		}
		again.act(again.app.Undo)
		asks(again, wClockBefore)
	}

	// Set back by less than has passed, under the open page.
	w := steady(t, new(disk))
	w.pass(5 * time.Hour)
	w.act(w.onWake)
	before := left(w)
	w.set(-4 * time.Minute) // an hour's worth of nothing
	w.act(w.onWake)
	if !w.app.Answered() || w.app.ClockNote() != "" {
		t.Errorf("four minutes: %q, %q", w.app.Missing(), w.app.ClockNote())
	}
	w.set(-2 * time.Hour)
	w.act(w.onWake)
	asks(w, wClockSetBack)
	w.set(2 * time.Hour)
	w.act(w.onWake)
	if !w.app.Answered() || left(w) > before+0.1 {
		t.Errorf("set right again: %q, %v h left, before %v", w.app.Missing(), left(w), before)
	}
	w.set(-2 * time.Hour)
	w.act(w.onWake)
	w.read("50")
	if !w.app.Answered() || w.app.ClockNote() != "" {
		t.Errorf("read: %q, %q", w.app.Missing(), w.app.ClockNote())
	}
	w.act(w.app.Undo)
	asks(w, wClockSetBack)

	// Set forward: less is left, and it says so until the gauge is read.
	w = steady(t, new(disk))
	w.pass(time.Hour)
	w.act(w.onWake)
	before = left(w)
	w.set(3 * time.Hour)
	w.act(w.onWake)
	if note := w.app.ClockNote(); !strings.HasPrefix(note, wClockAhead+"3\u00a0hours") || left(w) > before-3+1e-9 {
		t.Errorf("set forward: %q, %v h left, before %v", note, left(w), before)
	}
	checkPage(t, w.html())
	w.act(func() { w.app.Toggle(1) })
	if note := w.app.ClockNote(); !strings.HasPrefix(note, wClockAhead) {
		t.Errorf("a switch ends it: %q", note)
	}
	w.read("60")
	if note := w.app.ClockNote(); note != "" {
		t.Errorf("read: %q", note)
	}
}

// A plan that was sent from an outage under way tells no time where this
// device's clock is before its reading.
func TestSentFromLater(t *testing.T) {
	w := steady(t, new(disk))
	code := link.Text(w.app.book.Plan)
	for late, tells := range map[time.Duration]bool{0: true, -3 * time.Minute: true, -time.Hour: false} {
		there := openPage(t, new(disk), func(v *world) { v.now = w.now.Add(late) })
		there.visit("p=" + code)
		a := &there.app.look.answer
		if a.Ready() != tells || !tells && !strings.HasPrefix(a.Missing, wClockBefore) {
			t.Errorf("%v later: %q", late, a.Missing)
		}
		checkPage(t, there.html())
	}
}
