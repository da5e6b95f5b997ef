package ui

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"candleclock/engine/card"
	"candleclock/engine/charge"
	"candleclock/engine/link"
	"candleclock/engine/load"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/engine/yield"
	"candleclock/ui/say"
)

// furnished is a page with the first things of the catalogue that fit, panels
// and a place.
func furnished(t testing.TB, things int, gauge plan.Gauge) *world {
	t.Helper()
	w := planned(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Loads = nil
			for i, e := range load.Catalogue() {
				if i%5 == 0 && len(p.Loads) < things {
					p.Loads = append(p.Loads, e.Load())
				}
			}
			p.Supply.Gauge = gauge
			p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 14, MaxV: 58, MaxA: 12, MaxW: 300}}
			p.Panels.Count = 4
			l := &p.Panels.Label
			l.Pmax, l.Vmp, l.Imp, l.Voc, l.Isc = 100, 18.2, 5.5, 21.8, 5.9
			lat, lon := 44.65, -63.57
			p.Place.Lat, p.Place.Lon = &lat, &lon
		})
	})
	w.visit("card")
	return w
}

var gauges = []plan.Gauge{{Kind: plan.Bars, Bars: 5}, {Kind: plan.Bars, Bars: 20}, {Kind: plan.Percent}, {Kind: plan.NoGauge}}

// The page says what card.Make works out.
func TestCardSaysWhatIsReckoned(t *testing.T) {
	for _, g := range gauges {
		w := furnished(t, 8, g)
		p := w.app.book.Plan
		c, err := card.Make(p, yield.Of(w.app.placed()), w.app.sampler, w.app.now)
		if err != nil {
			t.Fatal(err)
		}
		page := w.html()
		checkPage(t, page)
		var said string
		for _, e := range elements(t, page) {
			if e.Data == "article" {
				said = textOf(e.Node)
			}
		}
		has := func(what, s string) {
			t.Helper()
			if !strings.Contains(said, s) {
				t.Errorf("%v: %s: %q is not on the card", g, what, s)
			}
		}
		has("title", c.Title)
		has("made", date(c.Made))
		has("drill", date(c.Drill))
		for _, s := range c.Start.Steps {
			has("step", s.Name)
		}
		for _, r := range c.Never.Refused {
			has("refused", r.Name)
		}
		for _, s := range c.Ladder.Sets {
			has("set", s.Words)
		}
		for _, s := range c.Lines {
			has("line", s)
		}
		has("wiring", c.Sun.Wiring.String())
		v := w.app.Card()
		rows := v.Rows
		if g.Kind == plan.Bars {
			rows = rows[1:] // just charged
		}
		if len(rows) == 0 || len(rows) > len(c.Ladder.Rungs) {
			t.Fatalf("%v: %d rows for %d rungs", g, len(rows), len(c.Ladder.Rungs))
		}
		for _, r := range rows {
			at := slices.IndexFunc(c.Ladder.Rungs, func(rung card.Rung) bool { return rung.Reading.Words == r.Reading })
			if at < 0 {
				t.Fatalf("%v: a row for %q", g, r.Reading)
			}
			for i, h := range c.Ladder.Rungs[at].CountOn {
				want := say.ShortHours(h)
				if say.Down(h) == 0 {
					want = wCardNow
				}
				if r.Cells[i] != want {
					t.Errorf("%v: %s: got %q, want %q", g, r.Reading, r.Cells[i], want)
				}
				has(r.Reading, r.Cells[i])
			}
		}
		lit := 0
		for _, b := range v.Rows[len(v.Rows)-1].Bars {
			if b.Class == "lit" {
				lit++
			}
		}
		if want := c.Ladder.Rungs[len(c.Ladder.Rungs)-1].Reading.Bars; g.Bars <= barsDrawn && lit != want {
			t.Errorf("%v: the last row draws %d bars, want %d", g, lit, want)
		}
	}
}

