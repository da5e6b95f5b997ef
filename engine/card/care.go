package card

import (
	"strings"

	"candleclock/engine/aids"
	"candleclock/engine/load"
	"candleclock/engine/units"
)

// Food is how long food keeps in what is in the plan, switched on or not, with
// its door shut (aids.FoodSource). A zero stands where the plan has none of it.
type Food struct {
	Fridge                   units.Hours
	FreezerFull, FreezerHalf units.Hours
	Medicine                 bool // a fridge for medicine: its leaflet and its pharmacist decide
}

// Nothing reports whether the plan keeps nothing cold.
func (f Food) Nothing() bool { return f == Food{} }

// FoodOf is the food that loads keep cold. It goes by the name: what a thing is
// called is all that a plan says of what it is.
func FoodOf(loads []load.Load) Food {
	var f Food
	for _, l := range loads {
		name := strings.ToLower(l.Name)
		fridge := called(name, "fridge", "refrigerator", "icebox")
		switch {
		case fridge && called(name, "medicine", "insulin", "vaccine"):
			f.Medicine = true
		case fridge:
			f.Fridge = aids.Fridge
		}
		if called(name, "freezer", "deep freeze") {
			f.FreezerFull, f.FreezerHalf = aids.FreezerFull, aids.FreezerHalf
		}
	}
	return f
}

// called reports whether a name in lower case holds one of the words.
func called(name string, words ...string) bool {
	for _, w := range words {
		if strings.Contains(name, w) {
			return true
		}
	}
	return false
}

// Oxygen is what to know of the cylinders that stand in for a concentrator:
// minutes = (gauge − Reserve) × factor ÷ flow in litres a minute, psi
// (aids.OxygenSource).
type Oxygen struct {
	Load      int
	Name      string
	Reserve   float64 // psi
	Cylinders []aids.Cylinder
}

func oxygenOf(loads []load.Load) *Oxygen {
	for i, l := range loads {
		if called(strings.ToLower(l.Name), "oxygen", "concentrator") {
			return &Oxygen{Load: i, Name: l.Name, Reserve: aids.OxygenReserve, Cylinders: aids.Cylinders}
		}
	}
	return nil
}

// linesOf labels the blank lines to be filled in by hand: who to call before a
// vital thing stops (US FDA, home devices in power outages), and what someone
// else in the house must find.
func linesOf(loads []load.Load) []string {
	var out []string
	for _, l := range loads {
		if l.Rank == load.Vital {
			out = append(out, "Supplier of what is vital")
			break
		}
	}
	return append(out, "Neighbour or family", "Power company", "Where the meter is")
}
