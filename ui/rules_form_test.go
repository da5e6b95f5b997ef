package ui

import (
	"strings"
	"testing"

	"candleclock/engine/charge"
	"candleclock/engine/plan"
)

// What is comfort goes no later than what is useful, whichever is typed first.
func TestRulesAgree(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("supply")
	w.typeIn("rule-comfort", "30")
	if f := w.typeIn("rule-useful", "40"); !strings.Contains(f.Err, "30%") {
		t.Errorf("useful at 40, comfort at 30: error %q", f.Err)
	}
	w.typeIn("rule-useful", "20")
	if f := w.typeIn("rule-comfort", "15"); !strings.Contains(f.Err, "20%") {
		t.Errorf("comfort at 15, useful at 20: error %q", f.Err)
	}
	w.typeIn("rule-comfort", "20")
	r := w.app.book.Plan.Outage.Rules
	if known(r.ComfortBelow) != 0.2 || known(r.UsefulBelow) != 0.2 {
		t.Errorf("both at 20: %v and %v", known(r.ComfortBelow), known(r.UsefulBelow))
	}
	if _, err := plan.Decode(w.app.book.Plan.Encode()); err != nil {
		t.Error(err)
	}
}

// The night is never counted warmer than the day, and what is typed on the way
// to a temperature does not stay.
func TestNightIsNotWarmer(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("supply")
	w.typeIn("supply-night", "10")
	w.typeIn("supply-room", "15")
	if b := aBattery(w); b.Room != 15 || known(b.Night) != 10 {
		t.Errorf("15 by day, 10 at night: %v and %v", b.Room, known(b.Night))
	}
	w.typeIn("supply-room", "5")
	if b := aBattery(w); b.Room != 5 || known(b.Night) != 5 {
		t.Errorf("5 by day, 10 at night: %v and %v", b.Room, known(b.Night))
	}
}

// Refills are asked for where there is something to charge from, and reach the
// plan as they were said.
func TestRefills(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("supply")
	for _, it := range w.app.Form().Shown() {
		if it.Choice != nil && strings.HasPrefix(it.Choice.ID, "rule-") {
			t.Errorf("%s is asked for without such an input", it.Choice.ID)
		}
	}
	w.typeIn("supply-car", "8")
	w.typeIn("supply-generator", "1000")
	w.pick("rule-car", refillHours)
	w.typeIn("rule-car-from", "6pm")
	w.typeIn("rule-car-to", "19:30")
	w.pick("rule-generator", refillLow)
	w.typeIn("rule-generator-below", "25")
	w.typeIn("rule-generator-litres", "10")
	w.visit("tonight")
	w.visit("supply") // asked again, the same stands there
	if got := w.field("rule-car-to").Raw; got != "7:30pm" && got != "19:30" {
		t.Errorf("the car's end: %q", got)
	}
	w.typeIn("rule-car-to", "20:00")
	r := w.app.book.Plan.Outage.Rules
	car, generator := refillAt(r, charge.Car), refillAt(r, charge.Generator)
	if len(r.Refills) != 2 || car < 0 || generator < 0 {
		t.Fatalf("refills: %+v", r.Refills)
	}
	if c := r.Refills[car]; c.From == nil || *c.From != 18*60 || *c.To != 20*60 || c.Below != nil {
		t.Errorf("the car: %+v", c)
	}
	if g := r.Refills[generator]; known(g.Below) != 0.25 || g.Litres != 10 || g.From != nil {
		t.Errorf("the generator: %+v", g)
	}
	if _, err := plan.Decode(w.app.book.Plan.Encode()); err != nil {
		t.Error(err)
	}
	w.visit("ahead")
	if got := strings.Join(w.app.Ahead().Basis(), " "); !strings.Contains(got, "car socket and generator") {
		t.Errorf("what it counts with: %q", got)
	}
	w.visit("supply")
	w.pick("rule-car", refillNever)
	if r := w.app.book.Plan.Outage.Rules; len(r.Refills) != 1 {
		t.Errorf("the car no more: %+v", r.Refills)
	}
}
