package ui

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/sun"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// CourseView is the course of one outage as a picture, in sentences and as a
// table.
type CourseView struct {
	Title   string
	Says    []string
	Night   string // paths of the picture
	Left    string
	In, Out string
	Has     string // of what had to go without
	Lacks   string
	Axes    string
	Labels  []Sign
	Height  string
	Legend  string
	Changes []Moment
	Rows    []CourseRow
	Ends    string // what the table leaves out
}

// CourseRow is a line of a course's table.
type CourseRow struct{ When, Left, In, Out string }

// ViewBox is the picture's own frame.
func (c *CourseView) ViewBox() string { return "0 0 328 " + c.Height }

// The picture: the energy above, what flows below it, then a lane for each
// thing that had to go without.
const (
	chartLeft, chartWidth   = 6.0, 316.0
	energyTop, energyBottom = 22.0, 102.0
	flowTop, flowBottom     = 124.0, 164.0
	lanesTop, laneHigh      = 186.0, 26.0
	mostLanes               = 6
	mostPoints              = 500 // of a path: one of more than 16 kB can't be drawn
	mostChanges             = 24
)

// course is what is shown of an outage.
type course struct {
	plan      plan.Plan
	clock     say.Clock
	hours     units.Hours
	stretches []odds.Stretch
}

func (c *course) x(h units.Hours) float64 {
	return chartLeft + chartWidth*float64(h/c.hours)
}

// at says a moment of the course, in whole five minutes of the clock.
func (c *course) at(h units.Hours, round func(float64) float64) string {
	start := c.plan.Outage.Starts
	since := float64(start.Minute())
	return c.clock.Moment(start.After(units.Hours((round((float64(h)*60+since)/5)*5-since)/60)), start)
}

// view draws the course.
func (c *course) view(title, says string) *CourseView {
	v := &CourseView{Title: title, Says: append([]string{says}, c.says()...), Legend: wCourseAlt}
	v.Night = c.nights()
	top, flow := units.WattHours(0), units.Watts(0)
	for _, s := range c.stretches {
		top = max(top, s.LeftFrom, s.LeftTo)
		flow = max(flow, s.Sun+s.Fed, s.Out)
	}
	v.draw(c, max(top, 1), max(flow, 1))
	v.Labels = append(v.Labels,
		Sign{px(chartLeft), px(energyTop - 6), say.WattHours(math.Floor(float64(top))) + wCourseLeft},
		Sign{px(chartLeft), px(flowTop - 6), say.Watts(float64(flow)) + wCourseFlow})
	ticks, labels := timeAxis(c.plan.Outage.Starts, c.hours, c.clock, flowBottom)
	v.Axes = ticks
	v.Labels = append(v.Labels, labels...)
	lanes := c.lanes()
	var has, lacks strings.Builder
	for n, i := range lanes {
		y := lanesTop + laneHigh*float64(n)
		v.Labels = append(v.Labels, Sign{px(chartLeft), px(y + 10), shortened(c.plan.Loads[i].Name)})
		c.lane(&has, y+17, func(s odds.Stretch) bool { return slices.Contains(s.On, i) })
		c.lane(&lacks, y+17, func(s odds.Stretch) bool { return slices.Contains(s.Without, i) })
	}
	v.Has, v.Lacks = has.String(), lacks.String()
	v.Height = px(lanesTop + laneHigh*float64(len(lanes)))
	if len(lanes) > 0 {
		v.Legend += " " + wCourseLanes
	}
	v.Changes = c.changes()
	v.Rows, v.Ends = c.rows()
	return v
}

// shortened is a name that fits over a lane.
func shortened(s string) string {
	if r := []rune(s); len(r) > 36 {
		return string(r[:35]) + "…"
	}
	return s
}

// draw makes the paths of what is left and what flows.
func (v *CourseView) draw(c *course, top units.WattHours, flow units.Watts) {
	var left, in, out strings.Builder
	energy := func(wh units.WattHours) string {
		return px(energyBottom - (energyBottom-energyTop)*float64(wh/top))
	}
	power := func(w units.Watts) string { return px(flowBottom - (flowBottom-flowTop)*float64(w/flow)) }
	left.WriteString("M" + px(chartLeft) + " " + px(energyBottom))
	in.WriteString("M" + px(chartLeft) + " " + px(flowBottom))
	step := (len(c.stretches) + mostPoints - 1) / mostPoints
	for i := 0; i < len(c.stretches); i += step {
		group := c.stretches[i:min(i+step, len(c.stretches))]
		first, last := group[0], group[len(group)-1]
		least := last.LeftTo
		for _, s := range group {
			least = min(least, s.LeftTo)
		}
		sunk, given := means(group)
		x := px(c.x(last.To))
		if i == 0 {
			left.WriteString("V" + energy(first.LeftFrom))
			out.WriteString("M" + px(chartLeft) + " " + power(given))
		}
		left.WriteString("L" + x + " " + energy(least))
		in.WriteString("V" + power(sunk) + "H" + x)
		out.WriteString("V" + power(given) + "H" + x)
	}
	left.WriteString("V" + px(energyBottom) + "Z")
	in.WriteString("V" + px(flowBottom) + "Z")
	v.Left, v.In, v.Out = left.String(), in.String(), out.String()
}

