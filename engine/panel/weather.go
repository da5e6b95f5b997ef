package panel

import (
	"math"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// Extremes are the coldest and the hottest air a place has known. The cold
// counts at dawn, when the cell is as cold as the air.
type Extremes struct {
	Low, High units.Celsius
}

// What the extremes may be: the coldest and hottest ever met on Earth lie
// within.
var (
	LowRange  = doc.Range{Low: -90, High: 50, Unit: "°C"}
	HighRange = doc.Range{Low: -40, High: 60, Unit: "°C"}
)

// test is the cell temperature, °C, at which a label's figures hold (IEC 61215).
const test = 25

// coldFactor is NFPA 70 Table 690.7(A) (2008 to 2023), crystalline silicon: the
// factor on Voc by the lowest air temperature. Each row holds down to its
// temperature.
var coldFactor = []struct {
	downTo units.Celsius
	factor float64
}{
	{20, 1.02}, {15, 1.04}, {10, 1.06}, {5, 1.08}, {0, 1.10},
	{-5, 1.12}, {-10, 1.14}, {-15, 1.16}, {-20, 1.18}, {-25, 1.20},
	{-30, 1.21}, {-35, 1.23}, {-40, 1.25},
}

// beyondTable is the rise of Voc, share per °C, below the last row of the
// table: the steepest coefficient of crystalline modules, 0.36 %, from memory,
// rounded up. The code itself asks for the maker's figure there.
const beyondTable = 0.004

// ColdVoc is the open-circuit voltage of one panel at the lowest air
// temperature. A place that never falls below 25 °C gets the label's.
func (m Module) ColdVoc(low units.Celsius) units.Volts {
	if low >= test {
		return m.Voc
	}
	if m.VocPct != nil {
		// NFPA 70 690.7(A)(1): Voc × (1 + β(T − 25)).
		return units.Volts(float64(m.Voc) * (1 + *m.VocPct/100*float64(low-test)))
	}
	return units.Volts(float64(m.Voc) * tableFactor(low))
}

// tableFactor is the table's factor below 25 °C. A temperature between two rows
// counts to the colder one.
func tableFactor(low units.Celsius) float64 {
	for _, row := range coldFactor {
		if low >= row.downTo {
			return row.factor
		}
	}
	last := coldFactor[len(coldFactor)-1]
	return last.factor + beyondTable*float64(last.downTo-low)
}

// CellTemperature is the temperature of a cell in light of g W/m² and air of
// the temperature given, by Ross (1980): an open rack, no wind to speak of. A
// panel flat on a roof or a balcony runs hotter.
func CellTemperature(air units.Celsius, g float64, noct units.Celsius) units.Celsius {
	return air + (noct-20)/800*units.Celsius(g) // Tc = Ta + (NOCT − 20)/800 · G
}

// HotVmp is the voltage of one panel at its maximum power point in full sun
// (1000 W/m²) and the hottest air. Voltage is taken to fall with heat as power
// does, since the current at that point hardly changes.
func (m Module) HotVmp(high units.Celsius) units.Volts {
	cell := CellTemperature(high, 1000, m.NOCT)
	// P = P₀(1 + γ(Tc − 25)), NREL/TP-6A20-62641 eq. 8, read for Vmp.
	share := 1 + m.PmaxPct/100*float64(cell-test)
	return units.Volts(float64(m.Vmp) * math.Min(1, share))
}

// CodeCurrent is the current, A, that wire and fuse must be made for: 1.25 × Isc
// for each string in parallel (NFPA 70 690.8(A)(1)), since bright cloud edges
// give more than full sun. The wire's table ampacity must be 1.25 times that
// again (690.8(B)(1)).
func CodeCurrent(isc units.Amps, parallel int) units.Amps {
	return 1.25 * isc * units.Amps(parallel)
}
