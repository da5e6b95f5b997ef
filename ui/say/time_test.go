package say

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

var clocks = []Clock{{Hour24: false}, {Hour24: true}}

func TestMinute(t *testing.T) {
	for _, c := range []struct {
		m            load.Minute
		want, want24 string
	}{
		{0, "midnight", "00:00"},
		{1, "12:01am", "00:01"},
		{90, "1:30am", "01:30"},
		{5 * 60, "5am", "05:00"},
		{719, "11:59am", "11:59"},
		{720, "midday", "12:00"},
		{721, "12:01pm", "12:01"},
		{17 * 60, "5pm", "17:00"},
		{1439, "11:59pm", "23:59"},
	} {
		if got := clocks[0].Minute(c.m); got != c.want {
			t.Errorf("minute %d: got %q, want %q", c.m, got, c.want)
		}
		if got := clocks[1].Minute(c.m); got != c.want24 {
			t.Errorf("minute %d, 24 hours: got %q, want %q", c.m, got, c.want24)
		}
	}
}

func TestMoment(t *testing.T) {
	from := "2026-12-30T17:00" // a Wednesday
	for _, c := range []struct{ m, want, want24 string }{
		{"2026-12-30T17:00", "5pm", "17:00"},
		{"2026-12-30T11:01", "11:01am", "11:01"},                            // 6 hours ago, not quite
		{"2026-12-30T11:00", "11am on 30 December", "11:00 on 30 December"}, // 6 hours ago
		{"2026-12-31T00:00", "midnight", "00:00"},
		{"2026-12-31T10:59", "10:59am", "10:59"},
		{"2026-12-31T11:00", "11am on Thursday", "11:00 on Thursday"},
		{"2027-01-01T00:00", "11:59pm on Thursday", "00:00 on Friday"}, // never a midnight with a day
		{"2027-01-05T16:59", "4:59pm on Tuesday", "16:59 on Tuesday"},
		{"2027-01-05T17:00", "5pm on 5 January 2027", "17:00 on 5 January 2027"},
		{"2027-01-10T00:00", "11:59pm on 9 January 2027", "00:00 on 10 January 2027"},
		{"2026-12-25T12:00", "midday on 25 December", "12:00 on 25 December"},
	} {
		for i, want := range []string{c.want, c.want24} {
			if got := clocks[i].Moment(moment(t, c.m), moment(t, from)); got != want {
				t.Errorf("%s from %s: got %q, want %q", c.m, from, got, want)
			}
		}
	}
}

// A day's name is only said of the next one of that name.
func TestNear(t *testing.T) {
	from := moment(t, "2026-12-30T17:00") // a Wednesday
	for m, want := range map[string]string{
		"2026-12-31T10:59": "10:59am", "2026-12-31T11:00": "11am Thu", "2027-01-05T16:59": "4:59pm Tue",
		"2027-01-05T17:00": "5pm 5 Jan", "2027-01-13T05:00": "5am 13 Jan",
	} {
		if got := clocks[0].Near(moment(t, m), from); got != want {
			t.Errorf("%s: got %q, want %q", m, got, want)
		}
	}
}

func moment(t *testing.T, s string) plan.Moment {
	t.Helper()
	m, ok := plan.ParseMoment(s)
	if !ok {
		t.Fatalf("%q is no moment", s)
	}
	return m
}

func TestParseClock(t *testing.T) {
	for _, c := range []struct {
		s    string
		want string
	}{
		{"22:30", "22:30"}, {"10:30pm", "22:30"}, {"10.30 pm", "22:30"}, {"10:30 P.M.", "22:30"}, {"10:30\u202fPM", "22:30"},
		{"7", "07:00"}, {"7pm", "19:00"}, {"7 am", "07:00"}, {"07", "07:00"}, {"19", "19:00"}, {"0", "00:00"},
		{"0730", "07:30"}, {"730", "07:30"}, {"730pm", "19:30"}, {"7h30", "07:30"}, {"19h", "19:00"},
		{"12am", "00:00"}, {"12:30am", "00:30"}, {"12pm", "12:00"}, {"12:30pm", "12:30"},
		{"24:00", "00:00"}, {"2400", "00:00"}, {"24", "00:00"}, {"00:00", "00:00"},
		{"Midnight", "00:00"}, {"midday", "12:00"}, {" noon ", "12:00"}, {"12 noon", "12:00"}, {"12 midnight", "00:00"},
	} {
		got, ok := ParseClock(c.s)
		if !ok || got.String() != c.want {
			t.Errorf("ParseClock(%q): got %v, %v, want %s", c.s, got, ok, c.want)
		}
	}
	for _, s := range []string{
		"", " ", "am", "pm", ":", "h", "25", "24:01", "24:30", "12:60", "7:5", "7:", ":30", "7:300", "13pm", "0am", "0:30am", "22:30pm",
		"12345", "-7", "+7", "7:-1", "7:+1", "seven", "٧", "7٣٠", "1e1", "0x7", "7:30:00", "noonish", "99999999999999999999",
	} {
		if got, ok := ParseClock(s); ok {
			t.Errorf("ParseClock(%q): got %v, want no time", s, got)
		}
	}
}

