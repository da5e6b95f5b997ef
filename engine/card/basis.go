package card

import (
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Basis is what the figures were reckoned for. When one of these changes, the
// card must be made anew.
type Basis struct {
	Supply    string // its name, "" where it has none
	Capacity  units.WattHours
	Chemistry string // in plain words
	Lead      bool
	AgeYears  float64
	Cycles    float64
	Measured  bool // the health of the battery was measured, not estimated
	Room      units.Celsius
	MayCharge bool // the room is not too cold for charging

	// In a room at ColdRoom the hours are shorter by the share ColdLess. It is 0
	// where it makes no difference, or where a ladder has no hours to shorten.
	ColdRoom units.Celsius
	ColdLess float64

	Loads, LoadsMeasured int // that the hours count; how many of them were measured
}

// coldRoom is an unheated room in winter; where the room is that cold already, be
// it by night, ten degrees less are told.
const coldRoom units.Celsius = 5

func basisOf(p plan.Plan, l Ladder, s *odds.Sampler) Basis {
	b := p.Supply.Battery
	out := Basis{
		Supply: p.Supply.Name, Capacity: b.Capacity, Chemistry: b.Chemistry.Name(), Lead: b.Chemistry.Lead(),
		AgeYears: b.AgeYears, Cycles: b.Cycles, Measured: b.Health != nil,
		Room: b.Room, MayCharge: b.Chemistry.MayCharge(b.Room), ColdRoom: coldRoom,
	}
	coldest := b.Room // of what the ladder counts with
	if b.Night != nil {
		coldest = units.Celsius(*b.Night)
	}
	if coldest <= coldRoom {
		out.ColdRoom = coldest - 10
	}
	out.ColdLess = l.lessInCold(p, s, out.ColdRoom)
	if len(l.Sets) > 0 { // the first has the most on
		for _, i := range l.Sets[0].Loads {
			out.Loads++
			if p.Loads[i].Basis == load.Measured {
				out.LoadsMeasured++
			}
		}
	}
	return out
}
