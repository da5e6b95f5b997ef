// Package units gives the quantities of the trade a type each, so that a power
// cannot be passed where an energy is meant. Every type is a float64 in the
// unit its name says; there is no hidden scaling.
package units

// Watts is real power, W.
type Watts float64

// VoltAmps is apparent power, VA.
type VoltAmps float64

// WattHours is energy, Wh.
type WattHours float64

// Volts is electric potential, V.
type Volts float64

// Amps is electric current, A.
type Amps float64

// Celsius is temperature, °C.
type Celsius float64

// Hours is a length of time, h.
type Hours float64

// Degrees is a plane angle, °.
type Degrees float64

// For is the energy of a constant power over a time: Wh = W × h.
func (p Watts) For(t Hours) WattHours { return WattHours(float64(p) * float64(t)) }

// At is how long an energy lasts at a constant power: h = Wh ÷ W.
// It is +Inf for p = 0 and undefined (NaN) when both are 0.
func (e WattHours) At(p Watts) Hours { return Hours(float64(e) / float64(p)) }
