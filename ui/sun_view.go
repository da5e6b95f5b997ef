package ui

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/odds"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/sizing"
	"candleclock/engine/sun"
	"candleclock/engine/units"
	"candleclock/engine/yield"
	"candleclock/ui/say"
)

// SunView is what the page Sun says. It is worked out when the page is opened
// and when something on it changes, not at each keystroke elsewhere.
type SunView struct {
	plan    plan.Plan // with a guessed place where it names none
	clock   say.Clock
	prefs   Prefs
	now     plan.Moment
	guessed bool
	site    sun.Site
	known   bool // site holds
	wirings []yield.Wiring
	yield   *yield.Yield
	months  [12]sun.Range
	enough  sizing.Balance
	with    *odds.WithSun // nil where it is not known
}

// lookUp works the view out.
func (a *App) lookUp() {
	v := &SunView{plan: a.placed(), clock: a.prefs.clock(), prefs: a.prefs, now: a.now}
	a.sun = v
	v.guessed = a.book.Plan.Place.Lat == nil
	v.site, v.known = v.plan.Site()
	air := yield.UnknownAir
	if v.known {
		air = yield.Air(v.site.Climate)
	}
	v.wirings = yield.Wirings(v.plan, air)
	if a.route.Page != pageSun {
		return // the forms show the wiring only
	}
	if v.yield = yield.Of(v.plan); v.yield == nil {
		return
	}
	for m := range v.months {
		v.months[m] = v.yield.Month(m + 1)
	}
	if a.Answered() {
		v.enough = sizing.Enough(v.plan, v.yield, v.month())
		v.with = a.withSun(v.yield)
	}
}

// withSun is how long it lasts with the panels, from a moment on.
type withSun struct {
	from plan.Moment
	with *odds.WithSun // nil where panels, place or wiring are not known
}

// withSun works it out from now on, not from the last reading, once for each
// answer and minute: what Sun says is what Tonight says. y is the plan's yield.
func (a *App) withSun(y *yield.Yield) *odds.WithSun {
	if !a.Answered() || a.answer.Passed() || !hasPanels(a.book.Plan) {
		return nil
	}
	from := a.answer.from()
	if lit := a.answer.lit; lit != nil && lit.from == from {
		return lit.with
	}
	lit := &withSun{from: from}
	a.answer.lit = lit
	p := a.placed()
	if y == nil {
		y = yield.Of(p)
	}
	if y == nil {
		return nil
	}
	p.Outage = a.onward().Outage
	sampler := odds.NewSampler(odds.Draws, odds.Seed)
	sampler.Pace = a.pace()
	with := sampler.WithSun(p, y)
	// What the readings tell without the sun, the sun does not shorten.
	with.CountOn = max(with.CountOn, a.answer.left(a.answer.run.CountOn))
	with.Likely = max(with.Likely, a.answer.left(a.answer.run.Likely), with.CountOn)
	lit.with = &with
	return lit.with
}

// WithPanels says on Tonight what Sun says of how long the plan runs with the
// panels; "" without any.
func (a *App) WithPanels() string {
	if !a.Answered() || a.answer.Passed() || !hasPanels(a.book.Plan) {
		return ""
	}
	if with := a.withSun(nil); with != nil {
		return withPanels(with)
	}
	return wSunElsewhere
}

// counted is the plan in view for the date that every page counts.
func (a *App) counted() plan.Plan {
	p, _ := a.inHours(a.book.Plan)
	return asOf(p, a.now)
}

// DateNote says which season is counted, where it is not that of the plan's own
// date: a plan of August, opened in January.
func (a *App) DateNote() string {
	if a.book == nil {
		return ""
	}
	is, rolled := a.book.Plan.Rolled(a.now)
	y, m, _ := a.book.Plan.Outage.Starts.Date()
	if year, month, _ := is.Outage.Starts.Date(); !rolled || year == y && month == m {
		return ""
	}
	return wDateWas + date(a.book.Plan.Outage.Starts) + wDateIs + date(is.Outage.Starts) + "."
}

