// Package drill works out of a drill, a supply run for a while on purpose, what
// its battery really holds and what its inverter draws by itself.
package drill

import (
	"math"
	"slices"

	"candleclock/engine/battery"
	"candleclock/engine/doc"
	"candleclock/engine/gauge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Test is a stretch of a drill: the same things on from one reading of the
// gauge to another, and nothing charged.
type Test struct {
	// Loads is what was on all along, whatever its schedule: the plan's own, or
	// what a meter showed (see Metered). None and Inverter: the inverter alone.
	Loads    []load.Load
	Inverter bool // it was switched on, whether anything used it or not

	Minutes  float64       // MinutesRange; taken as known to a minute
	From, To gauge.Reading // moments of no concern
}

// MinutesRange is how long a test may be.
var MinutesRange = doc.Range{Low: 10, High: 6000, Unit: "minutes"}

// Metered is what a plug-in meter showed as the mean of all that was on at an
// outlet.
func Metered(at load.Outlet, mean units.Watts) load.Load {
	return load.Load{Name: "Metered " + string(at), Outlet: at, Running: mean, Duty: 1, PowerFactor: 1, Basis: load.Measured}
}

// Full is the reading of a battery that was charged until it took no more. That
// is known better than any gauge tells it.
func Full() gauge.Reading { return gauge.Reading{Low: 1, High: 1} }

// ShutOff is the reading of a supply that has just switched itself off: it has
// the plan's cut-off left.
func ShutOff(p plan.Plan) gauge.Reading {
	m := p.Supply.Battery.Model()
	cut := float64(m.Cut / m.Aged)
	return gauge.Reading{Low: cut, High: cut}
}

// Refusal says why a drill tells nothing, or nothing of the idle draw.
type Refusal string

// The refusals.
const (
	NoFall   Refusal = "no_fall"   // the gauge did not fall
	TooShort Refusal = "too_short" // it fell too little to tell the capacity within a factor of 2
	TooMuch  Refusal = "too_much"  // no battery of that label gives so much for so little of a fall
	TooAlike Refusal = "too_alike" // the second test drew more than half of the first
	TooVague Refusal = "too_vague" // the idle draw could be anything within a factor of 3
)

func (r Refusal) Error() string { return "drill: " + string(r) }

// How sure a figure must be to be told at all, highest over lowest, and how sure
// a capacity must be to be proposed where the plan's lies within its range.
const (
	mostCapacity = 2.0
	mostIdle     = 3.0
	sure         = 1.4
)

// Result is what a drill tells. Each range holds the truth whenever all that
// the test left open lies within its own: both gauge readings, the watts and
// the minutes, the losses as package odds spreads them, and the room's
// temperature.
type Result struct {
	Fell     gauge.Range // of the charge, 0 to 1
	Capacity gauge.Range // Wh of a full battery now, warm and drawn slowly
	Health   gauge.Range // Capacity over the label's
	Assumed  float64     // the health that the plan counts with

	Idle   *gauge.Range // W; nil without a second test, or where it tells nothing:
	NoIdle Refusal      // then why; "" without a second test

	// What to correct in the plan; nil: nothing. The health is the low end of
	// its range: a measured one is counted on. It is proposed where the plan's
	// lies outside the range, or the range is narrow. The idle draw is such that
	// odds, which spreads it up to half as much again, reaches the range's end.
	NewHealth, NewIdle *float64
}

// Measure works a drill out. second is nil, or a test with much less on, best
// nothing: together they tell what the inverter draws by itself.
//
// What left the battery in a test is what the loads took, what the inverter and
// the outlets lost, and the self-discharge, at the rate that the battery was
// drawn with: the balance of package outage. Over the share of the charge by
// which the gauge fell, it is the capacity; as a capacity test of lead-acid
// batteries has it (IEEE Std 450, from memory), which runs to the end and has no
// gauge to read. So capacity and health are found as those with which a supply
// that begins with just that share is empty after just that time. With two
// tests the idle draw is the one with which both tell the same capacity.
//
// The plan must hold a supply. The error is a Refusal or a *doc.Error.
func Measure(p plan.Plan, first Test, second *Test) (Result, error) {
	r := Result{Assumed: p.Supply.Battery.StateOfHealth()}
	if err := first.check("first"); err != nil {
		return r, err
	}
	b := newBench(p, first)
	if unmet := b.rig(1).FirstUnmet(); !math.IsInf(float64(unmet.Any), 1) {
		return r, &doc.Error{Field: "what was on", Want: "within what the inverter carries"}
	}
	if r.Fell = first.fell(); r.Fell.High <= 0 {
		return r, NoFall
	}
	if r.Fell.High > mostCapacity*r.Fell.Low {
		return r, TooShort
	}
	spread := b.spread
	if second != nil {
		if err := second.check("second"); err != nil {
			return r, err
		}
		r.Idle, r.NoIdle = idle(b, newBench(p, *second), r.Fell, second.fell())
		if r.Idle != nil {
			spread.idle = b.inIdles(*r.Idle)
		}
	}
	r.Health = gauge.Range{
		Low:    b.health(r.Fell.High, low(spread), -1),
		Likely: b.health(r.Fell.Likely, likely(spread), 0),
		High:   b.health(r.Fell.Low, high(spread), 1),
	}
	rated := float64(p.Supply.Battery.Capacity)
	r.Capacity = gauge.Range{Low: r.Health.Low * rated, Likely: r.Health.Likely * rated, High: r.Health.High * rated}
	if r.Health.High > mostCapacity*r.Health.Low {
		return r, TooShort
	}
	if r.Health.High >= mostHealth {
		return r, TooMuch
	}
	if r.Assumed < r.Health.Low || r.Assumed > r.Health.High || r.Health.High <= sure*r.Health.Low {
		r.NewHealth = proposed(math.Floor(r.Health.Low*100)/100, p.Supply.Battery.Health, battery.HealthRange)
	}
	if r.Idle != nil {
		r.NewIdle = proposed(math.Ceil(max(r.Idle.Likely, r.Idle.High/1.5)), p.Supply.Inverter.IdleW, inverter.IdleRange)
	}
	return r, nil
}

// proposed is a figure in its range; nil where the plan has it already.
func proposed(v float64, now *float64, in doc.Range) *float64 {
	v = min(max(v, in.Low), in.High)
	if now != nil && *now == v {
		return nil
	}
	return &v
}

func (t Test) check(which string) error {
	if err := MinutesRange.Check(which+" test, minutes", t.Minutes); err != nil {
		return err
	}
	if len(t.Loads) > plan.MostLoads {
		return &doc.Error{Field: which + " test, loads", Value: doc.Number(float64(len(t.Loads))), Want: "at most " + doc.Number(plan.MostLoads)}
	}
	for _, l := range t.Loads {
		if err := load.RunningRange.Check(which+" test, "+l.Name, float64(l.Running)); err != nil {
			return err
		}
	}
	for _, r := range []gauge.Reading{t.From, t.To} {
		if !(0 <= r.Low && r.Low <= r.High && r.High <= 1 && 0 <= r.Error && r.Error <= 1) {
			return &doc.Error{Field: which + " test, a reading", Want: plan.SOCRange.String()}
		}
	}
	return nil
}

// fell is by how much of a full charge the gauge fell. Half of a gauge's error
// is the same at both ends and drops out, unless one end needs no gauge (see
// gauge.Reading).
func (t Test) fell() gauge.Range {
	off := t.From.Error + t.To.Error
	if t.From.Error > 0 && t.To.Error > 0 {
		off /= 2
	}
	return gauge.Range{
		Low:    t.From.Low - t.To.High - off,
		Likely: (t.From.Low+t.From.High)/2 - (t.To.Low+t.To.High)/2,
		High:   min(1, t.From.High-t.To.Low+off),
	}
}

// bench is a plan's supply with the loads of a test.
type bench struct {
	plan    plan.Plan
	minutes float64
	kept    float64 // back by the supply, share of what the battery holds
	spread
}

// spread is what a test leaves open.
type spread struct {
	draw               []span // factors, by load
	idle, loss, warmer span
}

type span struct{ low, likely, high float64 }

func newBench(p plan.Plan, t Test) bench {
	p.Loads = slices.Clone(t.Loads)
	b := bench{minutes: t.Minutes}
	for i := range p.Loads {
		l := &p.Loads[i]
		l.Use, l.Off, l.CyclesItself = nil, false, false
		low, mode, high := l.Spread()
		b.draw = append(b.draw, span{low, mode, high})
	}
	if t.Inverter { // a load of no watts keeps it on
		p.Loads = append(p.Loads, Metered(load.AC, 0))
		b.draw = append(b.draw, span{1, 1, 1})
	}
	p.Supply.Inverter = p.Supply.UsualInverter()
	p.Supply.Inverter.OffWhenUnused = false
	if p.Supply.Inverter.Idle() < 1 {
		p.Supply.Inverter.IdleW = new(1.0) // so that a factor can make more of it
	}
	b.spread.open(p)
	// What a cold night holds back is not touched by what fell: a test is followed as
	// if by day.
	p.Supply.Battery.Night = nil
	m := p.Supply.Battery.Model()
	b.kept = float64(m.Cut / m.Aged)
	p.Outage.Starts = plan.Moment{}
	b.plan = p
	return b
}

// open takes from odds how far it lets the supply stray.
func (s *spread) open(p plan.Plan) {
	m := odds.Middle(p)
	s.idle, s.loss = span{m.Idle, m.Idle, m.Idle}, span{m.Loss, m.Loss, m.Loss}
	s.warmer = span{float64(m.Warmer), float64(m.Warmer), float64(m.Warmer)}
	wider := func(s *span, v float64) { s.low, s.high = min(s.low, v), max(s.high, v) }
	odds.NewSampler(odds.Draws, odds.Seed).Cases(p, func(c outage.Case) {
		wider(&s.idle, c.Idle)
		wider(&s.loss, c.Loss)
		wider(&s.warmer, float64(c.Warmer))
	})
}

func lowest(s span) float64  { return s.low }
func middle(s span) float64  { return s.likely }
func highest(s span) float64 { return s.high }

// at is the case at one end of the draws, one of idle draw and losses, and a
// temperature.
func (s spread) at(draw, lost func(span) float64, warmer float64) outage.Case {
	c := outage.Case{Capacity: 1, Ageing: 1, Idle: lost(s.idle), Loss: lost(s.loss), Warmer: units.Celsius(warmer)}
	for _, d := range s.draw {
		c.Draw = append(c.Draw, draw(d))
	}
	return c
}

// The cases that make the capacity look small, likely and large. Cold hides some
// of it.
func low(s spread) outage.Case    { return s.at(lowest, lowest, s.warmer.high) }
func likely(s spread) outage.Case { return s.at(middle, middle, s.warmer.likely) }
func high(s spread) outage.Case   { return s.at(highest, highest, s.warmer.low) }

// rig is the bench with a battery of some health.
func (b bench) rig(health float64) *outage.Rig {
	p := b.plan
	p.Supply.Battery.Health = &health
	return outage.NewRig(p)
}

// mostHealth is where the search for a health ends: what would take more is not
// the battery's doing.
const mostHealth = 4.0

// health is the least that lasts the test with the share of the charge that was
// used, under c, with the minutes longer or shorter by some.
func (b bench) health(fell float64, c outage.Case, minutes float64) float64 {
	c.SOC = b.kept + fell // what is kept back isn't either
	hours := units.Hours((b.minutes + minutes) / 60)
	low, high := 0.0, mostHealth
	for range 34 {
		if mid := (low + high) / 2; b.rig(mid).Run(c, hours, nil).Empty < hours {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// inIdles turns watts into factors on the bench's own idle draw.
func (b bench) inIdles(w gauge.Range) span {
	own := float64(b.plan.Supply.Inverter.Idle())
	return span{w.Low / own, w.Likely / own, w.High / own}
}
