package link

import (
	"strings"

	"candleclock/engine/load"
)

// things lists the catalogue's keys by their number in links, from 1 on; 0 is
// nothing in particular. A number keeps its meaning for ever: new things go to
// the end. When the figures of an entry change, its old number must go on
// meaning the old ones, and the new ones need a number of their own
// (TestThingsKeepTheirMeaning tells).
var things = strings.Fields(`
	cpap cpap-humidifier bipap ventilator high-flow-humidifier oxygen-portable oxygen-5l oxygen-10l
	nebuliser suction-pump cough-assist feeding-pump infusion-pump dialysis-cycler apnoea-monitor
	oximeter glucose-devices pressure-mattress hospital-bed patient-lift wheelchair mobility-scooter
	stairlift hearing-aids baby-monitor bottle-warmer medicine-fridge fridge fridge-old
	fridge-inverter freezer-chest freezer-upright cooler-12v cooler-thermoelectric ice-maker lamp-led
	lamp-led-small lamp-usb lamp-12v lantern lamp-ceiling-led lamp-incandescent lamp-fluorescent phone
	phone-basic tablet router modem modem-router wifi-point hotspot satellite-internet telephone
	laptop laptop-charge desktop monitor tv tv-large tv-box radio clock-radio stereo two-way-radio
	game-console kettle kettle-230 kettle-12v microwave microwave-large coffee-maker toaster
	toaster-oven air-fryer hob-induction hotplate oven rice-cooker slow-cooker pressure-cooker blender
	cooker-hood stove-igniter dishwasher fan-table fan-ceiling fan-ceiling-dc fan-box fan-usb
	furnace-blower furnace-blower-variable boiler oil-burner pellet-stove gas-fire electric-blanket
	heated-throw heating-pad heater heater-230 air-conditioner-window air-conditioner-large
	air-conditioner-portable air-conditioner-split dehumidifier humidifier humidifier-steam
	air-purifier ventilation pipe-heating sump-pump well-pump-deep well-pump-jet water-pump-12v
	sewage-pump water-treatment water-heater-gas water-heater aquarium-pump aquarium-heater
	power-tool-battery drill circular-saw chainsaw air-compressor tyre-inflator soldering-iron
	sewing-machine printer printer-laser electric-fence brooder-lamp incubator stock-tank-heater
	washing-machine washing-machine-heater dryer vacuum iron hair-dryer shaver garage-door alarm
	doorbell-camera camera-recorder e-bike e-scooter aa-charger terrarium projector
`)

// nothing is what a load of no thing in the catalogue is set apart from.
var nothing = load.Load{Rank: load.Useful, Outlet: load.AC, Count: 1, Duty: 1, Basis: load.Typical}

// thing is the load that a number stands for.
func thing(n uint64) (load.Load, bool) {
	if n == 0 {
		return nothing, true
	}
	if n > uint64(len(things)) {
		return load.Load{}, false
	}
	e, ok := load.Find(things[n-1])
	return e.Load(), ok
}

// numbers gives the number of a thing by its name.
var numbers = func() map[string]uint64 {
	m := map[string]uint64{}
	for i := range things {
		if l, ok := thing(uint64(i + 1)); ok {
			m[l.Name] = uint64(i + 1)
		}
	}
	return m
}()

// thingOf is the number of the thing that a load is called by: by its whole
// name, or without a number behind it ("Internet router 2").
func thingOf(name string) uint64 {
	if n := numbers[name]; n > 0 {
		return n
	}
	return numbers[strings.TrimRight(name, " 0123456789")]
}
