package plan

import (
	"candleclock/engine/aids"
	"candleclock/engine/doc"
	"candleclock/engine/load"
	"candleclock/engine/panel"
	"candleclock/engine/sun"
	"candleclock/engine/units"
)

// Mount is how panels lie, in plain words.
type Mount string

// The mountings.
const (
	Leaned Mount = "leaned" // propped at a tilt, facing one way
	Flat   Mount = "flat"   // on the ground
	Rail   Mount = "rail"   // hung outside a balcony's rail
	Wall   Mount = "wall"   // upright against a wall or in a window
	Turned Mount = "turned" // propped, and turned to the sun three times a day
)

// Mounts lists the mountings.
var Mounts = []string{string(Leaned), string(Flat), string(Rail), string(Wall), string(Turned)}

// PanelSet is a number of panels alike.
type PanelSet struct {
	Label   panel.Label
	Count   int
	Unknown doc.Unknown
}

// Panels is the household's solar panels, and how they lie. No panels: Count 0.
type Panels struct {
	PanelSet
	Second PanelSet // others beside them; Count 0: none

	Mount   Mount
	Tilt    *float64 // degrees from level; nil: that of sun.BestLean in the month
	Azimuth *float64 // degrees clockwise from north; nil: that of sun.BestLean, as a rule toward the equator

	SunFrom, SunTo *load.Minute // between which the sun reaches them; nil: all day
	Shade          float64      // share of the light kept off at any time

	CableM, CableMM2 *float64 // length of the lead one way, and its conductor
}

// The ranges of the panels' own numbers.
var (
	TiltRange    = doc.Range{Low: 0, High: 90, Unit: "degrees"}
	AzimuthRange = doc.Range{Low: 0, High: 360, Unit: "degrees"}
	ShadeRange   = doc.Range{Low: 0, High: 1}
	CableRange   = doc.Range{Low: 0, High: 200, Unit: "m"}
)

func readPanels(r *doc.Reader) Panels {
	p := Panels{
		Mount:    Mount(r.Choice("mounting", Mounts, string(Leaned))),
		Tilt:     r.Maybe("tilt_deg", TiltRange),
		Azimuth:  r.Maybe("azimuth_deg", AzimuthRange),
		Shade:    r.Number("shade", ShadeRange, 0),
		CableM:   r.Maybe("cable_m", CableRange),
		CableMM2: r.Maybe("cable_mm2", aids.SectionRange),
	}
	if p.SunFrom, p.SunTo = load.MaybeMinute(r, "sun_from"), load.MaybeMinute(r, "sun_to"); p.SunFrom != nil && p.SunTo != nil && *p.SunTo <= *p.SunFrom {
		r.Fail("sun_to", p.SunTo.String(), "later than sun_from, "+p.SunFrom.String())
	}
	switch {
	case p.SunFrom == nil && p.SunTo != nil:
		r.Fail("sun_from", "", "there together with sun_to")
	case p.SunFrom != nil && p.SunTo == nil:
		r.Fail("sun_to", "", "there together with sun_from")
	}
	if o := r.Object("second"); o != nil {
		p.Second = readSet(o)
		p.Second.Unknown = o.Unknown()
	}
	p.PanelSet = readSet(r)
	p.Unknown = r.Unknown()
	return p
}

func readSet(r *doc.Reader) PanelSet {
	s := PanelSet{Count: r.Whole("count", panel.CountRange, 0)}
	switch o := r.Object("module"); {
	case o != nil:
		s.Label = panel.Read(o)
	case s.Count > 0:
		r.Fail("module", "", "there, with the figures of the label")
	}
	return s
}

func (s PanelSet) writeTo(w *doc.Writer) {
	if s.Label.Known() {
		w.Object("module", s.Label.Write())
	}
	w.Number("count", float64(s.Count), 0)
}

func (p Panels) write() *doc.Writer {
	w := new(doc.Writer)
	p.writeTo(w)
	o := new(doc.Writer)
	p.Second.writeTo(o)
	o.Keep(p.Second.Unknown)
	if !o.Empty() {
		w.Object("second", o)
	}
	if p.Mount != "" && p.Mount != Leaned {
		w.Text("mounting", string(p.Mount))
	}
	w.Maybe("tilt_deg", p.Tilt)
	w.Maybe("azimuth_deg", p.Azimuth)
	if p.SunFrom != nil && p.SunTo != nil {
		w.Text("sun_from", p.SunFrom.String())
		w.Text("sun_to", p.SunTo.String())
	}
	w.Number("shade", p.Shade, 0)
	w.Maybe("cable_m", p.CableM)
	w.Maybe("cable_mm2", p.CableMM2)
	w.Keep(p.Unknown)
	return w
}

// Site is where the plan's panels stand; ok is false while the place is not
// known. Without an offset of its own the clock is taken to follow the sun to
// the hour.
func (p Plan) Site() (s sun.Site, ok bool) {
	if p.Place.Lat == nil || p.Place.Lon == nil {
		return sun.Site{}, false
	}
	lat, lon := units.Degrees(*p.Place.Lat), units.Degrees(*p.Place.Lon)
	c, err := sun.ClimateAt(lat, lon)
	if err != nil { // the ranges were checked when the plan was read
		return sun.Site{}, false
	}
	offset := units.Hours(int(*p.Place.Lon/15+12.5) - 12)
	if p.Place.Offset != nil {
		offset = units.Hours(*p.Place.Offset)
	}
	return sun.Site{Lat: lat, Lon: lon, Offset: offset, Climate: c}, true
}

// Mounting is how the plan's panels lie at a site, in the month (1 to 12) that
// decides where the plan leaves it open.
func (p Panels) Mounting(site sun.Site, month int) sun.Mounting {
	best := sun.Mounting{Tilt: 45, Azimuth: 180}
	if p.Tilt == nil || p.Azimuth == nil {
		if b, err := sun.BestLean(site, month); err == nil {
			best = b
		}
	}
	tilt, azimuth := best.Tilt, best.Azimuth
	if p.Tilt != nil {
		tilt = units.Degrees(*p.Tilt)
	}
	if p.Azimuth != nil {
		azimuth = units.Degrees(*p.Azimuth)
	}
	switch p.Mount {
	case Flat:
		return sun.Flat()
	case Rail:
		return sun.Rail(azimuth)
	case Wall:
		return sun.Wall(azimuth)
	case Turned:
		return sun.ByHand(tilt)
	}
	return sun.Leaned(tilt, azimuth)
}
