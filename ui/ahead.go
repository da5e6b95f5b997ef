package ui

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/errand"
	"candleclock/ui/say"
)

// Ahead is what the page "Will it hold?" says: the whole outage, many times
// over. It is worked out when the page is opened, first with few draws on the
// page's own thread, then with all of them by the worker.
type Ahead struct {
	plan  plan.Plan // from now on; its place guessed where it names none
	clock say.Clock
	vital bool // something vital is on
	place string
	read  bool // the gauge has been read, in the outage that is on
	pace  float64
	got   *errand.Outages

	// Drawn once: the page asks for them at each drawing.
	curve       Curves
	usual, poor *CourseView
}

// Curves are the chance to have had power without a break, hour by hour.
type Curves struct {
	Vital, All, Axes string
	Labels           []Sign
	Rows             []CurveRow
}

// CurveRow is a line of the curves' table.
type CurveRow struct{ After, Vital, All string }

// lookAhead works the quick answer out.
func (a *App) lookAhead() {
	v := &Ahead{plan: a.placed(), clock: a.answer.clock}
	a.outlook = v
	if !a.Answered() {
		return
	}
	v.plan.Outage = a.onward().Outage
	for _, l := range v.plan.Loads {
		v.vital = v.vital || l.Rank == load.Vital && !l.Off
	}
	site, known := v.plan.Site()
	v.place = (&SunView{plan: v.plan, site: site, known: known, guessed: a.book.Plan.Place.Lat == nil}).Place()
	v.read = a.answer.read != nil
	v.pace = a.pace()
	sampler := odds.NewSampler(v.quickDraws(), odds.Seed)
	sampler.Pace = v.pace
	got, _ := errand.Follow(v.plan, sampler, nil)
	v.take(got)
}

// quickDraws is how many outages the page follows by itself: a hundred short
// ones or twenty long ones, in which a slow phone does not stand still.
func (v *Ahead) quickDraws() int {
	return int(min(max(300/(float64(v.plan.Outage.Hours)/24), 20), 100))
}

// reckonAhead has the worker do what lookAhead did in haste.
func (a *App) reckonAhead() {
	v := a.outlook
	a.ask(errand.Question{Kind: errand.Whole, Draws: odds.Draws, Plan: v.plan, Pace: v.pace}, func(got errand.Answer) {
		if o, ok := got.(*errand.Outages); ok && a.outlook == v && len(o.Without) == len(v.plan.Loads) {
			v.take(o)
			a.status = v.Chance()
		}
	})
}

// take draws what was found.
func (v *Ahead) take(got *errand.Outages) {
	v.got = got
	v.curve = v.curves()
	c := course{plan: v.plan, clock: v.clock, hours: got.Hours}
	c.stretches = got.Poor
	v.poor = c.view(wCoursePoor, wCoursePoorSays)
	c.stretches = got.Usual
	v.usual = c.view(wCourseUsual, wCourseUsualTo)
}

// Ahead is what the page that looks ahead shows.
func (a *App) Ahead() *Ahead {
	if a.outlook == nil {
		return &Ahead{}
	}
	return a.outlook
}

// Ready reports whether there is an answer.
func (v *Ahead) Ready() bool { return v.got != nil }

// Outage says how long the outage is that was looked at.
func (v *Ahead) Outage() string {
	if !v.Ready() {
		return ""
	}
	o := v.plan.Outage
	if o.UnderWay {
		return wAheadNext + say.Hours(v.got.Hours) + wAheadUntil + v.clock.Moment(o.Starts.After(v.got.Hours), o.Starts) + "."
	}
	y, m, d := o.Starts.Date()
	return wAheadFor + say.Hours(v.got.Hours) + ", from " + v.clock.Minute(o.Starts.Minute()) + " on " + strconv.Itoa(d) + " " + m.String() + " " + strconv.Itoa(y) +
		wAheadUntil + v.clock.Moment(o.Starts.After(v.got.Hours), o.Starts) + "."
}

