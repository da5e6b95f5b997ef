package ui

import (
	"fmt"
	"html"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/gauge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
	"candleclock/engine/yield"
	"candleclock/ui/say"
)

// households are plans in which the pages have told two figures for one thing,
// or might: opened on 14 January 2026 at 7:03pm.
func households(t testing.TB) map[string]plan.Plan {
	of := func(change ...func(p *plan.Plan)) plan.Plan {
		p := plantest.Cottage(t)
		for _, c := range change {
			c(&p)
		}
		q, err := plan.Decode(p.Encode())
		if err != nil {
			t.Fatal(err)
		}
		return q
	}
	adapter := func(w units.Watts) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			p.Supply.Inputs = slices.DeleteFunc(slices.Clone(p.Supply.Inputs), func(in charge.Input) bool { return in.Kind == charge.Wall })
			if w > 0 {
				p.Supply.Inputs = append(p.Supply.Inputs, charge.Input{Kind: charge.Wall, Watts: w})
			}
		}
	}
	generator := func(litres float64) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			p.Supply.Inputs = append(slices.Clone(p.Supply.Inputs), charge.Input{Kind: charge.Generator, Watts: 2000})
			p.Outage.Refills = []plan.Refill{{Kind: charge.Generator, Below: new(0.3), Litres: litres}}
		}
	}
	manyPanels := func(p *plan.Plan) {
		p.Panels.Count, p.Panels.Label = 4, panel.Label{Pmax: 200, Voc: 24}
		p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 12, MaxV: 150, MaxA: 40, MaxW: 1500}}
		p.Supply.Battery.Capacity = 2000
	}
	noPanels := func(p *plan.Plan) { p.Panels = plan.Panels{}; p.Supply.Inputs = nil }
	warm := func(p *plan.Plan) { p.Supply.Battery.Room = 20 }
	began := func(year int, month time.Month, day int) func(p *plan.Plan) {
		return func(p *plan.Plan) { p.Outage.Starts = plan.At(time.Date(year, month, day, 18, 0, 0, 0, time.UTC)) }
	}
	underWay := func(readings ...float64) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			p.Outage.UnderWay = true
			for i, soc := range readings {
				p.Outage.Starts = plan.At(time.Date(2026, 1, 14, 15+i, 0, 0, 0, time.UTC))
				p.Outage.SOC = soc
				p.Outage.Log.Readings = append(p.Outage.Log.Readings, plan.Reading{At: p.Outage.Starts, SOC: soc, SOCLow: soc})
			}
		}
	}
	return map[string]plan.Plan{
		"a cottage with one panel":          of(),
		"four panels":                       of(manyPanels),
		"four panels, a generator, fuel":    of(manyPanels, adapter(1200), generator(20)),
		"a generator, fuel not told":        of(noPanels, generator(0)),
		"a generator behind an adapter":     of(noPanels, adapter(300), generator(10)),
		"frost":                             of(manyPanels, func(p *plan.Plan) { p.Supply.Battery.Room = -4 }),
		"made in August":                    of(manyPanels, began(2025, 8, 20)),
		"for the next August":               of(manyPanels, began(2026, 8, 20)),
		"a kettle that is left out":         of(func(p *plan.Plan) { e, _ := load.Find("kettle-230"); p.Loads = append(p.Loads, e.Load()) }),
		"nothing that charges":              of(noPanels, warm),
		"a lead battery":                    of(noPanels, func(p *plan.Plan) { p.Supply.Battery.Chemistry, p.Supply.Battery.Cutoff = battery.AGM, nil }),
		"an inverter that nobody knows":     of(manyPanels, func(p *plan.Plan) { p.Supply.Inverter = inverter.Inverter{} }),
		"five bars":                         of(func(p *plan.Plan) { p.Supply.Gauge = plan.Gauge{Kind: plan.Bars, Bars: 5} }),
		"no gauge":                          of(manyPanels, func(p *plan.Plan) { p.Supply.Gauge = plan.Gauge{Kind: plan.NoGauge} }),
		"days":                              of(noPanels, func(p *plan.Plan) { p.Supply.Battery.Capacity = 9000 }),
		"under way":                         of(noPanels, underWay(1)),
		"under way, three readings":         of(noPanels, underWay(1, 0.88, 0.77)),
		"under way with panels, in the sun": of(manyPanels, underWay(0.8)),
	}
}

