package battery

import (
	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// Battery is one household battery as a plan tells it. A nil figure is one the
// person does not know; the chemistry's usual one stands in for it. Copies
// share what the pointers point to, so it is replaced, never written through.
type Battery struct {
	Chemistry Chemistry
	Capacity  units.WattHours // on the label
	AgeYears  float64
	Cycles    float64       // full charges and discharges so far
	Room      units.Celsius // where the battery stands
	Night     *float64      // °C there in the night, at most Room; nil: as by day

	Cutoff           *float64 // share of the capacity that the supply will not give
	StandsAt         *float64 // charge at which it usually stands, 0 to 1; nil: full
	Lowest           *float64 // °C below which it gives nothing, by its label
	Health           *float64 // measured: full capacity now over rated; replaces the estimate from age
	SelfDischarge    *float64 // share of the rated capacity per month
	Peukert          *float64 // exponent; nil is usual for lead, and means ohmic loss for lithium
	RatedHours       *float64 // length of the discharge that Capacity is told for
	ChargeEfficiency *float64 // energy out over energy in, round trip

	Unknown doc.Unknown
}

// What each number of a battery may be.
var (
	CapacityRange         = doc.Range{Low: 1, High: 1e6, Unit: "Wh"}
	AgeRange              = doc.Range{Low: 0, High: 40, Unit: "years"}
	CyclesRange           = doc.Range{Low: 0, High: 20000, Unit: "cycles"}
	RoomRange             = doc.Range{Low: -30, High: 60, Unit: "°C"}
	StandsAtRange         = doc.Range{Low: 0, High: 1}
	LowestRange           = doc.Range{Low: -60, High: 20, Unit: "°C"}
	CutoffRange           = doc.Range{Low: 0, High: 0.95}
	HealthRange           = doc.Range{Low: 0.1, High: 1}
	SelfDischargeRange    = doc.Range{Low: 0, High: 1}
	PeukertRange          = doc.Range{Low: 1, High: 2}
	RatedHoursRange       = doc.Range{Low: 1, High: 100, Unit: "hours"}
	ChargeEfficiencyRange = doc.Range{Low: 0.3, High: 1}
)

// DefaultRoom is the temperature, °C, of a battery that nothing is said of: a
// heated room.
const DefaultRoom units.Celsius = 20

// Read reads a battery; r.Err tells what cannot stand. Chemistry must be there.
// Without a capacity nothing can be reckoned, yet the rest is kept.
func Read(r *doc.Reader) Battery {
	const chemistry, capacity = "chemistry", "capacity_wh"
	words := make([]string, len(Chemistries))
	for i, c := range Chemistries {
		words[i] = string(c)
	}
	if !r.Has(chemistry) {
		r.Fail(chemistry, "", "there, one of lfp, nmc, agm, flooded")
	}
	b := Battery{
		Chemistry:        Chemistry(r.Choice(chemistry, words, "")),
		Capacity:         units.WattHours(r.Number(capacity, CapacityRange, 0)),
		AgeYears:         r.Number("age_years", AgeRange, 0),
		Cycles:           r.Number("cycles", CyclesRange, 0),
		Room:             units.Celsius(r.Number("room_c", RoomRange, float64(DefaultRoom))),
		Cutoff:           r.Maybe("cutoff", CutoffRange),
		Health:           r.Maybe("health", HealthRange),
		SelfDischarge:    r.Maybe("self_discharge_month", SelfDischargeRange),
		Peukert:          r.Maybe("peukert", PeukertRange),
		RatedHours:       r.Maybe("rated_h", RatedHoursRange),
		ChargeEfficiency: r.Maybe("charge_efficiency", ChargeEfficiencyRange),
		Night:            r.Maybe("night_c", RoomRange),
		StandsAt:         r.Maybe("stands_at", StandsAtRange),
		Lowest:           r.Maybe("min_c", LowestRange),
	}
	if b.Night != nil && *b.Night > float64(b.Room) {
		r.Fail("night_c", doc.Number(*b.Night), "at most room_c, "+doc.Number(float64(b.Room))+" °C")
	}
	b.Unknown = r.Unknown()
	return b
}

// Write writes what Read reads.
func (b Battery) Write() *doc.Writer {
	w := new(doc.Writer)
	w.Text("chemistry", string(b.Chemistry))
	w.Number("capacity_wh", float64(b.Capacity), 0)
	w.Number("age_years", b.AgeYears, 0)
	w.Number("cycles", b.Cycles, 0)
	w.Number("room_c", float64(b.Room), float64(DefaultRoom))
	w.Maybe("night_c", b.Night)
	w.Maybe("stands_at", b.StandsAt)
	w.Maybe("min_c", b.Lowest)
	w.Maybe("cutoff", b.Cutoff)
	w.Maybe("health", b.Health)
	w.Maybe("self_discharge_month", b.SelfDischarge)
	w.Maybe("peukert", b.Peukert)
	w.Maybe("rated_h", b.RatedHours)
	w.Maybe("charge_efficiency", b.ChargeEfficiency)
	w.Keep(b.Unknown)
	return w
}

// or is the known figure, or the usual one.
func or(known *float64, usual float64) float64 {
	if known != nil {
		return *known
	}
	return usual
}
