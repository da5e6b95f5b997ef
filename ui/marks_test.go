package ui

import (
	"strings"
	"testing"

	"candleclock/engine/plan"
	"candleclock/ui/say"
)

// inLanguage is a world whose device writes numbers so.
func inLanguage(t *testing.T, writes string) *world {
	t.Cleanup(func() { say.Use(say.English) })
	w := planned(t, new(disk))
	w.writes = writes
	w.act(func() { w.app.useMarks() })
	return w
}

// "1.024" is a thousand and more to half the world, and hardly more than one to
// the rest: the device's language decides where it can, and else its owner is
// asked, and nothing of the plan changes until they answer.
func TestNumberOfTwoMeanings(t *testing.T) {
	for _, c := range []struct {
		name, writes, id, typed string
		tap                     int // which of the two is tapped; -1: nothing is asked
		want                    float64
		echo                    string
		then                    string // the mark before decimals that is kept
	}{
		{"German", "1.234.567,8", "supply-capacity", "1.024", -1, 1024, "1 thousand 24", ""},
		{"German, in kilowatt-hours", "1.234.567,8", "supply-capacity", "1,024 kWh", -1, 1024, "1 thousand 24", ""},
		{"English, meant as in German", "1,234,567.8", "supply-capacity", "1.024", 1, 1024, "1 thousand 24", ","},
		{"English, meant as written", "1,234,567.8", "supply-capacity", "1.024", 0, 1.024, "1 point 024", "."},
		{"English thousands", "1,234,567.8", "supply-capacity", "1,024", -1, 1024, "1 thousand 24", ""},
		{"French, with a point", "1 234 567,8", "supply-capacity", "1.024", 0, 1024, "1 thousand 24", ","},
		{"only one is in the range", "1,234,567.8", "supply-efficiency", "90.125", -1, 0.90125, "90 point 125", ""},
		{"amp-hours", "1,234,567.8", "supply-capacity", "20.000 mAh 3.7 V", -1, 74, "74", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := inLanguage(t, c.writes)
			w.visit("supply")
			w.tick("supply-more", true)
			get := func() float64 {
				if c.id == "supply-capacity" {
					return float64(aBattery(w).Capacity)
				}
				return known(anInverter(w).Efficiency)
			}
			var before float64
			if c.id == "supply-capacity" {
				before = get()
			}
			f := w.typeIn(c.id, c.typed)
			if asked := len(f.Either) == 2; asked != (c.tap >= 0) {
				t.Fatalf("%q: asked %v, with %q and error %q", c.typed, asked, f.Echo, f.Err)
			}
			if c.tap >= 0 {
				if get() != before || f.Invalid() != "true" {
					t.Errorf("%q: the plan holds %v before it is answered; %v stood there", c.typed, get(), before)
				}
				if f.Means(0) == f.Means(1) || f.Means(c.tap) == "" {
					t.Errorf("%q: asked for %q or %q", c.typed, f.Means(0), f.Means(1))
				}
				w.act(func() { w.app.Mean(f, c.tap) })
			}
			if got := get(); got != c.want || f.Err != "" || len(f.Either) > 0 {
				t.Errorf("%q: got %v, error %q, want %v", c.typed, got, f.Err, c.want)
			}
			if !strings.Contains(f.Echo, c.echo) {
				t.Errorf("%q: it says %q", c.typed, f.Echo)
			}
			if w.app.prefs.Decimal != c.then {
				t.Errorf("the owner's mark is %q, want %q", w.app.prefs.Decimal, c.then)
			}
			if c.tap >= 0 { // once told, it is no question any more
				if f := w.typeIn(c.id, "2"+c.typed[1:]); len(f.Either) > 0 || get() < c.want {
					t.Errorf("asked again, %q", f.Echo)
				}
			}
		})
	}
}

// What the page writes into a box is read back as what it was.
func TestBoxesReadBack(t *testing.T) {
	for _, writes := range []string{"1,234,567.8", "1.234.567,8", "1 234 567,8"} {
		inLanguage(t, writes)
		for _, v := range []float64{1.024, 1024, 0.125, 12.345, 1234.5, 100000} {
			if got := say.Readings(plainNumber(v)); len(got) != 1 || got[0].Value != v {
				t.Errorf("%v stands in a box as %q, which reads as %v (%s)", v, plainNumber(v), got, writes)
			}
		}
	}
}

// On the card all numbers have the same marks, those in its sentences too.
func TestCardHasOneKindOfMarks(t *testing.T) {
	w := inLanguage(t, "1.234.567,8")
	w.act(func() {
		w.app.edit(func(p *plan.Plan) { p.Loads = append(p.Loads, mustFind("oxygen-5l").Load()) })
	})
	w.visit("card")
	said := 0
	for _, part := range w.app.Card().More {
		for _, line := range part.Lines {
			if strings.Contains(line, "psi = bar") {
				said++
				if !strings.Contains(line, "14,5") || !strings.Contains(line, "0,068") || strings.Contains(line, "0.") {
					t.Errorf("the card says %q", line)
				}
			}
		}
	}
	if said == 0 {
		t.Error("the card tells no cylinder")
	}
}