// pagesOf are the texts of every page of a plan, and of what it is sent as.
func pagesOf(t testing.TB, p plan.Plan) (w *world, text map[string]string) {
	w = openPage(t, new(disk))
	w.act(w.app.PlanAhead)
	w.act(func() { w.app.edit(func(q *plan.Plan) { id := q.ID; *q = p; q.ID = id }) })
	text = map[string]string{}
	for _, page := range []string{pageTonight, pageLoads, pageSupply, pageSun, pageAhead, pageOwn, pageCard, pageSend, pageAids} {
		w.visit(page)
		if page != pageOwn { // draws do not change what is looked for there
			w.worker.work() // the finer answer
		}
		text[page] = plainPage(w.html())
	}
	w.visit(pageTonight)
	w.act(w.app.OpenHold)
	w.typeIn("hold-until", "3 days")
	w.act(w.app.SaveHold)
	text["hold until"] = plainPage(w.html())
	w.visit(pageSend)
	text["the message"], text["the words"] = spaced(w.app.parcel.Short), spaced(w.app.parcel.Full)
	return w, text
}

var (
	tags    = regexp.MustCompile(`<[^>]*>`)
	unheard = regexp.MustCompile(`(?s)<(svg|option)\b.*?</(svg|option)>`)
)

// plainPage is the text of a page as it is read.
func plainPage(s string) string {
	s = unheard.ReplaceAllString(s, " ")
	return spaced(strings.Join(strings.Fields(html.UnescapeString(tags.ReplaceAllString(s, " "))), " "))
}

// told is one quantity: what the engine says of it, the ways in which the pages
// tell it, and the pages that must.
type told struct {
	what, is string
	ways     []string // each with the figure as its group
	on       []string
	or       string // may be told as well; "" where nothing may
}

func tells(what, is string, ways, on []string) told {
	return told{what: what, is: is, ways: ways, on: on}
}

// One plan, every page: whatever page tells a figure, and whatever it is sent as,
// it is the one that the engine prints.
func TestOnePlanEveryPage(t *testing.T) {
	for name, p := range households(t) {
		t.Run(name, func(t *testing.T) {
			w, text := pagesOf(t, p)
			for _, q := range quantities(t, w, p) {
				found := map[string]bool{}
				for page, s := range text {
					for _, way := range q.ways {
						for _, m := range regexp.MustCompile(way).FindAllStringSubmatch(s, -1) {
							found[page] = true
							got := strings.TrimSpace(m[1])
							if got == "11:59pm" && q.is == "midnight" {
								got = q.is // as it is said with its day
							}
							if got != q.is && (q.or == "" || got != q.or) {
								t.Errorf("%s: %s says %q, the engine %q, in %q", q.what, page, got, q.is, m[0])
							}
						}
					}
				}
				for _, page := range q.on {
					if !found[page] {
						t.Errorf("%s (%s): %s does not tell it", q.what, q.is, page)
					}
				}
			}
		})
	}
}

