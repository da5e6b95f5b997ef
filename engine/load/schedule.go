package load

import (
	"fmt"
	"strconv"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// Minute is a time of day in minutes after midnight, 0 to 1439.
type Minute int

// Day is the number of minutes in a day. Days are taken as 24 hours: a plan
// knows no daylight-saving change.
const Day Minute = 1440

// ParseMinute reads a clock time "HH:MM", 00:00 to 23:59.
func ParseMinute(s string) (Minute, bool) {
	if len(s) != 5 || s[2] != ':' {
		return 0, false
	}
	h, err1 := strconv.ParseUint(s[:2], 10, 8)
	m, err2 := strconv.ParseUint(s[3:], 10, 8)
	if err1 != nil || err2 != nil || h > 23 || m > 59 {
		return 0, false
	}
	return Minute(h*60 + m), true
}

// String writes the time as "HH:MM".
func (m Minute) String() string { return fmt.Sprintf("%02d:%02d", int(m)/60, int(m)%60) }

// Window is a daily stretch of use from From until To, across midnight when To
// is not after From; From equal to To is the whole day.
type Window struct {
	From, To Minute
	Unknown  doc.Unknown
}

// Holds reports whether the window is open at the minute.
func (w Window) Holds(m Minute) bool {
	if w.From < w.To {
		return w.From <= m && m < w.To
	}
	return m >= w.From || m < w.To
}

func readWindow(r *doc.Reader) Window {
	w := Window{From: readMinute(r, "from"), To: readMinute(r, "to")}
	w.Unknown = r.Unknown()
	return w
}

// MaybeMinute reads a clock time "HH:MM" from a plan; absent gives nil.
func MaybeMinute(r *doc.Reader, field string) *Minute {
	if !r.Has(field) {
		return nil
	}
	m := readMinute(r, field)
	return &m
}

func readMinute(r *doc.Reader, field string) Minute {
	s := r.Text(field, 40)
	m, ok := ParseMinute(s)
	if !ok {
		r.Fail(field, strconv.Quote(s), "a clock time between 00:00 and 23:59")
	}
	return m
}

func (w Window) write() *doc.Writer {
	o := new(doc.Writer)
	o.Text("from", w.From.String())
	o.Text("to", w.To.String())
	o.Keep(w.Unknown)
	return o
}

// OnAt reports whether the load's use holds the minute; a load without windows
// is used day and night. Off is not looked at.
func (l Load) OnAt(m Minute) bool {
	if len(l.Use) == 0 {
		return true
	}
	for _, w := range l.Use {
		if w.Holds(m) {
			return true
		}
	}
	return false
}

// HoursADay is how long the load is in use each day, overlaps counted once.
func (l Load) HoursADay() units.Hours {
	if len(l.Use) == 0 {
		return 24
	}
	n := 0
	for m := Minute(0); m < Day; m++ {
		if l.OnAt(m) {
			n++
		}
	}
	return units.Hours(float64(n) / 60)
}
