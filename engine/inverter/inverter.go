// Package inverter knows what mains power from a battery costs: the draw of
// the inverter with nothing plugged in, its loss under load, and the power at
// which it gives up. Every default leans to the wary side.
package inverter

import (
	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// Inverter is one inverter as a plan tells it. A nil figure is one the person
// does not know; the method that answers for it counts with a wary usual one.
// Copies share what the pointers point to, so it is replaced, never written
// through.
type Inverter struct {
	Continuous   units.Watts // what it gives for hours; 0: not known
	ContinuousVA *float64    // the same as apparent power, VA
	SurgeW       *float64    // what it gives for SurgeS
	SurgeS       *float64    // seconds
	IdleW        *float64    // W drawn from the battery, switched on and empty

	// Efficiency is AC out over DC in, idle draw and all, at EfficiencyAtW;
	// Efficiency2 is the same at a second power, used only if both are known.
	Efficiency     *float64
	EfficiencyAtW  *float64
	Efficiency2    *float64
	Efficiency2AtW *float64

	// OffWhenUnused says that its owner switches it off when nothing that needs
	// it is due.
	OffWhenUnused bool

	Unknown doc.Unknown
}

// What each number of an inverter may be.
var (
	ContinuousRange   = doc.Range{Low: 1, High: 100000, Unit: "W"}
	ContinuousVARange = doc.Range{Low: 1, High: 100000, Unit: "VA"}
	SurgeRange        = doc.Range{Low: 1, High: 300000, Unit: "W"}
	SurgeTimeRange    = doc.Range{Low: 0, High: 60, Unit: "seconds"}
	IdleRange         = doc.Range{Low: 0, High: 1000, Unit: "W"}
	EfficiencyRange   = doc.Range{Low: 0.3, High: 1}
	EfficiencyAtRange = doc.Range{Low: 1, High: 100000, Unit: "W"}
)

// Read reads an inverter; r.Err tells what cannot stand.
func Read(r *doc.Reader) Inverter {
	v := Inverter{
		Continuous:     units.Watts(r.Number("continuous_w", ContinuousRange, 0)),
		ContinuousVA:   r.Maybe("continuous_va", ContinuousVARange),
		SurgeW:         r.Maybe("surge_w", SurgeRange),
		SurgeS:         r.Maybe("surge_s", SurgeTimeRange),
		IdleW:          r.Maybe("idle_w", IdleRange),
		Efficiency:     r.Maybe("efficiency", EfficiencyRange),
		EfficiencyAtW:  r.Maybe("efficiency_at_w", EfficiencyAtRange),
		Efficiency2:    r.Maybe("efficiency_2", EfficiencyRange),
		Efficiency2AtW: r.Maybe("efficiency_2_at_w", EfficiencyAtRange),
		OffWhenUnused:  r.Yes("off_when_unused"),
	}
	v.Unknown = r.Unknown()
	return v
}

// Write writes what Read reads.
func (v Inverter) Write() *doc.Writer {
	w := new(doc.Writer)
	w.Number("continuous_w", float64(v.Continuous), 0)
	w.Maybe("continuous_va", v.ContinuousVA)
	w.Maybe("surge_w", v.SurgeW)
	w.Maybe("surge_s", v.SurgeS)
	w.Maybe("idle_w", v.IdleW)
	w.Maybe("efficiency", v.Efficiency)
	w.Maybe("efficiency_at_w", v.EfficiencyAtW)
	w.Maybe("efficiency_2", v.Efficiency2)
	w.Maybe("efficiency_2_at_w", v.Efficiency2AtW)
	w.Yes("off_when_unused", v.OffWhenUnused)
	w.Keep(v.Unknown)
	return w
}

// or is the known figure, or the usual one.
func or(known *float64, usual float64) float64 {
	if known != nil {
		return *known
	}
	return usual
}

// Idle is the draw from the battery, switched on with nothing plugged in: as
// told, else 1.5 % of the continuous power and at least 5 W. Inverters that run
// from a battery draw 0.5 to 2 % (common practice); the upper half is taken.
func (v Inverter) Idle() units.Watts {
	usual := min(max(0.015*float64(v.Continuous), 5), IdleRange.High)
	return units.Watts(or(v.IdleW, usual))
}

// usualEfficiency is counted with at half the continuous power when no
// efficiency is known: common practice, the lower end of 0.85 to 0.92.
const usualEfficiency = 0.85

// Point is an efficiency, idle draw and all, at an AC power.
type Point struct {
	At         units.Watts
	Efficiency float64
}

// Point is the first efficiency point; where its power is not told it is half
// the continuous one, and where that is not known either, the least one there
// can be, from which the loss grows steeply.
func (v Inverter) Point() Point {
	return Point{
		At:         units.Watts(or(v.EfficiencyAtW, max(float64(v.Continuous)/2, EfficiencyAtRange.Low))),
		Efficiency: or(v.Efficiency, usualEfficiency),
	}
}

// Limits is what an inverter will carry.
type Limits struct {
	Continuous   units.Watts
	ContinuousVA units.VoltAmps
	Surge        units.Watts // for SurgeS seconds
	SurgeS       float64     // 0: none is counted on
}

// spare is the share of each limit that is kept free: a label is for a cool unit
// and a full battery, and no draw is known to a tenth (common practice: an
// inverter is not loaded to the last of its rating).
const spare = 0.1

// Spared is what may be asked of the limits with a tenth of each to spare.
func (l Limits) Spared() Limits {
	l.Continuous *= 1 - spare
	l.ContinuousVA *= 1 - spare
	l.Surge *= 1 - spare
	return l
}

// SurgeVA is Surge in volt-amperes: as the same number, so that a start of poor
// power factor gets no credit, and no less than is carried for long.
func (l Limits) SurgeVA() units.VoltAmps {
	return max(units.VoltAmps(l.Surge), l.ContinuousVA)
}

// startTakes is for how long a motor draws what it starts with, seconds: common
// practice, a compressor's half a second; a heavy one may take longer.
const startTakes = 0.5

// Limits is what v will carry. Unknown apparent power is taken as the same
// number as the real one, so a load of poor power factor gets no credit. With
// no surge told none is counted on, nor is one that is told to be over before a
// motor has started. One told without a time is taken to last that long. A surge
// below the continuous power is a slip; the smaller of the two then holds for both.
func (v Inverter) Limits() Limits {
	surge := units.Watts(or(v.SurgeW, float64(v.Continuous)))
	l := Limits{
		Continuous:   min(v.Continuous, surge),
		ContinuousVA: units.VoltAmps(or(v.ContinuousVA, float64(v.Continuous))),
		Surge:        surge,
	}
	if v.SurgeW == nil {
		return l
	}
	if l.SurgeS = or(v.SurgeS, startTakes); l.SurgeS < startTakes {
		l.Surge, l.SurgeS = l.Continuous, 0
	}
	return l
}

// Free is v with its losses and without its limits: to follow what it would take
// to run something that it may not carry.
func (v Inverter) Free() Inverter {
	idle, at := float64(v.Idle()), v.Point()
	v.IdleW, v.EfficiencyAtW, v.Efficiency = &idle, new(float64(at.At)), &at.Efficiency
	v.Continuous, v.ContinuousVA = units.Watts(ContinuousRange.High), new(ContinuousVARange.High)
	v.SurgeW, v.SurgeS = new(SurgeRange.High), nil
	return v
}
