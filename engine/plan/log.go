package plan

import (
	"slices"

	"candleclock/engine/doc"
	"candleclock/engine/load"
)

// Log is what was noted of an outage under way: what the gauge showed, what was
// switched, and when the power went and came, of earlier outages too. Each list
// is in the order of time. A link to a plan does not carry it.
type Log struct {
	Readings []Reading
	Switches []Switch
	Power    []Power
}

// Reading is what the gauge showed at a moment: a charge between SOCLow and SOC,
// shares of 1. An exact one has both alike.
type Reading struct {
	At          Moment
	SOCLow, SOC float64

	Unknown doc.Unknown
}

// Switch is a load that was switched on or off at a moment.
type Switch struct {
	At   Moment
	Load string // its name
	On   bool

	Unknown doc.Unknown
}

// Power is a moment at which the power went, or came back, and the charge that
// was counted on then, shares of 1: what nobody read is no Reading.
type Power struct {
	At          Moment
	Back        bool
	SOCLow, SOC *float64 // both nil where it is not told

	Unknown doc.Unknown
}

// How far a counted gauge, of bars or percent, is off, as shares of the full charge.
const (
	// GaugeError is what comes and goes from one reading to another, either way in
	// all (common practice).
	GaugeError = 0.03
	// GaugeLean is what stays the same all night, at most: such gauges add up what
	// goes in and out, and drift between one full charge and the next; by 5 to 10 %
	// is often seen (from memory, common practice), more is rarer.
	GaugeLean = 0.13
)

// GaugeError is how far the charge at Starts may lie beyond what the plan tells
// of it, a share of 1: as far as its gauge may be off where that is a reading of
// one that counts. A charge that is only planned, or was carried on from a
// reading, is what the plan says.
func (p Plan) GaugeError() float64 {
	o := &p.Outage
	read := len(o.Log.Readings) == 0 || slices.ContainsFunc(o.Log.Readings, func(r Reading) bool { return r.At == o.Starts })
	if k := p.Supply.Gauge.Kind; !o.UnderWay && !o.OnMains() || !read || k != Bars && k != Percent {
		return 0
	}
	switch {
	case o.SOC-o.lowest() > p.Supply.Gauge.step()+0.01: // nobody read so little
		return 0
	case o.lowest() >= FullFrom:
		return GaugeError
	}
	return GaugeLean + GaugeError/2
}

// FullFrom is the charge from which a gauge of percents shows that the battery is
// full: most set themselves to 100 % at the end of a full charge, so that they have
// not drifted then (from memory).
const FullFrom = 0.99

// step is what one mark of a gauge that counts stands for, a share of 1.
func (g Gauge) step() float64 {
	if g.Kind == Bars && g.Bars > 0 {
		return 1 / float64(g.Bars)
	}
	return 0
}

// lowest is the least charge at the start.
func (o *Outage) lowest() float64 {
	if o.SOCLow != nil {
		return *o.SOCLow
	}
	return o.SOC
}

// The most that a log holds. Of more the newest are kept.
const (
	MostReadings = 200
	MostSwitches = 500
	MostPower    = 200
)

// Read returns the log with a reading noted. Of two in one minute the later
// counts.
func (g Log) Read(r Reading) Log {
	for n := len(g.Readings); n > 0 && g.Readings[n-1].At.Since(r.At) >= 0; n-- {
		g.Readings = g.Readings[:n-1] // a clock that was set back must not undo the order
	}
	g.Readings = append(slices.Clone(g.Readings), r)
	g.Readings = g.Readings[max(0, len(g.Readings)-MostReadings):]
	return g
}

// Switched returns the log with a switch noted.
func (g Log) Switched(s Switch) Log {
	for n := len(g.Switches); n > 0 && g.Switches[n-1].At.Since(s.At) > 0; n-- {
		g.Switches = g.Switches[:n-1]
	}
	g.Switches = append(slices.Clone(g.Switches), s)
	g.Switches = g.Switches[max(0, len(g.Switches)-MostSwitches):]
	return g
}

