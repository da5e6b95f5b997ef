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
