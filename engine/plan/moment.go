package plan

import (
	"math"
	"strconv"
	"time"

	"candleclock/engine/doc"
	"candleclock/engine/load"
	"candleclock/engine/units"
)

// Moment is a date and clock time at the household's place, to the minute. It
// knows no zone and no daylight saving: two moments a day apart are 24 hours
// apart. The zero Moment is not a date.
type Moment struct{ t time.Time } // always UTC, whole minutes

const momentForm = "2006-01-02T15:04"

// At is the moment that the calendar and clock of t show.
func At(t time.Time) Moment {
	return Moment{time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), 0, 0, time.UTC)}
}

// ParseMoment reads "2026-01-14T17:00", a date of the years 2000 to 2099.
func ParseMoment(s string) (Moment, bool) {
	t, err := time.Parse(momentForm, s)
	if err != nil || t.Year() < 2000 || t.Year() > 2099 {
		return Moment{}, false
	}
	return Moment{t}, true
}

// String writes the moment as ParseMoment reads it; "" for the zero Moment.
func (m Moment) String() string {
	if m.IsZero() {
		return ""
	}
	return m.t.Format(momentForm)
}

// IsZero reports whether m is no date.
func (m Moment) IsZero() bool { return m.t.IsZero() }

// Minute is the time of day.
func (m Moment) Minute() load.Minute { return load.Minute(m.t.Hour()*60 + m.t.Minute()) }

// Date is the calendar day.
func (m Moment) Date() (year int, month time.Month, day int) { return m.t.Date() }

// Weekday is the day of the week.
func (m Moment) Weekday() time.Weekday { return m.t.Weekday() }

// After is the moment h later, rounded down to the minute; h must be within
// ±100 years.
func (m Moment) After(h units.Hours) Moment {
	// To the millisecond first: whole minutes are seldom whole in hours, and
	// would end a minute early.
	ms := math.Round(float64(h) * 3.6e6)
	return Moment{m.t.Add(time.Duration(ms) * time.Millisecond).Truncate(time.Minute)}
}

// Since is the time from earlier to m.
func (m Moment) Since(earlier Moment) units.Hours {
	return units.Hours(m.t.Sub(earlier.t).Hours())
}

func readMoment(r *doc.Reader, field string) Moment {
	s := r.Text(field, 40)
	m, ok := ParseMoment(s)
	if !ok {
		r.Fail(field, strconv.Quote(s), "a date and time like 2026-01-14T17:00, of the years 2000 to 2099")
	}
	return m
}

// Rolled is the plan as it is counted at now. An outage to prepare for whose
// start is more than a day gone begins at the next such time of day; rolled
// reports that. One that is under way, or yet to come, and the charge since the power
// came back, are counted as they stand.
// Season, sun and lean are those of the date counted, so every page counts
// with this plan and none with the one that is kept.
func (p Plan) Rolled(now Moment) (q Plan, rolled bool) {
	gone := now.Since(p.Outage.Starts)
	if p.Outage.UnderWay || p.Outage.OnMains() || gone <= 24 {
		return p, false
	}
	p.Outage.Starts = p.Outage.Starts.After(units.Hours(24 * math.Ceil(float64(gone)/24)))
	return p, true
}
