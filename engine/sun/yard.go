package sun

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"candleclock/engine/units"
)

// Site is where an array stands.
type Site struct {
	Lat, Lon units.Degrees // −90 to 90, −180 to 180
	Offset   units.Hours   // of the local clock ahead of UTC, −12 to 14
	Climate  Climate       // from [ClimateAt], or edited
}

// albedo is the share of light that the ground throws back: grass, soil, paving
// (Liu & Jordan 1963). Snow throws back two to four times that; counting on it
// would not be wary, and it lies on panels too.
const albedo = 0.2

// Yard is an array at its site, with the sun's path over it worked out for the
// year. It does not change, and may be used from many places at once.
type Yard struct {
	array  Array
	plane  plane // by its tilt; where it faces stands in the path's ratios
	path   *[365]day
	months [12]monthWeather
	dim    [12]float64     // how far a month may be darker than its figure, as a relative standard error
	warmth [12][24]float64 // air temperature, °C, by month and hour
}

// check names every field that is out of range.
func (s Site) check() error {
	err := errors.Join(
		within("latitude", float64(s.Lat), -90, 90),
		within("longitude", float64(s.Lon), -180, 180),
		within("clock's offset from UTC (h)", float64(s.Offset), -12, 14),
		within("elevation (m)", s.Climate.Elevation, -430, 6000),
	)
	for m := range 12 {
		c := &s.Climate
		err = errors.Join(err,
			within(fmt.Sprintf("insolation of month %d (kWh/m² a day)", m+1), c.Insolation[m],
				0, math.Ceil(100*DailyExtraterrestrial(s.Lat, MeanDay(m+1)))/100),
			within("mean minimum (°C)", float64(c.Low[m]), -90, 60),
			within("mean maximum (°C)", float64(c.High[m]), float64(c.Low[m]), 70))
	}
	return err
}

// NewYard puts an array at a site. Its error names every field out of range.
func NewYard(site Site, array Array) (*Yard, error) {
	if err := errors.Join(site.check(), array.check()); err != nil {
		return nil, err
	}
	y := &Yard{
		array: array,
		plane: newPlane(float64(array.Mounting.Tilt), 0),
		path:  new([365]day),
	}
	w := newSweep(site, array.Mounting, array.Shade)
	for i := range y.path {
		y.path[i] = w.day(i + 1)
	}
	for m := range 12 {
		y.months[m] = y.on(MeanDay(m + 1)).weather(site.Climate.Insolation[m])
		y.dim[m] = ClimateSpread
		if h0 := y.on(MeanDay(m + 1)).h0; h0 > 0 {
			y.dim[m] = dimSpread(site.Climate.Insolation[m] / h0)
		}
		low, high := float64(site.Climate.Low[m]), float64(site.Climate.High[m])
		for h := range y.warmth[m] {
			// Warmest at three, coldest at three: common practice.
			y.warmth[m][h] = (low+high)/2 + (high-low)/2*cos(15*(float64(h)+0.5-15))
		}
	}
	return y, nil
}

// on is a day of the year, 1 to 366; the last two are alike.
func (y *Yard) on(yearDay int) *day { return &y.path[min(yearDay, 365)-1] }

// Hours24 is a mean power, W, for each hour of the local clock.
type Hours24 [24]units.Watts

// Sum is the day's energy.
func (h Hours24) Sum() units.WattHours {
	sum := units.WattHours(0)
	for _, p := range h {
		sum += p.For(1)
	}
	return sum
}

// Day is the output on a date whose clearness index is k, 0 to 1: the day's
// horizontal insolation over that above the air. A k that no sky reaches gives
// what the clearest gives.
func (y *Yard) Day(date Date, k float64) Hours24 {
	var out Hours24
	d, m := date.yearDay(), date.plus(0).Month
	y.day(d, m, math.Min(math.Max(0, k), y.months[m-1].utmost), &out)
	return out
}

// day fills in the output of a day of the year; hours without sun stay as
// they are.
func (y *Yard) day(yearDay, month int, k float64, out *Hours24) {
	d := y.on(yearDay)
	s := d.sky(k)
	for h := range d.hours {
		if hour := &d.hours[h]; hour.global > 0 {
			out[h] = y.output(hour, s.hour(hour), y.warmth[month-1][h])
		}
	}
}

// output is what the array gives under a sky.
func (y *Yard) output(h *hour, s sky, air float64) units.Watts {
	lit := y.plane.catch(s, h.through, albedo)
	g := (lit.beam + lit.around + glassDiffuse*(lit.dome+lit.ground)) * (1 - y.array.Shade.Lost)
	cell := cellTemperature(air, float64(y.array.NOCT), g)
	p := power(float64(y.array.Pmax), y.array.Gamma, g, cell)
	return units.Watts(p * dimLight(g) * y.array.Losses.Kept())
}

// ClearDay is the output on a date under a cloudless sky of usual haze, hour by
// hour: what a panel should show now if nothing is wrong.
func (y *Yard) ClearDay(date Date) Hours24 {
	var out Hours24
	d, m := y.on(date.yearDay()), date.plus(0).Month
	for h := range d.hours {
		hour := &d.hours[h]
		out[h] = y.output(hour, hour.clear, y.warmth[m-1][h])
	}
	return out
}

