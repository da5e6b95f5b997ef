package ui

import (
	"slices"
	"time"

	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// The page's sums count real hours by the clock as it is when they begin: now in
// an outage, else at the outage's start. Clocks on the wall may be put forward or
// back before then and after. What is kept is by the wall; inHours turns it to
// real hours, and say.Clock turns moments back to the wall.

// putAt is a moment at which a zone's clocks are put forward, or back where by is
// below 0.
type putAt struct {
	at time.Time
	by units.Hours
}

// putTable is when a zone's clocks are put around a moment.
type putTable struct {
	around time.Time
	puts   []putAt
}

// How far about a moment such a table reaches: before, the longest outage that
// is likely to be under way; after, as far as an answer is followed.
const (
	putsBefore = 20 * 24 * time.Hour
	putsAfter  = 100 * 24 * time.Hour
	putsStep   = 10 * 24 * time.Hour // no zone puts its clocks twice within
)

// puts lists when the clocks of a zone, "" for the device's, are put around now.
// The browser is slow to tell of clocks: it is asked once in half a day.
func (a *App) puts(zone string) []putAt {
	now := a.instant()
	if now.Year() < firstYear || now.Year() > lastYear {
		return nil // a device that has lost its date
	}
	if t, known := a.clocks[zone]; known && now.Sub(t.around).Abs() < 12*time.Hour {
		return t.puts
	}
	t := putTable{around: now}
	for from := now.Add(-putsBefore); from.Before(now.Add(putsAfter)); from = from.Add(putsStep) {
		to := from.Add(putsStep)
		by := a.ports.Clock.Put(zone, from, to)
		if by == 0 {
			continue
		}
		lo, hi := from, to
		for hi.Sub(lo) > time.Minute {
			if mid := lo.Add((hi.Sub(lo) / 2).Round(time.Minute)); a.ports.Clock.Put(zone, from, mid) == 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		t.puts = append(t.puts, putAt{hi, units.Hours(by.Hours())})
	}
	if a.clocks == nil {
		a.clocks = map[string]putTable{}
	}
	a.clocks[zone] = t
	return t.puts
}

// instant is now, to the minute and by the clock alone.
func (a *App) instant() time.Time { return a.ports.Clock.Now().Round(0).Truncate(time.Minute) }

// inHours is a plan whose moments in the past are told in real hours by the
// clock as it is when its answer begins, and the clock that says its answer's
// moments.
func (a *App) inHours(p plan.Plan) (plan.Plan, say.Clock) {
	clock := a.prefs.clock()
	p, _ = p.Rolled(a.now)
	now := a.instant()
	puts := a.puts(p.Place.Zone)
	if len(puts) == 0 {
		return p, clock
	}
	// How far the wall's clocks are put within h hours, which may be past.
	shift := func(h units.Hours) (by units.Hours) {
		for _, e := range puts {
			switch at := units.Hours(e.at.Sub(now).Hours()); {
			case at > 0 && h >= at:
				by += e.by
			case at <= 0 && h < at:
				by -= e.by
			}
		}
		return by
	}
	// In how many hours a moment by the wall comes. Of two such the earlier: more
	// is used since.
	in := func(m plan.Moment) units.Hours {
		if at, known := a.noted[m]; known {
			return units.Hours(at.when.Sub(now).Hours())
		}
		d := m.Since(a.now)
		best, found := d-shift(d), false
		for _, s := range append([]putAt{{}}, puts...) {
			for _, by := range []units.Hours{s.by, -s.by} {
				if h := d - by; shift(h) == by && (!found || h < best) {
					best, found = h, true
				}
			}
		}
		return best
	}
	o := &p.Outage
	clock.From = o.Starts
	base := in(o.Starts)
	if o.UnderWay || o.OnMains() {
		clock.From, base = a.now, 0
		real := func(m plan.Moment) plan.Moment { return a.now.After(in(m)) }
		o.Starts = real(o.Starts)
		g := &o.Log
		g.Readings, g.Switches, g.Power = slices.Clone(g.Readings), slices.Clone(g.Switches), slices.Clone(g.Power)
		for i := range g.Readings {
			g.Readings[i].At = real(g.Readings[i].At)
		}
		for i := range g.Switches {
			g.Switches[i].At = real(g.Switches[i].At)
		}
		for i := range g.Power {
			g.Power[i].At = real(g.Power[i].At)
		}
	}
	for _, e := range puts {
		at := units.Hours(e.at.Sub(now).Hours()) - base
		if at > 0 || o.UnderWay || o.OnMains() {
			clock.Changes = append(clock.Changes, say.Change{At: clock.From.After(at), By: e.by})
		}
	}
	return p, clock
}

// clockNow says moments counted from now.
func (a *App) clockNow() say.Clock {
	clock := a.prefs.clock()
	clock.From = a.now
	now := a.instant()
	for _, e := range a.puts(a.zoneInView()) {
		clock.Changes = append(clock.Changes, say.Change{At: a.now.After(units.Hours(e.at.Sub(now).Hours())), By: e.by})
	}
	return clock
}

// ClockNote says that clocks are put forward or back within the answer's hours,
// or that this device's clock was set while an outage is on.
func (a *App) ClockNote() string {
	if !a.Answered() {
		return ""
	}
	if by := a.slipped(); by > slipMost {
		return wClockAhead + say.Hours(units.Hours(by.Hours())) + wClockAheadSo
	}
	from := a.answer.from()
	for _, e := range a.answer.clock.Changes {
		if e.At.Since(from) <= 0 || e.At.Since(a.answer.plan.Outage.Starts) > a.lastHour() {
			continue
		}
		at := a.prefs.clock().Moment(e.At, from) // as clocks show it that aren't put yet
		if e.By < 0 {
			return wClocksBack + say.Hours(-e.By) + wClocksAt + at + wClocksSo
		}
		return wClocksOn + say.Hours(e.By) + wClocksAt + at + wClocksSo
	}
	return ""
}

// ClockFault reports whether no time stands because the clock was set.
func (a *App) ClockFault() bool { return a.setBack || a.answer.clockBefore }

// lastHour is the longest of the times that the answer tells.
func (a *App) lastHour() (last units.Hours) {
	for _, h := range []units.Hours{a.answer.run.CountOn, a.answer.run.Likely, a.answer.run.AtBest} {
		if !beyond(h) {
			last = max(last, h)
		}
	}
	return last
}

// slipMost is how far the clock and the page's own timer may drift apart, and
// how far before the last reading the clock may be, before it is said that the
// clock was set.
const slipMost = 5 * time.Minute

// noted is when a moment was noted of which the hours are counted.
type noted struct {
	when time.Time     // to the minute
	slip time.Duration // of the clock then, against the page's own timer
}

// note keeps when the moment of now was noted.
func (a *App) note() {
	if a.noted == nil {
		a.noted = map[plan.Moment]noted{}
	}
	a.noted[a.now] = noted{a.instant(), a.slip()}
}

// slip is how far the clock has been put forward, against the page's own timer,
// since the page was opened.
func (a *App) slip() time.Duration {
	return a.ports.Clock.Now().Round(0).Sub(a.opened) - a.ports.Clock.Ran()
}

// slipped is the same since the moment from which the outage is counted, as far
// as the page was open; 0 where none is on.
func (a *App) slipped() time.Duration {
	if !a.UnderWay() || a.opened.IsZero() {
		return 0
	}
	return a.slip() - a.noted[a.book.Plan.Outage.Starts].slip
}

// catchUp reads the clock for the answer in view. Where the clocks were put, or
// this one was set, it is worked out anew.
func (a *App) catchUp() {
	a.tick()
	if a.book == nil {
		return
	}
	put := slices.ContainsFunc(a.puts(a.book.Plan.Place.Zone), func(e putAt) bool { return e.at.After(a.thought) && !e.at.After(a.instant()) })
	if put || a.slipped() < -slipMost != a.setBack {
		a.think()
	}
	a.answer.now = a.now
}