func TestClockReadsWhatItSays(t *testing.T) {
	for _, c := range clocks {
		for m := range load.Day {
			if got, ok := ParseClock(c.Minute(m)); !ok || got != m {
				t.Errorf("%+v says %q for %v, which reads as %v, %v", c, c.Minute(m), m, got, ok)
			}
		}
	}
}

func FuzzParseClock(f *testing.F) {
	for _, s := range []string{"22:30", "10.30 pm", "7", "0730", "midnight", "7h30", "12 noon", "24:00", "p.m.", "٧", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, ok := ParseClock(s)
		if !ok {
			if got != 0 {
				t.Errorf("ParseClock(%q): got %v and no time", s, got)
			}
			return
		}
		if got < 0 || got >= load.Day {
			t.Fatalf("ParseClock(%q): got minute %d", s, got)
		}
		for _, c := range clocks {
			if again, ok := ParseClock(c.Minute(got)); !ok || again != got {
				t.Errorf("ParseClock(%q) is %v, said %q, read as %v, %v", s, got, c.Minute(got), again, ok)
			}
		}
	})
}

func TestHours(t *testing.T) {
	inf := units.Hours(math.Inf(1))
	for _, c := range []struct {
		h           units.Hours
		want, short string
	}{
		{0, "0 minutes", "0 min"},
		{-3, "0 minutes", "0 min"},
		{-inf, "0 minutes", "0 min"},
		{units.Hours(math.NaN()), "0 minutes", "0 min"},
		{4.9 / 60, "0 minutes", "0 min"},
		{0.75, "45 minutes", "45 min"},
		{0.999, "55 minutes", "55 min"},
		{1, "1 hour", "1 h"},
		{1.99, "1 hour 55 minutes", "1 h 55"},
		{2, "2 hours", "2 h"},
		{2.49, "2 hours", "2 h"},
		{6.5, "6 hours 30 minutes", "6 h 30"},
		{8.4, "8 hours", "8 h"},
		{11.99, "11 hours 30 minutes", "11 h 30"},
		{12.99, "12 hours", "12 h"},
		{24, "24 hours", "24 h"},
		{47.99, "47 hours", "47 h"},
		{48, "2 days", "2 d"},
		{53.99, "2 days", "2 d"},
		{54, "2 days 6 hours", "2 d 6 h"},
		{24*89 + 23, "89 days 18 hours", "89 d 18 h"},
		{outage.Horizon, "90 days", "90 d"},
		{outage.Horizon + 0.001, "more than 90 days", "90 d +"},
		{inf, "more than 90 days", "90 d +"},
	} {
		if got := strings.ReplaceAll(Hours(c.h), nbsp, " "); got != c.want {
			t.Errorf("Hours(%v): got %q, want %q", c.h, got, c.want)
		}
		if got := strings.ReplaceAll(ShortHours(c.h), nbsp, " "); got != c.short {
			t.Errorf("ShortHours(%v): got %q, want %q", c.h, got, c.short)
		}
	}
	// Sums of tenths come to whole grains.
	sum := units.Hours(0)
	for range 85 {
		sum += 0.1
	}
	if got, want := strings.ReplaceAll(Hours(sum), nbsp, " "), "8 hours 30 minutes"; got != want {
		t.Errorf("Hours(%v): got %q, want %q", float64(sum), got, want)
	}
}