// Whatever the plan, the card fits on one page of any paper, every step that is
// vital is on it, and as text it says no less.
func TestCardFits(t *testing.T) {
	for _, things := range []int{1, 8, 20} {
		for _, g := range gauges {
			if things == 8 && g.Kind != plan.Percent { // the most rows
				continue
			}
			w := furnished(t, things, g)
			for _, s := range sheets {
				for _, size := range []string{"usual", "large"} {
					w.act(func() { w.app.PickCard("paper-" + s.key) })
					w.act(func() { w.app.PickCard("letters-" + size) })
					name := fmt.Sprint(things, " things, ", g, ", ", s.label, ", ", size)
					v := w.app.Card()
					if !v.fits || v.points < 9 || size == "usual" && v.points > usualMost {
						t.Errorf("%s: fits %v, %v pt", name, v.fits, v.points)
					}
					if !v.HasCode() {
						t.Errorf("%s: no code", name)
					}
					vital := 0
					for _, l := range v.Order {
						if l.Vital {
							vital++
						}
					}
					want := 0
					for _, s := range w.app.card.made.Start.Steps {
						if s.Vital {
							want++
						}
					}
					if vital != want {
						t.Errorf("%s: %d vital steps, want %d", name, vital, want)
					}
				}
			}
			var text strings.Builder
			for _, p := range w.app.Reading() {
				text.WriteString(p.Head + "\n" + strings.Join(p.Lines, "\n") + "\n")
			}
			full := newCardView(*w.app.card.made, w.app.book.Plan, w.app.prefs, cuts[0])
			facts := append(append(append([]string{full.Title, full.Made}, full.Never...), full.Under...), full.Small...)
			for _, l := range full.Order {
				facts = append(facts, l.Text)
			}
			for _, r := range full.Rows {
				facts = append(append(facts, r.Reading), r.Cells...)
			}
			for _, p := range full.More {
				facts = append(facts, p.Lines...)
			}
			for _, s := range append(facts, append(full.Heads[1:], full.Write...)...) {
				if !strings.Contains(text.String(), s) {
					t.Errorf("%d things: %q is not in the text", things, s)
				}
			}
		}
	}
}

func TestCardCode(t *testing.T) {
	w := furnished(t, 3, gauges[0])
	address, code, _ := strings.Cut(w.app.planAddress(), "#"+linkKey+"=")
	if address != w.Address() {
		t.Errorf("the code leads to %q", address)
	}
	if p, err := link.Parse(code); err != nil || string(p.Encode()) != string(w.app.book.Plan.Encode()) {
		t.Errorf("the code's plan: %v", err)
	}
}

func TestCardEmpty(t *testing.T) {
	w := openPage(t, new(disk))
	w.act(w.app.PlanAhead)
	for _, c := range []struct {
		do      func()
		missing string
	}{
		{func() {}, wMissingBoth},
		{func() { w.app.AddFound("fridge") }, wMissingSupply},
	} {
		w.act(c.do)
		w.visit("card")
		if w.app.CardMissing() != c.missing || w.app.ShowsLeaf() || w.app.ShowsReading() || w.app.CardChoices() != nil || w.app.CardNote() != "" {
			t.Errorf("missing %q, want %q", w.app.CardMissing(), c.missing)
		}
		w.act(func() { w.app.PickCard("paper-a5") }) // a tap that came late
		checkPage(t, w.html())
		w.visit("tonight")
	}
}

func TestCardChoices(t *testing.T) {
	d := new(disk)
	w := planned(t, d, func(w *world) { w.lang = "en-CA" })
	w.visit("card")
	pressed := func() (out []string) {
		for _, g := range w.app.CardChoices() {
			for _, o := range g.Options {
				if o.Pressed == "true" {
					out = append(out, o.ID)
				}
			}
		}
		return out
	}
	if got, want := pressed(), []string{"paper-letter", "letters-usual", "face-card"}; !slices.Equal(got, want) {
		t.Errorf("at first %v, want %v", got, want)
	}
	for _, id := range []string{"paper-a5", "letters-large", "face-text"} {
		w.act(func() { w.app.PickCard(id) })
		checkPage(t, w.html())
	}
	if got, want := pressed(), []string{"paper-a5", "letters-large", "face-text"}; !slices.Equal(got, want) || w.app.ShowsLeaf() {
		t.Errorf("picked %v, want %v", got, want)
	}
	w = openPage(t, d)
	w.visit("card")
	if got, want := pressed(), []string{"paper-a5", "letters-large", "face-card"}; !slices.Equal(got, want) {
		t.Errorf("opened again: %v, want %v", got, want)
	}

	w.act(w.app.PrintCard)
	if w.prints != 1 || w.app.NoPrint() {
		t.Errorf("%d prints, none %v", w.prints, w.app.NoPrint())
	}
	w.printless = true
	w.act(w.app.PrintCard)
	if !w.app.NoPrint() || w.app.Status() != wNoPrint {
		t.Errorf("a browser that can't print: %q", w.app.Status())
	}
	checkPage(t, w.html())
}

