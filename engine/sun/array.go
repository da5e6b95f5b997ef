package sun

import (
	"errors"
	"math"

	"candleclock/engine/units"
)

// Array is one or more panels that lie alike. Its output is proportional to
// Pmax: to compare sizes, scale one yard's.
type Array struct {
	Pmax units.Watts // of all together, at standard test conditions: 0.1 to 100 000
	// Gamma is Pmax's change with cell temperature, 1/°C: −0.01 to 0. Labels
	// give it as %/°C.
	Gamma    float64
	NOCT     units.Celsius // nominal operating cell temperature: 20 to 80
	Mounting Mounting
	Shade    Shade
	Losses   Losses
}

// Mounting is how the panels lie.
type Mounting struct {
	Tilt    units.Degrees // from level, 0 to 90
	Azimuth units.Degrees // the way they face, clockwise from north, 0 to 360
	// Turned says that a person turns them three times a day: toward the sun
	// of half past eight, of noon and of half past three by the sun, changing
	// at a quarter past ten and a quarter to two. Azimuth then means nothing.
	Turned bool
}

// Flat is on the ground or a flat roof.
func Flat() Mounting { return Mounting{} }

// Leaned is propped at a tilt, facing an azimuth.
func Leaned(tilt, azimuth units.Degrees) Mounting { return Mounting{Tilt: tilt, Azimuth: azimuth} }

// Rail is hung outside a balcony's rail with the foot pulled out, at 70°:
// common practice.
func Rail(azimuth units.Degrees) Mounting { return Mounting{Tilt: 70, Azimuth: azimuth} }

// Wall is flat against a wall or upright in a window.
func Wall(azimuth units.Degrees) Mounting { return Mounting{Tilt: 90, Azimuth: azimuth} }

// ByHand is propped at a tilt and turned three times a day.
func ByHand(tilt units.Degrees) Mounting { return Mounting{Tilt: tilt, Turned: true} }

// The hour angles, in degrees, that a panel turned by hand is set for, and at
// which it is turned on.
const (
	turnedTo = 52.5  // half past eight and half past three
	turnedAt = 26.25 // a quarter past ten and a quarter to two
)

// Shade is what stands between the sun and the panels.
type Shade struct {
	// From and To are the hours of the local clock, 0 to 24, between which the
	// sun reaches the panels. Outside them they get only the sky's light. Both
	// 0 is all day. They count to the nearest quarter of an hour.
	From, To units.Hours
	// Lost is the share of all light that branches, a window pane or the like
	// keep off at any time, 0 to 1. A hard shadow on a tenth of a panel can
	// cost far more than a tenth of its power.
	Lost float64
}

// Losses are the shares of power lost on the way, each 0 to 0.9.
type Losses struct {
	Soiling     float64 // dust and droppings
	Mismatch    float64 // panels that differ, wired together
	Cable       float64 // resistance between panel and input
	Connections float64 // plugs
	FirstLight  float64 // silicon's drop in its first hours of sun
	Label       float64 // what the label promises too much
	Controller  float64 // tracking and conversion at the input
}

// UsualLosses are the defaults of NREL's PVWatts, version 5 (Dobos,
// NREL/TP-6A20-62641, 2014, table 6), and for the controller 5 %, common
// practice. They keep 86.6 %.
func UsualLosses() Losses {
	return Losses{
		Soiling: 0.02, Mismatch: 0.02, Cable: 0.02, Connections: 0.005,
		FirstLight: 0.015, Label: 0.01, Controller: 0.05,
	}
}

// Kept is the share of power that is left after all of them.
func (l Losses) Kept() float64 {
	return (1 - l.Soiling) * (1 - l.Mismatch) * (1 - l.Cable) * (1 - l.Connections) *
		(1 - l.FirstLight) * (1 - l.Label) * (1 - l.Controller)
}

// check names every field that is out of range.
func (a Array) check() error {
	l := a.Losses
	errs := []error{
		within("Pmax (W)", float64(a.Pmax), 0.1, 100_000),
		within("power temperature coefficient (1/°C)", a.Gamma, -0.01, 0),
		within("NOCT (°C)", float64(a.NOCT), 20, 80),
		within("tilt (°)", float64(a.Mounting.Tilt), 0, 90),
		within("azimuth (°)", float64(a.Mounting.Azimuth), 0, 360),
		within("hour the sun comes", float64(a.Shade.From), 0, 24),
		within("hour the sun goes", float64(a.Shade.To), float64(a.Shade.From), 24),
		within("share lost to shade", a.Shade.Lost, 0, 1),
		within("soiling loss", l.Soiling, 0, 0.9),
		within("mismatch loss", l.Mismatch, 0, 0.9),
		within("cable loss", l.Cable, 0, 0.9),
		within("connection loss", l.Connections, 0, 0.9),
		within("first light loss", l.FirstLight, 0, 0.9),
		within("label loss", l.Label, 0, 0.9),
		within("controller loss", l.Controller, 0, 0.9),
	}
	return errors.Join(errs...)
}

// cellTemperature is a cell's, °C, in air of a temperature under an irradiance
// in W/m²: Ross (1980), from the nominal operating cell temperature.
func cellTemperature(air, noct, irradiance float64) float64 {
	return air + (noct-20)/800*irradiance
}

// power is a module's, in the unit of pmax: NREL/TP-6A20-62641 eq. 8.
func power(pmax, gamma, irradiance, cell float64) float64 {
	return pmax * irradiance / 1000 * math.Max(0, 1+gamma*(cell-25))
}

// dimLight is a module's efficiency in weak light over that at 1000 W/m²: 4 %
// less at 200 W/m², falling with the logarithm. Common practice: data sheets
// after EN 50380 own to 3 to 5 % there.
func dimLight(irradiance float64) float64 {
	return clamp(1+0.06*math.Log10E*log(irradiance/1000), 0, 1)
}
