// Package plan holds the household's document: what must run, on what supply,
// where, and the outage to prepare for. It reads and writes the plan file,
// version 1, and decides what may stand in it.
package plan

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/units"
)

// Version is the version of the plan file that this code writes, and the
// newest it reads.
const Version = 1

// The bounds of a plan file.
const (
	MostBytes = 1 << 20 // 1 MiB
	MostLoads = 200
	NameMost  = 60
	idMost    = 40
)

// Plan is one household's whole document. The zero value is not a plan; New
// makes an empty one.
type Plan struct {
	ID     string // tells copies of one plan from other plans; "" in a file made by hand
	Name   string
	Place  Place
	Mains  units.Volts // of the household's sockets
	Loads  []load.Load // most needed first within a rank, as their owner ordered them
	Supply Supply
	Panels Panels
	Outage Outage

	Candidates []Candidate // supplies it might buy; a link does not carry them

	History []Past // outages that are over, oldest first; a link does not carry it

	Unknown doc.Unknown
}

// Place is where the household is. Lat and Lon are nil until they are known.
type Place struct {
	Name     string
	Lat, Lon *float64 // degrees, north and east positive
	Zone     string   // IANA name
	Offset   *float64 // of the clock ahead of UTC, hours, at the time of the outage; nil: not known

	Unknown doc.Unknown
}

// Supply is battery, inverter and inputs, as one thing to plug into.
type Supply struct {
	Name         string
	Battery      battery.Battery
	Inverter     inverter.Inverter
	DCEfficiency float64 // of the USB and 12 V outlets, 0.3 to 1
	Gauge        Gauge

	Inputs   []charge.Input
	OneInput bool     // only one input charges at a time
	BackOn   *float64 // share of a charge after which the outlets come on again once it was empty; nil: [DefaultBackOn]
	Price    *float64 // in the owner's money
	Weight   *float64 // kg

	Unknown doc.Unknown
}

// GaugeKind is how a supply shows what is left.
type GaugeKind string

// The kinds of gauge.
const (
	Percent GaugeKind = "percent"
	Bars    GaugeKind = "bars"
	Volts   GaugeKind = "volts"
	NoGauge GaugeKind = "none"
)

// Gauges lists the kinds of gauge.
var Gauges = []string{string(Percent), string(Bars), string(Volts), string(NoGauge)}

// Gauge is the display of what is left.
type Gauge struct {
	Kind GaugeKind
	Bars int // when Kind is Bars

	Unknown doc.Unknown
}

// Outage is the power cut to prepare for, or the one that is going on.
type Outage struct {
	Hours      units.Hours // to get through
	Starts     Moment
	Confidence float64  // of getting through, asked for
	SOC        float64  // state of charge at Starts, 1 is full
	SOCLow     *float64 // its lower end, when the gauge shows an interval
	UnderWay   bool     // it is happening: Starts is the last reading of the gauge
	Log        Log      // of the one that is happening

	Rules

	Unknown doc.Unknown
}

// The ranges of a plan's own numbers.
var (
	LatRange        = doc.Range{Low: -90, High: 90, Unit: "degrees"}
	OffsetRange     = doc.Range{Low: -12, High: 14, Unit: "hours"}
	LonRange        = doc.Range{Low: -180, High: 180, Unit: "degrees"}
	MainsRange      = doc.Range{Low: 90, High: 260, Unit: "V"}
	DCRange         = doc.Range{Low: 0.3, High: 1}
	BarsRange       = doc.Range{Low: 2, High: 20, Unit: "bars"}
	PriceRange      = doc.Range{Low: 0, High: 1e7}
	WeightRange     = doc.Range{Low: 0, High: 10000, Unit: "kg"}
	HoursRange      = doc.Range{Low: 0.5, High: 2160, Unit: "hours"}
	ConfidenceRange = doc.Range{Low: 0.5, High: 0.99}
	SOCRange        = doc.Range{Low: 0, High: 1}
	BackOnRange     = doc.Range{Low: 0.01, High: 0.5}
)

