// Package yield is what a plan's panels bring to its battery: the wiring that
// its input allows, and the sun of its place through it.
package yield

import (
	"cmp"
	"math"
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
// first, each way to one input. None without panels or without a panel input.
func Wirings(p plan.Plan, air panel.Extremes) []Wiring {
	var out []Wiring
	first, second := set(p.Panels.PanelSet), set(p.Panels.Second)
	for i, in := range p.Supply.Inputs {
		if in.Kind != charge.Panel {
			continue
		}
		to := panel.Input{MinV: in.MinV, MaxV: in.MaxV, MaxA: in.MaxA, MaxW: in.MaxW, Unlimited: in.Unlimited}
		for _, l := range panel.MixedLayouts(first, second, to, air) {
			out = append(out, Wiring{i, l})
		}
	}
	slices.SortStableFunc(out, func(a, b Wiring) int { return panel.Compare(a.Layout, b.Layout) })
	return out
}

// set is none of a kind whose label does not tell enough.
func set(s plan.PanelSet) panel.Set {
	m := panel.FromLabel(s.Label)
	if s.Count == 0 || !(m.Pmax > 0 && m.Vmp > 0 && m.Voc > 0) {
		return panel.Set{}
	}
	return panel.Set{Module: m, Count: s.Count}
}

// Yield is a plan's panels at their place, wired the best way. It does not
// change.
type Yield struct {
	Site sun.Site
	Lies sun.Mounting
	Best Wiring
	All  []Wiring

	yard *sun.Yard
	most [12]units.Watts // that the input passes on, by month
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
	one := asOne(y.Best, set(p.Panels.PanelSet), set(p.Panels.Second))
	losses := sun.UsualLosses()
	if l := p.Panels; l.CableM != nil && l.CableMM2 != nil {
		losses.Cable = cableLoss(*l.CableM, *l.CableMM2, one)
	}
	shade := sun.Shade{Lost: p.Panels.Shade}
	if from, to := p.Panels.SunFrom, p.Panels.SunTo; from != nil && to != nil {
		shade.From, shade.To = units.Hours(*from)/60, units.Hours(*to)/60
	}
	yard, err := sun.NewYard(site, sun.Array{
		Pmax:  y.Best.Array * units.Watts(1-y.Best.Mismatch),
		Gamma: one.PmaxPct / 100, NOCT: one.NOCT,
		Mounting: y.Lies, Shade: shade, Losses: losses,
	})
	if err != nil {
		return nil
	}
	y.yard = yard
	in := p.Supply.Inputs[y.Best.Input]
	for m := range y.most {
		most := y.Best.Array
		if in.MaxW > 0 {
			most = min(most, in.MaxW)
		}
		if in.MaxA > 0 {
			// Warm panels work at a lower voltage, and bring less with the
			// same current.
			most = min(most, units.Watts(float64(in.MaxA)*float64(one.HotVmp(site.Climate.High[m]))))
		}
		// The limit is that of what goes in; the controller's own loss is
		// behind it (common practice).
		y.most[m] = most * units.Watts(1-losses.Controller)
	}
	return y
}

// asOne is the panels of a wiring as one: the voltage and the current at their
// ends, and the warier of their coefficients.
func asOne(w Wiring, first, second panel.Set) panel.Module {
	one := panel.Module{Vmp: units.Volts(math.Inf(1))}
	for _, s := range w.Strings {
		volts, amps := units.Volts(0), units.Amps(math.Inf(1))
		for _, number := range s {
			m := first.Module
			if number > first.Count {
				m = second.Module
			}
			volts, amps = volts+m.Vmp, min(amps, m.Imp)
			one.PmaxPct, one.NOCT = min(one.PmaxPct, m.PmaxPct), max(one.NOCT, m.NOCT)
		}
		one.Vmp, one.Imp = min(one.Vmp, volts), one.Imp+amps
	}
	return one
}

// Series is the panels' output after the input's limits, a mean power for each
// hour of the local clock from midnight of a date, days × 24 of them. The same
// seed gives the same weather on any machine. Clouds that come and go within an
// hour may take it past a limit for minutes; that is not told.
func (y *Yield) Series(seed uint64, from plan.Moment, days int) []units.Watts {
	return y.SeriesInto(make([]units.Watts, 24*days), seed, from)
}

// SeriesInto is Series into the hours of whole days given, which it returns.
func (y *Yield) SeriesInto(out []units.Watts, seed uint64, from plan.Moment) []units.Watts {
	y.yard.RunInto(out, seed, date(from))
	for d := range len(out) / 24 {
		_, month, _ := from.After(units.Hours(24 * d)).Date()
		y.clip(out[24*d:24*d+24], int(month))
	}
	return out
}

// ClearDay is the output on a date under a cloudless sky, hour by hour.
func (y *Yield) ClearDay(on plan.Moment) []units.Watts {
	h := y.yard.ClearDay(date(on))
	_, month, _ := on.Date()
	y.clip(h[:], int(month))
	return h[:]
}

// PoorDay is the output on a day that 1 in 10 stays below, cut as
// [sun.Range.Poor] is.
func (y *Yield) PoorDay(on plan.Moment) []units.Watts {
	day := y.dayOf(on, 10)
	_, month, _ := on.Date()
	cut := units.Watts(y.yard.PoorCut(int(month)))
	for i := range day {
		day[i] *= cut
	}
	return day
}

// UsualDay is the output on a day that 5 in 10 stay below, hour by hour.
func (y *Yield) UsualDay(on plan.Moment) []units.Watts { return y.dayOf(on, 50) }

// FineDay is the output on a day that 9 in 10 stay below.
func (y *Yield) FineDay(on plan.Moment) []units.Watts { return y.dayOf(on, 90) }

// dayOf is the day of a date that a whole percentage of days stay below.
func (y *Yield) dayOf(on plan.Moment, percent int) []units.Watts {
	_, month, _ := on.Date()
	return y.hundred(date(on), int(month))[percent-1][:]
}

// Month is a day's energy in a month (1 to 12) after the input's limits.
func (y *Yield) Month(month int) sun.Range {
	days := y.hundred(sun.Date{Year: 2025, Month: 1, Day: sun.MeanDay(month)}, month)
	below := func(percent int) units.WattHours { return (days[percent-1].Sum() + days[percent].Sum()) / 2 }
	r := sun.Range{Poor: below(10) * units.WattHours(y.yard.PoorCut(month)), Usual: below(50), Fine: below(90)}
	for i := range days {
		r.Mean += days[i].Sum() / units.WattHours(len(days))
	}
	return r
}

// hundred is a date a hundred times, once for each hundredth of its month's
// clearness, after the input's limits, by rising output: a panel that faces
// away from the sun gets more of a white sky than of a blue one.
func (y *Yield) hundred(on sun.Date, month int) *[100]sun.Hours24 {
	days := new([100]sun.Hours24)
	for i := range days {
		days[i] = y.yard.Day(on, y.yard.Clearness(month, (float64(i)+0.5)/float64(len(days))))
		y.clip(days[i][:], month)
	}
	slices.SortFunc(days[:], func(a, b sun.Hours24) int { return cmp.Compare(a.Sum(), b.Sum()) })
	return days
}

// PanelsFor is the rated power of panels, lying and wired as the plan's, whose
// poor and whose usual day of a month (1 to 12) brings an energy, 0 or more,
// through an input that takes all; 0 where the month has no sun.
func (y *Yield) PanelsFor(energy units.WattHours, month int) (poor, usual units.Watts) {
	r := y.yard.Range(month)
	size := func(brings units.WattHours) units.Watts {
		if brings <= 0 {
			return 0
		}
		return y.Best.Array * units.Watts(energy/brings)
	}
	return size(r.Poor), size(r.Usual)
}

// clip holds hours of a month to what the input passes on.
func (y *Yield) clip(hours []units.Watts, month int) {
	for i, w := range hours {
		hours[i] = min(w, y.most[month-1])
	}
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
func cableLoss(metres, mm2 float64, m panel.Module) float64 {
	c, err := aids.Metric(mm2, aids.Stranded)
	if err != nil {
		return 0.9 // the range was checked when the plan was read
	}
	return min(0.9, aids.CableDrop(c, metres, m.Imp, m.Vmp, warmCopper).Share)
}
