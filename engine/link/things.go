package link

import (
	"strings"

	"candleclock/engine/load"
	"candleclock/engine/units"
)

// things lists the catalogue's keys by their number in links, from 1 on; 0 is
// nothing in particular. A number keeps its meaning for ever: new things go to
// the end. When the figures of an entry change, its number must go on meaning the
// old ones, which former keeps; a link spells the new ones out, so that pages of
// before read them too (TestThingsKeepTheirMeaning tells).
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
	cpap-12v ventilator-battery oxygen-filler
	airway-vest haemodialysis blood-pressure telecare smoke-alarm speech-device riser-recliner home-lift
	breast-pump phototherapy medicine-cooler phone-booster network-switch power-bank watch backup-unit
	bread-maker griddle water-dispenser fan-bathroom fan-attic fan-radon evaporative-cooler
	parking-heater condensate-pump water-heater-pump pool-pump pond-pump pressure-washer electric-car
	block-heater
`)

// former are the figures that a thing had when its number was given, where the
// catalogue has others now, by the number.
var former = map[uint64]figures{
	30:  {40, 75, 150, 110, 0},     // fridge-inverter
	44:  {5, 10, 25, 0, 20},        // phone
	86:  {65, 75, 175, 150, 0},     // fan-ceiling
	90:  {350, 550, 750, 1650, 0},  // furnace-blower
	104: {300, 800, 1800, 1000, 0}, // air-conditioner-split
	108: {8, 45, 100, 90, 0},       // air-purifier
	111: {350, 600, 1050, 2400, 0}, // sump-pump
	112: {500, 900, 1100, 4000, 0}, // well-pump-deep
	113: {450, 800, 1050, 3200, 0}, // well-pump-jet
	115: {400, 700, 1100, 2800, 0}, // sewage-pump
	135: {350, 450, 500, 1350, 0},  // washing-machine
}

// figures are those of an entry of the catalogue: watts, and the day's energy of
// what has one.
type figures struct {
	low, typical, high, starting units.Watts
	daily                        units.WattHours
}

// into puts the figures into a load of the entry.
func (f figures) into(l load.Load) load.Load {
	if f.daily > 0 {
		l.Daily = f.daily
		return l
	}
	low, high := float64(f.low), float64(f.high)
	l.Low, l.Running, l.High, l.Starting = &low, f.typical, &high, f.starting
	return l
}

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
	if f, changed := former[n]; changed {
		return f.into(e.Load()), ok
	}
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
