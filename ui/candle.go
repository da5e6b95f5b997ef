package ui

import (
	"math"
	"slices"
	"strconv"

	"candleclock/engine/units"
	"candleclock/ui/say"
)

// Candle is the answer as a picture: the height of the wax is energy, so it
// burns slower where less is on. Left, what the gauge shows; right, the clock.
type Candle struct {
	Flame, Wick, Wax string // paths
	Doubt            Band   // the part that may or may not be there
	Gauge, Notches   []Notch
	Hours            []Notch
	CountOn          *Notch
	Under            string // where the words under it stand; "" where there is no room
	Likely           string // the likely end, at the dish; the words for it stand below
	Alt              string
}

// Band is a rectangle.
type Band struct{ Y, H string }

// Notch is a labelled height.
type Notch struct{ Y, TextY, Label string }

// The candle's own units: the picture is 332 by 420, 4 of it left of 0 for the
// longest reading.
const (
	candleTop  = 46.0  // of a full candle's wax
	candleDish = 376.0 // where it ends
	tickRoom   = 25.0  // least distance between two labels
	labelRoom  = 20.0  // the same where they crowd
	likelyText = 386.0 // where the words about the likely end stand
)

// height is where wax of so much energy reaches.
func (a *Answer) height(left units.WattHours) float64 {
	share := math.Min(1, math.Max(0, float64(left/a.full)))
	return candleDish - share*(candleDish-candleTop)
}

// Candle draws the answer. Without one, or when there is nothing to burn, it is
// nil.
func (a *Answer) Candle() *Candle {
	if !a.Ready() || len(a.middle) < 2 || a.full <= 0 || a.lastInDoubt() || a.Passed() || beyond(a.run.Likely) {
		return nil
	}
	since := a.from().Since(a.plan.Outage.Starts)
	top := a.height(a.leftAt(since))
	// It stands where the clock time that is said for it stands.
	planOn := a.until(a.run.CountOn)
	count := a.height(a.leftAt(planOn.Since(a.plan.Outage.Starts)))
	c := &Candle{Alt: wCandleAlt}

	// The wax's rim is wavy where there is room for it.
	c.Flame = "M126 " + px(top-40) + "c13 16 14 26 0 35c-14 -9 -13 -19 0 -35z"
	c.Wick = "M126 " + px(top-6) + "V" + px(top+4)
	c.Wax = "M84 " + px(top+6) + "q6 -8 18 -3q12 -9 24 0q12 -8 24 0q14 -5 18 3V" + px(max(count, top+8)) + "H84z"
	c.Doubt = Band{px(count), px(candleDish - count)}
	// Where little is left, the words stand above one another all the same.
	countText := math.Min(count+5, likelyText-labelRoom)
	c.CountOn = &Notch{px(count), px(countText), a.clock.Near(planOn, a.from())}
	if countText+18 <= likelyText-labelRoom {
		c.Under = px(countText + 18)
	}
	c.Likely = a.clock.Near(a.likelyEnd(), a.from())

	last := math.Inf(-1)
	for _, g := range a.gaugeMarks() {
		y := a.height(g.left)
		if y-last >= tickRoom {
			c.Gauge = append(c.Gauge, *notch(y, g.label))
			last = y
		}
	}

	// The clock: now, then every full hour, or every so many, that has room.
	c.Hours = append(c.Hours, Notch{px(top), px(math.Min(top+5, countText-labelRoom)), a.nowLabel()})
	last = top
	end := a.left(a.middle[len(a.middle)-1].h)
	step := 1.0
	for float64(end)/step > 48 {
		step *= 2
	}
	first := 60 - float64(int(a.from().Minute())%60)
	for m := first; m < float64(end)*60; m += 60 * step {
		h := units.Hours(m / 60)
		y := a.height(a.leftAt(since + h))
		c.Notches = append(c.Notches, Notch{Y: px(y)})
		if y-last < tickRoom || y-count > -tickRoom && y-count < 2*tickRoom || candleDish-y < tickRoom {
			continue
		}
		c.Hours = append(c.Hours, *notch(y, a.clock.Near(a.from().After(h), a.from())))
		last = y
	}
	return c
}

func (a *Answer) nowLabel() string {
	t := a.clock.Minute(a.from().Minute())
	if a.plan.Outage.UnderWay {
		return wNow + t
	}
	return t
}

func notch(y float64, label string) *Notch { return &Notch{px(y), px(y + 5), label} }

// px writes a coordinate: a tenth is finer than any screen shows.
func px(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

// Loads in the list of what is on, for Tonight.

// Switch is one load as it stands in the list of what is on.
type Switch struct {
	Index      int
	Name, Line string
	Vital, On  bool
	Left       bool // on, and yet in none of the hours: too much for the supply
}

// Word is what stands on the switch.
func (s Switch) Word() string {
	switch {
	case s.Left:
		return wLeft
	case s.On:
		return wOn
	}
	return wOff
}

// Says is the switch's name to a screen reader: its word first, as it is seen.
func (s Switch) Says() string {
	if s.On {
		return s.Word() + ": " + named(s.Name) + ". " + wSwitchOff
	}
	return s.Word() + ": " + named(s.Name) + ". " + wSwitchOn
}

// Class is the switch's class.
func (s Switch) Class() string {
	if s.On && !s.Left {
		return "sw"
	}
	return "sw off"
}

// Switches lists the loads, most needed first.
func (a *Answer) Switches() []Switch {
	out := make([]Switch, 0, len(a.plan.Loads))
	// What is used already, no switch brings back.
	buys, of, says := a.buys, units.WattHours(0), wOffLikely
	if len(a.middle) > 0 {
		of = a.middle[0].left
	}
	if a.adds != nil {
		buys, of, says = a.adds, a.addsOf, wOffBuys
	}
	ahead := 1.0
	if of > 0 {
		ahead = float64(a.leftAt(a.from().Since(a.plan.Outage.Starts)) / of)
	}
	for _, i := range byNeed(a.plan.Loads) {
		l := a.plan.Loads[i]
		line := describe(l, a.clock)
		if i < len(buys) && !l.Off {
			if b := buys[i] * units.Hours(ahead); b >= 1.0/12 {
				line += "; " + says + say.Hours(b)
			}
		}
		left := !l.Off && slices.Contains(a.unmet, i)
		if left {
			not := wNotCounted
			if left = !a.runs[i]; !left {
				not = wPartCounted
			}
			line += "; " + not
		}
		out = append(out, Switch{i, l.Name, line, l.Rank.Order() == 0, !l.Off, left})
	}
	return out
}
