// Package charge knows what refills a supply: a wall adapter, a vehicle's
// socket, a generator with its fuel, panels; what a battery takes of it as it
// fills, and how long that lasts.
package charge

import (
	"errors"

	"candleclock/engine/aids"
	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// Kind is a kind of input.
type Kind string

// The kinds of input.
const (
	Panel     Kind = "panel"
	Wall      Kind = "wall"
	Car       Kind = "car"
	Generator Kind = "generator"
)

// Kinds lists the kinds of input.
var Kinds = []string{string(Panel), string(Wall), string(Car), string(Generator)}

// Input is one way to refill a supply, as the plan tells it. Only the fields of
// its kind count. A zero is a figure that nobody knows.
type Input struct {
	Kind Kind

	// Panel: the window of the supply's own input.
	MinV, MaxV units.Volts
	MaxA       units.Amps
	MaxW       units.Watts
	Unlimited  bool // the input does not limit its current: too much damages it

	// Wall: what the adapter charges with. Generator: what it can give for long.
	Watts units.Watts

	// Car: what the supply draws from the socket, and the socket's fuse.
	Volts units.Volts
	Amps  units.Amps
	Fuse  units.Amps

	// Generator: fuel use at two loads, or none; the tank.
	Fuel []FuelPoint
	Tank float64 // litres

	Unknown doc.Unknown
}

// FuelPoint is a generator's fuel use at a load, from its manual or measured.
type FuelPoint struct {
	aids.FuelPoint
	Unknown doc.Unknown
}

// What each number of an input may be.
var (
	MinVRange  = doc.Range{Low: 0, High: 600, Unit: "V"}
	MaxVRange  = doc.Range{Low: 5, High: 1000, Unit: "V"}
	MaxARange  = doc.Range{Low: 0.1, High: 200, Unit: "A"}
	MaxWRange  = doc.Range{Low: 1, High: 50000, Unit: "W"}
	WattsRange = doc.Range{Low: 1, High: 50000, Unit: "W"}
	VoltsRange = doc.Range{Low: 5, High: 60, Unit: "V"}
	AmpsRange  = doc.Range{Low: 0.1, High: 100, Unit: "A"}
	LoadRange  = doc.Range{Low: 0, High: 50000, Unit: "W"}
	FuelRange  = doc.Range{Low: 0.01, High: 50, Unit: "litres per hour"}
	TankRange  = doc.Range{Low: 0.1, High: 1000, Unit: "litres"}
)

// MostInputs is the most inputs a supply may have.
const MostInputs = 8

// Read reads an input; r.Err tells what cannot stand. A panel input must tell
// max_v, and max_w or max_a; a wall and a generator watts; a car volts and amps.
func Read(r *doc.Reader) Input {
	if !r.Has("kind") {
		r.Fail("kind", "", "one of panel, wall, car, generator")
	}
	in := Input{Kind: Kind(r.Choice("kind", Kinds, ""))}
	switch in.Kind {
	case Panel:
		in.readPanel(r)
	case Wall:
		in.Watts = units.Watts(needed(r, "watts", WattsRange))
	case Car:
		in.Volts = units.Volts(needed(r, "volts", VoltsRange))
		in.Amps = units.Amps(needed(r, "amps", AmpsRange))
		in.Fuse = units.Amps(r.Number("fuse_a", AmpsRange, 0))
	case Generator:
		in.readGenerator(r)
	}
	in.Unknown = r.Unknown()
	return in
}

func (in *Input) readPanel(r *doc.Reader) {
	in.MinV = units.Volts(r.Number("min_v", MinVRange, 0))
	in.MaxV = units.Volts(needed(r, "max_v", MaxVRange))
	in.MaxA = units.Amps(r.Number("max_a", MaxARange, 0))
	in.MaxW = units.Watts(r.Number("max_w", MaxWRange, 0))
	in.Unlimited = r.Yes("no_current_limit")
	switch {
	case in.MinV >= in.MaxV:
		r.Fail("min_v", doc.Number(float64(in.MinV)), "below max_v, "+doc.Number(float64(in.MaxV))+" V")
	case in.MaxA == 0 && in.MaxW == 0:
		r.Fail("max_w", "", "there, "+MaxWRange.String())
	case in.MaxA == 0 && in.Unlimited:
		r.Fail("max_a", "", "there with no_current_limit, "+MaxARange.String())
	}
}

func (in *Input) readGenerator(r *doc.Reader) {
	in.Watts = units.Watts(needed(r, "watts", WattsRange))
	in.Tank = r.Number("tank_l", TankRange, 0)
	for _, o := range r.Objects("fuel", 2) {
		p := FuelPoint{FuelPoint: aids.FuelPoint{
			Load:  units.Watts(needed(o, "load_w", LoadRange)),
			LPerH: needed(o, "l_per_h", FuelRange),
		}}
		p.Unknown = o.Unknown()
		in.Fuel = append(in.Fuel, p)
	}
	switch len(in.Fuel) {
	case 1:
		r.Fail("fuel", "a list of 1", "a list of two loads, or left out")
	case 2:
		_, err := aids.LineThrough(in.Fuel[0].FuelPoint, in.Fuel[1].FuelPoint)
		var e *doc.Error
		if errors.As(err, &e) {
			at := "fuel[1]."
			if in.Fuel[0].Load > in.Fuel[1].Load { // the greater load is at fault
				at = "fuel[0]."
			}
			r.Fail(at+e.Field, e.Value, e.Want)
		}
	}
}

// needed reads a number that must be there.
func needed(r *doc.Reader, name string, in doc.Range) float64 {
	if !r.Has(name) {
		r.Fail(name, "", "there, "+in.String())
	}
	return r.Number(name, in, 0)
}

// Write writes what Read reads.
func (in Input) Write() *doc.Writer {
	w := new(doc.Writer)
	w.Text("kind", string(in.Kind))
	switch in.Kind {
	case Panel:
		w.Number("min_v", float64(in.MinV), 0)
		w.Number("max_v", float64(in.MaxV), 0)
		w.Number("max_a", float64(in.MaxA), 0)
		w.Number("max_w", float64(in.MaxW), 0)
		w.Yes("no_current_limit", in.Unlimited)
	case Wall:
		w.Number("watts", float64(in.Watts), 0)
	case Car:
		w.Number("volts", float64(in.Volts), 0)
		w.Number("amps", float64(in.Amps), 0)
		w.Number("fuse_a", float64(in.Fuse), 0)
	case Generator:
		w.Number("watts", float64(in.Watts), 0)
		w.Number("tank_l", in.Tank, 0)
		in.writeFuel(w)
	}
	w.Keep(in.Unknown)
	return w
}

func (in Input) writeFuel(w *doc.Writer) {
	var fuel []*doc.Writer
	for _, p := range in.Fuel {
		o := new(doc.Writer)
		o.Number("load_w", float64(p.Load), -1) // no load is a load
		o.Number("l_per_h", p.LPerH, 0)
		o.Keep(p.Unknown)
		fuel = append(fuel, o)
	}
	w.Objects("fuel", fuel)
}

// Most is the most power that the input brings to the supply. A vehicle's
// socket gives no more than is safe for hours, see aids.VehicleSocket.
func (in Input) Most() units.Watts {
	switch in.Kind {
	case Wall, Generator:
		return in.Watts
	case Car:
		drawn := units.Watts(float64(in.Volts) * float64(in.Amps))
		return min(drawn, aids.VehicleSocket(in.Volts, in.Fuse))
	case Panel:
		if in.MaxA == 0 {
			return in.MaxW
		}
		byAmps := units.Watts(float64(in.MaxV) * float64(in.MaxA))
		if in.MaxW == 0 {
			return byAmps
		}
		return min(in.MaxW, byAmps)
	}
	return 0
}

// UnknownAdapter is what a generator is counted on for where no wall adapter is
// told: it charges through some adapter, and small ones take about that much
// (common practice).
const UnknownAdapter units.Watts = 100

// Power is the most that a kind of input brings to a supply with the inputs
// given, and 0 when it has none of the kind. A generator charges through the
// wall adapter, and brings no more than that takes.
func Power(inputs []Input, kind Kind) units.Watts {
	most := Rated(inputs, kind)
	if kind != Generator {
		return most
	}
	wall := Rated(inputs, Wall)
	if wall == 0 {
		wall = UnknownAdapter
	}
	return min(most, wall)
}

// Together is what several inputs bring at once: their sum, or the strongest
// alone where the supply takes one at a time.
func Together(watts []units.Watts, oneAtATime bool) units.Watts {
	var sum, most units.Watts
	for _, w := range watts {
		sum += max(0, w)
		most = max(most, w)
	}
	if oneAtATime {
		return most
	}
	return sum
}
