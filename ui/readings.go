package ui

import (
	"candleclock/engine/plan"
	"candleclock/ui/say"
)

// ReadingRow is a line of what the gauge has shown.
type ReadingRow struct{ When, Shown string }

// mostReadingRows keeps the list short; the log holds them all.
const mostReadingRows = 6

// Readings lists what the gauge has shown in this outage, the newest first.
func (a *App) Readings() []ReadingRow {
	if !a.UnderWay() {
		return nil
	}
	log := a.book.Plan.Outage.Log.Readings
	var out []ReadingRow
	for i := len(log) - 1; i >= 0 && len(out) < mostReadingRows; i-- {
		r := log[i]
		out = append(out, ReadingRow{a.prefs.clock().Moment(r.At, a.now), shown(r, a.book.Plan.Supply.Gauge)})
	}
	return out
}

// Pressed is a key pressed in a field with one button of its own: Enter does
// what the button does.
func (a *App) Pressed(key string, button func()) {
	if key == "Enter" {
		button()
	}
}

// shown says a reading as the gauge showed it.
func shown(r plan.Reading, g plan.Gauge) string {
	if r.SOCLow == r.SOC {
		return say.Percent(r.SOC)
	}
	if r.SOCLow == unknownLow && r.SOC == 1 {
		return wNotRead
	}
	if g.Kind == plan.Bars {
		for n := range g.Bars + 1 {
			if low, soc := barCharge(n, g.Bars); low == r.SOCLow && soc == r.SOC {
				return BarSays(n)
			}
		}
	}
	return say.Percent(r.SOCLow) + wTo + say.Percent(r.SOC)
}
