package charge

import (
	"candleclock/engine/aids"
	"candleclock/engine/units"
)

// Run is what one fill from a generator costs.
type Run struct {
	Hours  units.Hours // the generator runs to the end of the taper
	Litres float64     // of fuel
	Tanks  float64     // tanks of it; 0 when the tank is not known
	Usual  bool        // the fuel use is the usual one of such a set, not its own
}

// FuelLine is a generator's fuel use: its own where two loads are told, else
// the usual one for its power, and usual is true.
func (in Input) FuelLine() (line aids.Willans, usual bool) {
	if len(in.Fuel) == 2 {
		if line, err := aids.LineThrough(in.Fuel[0].FuelPoint, in.Fuel[1].FuelPoint); err == nil {
			return line, false
		}
	}
	return aids.UsualPetrol(in.Watts), true
}

// FillRun is the run of a generator that fills the pack from a state of charge
// at a charging power, which Power gives, and nothing else. fills is false when
// it never does.
func (in Input) FillRun(p Pack, from float64, charging units.Watts) (run Run, fills bool) {
	run.Hours, fills = p.Fill(from, min(charging, in.Watts))
	if !fills {
		return Run{}, false
	}
	line, usual := in.FuelLine()
	drawn := units.WattHours(max(0, 1-from) * float64(p.Capacity) / p.Efficiency)
	run.Litres, run.Usual = line.Litres(drawn, run.Hours), usual
	if in.Tank > 0 {
		run.Tanks = run.Litres / in.Tank
	}
	return run, true
}

// Thirst is the fuel use that is counted with where a generator charges the
// supply with Power: of several sets that of the thirstiest there; the zero line
// without any.
func Thirst(inputs []Input) aids.Willans {
	var most aids.Willans
	at := Power(inputs, Generator)
	for _, in := range inputs {
		if in.Kind != Generator {
			continue
		}
		if line, _ := in.FuelLine(); line.LPerH(at) > most.LPerH(at) {
			most = line
		}
	}
	return most
}

// Rated is what the strongest of a kind of input could give, whatever passes it
// on: Power of a generator is at most what the wall adapter takes of this.
func Rated(inputs []Input, kind Kind) units.Watts {
	var most units.Watts
	for _, in := range inputs {
		if in.Kind == kind {
			most = max(most, in.Most())
		}
	}
	return most
}
