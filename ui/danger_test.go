package ui

import (
	"strings"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Every heating thing of the catalogue that a small supply refuses is refused in
// words of what it does: all goes off, the vital thing too, and fire. What a great
// one carries is told how not to burn; oxygen in the house is told of at once.
func TestWhatHeatsIsRefusedInWordsOfTheDanger(t *testing.T) {
	w := steady(t, new(disk))
	set := func(watts units.Watts) {
		w.act(func() { w.app.editSupply(func(s *plan.Supply) { s.Inverter.Continuous = watts }) })
	}
	vital := ""
	for _, l := range w.app.book.Plan.Loads {
		if l.Rank == load.Vital {
			vital = l.Name
			break
		}
	}
	if vital == "" {
		t.Fatal("the plan has nothing vital")
	}
	for _, key := range []string{"kettle", "kettle-230", "heater", "heater-230", "hair-dryer", "toaster", "iron", "hotplate", "coffee-maker", "water-heater"} {
		set(500)
		w.visit("plug")
		w.act(func() { w.app.Plug(key) })
		says := strings.Join(w.app.PlugSays(), " ")
		for _, want := range []string{wPlugNo, wDangerTrips + wDangerToo + lowerFirst(vital), wDangerHeats, "fire"} {
			if !strings.Contains(says, want) {
				t.Errorf("%s: %q, not %q", key, says, want)
			}
		}
		set(6000)
		w.visit("plug")
		w.act(func() { w.app.Plug(key) })
		says = strings.Join(w.app.PlugSays(), " ")
		if e, _ := load.Find(key); strings.Contains(says, wDangerTrips) || (e.Typical >= fireWatts) != strings.Contains(says, wDangerCord) {
			t.Errorf("%s on 6,000 W: %q", key, says)
		}
	}
	for _, key := range []string{"lamp-led", "router", "fan-table"} {
		w.act(func() { w.app.Plug(key) })
		if says := strings.Join(w.app.PlugSays(), " "); strings.Contains(says, wDangerCord) || strings.Contains(says, wDangerHeats) || strings.Contains(says, wDangerOxygen) {
			t.Errorf("%s: %q", key, says)
		}
	}
	w.act(func() { w.app.Plug("toaster") })
	if says := strings.Join(w.app.PlugSays(), " "); strings.Contains(says, wDangerOxygen) {
		t.Errorf("no oxygen in the house: %q", says)
	}
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			e, _ := load.Find("oxygen-5l")
			p.Loads = append(p.Loads, e.Load())
		})
	})
	w.visit("plug")
	w.act(func() { w.app.Plug("toaster") })
	if says := strings.Join(w.app.PlugSays(), " "); !strings.Contains(says, wDangerOxygen) {
		t.Errorf("a toaster beside oxygen: %q", says)
	}
}

// A frost-free fridge on a supply that starts it may trip it hours later, and the
// page says so while there is time; not where the heater has its room.
func TestDefrostHeaterIsToldOf(t *testing.T) {
	surge := 2000.0
	w := steady(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			e, _ := load.Find("fridge")
			p.Loads = append(p.Loads[:1:1], e.Load())
		})
	})
	for watts, tells := range map[units.Watts]bool{500: true, 600: true, 1200: false} {
		w.act(func() {
			w.app.editSupply(func(s *plan.Supply) { s.Inverter.Continuous, s.Inverter.SurgeW = watts, &surge })
		})
		says := strings.Join(w.app.answer.Advice(), " ")
		if strings.Contains(says, wDangerBurst) != tells {
			t.Errorf("on %v W: %q", watts, says)
		}
	}
}
