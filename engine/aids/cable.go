package aids

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// CableSource is what cable drop rests on.
var CableSource = Source{
	Cite:    "NFPA 70 (2020) Chapter 9 Table 8; IEC 60228 Tables 1 to 3",
	Caution: "A small drop is not enough: the cable must also carry its current without overheating. Local code comes first.",
}

// Make is how a conductor is built.
type Make int

// The makes of conductor.
const (
	Solid    Make = iota // one wire; IEC 60228 class 1, and class 2, which is bound by the same figures
	Stranded             // many fine ones, as in cords and panel leads; IEC 60228 class 5
)

// Conductor is one copper conductor of a cable.
type Conductor struct {
	Name  string
	ohmKm float64       // resistance, Ω/km, at the temperature at
	at    units.Celsius // which of the tables' two it is
	alpha float64       // change of resistance, share per °C, from there
}

// CableTempRange is how warm a conductor may be.
var CableTempRange = doc.Range{Low: -40, High: 105, Unit: "°C"}

// OhmPerKm is the resistance, Ω/km of one conductor, at a conductor
// temperature in CableTempRange.
func (c Conductor) OhmPerKm(t units.Celsius) float64 {
	return c.ohmKm * (1 + c.alpha*float64(t-c.at)) // R₂ = R₁(1 + α(T₂ − T₁))
}

const metresPerKft = 304.8

// awgTable is NFPA 70 Chapter 9 Table 8: uncoated copper, direct current, 75 °C,
// Ω per 1000 ft. Zero: not made so, or not in the table.
var awgTable = []struct {
	size            string
	solid, stranded float64
}{
	{"18", 7.77, 7.95}, {"16", 4.89, 4.99}, {"14", 3.07, 3.14}, {"12", 1.93, 1.98},
	{"10", 1.21, 1.24}, {"8", 0.764, 0.778}, {"6", 0, 0.491}, {"4", 0, 0.308},
	{"3", 0, 0.245}, {"2", 0, 0.194}, {"1", 0, 0.154}, {"1/0", 0, 0.122},
	{"2/0", 0, 0.0967}, {"3/0", 0, 0.0766}, {"4/0", 0, 0.0608},
}

// AWG returns the copper conductor of a gauge, "18" to "4/0". Solid ones are
// made to "8".
func AWG(size string, m Make) (Conductor, error) {
	for _, row := range awgTable {
		ohm := row.solid
		if m == Stranded {
			ohm = row.stranded
		}
		if row.size == size && ohm > 0 {
			// 0.00323 per °C from 75 °C: Table 8 note 2, from memory.
			return Conductor{size + " AWG", ohm / metresPerKft * 1000, 75, 0.00323}, nil
		}
	}
	return Conductor{}, &doc.Error{Field: "awg", Value: strconv.QuoteToASCII(size),
		Want: "one of 18, 16, 14, 12, 10, 8, and stranded also 6, 4, 3, 2, 1, 1/0, 2/0, 3/0, 4/0"}
}

// metricTable is IEC 60228: the greatest resistance of plain copper at 20 °C,
// Ω/km, of classes 1 and 2 (Tables 1, 2) and class 5 (Table 3).
var metricTable = []struct{ mm2, class2, class5 float64 }{
	{0.5, 36.0, 39.0}, {0.75, 24.5, 26.0}, {1, 18.1, 19.5}, {1.5, 12.1, 13.3},
	{2.5, 7.41, 7.98}, {4, 4.61, 4.95}, {6, 3.08, 3.3}, {10, 1.83, 1.91},
	{16, 1.15, 1.21}, {25, 0.727, 0.78}, {35, 0.524, 0.554}, {50, 0.387, 0.386},
	{70, 0.268, 0.272}, {95, 0.193, 0.206}, {120, 0.153, 0.161},
}

// SectionRange is what a cable's copper section may be.
var SectionRange = doc.Range{Low: 0.5, High: 120, Unit: "mm²"}

// Metric returns the copper conductor of a section in SectionRange. A section
// between two of the table counts as the smaller one.
func Metric(mm2 float64, m Make) (Conductor, error) {
	if err := SectionRange.Check("cable_mm2", mm2); err != nil {
		return Conductor{}, err
	}
	i, exact := slices.BinarySearchFunc(metricTable, mm2, func(row struct{ mm2, class2, class5 float64 }, v float64) int {
		return cmp.Compare(row.mm2, v)
	})
	if !exact {
		i-- // SectionRange starts at the first row
	}
	row := metricTable[i]
	ohm := row.class2
	if m == Stranded {
		ohm = row.class5
	}
	// 0.00393 per °C from 20 °C: copper (IEC 60228 Annex B rounds it to 0.004).
	return Conductor{fmt.Sprintf("%g mm²", row.mm2), ohm, 20, 0.00393}, nil
}

// Drop is what a cable costs.
type Drop struct {
	Volts units.Volts // lost on the way there and back
	Share float64     // of the voltage at the source; above 1 the cable cannot carry it
	Watts units.Watts // turned to heat in the cable
}

// MostDrop is the share of voltage that a run may lose before the next size up
// is advised: 3 % (NFPA 70 210.19(A) informational note, from memory).
const MostDrop = 0.03

// What a cable run may be.
var (
	CableLengthRange = doc.Range{Low: 0, High: 1000, Unit: "m"}
	CableAmpsRange   = doc.Range{Low: 0, High: 500, Unit: "A"}
)

// CableDrop is the drop of a two-conductor cable, metres long one way, that
// carries a current from a source voltage, its copper at t °C. It holds for
// direct current, and for single-phase alternating current to 16 mm² or 6 AWG,
// where reactance is small beside resistance; a power factor below 1 is left
// out there, which reads a little high.
func CableDrop(c Conductor, metres float64, amps units.Amps, from units.Volts, t units.Celsius) Drop {
	v := units.Volts(2 * metres / 1000 * c.OhmPerKm(t) * float64(amps)) // 2·L·R·I
	return Drop{Volts: v, Share: float64(v) / float64(from), Watts: units.Watts(float64(v) * float64(amps))}
}
