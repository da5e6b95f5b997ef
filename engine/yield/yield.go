// Package yield is what a plan's panels bring to its battery: the wiring that
// its input allows, and the sun of its place through it.
package yield

import (
	"slices"

	"candleclock/engine/aids"
	"candleclock/engine/charge"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/sun"
	"candleclock/engine/units"
)

// Wiring is one way to wire the plan's panels to one of its inputs.
type Wiring struct {
	Input int // index in the plan's inputs
	panel.Layout
}

// heat is how far the hottest air lies above the hottest month's mean maximum
// (common practice).
const heat units.Celsius = 8

// Air is the coldest and hottest air that a climate is taken to have known.
func Air(c sun.Climate) panel.Extremes {
	high := c.High[0]
	for _, t := range c.High[1:] {
		high = max(high, t)
	}
	clamp := func(t units.Celsius, low, high float64) units.Celsius {
		return units.Celsius(min(max(float64(t), low), high))
	}
	return panel.Extremes{
		Low:  clamp(c.RecordCold, panel.LowRange.Low, panel.LowRange.High),
		High: clamp(high+heat, panel.HighRange.Low, panel.HighRange.High),
	}
}

// UnknownAir is counted on where the place is not known: the cold of inland
// winters and the heat of deserts.
var UnknownAir = panel.Extremes{Low: -40, High: 50}

// Wirings lists every way to wire the plan's panels to its panel inputs, best
// first. None without panels or without a panel input.
func Wirings(p plan.Plan, air panel.Extremes) []Wiring {
	var out []Wiring
	first := set(p.Panels.PanelSet)
	for i, in := range p.Supply.Inputs {
		if in.Kind != charge.Panel || first.Count == 0 {
			continue
		}
		to := panel.Input{MinV: in.MinV, MaxV: in.MaxV, MaxA: in.MaxA, MaxW: in.MaxW, Unlimited: in.Unlimited}
		layouts := panel.Layouts(first, to, air)
		if p.Panels.Second.Count > 0 {
			layouts = panel.MixedLayouts(first, set(p.Panels.Second), to, air)
		}
		for _, l := range layouts {
			out = append(out, Wiring{i, l})
		}
	}
	// Each input's own list is in order already; of two inputs the one that
	// takes more comes first.
	slices.SortStableFunc(out, func(a, b Wiring) int {
		switch {
		case a.Watts > b.Watts:
			return -1
		case a.Watts < b.Watts:
			return 1
		}
		return int(b.Verdict) - int(a.Verdict)
	})
	return out
}

func set(s plan.PanelSet) panel.Set {
	if s.Count == 0 {
		return panel.Set{}
	}
	return panel.Set{Module: panel.FromLabel(s.Label), Count: s.Count}
}

// Yield is a plan's panels at their place, wired the best way. It does not
// change.
type Yield struct {
	Site sun.Site
	Lies sun.Mounting
	Best Wiring
	All  []Wiring

	yard *sun.Yard
	most units.Watts // that the input takes
}

// Of works the plan's yield out. It is nil when the place, the panels or the
// input are not known, or when no wiring works; Wirings tells the verdicts.
func Of(p plan.Plan) *Yield {
	site, ok := p.Site()
	if !ok {
		return nil
	}
	all := Wirings(p, Air(site.Climate))
	if len(all) == 0 || all[0].Watts <= 0 {
		return nil
	}
	_, month, _ := p.Outage.Starts.Date()
	y := &Yield{Site: site, Lies: p.Panels.Mounting(site, int(month)), Best: all[0], All: all}
	m := panel.FromLabel(p.Panels.Label)
	losses := sun.UsualLosses()
	if l := p.Panels; l.CableM != nil && l.CableMM2 != nil && y.Best.Series() > 0 {
		losses.Cable = cableLoss(*l.CableM, *l.CableMM2, y.Best, m)
	}
	shade := sun.Shade{Lost: p.Panels.Shade}
	if from, to := p.Panels.SunFrom, p.Panels.SunTo; from != nil && to != nil {
		shade.From, shade.To = units.Hours(*from)/60, units.Hours(*to)/60
	}
	yard, err := sun.NewYard(site, sun.Array{
		Pmax:  y.Best.Array * units.Watts(1-y.Best.Mismatch),
		Gamma: m.PmaxPct / 100, NOCT: m.NOCT,
		Mounting: y.Lies, Shade: shade, Losses: losses,
	})
	if err != nil {
		return nil
	}
	y.yard, y.most = yard, y.Best.Array
	if y.Best.Verdict == panel.Clipped {
		y.most = y.Best.Watts
	}
	if in := p.Supply.Inputs[y.Best.Input]; in.MaxW > 0 {
		y.most = min(y.most, in.MaxW)
	}
	return y
}

