package ui

import (
	"math"
	"slices"
	"strings"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/inverter"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// supplyForm builds the questions about the supply. supply gives it as it now
// stands (what an empty box stands for hangs on the other answers); edit puts
// an answer into it.
func supplyForm(supply func() plan.Supply, fahrenheit bool, edit func(change func(s *plan.Supply))) *Form {
	s := supply()
	f := &Form{}
	add := func(it Item) { f.items = append(f.items, it) }
	bat := func(change func(b *battery.Battery)) {
		edit(func(s *plan.Supply) { begin(&s.Battery); change(&s.Battery) })
	}
	inv := func(change func(v *inverter.Inverter)) { edit(func(s *plan.Supply) { change(&s.Inverter) }) }

	add(Item{Heading: "The battery"})
	capacity := capacityField("supply-capacity", "Capacity on the label", s.Battery.Capacity, func(v units.WattHours) {
		edit(func(s *plan.Supply) { setCapacity(s, v) })
	})
	add(Item{Field: capacity})
	kinds := make([]Option, len(battery.Chemistries))
	for i, c := range battery.Chemistries {
		kinds[i] = Option{string(c), c.Name(), chemistryHow[string(c)]}
	}
	kind := string(kindOf(s))
	add(Item{Choice: &Choice{ID: "supply-chemistry", Legend: "What kind of battery?", Value: kind, Options: kinds,
		take: func(v string) { bat(func(b *battery.Battery) { b.Chemistry = battery.Chemistry(v) }) }}})

	age := number("supply-age", "How old is it", years, battery.AgeRange, 1, amount(s.Battery.AgeYears),
		func(v float64) { bat(func(b *battery.Battery) { b.AgeYears = v }) }).
		orEmpty(func() { bat(func(b *battery.Battery) { b.AgeYears = 0 }) }, func() string { return "Left empty: counted as new" })
	add(Item{Field: age})
	add(Item{Field: number("supply-stands", "At what charge does it stand most of the time", percent, battery.StandsAtRange, 0.01, maybe(s.Battery.StandsAt, 100),
		func(v float64) { bat(func(b *battery.Battery) { b.StandsAt = &v }) }).
		orEmpty(func() { bat(func(b *battery.Battery) { b.StandsAt = nil }) }, func() string { return "Left empty: counted as full, where it ages fastest" }),
		show: func() bool { return kindOf(supply()) == battery.LFP }}) // of the others it isn't known well enough
	cycles := Item{Field: number("supply-cycles", "How often was it used up and charged again", plain, battery.CyclesRange, 1, plainNumber(s.Battery.Cycles),
		func(v float64) { bat(func(b *battery.Battery) { b.Cycles = v }) })}
	room := s.Battery.Room
	if s.Battery.Chemistry == "" {
		room = battery.DefaultRoom
	}
	// The night is never counted warmer than the day, whichever is typed first.
	night := s.Battery.Night
	setRoom := func(change func(b *battery.Battery)) {
		bat(func(b *battery.Battery) {
			change(b)
			if b.Night = nil; night != nil {
				b.Night = new(min(*night, float64(b.Room)))
			}
		})
	}
	add(Item{Field: temperatureField("supply-room", "How warm is the room it stands in", fahrenheit, battery.RoomRange, room,
		func(v units.Celsius) { setRoom(func(b *battery.Battery) { b.Room = v }) })})
	cold := room
	if night != nil {
		cold = units.Celsius(*night)
	}
	colder := temperatureField("supply-night", "How cold it gets there at night", fahrenheit, battery.RoomRange, cold, func(v units.Celsius) {
		night = new(float64(v))
		setRoom(func(*battery.Battery) {})
	})
	if night == nil {
		colder.Raw = ""
	}
	add(Item{Field: colder.orEmpty(func() { night = nil; setRoom(func(*battery.Battery) {}) }, func() string { return "Left empty: as warm as by day" })})
	lowest := units.Celsius(0)
	if l := s.Battery.Lowest; l != nil {
		lowest = units.Celsius(*l)
	}
	stops := temperatureField("supply-lowest", "How cold its label lets it work", fahrenheit, battery.LowestRange, lowest,
		func(v units.Celsius) { bat(func(b *battery.Battery) { b.Lowest = new(float64(v)) }) })
	if s.Battery.Lowest == nil {
		stops.Raw = ""
	}
	add(Item{Field: stops.orEmpty(func() { bat(func(b *battery.Battery) { b.Lowest = nil }) }, func() string {
		lowest, ok := supply().Battery.Gives()
		if !ok {
			return ""
		}
		return wWeCountOn + bothDegrees(lowest)
	})})

	add(Item{Heading: "What its gauge shows"})
	gauge := &Choice{ID: "supply-gauge", Legend: "How does it show what is left?", Value: string(s.Gauge.Kind)}
	for _, g := range []plan.GaugeKind{plan.Percent, plan.Bars, plan.Volts, plan.NoGauge} {
		gauge.Options = append(gauge.Options, Option{Value: string(g), Label: gaugeNames[string(g)]})
	}
	n := s.Gauge.Bars
	if n == 0 {
		n = 5
	}
	barsField := number("supply-bars", "How many bars when full", plain, plan.BarsRange, 1, plainNumber(float64(n)),
		func(v float64) { edit(func(s *plan.Supply) { s.Gauge.Bars = int(v) }) }).whole()
	gauge.take = func(v string) {
		edit(func(s *plan.Supply) {
			s.Gauge.Kind = plan.GaugeKind(v)
			if s.Gauge.Kind == plan.Bars && s.Gauge.Bars == 0 {
				s.Gauge.Bars = n
			}
		})
	}
	add(Item{Choice: gauge})
	add(Item{Field: barsField, show: func() bool { return gauge.Value == string(plan.Bars) }})

	add(Item{Heading: "The inverter, for mains sockets"})
	add(Item{Field: number("supply-continuous", "Power it carries for hours", watts, inverter.ContinuousRange, 1, amount(float64(s.Inverter.Continuous)),
		func(v float64) { inv(func(i *inverter.Inverter) { i.Continuous = units.Watts(v) }) }).
		orEmpty(func() { inv(func(i *inverter.Inverter) { i.Continuous = 0 }) }, func() string {
			if !hasBattery(supply()) {
				return ""
			}
			return wWeCountOn + say.Watts(float64(supply().UsualInverter().Continuous))
		})})
	unknown := func(id, label string, u unit, in doc.Range, scale float64, get func(v *inverter.Inverter) **float64, usual func(v inverter.Inverter) string) Item {
		v := s.Inverter
		return Item{Field: number(id, label, u, in, scale, maybe(*get(&v), 1/scale),
			func(x float64) { inv(func(v *inverter.Inverter) { *get(v) = &x }) }).
			orEmpty(func() { inv(func(v *inverter.Inverter) { *get(v) = nil }) }, func() string {
				if !hasBattery(supply()) {
					return ""
				}
				return wWeCountOn + usual(supply().UsualInverter())
			})}
	}
	add(unknown("supply-surge", "Power it carries for a moment", watts, inverter.SurgeRange, 1,
		func(v *inverter.Inverter) **float64 { return &v.SurgeW },
		func(v inverter.Inverter) string { return say.Watts(float64(v.Limits().Surge)) }))

	add(Item{Heading: "What charges it"})
	source := func(id, label string, u unit, in doc.Range, kind charge.Kind, unknown func() string, get func(charge.Input) float64, make func(v float64) charge.Input) {
		now := 0.0
		if i := inputAt(s, kind); i >= 0 {
			now = get(s.Inputs[i])
		}
		add(Item{Field: number(id, label, u, in, 1, amount(now),
			func(v float64) { edit(func(s *plan.Supply) { setInput(s, kind, make(v)) }) }).
			orEmpty(func() { edit(func(s *plan.Supply) { dropInput(s, kind) }) }, unknown)})
	}
	none := func() string { return "" }
	throughIt := func() string {
		if inputAt(supply(), charge.Generator) < 0 {
			return ""
		}
		return wWeCountOn + say.Watts(float64(charge.Power(supply().Inputs, charge.Generator))) + wThroughIt
	}
	source("supply-wall", "Its wall adapter", watts, charge.WattsRange, charge.Wall, throughIt,
		func(in charge.Input) float64 { return float64(in.Watts) },
		func(v float64) charge.Input { return charge.Input{Kind: charge.Wall, Watts: units.Watts(v)} })
	source("supply-car", "From a car’s 12 V socket", ampsUnit, charge.AmpsRange, charge.Car, none,
		func(in charge.Input) float64 { return float64(in.Amps) },
		func(v float64) charge.Input { return charge.Input{Kind: charge.Car, Volts: 12, Amps: units.Amps(v)} })
	source("supply-generator", "From a generator", watts, charge.WattsRange, charge.Generator, none,
		func(in charge.Input) float64 { return float64(in.Watts) },
		func(v float64) charge.Input { return charge.Input{Kind: charge.Generator, Watts: units.Watts(v)} })
	var gives string
	add(Item{note: &gives, show: func() bool { gives = generatorGives(supply().Inputs); return gives != "" }})
	add(Item{Text: wSupplySun})

	more := &Tick{ID: "supply-more", Label: "I know more about it", Hint: "charges so far, losses, limits, what was measured", On: knownInDetail(s), take: func(bool) {}}
	inDetail := func() bool { return more.On }
	detail := func(it Item) { it.show = inDetail; add(it) }
	add(Item{Tick: more})
	detail(cycles)
	detail(Item{Field: number("supply-backon", "Once empty, comes back on at a charge of", percent, plan.BackOnRange, 0.01, maybe(s.BackOn, 100),
		func(v float64) { edit(func(s *plan.Supply) { s.BackOn = &v }) }).
		orEmpty(func() { edit(func(s *plan.Supply) { s.BackOn = nil }) }, func() string { return wWeCountOn + say.Percent(plan.DefaultBackOn) })})
	detail(unknown("supply-va", "Apparent power it carries", voltamps, inverter.ContinuousVARange, 1,
		func(v *inverter.Inverter) **float64 { return &v.ContinuousVA },
		func(v inverter.Inverter) string { return say.Amount(float64(v.Limits().ContinuousVA), 0, "VA") }))
	detail(unknown("supply-idle", "What it draws itself, switched on with nothing plugged in", watts, inverter.IdleRange, 1,
		func(v *inverter.Inverter) **float64 { return &v.IdleW },
		func(v inverter.Inverter) string { return say.Watts(float64(v.Idle())) }))
	detail(unknown("supply-efficiency", "Efficiency", percent, inverter.EfficiencyRange, 0.01,
		func(v *inverter.Inverter) **float64 { return &v.Efficiency },
		func(v inverter.Inverter) string { return say.Percent(v.Point().Efficiency) + " at half power" }))
	detail(Item{Tick: &Tick{ID: "supply-off", Label: "I switch it off while nothing on mains is needed", On: s.Inverter.OffWhenUnused,
		take: func(on bool) { inv(func(v *inverter.Inverter) { v.OffWhenUnused = on }) }}})
	detail(unknown("supply-surge-s", "How long that moment is", seconds, inverter.SurgeTimeRange, 1,
		func(v *inverter.Inverter) **float64 { return &v.SurgeS },
		func(v inverter.Inverter) string { return say.Amount(v.Limits().SurgeS, 1, "s") }))
	health := number("supply-health", "What a full charge really gives, against the label", percent, battery.HealthRange, 0.01, maybe(s.Battery.Health, 100),
		func(v float64) { bat(func(b *battery.Battery) { b.Health = &v }) }).
		orEmpty(func() { bat(func(b *battery.Battery) { b.Health = nil }) }, func() string {
			if !hasBattery(supply()) {
				return ""
			}
			return wWeCountOn + say.Percent(supply().Battery.StateOfHealth()) + ", from its age and use"
		})
	detail(Item{Field: health})
	cut := number("supply-cutoff", "Share it keeps back, shown empty", percent, battery.CutoffRange, 0.01, maybe(s.Battery.Cutoff, 100),
		func(v float64) { bat(func(b *battery.Battery) { b.Cutoff = &v }) }).
		orEmpty(func() { bat(func(b *battery.Battery) { b.Cutoff = nil }) }, func() string {
			if !hasBattery(supply()) {
				return ""
			}
			return wWeCountOn + say.Percent(supply().Battery.Chemistry.Cutoff())
		})
	detail(Item{Field: cut})
	detail(Item{Field: number("supply-dc", "Efficiency of its USB and 12 V sockets", percent, plan.DCRange, 0.01, plainNumber(s.DCEfficiency*100),
		func(v float64) { edit(func(s *plan.Supply) { s.DCEfficiency = v }) })})
	return f
}

// knownInDetail reports whether more is known of a supply than most people do.
func knownInDetail(s plan.Supply) bool {
	b, v := s.Battery, s.Inverter
	for _, known := range []*float64{b.Health, b.Cutoff, v.ContinuousVA, v.SurgeS, v.IdleW, v.Efficiency} {
		if known != nil {
			return true
		}
	}
	return b.Cycles > 0 || s.BackOn != nil || v.OffWhenUnused || s.DCEfficiency != plan.DefaultDCEfficiency
}

// inputAt is the index of the first input of a kind; -1 when there is none.
func inputAt(s plan.Supply, kind charge.Kind) int {
	return slices.IndexFunc(s.Inputs, func(in charge.Input) bool { return in.Kind == kind })
}

// setInput puts an input in the place of the first of its kind; what else was
// known of that one stays.
func setInput(s *plan.Supply, kind charge.Kind, in charge.Input) {
	inputs := slices.Clone(s.Inputs)
	switch i := inputAt(*s, kind); {
	case i >= 0:
		old := inputs[i]
		in.Fuse, in.Fuel, in.Tank, in.Unknown = old.Fuse, old.Fuel, old.Tank, old.Unknown
		if old.Volts > 0 {
			in.Volts = old.Volts
		}
		inputs[i] = in
	case len(inputs) < charge.MostInputs:
		inputs = append(inputs, in)
	}
	s.Inputs = inputs
}

// dropInput removes the first input of a kind.
func dropInput(s *plan.Supply, kind charge.Kind) {
	if i := inputAt(*s, kind); i >= 0 {
		s.Inputs = slices.Delete(slices.Clone(s.Inputs), i, i+1)
	}
}

func hasBattery(s plan.Supply) bool { return s.Battery.Capacity > 0 }

// capacityField is a field for watt-hours that also takes amp-hours with volts:
// "100 Ah 12 V".
func capacityField(id, label string, at units.WattHours, set func(units.WattHours)) *Field {
	f := number(id, label, wattHours, battery.CapacityRange, 1, amount(float64(at)), func(v float64) { set(units.WattHours(v)) })
	f.Hint = "Where the label gives amp-hours, type both: 100 Ah 12 V."
	f.none = func() { set(0) }
	asNumber := f.take
	f.take = func(raw string) (echo, wrong string) {
		wh, ask, ok := ampHours(raw)
		if low := strings.ToLower(raw); !ok && strings.Contains(low, "ah") && !strings.Contains(low, "v") {
			return "", label + ": " + wAddVolts
		}
		if !ok {
			return asNumber(raw)
		}
		if f.Either = ask; ask != nil {
			return wEitherWay, label + ": " + quote(raw) + wEitherWrong
		}
		if wrong := outside(battery.CapacityRange, label, raw, wh); wrong != "" {
			return "", wrong
		}
		set(units.WattHours(wh))
		return wReadAs + say.WattHours(wh), ""
	}
	return f
}

// ampHours reads "100 Ah 12 V", "12V 100Ah" or "20,000 mAh 3.7 V", with an x or
// × between if need be; ask is what is to be asked of the amp-hours.
func ampHours(raw string) (wh float64, ask []Meaning, ok bool) {
	s := strings.ToLower(raw)
	i := strings.Index(s, "ah")
	if i < 0 {
		return 0, nil, false
	}
	first, rest := s[:i], s[i+2:]
	volts := rest
	if j := strings.IndexByte(first, 'v'); j >= 0 { // volts came first
		if strings.TrimSpace(rest) != "" {
			return 0, nil, false
		}
		volts, first = first[:j+1], first[j+1:]
	}
	first = strings.TrimLeft(first, " x×*,@")
	ah := say.Readings(first)
	v, ok2 := say.ParseNumber(strings.TrimLeft(volts, " x×*,@"))
	if len(ah) == 0 || !ok2 || ah[0].Value < 0 || v.Value < 0 || v.Unit != "v" && v.Unit != "volt" && v.Unit != "volts" {
		return 0, nil, false
	}
	part := 1.0
	switch ah[0].Unit {
	case "":
	case "m": // milliamp-hours, as on a power bank
		part = 1000
	default:
		return 0, nil, false
	}
	wh, ask = settle(first, ah, func(typed float64) float64 { return typed * v.Value / part }, battery.CapacityRange, "Wh")
	return wh, ask, true
}

// kindOf is what kind of battery a supply is taken to have until it is told.
func kindOf(s plan.Supply) battery.Chemistry {
	if s.Battery.Chemistry == "" {
		return battery.LFP
	}
	return s.Battery.Chemistry
}

// temperatureField is a field for a temperature, in the scale its owner reads.
// A typed "F" or "C" overrules it.
func temperatureField(id, label string, fahrenheit bool, in doc.Range, at units.Celsius, set func(units.Celsius)) *Field {
	mark := "°C"
	toOwn := func(c float64) float64 { return c }
	if fahrenheit {
		mark = "°F"
		toOwn = func(c float64) float64 { return c*1.8 + 32 }
	}
	// No inputmode: some keypads lack the minus.
	f := &Field{ID: id, Label: label + ", in " + mark, Unit: mark, Mode: "text", Raw: plainNumber(math.Round(toOwn(float64(at))*10) / 10)}
	f.take = func(raw string) (echo, wrong string) {
		typed, ok := say.ParseNumber(raw)
		v := typed.Value
		given := strings.Trim(typed.Unit, "° ")
		switch {
		case !ok || given != "" && given != "c" && given != "f":
			if strings.TrimSpace(raw) == "" {
				return "", label + ": " + wEnterNumber + plainNumber(toOwn(20)) + "."
			}
			return "", label + ": " + quote(raw) + " must be a number, like " + plainNumber(toOwn(20)) + "."
		case given == "f", given == "" && fahrenheit:
			v = (v - 32) / 1.8
		}
		if in.Check("", v) != nil {
			own := doc.Range{Low: toOwn(in.Low), High: toOwn(in.High), Unit: mark}
			if wrong := outside(own, label, raw, toOwn(v)); wrong != "" {
				return "", wrong
			}
			v = max(in.Low, min(v, in.High)) // beyond by a rounding only
		}
		set(units.Celsius(v))
		if given != "" && (given == "f") != fahrenheit {
			echo = wReadAs + say.Amount(toOwn(v), 0, mark)
		}
		return echo, ""
	}
	return f
}

// preset is a supply by size, for those who can't find a label.
type preset struct {
	key, label, hint string
	capacity         units.WattHours
	chemistry        battery.Chemistry
	continuous       units.Watts
	surge            float64
}

// presets are generic sizes (common practice; no maker's figures). A power
// station carries about one watt per watt-hour.
var presets = []preset{
	{"nmc-74", "A power bank for phones", "20,000 mAh, about 74 Wh; USB only", 74, battery.NMC, usbOnly, usbOnly},
	{"lfp-300", "A small power station", "carried in one hand, about 300 Wh", 300, battery.LFP, 300, 600},
	{"lfp-500", "A middling power station", "a shoebox or two, about 500 Wh", 500, battery.LFP, 500, 1000},
	{"lfp-1000", "A kilowatt-hour power station", "a beer crate, about 1,000 Wh", 1000, battery.LFP, 1000, 2000},
	{"lfp-2000", "A big power station", "heavy to lift alone, about 2,000 Wh", 2000, battery.LFP, 2000, 4000},
	{"nmc-500", "A light power station of some years ago", "about 500 Wh", 500, battery.NMC, 300, 600},
	{"agm-100", "A sealed lead battery and an inverter", "100 Ah at 12 V", 1200, battery.AGM, 600, 1200},
	{"flooded-100", "A leisure battery topped up with water, and an inverter", "100 Ah at 12 V", 1200, battery.Flooded, 600, 1200},
	{"lfp-5000", "A wall battery", "about 5,000 Wh", 5000, battery.LFP, 3000, 5000},
}

// usbOnly is what a supply without mains sockets is said to carry on them, in W:
// the least that can be said, so that nothing is counted as running there.
const usbOnly = 1

// ofPreset reports whether what a supply carries is that of a preset taken by its
// size, and nobody's own figure.
func ofPreset(s plan.Supply) bool {
	return slices.ContainsFunc(presets, func(p preset) bool {
		return p.label == s.Name && p.continuous == s.Inverter.Continuous && s.Inverter.SurgeW != nil && *s.Inverter.SurgeW == p.surge
	})
}

// apply makes the supply that of the preset; what is known of the gauge stays.
func (p preset) apply(s *plan.Supply) {
	surge := p.surge
	s.Name = p.label
	setCapacity(s, p.capacity) // for the room's temperature
	s.Battery = battery.Battery{Chemistry: p.chemistry, Capacity: p.capacity, Room: s.Battery.Room, AgeYears: s.Battery.AgeYears, Cycles: s.Battery.Cycles}
	s.Inverter = inverter.Inverter{}
	if p.continuous > 0 {
		s.Inverter = inverter.Inverter{Continuous: p.continuous, SurgeW: &surge, OffWhenUnused: p.continuous == usbOnly}
	}
}