// DefaultDCEfficiency is taken where nothing is known of the USB and 12 V
// outlets (common practice for their converters).
const DefaultDCEfficiency = 0.9

// DefaultBackOn is the share of what the battery can give that must be charged
// again before the outlets of an empty supply come back on, by themselves or by
// somebody's hand (common practice: a supply that came back sooner would go off
// again with the next start of a motor).
const DefaultBackOn = 0.1

// Restarts is BackOn, or the usual share.
func (s Supply) Restarts() float64 {
	if s.BackOn == nil {
		return DefaultBackOn
	}
	return *s.BackOn
}

// New returns a plan with a name and nothing in it but defaults: a full
// battery, a 24-hour outage to prepare for, starting at the moment given.
func New(name string, starts Moment) Plan {
	return Plan{
		Name:  name,
		Mains: 230,
		Supply: Supply{
			DCEfficiency: DefaultDCEfficiency,
			Gauge:        Gauge{Kind: Percent},
		},
		Panels: Panels{Mount: Leaned},
		Outage: Outage{Hours: 24, Starts: starts, Confidence: 0.9, SOC: 1},
	}
}

// HasSupply reports whether the plan says how big its battery is.
func (p Plan) HasSupply() bool { return p.Supply.Battery.Capacity > 0 }

// UsualInverter is the supply's inverter or, where nothing is known of it
// (Continuous is 0), a wary stand-in by the size of the battery: it carries half
// a watt per watt-hour and idles at 1.5 % of a watt per watt-hour (common
// practice for power stations is one watt per watt-hour, idling at about 1 %).
func (s Supply) UsualInverter() inverter.Inverter {
	if s.Inverter.Continuous > 0 {
		return s.Inverter
	}
	v := s.Inverter
	size := float64(s.Battery.Capacity)
	v.Continuous = units.Watts(min(max(size/2, 100), 5000))
	if v.IdleW == nil {
		idle := min(max(0.015*size, 5), 100)
		v.IdleW = &idle
	}
	if v.EfficiencyAtW == nil {
		half := float64(v.Continuous)
		v.EfficiencyAtW = &half
	}
	return v
}

// NewerError refuses a file that a newer version of this code wrote.
type NewerError struct{ Version float64 }

func (e *NewerError) Error() string {
	return fmt.Sprintf("candleclock: %s must be at most %d: a newer version of this page wrote the file", doc.Number(e.Version), Version)
}