// placed is the plan in view with what is missing of its place guessed from the
// device: without asking, and shown as a guess.
func (a *App) placed() plan.Plan {
	p := a.counted()
	zone := a.ports.Clock.Zone()
	if p.Place.Lat == nil || p.Place.Lon == nil {
		if p.Place.Zone != "" {
			zone = p.Place.Zone
		}
		if lat, lon, ok := sun.GuessZone(zone); ok {
			x, y := float64(lat), float64(lon)
			p.Place.Lat, p.Place.Lon = &x, &y
		}
	}
	if p.Place.Offset == nil && p.Place.Lon != nil {
		_, seconds := a.ports.Clock.Now().Zone()
		// The device's clock is the place's unless the sun says otherwise: few
		// zones lie further off their meridian.
		if h := float64(seconds) / 3600; math.Abs(h-*p.Place.Lon/15) < 3.2 {
			p.Place.Offset = &h
		}
	}
	return p
}

// Fills lists how long each source takes to fill the empty battery.
func (v *SunView) Fills() []Row {
	if !v.plan.HasSupply() {
		return nil
	}
	pack := yield.Pack(v.plan)
	var out []Row
	row := func(label string, h units.Hours, fills bool) {
		r := Row{Label: label, Value: wFillNever}
		if fills {
			// A time to wait for is rounded up.
			r.Value = say.Hours(say.Up(h))
		}
		out = append(out, r)
	}
	if v.yield != nil {
		h, ok := pack.FillDaily(0, yield.FromSunrise(v.yield.PoorDay(v.on())), fillDays)
		row(wFillPoor, h, ok)
		h, ok = pack.FillDaily(0, yield.FromSunrise(v.yield.UsualDay(v.on())), fillDays)
		row(wFillUsual, h, ok)
	}
	for _, in := range v.plan.Supply.Inputs {
		if in.Kind == charge.Panel {
			continue
		}
		w := charge.Power(v.plan.Supply.Inputs, in.Kind)
		h, ok := pack.Fill(0, w)
		label := inputNames[in.Kind] + ", " + say.Watts(float64(w))
		if in.Kind == charge.Generator {
			if run, fills := in.FillRun(pack, 0, w); fills {
				label += wFillLitres + say.Amount(math.Ceil(run.Litres*10)/10, 1, "L")
			}
		}
		row(label, h, ok)
	}
	return out
}

// fillDays is how long a fill from the sun is followed.
const fillDays = 60

var inputNames = map[charge.Kind]string{charge.Panel: "Panel input", charge.Wall: "Wall adapter", charge.Car: "Car socket", charge.Generator: "Generator"}

// on is the day that the page looks at: today in an outage, else the day of the
// one to prepare for.
func (v *SunView) on() plan.Moment {
	if v.plan.Outage.UnderWay {
		return v.now
	}
	return v.plan.Outage.Starts
}

func (v *SunView) month() int {
	_, m, _ := v.on().Date()
	return int(m)
}

func (v *SunView) monthName() string { return time.Month(v.month()).String() }

// Place says where the sun is reckoned for.
func (v *SunView) Place() string {
	if !v.known {
		return wSunNowhere
	}
	c := v.site.Climate
	s := named(v.plan.Place.Name)
	if s == "" || v.guessed {
		s = c.Town
		if c.TownKm >= 20 {
			s = say.Number(c.TownKm, 0) + " km from " + c.Town
		}
	}
	if v.guessed {
		return s + wSunGuessed
	}
	return s + "."
}

// Missing says what the page still needs; "" when it can answer.
func (v *SunView) Missing() string {
	switch {
	case v.plan.Panels.Count == 0:
		return wSunNoPanels
	case !hasPanelInput(v.plan):
		return wSunNoInput
	case !v.known:
		return wSunNowhere
	}
	return ""
}

func hasPanelInput(p plan.Plan) bool {
	for _, in := range p.Supply.Inputs {
		if in.Kind == charge.Panel {
			return true
		}
	}
	return false
}

