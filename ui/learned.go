package ui

import (
	"math"
	"slices"
	"time"

	"candleclock/engine/charge"
	"candleclock/engine/gauge"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/sun"
	"candleclock/engine/units"
	"candleclock/ui/errand"
	"candleclock/ui/say"
)

// learn is what the readings of an outage under way tell together, and how long
// after the first of them the plan's hours begin. It takes two readings; ok is
// false with fewer, and where what may have been charged between them would make
// it last longer than the newest tells alone. What was switched meanwhile is
// followed as it was noted.
func learn(p plan.Plan, s *odds.Sampler) (e gauge.Estimate, since units.Hours, ok bool) {
	log := p.Outage.Log
	if !p.Outage.UnderWay || len(log.Readings) < 2 {
		return gauge.Estimate{}, 0, false
	}
	first := log.Readings[0]
	since = p.Outage.Starts.Since(first.At)
	most := units.Hours(math.Inf(1))
	if mayHaveCharged(p) {
		most = s.Runtime(p).CountOn
	}
	p.Outage.Starts, p.Outage.SOC, p.Outage.SOCLow = first.At, first.SOC, &first.SOCLow
	var read []gauge.Reading
	for _, r := range log.Readings[1:] {
		read = append(read, weighed(r, p.Supply.Gauge))
	}
	var changes []gauge.Change
	for _, c := range log.Switches {
		if i := findLoad(p.Loads, c.Load); i >= 0 && c.At.Since(first.At) >= 0 {
			changes = append(changes, gauge.Change{At: c.At, Load: i, On: c.On})
		}
	}
	e, err := gauge.Read(p, s, read, changes)
	return e, since, err == nil && e.CountOn-since <= most
}

// mayHaveCharged reports whether the supply may have been charged between the
// first reading of the log and the last, which nobody notes: by the sun, if it was
// up, or by a vehicle's socket or a generator that the plan has. A charge that
// hardly falls by day must not be taken for one that hardly falls by night.
func mayHaveCharged(p plan.Plan) bool {
	log := p.Outage.Log.Readings
	if len(log) < 2 {
		return false
	}
	if charge.Power(p.Supply.Inputs, charge.Car) > 0 || charge.Power(p.Supply.Inputs, charge.Generator) > 0 {
		return true
	}
	if p.Panels.Count+p.Panels.Second.Count == 0 {
		return false
	}
	site, known := p.Site()
	from, to := log[0].At, log[len(log)-1].At
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

// weighed is a reading as its gauge tells it.
func weighed(r plan.Reading, g plan.Gauge) gauge.Reading {
	if r.SOCLow == r.SOC {
		return gauge.Percent(r.At, r.SOC*100)
	}
	if g.Kind == plan.Bars {
		for n := range g.Bars + 1 {
			if low, soc := barCharge(n, g.Bars); low == r.SOCLow && soc == r.SOC {
				return gauge.Bars(r.At, n, g.Bars)
			}
		}
	}
	return gauge.Reading{At: r.At, Low: r.SOCLow, High: r.SOC}
}

// paced is the case with all that draws scaled such that the supply is empty
// after h hours: the middle course, once readings tell its end.
func paced(rig *outage.Rig, c outage.Case, h units.Hours) outage.Case {
	if !(h > 0) || beyond(h) {
		return c
	}
	at := func(factor float64) outage.Case {
		q := c
		q.Draw = append([]float64(nil), c.Draw...)
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

// pace is how much faster than planned the readings say that it drains; 1 where
// they don't, or say slower: what is yet to come is not counted on for that.
func (a *App) pace() float64 { return a.answer.pace() }

func (a *Answer) pace() float64 {
	if a.read == nil {
		return 1
	}
	return min(max(a.read.Pace.Likely, 1), errand.MostPace)
}

// Learned says what the readings have told, in sentences.
func (a *App) Learned() []string { return listed(a, (*Answer).learned) }

func (a *Answer) learned() []string {
	if a.read == nil {
		if a.charged {
			return []string{wPaceFed}
		}
		return nil
	}
	var out []string
	switch pace := a.read.Pace; {
	case len(a.read.Doubt) > 0: // what the readings tell together is then not known
	case math.Abs(pace.Likely-1) < 0.05, pace.Low <= 1 && 1 <= pace.High && math.Abs(pace.Likely-1) < 0.15:
		out = append(out, wPaceAs)
	case pace.Low <= 1 && 1 <= pace.High && pace.Likely > 1:
		out = append(out, wPaceMay+aboutShare(pace.Likely-1)+wPaceMayFaster)
	case pace.Low <= 1 && 1 <= pace.High:
		out = append(out, wPaceMay+aboutShare(1-pace.Likely)+wPaceMaySlower)
	case pace.Likely > 1:
		out = append(out, wPace+aboutShare(pace.Likely-1)+wPaceFaster)
	default:
		out = append(out, wPace+aboutShare(1-pace.Likely)+wPaceSlower)
	}
	log := a.plan.Outage.Log.Readings[1:]
	var odd string
	for n, i := range a.read.Doubt {
		switch {
		case n == 0:
		case n == len(a.read.Doubt)-1:
			odd += wAnd
		default:
			odd += ", "
		}
		odd += shown(log[i], a.plan.Supply.Gauge) + wDoubtAt + a.clock.Moment(log[i].At, a.from())
	}
	switch len(a.read.Doubt) {
	case 0:
	case 1:
		out = append(out, wDoubt+odd+wDoubtOne)
	default:
		out = append(out, wDoubt+odd+wDoubtMany)
	}
	return out
}

// lastInDoubt reports whether the newest reading does not fit: what the gauge
// will show when is not known then.
func (a *Answer) lastInDoubt() bool {
	return a.read != nil && slices.Contains(a.read.Doubt, len(a.plan.Outage.Log.Readings)-2) // without the first
}

// InDoubt reports whether a reading does not fit the others.
func (a *App) InDoubt() bool {
	return a.Answered() && a.answer.read != nil && len(a.answer.read.Doubt) > 0
}

// Recount counts from the last reading alone, with a way back.
func (a *App) Recount() {
	if !a.UnderWay() {
		return
	}
	before := a.book.Plan.Outage
	a.edit(func(p *plan.Plan) {
		if n := len(p.Outage.Log.Readings); n > 0 {
			last := p.Outage.Log.Readings[n-1]
			p.Outage.Log.Readings = []plan.Reading{last}
		}
	})
	a.tell(wRecounted+a.answer.News(), a.undoOutage(before))
	a.ports.Device.Focus("title")
}

// aboutShare says a share of 1 as people do: "a fifth".
func aboutShare(v float64) string {
	if v > 0.85 {
		return say.Number(math.Round(v*10)*10, 0) + "%"
	}
	shares := []struct {
		at   float64
		says string
	}{{0.05, "a twentieth"}, {0.1, "a tenth"}, {0.2, "a fifth"}, {0.25, "a quarter"}, {1. / 3, "a third"}, {0.5, "half"}, {2. / 3, "two thirds"}, {0.75, "three quarters"}}
	best := shares[0]
	for _, s := range shares {
		if math.Abs(s.at-v) < math.Abs(best.at-v) {
			best = s
		}
	}
	return best.says
}
