package outage

import (
	"math"
	"slices"

	"candleclock/engine/load"
	"candleclock/engine/units"
)

// Floor bounds what loads take out of the battery until some time, without any
// input: with any of them switched off it is at least Least less the Saves of
// those, and less the Idle of each stretch in which the inverter may then go
// off.
//
// Why it holds. What flows out of the battery is a convex function of what is
// asked for at its terminals, that of the inverter one of the loads' sum that
// is convex or no more than its parts' (see inverter.Curve). So a load off saves
// most as the first to go off, or, in the second case, alone. Loads that the
// inverter might not carry, or only with others off, count nothing.
type Floor struct {
	Has   units.WattHours // what the battery gives from the start on, gently drawn
	Need  units.WattHours // what is taken until then with nothing more off, exact
	Least units.WattHours
	Saves []units.WattHours // by load
	Idle  []units.WattHours // by stretch, as Keepers tells them

	// Held is what must be left of Has beyond Need to get through the cold of each
	// night until then: what a night holds back, less what is taken after it.
	Held units.WattHours
}

// Floor is the floor under c until a time.
func (r *Rig) Floor(c Case, until units.Hours) Floor {
	m := r.model(&c)
	taken := func(w, swing float64) float64 { return w / m.RateFactor(units.Watts(w)) * (1 + swing) }
	f := r.floor(c, until, taken)
	f.Has = r.Run(c, 0, nil).Balance.Start
	if last := r.lastCold(until); last > 0 {
		after := f.Need - r.floor(c, last, taken).Need + m.Drain.For(until-last)
		f.Held = max(0, units.WattHours(r.cell(&c, m).held)-after)
	}
	drain := m.Drain.For(until)
	f.Need += drain
	f.Least += drain
	return f
}

// BoxFloor is the floor that belongs to Box.
func (r *Rig) BoxFloor(soc float64, until units.Hours) Floor {
	f := r.floor(Case{}, until, func(w, _ float64) float64 { return w })
	f.Has = units.WattHours(float64(r.battery.Capacity) * soc)
	return f
}

// floor adds the spans up; takenOf is what leaves the battery for what is asked
// for at its terminals, W, and its swing. What would be left with something off
// may have any swing, so it counts with none.
func (r *Rig) floor(c Case, until units.Hours, takenOf func(w, swing float64) float64) Floor {
	taken := func(w float64) float64 { return takenOf(w, 0) }
	r.fill(&c)
	f := Floor{Saves: make([]units.WattHours, len(r.loads)), Idle: make([]units.WattHours, len(r.spans))}
	if r.idles {
		f.Idle = f.Idle[:1]
	}
	rest := float64(r.curve.DC(0))
	// By the inverter, beside its idle draw: what a load saves of either part it saves
	// as the first to go off, or alone.
	waits := func(ac float64) float64 { return r.curve.Waits(units.Watts(ac), c.Idle, c.Loss) }
	lost := func(ac float64) float64 { return r.curve.Doubted(units.Watts(ac), c.Idle, c.Loss) }
	given := func(ac float64) float64 { return lost(ac) - waits(ac) }
	from, day := 0.0, 0
	if r.lead > 0 {
		from = float64(r.start)
	}
	for n, s := range r.spans {
		draw := func(i int) float64 { return r.drawn[i] * s.times(i) }
		h := r.hoursIn(day, from, s.until, until)
		if from = s.until; from == float64(load.Day) {
			from, day = 0, day+1
		}
		if h == 0 {
			continue
		}
		need := takenOf(r.bus[n].out(), s.swing)
		f.Need += units.WattHours(h * need)
		sure := r.sure(s)
		ac, direct := 0.0, 0.0
		for _, i := range sure {
			ac += draw(i)
		}
		for _, i := range s.dc {
			direct += draw(i) * (1 + r.dcLoss*c.Loss)
		}
		out := ac + direct + lost(ac)
		if r.idles || len(sure) > 0 {
			out += rest * c.Idle
			f.Idle[min(n, len(f.Idle)-1)] += units.WattHours(h * (taken(out) - taken(out-rest*c.Idle)))
		}
		least := taken(out)
		f.Least += units.WattHours(h * least)
		for _, i := range sure {
			w := draw(i)
			off := max(0, ac-w)
			less := w + max(given(w), given(ac)-given(off)) + max(waits(w), waits(ac)-waits(off))
			f.Saves[i] += units.WattHours(h * (least - taken(out-less)))
		}
		for _, i := range s.dc {
			f.Saves[i] += units.WattHours(h * (least - taken(out-draw(i)*(1+r.dcLoss*c.Loss))))
		}
	}
	return f
}

// sure lists the AC loads of a span that run whatever else is switched off:
// those needed more than the first that the inverter can't carry with them.
func (r *Rig) sure(s span) []int {
	// What can't start does not run either, whatever else is off.
	n := slices.IndexFunc(s.unmet, func(i int) bool { return !r.trip.never[i] })
	if n < 0 {
		return s.ac
	}
	first := s.unmet[n]
	for n, i := range s.ac {
		d := r.loads[i].Rank.Order() - r.loads[first].Rank.Order()
		if d > 0 || d == 0 && i > first {
			return s.ac[:n]
		}
	}
	return s.ac
}

// Keepers lists, for each stretch of the day, the loads of which any one keeps
// the inverter on in it, whatever else is switched off. Where its owner never
// switches it off, the day is one stretch.
func (r *Rig) Keepers() [][]int {
	if !r.idles {
		out := make([][]int, len(r.spans))
		for n, s := range r.spans {
			out[n] = r.sure(s)
		}
		return out
	}
	var all []int
	for i, l := range r.loads {
		if !l.Off && l.Outlet == load.AC {
			all = append(all, i)
		}
	}
	return [][]int{all}
}

// lastCold is when, in hours since the start and not after until, a cold night
// last holds anything back; 0 where there is none.
func (r *Rig) lastCold(until units.Hours) units.Hours {
	if !r.rules.cold {
		return 0
	}
	day, ends := float64(load.Day), float64(NightEnds)
	now := float64(r.start) + float64(until)*60
	midnight := math.Floor(now/day) * day
	if at := now - midnight; ends < at && at <= float64(NightBegins) {
		return max(0, units.Hours((midnight+ends-float64(r.start))/60))
	}
	return until
}

// hoursIn is how long the span of a day, from a minute to another, is open
// between the start and a time after it.
func (r *Rig) hoursIn(day int, from, to float64, until units.Hours) float64 {
	before := func(x float64) float64 { // since the midnight before the start, minutes
		x = max(0, x-float64(min(day, r.lead))*float64(load.Day))
		days := math.Floor(x / float64(load.Day))
		rest := x - days*float64(load.Day)
		if day < r.lead { // it does not recur
			days, rest = 0, x
		}
		return days*(to-from) + min(max(rest-from, 0), to-from)
	}
	begin := float64(r.start)
	return (before(begin+float64(until)*60) - before(begin)) / 60
}