// Danger lists the wirings that would damage the input, before anything else.
func (v *SunView) Danger() []string {
	var out []string
	for _, w := range v.wirings {
		if w.Verdict == panel.Damages {
			out = append(out, firstUpper(layoutSays(w.Layout))+wSunDamages+w.Why+".")
		}
	}
	return out
}

// Best says how to wire, or that nothing works.
func (v *SunView) Best() string {
	if len(v.wirings) == 0 {
		return ""
	}
	best := v.wirings[0]
	switch best.Verdict {
	case panel.Damages:
		return wSunNoneSafe
	case panel.WontStart:
		return wSunNoneStarts + best.Why + "."
	}
	return firstUpper(layoutSays(best.Layout)) + ": " + best.Why + "."
}

// mostOthers is how many other ways are listed: many panels have dozens.
const mostOthers = 8

// Others lists the best of the other wirings that do no harm.
func (v *SunView) Others() []string {
	var out []string
	for i, w := range v.wirings {
		if i == 0 || w.Verdict == panel.Damages {
			continue
		}
		word := wSunFits
		switch w.Verdict {
		case panel.WontStart:
			word = wSunWontStart
		case panel.Clipped:
			word = wSunClipped
		}
		out = append(out, firstUpper(layoutSays(w.Layout))+": "+word+" ("+w.Why+").")
		if len(out) == mostOthers {
			break
		}
	}
	return out
}

// layoutSays says a layout: "2 panels in a chain", "2 chains of 3 panels side by
// side", "one panel".
func layoutSays(l panel.Layout) string {
	s, p, n := l.Series(), l.Parallel(), l.Modules()
	switch {
	case n == 1:
		return "one panel alone"
	case p == 1:
		return say.Number(float64(n), 0) + " panels in a chain"
	case s == 1:
		return say.Number(float64(n), 0) + " panels side by side"
	}
	return say.Number(float64(p), 0) + " chains of up to " + say.Number(float64(s), 0) + " panels, side by side"
}

// Joints lists the wires of the best layout in words.
func (v *SunView) Joints() []string {
	if !v.works() {
		return nil
	}
	var out []string
	for _, w := range v.wirings[0].Wires() {
		out = append(out, firstUpper(w.String()))
	}
	return out
}

func (v *SunView) works() bool { return len(v.wirings) > 0 && v.wirings[0].Watts > 0 }

// Fuses says when each string must have its own fuse.
func (v *SunView) Fuses() string {
	if v.works() && v.wirings[0].NeedsFuses() {
		return wSunFuses
	}
	return ""
}

// Cold says what the voltage was reckoned for.
func (v *SunView) Cold() string {
	if len(v.wirings) == 0 {
		return ""
	}
	low := yield.UnknownAir.Low
	if v.known {
		low = yield.Air(v.site.Climate).Low
	}
	return wSunCold + v.prefs.degrees(units.Celsius(math.Round(float64(low)))) + wSunColdWhy
}

// Diagram draws the best layout.
type Diagram struct {
	Panels        []Rect // with their numbers
	Wires         string // a path
	Signs         []Sign
	Width, Height string
	Alt           string
}

// Rect is a panel in the drawing, Sign a plus or minus.
type Rect struct{ X, Y, LabelX, LabelY, Label string }

// Sign is a plus or minus at a terminal.
type Sign struct{ X, Y, Label string }

// ViewBox is the drawing's own frame.
func (d *Diagram) ViewBox() string { return "0 0 " + d.Width + " " + d.Height }

