package aids

import (
	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// GeneratorSource is what every generator figure owes its reader.
var GeneratorSource = Source{
	Cite: "Placing: US CPSC and CDC, at least 6 m (20 ft) from doors, windows and vents; NIST found up to 25 ft needed. Fuel: linear (Willans) law; what a usual set burns is common practice",
	Caution: "Outside only, never in a garage or on a balcony: its exhaust kills unseen. " +
		"Let it cool before filling. Never feed it into a house circuit.",
}

// GeneratorDistance is the least distance, m, of a generator from any opening
// of a house (CPSC, CDC: 20 ft).
const GeneratorDistance = 6.0

// Willans is the fuel use of an engine, a straight line in its load: what it
// burns to turn, and what each kilowatt-hour costs on top.
type Willans struct {
	IdleLPerH float64 // litres an hour with no load
	LPerKWh   float64 // litres a kilowatt-hour above that
}

// FuelPoint is a measured or printed fuel use.
type FuelPoint struct {
	Load  units.Watts
	LPerH float64
}

// LineThrough is the line through two points. Fuel must rise with load, and by
// no more than in proportion: otherwise it is an error that names the field.
func LineThrough(a, b FuelPoint) (Willans, error) {
	if a.Load > b.Load {
		a, b = b, a
	}
	if a.Load == b.Load {
		return Willans{}, &doc.Error{Field: "load_w", Value: doc.Number(float64(b.Load)), Want: "two different loads"}
	}
	slope := (b.LPerH - a.LPerH) / float64(b.Load-a.Load) * 1000
	w := Willans{IdleLPerH: a.LPerH - slope*float64(a.Load)/1000, LPerKWh: slope}
	if slope <= 0 || w.IdleLPerH < 0 {
		return Willans{}, &doc.Error{Field: "l_per_h", Value: doc.Number(b.LPerH),
			Want: "above " + doc.Number(a.LPerH) + " L/h, and by no more than in proportion to the load"}
	}
	return w, nil
}

// UsualPetrol is the line of a portable petrol generator of a rated power, where
// nothing better is known: with no load it burns three eighths of what it burns
// at full load, 0.8 litres a kilowatt-hour (common practice: a third to a half,
// and 0.6 to 0.9). That full load turns a seventh of the fuel's energy, see
// Fuels, into electricity. Inverter sets near half load burn less, 0.4 to 0.6
// litres a kilowatt-hour (from memory).
func UsualPetrol(rated units.Watts) Willans {
	return Willans{IdleLPerH: usualIdle * float64(rated) / 1000, LPerKWh: usualSlope}
}

const (
	LitresPerGallon = 3.785411784 // US gallon

	usualIdle  = 0.3 // litres an hour a kilowatt of the rating
	usualSlope = 0.5 // litres a kilowatt-hour
)

// LPerH is the fuel burned an hour at a load, W, of 0 and more.
func (w Willans) LPerH(load units.Watts) float64 {
	return w.IdleLPerH + w.LPerKWh*float64(load)/1000 // c = i + p·w
}

// PerKWh is the fuel that a kilowatt-hour costs at a load above 0: it falls as
// the load rises, since the idle share is spread.
func (w Willans) PerKWh(load units.Watts) float64 {
	return w.LPerH(load) / (float64(load) / 1000)
}

// Litres is the fuel for an energy drawn over a time, however the load went up
// and down in it: a straight line needs to know no more.
func (w Willans) Litres(e units.WattHours, t units.Hours) float64 {
	return w.IdleLPerH*float64(t) + w.LPerKWh*float64(e)/1000
}

// Fuel is a fuel and the energy in it.
type Fuel struct {
	Name    string
	KWhPerL float64 // lower heating value
}

// FuelSource is what Fuels rests on.
var FuelSource = Source{
	Cite:    "California Energy Commission CEC-600-2007-002-D Table 2-5, lower heating value; other agencies differ by up to 4 %",
	Caution: "Petrol stored for months spoils, and no fuel is kept indoors.",
}

// Fuels is the energy content of the common fuels. A portable set turns a tenth
// to a quarter of it into electricity (common practice).
var Fuels = []Fuel{{"petrol", 8.66}, {"diesel", 9.87}, {"propane", 6.44}}