// Clearness is the clearness index that a share p, 0 to 1, of a month's days
// stay below; month 1 to 12.
func (y *Yard) Clearness(month int, p float64) float64 {
	return y.months[month-1].quantile(p)
}

// Range is a day's output in a month.
type Range struct {
	// Poor, Usual and Fine are what 1, 5 and 9 days in 10 stay below. Poor is
	// the one to count on, and wary: it is cut by [Yard.PoorCut], so that the
	// climate's own error is in it too.
	Poor, Usual, Fine units.WattHours
	// Mean is the month's, not cut.
	Mean units.WattHours
}

// PoorCut is what a poor day of a month, 1 to 12, keeps for the climate's own error:
// 0.87 where skies are clear, 0.64 where they are often grey. It is 1 less 1.28
// times the error on the dim side, which 1 place in 10 lies beyond.
func (y *Yard) PoorCut(month int) float64 { return 1 - 1.28*y.dim[month-1] }

// Range is a poor, usual and fine day's output in a month, 1 to 12.
func (y *Yard) Range(month int) Range {
	// A hundred days, of each hundredth of the month's clearness. They are put
	// in order by output: a panel that faces away from the sun gets more of a
	// white sky than of a blue one.
	var days [100]units.WattHours
	sum := units.WattHours(0)
	for i := range days {
		k := y.Clearness(month, (float64(i)+0.5)/float64(len(days)))
		var out Hours24
		y.day(MeanDay(month), month, k, &out)
		days[i] = out.Sum()
		sum += days[i]
	}
	slices.Sort(days[:])
	below := func(percent int) units.WattHours { return (days[percent-1] + days[percent]) / 2 }
	return Range{
		Poor:  below(10) * units.WattHours(y.PoorCut(month)),
		Usual: below(50),
		Fine:  below(90),
		Mean:  sum / units.WattHours(len(days)),
	}
}

// Insolation is the mean on the panels' plane in a month, 1 to 12, kWh/m² a
// day, before glass and shade.
func (y *Yard) Insolation(month int) float64 {
	d := y.on(MeanDay(month))
	return y.months[month-1].mean(func(k float64) float64 { return d.onPlane(y.plane, k) })
}

// Run makes up the output of days in a row, 0 or more, from a start date: a mean
// power for each hour of the local clock, 24 a day. Grey days follow grey days
// as they do in the records that the chain was learned from, and each run is a
// place whose climate differs from the figure by its error: upwards by
// [ClimateSpread], downwards by more in months that are often grey, so that a low
// percentile of many runs is wary of that too. The same seed gives the same run, on
// any machine.
func (y *Yard) Run(seed uint64, start Date, days int) []units.Watts {
	return y.RunInto(make([]units.Watts, 24*days), seed, start)
}

// RunInto is Run into the hours of whole days given, which it returns.
func (y *Yard) RunInto(out []units.Watts, seed uint64, start Date) []units.Watts {
	clear(out)
	y.sky(rand.NewPCG(seed, 0x5d1e5), start, len(out)/24, func(i int, date Date, k float64) {
		y.day(date.yearDay(), date.Month, k, (*Hours24)(out[24*i:]))
	})
	return out
}

// sky makes up the clearness of days in a row at a place that differs from its
// climate by the climate's error.
func (y *Yard) sky(draw *rand.PCG, start Date, days int, each func(i int, date Date, k float64)) {
	// Three even draws come near a normal one, and end at three deviations.
	off := 2 * (uniform(draw) + uniform(draw) + uniform(draw) - 1.5)
	y.weather(draw, start, days, func(i int, date Date, k float64) {
		spread := ClimateSpread
		if off < 0 {
			spread = y.dim[date.Month-1]
		}
		each(i, date, math.Min(k*(1+spread*off), y.months[date.Month-1].utmost))
	})
}

// weather makes up the clearness of days in a row.
func (y *Yard) weather(draw *rand.PCG, start Date, days int, each func(i int, date Date, k float64)) {
	date := start.plus(0)
	of := y.months[date.Month-1].matrix
	raw := of.first(draw)
	for i := range days {
		w := &y.months[date.Month-1]
		if w.matrix != of {
			// A day as rare as it was in the month before.
			raw, of = w.matrix.quantile(of.rank(raw)), w.matrix
		}
		if i > 0 {
			raw = w.tomorrow(raw, draw)
		}
		each(i, date, w.clearness(raw))
		date = date.plus(1)
	}
}

// BestLean is the tilt, to 5°, that catches most in a month, 1 to 12, at a site,
// leaned toward the equator or, between the tropics where the noon sun may
// stand on the other side, away from it.
func BestLean(site Site, month int) (Mounting, error) {
	if err := site.check(); err != nil {
		return Mounting{}, err
	}
	toward, away := units.Degrees(180), units.Degrees(0)
	if site.Lat < 0 {
		toward, away = away, toward
	}
	best, most := Leaned(0, toward), 0.0
	for _, azimuth := range []units.Degrees{toward, away} {
		for tilt := units.Degrees(0); tilt <= 90; tilt += 5 {
			m := Leaned(tilt, azimuth)
			w := newSweep(site, m, Shade{})
			d := w.day(MeanDay(month))
			weather := d.weather(site.Climate.Insolation[month-1])
			g := weather.mean(func(k float64) float64 { return d.onPlane(w.fixed, k) })
			if g > most {
				best, most = m, g
			}
		}
	}
	return best, nil
}