// Diagram draws strings as columns between a plus rail above and a minus rail
// below, which lead to the input.
func (v *SunView) Diagram() *Diagram {
	d := &Diagram{Width: "10", Height: "10"}
	if !v.works() || v.wirings[0].Parallel() > 6 {
		return d
	}
	const (
		w, h, gap = 64.0, 34.0, 26.0
		left, top = 78.0, 34.0
	)
	best := v.wirings[0].Layout
	bottom := top + float64(best.Series())*(h+gap)
	var path strings.Builder
	for i, s := range best.Strings {
		x := left + float64(i)*(w+16)
		mid := x + w/2
		y := top
		from := top - 14
		for _, m := range s {
			fmt.Fprintf(&path, "M%s %sV%s", px(mid), px(from), px(y+6))
			d.Panels = append(d.Panels, Rect{px(x), px(y + 6), px(mid), px(y + 28), "Panel " + strconv.Itoa(m)})
			d.Signs = append(d.Signs, Sign{px(mid + 6), px(y + 2), "+"}, Sign{px(mid + 6), px(y + h + 17), "−"})
			from = y + 6 + h
			y += h + gap
		}
		fmt.Fprintf(&path, "M%s %sV%s", px(mid), px(from), px(bottom))
	}
	last := left + float64(best.Parallel()-1)*(w+16) + w/2
	fmt.Fprintf(&path, "M%s %sH46M%s %sH46", px(last), px(top-14), px(last), px(bottom))
	d.Wires = path.String()
	d.Signs = append(d.Signs, Sign{"4", px(top - 9), "In +"}, Sign{"4", px(bottom + 5), "In −"})
	d.Width, d.Height = px(left+float64(best.Parallel())*(w+16)), px(bottom+14)
	d.Alt = wSunDiagram
	return d
}

// Day says what a day brings.
func (v *SunView) Day() string {
	if v.yield == nil {
		return ""
	}
	r := v.months[v.month()-1]
	return wSunPoor + say.WattHours(float64(r.Poor)) + wSunUsual + v.monthName() + wSunUsualIs + say.WattHours(float64(r.Usual)) + wSunFine + say.WattHours(float64(r.Fine)) + "."
}

// EnoughSays says whether the sun keeps up with the plan.
func (v *SunView) EnoughSays() []string {
	if v.yield == nil || v.enough.Need == 0 {
		return nil
	}
	b := v.enough
	if b.NoCharge {
		return []string{noCharge(v.plan, v.prefs)}
	}
	need := say.WattHours(float64(b.Need))
	var out []string
	switch {
	case b.Poor >= b.Need:
		out = append(out, wSunEnoughPoor+need+wSunADay)
	case b.Usual >= b.Need:
		out = append(out, wSunEnoughUsual+need+wSunADay)
	default:
		out = append(out, wSunNotEnough+need+wSunBrings+say.WattHours(float64(v.months[v.month()-1].Usual))+wSunStores+v.monthName()+wSunInMonth+say.WattHours(float64(b.Usual))+wSunLosesRest)
	}
	if b.Usual < b.Need && b.WattsUsual > 0 {
		out = append(out, wSunWouldUsual+say.Amount(roundUp(float64(b.WattsUsual)), 0, "W")+wSunOfPanels)
	}
	if b.Poor < b.Need && b.WattsPoor > 0 {
		out = append(out, wSunWouldPoor+say.Amount(roundUp(float64(b.WattsPoor)), 0, "W")+wSunOfPanels)
	}
	if b.Steady > 0 {
		says, mean := wSunSteady+say.Watts(math.Floor(float64(b.Steady)))+wSunSteadyIs, math.Floor(float64(b.Mean))
		if lost := mean - math.Floor(float64(b.Steady)); lost >= 1 && b.Steady < v.plan.Supply.UsualInverter().Limits().Continuous {
			says += wSunSteadyOf + say.Watts(mean) + wSunSteadyLost + say.Watts(lost) + "."
		} else {
			says += "."
		}
		out = append(out, says)
	}
	return out
}

// NoFill says why nothing fills the battery, where that is so.
func (v *SunView) NoFill() string {
	if !v.plan.HasSupply() || yield.Pack(v.plan).MayCharge || len(v.EnoughSays()) > 0 { // it is said above
		return ""
	}
	return noCharge(v.plan, v.prefs)
}

// noCharge says why the battery may not be charged where it stands.
func noCharge(p plan.Plan, prefs Prefs) string {
	at := p.Supply.Battery.Room
	if at > battery.ChargeTo {
		return wNoChargeAt + prefs.degrees(at) + wNoChargeHot + prefs.degrees(chargeHot) + wNoChargeCool
	}
	return wNoChargeAt + prefs.degrees(at) + wNoChargeBelow + prefs.degrees(0) + wNoChargeSo
}

