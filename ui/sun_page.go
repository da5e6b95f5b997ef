package ui

import (
	"strings"

	"github.com/vugu/vugu"

	"candleclock/engine/aids"
	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/load"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/sun"
	"candleclock/engine/units"
)

func loadMinute(hour int) load.Minute { return load.Minute(hour * 60 % 1440) }
func minuteOf(m int) load.Minute      { return load.Minute(m) }

// SunView is what the page Sun shows.
func (a *App) SunView() *SunView { return a.sun }

// The place.

// Towns lists the towns that the search finds.
func (a *App) Towns() []sun.Town { return sun.TownsLike(a.query, 12) }

// TownNote says that none is found.
func (a *App) TownNote() string {
	if strings.TrimSpace(a.query) != "" && len(a.Towns()) == 0 {
		return wPlaceNone
	}
	return ""
}

// SearchTown is a keystroke in the town's box.
func (a *App) SearchTown(event vugu.DOMEvent) {
	r := []rune(event.PropString("target", "value"))
	a.query = string(r[:min(len(r), 60)])
}

// TakeTown sets the place to a town's.
func (a *App) TakeTown(t sun.Town) {
	a.setPlace(t.Name(), float64(t.Lat), float64(t.Lon))
}

// Here asks the device where it is.
func (a *App) Here() {
	a.ports.Device.Position(func(lat, lon float64, err error) {
		if err != nil || plan.LatRange.Check("", lat) != nil || plan.LonRange.Check("", lon) != nil {
			a.tell(wPlaceFailed, nil)
			return
		}
		// A tenth of a degree is all that the climate can use; a plan that is
		// handed on need not say more.
		a.setPlace("", tenth(lat), tenth(lon))
	})
}

func tenth(v float64) float64 {
	t := v * 10
	if t < 0 {
		return float64(int(t-0.5)) / 10
	}
	return float64(int(t+0.5)) / 10
}

func (a *App) setPlace(name string, lat, lon float64) {
	if a.book == nil {
		return
	}
	before := a.book.Plan.Place
	a.edit(func(p *plan.Plan) {
		p.Place.Name, p.Place.Lat, p.Place.Lon = name, &lat, &lon
		// The clock's offset is known where the place is in the device's zone,
		// which only its owner can say; far from it the sun's own time serves.
		p.Place.Offset = nil
	})
	a.Go(pageSun)
	a.tell(wPlaceSet+a.sun.Place(), func() {
		a.edit(func(p *plan.Plan) { p.Place = before })
		a.refresh()
	})
}

// placeForm asks for coordinates.
func (a *App) placeForm() *Form {
	p := a.book.Plan.Place
	lat, lon := 0.0, 0.0
	if p.Lat != nil && p.Lon != nil {
		lat, lon = *p.Lat, *p.Lon
	}
	set := func() {
		a.edit(func(p *plan.Plan) {
			x, y := lat, lon
			p.Place.Name, p.Place.Lat, p.Place.Lon, p.Place.Offset = "", &x, &y, nil
		})
	}
	raw := func(v *float64) string { return maybe(v, 1) }
	la := number("place-lat", "Latitude", degreesUnit, plan.LatRange, 1, raw(p.Lat), func(v float64) { lat = v; set() })
	lo := number("place-lon", "Longitude", degreesUnit, plan.LonRange, 1, raw(p.Lon), func(v float64) { lon = v; set() })
	la.Mode, lo.Mode = "text", "text" // some keypads lack the minus
	la.Hint, lo.Hint = "North of the equator positive, south negative.", "East of Greenwich positive, west negative."
	return &Form{items: []Item{{Heading: "Or by coordinates"}, {Field: la}, {Field: lo}}}
}

var (
	degreesUnit = unit{"degrees", "°", "45", map[string]float64{"°": 1, "deg": 1, "degrees": 1}}
	voltsUnit   = unit{"volts", "V", "21.8", map[string]float64{"v": 1, "volt": 1, "volts": 1}}
	ampsUnit    = unit{"amps", "A", "5.9", map[string]float64{"a": 1, "amp": 1, "amps": 1}}
	metresUnit  = unit{"metres", "m", "10", map[string]float64{"m": 1, "metres": 1, "meters": 1, "ft": 0.3048, "feet": 0.3048}}
	squareUnit  = unit{"square millimetres", "mm²", "4", map[string]float64{"mm²": 1, "mm2": 1}}
	perDegree   = unit{"percent per °C", "%/°C", "-0.29", map[string]float64{"%/°c": 1, "%": 1}}
)

