package ui

import (
	"math"
	"strconv"

	"candleclock/engine/aids"
	"candleclock/engine/doc"
	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/units"
	"candleclock/engine/yield"
	"candleclock/ui/say"
)

// aidsForm builds the small sums of the trade, each with its source and caution.
func (a *App) aidsForm() *Form {
	f := &Form{}
	a.foodClock(f)
	a.oxygen(f)
	f.items = append(f.items, Item{Heading: wInsulin}, Item{Text: wInsulinText}, Item{Text: wInsulinCold}, Item{Text: wMedicine})
	source(f, aids.InsulinSource)
	a.generator(f)
	a.cable(f)
	return f
}

// source closes a sum with what it rests on.
func source(f *Form, s aids.Source) {
	cite := wSource + s.Cite
	if s.Memory {
		cite += wFromMemory
	}
	f.items = append(f.items, Item{Text: s.Caution}, Item{Text: cite + "."})
}

// foodClock is how long food keeps, by the clock.
func (a *App) foodClock(f *Form) {
	a.tick()
	clock, now := a.prefs.clock(), a.now
	stopped := now
	if a.UnderWay() {
		if log := a.book.Plan.Outage.Log.Readings; len(log) > 0 {
			stopped = log[0].At
		}
	}
	full, opened := "full", false
	var says string
	reckon := func() {
		fridge := stopped.After(aids.Fridge)
		freezer := stopped.After(aids.FreezerHours(map[string]float64{"full": 1, "half": 0.5, "less": 0.25}[full]))
		switch {
		case fridge.Since(now) > 0:
			says = wFoodFridge + clock.Moment(fridge, now) + wFoodKeeps + clock.Moment(freezer, now)
		case freezer.Since(now) > 0:
			says = wFoodOver + clock.Moment(fridge, now) + wFoodOverIs + clock.Moment(freezer, now)
		default:
			says = wFoodBoth
			return
		}
		if opened {
			says += wFoodSooner
		} else {
			says += "."
		}
	}
	at := number("food-ago", wFoodAgo, hours, doc.Range{Low: 0, High: 200, Unit: "hours"}, 1, plainNumber(math.Floor(float64(now.Since(stopped))*10)/10), func(v float64) {
		stopped = now.After(-units.Hours(v))
		reckon()
	})
	freezer := &Choice{ID: "food-freezer", Legend: wFoodFreezer, Value: full, Options: []Option{
		{"full", "Full", ""}, {"half", "Half full or more", ""}, {"less", "Emptier", "counted as a quarter full, in proportion: our own caution"}},
		take: func(v string) { full = v; reckon() }}
	door := &Tick{ID: "food-opened", Label: wFoodOpened, take: func(on bool) { opened = on; reckon() }}
	reckon()
	f.items = append(f.items, Item{Heading: wFood}, Item{Text: wFoodText}, Item{Field: at}, Item{Choice: freezer}, Item{Tick: door},
		Item{note: &says}, Item{Text: wFoodRule})
	source(f, aids.FoodSource)
}

// oxygen is how long a cylinder lasts.
func (a *App) oxygen(f *Form) {
	clock := a.prefs.clock()
	const unread = -1.0
	size, shows, flow, reserve := "E", unread, 0.0, float64(aids.OxygenReserve)
	inBar := false
	says := wOxygenAsk
	reckon := func() {
		if shows == unread || flow == 0 {
			says = wOxygenAsk
			return
		}
		for _, c := range aids.Cylinders {
			if c.Size != size {
				continue
			}
			psi := shows
			if inBar {
				psi *= aids.PSIPerBar
			}
			minutes, err := aids.OxygenMinutes(c, psi, reserve, flow)
			lasts := say.Down(units.Hours(minutes / 60))
			switch {
			case err != nil:
				says = firstUpper(err.Error()) + "."
			case lasts <= 0:
				says = wOxygenNone
			default:
				a.tick()
				says = wOxygenLasts + say.Hours(lasts) + wOxygenUntil + clock.Moment(a.now.After(lasts), a.now) + wOxygenAct
			}
		}
	}
	sizes := &Choice{ID: "oxygen-size", Legend: wOxygenSize, Hint: wOxygenUS, Value: size, take: func(v string) { size = v; reckon() }}
	for _, c := range aids.Cylinders {
		sizes.Options = append(sizes.Options, Option{c.Size, c.Size, ""})
	}
	// The box is read anew when the unit changes: its range does.
	gauge := doc.Range{Low: 0, High: aids.OxygenGaugeRange.High}
	shown := number("oxygen-gauge", wOxygenGauge, plain, gauge, 1, "", func(v float64) { shows = v; reckon() }).
		orEmpty(func() { shows = unread; reckon() }, func() string { return "" })
	unit := &Choice{ID: "oxygen-unit", Legend: wOxygenIn, Value: "psi", Options: []Option{{"psi", "psi", ""}, {"bar", "bar", ""}},
		take: func(v string) {
			inBar = v == "bar"
			shown.Label, shown.Unit = wOxygenGauge+", in "+v, v
			reckon()
		}}
	shown.Label, shown.Unit = wOxygenGauge+", in psi", "psi"
	keep := number("oxygen-reserve", wOxygenKeep, psi, aids.OxygenGaugeRange, 1, plainNumber(reserve), func(v float64) { reserve = v; reckon() })
	keep.Hint = "200 psi is about 14 bar."
	rate := number("oxygen-flow", wOxygenFlow, litresAMinute, aids.OxygenFlowRange, 1, "", func(v float64) { flow = v; reckon() }).
		orEmpty(func() { flow = 0; reckon() }, func() string { return "" })
	f.items = append(f.items, Item{Heading: wOxygen}, Item{Text: wOxygenText}, Item{Choice: sizes}, Item{Choice: unit}, Item{Field: shown},
		Item{Field: keep}, Item{Field: rate}, Item{note: &says})
	source(f, aids.OxygenSource)
}

