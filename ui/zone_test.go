package ui

import (
	"strings"
	"testing"
	"time"
	_ "time/tzdata"

	"candleclock/engine/plan"
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

// Clocks that are put back in the night make times said before an hour too late,
// and the hours left one too many: the page warns of both, until the gauge is
// read by the new clock.
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
	// On 25 October 2026 at 3:00 clocks there go back to 2:00, on 29 March forward.
	if note := at(time.October, 23, 20).app.ClockNote(); note != "" {
		t.Errorf("two nights before: %q", note)
	}
	if note := at(time.March, 28, 20).app.ClockNote(); !strings.HasPrefix(note, wClocksOn+"1\u00a0hour") {
		t.Errorf("before they go forward: %q", note)
	}
	w := at(time.October, 24, 20)
	w.read("90")
	for range 2 { // before the change, and eight hours later after it
		if note := w.app.ClockNote(); !strings.HasPrefix(note, wClocksBack+"1\u00a0hour") {
			t.Errorf("at %v: %q", w.now, note)
		}
		checkPage(t, w.html())
		w.now = w.now.Add(8 * time.Hour)
		w.act(w.onWake)
	}
	w.read("70")
	if note := w.app.ClockNote(); note != "" {
		t.Errorf("read by the new clock: %q", note)
	}
}