// roundUp rounds a size to buy up, to two figures.
func roundUp(w float64) float64 {
	step := math.Pow(10, math.Max(0, math.Floor(math.Log10(w))-1))
	return math.Ceil(w/step) * step
}

// Runs says how long the plan runs with the panels.
func (v *SunView) Runs() string {
	if v.yield == nil || v.with == nil {
		return ""
	}
	return withPanels(v.with)
}

func withPanels(w *odds.WithSun) string {
	window := say.Number(float64(w.Window)/24, 0) + " days"
	if w.NeverEmpty() {
		return wSunNever + window + wSunNeverIs
	}
	s := wSunPlanOn + say.Hours(w.CountOn) + "."
	if math.IsInf(float64(w.Likely), 1) {
		return s + wSunLikelyOn + window + "."
	}
	return s + wAbout + say.Hours(w.Likely) + wMostLikely
}

// MonthRow is a month's line in the table.
type MonthRow struct{ Month, Poor, Usual, Class string }

// Months lists the year.
func (v *SunView) Months() []MonthRow {
	if v.yield == nil {
		return nil
	}
	out := make([]MonthRow, 12)
	for i, r := range v.months {
		out[i] = MonthRow{Month: time.Month(i + 1).String(), Poor: say.WattHours(float64(r.Poor)), Usual: say.WattHours(float64(r.Usual))}
		if i == v.month()-1 {
			out[i].Class = "strong"
		}
	}
	return out
}

// YearChart is the year as bars: a usual day's height, the poor day's mark.
type YearChart struct{ Bars, Poor, Now string }

// Year draws the year in 328 by 150.
func (v *SunView) Year() YearChart {
	var c YearChart
	if v.yield == nil {
		return c
	}
	most := units.WattHours(1)
	for _, r := range v.months {
		most = max(most, r.Usual)
	}
	y := func(e units.WattHours) string { return px(130 - 120*float64(e/most)) }
	for i, r := range v.months {
		x := 6 + 27*float64(i)
		bar := "M" + px(x) + " 130V" + y(r.Usual) + "h19V130z"
		if i == v.month()-1 {
			c.Now = bar
		} else {
			c.Bars += bar
		}
		c.Poor += "M" + px(x-2) + " " + y(r.Poor) + "h23"
	}
	return c
}

// MonthLetters are the labels under the year's bars.
func MonthLetters() []Sign {
	out := make([]Sign, 12)
	for i := range out {
		out[i] = Sign{X: px(6 + 27*float64(i) + 9.5), Y: "146", Label: time.Month(i + 1).String()[:1]}
	}
	return out
}

// DayChart is a day's curve: cloudless, and a usual day.
type DayChart struct{ Clear, Usual, Top string }

// Curve draws the day in 328 by 150, an hour every 13 units.
func (v *SunView) Curve() DayChart {
	var c DayChart
	if v.yield == nil {
		return c
	}
	clear, usual := v.yield.ClearDay(v.on()), v.yield.UsualDay(v.on())
	most := units.Watts(1)
	for _, w := range clear {
		most = max(most, w)
	}
	line := func(day []units.Watts) string {
		var b strings.Builder
		for h, w := range day {
			b.WriteString("ML"[min(h, 1):][:1] + px(8+13*(float64(h)+0.5)) + " " + px(130-110*float64(w/most)))
		}
		return b.String()
	}
	c.Clear, c.Usual = line(clear), line(usual)
	c.Top = say.Watts(float64(most))
	return c
}

// HourLabels are the labels under the day's curve.
func (v *SunView) HourLabels() []Sign {
	var out []Sign
	for _, h := range []int{6, 12, 18} {
		out = append(out, Sign{X: px(8 + 13*float64(h)), Y: "146", Label: v.clock.Minute(loadMinute(h))})
	}
	return out
}

