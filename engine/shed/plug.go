package shed

import (
	"math"
	"slices"

	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Cost is what one thing more takes of the time to count on, in hours from the
// plan's start; +Inf beyond outage.Horizon.
type Cost struct {
	Before, After units.Hours
	Empties       bool // the battery is empty before the thing has had its time, or from the start
}

// Lost is how much sooner the battery is empty; 0 where that is beyond what is
// followed either way.
func (c Cost) Lost() units.Hours {
	if math.IsInf(float64(c.After), 1) {
		return 0
	}
	return max(0, c.Before-c.After)
}

// ChargeTakes is how long one charge of what is charged is taken to last, where
// nobody says (common practice: a phone's one to three hours).
const ChargeTakes units.Hours = 2

// Plug tells what one thing more costs that is plugged in at the plan's start for
// so long, 0 for good, and draws the most that it may all the while. What is
// charged takes its day's energy once, within ChargeTakes where long is 0. It is
// followed whether the inverter may carry it or not: what it would take has
// nothing to do with that, and a limit that nobody told is no reason to leave it
// out. may are the circumstances, of the plan without it.
func Plug(p plan.Plan, more load.Load, long units.Hours, may odds.Chances) Cost {
	more.Use, more.Off = nil, false // whatever its usual hours
	_, _, most := more.Spread()
	switch {
	case more.Daily > 0:
		if long == 0 {
			long = ChargeTakes
		}
		more.Running, more.Daily, more.Duty = units.Watts(more.Daily/units.WattHours(long)), 0, 1
	case long > 0 && !more.CyclesItself:
		more.Duty = 1 // it runs while it is used
	}
	with := p
	with.Loads = append(slices.Clone(p.Loads), more)
	if at := len(p.Loads); p.Supply.Inverter.Continuous == 0 || slices.Contains(cannotRun(with), at) {
		// What is left out already stays so.
		for _, i := range cannotRun(p) {
			with.Loads[i].Off = true
		}
		with.Supply.Inverter = p.Supply.UsualInverter().Free()
	}
	then := p
	then.Outage.Starts = p.Outage.Starts.After(long)
	meanwhile, after := outage.NewRig(with), outage.NewRig(then)
	c := Cost{Before: may.CountOn(p)}
	c.After = units.Hours(may.Tenth(func(c outage.Case) float64 {
		for len(c.Draw) < len(p.Loads) {
			c.Draw = append(slices.Clone(c.Draw), 1)
		}
		c.Draw = append(slices.Clone(c.Draw), most)
		if long == 0 {
			return float64(meanwhile.Run(c, outage.Horizon, nil).Empty)
		}
		o := meanwhile.Run(c, long, nil)
		b := o.Battery
		if !math.IsInf(float64(o.Empty), 1) || b.Usable <= 0 {
			return float64(o.Empty)
		}
		cut := float64(b.Cut / (b.Rated - b.Age))
		c.SOC = cut + (1-cut)*float64(o.Balance.Left/b.Usable)
		c.Draw = c.Draw[:len(p.Loads)]
		return float64(long + after.Run(c, outage.Horizon, nil).Empty)
	}))
	c.After = min(c.After, c.Before)
	c.Empties = c.After <= long
	return c
}

// cannotRun lists the loads that at some time of the day the inverter can't
// carry with the rest.
func cannotRun(p plan.Plan) []int {
	var out []int
	outage.NewRig(p).Run(outage.AsPlanned(1), 24, func(s outage.Step) { out = append(out, s.CannotRun...) })
	slices.Sort(out)
	return slices.Compact(out)
}
