package ui

import (
	"math"
	"strings"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
)

// The fuel of a day brings what the plan takes and what charging loses: of what
// goes into a lead battery 70 % comes out again.
func TestFuelForWhatChargingLoses(t *testing.T) {
	for chemistry, efficiency := range map[battery.Chemistry]float64{battery.AGM: 0.70, battery.LFP: 0.94} {
		w := steady(t, new(disk))
		w.act(func() { w.app.editSupply(func(s *plan.Supply) { s.Battery.Chemistry = chemistry }) })
		w.visit("aids")
		day := float64(outage.NewRig(w.app.book.Plan).Day())
		got, _ := parse(w.app.form.field("gen-energy").Raw)
		if want := day / efficiency; got < want || got > want+100 || math.IsNaN(got) {
			t.Errorf("%s: %v Wh to bring, want %v", chemistry, got, want)
		}
	}
}

// A cylinder whose gauge shows nothing is not one whose gauge nobody has read.
func TestOxygenGaugeAtNothing(t *testing.T) {
	w := steady(t, new(disk))
	w.visit("aids")
	w.typeIn("oxygen-flow", "2")
	if html := w.html(); !strings.Contains(html, wOxygenAsk) {
		t.Error("a gauge that was not read: no question")
	}
	w.typeIn("oxygen-gauge", "0")
	if html := w.html(); !strings.Contains(html, wOxygenNone) || strings.Contains(html, wOxygenAsk) {
		t.Error("a gauge at 0 does not say to change over")
	}
}
