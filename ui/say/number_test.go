package say

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{0, 0, "0"},
		{999, 0, "999"},
		{1000, 0, "1,000"},
		{1234567.891, 1, "1,234,567.9"},
		{-1500, 0, "-1,500"},
		{0.5, 0, "1"},
		{0.25, 4, "0.25"},
		{2.50, 2, "2.5"},
		{-0.4, 0, "0"},
		{math.Copysign(0, -1), 2, "0"},
		{1e15, 2, "1e+15"},
		{math.MaxFloat64, 6, "1.7976931348623157e+308"},
	} {
		if got := Number(c.v, c.decimals); got != c.want {
			t.Errorf("Number(%v, %d): got %q, want %q", c.v, c.decimals, got, c.want)
		}
	}
}

func TestUnits(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Amount(1024, 0, "Wh"), "1,024 Wh"},
		{Watts(9.94), "9.9 W"},
		{Watts(9.96), "10 W"},
		{Watts(59.6), "60 W"},
		{Watts(0), "0 W"},
		{Watts(-12.2), "-12 W"},
		{WattHours(1023.6), "1,024 Wh"},
		{WattHours(0.04), "0 Wh"},
	} {
		want := strings.ReplaceAll(c.want, " ", nbsp)
		if c.got != want {
			t.Errorf("got %q, want %q", c.got, want)
		}
	}
}

func TestPercent(t *testing.T) {
	for _, c := range []struct {
		share float64
		want  string
	}{
		{0, "0%"}, {1, "100%"}, {0.999, "99%"}, {0.005, "0%"}, {0.29, "29%"}, {0.57, "57%"}, {1.0 / 3, "33%"}, {2.0 / 3, "66%"},
		{1 - 0.1 - 0.1 - 0.1, "70%"}, // 0.7000000000000001
		{0.1 * 7, "70%"},
	} {
		if got := Percent(c.share); got != c.want {
			t.Errorf("Percent(%v): got %q, want %q", c.share, got, c.want)
		}
	}
	for n := range 101 {
		if got, want := Percent(float64(n)/100), fmt.Sprintf("%d%%", n); got != want {
			t.Errorf("Percent of %d in 100: got %q, want %q", n, got, want)
		}
	}
}

func TestInTen(t *testing.T) {
	for _, c := range []struct {
		p    float64
		want string
	}{
		{0, "fewer than 1 time in 10"},
		{math.NaN(), "fewer than 1 time in 10"},
		{0.0999999, "fewer than 1 time in 10"},
		{0.1, "1 time in 10"},
		{0.1999999, "1 time in 10"},
		{0.2, "2 times in 10"},
		{0.3, "3 times in 10"}, // 0.3*10 is 3 but 3*0.1 is not 0.3
		{math.Nextafter(0.3, 0), "2 times in 10"},
		{0.5, "5 times in 10"},
		{0.89999, "8 times in 10"},
		{0.9, "9 times in 10"},
		{0.909, "9 times in 10"},
		{0.91, "91 times in 100"},
		{math.Nextafter(0.95, 0), "94 times in 100"},
		{0.95, "95 times in 100"},
		{0.99, "99 times in 100"},
		{math.Nextafter(0.99, 1), "more than 99 times in 100"},
		{1, "more than 99 times in 100"},
	} {
		if got := InTen(c.p); got != c.want {
			t.Errorf("InTen(%v): got %q, want %q", c.p, got, c.want)
		}
	}
}

// The chance said is never more than the chance, and less by no more than the
// one part in 10 or 100 that it is counted in.
func TestInTenClaimsNoMore(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, p float64) {
		s := InTen(p)
		var n, of int
		if s == "more than 99 times in 100" {
			if !(p > 0.99) {
				t.Fatalf("InTen(%v): got %q", p, s)
			}
			return
		}
		if s == "fewer than 1 time in 10" {
			if !(p < 0.1) {
				t.Fatalf("InTen(%v): got %q", p, s)
			}
			return
		}
		if _, err := fmt.Sscanf(strings.Replace(s, "times", "time", 1), "%d time in %d", &n, &of); err != nil {
			t.Fatalf("InTen(%v): cannot read %q: %v", p, s, err)
		}
		if said := float64(n) / float64(of); said > p || float64(n+1)/float64(of) <= p {
			t.Fatalf("InTen(%v): got %q", p, s)
		}
	}
	for n := range 1001 {
		p := float64(n) / 1000
		for _, p := range []float64{math.Nextafter(p, 0), p, math.Nextafter(p, 1)} {
			check(t, p)
		}
	}
	rapid.Check(t, func(t *rapid.T) { check(t, rapid.Float64Range(0, 1).Draw(t, "p")) })
}