// Decode reads a plan file. The errors are *NewerError, or *doc.Error, which
// names the field, the value and what may stand there.
func Decode(file []byte) (Plan, error) {
	if len(file) > MostBytes {
		return Plan{}, &doc.Error{Field: "the file", Value: "a size of " + doc.Number(float64(len(file))) + " bytes",
			Want: "at most " + doc.Number(MostBytes) + " bytes"}
	}
	if !json.Valid(file) {
		err := json.Unmarshal(file, new(json.RawMessage))
		return Plan{}, &doc.Error{Field: "the file", Want: "a whole plan file (" + err.Error() + ")"}
	}
	r := doc.Read(file, "")
	if !r.Has("candleclock") && r.Err() == nil {
		return Plan{}, &doc.Error{Field: "candleclock", Want: "there, with the version of the file, 1"}
	}
	v := r.Number("candleclock", doc.Range{Low: 1, High: 1e9}, 0)
	if v > Version && r.Err() == nil {
		return Plan{}, &NewerError{Version: v}
	}
	if d := nesting(file); d > nestingMost {
		return Plan{}, &doc.Error{Field: "the file", Value: "lists and objects " + doc.Number(float64(d)) + " deep",
			Want: "at most " + doc.Number(nestingMost) + " deep"}
	}
	p := Plan{
		ID:   r.Text("id", idMost),
		Name: r.Text("name", NameMost),
	}
	if strings.TrimSpace(p.Name) == "" {
		r.Fail("name", "", "a name of 1 to 60 characters")
	}
	if o := r.Object("place"); o != nil {
		p.Place = readPlace(o)
	}
	p.Mains = units.Volts(r.Number("mains_v", MainsRange, 230))
	for _, o := range r.Objects("loads", MostLoads) {
		p.Loads = append(p.Loads, load.Read(o))
	}
	if o := r.Object("supply"); o != nil {
		p.Supply = readSupply(o)
	} else {
		p.Supply = New("", Moment{}).Supply
	}
	if o := r.Object("panels"); o != nil {
		p.Panels = readPanels(o)
	} else {
		p.Panels.Mount = Leaned
	}
	if o := r.Object("outage"); o != nil {
		p.Outage = readOutage(o)
	} else {
		r.Fail("outage", "", "there, with hours and starts")
	}
	for _, o := range r.Objects("candidates", MostCandidates) {
		p.Candidates = append(p.Candidates, readCandidate(o))
	}
	for _, o := range r.Objects("history", MostPast) {
		p.History = append(p.History, readPast(o))
	}
	p.Unknown = r.Unknown()
	if err := r.Err(); err != nil {
		return Plan{}, err
	}
	if i, j, ok := p.twins(); ok {
		return Plan{}, &doc.Error{Field: fmt.Sprintf("loads[%d].name", j), Value: fmt.Sprintf("%q", p.Loads[j].Name),
			Want: fmt.Sprintf("different from the name of loads[%d]", i)}
	}
	// Unknown fields grow when they are indented, and must not make a file
	// that can't be read again.
	if n := len(p.Encode()); n > MostBytes {
		return Plan{}, &doc.Error{Field: "the file", Value: "a size of " + doc.Number(float64(n)) + " bytes when written again",
			Want: "at most " + doc.Number(MostBytes) + " bytes"}
	}
	return p, nil
}

// SameName reports whether two names would be taken for one by a reader.
func SameName(a, b string) bool {
	return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
}