// Panels and input.

// panelsDraft is what stands in the form of the panels; it goes into the plan
// once it is whole.
type panelsDraft struct {
	count int
	label panel.Label
	input charge.Input
	at    int // of the input in the plan; -1: not there yet
}

// panelsForm asks for the panels and for what the supply's input allows.
func (a *App) panelsForm() *Form {
	p := a.book.Plan
	d := &panelsDraft{count: p.Panels.Count, label: p.Panels.Label, at: -1, input: charge.Input{Kind: charge.Panel}}
	for i, in := range p.Supply.Inputs {
		if in.Kind == charge.Panel {
			d.at, d.input = i, in
			break
		}
	}
	f := &Form{}
	add := func(it Item) { f.items = append(f.items, it) }
	missing := &Item{}
	commit := func() { missing.Text = a.commitPanels(d) }
	opt := func(id, label string, u unit, in doc.Range, now float64, set func(v float64)) *Field {
		return orNone(id, label, u, in, now, func(v float64) { set(v); commit() })
	}
	free := func(id, label string, u unit, in doc.Range, now *float64, blank string, set func(v *float64)) *Field {
		return number(id, label, u, in, 1, maybe(now, 1), func(v float64) { set(&v); commit() }).
			orEmpty(func() { set(nil); commit() }, func() string { return blank })
	}

	add(Item{Heading: "The panels"})
	add(Item{Field: opt("panel-count", "How many alike", plain, panel.CountRange, float64(d.count), func(v float64) { d.count = int(v) }).whole()})
	add(Item{Field: opt("panel-watts", "Power of one (Pmax)", watts, panel.PmaxRange, float64(d.label.Pmax), func(v float64) { d.label.Pmax = units.Watts(v) })})
	add(Item{Field: opt("panel-voc", "Open-circuit voltage (Voc)", voltsUnit, panel.VoltsRange, float64(d.label.Voc), func(v float64) { d.label.Voc = units.Volts(v) })})
	add(Item{Field: opt("panel-vmp", "Voltage at full power (Vmp)", voltsUnit, panel.VoltsRange, float64(d.label.Vmp), func(v float64) { d.label.Vmp = units.Volts(v) })})
	add(Item{Field: opt("panel-isc", "Short-circuit current (Isc)", ampsUnit, panel.AmpsRange, float64(d.label.Isc), func(v float64) { d.label.Isc = units.Amps(v) })})
	cells := opt("panel-cells", "Label gone? How many cells it shows", plain, panel.CellsRange, float64(d.label.Cells), func(v float64) { d.label.Cells = int(v) }).whole()
	cells.Hint = "Count the squares on the glass. Power and cells are enough for a wary answer."
	add(Item{Field: cells})
	beta := free("panel-beta", "Voltage change with heat", perDegree, panel.VocPctRange, d.label.VocPct, "Left empty: the electrical code’s table", func(v *float64) { d.label.VocPct = v })
	beta.Mode = "text"
	add(Item{Field: beta})

	f.items = append(f.items, inputItems("What the supply’s panel input allows", &d.input, commit)...)

	panels := func(change func(p *plan.Panels)) { a.edit(func(p *plan.Plan) { change(&p.Panels) }) }
	add(Item{Heading: "How they lie"})
	mount := &Choice{ID: "panel-mount", Legend: "They are", Value: string(p.Panels.Mount), Options: options(plan.Mounts, mountNames)}
	if mount.Value == "" {
		mount.Value = string(plan.Leaned)
	}
	mount.take = func(v string) { panels(func(p *plan.Panels) { p.Mount = plan.Mount(v) }) }
	is := func(of ...plan.Mount) func() bool {
		return func() bool {
			for _, m := range of {
				if mount.Value == string(m) {
					return true
				}
			}
			return false
		}
	}
	add(Item{Choice: mount})
	tilt := number("panel-tilt", "Tilt from level", degreesUnit, plan.TiltRange, 1, maybe(p.Panels.Tilt, 1), func(v float64) { panels(func(p *plan.Panels) { p.Tilt = &v }) }).
		orEmpty(func() { panels(func(p *plan.Panels) { p.Tilt = nil }) }, func() string { return "Left empty: the best of the month" })
	add(Item{Field: tilt, show: is(plan.Leaned, plan.Turned)})
	face := number("panel-azimuth", "Facing, by compass", degreesUnit, plan.AzimuthRange, 1, maybe(p.Panels.Azimuth, 1), func(v float64) { panels(func(p *plan.Panels) { p.Azimuth = &v }) }).
		orEmpty(func() { panels(func(p *plan.Panels) { p.Azimuth = nil }) }, func() string { return "Left empty: toward the midday sun" })
	face.Hint = "0 is north, 90 east, 180 south, 270 west."
	add(Item{Field: face, show: is(plan.Leaned, plan.Rail, plan.Wall)})

	lead := func(id, label string, u unit, in doc.Range, get func(p *plan.Panels) **float64, hint string) {
		p := p.Panels
		f := number(id, label, u, in, 1, maybe(*get(&p), 1), func(v float64) { panels(func(p *plan.Panels) { *get(p) = &v }) }).
			orEmpty(func() { panels(func(p *plan.Panels) { *get(p) = nil }) }, func() string { return "" })
		f.Hint = hint
		add(Item{Field: f})
	}
	lead("panel-cable", "Cable from the panels to the supply", metresUnit, plan.CableRange, func(p *plan.Panels) **float64 { return &p.CableM }, "One way. With its copper below, its loss is counted.")
	lead("panel-section", "Copper of that cable", squareUnit, aids.SectionRange, func(p *plan.Panels) **float64 { return &p.CableMM2 }, "")

	shade := &Choice{ID: "panel-shade", Legend: "When does the sun reach them?", Value: "all", Options: []Option{{"all", "All day", ""}, {"some", "Only some hours", ""}}}
	from, to := loadMinute(10), loadMinute(16)
	if p.Panels.SunFrom != nil && p.Panels.SunTo != nil {
		shade.Value, from, to = "some", *p.Panels.SunFrom, *p.Panels.SunTo
	}
	some := func() bool { return shade.Value == "some" }
	setShade := func() {
		if some() && from >= to {
			return // told beside the box; all day would be too much
		}
		panels(func(p *plan.Panels) {
			p.SunFrom, p.SunTo = nil, nil
			if some() {
				x, y := from, to
				p.SunFrom, p.SunTo = &x, &y
			}
		})
	}
	shade.take = func(string) { setShade() }
	add(Item{Choice: shade})
	clock := a.prefs.clock()
	since := clockField("panel-from", "Sun from", clock, from, func(m load.Minute) { from = m; setShade() })
	takeSince := since.take
	since.take = func(raw string) (string, string) {
		echo, wrong := takeSince(raw)
		if wrong == "" && to <= from {
			return "", "Sun from: " + clock.Minute(from) + " must be earlier than " + clock.Minute(to) + "."
		}
		return echo, wrong
	}
	add(Item{Field: since, show: some})
	until := clockField("panel-to", "Sun until", clock, to, func(m load.Minute) { to = m; setShade() })
	takeUntil := until.take
	until.take = func(raw string) (string, string) {
		echo, wrong := takeUntil(raw)
		if wrong == "" && to <= from {
			return "", "Sun until: " + clock.Minute(to) + " must be later than " + clock.Minute(from) + "."
		}
		return echo, wrong
	}
	add(Item{Field: until, show: some})
	add(Item{Field: number("panel-lost", "Light lost to branches or a window pane", percent, plan.ShadeRange, 0.01, plainNumber(p.Panels.Shade*100),
		func(v float64) { panels(func(p *plan.Panels) { p.Shade = v }) })})
	f.items = append([]Item{{note: &missing.Text}}, f.items...)
	commit()
	return f
}