// means are the mean powers in and out over some stretches.
func means(of []odds.Stretch) (in, out units.Watts) {
	var long units.Hours
	for _, s := range of {
		h := s.To - s.From
		long += h
		in += (s.Sun + s.Fed) * units.Watts(h)
		out += s.Out * units.Watts(h)
	}
	if long <= 0 {
		return 0, 0
	}
	return in / units.Watts(long), out / units.Watts(long)
}

// nights is the stripes behind the picture: from sunset to sunrise, and from 6pm
// to 6am where the place is not known.
func (c *course) nights() string {
	site, known := c.plan.Site()
	start := c.plan.Outage.Starts
	before := units.Hours(start.Minute()) / 60 // since midnight
	var b strings.Builder
	dark := func(from, to units.Hours) {
		from, to = max(from, 0), min(to, c.hours)
		if from < to {
			// Not behind the words between the two parts.
			for _, part := range [][2]float64{{energyTop, energyBottom}, {flowTop, flowBottom}} {
				b.WriteString("M" + px(c.x(from)) + " " + px(part[0]) + "H" + px(c.x(to)) + "V" + px(part[1]) + "H" + px(c.x(from)) + "Z")
			}
		}
	}
	last := units.Hours(-24) // sunset of the day before
	for midnight := -before - 24; midnight < c.hours+24; midnight += 24 {
		light := sun.Daylight{Rise: 6, Set: 18}
		if known {
			y, m, d := start.After(midnight + 12).Date()
			light = sun.DaylightOn(sun.Date{Year: y, Month: int(m), Day: d}, site.Lat, site.Lon, site.Offset)
		}
		switch {
		case light.Never:
			continue // the night goes on
		case light.Always:
			light.Rise, light.Set = 0, 24
		}
		dark(last, midnight+light.Rise)
		last = midnight + light.Set
	}
	dark(last, c.hours)
	return b.String()
}

// timeAxis draws a line for hours with marks at round times of the clock, and
// names them.
func timeAxis(start plan.Moment, hours units.Hours, clock say.Clock, y float64) (path string, labels []Sign) {
	var b strings.Builder
	b.WriteString("M" + px(chartLeft) + " " + px(y) + "H" + px(chartLeft+chartWidth))
	step := 1.0
	for _, s := range []float64{3, 6, 12, 24, 48, 96, 168, 336, 672} {
		if float64(hours)/step <= 5 {
			break
		}
		step = s
	}
	grid := math.Min(step, 24)
	first := grid - math.Mod(float64(start.Minute())/60, grid)
	for h := first; h < float64(hours); h += step {
		at := start.After(units.Hours(h))
		label := clock.Minute(clock.Wall(at).Minute())
		if step >= 24 {
			_, month, day := at.Date()
			if label = at.Weekday().String()[:3]; hours > 7*24 {
				label = strconv.Itoa(day) + " " + month.String()[:3]
			}
		}
		x := chartLeft + chartWidth*h/float64(hours)
		b.WriteString("M" + px(x) + " " + px(y) + "v4")
		if x > 14 && x < chartLeft+chartWidth-22 {
			labels = append(labels, Sign{px(x - 8), px(y + 16), label})
		}
	}
	return b.String(), labels
}

// lanes lists the loads that had to go without, the most needed first.
func (c *course) lanes() []int {
	without := make([]units.Hours, len(c.plan.Loads))
	var out []int
	for _, s := range c.stretches {
		for _, i := range s.Without {
			if without[i] == 0 {
				out = append(out, i)
			}
			without[i] += s.To - s.From
		}
	}
	slices.SortFunc(out, func(i, j int) int {
		if a, b := c.plan.Loads[i].Rank.Order(), c.plan.Loads[j].Rank.Order(); a != b {
			return a - b
		}
		return i - j
	})
	return out[:min(len(out), mostLanes)]
}

// lane draws a line where is holds, in whole pixels: it must stay short.
func (c *course) lane(b *strings.Builder, y float64, is func(odds.Stretch) bool) {
	from, to := -1, -1
	flush := func() {
		if from >= 0 {
			b.WriteString("M" + strconv.Itoa(from) + " " + px(y) + "H" + strconv.Itoa(max(to, from+1)))
		}
	}
	for _, s := range c.stretches {
		if !is(s) {
			continue
		}
		a, z := int(c.x(s.From)), int(c.x(s.To))
		if from < 0 || a > to {
			flush()
			from = a
		}
		to = z
	}
	flush()
}