// of20 says how many of 20 outages.
func of20(k int) string {
	if k == 0 {
		return wAheadNone + wAheadOf
	}
	return strconv.Itoa(k) + wAheadOf
}

// holds is how many of 20 outages hold.
func (v *Ahead) holds() int { return odds.Twenty(v.got.Hold()) }

// Chance is the chance in one sentence, rounded down.
func (v *Ahead) Chance() string {
	if !v.Ready() {
		return ""
	}
	who := wAheadAll
	switch none := v.holds() == 0; {
	case v.vital && none:
		who = wAheadNoVital
	case v.vital:
		who = wAheadVital
	case none:
		who = wAheadNoAll
	}
	return wAheadIn + of20(v.holds()) + wAheadLike + who
}

// Beside says the same of everything, and what the best of chances is not.
func (v *Ahead) Beside() []string {
	if !v.Ready() {
		return nil
	}
	out := v.trouble()
	if v.vital {
		out = append(out, wAheadAllToo+of20(odds.Twenty(v.got.HoldAll()))+".")
	}
	if v.holds() == 20 {
		out = append(out, wAheadNoPromise)
	}
	return out
}

// Marks says what the candles are.
func (v *Ahead) Marks() string {
	if !v.Ready() {
		return ""
	}
	k := v.holds()
	held, failed := wAheadBurns, wAheadStubs
	if k == 1 {
		held = wAheadBurnsOne
	}
	if k == 19 {
		failed = wAheadStub
	}
	return wAheadMarks + strconv.Itoa(k) + held + wAheadBurning + ", " + strconv.Itoa(20-k) + failed + wAheadBurnt + "."
}

// The marks: two rows of ten candles. mark is the left edge and the foot of one.
func mark(i int) (x, y float64) { return 10 + 32*float64(i%10), 44 + 56*float64(i/10) }

// Wax, Flames and Stubs are the candles: those that burn and those that have
// burnt down.
func (v *Ahead) Wax() string {
	return v.candles(true, func(x, y string) string { return "M" + x + " " + y + "v-26h14v26z" })
}

// Flames are above the wax.
func (v *Ahead) Flames() string {
	return v.candles(true, func(x, y string) string { return "M" + x + " " + y + "m7 -42c5 7 5 12 0 13c-5 -1 -5 -6 0 -13z" })
}

// Stubs are dishes with nothing on them.
func (v *Ahead) Stubs() string {
	return v.candles(false, func(x, y string) string { return "M" + x + " " + y + "m-3 0h20m-14 0v-5h8v5" })
}

func (v *Ahead) candles(burning bool, draw func(x, y string) string) string {
	if !v.Ready() {
		return ""
	}
	var b strings.Builder
	for i := range 20 {
		if (i < v.holds()) == burning {
			x, y := mark(i)
			b.WriteString(draw(px(x), px(y)))
		}
	}
	return b.String()
}

// surely is how long 9 of 10 draws last; +Inf: throughout.
func surely(outs []units.Hours) units.Hours { return outs[int(0.1*float64(len(outs)))] }

// Nine says what holds 9 times in 10.
func (v *Ahead) Nine() string {
	if !v.Ready() {
		return ""
	}
	says := func(outs []units.Hours, through, lasts, not string) string {
		h, start := surely(outs), v.plan.Outage.Starts
		switch {
		case h >= v.got.Hours:
			return wAheadNine + through + "."
		case say.Down(h) <= 0:
			return not + "."
		}
		return wAheadNine + lasts + say.Hours(h) + wAheadUntil + v.clock.Moment(start.After(say.Down(h)), start) + "."
	}
	all := says(v.got.All, wAheadAllThrough, wAheadAllFor, wAheadAllNot)
	if !v.vital {
		return all
	}
	return says(v.got.Vital, wAheadVitalThrough, wAheadVitalFor, wAheadVitalNot) + " " + all
}

