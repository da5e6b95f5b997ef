package outage

import (
	"math"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/units"
)

// From NightBegins until NightEnds the battery's room is cold where the plan tells
// its night (common practice: a house follows the air with a delay of hours).
const NightBegins, NightEnds load.Minute = 18 * 60, 9 * 60

// cell is the battery in a course.
type cell struct {
	model battery.Model
	pack  charge.Pack
	drain float64 // W
	left  float64 // Wh it can give, gently drawn and warm

	// A cold night holds back what it takes off a full charge, and gives it back
	// in the morning. That the cold keeps its share from a charge that is not
	// full too would be less, so this is wary.
	held, floor    float64 // Wh; floor is what is held now
	byDay, byNight bool    // it may be charged
	keptBack       float64 // by the supply, share of what the aged battery holds
	took           float64 // Wh at the inputs, in the last step
}

// cell is the battery under c at the start; m is its model.
func (r *Rig) cell(c *Case, m battery.Model) cell {
	e := cell{
		model: m,
		pack:  charge.Pack{Capacity: m.Usable, Efficiency: m.ChargeEfficiency, Taper: r.taper},
		drain: float64(m.Drain),
		byDay: m.MayCharge && m.Usable > 0, keptBack: float64(m.Cut / m.Aged),
	}
	// The state of charge is a share of what the aged battery holds, of which
	// the cut-off keeps back its own share.
	if c.SOC > e.keptBack {
		e.left = e.at(c.SOC)
	}
	if r.rules.cold {
		b := r.warmed(c)
		b.Room = units.Celsius(*b.Night) + c.Warmer
		night := b.Model()
		e.held = max(0, float64(m.Usable-night.Usable))
		e.byNight = night.MayCharge && m.Usable > 0
	}
	return e
}

// at is what the battery can give at a state of charge, Wh; below 0 where the
// supply keeps it back.
func (e *cell) at(soc float64) float64 {
	return float64(e.model.Usable) * (soc - e.keptBack) / (1 - e.keptBack)
}

func (e *cell) store() Store {
	m := &e.model
	return Store{Rated: m.Rated, Age: m.Rated - m.Aged, Cut: m.Cut, Cold: m.Cold, Usable: m.Usable}
}

// enter is the step into a stretch of the day.
func (e *cell) enter(night bool) {
	e.floor, e.pack.MayCharge = 0, e.byDay
	if night {
		e.floor, e.pack.MayCharge = e.held, e.byNight
	}
}

// way is what bounds a step beside its end.
type way struct {
	low, high float64 // Wh left, on the way down and up
	fed       float64 // W that come in beside the sun
	off       bool    // the supply has shut down: low is no bound
}

// ending is what ended a step.
type ending int

const (
	edgeOfStep ending = iota
	low
	high
)

// pass lets a flow, which asks for so much power, go on for hours at most, with a
// source at the input, W. It returns how long it went on and why no longer. All
// that happens to energy happens here.
func (e *cell) pass(flow *bus, power, source, hours float64, way *way, bal *Balance) (lasted float64, at ending) {
	used := lesser(source, power)
	if spare := source - used; spare > 0 || way.off {
		if at = edgeOfStep; e.left+spare*hours >= way.high && e.after(spare, hours) >= way.high {
			hours, at = e.reach(spare, hours, way.high), high
		}
		e.left = e.charge(spare, hours, bal)
		e.took += used * hours
		gone := lesser(e.drain*hours, e.left)
		e.left -= gone
		bal.SelfDrain += units.WattHours(gone)
	} else {
		asked, rate := power-used, 1.0
		switch {
		case asked <= 0:
		case used == 0 && flow.rate > 0:
			rate = flow.rate
		default:
			if rate = e.model.RateFactor(units.Watts(asked)) / (1 + flow.swing); used == 0 {
				flow.rate = rate
			}
		}
		gone := asked/rate + e.drain // W out of what is left
		if room := e.left - way.low; gone*hours >= room {
			at = low
			switch {
			case room <= 0:
				hours = 0
			default:
				hours = room / gone
				e.left = way.low
			}
		} else {
			e.left -= gone * hours
		}
		e.took = used * hours
		bal.Rate += units.WattHours(asked * (1/rate - 1) * hours)
		bal.SelfDrain += units.WattHours(e.drain * hours)
	}
	bal.Sun += units.WattHours(used * hours)
	bal.ToLoads += units.WattHours(flow.toLoads * hours)
	bal.Conversion += units.WattHours(flow.conversion * hours)
	bal.Idle += units.WattHours(flow.idle * hours)
	return hours, at
}

// charge feeds the battery with what the loads leave of a source, and returns
// what is then left in it.
func (e *cell) charge(spare, hours float64, bal *Balance) float64 {
	stored := e.stores(spare, hours)
	taken := lesser(stored/e.pack.Efficiency, spare*hours) // but for rounding it is less by itself
	e.took = taken
	bal.Sun += units.WattHours(taken)
	bal.Charging += units.WattHours(taken - stored)
	bal.Spilled += units.WattHours(spare*hours - taken)
	return e.left + stored
}

// stores is what a source would add in some hours, Wh.
func (e *cell) stores(spare, hours float64) float64 {
	if !e.pack.MayCharge {
		return 0
	}
	full := float64(e.pack.Capacity)
	// Before the taper it is all that comes, as After would have it.
	soc := e.left/full + spare*e.pack.Efficiency/full*hours
	if soc > e.pack.Taper.From {
		soc = e.pack.After(e.left/full, units.Watts(spare), units.Hours(hours))
	}
	return greater(0, full*soc-e.left)
}

// after is what would be left after some hours of charging.
func (e *cell) after(spare, hours float64) float64 {
	left := e.left + e.stores(spare, hours)
	return left - lesser(e.drain*hours, left)
}

// reach is when charging brings what is left to a level, at the latest after the
// hours given, by when it does; to a billionth of the capacity. But for the
// self-discharge it is the time to full from here less that from there.
func (e *cell) reach(spare, hours, level float64) float64 {
	full := float64(e.pack.Capacity)
	rest := func(left float64) float64 {
		t, _ := e.pack.Fill(min(left/full, 1), units.Watts(spare))
		return float64(t)
	}
	here := rest(e.left)
	early, late := 0.0, hours
	t := here - rest(level)
	for range 60 {
		if !(early < t && t < late) {
			t = (early + late) / 2
		}
		switch d := e.after(spare, t) - level; {
		case math.Abs(d) <= speck*full:
			return t
		case d < 0:
			early = t
		default:
			late = t
		}
		t = here - rest(level+e.drain*t)
	}
	return late
}

// speck is the share of the capacity that counts as nothing where a level was to
// be met.
const speck = 1e-9