// quantities are those of a plan as the page in view counts it.
func quantities(t testing.TB, w *world, p plan.Plan) []told {
	p, _ = p.Rolled(w.app.now)
	s, o, from := odds.NewSampler(odds.Draws, odds.Seed), p.Outage, p.Outage.Starts
	run := s.Runtime(p)
	var out []told
	add := func(q told) { out = append(out, q) }
	sun := yield.Of(p)
	month := from
	if o.UnderWay {
		month = w.app.now
	}

	// The time to plan on.
	if !o.UnderWay {
		for _, h := range []units.Hours{run.CountOn, run.Likely} {
			if math.IsInf(float64(h), 1) {
				t.Fatal("a plan without an end tells nothing here")
			}
		}
		is := spaced(say.Hours(run.CountOn))
		add(tells("the time to plan on", is, []string{`[Pp]lan on (?:power for )?(\d[\w ]*?)(?: without [\w, ’]+?)?, until about`, `it lasts at least ([\w ]+)\.`, `could last ([\w ]+?)(?: to |\.)`},
			[]string{pageTonight, pageLoads, pageSupply, "the message", "the words"}))
		add(tells("the likely time without an input", spaced(say.Hours(run.Likely)), []string{`could last [\w ]+\. About ([\w ]+?) is most likely`}, nil))
	}
	// Its end: of the plan as it stands, or by the readings.
	end := spaced(w.app.prefs.clock().Minute(w.app.answer.until(w.app.answer.run.CountOn).Minute()))
	clock := `((?:\d+(?::\d\d)?[ap]m|\d\d:\d\d|midnight|midday))`
	ends := []string{`[Pp]lan on (?:power for )?\d[\w ]*?(?: without [\w, ’]+?)?, until about ` + clock, `Plan on power until ` + clock, `Plan on it ` + clock}
	on := []string{pageTonight, pageLoads, "the message", "the words"}
	add(tells("the end of the time to plan on", end, ends, on))
	if got := spaced(w.app.Candle().CountOn.Label); w.app.Candle().Wax != "" && !strings.HasPrefix(got, end) {
		t.Errorf("the candle's mark is %q, the end %q", got, end)
	}
	left := gauge.LeftOf(p, s) // by the readings, where there are some
	if told := w.app.answer.run; told.CountOn != left.CountOn || told.Likely != left.Likely || told.AtBest != left.AtBest {
		t.Errorf("the page counts on %v, %v, %v h, the engine on %v, %v, %v", told.CountOn, told.Likely, told.AtBest, left.CountOn, left.Likely, left.AtBest)
	}
	if at := w.app.answer.until(left.CountOn); at.Since(from.After(left.CountOn)) > 0 || at.Since(from.After(left.CountOn)) < -1 {
		t.Errorf("the end told, %s, is not within the hour before the engine's, %s", at, from.After(left.CountOn))
	}
	if alone, some, rest := p.VitalAlone(); !o.UnderWay && some && rest {
		add(tells("what is vital alone", spaced(say.Hours(s.Runtime(alone).CountOn)), []string{`With what is vital alone: ([\w ]+?), until`}, []string{pageTonight}))
	}

	// With the sun: nothing that is counted without it may sound like all there is.
	if w.app.answer.uncounted() != "" {
		add(tells("what the spread leaves out", w.app.answer.uncounted(), []string{`Without ([\w, ’]+?) it could last`}, []string{pageTonight, "the words"}))
		if regexp.MustCompile(`(^|\. )It could last`).MatchString(w.app.answer.Range()) {
			t.Errorf("the spread does not say what it is counted without: %q", w.app.answer.Range())
		}
	}
	if sun != nil && !o.UnderWay {
		with := s.WithSun(p, sun)
		is := fmt.Sprintf("%v days and more", float64(with.Window)/24)
		if !with.NeverEmpty() {
			is = spaced(say.Hours(with.CountOn))
		}
		add(tells("the time with the panels", is, []string{`With the panels, plan on ([\w ]+?)[.:]`}, []string{pageTonight, pageSun, "the words"}))
	} else if sun != nil {
		with := spaced(withPanels(w.app.withSun(nil)))
		if got := spaced(w.app.WithPanels()); got != with {
			t.Errorf("with the panels: %q and %q", got, with)
		}
	}

	// Will it hold? follows what goes on and off by itself, which the others take at
	// its average: a step less may come of that, never more. In frost nothing is
	// stored while it pauses: that is more than a step.
	if lasts := w.app.answer.run.CountOn; !o.UnderWay && len(o.Refills) == 0 && len(w.app.answer.unmet) == 0 && yield.Pack(p).MayCharge {
		if sun != nil {
			lasts = s.WithSun(p, sun).CountOn
		}
		if lasts < o.Hours {
			add(told{what: "how long everything has power", is: spaced(say.Hours(lasts)), or: spaced(say.Hours(lasts - say.Grain(lasts))),
				ways: []string{`everything has power for at least ([\w ]+?), until`}, on: []string{pageAhead}})
		}
	}

	// A full charge.
	full := outage.FullCharge(p)
	add(tells("what a full charge brings to the things", spaced(say.WattHours(float64(full.Balance.ToLoads))),
		[]string{`Reaches your things (\d[\d,.]* Wh)`, `Of a full charge, everything as the plan says, your things get (\d[\d,.]* Wh)`}, []string{pageTonight, pageOwn}))

	// The generator and its fuel.
	if gives := charge.Power(p.Supply.Inputs, charge.Generator); gives > 0 {
		is := spaced(say.Watts(float64(gives)))
		on := []string{pageAhead, pageOwn}
		if sun != nil {
			on = append(on, pageSun)
		}
		if gives < charge.Rated(p.Supply.Inputs, charge.Generator) {
			on = append(on, pageSupply, pageAids)
		}
		add(tells("the generator's power", is, []string{`Generator, (\d[\d,.]* W)`, `The generator brings (\d[\d,.]* W)`, `the battery gets (?:at most )?(\d[\d,.]* W)`, `Generator at (\d[\d,.]* W)`}, on))
		litres, toldIt := p.Outage.Refills[0].Fuel()
		fuel := spaced(say.Amount(litres, 1, "L"))
		ways, on := []string{`an hour: the (\d[\d,.]* L) at hand`}, []string{pageAhead, pageOwn}
		if !toldIt {
			ways, on = []string{`isn’t entered, so only (\d[\d,.]* L) is counted on`, `we count on (\d[\d,.]* L) and no more`}, []string{pageAhead, pageSupply, pageOwn}
		}
		add(tells("the fuel at hand", fuel, ways, on))
	}

	// The sun of the month that is counted.
	if sun != nil {
		_, m, _ := month.Date()
		day := sun.Month(int(m))
		add(tells("the month", m.String(), []string{`A usual day in (\w+) brings`, `usual day in (\w+) about`, `a usual day in (\w+) brings, the battery`, `A clear noon in (\w+) shows`}, []string{pageSun, pageCard}))
		add(tells("what a usual day brings", spaced(say.WattHours(float64(day.Usual))),
			[]string{`A usual day in \w+ brings (\d[\d,.]* Wh)`, `Of the (\d[\d,.]* Wh) that a usual day`, m.String() + ` \d[\d,.]* Wh (\d[\d,.]* Wh)`, `on a usual day in \w+ about (\d[\d,.]* Wh)`}, []string{pageSun}))
		add(tells("what a poor day brings", spaced(say.WattHours(float64(day.Poor))), []string{`Count on (\d[\d,.]* Wh) on a poor day`, m.String() + ` (\d[\d,.]* Wh) \d[\d,.]* Wh`, `on a poor day the panels bring about (\d[\d,.]* Wh)`}, []string{pageSun}))
		if yield.Pack(p).MayCharge {
			add(tells("what a usual day stores", spaced(say.WattHours(float64(day.Usual)*yield.Pack(p).Efficiency)), []string{`brings, the battery stores (\d[\d,.]* Wh)`}, nil))
		} else {
			add(tells("why nothing is stored", "-4 °C", []string{`The battery stands at (\S+ °C), and a lithium battery must not be charged`}, []string{pageTonight, pageSun}))
			add(tells("how many panels would do in frost", "", []string{`would take about ([\d,]+ W) of panels`, `days too, about ([\d,]+ W) of panels`, `the battery stores (0 Wh)`}, nil))
		}
	}
	// The date.
	if !o.UnderWay {
		add(tells("the day it begins", date2(from), []string{`The outage to prepare for: [\w ]+, from \S+ on (\d+ \w+ \d+)`, `Counted here is an outage that begins on (\d+ \w+ \d+)`}, []string{pageAhead}))
	}
	return out
}

func date2(m plan.Moment) string { return spaced(date(m)) }