// orNone is a field for a figure of which 0 is none.
func orNone(id, label string, u unit, in doc.Range, now float64, set func(v float64)) *Field {
	return number(id, label, u, in, 1, amount(now), set).orEmpty(func() { set(0) }, func() string { return "" })
}

// inputItems asks what a panel input allows; commit is called when in has
// changed.
func inputItems(heading string, in *charge.Input, commit func()) []Item {
	most := orNone("input-max", "Highest voltage", voltsUnit, charge.MaxVRange, float64(in.MaxV), func(v float64) { in.MaxV = units.Volts(v); commit() })
	most.Hint = "The figure that must never be passed."
	return []Item{
		{Heading: heading},
		{Field: orNone("input-min", "Lowest voltage", voltsUnit, charge.MinVRange, float64(in.MinV), func(v float64) { in.MinV = units.Volts(v); commit() })},
		{Field: most},
		{Field: orNone("input-amps", "Highest current", ampsUnit, charge.MaxARange, float64(in.MaxA), func(v float64) { in.MaxA = units.Amps(v); commit() })},
		{Field: orNone("input-watts", "Highest power", watts, charge.MaxWRange, float64(in.MaxW), func(v float64) { in.MaxW = units.Watts(v); commit() })},
	}
}

// inputLacks says what an input still lacks; any reports whether anything is
// known of it.
func inputLacks(in charge.Input) (lacks string, any bool) {
	if in.MaxV == 0 && in.MaxW == 0 && in.MaxA == 0 && in.MinV == 0 {
		return "", false
	}
	r := doc.Read(in.Write().Bytes(), "")
	if charge.Read(r); r.Err() != nil {
		return wInputWants + wantSays(r.Err()), true
	}
	return "", true
}

