package panel

import (
	"math"

	"candleclock/engine/units"
)

// row is one string seen from its ends. Between its maximum power point and its
// open circuit the current is taken to fall on a straight line, and below that
// point not to rise: every real curve is concave and lies above, so what is
// reckoned from it is never too much.
type row struct {
	na, nb  int // panels of the first and the second set
	voc     units.Volts
	vmp     units.Volts
	imp     units.Amps
	isc     units.Amps
	vocCold units.Volts
	vmpHot  units.Volts
	pmax    units.Watts
}

// bunch is a number of equal rows in parallel.
type bunch struct {
	row
	parallel int
}

// newRow puts i panels a and j panels b in series: voltages add, and the weaker
// panel sets the current at work. In a short circuit the stronger one can drive
// its own current through the weaker one's bypass diode, so isc is the larger.
func newRow(a Module, i int, b Module, j int, air Extremes) row {
	r := row{na: i, nb: j, imp: units.Amps(math.Inf(1))}
	for _, part := range []struct {
		m Module
		n int
	}{{a, i}, {b, j}} {
		if part.n == 0 {
			continue
		}
		n := float64(part.n)
		r.voc += units.Volts(n) * part.m.Voc
		r.vmp += units.Volts(n) * part.m.Vmp
		r.vocCold += units.Volts(n) * part.m.ColdVoc(air.Low)
		r.vmpHot += units.Volts(n) * part.m.HotVmp(air.High)
		r.pmax += units.Watts(n) * part.m.Pmax
		r.isc = max(r.isc, part.m.Isc)
		// The current that makes the rated power, so that watts stay the label's.
		r.imp = min(r.imp, units.Amps(float64(part.m.Pmax)/float64(part.m.Vmp)))
	}
	return r
}

// amps is the current of the row at a voltage.
func (r row) amps(v units.Volts) units.Amps {
	if v <= r.vmp {
		return r.imp
	}
	return units.Amps(float64(r.imp) * max(0, float64((r.voc-v)/(r.voc-r.vmp))))
}

// newLayout wires the bunches side by side and judges the result. Panels of the
// second set are numbered after na.
func newLayout(bunches []bunch, na int, in Input, air Extremes) Layout {
	var l Layout
	nextA, nextB := 1, na+1
	l.VmpHot = units.Volts(math.Inf(1))
	for _, b := range bunches {
		for range b.parallel {
			s := make(String, 0, b.na+b.nb)
			for range b.na {
				s, nextA = append(s, nextA), nextA+1
			}
			for range b.nb {
				s, nextB = append(s, nextB), nextB+1
			}
			l.Strings = append(l.Strings, s)
		}
		l.Array += b.pmax * units.Watts(b.parallel)
		l.Isc += CodeCurrent(b.isc, b.parallel)
		// The highest open string stands at the input; the lowest at work must
		// still wake it.
		l.VocCold = max(l.VocCold, b.vocCold)
		l.VmpHot = min(l.VmpHot, b.vmpHot)
	}
	// One voltage for all: the best is at the maximum power point of one of them.
	low, high := bunches[0].vmp, bunches[0].vmp
	for _, b := range bunches {
		low, high = min(low, b.vmp), max(high, b.vmp)
		var i units.Amps
		for _, c := range bunches {
			i += c.amps(b.vmp) * units.Amps(c.parallel)
		}
		l.offered = max(l.offered, power(b.vmp, i))
		l.usable = max(l.usable, in.takes(b.vmp, i))
	}
	l.Mismatch = max(0, 1-float64(l.offered)/float64(l.Array))
	if l.Mismatch < 1e-9 { // rounding
		l.Mismatch = 0
	}
	l.Unmatched = float64(low) < (1-MatchTolerance)*float64(high)
	l.judge(in)
	return l
}

func power(v units.Volts, i units.Amps) units.Watts { return units.Watts(float64(v) * float64(i)) }
