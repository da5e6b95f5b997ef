package say

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// As browsers write 1234567.8 (Unicode CLDR, by Intl.NumberFormat).
var written = map[string]Marks{
	"1,234,567.8":           {Decimal: ".", Group: ","},      // English
	"1.234.567,8":           {Decimal: ",", Group: "."},      // German, Spanish
	"1\u202f234\u202f567,8": {Decimal: ",", Group: "\u202f"}, // French
	"1\u00a0234\u00a0567,8": {Decimal: ",", Group: "\u00a0"}, // Russian
	"1’234’567.8":           {Decimal: ".", Group: "’"},      // Swiss German
	"12,34,567.8":           {Decimal: ".", Group: ","},      // Hindi
	"1234567,8":             English,                         // none is told
	"١٬٢٣٤٬٥٦٧٫٨":           English,                         // not in these digits
	"":                      English,
}

func TestMarksOf(t *testing.T) {
	for number, want := range written {
		if number == "12,34,567.8" {
			want = English
		}
		if got := MarksOf(number); got != want {
			t.Errorf("MarksOf(%q): got %+v, want %+v", number, got, want)
		}
	}
}

func TestReadings(t *testing.T) {
	german, french := Marks{Decimal: ",", Group: "."}, Marks{Decimal: ",", Group: "\u202f"}
	defer Use(English)
	for _, c := range []struct {
		in   Marks
		s    string
		want []float64
	}{
		{English, "1.024", []float64{1.024, 1024}},
		{English, "1,024", []float64{1024, 1.024}},
		{german, "1.024", []float64{1024, 1.024}},
		{german, "1.024 Wh", []float64{1024, 1.024}},
		{german, "1,024", []float64{1.024, 1024}},
		{german, "1,2", []float64{1.2}},
		{german, "1.5", []float64{1.5}}, // no thousands have one digit
		{german, "12.50", []float64{12.5}},
		{german, "1.024,5", []float64{1024.5}},
		{german, "1,024.5", []float64{1024.5}},
		{french, "1.024", []float64{1024, 1.024}},
		{french, "1\u202f024", []float64{1024}},
		{german, "0,500", []float64{0.5}},
		{English, "0.125", []float64{0.125}},
		{English, "1234.567", []float64{1234.567}},
		{English, "1.024.000", []float64{1024000}},
		{English, "-1.024", []float64{-1.024, -1024}},
		{English, "٢٫٥", []float64{2.5}},
		{English, "1.02", []float64{1.02}},
		{English, "1.0240", []float64{1.024}},
	} {
		Use(c.in)
		var got []float64
		for _, r := range Readings(c.s) {
			got = append(got, r.Value)
		}
		if len(got) != len(c.want) {
			t.Errorf("Readings(%q) in %+v: got %v, want %v", c.s, c.in, got, c.want)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("Readings(%q) in %+v: got %v, want %v", c.s, c.in, got, c.want)
			}
		}
	}
}

// What is written in a language's marks is read back in them, with the number
// that was meant first.
func TestWrittenIsReadBack(t *testing.T) {
	defer Use(English)
	for number := range written {
		Use(MarksOf(number))
		rapid.Check(t, func(t *rapid.T) {
			v := math.Round(rapid.Float64Range(-1e7, 1e7).Draw(t, "v")*1e4) / 1e4
			said := Number(v, 4)
			if got, ok := ParseNumber(said); !ok || math.Abs(got.Value-v) > 1e-9*math.Abs(v) {
				t.Fatalf("%v is written %q and read as %v", v, said, got.Value)
			}
		})
	}
}

func TestOnPaper(t *testing.T) {
	defer Use(English)
	Use(Marks{Decimal: ",", Group: "."})
	if got, want := WattHours(1024.4), "1.024\u00a0Wh"; got != want {
		t.Errorf("on the screen: got %q, want %q", got, want)
	}
	if got, want := OnPaper(func() string { return Amount(12345.5, 1, "Wh") }), "12\u202f345,5\u00a0Wh"; got != want {
		t.Errorf("on paper: got %q, want %q", got, want)
	}
	if got, want := Local("between 0.5 and 20,000 W"), "between 0,5 and 20.000 W"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := Number(1e15, 2); strings.Contains(got, ",") {
		t.Errorf("got %q", got)
	}
}

func TestSpelled(t *testing.T) {
	for v, want := range map[float64]string{
		1024: "1 thousand 24", 1.024: "1 point 024", 1000: "1 thousand", 20000: "20 thousand", 1_200_000: "1 million 200 thousand",
		0: "0", 0.5: "0 point 5", -5: "minus 5", 1_000_001: "1 million 1", 12.25: "12 point 25",
	} {
		if got := Spelled(v); got != want {
			t.Errorf("Spelled(%v): got %q, want %q", v, got, want)
		}
	}
}