// Came returns the log with a moment noted at which the power went or came back.
// Of two in one minute the later counts.
func (g Log) Came(e Power) Log {
	for n := len(g.Power); n > 0 && g.Power[n-1].At.Since(e.At) >= 0; n-- {
		g.Power = g.Power[:n-1]
	}
	g.Power = append(slices.Clone(g.Power), e)
	g.Power = g.Power[max(0, len(g.Power)-MostPower):]
	return g
}

// Out is since when the power is out, as far as that is noted.
func (g Log) Out() (since Moment, known bool) {
	if n := len(g.Power); n > 0 && !g.Power[n-1].Back {
		return g.Power[n-1].At, true
	}
	return Moment{}, false
}

// OnMains reports whether the power is back and nothing was planned since: the
// charge at Starts is what the supply had when it came back, or showed later.
func (o Outage) OnMains() bool {
	n := len(o.Log.Power)
	if o.UnderWay || n == 0 || !o.Log.Power[n-1].Back {
		return false
	}
	return o.Log.Power[n-1].At == o.Starts || slices.ContainsFunc(o.Log.Readings, func(r Reading) bool { return r.At == o.Starts })
}

// Renamed returns the log of a load that has another name now.
func (g Log) Renamed(was, is string) Log {
	if was == is {
		return g
	}
	g.Switches = slices.Clone(g.Switches)
	for i := range g.Switches {
		if s := &g.Switches[i]; SameName(s.Load, was) {
			s.Load = is
		}
	}
	return g
}

func readLog(r *doc.Reader) (g Log) {
	var last Moment
	inOrder := func(o *doc.Reader, at Moment) {
		if !last.IsZero() && at.Since(last) < 0 {
			o.Fail("at", `"`+at.String()+`"`, "at or after the one before it, "+last.String())
		}
		last = at
	}
	for _, o := range r.Objects("readings", MostReadings) {
		e := Reading{At: readMoment(o, "at"), SOC: o.Number("soc", SOCRange, 1)}
		e.SOCLow = o.Number("soc_low", SOCRange, e.SOC)
		if e.SOCLow > e.SOC {
			o.Fail("soc_low", doc.Number(e.SOCLow), "at most soc, "+doc.Number(e.SOC))
		}
		inOrder(o, e.At)
		e.Unknown = o.Unknown()
		g.Readings = append(g.Readings, e)
	}
	last = Moment{}
	for _, o := range r.Objects("switches", MostSwitches) {
		e := Switch{At: readMoment(o, "at"), Load: o.Text("load", load.NameMost), On: o.Yes("on")}
		inOrder(o, e.At)
		e.Unknown = o.Unknown()
		g.Switches = append(g.Switches, e)
	}
	last = Moment{}
	for _, o := range r.Objects("power", MostPower) {
		e := Power{At: readMoment(o, "at"), Back: o.Yes("back"), SOC: o.Maybe("soc", SOCRange)}
		if e.SOC != nil {
			low := o.Number("soc_low", SOCRange, *e.SOC)
			if e.SOCLow = &low; low > *e.SOC {
				o.Fail("soc_low", doc.Number(low), "at most soc, "+doc.Number(*e.SOC))
			}
		}
		inOrder(o, e.At)
		e.Unknown = o.Unknown()
		g.Power = append(g.Power, e)
	}
	return g
}

func (g Log) write(w *doc.Writer) {
	var list []*doc.Writer
	for _, e := range g.Readings {
		o := new(doc.Writer)
		o.Text("at", e.At.String())
		o.Number("soc", e.SOC, -1)
		o.Number("soc_low", e.SOCLow, e.SOC)
		o.Keep(e.Unknown)
		list = append(list, o)
	}
	w.Objects("readings", list)
	list = nil
	for _, e := range g.Switches {
		o := new(doc.Writer)
		o.Text("at", e.At.String())
		o.Text("load", e.Load)
		o.Yes("on", e.On)
		o.Keep(e.Unknown)
		list = append(list, o)
	}
	w.Objects("switches", list)
	list = nil
	for _, e := range g.Power {
		o := new(doc.Writer)
		o.Text("at", e.At.String())
		o.Yes("back", e.Back)
		o.Maybe("soc", e.SOC)
		if e.SOC != nil && e.SOCLow != nil {
			o.Number("soc_low", *e.SOCLow, *e.SOC)
		}
		o.Keep(e.Unknown)
		list = append(list, o)
	}
	w.Objects("power", list)
}