// CurveSays is the curve in words.
func (v *SunView) CurveSays() string {
	if v.yield == nil {
		return ""
	}
	clear, usual := v.yield.ClearDay(v.on()), v.yield.UsualDay(v.on())
	peak := 0
	for h := range clear {
		if clear[h] > clear[peak] {
			peak = h
		}
	}
	if clear[peak] == 0 {
		return wSunPolar
	}
	return wSunPeak + v.clock.Minute(loadMinute(peak)) + wSunPeakAnd + v.clock.Minute(loadMinute(peak+1)) + ": " +
		say.Watts(float64(clear[peak])) + wSunPeakClear + say.Watts(float64(usual[peak])) + wSunPeakUsual
}

// Light says when the sun is up.
func (v *SunView) Light() string {
	if !v.known {
		return ""
	}
	y, m, d := v.on().Date()
	l := sun.DaylightOn(sun.Date{Year: y, Month: int(m), Day: d}, v.site.Lat, v.site.Lon, v.site.Offset)
	switch {
	case l.Never:
		return wSunPolar
	case l.Always:
		return wSunPolarDay
	}
	at := func(h units.Hours) string {
		minutes := ((int(math.Round(float64(h)*60))+2)/5*5%1440 + 1440) % 1440
		return v.clock.Minute(loadMinute(0) + minuteOf(minutes))
	}
	return wSunUp + at(l.Rise) + wTo + at(l.Set) + wSunHighest + at(l.Noon) + v.ownTime() + "."
}

// ownTime says when the clock there is not known.
func (v *SunView) ownTime() string {
	if v.plan.Place.Offset == nil {
		return wSunOwnTime
	}
	return ""
}

// Lean says how to lean and turn the panel now.
func (v *SunView) Lean() []string {
	if !v.known {
		return nil
	}
	best, err := sun.BestLean(v.site, v.month())
	if err != nil {
		return nil
	}
	tilt := float64(best.Tilt)
	var out []string
	if tilt < 5 {
		out = append(out, wSunFlat)
	} else {
		rise := math.Round(100 * math.Sin(tilt*math.Pi/180))
		out = append(out, wSunLean+say.Number(tilt, 0)+wSunLeanFrom+say.Number(rise, 0)+wSunLeanRise+books(rise)+".")
	}
	out = append(out, wSunFace+compass(float64(best.Azimuth))+wSunFaceHow)
	return out
}

// books says a height in standing books of 24 cm, to the half.
func books(cm float64) string {
	n := math.Max(0.5, math.Round(cm/24*2)/2)
	if n == 1 {
		return "1 book stood upright"
	}
	return say.Number(n, 1) + " books stood upright"
}

// compass says a bearing as one of eight winds and degrees.
func compass(azimuth float64) string {
	winds := []string{"north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"}
	i := int(math.Mod(azimuth+22.5, 360) / 45)
	return winds[i] + " (" + say.Number(math.Mod(azimuth, 360), 0) + "°)"
}

// Check compares the watts that the display shows with what they should be.
func (v *SunView) Check(shown float64, sky string) []string {
	if v.yield == nil {
		return nil
	}
	h := int(v.now.Minute()) / 60
	clear := float64(v.yield.ClearDay(v.now)[h])
	usual := float64(v.yield.UsualDay(v.now)[h])
	poor := float64(v.yield.PoorDay(v.now)[h])
	low, high := 0.7*clear, 1.15*clear
	switch sky {
	case "hazy":
		low, high = 0.35*clear, 0.9*clear
	case "grey":
		low, high = 0.4*math.Min(poor, usual), math.Max(usual, 0.5*clear)
	}
	if clear < 2 {
		return []string{wSunCheckDark}
	}
	expect := wSunCheckExpect + say.Watts(low) + wTo + say.Watts(high) + "."
	switch {
	case shown > high*1.2:
		return []string{wSunCheckHigh, expect}
	case shown >= low:
		return []string{wSunCheckRight, expect}
	}
	return append([]string{expect, wSunCheckLow}, sunCauses...)
}
