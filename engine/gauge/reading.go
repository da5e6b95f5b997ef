// Package gauge works out what is really left from what a supply's gauge showed
// in the course of an outage, and when.
package gauge

import (
	"fmt"
	"math"

	"candleclock/engine/battery"
	"candleclock/engine/doc"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Reading is what the gauge showed at a moment: not a point but an interval of
// the state of charge, 0 to 1 of what the aged battery holds.
type Reading struct {
	At        plan.Moment
	Low, High float64
	Error     float64 // how far beyond either end the charge may be, a share of all

	odd bool // it and another can't both be right where nothing was charged
}

// Bars is a reading of n bars lit out of all: the charge lies above n−1 and at
// most at n of them.
func Bars(at plan.Moment, n, all int) Reading {
	return Reading{At: at, Low: max(0, float64(n-1)) / float64(all), High: float64(n) / float64(all), Error: plan.GaugeError}
}

// Percent is a reading of whole percents.
func Percent(at plan.Moment, shown float64) Reading {
	return Reading{At: at, Low: max(0, shown-0.5) / 100, High: min(100, shown+0.5) / 100, Error: plan.GaugeError}
}

// VoltsRange is what a lead battery of 12, 24 or 48 V may show.
var VoltsRange = doc.Range{Low: 10, High: 60, Unit: "V"}

// restVolts are those of a 12 V lead-acid battery that has rested for hours, at
// 25 °C, by tenths of its charge from 0 (from memory; makes differ by 0.1 V).
var restVolts = [11]float64{11.36, 11.51, 11.66, 11.81, 11.96, 12.10, 12.24, 12.37, 12.50, 12.62, 12.73}

// Volts reads the voltage of a lead battery of 12, 24 or 48 V nominal. Under
// load it shows up to 0.3 V in 12 less than at rest, and in the first hours
// after charging 0.1 V more (common practice), and makes differ by 0.1 V either
// way, so the interval is wide. ok is
// false for lithium, whose voltage hardly tells its charge, and for voltages
// that no such battery has.
func Volts(at plan.Moment, c battery.Chemistry, shown units.Volts) (r Reading, ok bool) {
	v := float64(shown)
	for _, blocks := range []float64{1, 2, 4} {
		if one := v / blocks; c.Lead() && one >= 10 && one <= 15 {
			return Reading{At: at, Low: rested(one - 0.2), High: rested(one + 0.4)}, true
		}
	}
	return Reading{}, false
}

// rested is the state of charge of a 12 V battery by its voltage at rest.
func rested(v float64) float64 {
	if v <= restVolts[0] {
		return 0
	}
	for i, high := range restVolts[1:] {
		if low := restVolts[i]; v < high {
			return (float64(i) + (v-low)/(high-low)) / 10
		}
	}
	return 1
}

// Change is a load that was switched on or off.
type Change struct {
	At   plan.Moment
	Load int // index in the plan
	On   bool
}

// Most is how many readings, and how many changes, a log may have.
const Most = 500

// check says what in a log can't stand.
func check(p plan.Plan, readings []Reading, changes []Change) error {
	after := doc.Range{High: float64(outage.Horizon), Unit: "hours after the start of the outage"}
	if len(readings) > Most || len(changes) > Most {
		return &doc.Error{Field: "the log", Value: fmt.Sprintf("%d readings and %d changes", len(readings), len(changes)),
			Want: fmt.Sprintf("at most %d of each", Most)}
	}
	for i, r := range readings {
		field := fmt.Sprintf("readings[%d]", i)
		if err := after.Check(field+".at", float64(r.At.Since(p.Outage.Starts))); err != nil {
			return err
		}
		for _, v := range []struct {
			name  string
			value float64
		}{{"low", r.Low}, {"high", r.High}, {"error", r.Error}} {
			if err := plan.SOCRange.Check(field+"."+v.name, v.value); err != nil {
				return err
			}
		}
		if r.Low > r.High {
			return &doc.Error{Field: field + ".low", Value: doc.Number(r.Low), Want: "at most high, " + doc.Number(r.High)}
		}
	}
	for i, c := range changes {
		field := fmt.Sprintf("changes[%d]", i)
		if err := after.Check(field+".at", float64(c.At.Since(p.Outage.Starts))); err != nil {
			return err
		}
		if c.Load < 0 || c.Load >= len(p.Loads) {
			return &doc.Error{Field: field + ".load", Value: fmt.Sprint(c.Load), Want: fmt.Sprintf("one of the plan's %d loads", len(p.Loads))}
		}
	}
	return nil
}

// fits is how likely the gauge is to show r at a level, what it would show but for
// what comes anew with each reading, which is even and up to half of its error
// either way, and blur more. A supply that has given out shows no more than the
// floor, which is what it keeps back.
func (r Reading) fits(level float64, out bool, floor, blur float64) float64 {
	if out {
		if r.High <= floor+r.Error {
			return 1
		}
		return 0
	}
	return r.shows(level, blur)
}

func (r Reading) shows(level, blur float64) float64 {
	low, high := r.Low, r.High
	if low <= 0 {
		low = math.Inf(-1) // an empty gauge shows no less
	}
	if high >= 1 {
		high = math.Inf(1)
	}
	half := r.Error/2 + blur
	if half == 0 {
		if low <= level && level <= high {
			return 1
		}
		return 0
	}
	return max(0, min(high, level+half)-max(low, level-half)) / (2 * half)
}

// lit reports whether the gauge shows that something is left.
func (r Reading) lit() bool { return r.High > 0.01 }

// wrong is the chance that it tells nothing.
func (r Reading) wrong() float64 {
	if r.odd {
		return wrong
	}
	return seldom
}

// byChance is how likely a gauge that tells nothing is to show r.
func (r Reading) byChance() float64 { return min(1, max(0.01, r.High-r.Low)) }
