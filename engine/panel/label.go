package panel

import (
	"math"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// Label is a panel as its label tells it, the plan's panels.module. All figures
// are at standard test conditions (1000 W/m², cell at 25 °C, AM 1.5: IEC 61215)
// and of one panel. A zero, or nil, is a figure that the label does not say.
type Label struct {
	Pmax units.Watts // rated power
	Vmp  units.Volts // at the maximum power point
	Imp  units.Amps
	Voc  units.Volts // open circuit
	Isc  units.Amps  // short circuit

	VocPct  *float64       // change of Voc, % per °C; negative
	PmaxPct *float64       // change of Pmax, % per °C; negative
	NOCT    *units.Celsius // nominal operating cell temperature

	Cells int // counted on the glass, for a panel whose label is gone

	Unknown doc.Unknown
}

// What each number of a label may be. The range of VocPct is narrow on purpose:
// a fraction typed for a percentage (-0.0029 for -0.29) would hide the danger
// of a cold morning, so it is refused.
var (
	PmaxRange    = doc.Range{Low: 0.5, High: 2000, Unit: "W"}
	VoltsRange   = doc.Range{Low: 0.5, High: 300, Unit: "V"}
	AmpsRange    = doc.Range{Low: 0.01, High: 50, Unit: "A"}
	VocPctRange  = doc.Range{Low: -0.6, High: -0.1, Unit: "% per °C"}
	PmaxPctRange = doc.Range{Low: -0.8, High: -0.1, Unit: "% per °C"}
	NOCTRange    = doc.Range{Low: 35, High: 70, Unit: "°C"}
	CellsRange   = doc.Range{Low: 1, High: 200, Unit: "cells"}
)

// labelSlack is how far Pmax may lie from Vmp × Imp before one of the three
// must be mistyped. Labels round, and folding panels round up.
const labelSlack = 0.2

// Read reads a label; r.Err tells what cannot stand. It must give a power
// (pmax_w, or vmp_v with imp_a) and a voltage (voc_v or vmp_v) or the cells.
func Read(r *doc.Reader) Label {
	l := Label{
		Pmax:    units.Watts(r.Number("pmax_w", PmaxRange, 0)),
		Vmp:     units.Volts(r.Number("vmp_v", VoltsRange, 0)),
		Imp:     units.Amps(r.Number("imp_a", AmpsRange, 0)),
		Voc:     units.Volts(r.Number("voc_v", VoltsRange, 0)),
		Isc:     units.Amps(r.Number("isc_a", AmpsRange, 0)),
		VocPct:  r.Maybe("voc_pct_per_c", VocPctRange),
		PmaxPct: r.Maybe("pmax_pct_per_c", PmaxPctRange),
		Cells:   r.Whole("cells", CellsRange, 0),
	}
	if t := r.Maybe("noct_c", NOCTRange); t != nil {
		c := units.Celsius(*t)
		l.NOCT = &c
	}
	l.Unknown = r.Unknown()
	if r.Err() == nil {
		l.check(r)
	}
	return l
}

// check refuses a label that no panel can bear.
func (l Label) check(r *doc.Reader) {
	power := float64(l.Vmp) * float64(l.Imp)
	switch {
	case l.Pmax == 0 && power == 0:
		r.Fail("pmax_w", "", "there, "+PmaxRange.String())
	case l.Voc == 0 && l.Vmp == 0 && l.Cells == 0:
		r.Fail("voc_v", "", "there, "+VoltsRange.String())
	case l.Voc > 0 && l.Vmp >= l.Voc:
		r.Fail("voc_v", doc.Number(float64(l.Voc)), "above vmp_v, "+doc.Number(float64(l.Vmp))+" V")
	case l.Isc > 0 && l.Imp > l.Isc:
		r.Fail("isc_a", doc.Number(float64(l.Isc)), "at least imp_a, "+doc.Number(float64(l.Imp))+" A")
	case l.Pmax > 0 && power > 0 && math.Abs(float64(l.Pmax)-power) > labelSlack*float64(l.Pmax):
		r.Fail("pmax_w", doc.Number(float64(l.Pmax)), "within 20 % of vmp_v × imp_a, "+doc.Number(math.Round(power))+" W")
	case l.Voc > 0 && l.Vmp == 0 && l.Imp > 0 && float64(l.Pmax) >= float64(l.Voc)*float64(l.Imp):
		r.Fail("voc_v", doc.Number(float64(l.Voc)), "above pmax_w ÷ imp_a, "+doc.Number(math.Round(float64(l.Pmax)/float64(l.Imp)))+" V")
	}
}

// Known reports whether the label tells anything.
func (l Label) Known() bool {
	return l.Pmax != 0 || l.Vmp != 0 || l.Imp != 0 || l.Voc != 0 || l.Isc != 0 || l.Cells != 0
}

// Write writes what Read reads.
func (l Label) Write() *doc.Writer {
	w := new(doc.Writer)
	w.Number("pmax_w", float64(l.Pmax), 0)
	w.Number("vmp_v", float64(l.Vmp), 0)
	w.Number("imp_a", float64(l.Imp), 0)
	w.Number("voc_v", float64(l.Voc), 0)
	w.Number("isc_a", float64(l.Isc), 0)
	w.Maybe("voc_pct_per_c", l.VocPct)
	w.Maybe("pmax_pct_per_c", l.PmaxPct)
	w.Maybe("noct_c", (*float64)(l.NOCT))
	w.Number("cells", float64(l.Cells), 0)
	w.Keep(l.Unknown)
	return w
}