// Curve is the chance hour by hour.
func (v *Ahead) Curve() *Curves { return &v.curve }

// CurveSays explains the picture.
func (v *Ahead) CurveSays() string {
	if v.vital {
		return wAheadCurveAlt
	}
	return wAheadCurveOne
}

const curveTop, curveBottom = 20.0, 120.0

func (v *Ahead) curves() Curves {
	var out Curves
	points := v.got.Survival()
	line := func(p func(odds.Point) float64) string {
		var b strings.Builder
		for i, pt := range points {
			x := px(chartLeft + chartWidth*float64(min(pt.H, v.got.Hours)/v.got.Hours))
			y := px(curveBottom - (curveBottom-curveTop)*p(pt))
			if i == 0 {
				b.WriteString("M" + x + " " + y)
			} else {
				b.WriteString("L" + x + " " + y)
			}
		}
		return b.String()
	}
	out.All = line(func(p odds.Point) float64 { return p.PAll })
	if v.vital {
		out.Vital = line(func(p odds.Point) float64 { return p.PVital })
	} else {
		out.Vital, out.All = out.All, ""
	}
	axis, labels := timeAxis(v.plan.Outage.Starts, v.got.Hours, v.clock, curveBottom)
	out.Axes = axis + "M" + px(chartLeft) + " " + px((curveTop+curveBottom)/2) + "h4M" + px(chartLeft) + " " + px(curveTop) + "h4"
	out.Labels = append(labels, Sign{px(chartLeft), px(curveTop - 6), of20(20)}, Sign{px(chartLeft + 8), px((curveTop+curveBottom)/2 + 5), "10"})
	// Up to the first line on which none holds.
	last := len(points) - 1
	for last > 1 && odds.Twenty(points[last-1].PAll) == 0 && (!v.vital || odds.Twenty(points[last-1].PVital) == 0) {
		last--
	}
	step := max(1, (last+8)/8)
	for i := step; i < last+step; i += step {
		p := points[min(i, last)]
		r := CurveRow{say.ShortHours(min(p.H, v.got.Hours)), strconv.Itoa(odds.Twenty(p.PVital)), strconv.Itoa(odds.Twenty(p.PAll))}
		if !v.vital {
			r.Vital = wAheadNoneVital
		}
		out.Rows = append(out.Rows, r)
	}
	return out
}

// Without says what each thing goes without, worst first.
func (v *Ahead) Without() []Row {
	if !v.Ready() {
		return nil
	}
	var out []Row
	for _, i := range v.worstFirst() {
		if h := v.got.Without[i]; !v.hardlyEver(i) {
			out = append(out, Row{Label: v.plan.Loads[i].Name, Value: say.ShortHours(say.Up(h)), Strong: v.plan.Loads[i].Rank == load.Vital})
		}
	}
	return out
}

// hardly is what is not worth a line: five minutes in the whole outage.
const hardly units.Hours = 1. / 12

// hardlyEver reports whether a load is never or hardly ever without. Of a vital
// one any time is worth a line: a short mean may be a long night, seldom.
func (v *Ahead) hardlyEver(i int) bool {
	h := v.got.Without[i]
	return h == 0 || h <= hardly && v.plan.Loads[i].Rank != load.Vital
}

func (v *Ahead) worstFirst() []int {
	order := make([]int, len(v.got.Without))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		switch a, b := v.got.Without[i], v.got.Without[j]; {
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return 0
	})
	return order
}

// Never names what is hardly ever without.
func (v *Ahead) Never() string {
	if !v.Ready() {
		return ""
	}
	var never []int
	for i, l := range v.plan.Loads {
		if v.hardlyEver(i) && !l.Off {
			never = append(never, i)
		}
	}
	if len(never) == 0 {
		return ""
	}
	return wAheadNever + nameList(v.plan, never) + "."
}