// What is said is never more than the time, but for the noise allowed, and less
// by less than a grain; and a longer time is never said as a shorter one.
func TestHoursSafeSide(t *testing.T) {
	ahead := rapid.OneOf(
		rapid.Float64Range(0, 3), rapid.Float64Range(0, 60), rapid.Float64Range(0, 2161),
		// At, just below and just above whole 5 minutes.
		rapid.Map(rapid.IntRange(0, 90*24*12), func(n int) float64 { return math.Nextafter(float64(n)/12, 0) }),
		rapid.Map(rapid.IntRange(0, 90*24*12), func(n int) float64 { return float64(n) / 12 }),
		rapid.Map(rapid.IntRange(0, 90*24*12), func(n int) float64 { return math.Nextafter(float64(n)/12, 1e9) }),
	)
	rapid.Check(t, func(t *rapid.T) {
		h := ahead.Draw(t, "h")
		g := float64(Grain(units.Hours(h)))
		slack := noise*g + h*0x1p-50 // and the rounding of the doubles
		for _, words := range []string{Hours(units.Hours(h)), ShortHours(units.Hours(h))} {
			said := length(t, words)
			if math.IsInf(said, 1) {
				if h <= float64(outage.Horizon) {
					t.Fatalf("%v h is said as %q", h, words)
				}
				continue
			}
			if said > h+slack || h-said >= g+slack {
				t.Fatalf("%v h is said as %q", h, words)
			}
		}
		if down := float64(Down(units.Hours(h))); down > h+slack || h-down >= g+slack {
			t.Fatalf("Down(%v): got %v", h, down)
		}
		longer := ahead.Draw(t, "longer")
		if a, b := Down(units.Hours(h)), Down(units.Hours(longer)); (h < longer) && a > b {
			t.Fatalf("Down(%v) is %v, but Down(%v) is %v", h, a, longer, b)
		}
	})
}

// length reads what Hours and ShortHours say, in hours.
func length(t *rapid.T, words string) float64 {
	words = strings.ReplaceAll(words, nbsp, " ")
	if words == "more than 90 days" || words == "90 d +" {
		return math.Inf(1)
	}
	total, unit := 0.0, map[string]float64{"day": 24, "d": 24, "hour": 1, "h": 1, "minute": 1.0 / 60, "min": 1.0 / 60}
	f := strings.Fields(words)
	if len(f)%2 == 1 { // "8 h 30"
		f = append(f, "min")
	}
	for i := 0; i < len(f); i += 2 {
		var n int
		size, known := unit[strings.TrimSuffix(f[i+1], "s")]
		if _, err := fmt.Sscan(f[i], &n); err != nil || !known {
			t.Fatalf("cannot read %q", words)
		}
		total += float64(n) * size
	}
	return total
}

// Moments in real hours are said by the wall: an hour put back at 3:00, the clock
// of 3:00 is that of 2:00 from then on; seen from after, it was later before.
func TestWall(t *testing.T) {
	at := func(s string) plan.Moment {
		m, ok := plan.ParseMoment(s)
		if !ok {
			t.Fatal(s)
		}
		return m
	}
	before := Clock{From: at("2026-10-24T20:00"), Changes: []Change{{at("2026-10-25T03:00"), -1}}}
	after := Clock{From: at("2026-10-25T04:00"), Changes: []Change{{at("2026-10-25T02:00"), -1}}} // by the new clock
	forth := Clock{From: at("2026-03-28T20:00"), Changes: []Change{{at("2026-03-29T02:00"), 1}}}
	for _, c := range []struct {
		clock      Clock
		m, is, say string
	}{
		{before, "2026-10-24T20:00", "2026-10-24T20:00", "8pm"},
		{before, "2026-10-25T02:59", "2026-10-25T02:59", "2:59am"},
		{before, "2026-10-25T03:00", "2026-10-25T02:00", "2am"},
		{before, "2026-10-25T08:30", "2026-10-25T07:30", "7:30am"},
		{after, "2026-10-25T04:00", "2026-10-25T04:00", "4am"},
		{after, "2026-10-25T02:00", "2026-10-25T02:00", "2am"},
		{after, "2026-10-25T01:59", "2026-10-25T02:59", "2:59am"},
		{forth, "2026-03-29T01:59", "2026-03-29T01:59", "1:59am"},
		{forth, "2026-03-29T02:00", "2026-03-29T03:00", "3am"},
		{Clock{}, "2026-03-29T02:00", "2026-03-29T02:00", ""},
	} {
		m := at(c.m)
		if got := c.clock.Wall(m); got != at(c.is) {
			t.Errorf("%s from %s: %s, want %s", c.m, c.clock.From, got, c.is)
		}
		if c.say == "" {
			continue
		}
		if got := c.clock.Moment(m, c.clock.From); got != c.say {
			t.Errorf("%s is said %q, want %q", c.m, got, c.say)
		}
		if got := c.clock.Near(m, c.clock.From); got != c.say {
			t.Errorf("%s is said %q in few letters, want %q", c.m, got, c.say)
		}
	}
}
