package ui

import (
	"math"
	"strconv"
	"strings"

	"candleclock/engine/card"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// The card put into words.

// cut is how much of the lists stands on the card: the less, the larger the
// letters can be. What is left out is counted, and none of it is vital.
type cut struct {
	steps   int // of the start order, besides what is vital
	heavy   int // of the things too heavy, and of those too hard to start
	rungs   int // rows of the table
	writing int // lines to write on
	tight   bool
}

var cuts = []cut{{12, 14, 11, 4, false}, {8, 6, 7, 4, false}, {8, 6, 7, 4, true}, {6, 4, 7, 2, true}, {4, 3, 5, 2, true}, {3, 2, 4, 2, true}, {2, 1, 4, 2, true}}

func newCardView(c card.Card, p plan.Plan, prefs Prefs, cut cut) *CardView {
	return say.OnPaper(func() *CardView { return cardView(c, p, prefs, cut) })
}

func cardView(c card.Card, p plan.Plan, prefs Prefs, cut cut) *CardView {
	full := func(i int) string { return p.Loads[i].Name }
	if cut.tight {
		full = shortNames(p.Loads)
	}
	name := func(i int) string { return named(full(i)) }
	v := &CardView{
		tight: cut.tight,
		Title: wCardTitle + c.Title,
		Made:  wCardMade + date(c.Made) + wCardDrill + date(c.Drill) + ".",
		Order: orderLines(c.Start, name, cut.steps),
		Never: neverLines(c, ofPreset(p.Supply), name, cut.heavy),
		Under: underLadder(c, prefs),
		Write: c.Lines[:min(len(c.Lines), cut.writing)],
		Small: []string{cardCautions, basisLine(c.Basis, prefs)},
	}
	if s := leftOut(c.Ladder.LeftOut, name, min(4, cut.heavy+1)); s != "" {
		v.Never = append(v.Never, s)
	}
	if s := notCounted(c, name, cut.heavy); s != "" {
		v.Under[0] += s
	}
	var thinned bool
	if v.Heads, v.Rows, thinned = ladderTable(c.Ladder, p.Supply.Gauge, cut.rungs); thinned {
		v.Under[0] += wCardBetween
	}
	for _, p := range []CardPart{
		{wMorning, morningLines(c, prefs.clock())},
		{wCardSun, sunLines(c.Sun)},
		{wCardFood, foodLines(c.Food)},
		{wCardOxygen, oxygenLines(c.Oxygen)},
	} {
		if len(p.Lines) > 0 {
			v.More = append(v.More, p)
		}
	}
	return v
}

// date says a day: "14 January 2026".
func date(m plan.Moment) string {
	y, month, d := m.Date()
	return strconv.Itoa(d) + "\u00a0" + month.String() + "\u00a0" + strconv.Itoa(y)
}

func orderLines(s card.Start, name func(int) string, most int) []CardLine {
	var out []CardLine
	more := s.More
	for _, step := range s.Steps {
		if !step.Vital {
			if most--; most < 0 {
				more++
				continue
			}
		}
		step.Name = name(step.Load)
		l := CardLine{step.String(), step.Vital}
		if step.Vital {
			l.Text += wCardVital
		}
		if step.Wait {
			l.Text += wCardWait
		}
		out = append(out, l)
	}
	switch {
	case more == 1:
		out = append(out, CardLine{Text: wCardThenOne})
	case more > 1:
		out = append(out, CardLine{Text: wCardThen + say.Number(float64(more), 0) + wCardThenMore})
	}
	return out
}

func neverLines(c card.Card, bySize bool, name func(int) string, most int) []string {
	n := c.Never
	var heavy, hard, may []string
	for _, r := range n.Refused {
		if r.Why == start.HardStart && r.Guessed && !n.Guessed {
			may = append(may, name(r.Load))
		} else if r.Why == start.HardStart {
			hard = append(hard, name(r.Load))
		} else {
			heavy = append(heavy, name(r.Load))
		}
	}
	for i, s := range n.Usual {
		if i > 0 || len(heavy) > 0 {
			s = firstLower(s)
		}
		heavy = append(heavy, s)
	}
	var out []string
	limit := wCardCarries + say.Watts(float64(n.Limit)) + "."
	switch {
	case n.Guessed:
		limit = wCardGuessed
	case bySize && n.Limit > usbOnly: // nobody entered it
		limit = wCardBySize + say.Watts(float64(n.Limit)) + wCardBySizeRead
	}
	if s := atMost(heavy, most, n.More); s != "" {
		out = append(out, s+wCardTooHeavy+" "+limit)
	} else {
		out = append(out, limit)
	}
	switch s := atMost(hard, most, 0); {
	case s != "" && n.Guessed:
		out = append(out, s+wCardMayNotStart)
	case s != "":
		out = append(out, s+wCardHardStart)
	}
	if s := atMost(may, most, 0); s != "" {
		out = append(out, s+wCardStartUnknown)
	}
	if n.OneMotor != "" {
		motor, says := n.OneMotor, wCardOneMotor
		for _, s := range c.Start.Steps {
			if s.Name == n.OneMotor {
				motor = name(s.Load)
			} else if s.Wait {
				says = wCardOtherMotor
			}
		}
		out = append(out, says+motor+".")
	}
	switch {
	case !c.Start.Fits:
		out = append(out, wCardStartTrips)
	case n.Trips && len(n.Off) > 0:
		var off []string
		for _, i := range n.Off {
			off = append(off, name(i))
		}
		out = append(out, wCardTripsLess+strings.Join(off, "; ")+".")
	case n.Trips:
		out = append(out, wCardTrips)
	}
	return out
}

// atMost lists the first names, and counts the rest and so many more.
func atMost(names []string, most, more int) string {
	if len(names) == 0 {
		return ""
	}
	if n := len(names) - most; n > 0 {
		names, more = names[:most:most], more+n
	}
	switch {
	case more == 1:
		names = append(names, wAnd[1:]+wCardOneOther)
	case more > 1:
		names = append(names, wAnd[1:]+say.Number(float64(more), 0)+wCardOthers)
	}
	return strings.Join(names, ", ")
}

// shortNames are the names of loads without what follows a comma or a bracket,
// where that tells no two apart.
func shortNames(loads []load.Load) func(int) string {
	short := func(s string) string {
		if i := strings.IndexAny(s, ",("); i > 0 {
			return strings.TrimSpace(s[:i])
		}
		return s
	}
	times := map[string]int{}
	for _, l := range loads {
		times[short(l.Name)]++
	}
	return func(i int) string {
		if s := short(loads[i].Name); s != "" && times[s] == 1 {
			return s
		}
		return loads[i].Name
	}
}

// firstLower writes a word of the catalogue as it stands within a sentence.
func firstLower(s string) string {
	if len(s) > 1 && s[0] >= 'A' && s[0] <= 'Z' && s[1] >= 'a' && s[1] <= 'z' {
		return string(s[0]+'a'-'A') + s[1:]
	}
	return s
}

// notCounted names what the hours are without since it can't start.
func notCounted(c card.Card, name func(int) string, most int) string {
	var out []string
	for _, r := range c.Never.Refused {
		if r.Why == start.HardStart && !r.Guessed && !c.Never.Guessed {
			out = append(out, name(r.Load))
		}
	}
	switch {
	case len(c.Ladder.Sets) == 0 || len(out) == 0:
		return ""
	case len(out) == 1:
		return " " + out[0] + wCardNotCounted
	}
	return wCardNoneCounted + atMost(out, most, 0) + "."
}

// leftOut names what can't run with the rest.
func leftOut(at []int, name func(int) string, most int) string {
	var out []string
	for _, i := range at {
		out = append(out, name(i))
	}
	if len(out) == 0 {
		return ""
	}
	return wCardNotWithRest + atMost(out, most, 0) + "."
}

// ladderTable is the table: the readings, and the hours of each set.
func ladderTable(l card.Ladder, g plan.Gauge, most int) (heads []string, rows []CardRow, thinned bool) {
	if len(l.Sets) == 0 {
		return nil, nil, false
	}
	heads = []string{wCardShows}
	if g.Kind != plan.Bars && g.Kind != plan.Percent {
		heads[0] = wCardThought
	}
	for _, s := range l.Sets {
		heads = append(heads, s.Words)
	}
	row := func(reading string, hours []units.Hours) CardRow {
		r := CardRow{Reading: reading}
		for _, h := range hours {
			if say.Down(h) == 0 {
				r.Cells = append(r.Cells, wCardNow)
			} else {
				r.Cells = append(r.Cells, say.ShortHours(h))
			}
		}
		return r
	}
	if g.Kind == plan.Bars {
		rows = append(rows, row(wCardJustFull, l.Full))
	}
	// The highest reading, and every second or third, the lowest among them.
	step := (len(l.Rungs) + most - 1) / most
	for i, rung := range l.Rungs {
		if i > 0 && (len(l.Rungs)-1-i)%step != 0 {
			continue
		}
		r := row(rung.Reading.Words, rung.CountOn)
		if g.Kind == plan.Bars && g.Bars <= barsDrawn {
			r.Bars = cardBars(rung.Reading.Bars, g.Bars)
		}
		rows = append(rows, r)
	}
	return heads, rows, step > 1
}

// barsDrawn is up to how many bars a gauge is drawn; more can't be told apart.
const barsDrawn = 10

func underLadder(c card.Card, prefs Prefs) []string {
	if len(c.Ladder.Sets) == 0 {
		return []string{wCardNothingRuns}
	}
	out := wCardCountOn
	if less := c.Basis.ColdLess; less > 0.005 {
		out += wCardCold + prefs.degrees(c.Basis.ColdRoom) + wCardColdLess + say.Number(math.Ceil(less*100-1e-9), 0) + wCardColdOff
	}
	return []string{out}
}

// morningLines say with which reading each set lasts until morning.
func morningLines(c card.Card, clock say.Clock) []string {
	m := c.Morning
	var out []string
	for _, k := range m.Keep {
		words := c.Ladder.Sets[k.Set].Words
		switch {
		case k.Rung == 0:
			out = append(out, firstUpper(c.Ladder.Rungs[0].Reading.Words)+": "+words+".")
		case k.Rung > 0:
			out = append(out, firstUpper(c.Ladder.Rungs[k.Rung].Reading.Words)+wCardOrMore+words+".")
		}
	}
	night := clock.Minute(m.Dark) + wCardUntil + clock.Minute(m.Morning)
	switch {
	case len(m.Keep) == 0:
		return nil
	case len(out) == 0:
		return []string{wCardNotTillMorning + night + "."}
	}
	out[0] = wCardAtDark + night + ". " + out[0]
	return append(out, wCardLessThan)
}

func sunLines(s *card.Sun) []string {
	if s == nil {
		return nil
	}
	var out []string
	if s.Wiring != nil {
		line := wCardWire + s.Wiring.String() + "."
		if s.Wiring.Fuses {
			line += wCardFuses
		}
		out = append(out, line)
	} else {
		out = append(out, wCardNoWiring)
	}
	if len(s.Never) > 0 {
		// What a chain of some panels would damage, a longer one damages too.
		if n := s.Never[0].Series; n > 1 {
			out = append(out, wCardNeverWire+say.Number(float64(n), 0)+wCardOrMoreChained)
		} else {
			out = append(out, wCardNotEvenOne)
		}
	}
	if s.Known {
		line := ""
		switch s.Mount {
		case plan.Flat:
			line = wCardFlat
		case plan.Turned:
			line = wCardTurn
		default:
			line = wSunFace + compass(float64(s.Azimuth)) + ", " + say.Number(float64(s.Tilt), 0) + wCardFromLevel
		}
		if s.Noon >= 1 {
			line += wCardNoon + s.Month.String() + wCardNoonShows + say.Watts(float64(s.Noon)) + "."
		}
		out = append(out, line)
	}
	return out
}

func foodLines(f card.Food) []string {
	var out []string
	if f.Fridge > 0 {
		out = append(out, wCardFridge+say.Hours(f.Fridge)+".")
	}
	if f.FreezerFull > 0 {
		out = append(out, wCardFreezer+say.Hours(f.FreezerFull)+wCardFreezerHalf+say.Hours(f.FreezerHalf)+".")
	}
	if f.Medicine {
		out = append(out, wCardMedicine)
	}
	if len(out) == 0 {
		return nil
	}
	return []string{wCardShut + strings.Join(out, " ")}
}

func oxygenLines(o *card.Oxygen) []string {
	if o == nil {
		return nil
	}
	var sizes []string
	for _, c := range o.Cylinders {
		sizes = append(sizes, c.Size+"\u00a0"+say.Number(c.Factor, 2))
	}
	return []string{wCardCylinder + say.Number(o.Reserve, 0) + say.Local(wCardCylinderThen) + strings.Join(sizes, ", ") + say.Local(wCardCylinderElse)}
}

func basisLine(b card.Basis, prefs Prefs) string {
	s := wCardFigures
	if b.Supply != "" {
		s += b.Supply + ", "
	}
	s += say.WattHours(float64(b.Capacity)) + ", " + b.Chemistry + ", "
	if b.Measured {
		s += wCardMeasured
	} else {
		s += say.Amount(b.AgeYears, 1, "years") + wCardOld
	}
	if b.Cycles > 0 {
		s += say.Number(b.Cycles, 0) + wCardCycles
	}
	on := wCardLoads
	if b.Loads == 1 {
		on = wCardLoad
	}
	s += wCardRoom + prefs.degrees(b.Room) + ", " + say.Number(float64(b.Loads), 0) + on
	if b.LoadsMeasured > 0 {
		s += wCardOfThem + say.Number(float64(b.LoadsMeasured), 0) + wCardAreMeasured
	}
	return s + "."
}

// degrees says a temperature the way its owner reads it.
func (p Prefs) degrees(c units.Celsius) string {
	if p.Fahrenheit {
		return say.Amount(float64(c)*1.8+32, 0, "°F")
	}
	return say.Amount(float64(c), 0, "°C")
}
