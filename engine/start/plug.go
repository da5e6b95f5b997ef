package start

import (
	"slices"

	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/units"
)

// May is whether one thing more may be plugged in beside what is on.
type May struct {
	Never Reason // why the inverter can't run or start it even alone; "" where it can
	Over  Reason // TooManyWatts or TooManyVA: what is too much of all together; "" where nothing is

	Running units.Watts    // all together
	VA      units.VoltAmps // the same
	Last    units.Watts    // the highest draw when it is switched on last, with the rest running
	Best    units.Watts    // the highest in the best order, everything switched on anew
	Restart Restart        // the worst later on; Load is len(loads) for the new thing

	LastFits, BestFits bool // Last and Best are within the surge, W and VA, with a tenth to spare
	Fits               bool // it may be plugged in as things are
}

// Plug tells whether an inverter of the limits given runs and starts more with
// what is on of loads. What it can't run or start of these even alone counts as
// unplugged, and nothing but more is asked of what is not on AC: that loads no
// inverter.
func Plug(loads []load.Load, more load.Load, limit inverter.Limits) May {
	if more.Outlet != load.AC {
		return May{Restart: Restart{Load: -1, Fits: true}, LastFits: true, BestFits: true, Fits: true}
	}
	more.Off = false
	if alone := Order([]load.Load{more}, limit); len(alone.Never) > 0 {
		return May{Never: alone.Never[0].Why, Restart: Restart{Load: -1}}
	}
	all := append(slices.Clone(loads), more)
	on, best := Order(loads, limit), Order(all, limit)
	m := May{Running: best.Running, VA: best.VA, Best: best.Peak, Last: on.Running + more.Peak() + more.Excess(), Restart: best.WorstRestart(all, limit)}
	spared := limit.Spared()
	switch {
	case above(m.Running, spared.Continuous):
		m.Over = TooManyWatts
	case above(m.VA, spared.ContinuousVA):
		m.Over = TooManyVA
	}
	m.LastFits = !above(m.Last, spared.Surge) && !above(on.VA+more.Apparent()+more.ExcessVA(), spared.SurgeVA())
	m.BestFits = !above(m.Best, spared.Surge) && !above(best.PeakVA, spared.SurgeVA())
	m.Fits = m.Over == "" && m.LastFits && m.Restart.Fits
	return m
}
