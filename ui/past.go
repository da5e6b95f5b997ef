package ui

import (
	"math"
	"slices"

	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// over is the outage in view as it will be remembered. known is false where
// nothing was noted of it, or the clock was set back.
func (a *App) over() (o plan.Past, known bool) {
	p := a.book.Plan
	first, known := firstKnown(p.Outage.Log)
	if !known || a.now.Since(first.At) < 0 {
		return o, false
	}
	o.Began, o.Ended = first.At, a.now
	if !p.HasSupply() {
		return o, true
	}
	// What was counted on at first, with what was on then.
	if first.SOC != nil {
		p.Outage.Starts, p.Outage.SOC, p.Outage.SOCLow = first.At, *first.SOC, first.SOCLow
		p.Loads = unswitched(p, first.At)
		if h := a.sampler.Runtime(p).CountOn; !beyond(h) {
			v := float64(h)
			o.Planned = &v
		}
	}
	if r := a.answer.read; a.answer.Ready() && r != nil && len(r.Doubt) == 0 && (r.Pace.Low > 1 || r.Pace.High < 1) {
		v := min(max(r.Pace.Likely, plan.PaceRange.Low), plan.PaceRange.High)
		o.Pace = &v
	}
	return o, true
}

// firstKnown is when the outage under way began, with the charge that was
// counted on then or read in that minute.
func firstKnown(g plan.Log) (first plan.Power, known bool) {
	if n := len(g.Power); n > 0 && !g.Power[n-1].Back {
		first, known = g.Power[n-1], true
	}
	if len(g.Readings) > 0 && (!known || g.Readings[0].At.Since(first.At) <= 0) {
		r := g.Readings[0]
		first, known = plan.Power{At: r.At, SOCLow: &r.SOCLow, SOC: &r.SOC}, true
	}
	return first, known
}

// unswitched is the plan's loads as they were at a moment of its outage, before
// what was switched from then on.
func unswitched(p plan.Plan, at plan.Moment) []load.Load {
	loads, switches := slices.Clone(p.Loads), p.Outage.Log.Switches
	for n := len(switches) - 1; n >= 0 && switches[n].At.Since(at) >= 0; n-- {
		if i := findLoad(loads, switches[n].Load); i >= 0 {
			loads[i].Off = switches[n].On
		}
	}
	return loads
}

// PastRow is an outage that is over.
type PastRow struct{ When, Line string }

// mostPastRows keeps the list short.
const mostPastRows = 10

// PastRows lists them, the newest first.
func (a *App) PastRows() []PastRow {
	if a.book == nil {
		return nil
	}
	clock := a.prefs.clock()
	var out []PastRow
	all := a.book.Plan.History
	for i := len(all) - 1; i >= 0 && len(out) < mostPastRows; i-- {
		o := all[i]
		r := PastRow{When: clock.Moment(o.Began, a.now) + wTo + clock.Moment(o.Ended, a.now) + ": " + say.Hours(o.Ended.Since(o.Began))}
		if o.Planned != nil {
			r.Line = wPastPlanned + say.Hours(units.Hours(*o.Planned)) + ". "
		}
		if o.Pace != nil {
			r.Line += pacePast(*o.Pace)
		}
		out = append(out, r)
	}
	return out
}

func pacePast(pace float64) string {
	if pace > 1 {
		return wPastPace + aboutShare(pace-1) + wPastFaster
	}
	return wPastPace + aboutShare(1-pace) + wPastSlower
}

// corrected is the plan with what the newest outage has taught: all that isn't
// measured draws more, since a gauge can't tell which of it does. ok is false
// where nothing is to be learned that is wary.
func (a *App) corrected() (p plan.Plan, ok bool) {
	if a.book == nil || a.UnderWay() || !a.Answered() || len(a.book.Plan.History) == 0 {
		return p, false
	}
	p = a.book.Plan
	o := p.History[len(p.History)-1]
	if o.Corrected || o.Pace == nil || *o.Pace <= 1 {
		return p, false
	}
	o.Corrected = true
	p.History = append(slices.Clone(p.History[:len(p.History)-1]), o)
	p.Loads = slices.Clone(p.Loads)
	some := false
	for i := range p.Loads {
		l := &p.Loads[i]
		if l.Basis == load.Measured {
			continue
		}
		some = true
		more := func(v, most float64) float64 { return min(math.Ceil(v**o.Pace*10)/10, most) }
		l.Running = units.Watts(more(float64(l.Running), load.RunningRange.High))
		l.Daily = units.WattHours(more(float64(l.Daily), load.DailyRange.High))
		for _, end := range []**float64{&l.Low, &l.High} {
			if *end != nil {
				v := more(**end, load.RunningRange.High)
				*end = &v
			}
		}
	}
	return p, some
}

// CanCorrect reports whether the newest outage has taught something.
func (a *App) CanCorrect() bool {
	_, ok := a.corrected()
	return ok
}

// Correction says what correcting the plan would change.
func (a *App) Correction() string {
	p, ok := a.corrected()
	if !ok {
		if a.book != nil && len(a.book.Plan.History) > 0 {
			if o := a.book.Plan.History[len(a.book.Plan.History)-1]; o.Pace != nil && *o.Pace < 1 {
				return wPastNotMore
			}
		}
		return ""
	}
	now, then := a.book.Plan, p
	for _, q := range []*plan.Plan{&now, &then} {
		q.Outage.SOC, q.Outage.SOCLow = 1, nil
	}
	return wPastWould + say.Hours(a.sampler.Runtime(now).CountOn) + wPastWouldIs + say.Hours(a.sampler.Runtime(then).CountOn) + "."
}

// Correct does it, with a way back.
func (a *App) Correct() {
	p, ok := a.corrected()
	if !ok {
		return // tapped twice
	}
	loads, history := a.book.Plan.Loads, a.book.Plan.History
	a.edit(func(q *plan.Plan) { q.Loads, q.History = p.Loads, p.History })
	a.tell(wPastDone+a.answer.News(), func() {
		a.edit(func(q *plan.Plan) { q.Loads, q.History = loads, history })
	})
	a.ports.Device.Focus("title")
}