// Series is the panels' output after the input's limits, a mean power for each
// hour of the local clock from midnight of a date, days × 24 of them. The same
// seed gives the same weather on any machine.
func (y *Yield) Series(seed uint64, from plan.Moment, days int) []units.Watts {
	return y.clip(y.yard.Run(seed, date(from), days))
}

// ClearDay is the output on a date under a cloudless sky, hour by hour.
func (y *Yield) ClearDay(on plan.Moment) []units.Watts {
	h := y.yard.ClearDay(date(on))
	return y.clip(h[:])
}

// UsualDay is the output on a day of median clearness, hour by hour.
func (y *Yield) UsualDay(on plan.Moment) []units.Watts { return y.dayAt(on, 0.5) }

// PoorDay is the output on a day that 1 in 10 stays below.
func (y *Yield) PoorDay(on plan.Moment) []units.Watts {
	day := y.dayAt(on, 0.1)
	for i := range day {
		day[i] *= units.Watts(1 - 1.28*sun.ClimateSpread) // as sun.Range.Poor is cut
	}
	return day
}

// FineDay is the output on a day that 9 in 10 stay below.
func (y *Yield) FineDay(on plan.Moment) []units.Watts { return y.dayAt(on, 0.9) }

func (y *Yield) dayAt(on plan.Moment, p float64) []units.Watts {
	_, month, _ := on.Date()
	h := y.yard.Day(date(on), y.yard.Clearness(int(month), p))
	return y.clip(h[:])
}

// Month is a day's energy in a month (1 to 12) after the input's limits.
func (y *Yield) Month(month int) sun.Range {
	r := y.yard.Range(month)
	// What the limits take is taken in the share that they take of the mean
	// month's fine day: they clip fine days most, so the others are told a
	// little too low, never too high.
	on := sun.Date{Year: 2025, Month: month, Day: 15}
	day := y.yard.Day(on, y.yard.Clearness(month, 0.9))
	all := day.Sum()
	y.clip(day[:])
	if all > 0 {
		share := day.Sum() / all
		r.Poor, r.Usual, r.Fine, r.Mean = r.Poor*share, r.Usual*share, r.Fine*share, r.Mean*share
	}
	return r
}

// clip holds the output to what the input takes, in place.
func (y *Yield) clip(w []units.Watts) []units.Watts {
	for i := range w {
		w[i] = min(w[i], y.most)
	}
	return w
}

func date(m plan.Moment) sun.Date {
	year, month, day := m.Date()
	return sun.Date{Year: year, Month: int(month), Day: day}
}

// Pack is the plan's battery as a charger sees it: full once it holds what it
// can give.
func Pack(p plan.Plan) charge.Pack {
	m := p.Supply.Battery.Model()
	taper := charge.Lithium
	if p.Supply.Battery.Chemistry.Lead() {
		taper = charge.Lead
	}
	return charge.Pack{Capacity: m.Usable, Efficiency: m.ChargeEfficiency, Taper: taper, MayCharge: m.MayCharge}
}

// warmCopper is the temperature at which the lead's loss is counted: in the sun
// beside warm panels (common practice).
const warmCopper units.Celsius = 60

// cableLoss is the share of power lost in the lead at full sun, at most 0.9; at
// less sun it is less, so this is wary.
func cableLoss(metres, mm2 float64, w Wiring, m panel.Module) float64 {
	c, err := aids.Metric(mm2, aids.Stranded)
	if err != nil {
		return 0.9 // the range was checked when the plan was read
	}
	at := m.Vmp * units.Volts(w.Series())
	return min(0.9, aids.CableDrop(c, metres, m.Imp*units.Amps(w.Parallel()), at, warmCopper).Share)
}
