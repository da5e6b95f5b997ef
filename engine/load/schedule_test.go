package load

import (
	"testing"

	"candleclock/engine/units"

	"pgregory.net/rapid"
)

func TestParseMinute(t *testing.T) {
	for _, c := range []struct {
		text string
		want Minute
		ok   bool
	}{
		{"00:00", 0, true},
		{"06:30", 390, true},
		{"23:59", 1439, true},
		{"24:00", 0, false},
		{"25:99", 0, false},
		{"12:60", 0, false},
		{"6:30", 0, false},
		{"06:3", 0, false},
		{"06.30", 0, false},
		{"+6:30", 0, false},
		{"-1:00", 0, false},
		{"1_:00", 0, false},
		{"06:30 ", 0, false},
		{"٠٦:٣٠", 0, false},
		{"", 0, false},
	} {
		if got, ok := ParseMinute(c.text); got != c.want || ok != c.ok {
			t.Errorf("%q: got %v, %v, want %v, %v", c.text, got, ok, c.want, c.ok)
		}
	}
	for m := Minute(0); m < Day; m++ {
		if got, ok := ParseMinute(m.String()); !ok || got != m {
			t.Errorf("%v is read back as %v, %v", m, got, ok)
		}
	}
}

func TestWindowHolds(t *testing.T) {
	for _, c := range []struct {
		from, to, at string
		want         bool
	}{
		{"17:00", "22:30", "16:59", false},
		{"17:00", "22:30", "17:00", true},
		{"17:00", "22:30", "22:29", true},
		{"17:00", "22:30", "22:30", false},
		{"22:30", "06:30", "22:29", false},
		{"22:30", "06:30", "22:30", true},
		{"22:30", "06:30", "23:59", true},
		{"22:30", "06:30", "00:00", true},
		{"22:30", "06:30", "06:29", true},
		{"22:30", "06:30", "06:30", false},
		{"18:00", "00:00", "23:59", true},
		{"18:00", "00:00", "00:00", false},
		{"00:00", "06:00", "00:00", true},
		{"08:00", "08:00", "07:59", true},
		{"00:00", "00:00", "12:00", true},
	} {
		w := Window{From: minute(t, c.from), To: minute(t, c.to)}
		if got := w.Holds(minute(t, c.at)); got != c.want {
			t.Errorf("%s to %s at %s: got %v", c.from, c.to, c.at, got)
		}
	}
}

func minute(t *testing.T, s string) Minute {
	t.Helper()
	m, ok := ParseMinute(s)
	if !ok {
		t.Fatalf("%q is no clock time", s)
	}
	return m
}

func anyMinute(t *rapid.T, what string) Minute {
	return Minute(rapid.IntRange(0, int(Day)-1).Draw(t, what))
}

func anyUse(t *rapid.T) []Window {
	n := rapid.IntRange(0, WindowsMost).Draw(t, "windows")
	var use []Window
	for range n {
		use = append(use, Window{From: anyMinute(t, "from"), To: anyMinute(t, "to")})
	}
	return use
}

// A window and the one from its end to its beginning share the day between
// them, unless it is the whole day.
func TestWindowsComplement(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Window{From: anyMinute(t, "from"), To: anyMinute(t, "to")}
		rest := Window{From: w.To, To: w.From}
		held := 0
		for m := Minute(0); m < Day; m++ {
			if w.Holds(m) {
				held++
			}
			if w.From != w.To && w.Holds(m) == rest.Holds(m) {
				t.Fatalf("%v to %v and the rest both say %v at %v", w.From, w.To, w.Holds(m), m)
			}
		}
		want := int(w.To-w.From+Day) % int(Day)
		if want == 0 {
			want = int(Day)
		}
		if held != want {
			t.Fatalf("%v to %v holds %d minutes, want %d", w.From, w.To, held, want)
		}
	})
}

// HoursADay counts the minutes that any window holds, found here by walking each
// window round the clock from its beginning to its end.
func TestHoursADay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Load{Use: anyUse(t)}
		var day [Day]bool
		for _, w := range l.Use {
			for m, first := w.From, true; first || m != w.To; m, first = (m+1)%Day, false {
				day[m] = true
			}
		}
		n := 0
		for m, on := range day {
			on = on || len(l.Use) == 0
			if on {
				n++
			}
			if got := l.OnAt(Minute(m)); got != on {
				t.Fatalf("at %v: got %v, want %v", Minute(m), got, on)
			}
		}
		if got, want := l.HoursADay(), units.Hours(float64(n)/60); got != want {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}