func TestParseNumber(t *testing.T) {
	for _, c := range []struct {
		s     string
		value float64
		unit  string
	}{
		{"60", 60, ""},
		{" 60 W ", 60, "w"},
		{"60W", 60, "w"},
		{"60\u00a0W", 60, "w"},
		{"1,5 kWh", 1.5, "kwh"},
		{"1.5", 1.5, ""},
		{"12.", 12, ""},
		{"12,", 12, ""},
		{".5", 0.5, ""},
		{",5", 0.5, ""},
		{"0,500", 0.5, ""},
		{",500", 0.5, ""},
		{"1,500", 1500, ""},
		{"1,500 W", 1500, "w"},
		{"12,500", 12500, ""},
		{"1.500", 1.5, ""},
		{"1,50", 1.5, ""},
		{"1,5000", 1.5, ""},
		{"1234,567", 1234.567, ""}, // no thousands mark before: a decimal one
		{"1,234.5", 1234.5, ""},
		{"1.234,5", 1234.5, ""},
		{"1,234,567", 1234567, ""},
		{"1.234.567", 1234567, ""},
		{"1,50,000", 150000, ""},
		{"1 500", 1500, ""},
		{"1\u202f500", 1500, ""},
		{"1'500", 1500, ""},
		{"1’500.5", 1500.5, ""},
		{"1 234,567", 1234.567, ""}, // the space groups, so the comma does not
		{"007", 7, ""},
		{"+5", 5, ""},
		{"-5", -5, ""},
		{"−5 °C", -5, "°c"},
		{"- 5", -5, ""},
		{"-0", 0, ""},
		{"50%", 50, "%"},
		{"5 amp hours", 5, "amp hours"},
		{"2 kWh/day", 2, "kwh/day"},
		{"9 W/m²", 9, "w/m²"},
		{"5 h.", 5, "h."},
		{"20 €", 20, "€"},
		{"5 eur", 5, "eur"},
		{"٦٠", 60, ""}, // digits of other scripts
		{"६० W", 60, "w"},
		{"６０", 60, ""},
		{"١٬٠٢٤٫٥", 1024.5, ""},
		{"1e3", 1000, ""},
		{"1E+3W", 1000, "w"},
		{"1,5e3", 1500, ""},
		{"1e-400", 0, ""},
		{"1e400", math.Inf(1), ""},
		{"-1e400 W", math.Inf(-1), "w"},
		{strings.Repeat("9", 400), math.Inf(1), ""},
	} {
		got, ok := ParseNumber(c.s)
		if want := (Typed{c.value, c.unit}); !ok || got != want {
			t.Errorf("ParseNumber(%q): got %+v, %v, want %+v", c.s, got, ok, want)
		}
		if ok && got.Value == 0 && math.Signbit(got.Value) {
			t.Errorf("ParseNumber(%q): got minus zero", c.s)
		}
	}
	for _, s := range []string{
		"", " ", "-", "+", ".", ",", "'", "-.", "e5", "W", "%", "sixty", "NaN", "Inf", "-Infinity", "nan W",
		"--5", "−−5", "−-5", "5-", "5 - 3", "60-80", "6 to 8", "6–8",
		"1/2", "½", "5½", "1 1/2", "10:30", "2x60W", "0x10", "1_000", "12abc34", "5 .", "5 /day",
		"1.2.3", "1,2,3", "1,5,0", "1 5", "1 50", "12 .5", "1 5000", "1,,500", "1..5", "1,234.5.6", "1.5,5,5", "1,234,5.6", "1,23,4", "1'5", "1 234'567",
		"1e", "1e+", "1e5e5", "5e3.2",
	} {
		// A lone "e" is a unit that no field knows.
		if got, ok := ParseNumber(s); ok && got.Unit != "e" {
			t.Errorf("ParseNumber(%q): got %+v, want no number", s, got)
		}
	}
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"1,500 W", "1.234,5", "−5 °C", "1e400", "1’500", "", "-", "1 234,567", "٦٠", "5½", "0,5e-3 kWh"} {
		f.Add(s, 1234.5, uint8(1))
	}
	f.Add("", -0.0004, uint8(3))
	f.Add("", 1e15, uint8(6))
	f.Add("", math.MaxFloat64, uint8(6))
	f.Fuzz(func(t *testing.T, s string, v float64, decimals uint8) {
		if got, ok := ParseNumber(s); ok {
			if math.IsNaN(got.Value) {
				t.Errorf("ParseNumber(%q): got NaN", s)
			}
			if !strings.ContainsAny(latin(s), "0123456789") {
				t.Errorf("ParseNumber(%q): got %v from no digits", s, got.Value)
			}
			// Spaces around and a sign before it change nothing else.
			if again, ok := ParseNumber(" " + s + "\t"); !ok || again != got {
				t.Errorf("ParseNumber(%q) between spaces: got %+v, %v, want %+v", s, again, ok, got)
			}
			if t0 := strings.TrimSpace(s); t0[0] >= '0' && t0[0] <= '9' {
				if neg, ok := ParseNumber("-" + t0); !ok || neg.Value != -got.Value || neg.Unit != got.Unit {
					t.Errorf("ParseNumber(%q) with a minus: got %+v, %v, want minus %+v", s, neg, ok, got)
				}
			}
		} else if got != (Typed{}) {
			t.Errorf("ParseNumber(%q): got %+v and no number", s, got)
		}

		if math.IsNaN(v) || math.IsInf(v, 0) {
			return
		}
		places := int(decimals % 7)
		said := Number(v, places)
		got, ok := ParseNumber(said)
		// Half of the last place asked for, and the rounding of the doubles.
		near := 0.5*math.Pow(10, -float64(places)) + math.Abs(v)*0x1p-51
		if !ok || got.Unit != "" || math.Abs(got.Value-v) > near {
			t.Errorf("Number(%v, %d) says %q, which reads as %+v, %v", v, places, said, got, ok)
		}
		if again := Number(got.Value, places); again != said {
			t.Errorf("Number(%v, %d) says %q, read and said again %q", v, places, said, again)
		}
		with, ok := ParseNumber(Amount(v, places, "Wh"))
		if want := (Typed{got.Value, "wh"}); !ok || with != want {
			t.Errorf("Amount(%v, %d) reads as %+v, %v, want %+v", v, places, with, ok, want)
		}
	})
}