var (
	psi           = unit{"psi", "psi", "200", map[string]float64{"psi": 1, "bar": aids.PSIPerBar}}
	litresAMinute = unit{"litres a minute", "L/min", "2", map[string]float64{"l/min": 1, "lpm": 1, "l": 1}}
	metres        = unit{"metres", "m", "10", map[string]float64{"m": 1, "metres": 1, "meters": 1, "ft": 0.3048, "feet": 0.3048}}
	volts         = unit{"volts", "V", "12", map[string]float64{"v": 1, "volt": 1, "volts": 1}}
)

// generator is the fuel of a day.
func (a *App) generator(f *Form) {
	rated, energy, long := 1000.0, 1000.0, 2.0
	if a.HasSupply() {
		// The day of the plan with what is lost in charging, rounded up.
		day := float64(outage.NewRig(a.book.Plan).Day()) / yield.Pack(a.book.Plan).Efficiency
		energy = math.Max(100, math.Ceil(day/100)*100)
	}
	var says string
	reckon := func() {
		if watts := energy / long; watts > rated {
			says = wGenFew + say.Watts(math.Ceil(watts)) + wGenRatedIs + say.Watts(rated) + "."
			return
		}
		l := aids.UsualPetrol(units.Watts(rated)).Litres(units.WattHours(energy), units.Hours(long))
		says = wGenNeeds + say.Amount(math.Ceil(l*10)/10, 1, "L") + " (" + say.Amount(math.Ceil(l/aids.LitresPerGallon*10)/10, 1, "US gal") + ")" + wGenADay
	}
	reckon()
	f.items = append(f.items, Item{Heading: wGenerator},
		Item{Field: number("gen-rated", wGenRated, watts, doc.Range{Low: 100, High: 20000, Unit: "W"}, 1, plainNumber(rated), func(v float64) { rated = v; reckon() })},
		Item{Field: number("gen-energy", wGenEnergy, wattHours, doc.Range{Low: 10, High: 100000, Unit: "Wh"}, 1, plainNumber(energy), func(v float64) { energy = v; reckon() })},
		Item{Field: number("gen-hours", wGenHours, hours, doc.Range{Low: 0.25, High: 24, Unit: "hours"}, 1, plainNumber(long), func(v float64) { long = v; reckon() })},
		Item{note: &says}, Item{Text: wGenShort})
	source(f, aids.GeneratorSource)
}

// cable is what a run of cable loses.
func (a *App) cable(f *Form) {
	power, from, length, size := 0.0, 12.0, 0.0, "2.5"
	if a.book != nil && a.book.Plan.Mains > 0 {
		from = float64(a.book.Plan.Mains)
	}
	says := wCableAsk
	reckon := func() {
		if power == 0 || length == 0 {
			says = wCableAsk
			return
		}
		var c aids.Conductor
		var err error
		if mm2, bad := strconv.ParseFloat(size, 64); bad == nil {
			c, err = aids.Metric(mm2, aids.Stranded)
		} else {
			c, err = aids.AWG(size[len("awg "):], aids.Stranded)
		}
		amps := units.Amps(power / from)
		if err == nil {
			err = aids.CableAmpsRange.Check("current", float64(amps))
		}
		if err != nil {
			says = firstUpper(err.Error()) + "."
			return
		}
		d := aids.CableDrop(c, length, amps, units.Volts(from), cableWarm)
		if d.Share >= 1 {
			says = wCableCant
			return
		}
		says = wCableLoses + say.Amount(math.Ceil(float64(d.Volts)*10)/10, 1, "V") + wCableShare + say.Amount(math.Ceil(d.Share*1000)/10, 1, "%") + wCableOf + say.Watts(math.Ceil(float64(d.Watts))) + wCableHeat
		if d.Share > aids.MostDrop {
			says += wCableThick
		}
	}
	wires := &Choice{ID: "cable-size", Legend: wCableSize, Value: size, take: func(v string) { size = v; reckon() }}
	for _, s := range []string{"0.75", "1", "1.5", "2.5", "4", "6", "10"} {
		wires.Options = append(wires.Options, Option{s, s + " mm²", ""})
	}
	for _, s := range []string{"18", "16", "14", "12", "10", "8"} {
		wires.Options = append(wires.Options, Option{"awg " + s, s + " AWG", ""})
	}
	f.items = append(f.items, Item{Heading: wCable},
		Item{Field: number("cable-watts", wCableWatts, watts, load.RunningRange, 1, "", func(v float64) { power = v; reckon() }).
			orEmpty(func() { power = 0; reckon() }, func() string { return "" })},
		Item{Field: number("cable-volts", wCableVolts, volts, doc.Range{Low: 5, High: 260, Unit: "V"}, 1, plainNumber(from), func(v float64) { from = v; reckon() })},
		Item{Field: number("cable-length", wCableLength, metres, aids.CableLengthRange, 1, "", func(v float64) { length = v; reckon() }).
			orEmpty(func() { length = 0; reckon() }, func() string { return "" })},
		Item{Choice: wires}, Item{note: &says})
	source(f, aids.CableSource)
}

// cableWarm is the copper's temperature counted with: a cable in use in a warm
// room (common practice).
const cableWarm units.Celsius = 40
