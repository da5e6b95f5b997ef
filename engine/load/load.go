// Package load knows what is plugged in: what it draws at its outlet, when, how
// hard it starts, who needs it, and how well its draw is known.
package load

import (
	"math"
	"slices"
	"strings"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// Rank says who a load is for: what is dropped first, and what never.
type Rank string

// The ranks, most needed first.
const (
	Vital   Rank = "vital"   // someone's breath, food or medicine hangs on it
	Useful  Rank = "useful"  // missed within hours
	Comfort Rank = "comfort" // first to go
)

// Ranks lists the ranks, most needed first.
var Ranks = []string{string(Vital), string(Useful), string(Comfort)}

// Order is 0 for Vital, 1 for Useful, 2 for Comfort.
func (r Rank) Order() int {
	switch r {
	case Vital:
		return 0
	case Useful:
		return 1
	}
	return 2
}

// Outlet is where a load is plugged in at the supply.
type Outlet string

// The outlets. Only AC goes through the inverter.
const (
	AC  Outlet = "ac"
	DC  Outlet = "12v"
	USB Outlet = "usb"
)

// Outlets lists the outlets.
var Outlets = []string{string(AC), string(DC), string(USB)}

// Basis says how a load's draw is known.
type Basis string

// The bases, best first.
const (
	Measured Basis = "measured" // with a plug-in meter
	Label    Basis = "label"    // the rating on the plate, an upper bound
	Typical  Basis = "typical"  // what such things usually draw
)

// Bases lists the bases, best first.
var Bases = []string{string(Measured), string(Label), string(Typical)}

// Load is one thing, or several alike, that is plugged in.
type Load struct {
	Name   string
	Rank   Rank
	Outlet Outlet
	Count  int // how many alike; 1 or more

	// Either Running, the draw of one at its outlet while it runs, or Daily,
	// the energy a day of one that is charged (phones, tools).
	Running units.Watts
	Daily   units.WattHours

	Low, High *float64 // the range of Running, W, where it is known

	Starting     units.Watts // draw of one in its first moment; 0: not told, see Start
	Duty         float64     // share of its time that it really runs, 0.01 to 1
	PowerFactor  float64     // W ÷ VA while running, 0.1 to 1; 0: nobody told it, and it reads as 1
	CyclesItself bool        // a thermostat or pressure switch starts it again unasked
	Cycle        float64     // minutes from one such start to the next; 0: not known
	Basis        Basis
	MeasuredDay  bool     // the meter ran for a day or more: it tells of the duty too
	Use          []Window // when it is on; none: day and night
	Off          bool     // switched off for now

	Unknown doc.Unknown
}

// The ranges of a load's numbers.
var (
	CountRange       = doc.Range{Low: 1, High: 100}
	RunningRange     = doc.Range{Low: 0, High: 20000, Unit: "W"}
	DailyRange       = doc.Range{Low: 0, High: 100000, Unit: "Wh a day"}
	StartingRange    = doc.Range{Low: 0, High: 60000, Unit: "W"}
	DutyRange        = doc.Range{Low: 0.01, High: 1}
	PowerFactorRange = doc.Range{Low: 0.1, High: 1}
	CycleRange       = doc.Range{Low: 5, High: 240, Unit: "minutes"}
)

// NameMost is the most characters a name may have.
const NameMost = 60

// WindowsMost is the most windows of use a load may have.
const WindowsMost = 12

// Read reads a load from a plan.
func Read(r *doc.Reader) Load {
	l := Load{
		Name:         r.Text("name", NameMost),
		Rank:         Rank(r.Choice("rank", Ranks, string(Useful))),
		Outlet:       Outlet(r.Choice("outlet", Outlets, string(AC))),
		Count:        r.Whole("count", CountRange, 1),
		Starting:     units.Watts(r.Number("starting_w", StartingRange, 0)),
		Duty:         r.Number("duty", DutyRange, 1),
		PowerFactor:  r.Number("power_factor", PowerFactorRange, 0),
		CyclesItself: r.Yes("cycles_itself"),
		Cycle:        r.Number("cycle_min", CycleRange, 0),
		Basis:        Basis(r.Choice("basis", Bases, string(Typical))),
		MeasuredDay:  r.Yes("measured_day"),
		Off:          r.Yes("off"),
	}
	if strings.TrimSpace(l.Name) == "" {
		r.Fail("name", "", "a name of 1 to 60 characters")
	}
	// Both are read whatever is there: a null left among the unknown fields
	// would be written beside the figure.
	running, daily := r.Maybe("running_w", RunningRange), r.Maybe("daily_wh", DailyRange)
	switch {
	case running != nil && daily != nil:
		r.Fail("daily_wh", "", "left out when running_w is given")
	case daily != nil:
		l.Daily = units.WattHours(*daily)
	case running != nil:
		l.Running = units.Watts(*running)
	default:
		r.Fail("running_w", "", "there, "+RunningRange.String()+" (or daily_wh instead)")
	}
	l.Low, l.High = r.Maybe("low_w", RunningRange), r.Maybe("high_w", RunningRange)
	if l.Low != nil && *l.Low > float64(l.Running) {
		r.Fail("low_w", doc.Number(*l.Low), "at most running_w, "+doc.Number(float64(l.Running))+" W")
	}
	if l.High != nil && *l.High < float64(l.Running) {
		r.Fail("high_w", doc.Number(*l.High), "at least running_w, "+doc.Number(float64(l.Running))+" W")
	}
	for _, w := range r.Objects("use", WindowsMost) {
		l.Use = append(l.Use, readWindow(w))
	}
	l.Unknown = r.Unknown()
	return l
}

// Write writes a load as Read reads it.
func (l Load) Write() *doc.Writer {
	w := new(doc.Writer)
	w.Text("name", l.Name)
	w.Text("rank", string(l.Rank))
	w.Text("outlet", string(l.Outlet))
	w.Number("count", l.number(), 1)
	if l.Daily > 0 {
		w.Number("daily_wh", float64(l.Daily), math.NaN())
	} else {
		w.Number("running_w", float64(l.Running), math.NaN())
	}
	w.Maybe("low_w", l.Low)
	w.Maybe("high_w", l.High)
	w.Number("starting_w", float64(l.Starting), 0)
	w.Number("duty", l.duty(), 1)
	w.Number("power_factor", l.PowerFactor, 0)
	w.Yes("cycles_itself", l.CyclesItself)
	w.Number("cycle_min", l.Cycle, 0)
	w.Text("basis", string(l.Basis))
	w.Yes("measured_day", l.MeasuredDay)
	var use []*doc.Writer
	for _, win := range l.Use {
		use = append(use, win.write())
	}
	w.Objects("use", use)
	w.Yes("off", l.Off)
	w.Keep(l.Unknown)
	return w
}

// number is Count, read as 1 when it was never set.
func (l Load) number() float64 { return float64(max(l.Count, 1)) }

// duty is Duty, read as 1 when it was never set.
func (l Load) duty() float64 {
	if l.Duty <= 0 {
		return 1
	}
	return l.Duty
}

// factor is PowerFactor, read as 1 when it was never set.
func (l Load) factor() float64 {
	if l.PowerFactor <= 0 {
		return 1
	}
	return l.PowerFactor
}

// ToldResistive reports whether its power factor is told as 1, as that of what
// heats or glows is. One that nobody told says nothing of the kind.
func (l Load) ToldResistive() bool { return l.PowerFactor == 1 }

// Draw is what all of it draws at the outlet while it is switched on and its
// hour has come, averaged over its own cycling: Running × Duty × Count, or
// Daily spread evenly over its windows of use. What goes on and off by itself
// makes up in its windows for the rest of the day (see Ledger): they count as
// on a settled day, Running × min(1, 24 × Duty ÷ their hours) × Count.
func (l Load) Draw() units.Watts {
	if l.Daily > 0 {
		return l.Steady()
	}
	return units.Watts(float64(l.Running) * min(1, l.needs()) * l.number())
}

// Steady is Draw while nothing is to be made up for.
func (l Load) Steady() units.Watts {
	if l.Daily > 0 {
		return units.Watts(float64(l.Daily) * l.number() / float64(l.HoursADay()))
	}
	return units.Watts(float64(l.Running) * l.duty() * l.number())
}

// Peak is what all of it draws at the outlet while it really runs.
func (l Load) Peak() units.Watts {
	if l.Daily > 0 {
		return l.Draw()
	}
	return units.Watts(float64(l.Running) * l.number())
}

// usualCycle is from one start of a compressor to the next, minutes: they take 15
// to 60 (common practice).
const usualCycle = 30

// Cycles is how a load goes on and off by itself: the minutes from one start to
// the next, and the share of them that it runs. ok is false for one that does
// not, or whose draw is told by the day.
func (l Load) Cycles() (minutes, duty float64, ok bool) {
	if !l.CyclesItself || l.duty() >= 1 || l.Daily > 0 || l.Running <= 0 {
		return 0, 0, false
	}
	minutes = l.Cycle
	if minutes <= 0 {
		minutes = usualCycle
	}
	return minutes, l.duty(), true
}

// Apparent is Peak in volt-amperes: S = P ÷ PF.
func (l Load) Apparent() units.VoltAmps {
	return units.VoltAmps(float64(l.Peak()) / l.factor())
}

// hardStart is how many times its running draw a motor takes in its first moment
// where that is not told. By NFPA 70, tables 430.248 and 430.251(A) (from memory),
// small single-phase motors at a standstill take about 6 times their full current;
// what they run at is mostly less than full. 5 to 6 times is common practice.
const hardStart = 5

// Start is what one draws in its first moment, W, and whether that is only
// guessed: where it is not told, a motor on the mains takes 5 times what it runs
// at, and all else no more than that.
func (l Load) Start() (watts units.Watts, guessed bool) {
	switch {
	case l.Starting > 0:
		return max(l.Starting, l.Running), false
	case l.motor():
		return hardStart * l.Running, true
	}
	return l.Running, false
}

// motor reports whether it has a motor on the mains as far as the plan tells: its
// kind has one, or it goes on and off by itself. What heats or glows has none, nor
// a kind of which the catalogue knows that it starts no harder than it runs.
func (l Load) motor() bool {
	if l.Outlet != AC || l.Daily > 0 || l.Running <= 0 || l.ToldResistive() {
		return false
	}
	hard, known := startsHard(l.Name)
	return hard || l.CyclesItself && !known
}

// Excess is how far the start of one goes beyond its running draw, W, never
// below 0. Things alike are taken to start one after another.
func (l Load) Excess() units.Watts {
	start, _ := l.Start()
	return start - l.Running
}

// ExcessVA is Excess in volt-amperes, at the power factor that it runs at.
func (l Load) ExcessVA() units.VoltAmps {
	return units.VoltAmps(float64(l.Excess()) / l.factor())
}

// DailyEnergy is what all of it takes at the outlet in a day of its own use,
// whether it is switched off now or not.
func (l Load) DailyEnergy() units.WattHours { return l.Draw().For(l.HoursADay()) }

// WattsSpread is the range of the true watts while it runs, or of the energy a
// day, as factors of the figure given, and the most likely factor: low ≤ mode ≤
// high.
//
// Measured ±3 %: a class 2 plug-in meter with some variation of the thing
// (common practice). Label: what heats or glows draws what its plate says, ±5 %
// (IEC 60335-1 allows heating appliances −10 % and +5 %, from memory: half of what
// may be less is not counted on); the plate of what has electronics or a motor is an
// upper bound, and the true draw stands between half of it and all of it, rarely
// near either end (common practice). Typical: low_w and high_w where given, else
// −30 % and +40 % (common practice).
//
// Below a nanowatt low_w and high_w are not looked at, so that the factors
// stay finite.
func (l Load) WattsSpread() (low, mode, high float64) {
	switch {
	case l.Basis == Measured:
		return 0.97, 1, 1.03
	case l.Basis == Label && l.heats():
		return 0.95, 1, 1.05
	case l.Basis == Label:
		return 0.5, 0.85, 1
	}
	low, mode, high = 0.7, 1, 1.4
	if p := float64(l.Running); p >= 1e-9 {
		if l.Low != nil {
			low = min(*l.Low/p, mode)
		}
		if l.High != nil {
			high = max(*l.High/p, mode)
		}
	}
	return low, mode, high
}

// DutySpread is the range of the true duty in the same manner; 1, 1, 1 where the
// draw hangs on no duty, or was measured for a day or more: a meter's watts at one
// moment say nothing of it. −25 % and +50 %, the middle of what the catalogue has
// for things that cool (common practice: seasons, door openings, age), but to no more
// than running all the time that it may.
func (l Load) DutySpread() (low, mode, high float64) {
	if l.duty() >= 1 || l.Daily > 0 || l.Basis == Measured && l.MeasuredDay {
		return 1, 1, 1
	}
	needs := l.needs()
	runs := func(factor float64) float64 { return min(1, factor*needs) / min(1, needs) }
	return runs(0.75), 1, runs(1.5)
}

// Spread is the range of the true draw: of watts and duty together.
func (l Load) Spread() (low, mode, high float64) {
	low, mode, high = l.WattsSpread()
	a, b, c := l.DutySpread()
	return low * a, mode * b, high * c
}

// heats reports whether what it draws is heat or light by what is told of it: its
// power factor on the mains, or the name of a thing of the catalogue that heats.
// What is plugged into another socket has no power factor that would tell.
func (l Load) heats() bool {
	onMains := l.Outlet == AC || l.Outlet == ""
	return onMains && l.ToldResistive() || l.PowerFactor == 0 && slices.ContainsFunc(catalogue, func(e Entry) bool {
		return e.Name == l.Name && e.PowerFactor == 1 && e.Starting == 0 && e.Outlet != DC && e.Outlet != USB
	}) || l.Name == travelKettle && l.Outlet == DC
}

// travelKettle is the one thing of the catalogue that heats without the mains.
const travelKettle = "Travel kettle, 12 V"