// twins finds two loads with one name.
func (p Plan) twins() (i, j int, ok bool) {
	for j := range p.Loads {
		for i := range p.Loads[:j] {
			if SameName(p.Loads[i].Name, p.Loads[j].Name) {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// Encode writes the plan file: indented JSON that Decode reads back as the
// same plan, with the fields that this version did not know.
func (p Plan) Encode() []byte {
	w := new(doc.Writer)
	w.Number("candleclock", Version, 0)
	w.Text("id", p.ID)
	w.Text("name", p.Name)
	w.Object("place", p.Place.write())
	w.Number("mains_v", float64(p.Mains), 0)
	var loads []*doc.Writer
	for _, l := range p.Loads {
		loads = append(loads, l.Write())
	}
	w.Objects("loads", loads)
	w.Object("supply", p.Supply.write())
	if o := p.Panels.write(); !o.Empty() {
		w.Object("panels", o)
	}
	w.Object("outage", p.Outage.write())
	var candidates []*doc.Writer
	for _, c := range p.Candidates {
		candidates = append(candidates, c.write())
	}
	w.Objects("candidates", candidates)
	var past []*doc.Writer
	for _, o := range p.History {
		past = append(past, o.write())
	}
	w.Objects("history", past)
	w.Keep(p.Unknown)
	var out bytes.Buffer
	// What Writer writes is well-formed, and Decode let only well-formed
	// unknown fields in.
	if err := json.Indent(&out, w.Bytes(), "", "  "); err != nil {
		panic("plan: encoding: " + err.Error())
	}
	out.WriteByte('\n')
	return out.Bytes()
}

func readPlace(r *doc.Reader) Place {
	p := Place{
		Name: r.Text("name", NameMost),
		Lat:  r.Maybe("lat", LatRange),
		Lon:  r.Maybe("lon", LonRange),
		Zone: r.Text("zone", NameMost),

		Offset: r.Maybe("utc_offset_h", OffsetRange),
	}
	p.Unknown = r.Unknown()
	return p
}

func (p Place) write() *doc.Writer {
	w := new(doc.Writer)
	w.Text("name", p.Name)
	w.Maybe("lat", p.Lat)
	w.Maybe("lon", p.Lon)
	w.Text("zone", p.Zone)
	w.Maybe("utc_offset_h", p.Offset)
	w.Keep(p.Unknown)
	return w
}

func readSupply(r *doc.Reader) Supply {
	s := Supply{Name: r.Text("name", NameMost)}
	if o := r.Object("battery"); o != nil {
		s.Battery = battery.Read(o)
	}
	if o := r.Object("inverter"); o != nil {
		s.Inverter = inverter.Read(o)
	}
	s.DCEfficiency = r.Number("dc_efficiency", DCRange, DefaultDCEfficiency)
	s.Gauge = Gauge{Kind: Percent}
	if o := r.Object("gauge"); o != nil {
		s.Gauge.Kind = GaugeKind(o.Choice("kind", Gauges, string(Percent)))
		s.Gauge.Bars = o.Whole("bars", BarsRange, 0)
		if s.Gauge.Kind == Bars && s.Gauge.Bars == 0 {
			o.Fail("bars", "", "there, "+BarsRange.String())
		}
		s.Gauge.Unknown = o.Unknown()
	}
	for _, o := range r.Objects("inputs", charge.MostInputs) {
		s.Inputs = append(s.Inputs, charge.Read(o))
	}
	s.OneInput = r.Yes("one_input_at_a_time")
	s.BackOn = r.Maybe("back_on", BackOnRange)
	s.Price = r.Maybe("price", PriceRange)
	s.Weight = r.Maybe("weight_kg", WeightRange)
	s.Unknown = r.Unknown()
	return s
}

func (s Supply) write() *doc.Writer {
	w := new(doc.Writer)
	w.Text("name", s.Name)
	if s.Battery.Chemistry != "" {
		w.Object("battery", s.Battery.Write())
	}
	if o := s.Inverter.Write(); !o.Empty() {
		w.Object("inverter", o)
	}
	w.Number("dc_efficiency", s.DCEfficiency, DefaultDCEfficiency)
	g := new(doc.Writer)
	g.Text("kind", string(s.Gauge.Kind))
	g.Number("bars", float64(s.Gauge.Bars), 0)
	g.Keep(s.Gauge.Unknown)
	w.Object("gauge", g)
	var inputs []*doc.Writer
	for _, in := range s.Inputs {
		inputs = append(inputs, in.Write())
	}
	w.Objects("inputs", inputs)
	w.Yes("one_input_at_a_time", s.OneInput)
	w.Maybe("back_on", s.BackOn)
	w.Maybe("price", s.Price)
	w.Maybe("weight_kg", s.Weight)
	w.Keep(s.Unknown)
	return w
}

func readOutage(r *doc.Reader) Outage {
	o := Outage{
		Hours:      units.Hours(r.Number("hours", HoursRange, 24)),
		Starts:     readMoment(r, "starts"),
		Confidence: r.Number("confidence", ConfidenceRange, 0.9),
		SOC:        r.Number("soc", SOCRange, 1),
		SOCLow:     r.Maybe("soc_low", SOCRange),
		UnderWay:   r.Yes("under_way"),
	}
	if o.SOCLow != nil && *o.SOCLow > o.SOC {
		r.Fail("soc_low", doc.Number(*o.SOCLow), "at most soc, "+doc.Number(o.SOC))
	}
	o.Log = readLog(r)
	o.Rules = readRules(r)
	o.Unknown = r.Unknown()
	return o
}

func (o Outage) write() *doc.Writer {
	w := new(doc.Writer)
	w.Number("hours", float64(o.Hours), 0)
	w.Text("starts", o.Starts.String())
	w.Number("confidence", o.Confidence, 0)
	w.Number("soc", o.SOC, -1)
	w.Maybe("soc_low", o.SOCLow)
	w.Yes("under_way", o.UnderWay)
	o.Log.write(w)
	o.Rules.write(w)
	w.Keep(o.Unknown)
	return w
}