// Basis says what the answer counts with.
func (v *Ahead) Basis() []string {
	if !v.Ready() {
		return nil
	}
	out := []string{wAheadDraws + strconv.Itoa(v.got.Draws) + wAheadDrawsEach}
	if v.read {
		out = append(out, wAheadRead)
	}
	if v.got.Sun {
		out = append(out, wAheadSun+v.place)
	} else {
		out = append(out, wAheadNoSun)
	}
	o := v.plan.Outage
	out = append(out, refillsSay(v.plan)...)
	byGauge := o.ComfortBelow != nil || o.UsefulBelow != nil
	if !byGauge {
		out = append(out, wAheadNoDrop)
	}
	if o.ComfortBelow != nil {
		out = append(out, wAheadDrop+say.Percent(*o.ComfortBelow)+".")
	}
	if o.UsefulBelow != nil {
		out = append(out, wAheadDropUseful+say.Percent(*o.UsefulBelow)+".")
	}
	for _, r := range o.Refills {
		byGauge = byGauge || r.Below != nil && charge.Power(v.plan.Supply.Inputs, r.Kind) > 0
	}
	if byGauge {
		out = append(out, wAheadAwake)
	}
	return out
}

// refillsSay says which of a car's socket and a generator charge it by the plan's
// rules, how long the fuel lasts, and which are not counted.
func refillsSay(p plan.Plan) (out []string) {
	var used, unused []string
	for _, kind := range []charge.Kind{charge.Car, charge.Generator} {
		switch name := lowerFirst(inputNames[kind]); {
		case charge.Power(p.Supply.Inputs, kind) <= 0: // it is not there, whatever the rules say of it
		case refillAt(p.Outage.Rules, kind) >= 0:
			used = append(used, name)
		default:
			unused = append(unused, name)
		}
	}
	if len(used) > 0 {
		out = append(out, wAheadRefill+strings.Join(used, wAnd)+".")
	}
	if i := refillAt(p.Outage.Rules, charge.Generator); i >= 0 && charge.Power(p.Supply.Inputs, charge.Generator) > 0 {
		out = append(out, generatorRuns(p.Supply.Inputs, p.Outage.Refills[i]))
	}
	if len(unused) > 0 {
		out = append(out, wAheadNoRefill+strings.Join(unused, wAnd)+".")
	}
	return out
}

// generatorRuns says what a generator brings and how long its fuel lasts at that.
func generatorRuns(inputs []charge.Input, f plan.Refill) string {
	gives, burns := charge.Power(inputs, charge.Generator), 0.0
	burns = charge.Thirst(inputs).LPerH(gives)
	litres, told := f.Fuel()
	says := wAheadGen + say.Watts(float64(gives)) + wAheadGenBurns + say.Amount(math.Ceil(burns*10)/10, 1, "L")
	long, at := say.Hours(say.Down(units.Hours(litres/burns))), say.Amount(litres, 1, "L")
	if told {
		return says + wAheadGenAnHour + at + wAheadGenAtHand + long + wAheadGenInAll
	}
	return says + wAheadGenNotTold + at + wAheadGenCounted + long + wAheadGenEnter
}

// generatorGives says how much of a generator's watts the battery gets, where
// that is not all of them; "" without a generator.
func generatorGives(inputs []charge.Input) string {
	rated, gives := charge.Rated(inputs, charge.Generator), charge.Power(inputs, charge.Generator)
	if gives >= rated {
		return ""
	}
	says := wGenGives + say.Watts(float64(rated)) + wGenGets + say.Watts(float64(gives))
	if charge.Rated(inputs, charge.Wall) == 0 {
		return says + wGenUnknownWall
	}
	return says + wGenByWall
}

// Courses are the two courses that are shown, the poor one first.
func (v *Ahead) Courses() []*CourseView {
	if !v.Ready() {
		return nil
	}
	return []*CourseView{v.poor, v.usual}
}
