package aids

import (
	"candleclock/engine/units"
)

// USBSource is what USB rests on.
var USBSource = Source{
	Cite:    "USB-IF specifications: USB 2.0, USB 3.2, Battery Charging 1.2, Type-C, Power Delivery 3.0 and 3.1",
	Memory:  true,
	Caution: "The most a port may give; the device, the cable and the supply may each allow less.",
}

// USBPort is a kind of USB port and the most it gives.
type USBPort struct {
	Name string
	Most units.Watts
}

// USB lists the kinds of port, the weakest first.
var USB = []USBPort{
	{"USB 2.0", 2.5},
	{"USB 3", 4.5},
	{"USB charging port (BC 1.2)", 7.5},
	{"USB-C", 15},
	{"USB-C Power Delivery 3.0", 100},
	{"USB-C Power Delivery 3.1", 240},
}

// VehicleSource is what VehicleSocket rests on.
var VehicleSource = Source{
	Cite:    "SAE J563, ISO 4165; vehicle sockets are fused at 10 to 20 A, and carry 100 to 180 W at 12 V for long",
	Memory:  true,
	Caution: "Feel the plug after ten minutes: hot is too much. Run the engine outdoors only, and mind the starter battery.",
}

// VehicleLow and VehicleHigh are what the sockets of vehicles carry for long
// at 12 V, the weakest and the strongest.
const (
	VehicleLow  units.Watts = 100
	VehicleHigh units.Watts = 180
)

// VehicleSocket is what may safely be drawn for hours from a vehicle's socket
// of a voltage: with its fuse known, 80 % of that; else (fuse 0) what the
// weakest socket carries, in proportion to the voltage.
func VehicleSocket(v units.Volts, fuse units.Amps) units.Watts {
	if fuse > 0 {
		return units.Watts(float64(v) * float64(Continuous(fuse)))
	}
	return VehicleLow * units.Watts(v/12)
}