func TestGuessPaper(t *testing.T) {
	for language, want := range map[string]string{"en-US": "letter", "fr-CA": "letter", "es-MX": "letter", "en-GB": "a4", "de": "a4", "": "a4",
		"zh-Hant-TW": "a4", "en-us": "letter", "sr-Latn-US": "letter"} {
		if got := guessPaper(language); got != want {
			t.Errorf("%q: got %s, want %s", language, got, want)
		}
	}
}

// A card for a supply that nothing of the plan can run on.
func TestCardNothingRuns(t *testing.T) {
	w := planned(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Loads = []load.Load{mustFind("heater").Load()}
			p.Supply.Inverter.Continuous = units.Watts(20)
		})
	})
	w.visit("card")
	checkPage(t, w.html())
	if w.app.ShowsLeaf() && len(w.app.Card().Order) > 0 {
		t.Errorf("to switch on: %v", w.app.Card().Order)
	}
}

func mustFind(key string) load.Entry {
	e, ok := load.Find(key)
	if !ok {
		panic(key)
	}
	return e
}

// Rows are left out of the table between its first and its last.
func TestCardRows(t *testing.T) {
	w := furnished(t, 8, gauges[2])
	for _, cut := range cuts {
		v := newCardView(*w.app.card.made, w.app.book.Plan, w.app.prefs, cut)
		if n := len(v.Rows); n > cut.rungs+1 {
			t.Errorf("%d rows, want at most %d", n, cut.rungs+1)
		}
		if first, last := v.Rows[0].Reading, v.Rows[len(v.Rows)-1].Reading; first != "100%" || last != "10%" {
			t.Errorf("the table goes from %s to %s", first, last)
		}
	}
}

// What must not be plugged in does not speak against the order to switch on.
func TestCardMotors(t *testing.T) {
	w := planned(t, new(disk))
	never := func(surge float64, keys ...string) string {
		w.act(func() {
			w.app.edit(func(p *plan.Plan) {
				p.Supply.Inverter.Continuous, p.Supply.Inverter.SurgeW = 500, &surge
				p.Loads = nil
				for _, key := range keys {
					p.Loads = append(p.Loads, mustFind(key).Load())
				}
			})
		})
		w.visit("card")
		return strings.Join(w.app.Card().Never, "\n")
	}
	if got := never(800, "freezer-chest"); !strings.Contains(got, wCardOneMotor+"Chest freezer.") || strings.Contains(got, wCardTripsLess) {
		t.Errorf("one motor: %q", got)
	}
	if got := never(800, "freezer-chest", "lamp-led", "fan-table"); !strings.Contains(got, wCardTripsLess) || strings.Contains(got, wCardTripsLess+"Chest freezer") {
		t.Errorf("its restart may trip: %q", got)
	}
	w.visit("tonight")
	if got := never(1500, "freezer-chest", "freezer-upright"); !strings.Contains(got, wCardOtherMotor) {
		t.Errorf("two motors: %q", got)
	}
}

// What can't start is not in the card's hours, and the card says so.
func TestCardNotCounted(t *testing.T) {
	w := planned(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Loads = []load.Load{mustFind("fridge").Load(), mustFind("lamp-led").Load()}
			surge := 500.0
			p.Supply.Inverter.Continuous, p.Supply.Inverter.SurgeW = 500, &surge
		})
	})
	w.visit("card")
	want := "Refrigerator, modern" + wCardNotCounted
	if got := strings.Join(w.app.Card().Under, "\n"); !strings.Contains(got, want) {
		t.Errorf("under the hours: %q, want %q", got, want)
	}
	w.act(func() {
		w.app.edit(func(p *plan.Plan) { p.Supply.Inverter.Continuous, p.Supply.Inverter.SurgeW = 0, nil })
	})
	w.visit("tonight")
	w.visit("card")
	if got := strings.Join(w.app.Card().Under, "\n"); strings.Contains(got, wCardNotCounted) {
		t.Errorf("of a supply whose limit is not known: %q", got)
	}
}
