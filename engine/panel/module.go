// Package panel knows solar panels as electric sources: what a panel's voltage
// does in the cold and in the heat, and how a few panels may be wired to the
// input of a supply without damaging it.
//
// It holds for panels of crystalline silicon, facing any way; light and yield
// are the business of package sun. Where a figure is not known, the guess is
// the one that warns sooner: a high open-circuit voltage, a low voltage under
// load.
package panel

import (
	"candleclock/engine/units"
)

// Module is a panel with every figure known or guessed: make one with FromLabel
// or FromWattsAndCells. Conditions are those of Label.
type Module struct {
	Pmax units.Watts
	Vmp  units.Volts
	Imp  units.Amps
	Voc  units.Volts
	Isc  units.Amps

	VocPct  *float64 // % per °C; nil when unknown: then the code's table stands in
	PmaxPct float64  // % per °C
	NOCT    units.Celsius

	Guessed []Guess // what did not stand on the label
}

// Guess is a figure that a label did not say and what it was taken from.
type Guess struct {
	Field string // as the plan file names it
	From  string // where the value comes from
}

// What stands in for a figure that the label does not say.
const (
	// DefaultPmaxPct is the loss of power with heat, % per °C, of a standard
	// crystalline module: NREL/TP-6A20-62641 (2014), from memory. Modern ones
	// lose less, -0.26 to -0.40.
	DefaultPmaxPct = -0.47
	// DefaultNOCT, °C, is at the warm end of the usual 45 ± 3 (common practice).
	DefaultNOCT units.Celsius = 48

	// Ratios of crystalline modules, common practice: Vmp/Voc runs from 0.78 to
	// 0.85 and Isc/Imp from 1.05 to 1.08. Each is taken at its wary end.
	vmpPerVoc = 0.78
	iscPerImp = 1.10

	// Volts a cell, from memory. Voc runs from 0.61 to 0.64 in old cells, 0.67
	// to 0.69 in PERC, 0.73 in heterojunction ones: nobody can see which, so
	// the highest is taken. Vmp is that of old cells, 0.50 to 0.52.
	cellVoc = 0.73
	cellVmp = 0.50

	// mostWhole is the most whole cells a panel has; a panel that shows more
	// has half-cut cells, two halves side by side: 120 are as 60, 144 as 72.
	mostWhole = 100
)

// FromLabel completes a label: what it does not say is guessed, on the wary
// side, and listed in Guessed. The label must be one that Read accepts.
func FromLabel(l Label) Module {
	m := Module{Pmax: l.Pmax, Vmp: l.Vmp, Imp: l.Imp, Voc: l.Voc, Isc: l.Isc, VocPct: l.VocPct}
	if m.Pmax == 0 {
		m.Pmax = units.Watts(float64(l.Vmp) * float64(l.Imp))
		m.guess("pmax_w", "vmp_v × imp_a")
	}
	if m.Voc == 0 && m.Vmp == 0 {
		m.voltsByCells(l.Cells)
	}
	switch {
	case m.Vmp == 0 && m.Imp > 0:
		m.Vmp = units.Volts(float64(m.Pmax) / float64(m.Imp))
		m.guess("vmp_v", "pmax_w ÷ imp_a")
	case m.Vmp == 0:
		m.Vmp = units.Volts(vmpPerVoc * float64(m.Voc))
		m.guess("vmp_v", "78 % of voc_v, common practice")
	}
	if m.Voc == 0 {
		m.Voc = units.Volts(float64(m.Vmp) / vmpPerVoc)
		m.guess("voc_v", "vmp_v ÷ 0.78, common practice")
	}
	if m.Imp == 0 {
		m.Imp = units.Amps(float64(m.Pmax) / float64(m.Vmp))
		m.guess("imp_a", "pmax_w ÷ vmp_v")
	}
	if m.Isc == 0 {
		m.Isc = iscPerImp * m.Imp
		m.guess("isc_a", "1.10 × imp_a, common practice")
	}
	if m.VocPct == nil {
		m.guess("voc_pct_per_c", "NFPA 70 Table 690.7(A)")
	}
	if m.PmaxPct = DefaultPmaxPct; l.PmaxPct != nil {
		m.PmaxPct = *l.PmaxPct
	} else {
		m.guess("pmax_pct_per_c", "-0.47, NREL/TP-6A20-62641, from memory")
	}
	if m.NOCT = DefaultNOCT; l.NOCT != nil {
		m.NOCT = *l.NOCT
	} else {
		m.guess("noct_c", "48 °C, common practice")
	}
	return m
}

// FromWattsAndCells guesses a panel whose label is gone from its power and the
// cells counted on its glass, 1 to 200. More than 100 are taken for half-cut
// cells. Voc is the highest that such a panel can have, so that a layout that
// passes, passes for any; a meter held across the panel in the sun tells the
// true one.
func FromWattsAndCells(watts units.Watts, cells int) Module {
	return FromLabel(Label{Pmax: watts, Cells: cells})
}

func (m *Module) voltsByCells(cells int) {
	if cells > mostWhole {
		cells = (cells + 1) / 2
	}
	m.Voc = units.Volts(cellVoc * float64(cells))
	m.guess("voc_v", "0.73 V a cell, the highest of crystalline cells, from memory")
	m.Vmp = units.Volts(cellVmp * float64(cells))
	m.guess("vmp_v", "0.50 V a cell, from memory")
}

func (m *Module) guess(field, from string) {
	m.Guessed = append(m.Guessed, Guess{field, from})
}
