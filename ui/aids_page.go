package ui

import (
	"math"
	"slices"
	"strings"

	"candleclock/engine/aids"
	"candleclock/engine/charge"
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
	f.items = append(f.items, Item{Text: s.Caution})
	cite(f, s)
}

// cite says what it rests on alone.
func cite(f *Form, s aids.Source) {
	says := wSource + s.Cite
	if s.Memory {
		says += wFromMemory
	}
	f.items = append(f.items, Item{Text: says + "."})
}

// foodClock is how long food keeps, by the clock.
func (a *App) foodClock(f *Form) {
	a.tick()
	clock, now := a.clockNow(), a.now
	stopped := now
	if a.UnderWay() {
		stopped = a.answer.began()
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

// How the size of an oxygen cylinder may be told.
const (
	oxygenUS     = "us"
	oxygenUK     = "uk"
	oxygenGas    = "gas"
	oxygenBottle = "bottle"
)

// oxygen is how long a cylinder lasts. How its size is told is asked, never
// guessed: the same number or letter is another cylinder elsewhere.
func (a *App) oxygen(f *Form) {
	const unread = -1.0
	by, letter, shows, flow, reserve := "", "", unread, 0.0, float64(aids.OxygenReserve)
	gas, full, bottle := 0.0, 0.0, 0.0
	inBar := false
	says := wOxygenAsk
	inPSI := func(v float64) float64 {
		if inBar {
			return v * aids.PSIPerBar
		}
		return v
	}
	// of is the cylinder told of; none while too little is told.
	of := func() (c aids.Cylinder, told bool, err error) {
		switch {
		case by == oxygenGas && gas > 0:
			most := float64(aids.OxygenFullMost)
			if full > 0 {
				most = full
			}
			c, err = aids.OxygenByGas(gas, most)
			return c, true, err
		case by == oxygenBottle && bottle > 0:
			c, err = aids.OxygenByBottle(bottle)
			return c, true, err
		}
		for _, c := range letters[by] {
			if c.Size == letter {
				return c, true, nil
			}
		}
		return c, false, nil
	}
	reckon := func() {
		c, told, err := of()
		if !told || shows == unread || flow == 0 {
			says = wOxygenAsk
			return
		}
		minutes, bad := 0.0, false
		if err == nil {
			minutes, err = aids.OxygenMinutes(c, inPSI(shows), reserve, flow)
			bad = err != nil && aids.OxygenGaugeRange.Check("", inPSI(shows)) == nil
		}
		sum := say.Down(units.Hours(minutes / 60))
		lasts := sum
		if c.Carried() {
			lasts = min(sum, aids.OxygenDoubt)
		}
		switch {
		case bad:
			says = wOxygenOver
		case err != nil:
			says = firstUpper(err.Error()) + "."
		case lasts <= 0:
			says = wOxygenNone
		default:
			a.tick()
			says = wOxygenLasts + say.Hours(lasts) + wOxygenUntil + a.clockNow().Moment(a.now.After(lasts), a.now) + wOxygenAct
			if lasts < sum {
				says += wOxygenDoubt + say.Hours(sum) + wOxygenDoubts
			}
		}
	}
	told := &Choice{ID: "oxygen-by", Legend: wOxygenBy, Hint: wOxygenAside, Options: []Option{{oxygenUS, wOxygenByUS, ""}, {oxygenUK, wOxygenByUK, ""},
		{oxygenGas, wOxygenByGas, wOxygenGasIs}, {oxygenBottle, wOxygenByBot, wOxygenBotIs}}}
	sizes := func(id, legend, hint, country string) Item {
		c := &Choice{ID: id, Legend: legend, Hint: hint, take: func(v string) { letter = v; reckon() }}
		for _, one := range letters[country] {
			holds := math.Floor(one.Factor*min(one.Full, 2000)/10+1e-9) * 10
			c.Options = append(c.Options, Option{one.Size, one.Size, say.Number(holds, 0) + wOxygenHolds})
		}
		return Item{Choice: c, show: func() bool { return by == country }}
	}
	us, uk := sizes("oxygen-size", wOxygenUS, wOxygenUSIs, oxygenUS), sizes("oxygen-size-uk", wOxygenUK, wOxygenUKIs, oxygenUK)
	told.take = func(v string) {
		if v != by { // a letter of one country is none of another
			by, letter, us.Choice.Value, uk.Choice.Value = v, "", "", ""
		}
		reckon()
	}
	holds := number("oxygen-gas", wOxygenGas, litres, aids.OxygenGasRange, 1, "", func(v float64) { gas = v; reckon() }).
		orEmpty(func() { gas = 0; reckon() }, func() string { return "" })
	holds.Hint = wOxygenGasTo
	otherwise(holds, wOxygenGas, aids.OxygenBottleRange, wOxygenIsBot)
	own := number("oxygen-bottle", wOxygenBot, litres, aids.OxygenBottleRange, 1, "", func(v float64) { bottle = v; reckon() }).
		orEmpty(func() { bottle = 0; reckon() }, func() string { return "" })
	own.Hint = wOxygenBotTo
	otherwise(own, wOxygenBot, aids.OxygenGasRange, wOxygenIsGas)
	whole := number("oxygen-full", wOxygenFull, psi, aids.OxygenFullRange, 1, "", func(v float64) { full = v; reckon() }).
		orEmpty(func() { full = 0; reckon() }, func() string { return wOxygenMost })
	whole.Label, whole.Unit, whole.Hint = wOxygenFull+wOxygenEither, "", wOxygenFulls
	// The ranges of the two units lie apart: a bare number is bar or psi by its size.
	inRange := whole.take
	whole.take = func(raw string) (echo, wrong string) {
		typed, ok := say.ParseNumber(raw)
		switch {
		case !ok || typed.Unit != "":
			return inRange(raw)
		case typed.Value*aids.PSIPerBar <= aids.OxygenFullRange.High:
			if echo, wrong = inRange(strings.TrimSpace(raw) + " bar"); wrong == "" {
				echo = wReadAs + say.Amount(typed.Value, 1, "bar")
			}
			return echo, wrong
		}
		if echo, wrong = inRange(raw); wrong == "" {
			echo = wReadAs + say.Amount(typed.Value, 0, "psi")
		}
		return echo, wrong
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
	isGas := func() bool { return by == oxygenGas }
	f.items = append(f.items, Item{Heading: wOxygen}, Item{Text: wOxygenText}, Item{Choice: told}, us, uk,
		Item{Field: holds, show: isGas}, Item{Field: whole, show: isGas}, Item{Field: own, show: func() bool { return by == oxygenBottle }},
		Item{Choice: unit}, Item{Field: shown}, Item{Field: keep}, Item{Field: rate}, Item{note: &says})
	source(f, aids.OxygenSource)
}

// letters are the sizes by letter.
var letters = map[string][]aids.Cylinder{oxygenUS: aids.Cylinders, oxygenUK: aids.UKCylinders}

// otherwise says of a number that is out of a field's range what else it is.
func otherwise(f *Field, label string, other doc.Range, says string) {
	take := f.take
	f.take = func(raw string) (echo, wrong string) {
		echo, wrong = take(raw)
		if typed, ok := say.ParseNumber(raw); ok && wrong != "" && other.Check("", typed.Value) == nil {
			return "", label + ": " + quote(strings.TrimSpace(raw)) + says
		}
		return echo, wrong
	}
}

var (
	psi           = unit{"psi", "psi", "200", map[string]float64{"psi": 1, "bar": aids.PSIPerBar}}
	litres        = unit{"litres", "L", "5", map[string]float64{"l": 1, "litre": 1, "litres": 1, "liter": 1, "liters": 1, "ft3": 28.3168, "ft³": 28.3168, "cuft": 28.3168}}
	litresAMinute = unit{"litres a minute", "L/min", "2", map[string]float64{"l/min": 1, "lpm": 1, "l": 1}}
	metres        = unit{"metres", "m", "10", map[string]float64{"m": 1, "metres": 1, "meters": 1, "ft": 0.3048, "feet": 0.3048}}
	volts         = unit{"volts", "V", "12", map[string]float64{"v": 1, "volt": 1, "volts": 1}}
)

// generator is the fuel of a day.
func (a *App) generator(f *Form) {
	rated, energy, long := 1000.0, 1000.0, 2.0
	var inputs []charge.Input
	var ofDay string
	if a.HasSupply() {
		// The day of the plan with what is lost in charging, rounded up.
		day := float64(outage.NewRig(a.book.Plan).Day())
		energy = math.Max(100, math.Ceil(day/yield.Pack(a.book.Plan).Efficiency/100)*100)
		inputs, ofDay = a.book.Plan.Supply.Inputs, wGenPlanDay+say.WattHours(day)+wGenPlanLoss
	}
	own, gives := float64(charge.Rated(inputs, charge.Generator)), float64(charge.Power(inputs, charge.Generator))
	if own > 0 {
		// As long as the plan's own set needs for it, to the quarter of an hour.
		rated, long = own, math.Min(24, math.Max(long, math.Ceil(energy/gives*4)/4))
	}
	var says string
	reckon := func() {
		line, most, is := aids.UsualPetrol(units.Watts(rated)), rated, wGenRatedIs
		if rated == own {
			line = charge.Thirst(inputs)
			if gives < own {
				most, is = gives, wGenTaken
			}
		}
		if watts := energy / long; watts > most {
			says = wGenFew + say.Watts(math.Ceil(watts)) + is + say.Watts(most) + "."
			return
		}
		l := line.Litres(units.WattHours(energy), units.Hours(long))
		says = wGenNeeds + say.Amount(math.Ceil(l*10)/10, 1, "L") + " (" + say.Amount(math.Ceil(l/aids.LitresPerGallon*10)/10, 1, "US gal") + ")" + wGenADay
	}
	reckon()
	f.items = append(f.items, Item{Heading: wGenerator})
	if s := generatorGives(inputs); s != "" {
		f.items = append(f.items, Item{Text: s})
	}
	day := number("gen-energy", wGenEnergy, wattHours, doc.Range{Low: 10, High: 100000, Unit: "Wh"}, 1, plainNumber(energy), func(v float64) { energy = v; reckon() })
	day.Hint = ofDay
	f.items = append(f.items,
		Item{Field: number("gen-rated", wGenRated, watts, doc.Range{Low: 100, High: 20000, Unit: "W"}, 1, plainNumber(rated), func(v float64) { rated = v; reckon() })},
		Item{Field: day},
		Item{Field: number("gen-hours", wGenHours, hours, doc.Range{Low: 0.25, High: 24, Unit: "hours"}, 1, plainNumber(long), func(v float64) { long = v; reckon() })},
		Item{note: &says}, Item{Text: wGenShort})
	source(f, aids.GeneratorSource)
}

// wire is a size of cable to choose from.
type wire struct {
	value, name string
	conductor   func() (aids.Conductor, error)
	ampacity    func() (units.Amps, error) // as a loose cord
}

// wires lists the sizes, metric ones first, each kind from the thinnest up.
var wires = func() []wire {
	var out []wire
	for _, mm2 := range []float64{0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10} {
		out = append(out, wire{plainNumber(mm2), plainNumber(mm2) + " mm²",
			func() (aids.Conductor, error) { return aids.Metric(mm2, aids.Stranded) },
			func() (units.Amps, error) { return aids.MetricCordAmpacity(mm2) }})
	}
	for _, awg := range []string{"18", "16", "14", "12", "10", "8"} {
		out = append(out, wire{"awg " + awg, awg + " AWG",
			func() (aids.Conductor, error) { return aids.AWG(awg, aids.Stranded) },
			func() (units.Amps, error) { return aids.CordAmpacity(awg, 2) }})
	}
	return out
}()

// cord says whether a loose cord of a size may carry a current. bears is false
// where it may not.
func cord(of wire, amps units.Amps) (says string, bears bool) {
	most, err := of.ampacity()
	if err != nil {
		return firstUpper(err.Error()) + ".", false
	}
	a := func(v units.Amps) string { return say.Amount(float64(v), 1, "A") }
	up := units.Amps(math.Ceil(float64(amps)*10-1e-9) / 10)
	may := a(up) + wCordMay + of.name + wCordMayIs + a(most)
	switch aids.Bear(amps, most) {
	case aids.BearsWell:
		return wCordWell + may + wCordReel, true
	case aids.BearsBarely:
		return wCordBarely + may + wCordCool, true
	}
	says = wCordNo + may + wCordBurns
	metric := !strings.HasPrefix(of.value, "awg")
	for _, w := range wires {
		if most, err := w.ampacity(); err == nil && metric != strings.HasPrefix(w.value, "awg") && aids.Bear(amps, most) != aids.BearsNot {
			return says + wCordTake + w.name + wCordOrLess, false
		}
	}
	return says + wCordNone, false
}

// cable is what a cable may carry, and what a run of it loses.
func (a *App) cable(f *Form) {
	power, from, length, size := 0.0, 12.0, 0.0, "2.5"
	if a.book != nil && a.book.Plan.Mains > 0 {
		from = float64(a.book.Plan.Mains)
	}
	carries, loses := wCableAsk, ""
	reckon := func() {
		carries, loses = wCableAsk, ""
		if power == 0 {
			return
		}
		of := wires[slices.IndexFunc(wires, func(w wire) bool { return w.value == size })]
		amps := units.Amps(power / from)
		var bears bool
		if carries, bears = cord(of, amps); !bears {
			return
		}
		if length == 0 {
			loses = wCableLong
			return
		}
		c, err := of.conductor()
		if err != nil {
			loses = firstUpper(err.Error()) + "."
			return
		}
		d := aids.CableDrop(c, length, amps, units.Volts(from), cableWarm)
		if d.Share >= 1 {
			loses = wCableCant
			return
		}
		loses = wCableLoses + say.Amount(math.Ceil(float64(d.Volts)*10)/10, 1, "V") + wCableShare + say.Amount(math.Ceil(d.Share*1000)/10, 1, "%") + wCableOf + say.Watts(math.Ceil(float64(d.Watts))) + wCableHeat
		if d.Share > aids.MostDrop {
			loses += wCableThick
		}
	}
	sizes := &Choice{ID: "cable-size", Legend: wCableSize, Value: size, take: func(v string) { size = v; reckon() }}
	for _, w := range wires {
		sizes.Options = append(sizes.Options, Option{w.value, w.name, ""})
	}
	through := number("cable-watts", wCableWatts, watts, load.RunningRange, 1, "", func(v float64) { power = v; reckon() }).
		orEmpty(func() { power = 0; reckon() }, func() string { return "" })
	through.Hint = wCableMotor
	f.items = append(f.items, Item{Heading: wCable},
		Item{Field: through},
		Item{Field: number("cable-volts", wCableVolts, volts, doc.Range{Low: 5, High: 260, Unit: "V"}, 1, plainNumber(from), func(v float64) { from = v; reckon() })},
		Item{Field: number("cable-length", wCableLength, metres, aids.CableLengthRange, 1, "", func(v float64) { length = v; reckon() }).
			orEmpty(func() { length = 0; reckon() }, func() string { return "" })},
		Item{Choice: sizes}, Item{note: &carries}, Item{note: &loses})
	source(f, aids.CordSource)
	cite(f, aids.MetricCordSource)
	source(f, aids.CableSource)
}

// cableWarm is the copper's temperature counted with: a cable in use in a warm
// room (common practice).
const cableWarm units.Celsius = 40