// says tells the course in sentences.
func (c *course) says() []string {
	var out []string
	least, leastAt := units.WattHours(math.Inf(1)), units.Hours(0)
	var empty, vital units.Hours
	emptyFrom := units.Hours(-1)
	var first []int
	firstAt := units.Hours(0)
	anyVital := false
	for _, l := range c.plan.Loads {
		anyVital = anyVital || l.Rank == load.Vital && !l.Off
	}
	for _, s := range c.stretches {
		if s.LeftTo < least {
			least, leastAt = s.LeftTo, s.To
		}
		if first == nil && len(s.Without) > 0 {
			first, firstAt = s.Without, s.From
		}
		if s.Off {
			if emptyFrom < 0 {
				emptyFrom = s.From
			}
			empty += s.To - s.From
		}
		if slices.ContainsFunc(s.Without, func(i int) bool { return c.plan.Loads[i].Rank == load.Vital }) {
			vital += s.To - s.From
		}
	}
	switch {
	case first == nil && len(c.stretches) > 0:
		return append(out, wCourseAllOn+say.WattHours(math.Floor(float64(least)))+wCourseAt+c.at(leastAt, math.Floor)+".")
	case first != nil:
		out = append(out, wCourseFirst+someNames(c.plan, first)+wCourseFrom+c.at(firstAt, math.Floor)+".")
	}
	if emptyFrom >= 0 {
		out = append(out, wCourseEmpty+say.Hours(say.Up(empty))+wCourseEmptyAll+c.at(emptyFrom, math.Floor)+".")
	}
	switch {
	case vital > 0:
		out = append(out, wCourseVital+say.Hours(say.Up(vital))+".")
	case anyVital:
		out = append(out, wCourseVitalOn)
	}
	return out
}

// someNames lists loads as nameList does, but of many only the first.
func someNames(p plan.Plan, loads []int) string {
	const most = 4
	if len(loads) <= most {
		return nameList(p, loads)
	}
	var names []string
	for _, i := range loads[:most-1] {
		names = append(names, lowerFirst(p.Loads[i].Name))
	}
	return strings.Join(names, ", ") + wAnd + strconv.Itoa(len(loads)-most+1) + wCourseAndMore
}

// changes lists what goes off and comes back, in order.
func (c *course) changes() []Moment {
	var out []Moment
	lacking := map[int]bool{}
	more := 0
	for _, s := range c.stretches {
		var goes, back []int
		for _, i := range s.Without {
			if !lacking[i] {
				lacking[i] = true
				goes = append(goes, i)
			}
		}
		for i := range c.plan.Loads {
			if lacking[i] && slices.Contains(s.On, i) {
				delete(lacking, i)
				back = append(back, i)
			}
		}
		var what []string
		switch {
		case len(goes) > 0 && s.Off:
			what = append(what, wCourseFlat+someNames(c.plan, goes))
		case len(goes) > 0:
			what = append(what, wCourseGoes+someNames(c.plan, goes))
		}
		if len(back) > 0 {
			what = append(what, wCourseBack+someNames(c.plan, back))
		}
		switch {
		case len(what) == 0:
		case len(out) == mostChanges:
			more++
		default:
			round := math.Floor // off sooner, back later
			if len(goes) == 0 {
				round = math.Ceil
			}
			out = append(out, Moment{When: c.at(s.From, round), What: strings.Join(what, "; ")})
		}
	}
	if more > 0 {
		out = append(out, Moment{What: wCourseMore + strconv.Itoa(more) + wCourseMoreIs})
	}
	return out
}

// left is what is left at a moment of stretch i or the one after it, Wh.
func (c *course) left(i int, at units.Hours) float64 {
	s := c.stretches[i]
	if at > s.To && i+1 < len(c.stretches) {
		s = c.stretches[i+1]
	}
	part := 0.0
	if s.To > s.From {
		part = min(max(float64((at-s.From)/(s.To-s.From)), 0), 1)
	}
	return float64(s.LeftFrom) + part*float64(s.LeftTo-s.LeftFrom)
}

// dead is from when on the supply has shut down for good, with nothing coming in;
// +Inf where it goes on.
func (c *course) dead() units.Hours {
	from := units.Hours(math.Inf(1))
	for i := len(c.stretches) - 1; i >= 0; i-- {
		s := c.stretches[i]
		if !s.Off || s.LeftTo > 0 || s.Sun+s.Fed > 0 {
			break
		}
		from = s.From
	}
	return from
}

// rows is the picture as a table, of about a dozen lines, up to the first of
// those with nothing left; ends says so.
func (c *course) rows() (out []CourseRow, ends string) {
	step := 1.0
	for _, s := range []float64{2, 3, 6, 12, 24, 48, 96, 168} {
		if float64(c.hours)/step <= 14 {
			break
		}
		step = s
	}
	start, dead := c.plan.Outage.Starts, c.dead()
	i := 0
	for from := units.Hours(0); i < len(c.stretches) && from < c.hours; from += units.Hours(step) {
		// One that reaches over the line counts where it begins.
		j := i
		for j < len(c.stretches) && c.stretches[j].From < from+units.Hours(step) {
			j++
		}
		in, given := means(c.stretches[i:j])
		out = append(out, CourseRow{
			When: c.clock.Near(start.After(from), start), Left: say.Number(math.Floor(c.left(max(i-1, 0), from)), 0),
			In: say.Number(float64(in), 0), Out: say.Number(float64(given), 0),
		})
		i = j
		if from >= dead && i < len(c.stretches) {
			return out, wCourseEnds + c.at(dead, math.Floor) + "."
		}
	}
	return out, ""
}