var mountNames = map[string]string{
	"leaned": "Leaned, facing one way",
	"flat":   "Flat on the ground or a flat roof",
	"rail":   "Hung on a balcony’s rail",
	"wall":   "Upright on a wall or in a window",
	"turned": "Leaned, and turned to the sun three times a day",
}

// commitPanels puts a draft into the plan when it is whole; else it says what is
// missing, and the plan keeps what it had.
func (a *App) commitPanels(d *panelsDraft) string {
	if d.count > 0 {
		r := doc.Read(d.label.Write().Bytes(), "")
		if panel.Read(r); r.Err() != nil {
			return wPanelsWant + wantSays(r.Err())
		}
	}
	var input *charge.Input
	switch lacks, any := inputLacks(d.input); {
	case lacks != "":
		return lacks
	case any:
		input = &d.input
	}
	a.edit(func(p *plan.Plan) {
		p.Panels.Count, p.Panels.Label = d.count, d.label
		if d.count == 0 {
			p.Panels.Label = panel.Label{}
		}
		inputs := append([]charge.Input(nil), p.Supply.Inputs...)
		switch {
		case input != nil && d.at >= 0 && d.at < len(inputs):
			inputs[d.at] = *input
		case input != nil && len(inputs) < charge.MostInputs:
			d.at = len(inputs)
			inputs = append(inputs, *input)
		case input == nil && d.at >= 0 && d.at < len(inputs):
			inputs = append(inputs[:d.at], inputs[d.at+1:]...)
			d.at = -1
		}
		p.Supply.Inputs = inputs
	})
	a.lookUp()
	return ""
}

// wantSays turns what a file would lack into the words of the form.
func wantSays(err error) string {
	e, ok := err.(*doc.Error)
	if !ok {
		return err.Error()
	}
	name := map[string]string{"pmax_w": "the power (Pmax)", "voc_v": "the open-circuit voltage (Voc), or the number of cells", "vmp_v": "the voltage at full power (Vmp)",
		"imp_a": "the current at full power", "isc_a": "the short-circuit current (Isc)", "max_v": "the highest voltage", "max_w": "the highest power or current", "min_v": "the lowest voltage", "max_a": "the highest current"}[e.Field]
	if name == "" {
		name = e.Field
	}
	if e.Value == "" {
		return name + "."
	}
	return name + ": " + e.Value + " must be " + e.Want + "."
}

// The check of the display.

// checkForm asks what the display shows and how the sky looks.
func (a *App) checkForm() *Form {
	sky := &Choice{ID: "check-sky", Legend: wSunCheckSky, Value: "clear", Options: []Option{
		{"clear", "Clear", "sharp shadows"}, {"hazy", "Hazy or broken cloud", "soft shadows"}, {"grey", "Grey", "no shadows"}}}
	shown, typed := 0.0, false
	say := func() {
		if typed {
			a.checked = a.sun.Check(shown, sky.Value)
		}
	}
	sky.take = func(string) { say() }
	f := number("check-watts", wSunCheckShown, watts, doc.Range{Low: 0, High: 50000, Unit: "W"}, 1, "", func(v float64) { shown, typed = v, true; say() })
	a.checked = nil
	return &Form{items: []Item{{Choice: sky}, {Field: f}}}
}

// Checked is the verdict on what the display shows.
func (a *App) Checked() []string { return a.checked }
