package plan

import (
	"testing"
	"time"

	"candleclock/engine/units"

	"pgregory.net/rapid"
)

func moment(t testing.TB, s string) Moment {
	t.Helper()
	m, ok := ParseMoment(s)
	if !ok {
		t.Fatalf("%q is no moment", s)
	}
	return m
}

func TestParseMoment(t *testing.T) {
	for _, s := range []string{"2000-01-01T00:00", "2026-01-14T17:00", "2028-02-29T23:59", "2099-12-31T23:59"} {
		if got := moment(t, s).String(); got != s {
			t.Errorf("%s is written as %s", s, got)
		}
	}
	for _, s := range []string{"", "1999-12-31T23:59", "2100-01-01T00:00", "2026-02-29T12:00", "2026-13-01T12:00",
		"2026-01-14 17:00", "2026-01-14T24:00", "2026-01-14T17:60", "2026-01-14T17:00:00", "2026-01-14T17:00Z", "tomorrow"} {
		if m, ok := ParseMoment(s); ok || !m.IsZero() {
			t.Errorf("%q: got %v, %v", s, m, ok)
		}
	}
	if got := (Moment{}).String(); got != "" {
		t.Errorf("no moment is written as %q", got)
	}
}

func TestAfter(t *testing.T) {
	for _, c := range []struct {
		from string
		h    units.Hours
		want string
	}{
		{"2026-01-14T17:00", 0, "2026-01-14T17:00"},
		{"2026-01-14T17:00", 13.5, "2026-01-15T06:30"},
		{"2026-01-14T17:00", 13.4999, "2026-01-15T06:29"}, // down, never up
		{"2026-01-14T17:00", 7.0 / 60, "2026-01-14T17:07"},
		{"2026-12-31T23:59", 1.0 / 60, "2027-01-01T00:00"},
		{"2028-02-28T12:00", 24, "2028-02-29T12:00"},
		{"2026-01-14T17:00", -0.001, "2026-01-14T16:59"},
		{"2026-01-14T17:00", 2160, "2026-04-14T17:00"},
	} {
		if got := moment(t, c.from).After(c.h).String(); got != c.want {
			t.Errorf("%s after %v h: got %s, want %s", c.from, c.h, got, c.want)
		}
	}
}

// Whole minutes come out whole, though few are whole in hours.
func TestAfterWholeMinutes(t *testing.T) {
	from := moment(t, "2026-01-14T17:03")
	for n := range 2160 * 60 {
		want := from.t.Add(time.Duration(n) * time.Minute)
		if got := from.After(units.Hours(float64(n) / 60)); !got.t.Equal(want) {
			t.Fatalf("%d minutes after: got %v, want %v", n, got, want)
		}
	}
}

func TestSinceUndoesAfter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := At(time.Unix(rapid.Int64Range(946684800, 4102444799).Draw(t, "a"), 0))
		b := At(time.Unix(rapid.Int64Range(946684800, 4102444799).Draw(t, "b"), 0))
		if got := a.After(b.Since(a)); got != b {
			t.Fatalf("got %v, want %v", got, b)
		}
	})
}

// At takes the clock on the wall, not the instant.
func TestAt(t *testing.T) {
	m := At(time.Date(2026, 7, 1, 6, 30, 59, 999, time.FixedZone("", -4*3600)))
	if m.String() != "2026-07-01T06:30" || m.Minute() != 390 || m.Weekday() != time.Wednesday {
		t.Errorf("got %v, %v, %v", m, m.Minute(), m.Weekday())
	}
}

// A plan of some time ago is for the next such hour: by day count, not by the
// year's length, and never earlier than now.
func TestRolled(t *testing.T) {
	at := func(s string) Moment {
		m, ok := ParseMoment(s)
		if !ok {
			t.Fatal(s)
		}
		return m
	}
	for _, c := range []struct {
		starts, now, want string
		underWay          bool
	}{
		{"2026-08-20T18:00", "2026-08-20T17:00", "2026-08-20T18:00", false}, // to come
		{"2026-08-20T18:00", "2026-08-21T18:00", "2026-08-20T18:00", false}, // a day gone, no more
		{"2026-08-20T18:00", "2026-08-21T18:01", "2026-08-22T18:00", false},
		{"2026-08-20T18:00", "2027-01-12T10:00", "2027-01-12T18:00", false}, // made in August, opened in January
		{"2026-08-20T18:00", "2027-01-12T18:00", "2027-01-12T18:00", false},
		{"2026-08-20T18:00", "2027-01-12T18:01", "2027-01-13T18:00", false},
		{"2028-02-28T06:30", "2028-03-01T06:00", "2028-03-01T06:30", false}, // over a leap day
		{"2026-08-20T18:00", "2027-01-12T10:00", "2026-08-20T18:00", true},  // a reading is not moved
		{"2027-08-20T18:00", "2027-01-12T10:00", "2027-08-20T18:00", false}, // a season chosen
	} {
		var p Plan
		p.Outage.Starts, p.Outage.UnderWay = at(c.starts), c.underWay
		q, rolled := p.Rolled(at(c.now))
		if q.Outage.Starts != at(c.want) || rolled != (c.want != c.starts) || p.Outage.Starts != at(c.starts) {
			t.Errorf("%s at %s: %s, %v; want %s", c.starts, c.now, q.Outage.Starts, rolled, c.want)
		}
		if again, twice := q.Rolled(at(c.now)); twice || again.Outage.Starts != q.Outage.Starts {
			t.Errorf("%s at %s: rolled again to %s", c.starts, c.now, again.Outage.Starts)
		}
	}
}
