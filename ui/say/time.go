package say

import (
	"math"
	"strconv"
	"strings"

	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Clock says times of day, in the manner its owner reads them.
type Clock struct {
	Hour24 bool

	// Moments are counted in real hours by the clock as it is at From, and said
	// as the clocks on the wall show them: those are put forward or back at
	// Changes, in order of time.
	From    plan.Moment
	Changes []Change
}

// Change is a moment at which clocks are put forward by so much, or back where
// it is below 0. At is counted as all moments are.
type Change struct {
	At plan.Moment
	By units.Hours
}

// Wall is what clocks on the wall show at a moment.
func (c Clock) Wall(m plan.Moment) plan.Moment {
	by := units.Hours(0)
	for _, e := range c.Changes {
		switch after := e.At.Since(c.From) > 0; {
		case after && m.Since(e.At) >= 0:
			by += e.By
		case !after && m.Since(e.At) < 0:
			by -= e.By
		}
	}
	return m.After(by)
}

// Minute says a time of day, 00:00 to 23:59: "1:30am", "5pm", "midnight",
// "midday"; "01:30" on a 24-hour clock.
func (c Clock) Minute(m load.Minute) string {
	if c.Hour24 {
		return m.String()
	}
	switch m {
	case 0:
		return "midnight"
	case 12 * 60:
		return "midday"
	}
	h, half := int(m)/60, "am"
	if h >= 12 {
		h, half = h-12, "pm"
	}
	if h == 0 {
		h = 12
	}
	s := strconv.Itoa(h)
	if m%60 != 0 {
		s += ":" + m.String()[3:]
	}
	return s + half
}

// Moment says a moment as seen from another: the time alone within the next 18
// hours or the last 6, with the day's name within six days, else with the date.
// "Midnight on Wednesday" could be heard as the night a day later, so with a day
// it is a minute to midnight, on the day before; a 24-hour clock's 00:00 is
// always the start of its day.
func (c Clock) Moment(m, from plan.Moment) string {
	ahead := m.Since(from)
	m, from = c.Wall(m), c.Wall(from)
	t := c.Minute(m.Minute())
	if ahead >= 0 && ahead < 18 || ahead < 0 && ahead > -6 {
		return t
	}
	if m.Minute() == 0 && !c.Hour24 {
		m = m.After(-1.0 / 60)
		t = c.Minute(m.Minute())
	}
	switch {
	case ahead >= 0 && ahead < 144:
		return t + " on " + m.Weekday().String()
	}
	y, month, d := m.Date()
	s := t + " on " + strconv.Itoa(d) + " " + month.String()
	if fy, _, _ := from.Date(); fy != y {
		s += " " + strconv.Itoa(y)
	}
	return s
}

// Near says a moment to come in few letters: "3am", beyond 18 hours "3am Wed",
// and from six days on, where a day's name would be that of another week, "3am 24
// Jan".
func (c Clock) Near(m, from plan.Moment) string {
	ahead := m.Since(from)
	m = c.Wall(m)
	t := c.Minute(m.Minute())
	switch {
	case ahead < 18:
		return t
	case ahead < 144:
		return t + " " + m.Weekday().String()[:3]
	}
	_, month, day := m.Date()
	return t + " " + strconv.Itoa(day) + " " + month.String()[:3]
}

// ParseClock reads a time of day as people type it: "22:30", "10:30pm",
// "10.30 pm", "7", "7pm", "7h30", "0730", "24:00", "midnight", "midday", "noon".
// Spaces of any kind do not matter.
func ParseClock(s string) (load.Minute, bool) {
	s = strings.ToLower(strings.Join(strings.Fields(s), ""))
	switch s {
	case "midnight", "12midnight":
		return 0, true
	case "midday", "noon", "12midday", "12noon":
		return 12 * 60, true
	}
	half := ""
	for _, suffix := range []string{"am", "pm", "a.m.", "p.m."} {
		if strings.HasSuffix(s, suffix) {
			half, s = suffix[:1], strings.TrimSuffix(s, suffix)
			break
		}
	}
	s = strings.TrimSuffix(s, "h")
	hs, ms := s, "0"
	if i := strings.IndexAny(s, ":.h"); i >= 0 {
		hs, ms = s[:i], s[i+1:]
		if len(ms) != 2 {
			return 0, false
		}
	} else if len(s) >= 3 {
		hs, ms = s[:len(s)-2], s[len(s)-2:]
	}
	h, err1 := strconv.ParseUint(hs, 10, 8)
	m, err2 := strconv.ParseUint(ms, 10, 8)
	if err1 != nil || err2 != nil || m > 59 {
		return 0, false
	}
	if half != "" {
		if h < 1 || h > 12 {
			return 0, false
		}
		h %= 12
		if half == "p" {
			h += 12
		}
	}
	if h == 24 && m == 0 {
		h = 0
	}
	if h > 23 {
		return 0, false
	}
	return load.Minute(h*60 + m), true
}

// Grain is how finely a time ahead is said: 5 minutes below 2 hours, half an
// hour below 12, an hour below 48, then 6 hours.
func Grain(h units.Hours) units.Hours { return units.Hours(grain(h)) / 60 }

// grain is Grain in minutes, in which it is whole.
func grain(h units.Hours) float64 {
	switch {
	case h < 2:
		return 5
	case h < 12:
		return 30
	case h < 48:
		return 60
	}
	return 360
}

// noise is how far a time may lie below a whole grain and still be taken for
// it, as a share of the grain: 8.5 hours reached through sums stay 8.5. It is at
// most 22 microseconds.
const noise = 1e-9

// Down rounds a time ahead down to its Grain. The infinite stays so; a time
// that is past, or NaN, is 0.
func Down(h units.Hours) units.Hours {
	switch {
	case math.IsInf(float64(h), 1):
		return h
	case !(h > 0):
		return 0
	}
	g := grain(h)
	return units.Hours(math.Floor(float64(h)*60/g+noise) * g / 60)
}

// Up rounds a time to wait up to its Grain, so that saying it does not shorten
// it.
func Up(h units.Hours) units.Hours {
	if math.IsInf(float64(h), 0) {
		return h
	}
	g := float64(Grain(h))
	return units.Hours(math.Ceil(float64(h)/g-1e-9) * g)
}

// Hours says how long, rounded down: "45 minutes", "8 hours 30 minutes", "2
// days", "2 days 6 hours", "more than 90 days".
func Hours(h units.Hours) string {
	if h > outage.Horizon {
		return "more than " + strconv.Itoa(int(outage.Horizon/24)) + " days"
	}
	m := int(math.Round(float64(Down(h)) * 60))
	if m < 60 {
		return count(m, "minute")
	}
	if m >= 48*60 {
		return join(count(m/1440, "day"), m%1440/60, "hour")
	}
	return join(count(m/60, "hour"), m%60, "minute")
}

// ShortHours says the same in few letters: "45 min", "8 h 30", "2 d 6 h".
func ShortHours(h units.Hours) string {
	if h > outage.Horizon {
		return strconv.Itoa(int(outage.Horizon/24)) + nbsp + "d" + nbsp + "+"
	}
	m := int(math.Round(float64(Down(h)) * 60))
	switch {
	case m < 60:
		return strconv.Itoa(m) + nbsp + "min"
	case m >= 48*60 && m%1440 == 0:
		return strconv.Itoa(m/1440) + nbsp + "d"
	case m >= 48*60:
		return strconv.Itoa(m/1440) + nbsp + "d" + nbsp + strconv.Itoa(m%1440/60) + nbsp + "h"
	case m%60 == 0:
		return strconv.Itoa(m/60) + nbsp + "h"
	}
	return strconv.Itoa(m/60) + nbsp + "h" + nbsp + strconv.Itoa(m%60)
}

func count(n int, what string) string {
	s := strconv.Itoa(n) + nbsp + what
	if n != 1 {
		s += "s"
	}
	return s
}

func join(first string, n int, what string) string {
	if n == 0 {
		return first
	}
	return first + " " + count(n, what)
}
