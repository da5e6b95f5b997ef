package battery

import "candleclock/engine/units"

// point is the share of the capacity on the label that a battery gives at c.
type point struct{ c, share float64 }

// coldLead is 1/kt, with kt the cell-size correction factor for electrolyte
// temperature of IEEE Std 485-2010 Table 1 (base 25 °C), at the same points.
// Above 25 °C the table gives more than the rated capacity; that is not
// counted on. The points at −3.9, −1.1 and 1.7 °C are from memory.
var coldLead = []point{
	{-3.9, 1 / 1.52}, {-1.1, 1 / 1.43}, {1.7, 1 / 1.35}, {4.4, 1 / 1.30}, {7.2, 1 / 1.25},
	{10.0, 1 / 1.19}, {12.8, 1 / 1.15}, {15.6, 1 / 1.11}, {18.3, 1 / 1.08}, {20.0, 1 / 1.056},
	{21.1, 1 / 1.04}, {22.2, 1 / 1.029}, {23.9, 1 / 1.011}, {25.0, 1},
}

// coldLFP and coldNMC are capacities at about a third of the capacity per
// hour, middle of papers and data sheets (from memory, ±0.08). The capacity on the
// label of lithium cells is that at 20 °C (IEC 61960 rates at 20 ± 5 °C, from
// memory), so that a room of 20 °C takes nothing off it.
var (
	coldLFP = []point{{-20, 0.60}, {-10, 0.75}, {0, 0.87}, {10, 0.95}, {20, 1}}
	coldNMC = []point{{-20, 0.65}, {-10, 0.80}, {0, 0.90}, {10, 0.96}, {20, 1}}
)

// ColdFactor is the share of the capacity on its label, 0..1, that a battery at t
// gives: linear between the points of the chemistry's table, 1 above it. Below
// the table the last slope goes on down, never up.
func (c Chemistry) ColdFactor(t units.Celsius) float64 {
	table := c.cell().cold
	last := len(table) - 1
	if float64(t) >= table[last].c {
		return table[last].share
	}
	i := 1
	for i < last && float64(t) > table[i].c {
		i++
	}
	a, b := table[i-1], table[i]
	return max(0, b.share+(float64(t)-b.c)*(b.share-a.share)/(b.c-a.c))
}
