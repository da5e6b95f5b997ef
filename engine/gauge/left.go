package gauge

import (
	"math"
	"slices"
	"time"

	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/sun"
	"candleclock/engine/units"
)

// Left is how long a supply lasts by all that is known: by odds before an outage,
// and in one by its readings. Times are hours from the plan's start, which in an
// outage is its last reading, +Inf beyond outage.Horizon.
type Left struct {
	odds.Runtime // by the plan and the charge at its start alone

	CountOn, Likely, AtBest units.Hours

	// Read is what the readings tell together; nil where they are fewer than two, or
	// the last alone is counted with. Its hours begin Since before the plan's.
	Read  *Estimate
	Since units.Hours

	// Charged: together they would tell more than the last alone, but something may
	// have charged the supply between them, so that the last alone counts.
	Charged bool

	// Clash lists the readings that can't be true beside the others, by their place in
	// the log. Then what leaves less time counts, the last reading alone or all.
	Clash []int
}

// LeftOf works it out. The plan must hold a supply.
func LeftOf(p plan.Plan, s *odds.Sampler) Left {
	run := s.Runtime(p)
	l := Left{Runtime: run, CountOn: run.CountOn, Likely: run.Likely, AtBest: run.AtBest}
	from := since(p.Outage.Log)
	readings := p.Outage.Log.Readings[from:]
	if !p.Outage.UnderWay || len(readings) < 2 {
		return l
	}
	first := readings[0]
	q := p
	q.Outage.Starts, q.Outage.SOC, q.Outage.SOCLow = first.At, first.SOC, &first.SOCLow
	var read []Reading
	for _, r := range readings[1:] {
		read = append(read, asRead(r, p.Supply.Gauge))
	}
	var changes []Change
	for _, c := range p.Outage.Log.Switches {
		i := slices.IndexFunc(p.Loads, func(l load.Load) bool { return plan.SameName(l.Name, c.Load) })
		if i >= 0 && c.At.Since(first.At) >= 0 {
			changes = append(changes, Change{At: c.At, Load: i, On: c.On})
		}
	}
	e, err := Read(q, s, read, changes)
	if err != nil {
		return l
	}
	began := p.Outage.Starts.Since(first.At)
	for _, k := range e.Doubt {
		l.Clash = append(l.Clash, from+1+k)
	}
	more := e.CountOn-began > run.CountOn
	switch {
	case more && mayHaveCharged(p, readings):
		l.Charged = true
	case more && len(l.Clash) > 0: // the last alone
	default:
		l.Read, l.Since = &e, began
		l.CountOn, l.Likely, l.AtBest = e.CountOn-began, e.Likely-began, e.AtBest-began
	}
	return l
}

// Pace is how much faster than planned the readings say that it drains; 1 where
// they don't, or say slower: what is yet to come is not counted on for that.
func (l Left) Pace() float64 {
	if l.Read == nil {
		return 1
	}
	return max(l.Read.Pace.Likely, 1)
}

// since is the first reading of a log that tells of the charge that is there now:
// what was read before the power last came back tells of another. So does what was
// read before the charge rose by more than a gauge is off, where a reading after
// that bears it out: something has charged it that nobody noted.
func since(g plan.Log) int {
	from := 0
	for _, e := range g.Power {
		for from < len(g.Readings) && e.Back && e.At.Since(g.Readings[from].At) >= 0 {
			from++
		}
	}
	for i := from + 1; i+1 < len(g.Readings); i++ {
		before, now, after := g.Readings[i-1], g.Readings[i], g.Readings[i+1]
		if now.SOCLow > before.SOC+2*plan.GaugeError && after.SOCLow > before.SOC+plan.GaugeError && after.SOCLow <= now.SOC+plan.GaugeError {
			from = i
		}
	}
	return from
}

// mayHaveCharged reports whether the supply may have been charged between the
// first and the last of some readings, which nobody notes: by the sun, if it was
// up, or by a vehicle's socket or a generator that the plan has. A charge that
// hardly falls by day must not be taken for one that hardly falls by night.
func mayHaveCharged(p plan.Plan, readings []plan.Reading) bool {
	if charge.Power(p.Supply.Inputs, charge.Car) > 0 || charge.Power(p.Supply.Inputs, charge.Generator) > 0 {
		return true
	}
	if p.Panels.Count+p.Panels.Second.Count == 0 {
		return false
	}
	site, known := p.Site()
	from, to := readings[0].At, readings[len(readings)-1].At
	y, m, d := from.Date()
	for midnight := plan.At(time.Date(y, m, d, 0, 0, 0, 0, time.UTC)); to.Since(midnight) > 0; midnight = midnight.After(24) {
		y, m, d := midnight.Date()
		light := sun.Daylight{Always: true}
		if known {
			light = sun.DaylightOn(sun.Date{Year: y, Month: int(m), Day: d}, site.Lat, site.Lon, site.Offset)
		}
		rise, set := midnight.After(light.Rise), midnight.After(light.Set)
		if light.Always || !light.Never && to.Since(rise) > 0 && set.Since(from) > 0 {
			return true
		}
	}
	return false
}

// asRead is a reading as its gauge tells it.
func asRead(r plan.Reading, g plan.Gauge) Reading {
	if r.SOCLow == r.SOC {
		return Percent(r.At, r.SOC*100)
	}
	if g.Kind == plan.Bars && g.Bars > 0 {
		n := int(math.Round(r.SOC * float64(g.Bars)))
		if b := Bars(r.At, n, g.Bars); math.Abs(b.Low-r.SOCLow) < 0.005 && math.Abs(b.High-r.SOC) < 0.005 {
			return b
		}
	}
	return Reading{At: r.At, Low: r.SOCLow, High: r.SOC}
}

// Paced is the case with all that draws scaled such that the supply is empty
// after h hours: the middle course, once readings tell its end.
func Paced(rig *outage.Rig, c outage.Case, h units.Hours) outage.Case {
	if !(h > 0) || h >= outage.Horizon {
		return c
	}
	at := func(factor float64) outage.Case {
		q := c
		q.Draw = slices.Clone(c.Draw)
		for i := range q.Draw {
			q.Draw[i] *= factor
		}
		q.Idle *= factor
		return q
	}
	slow, fast := 0.02, 50.0
	for range 40 {
		mid := math.Sqrt(slow * fast)
		if rig.Run(at(mid), outage.Horizon, nil).Empty > h {
			slow = mid
		} else {
			fast = mid
		}
	}
	return at(math.Sqrt(slow * fast))
}
