package ui

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"candleclock/engine/charge"
	"candleclock/engine/drill"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/sizing"
	"candleclock/ui/errand"
)

// owned is a planned household at a place, at the page of what to own.
func owned(t *testing.T) *world {
	t.Helper()
	w := planned(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Place.Lat, p.Place.Lon = new(44.65), new(-63.57)
			p.Outage.Hours = 30
		})
	})
	w.visit(pageOwn)
	return w
}

// The rough answer stands at once; the worker's takes its place, and is the
// engine's own.
func TestOwnIsRoughAndThenRight(t *testing.T) {
	w := owned(t)
	o := w.app.Own()
	if s := o.Says(); !strings.HasPrefix(s, wOwnRough+"For 30") {
		t.Errorf("at first %q", s)
	}
	if w.worker.errand == nil {
		t.Fatal("nothing was asked of the worker")
	}
	w.worker.work()
	s := o.Says()
	if strings.Contains(s, wOwnRough) || !strings.Contains(s, wOwnNo) {
		t.Errorf("then %q", s)
	}
	want, _ := errand.NewSizes(w.app.placed(), "comfort", odds.Draws, nil)
	if len(o.Table()) != len(want.Front.Points) || len(o.Judged()) != 1 || !strings.HasSuffix(o.Judged()[0].Name, wOwnMine) {
		t.Errorf("got %v and %+v, want %+v", o.Table(), o.Judged(), want)
	}
	for i, p := range want.Front.Points {
		if r := o.Table()[i]; !strings.Contains(r.Value, "Wh") || (p.Panels == 0) != (r.Label == wOwnNone) {
			t.Errorf("row %d is %+v", i, r)
		}
	}
	// Only what is vital: asked anew.
	w.pick("own-carries", "vital")
	if vital := o.Says(); !strings.HasPrefix(vital, wOwnRough) {
		t.Errorf("for what is vital %q", vital)
	}
	w.worker.work()
	w.pick("own-sure", "99")
	w.worker.work()
	if p := w.app.book.Plan.Outage.Confidence; p != 0.99 || !strings.Contains(o.Wish(), "99 times in 100") {
		t.Errorf("sure of it %v: %q", p, o.Wish())
	}
}

// A few draws that all hold are no "more than 99 times in 100".
func TestRoughClaimsNoMore(t *testing.T) {
	w := owned(t)
	w.act(func() { w.app.edit(func(p *plan.Plan) { p.Outage.Hours, p.Supply.Inverter.Continuous = 1, 3000 }) })
	says := func() string { return w.app.Own().Judged()[0].Says }
	if got := says(); got != wJudgeYes+"1\u00a0hour in 21 of the 21 outages tried so far." {
		t.Errorf("at first %q", got)
	}
	w.worker.work()
	if got := says(); got != wJudgeYes+"1\u00a0hour more than 99 times in 100." {
		t.Errorf("then %q", got)
	}
}

// What a supply says is never better than what it does: for what it can't carry
// there is no time to plan on, a start that trips it is no plain yes, and
// without panels nothing is the sun's.
func TestJudgedIsWary(t *testing.T) {
	o := &ownShow{plan: plantest.Cottage(t), sizes: &errand.Sizes{}}
	fed := &odds.WithSun{Window: 336, CountOn: 20, Likely: 30}
	good := sizing.Verdict{Candidate: sizing.Own, CountOn: 10, Likely: 12, Chance: 0.95, Meets: true, Starts: true, Restart: true}
	says := func(change func(v *sizing.Verdict)) (Judged, string) {
		v := good
		change(&v)
		j := o.judged(v)
		return j, strings.Join(j.Lines, "\n")
	}
	if j, _ := says(func(*sizing.Verdict) {}); j.Class == "" || !strings.HasPrefix(j.Says, wJudgeYes) {
		t.Errorf("a good one: %+v", j)
	}
	if j, lines := says(func(v *sizing.Verdict) { v.Restart = false }); j.Class != "" || !strings.HasPrefix(j.Says, wJudgeYesIf) || !strings.Contains(lines, wJudgeStarts) {
		t.Errorf("one that a start trips: %+v", j)
	}
	if j, lines := says(func(v *sizing.Verdict) { v.Beyond, v.Meets = []int{0}, false }); j.Class != "" || strings.Contains(lines, wJudgePlan) || !strings.Contains(lines, wJudgeRest) {
		t.Errorf("one that can't carry the first: %+v", j)
	}
	// A start that is told is not in the hours, one that is only guessed is.
	o.plan.Loads[0].Starting = 1e5
	if _, lines := says(func(v *sizing.Verdict) { v.Beyond, v.Meets = []int{0}, false }); !strings.Contains(lines, wJudgeRest) {
		t.Errorf("one that can't start the first: %q", lines)
	}
	o.plan.Loads[0].Starting, o.plan.Loads[0].Running, o.plan.Loads[0].CyclesItself = 0, 500, true
	if _, lines := says(func(v *sizing.Verdict) { v.Beyond, v.Meets = []int{0}, false }); strings.Contains(lines, wJudgeRest) || !strings.Contains(lines, wJudgeAsIf) {
		t.Errorf("one that may not start the first: %q", lines)
	}
	sunny := func(v *sizing.Verdict) { v.Sun = fed }
	if _, lines := says(sunny); !strings.Contains(lines, wJudgeSun+wJudgeFedOn) {
		t.Errorf("with the sun: %q", lines)
	}
	o.plan.Outage.Refills = []plan.Refill{{Kind: charge.Generator, Below: new(0.3), Litres: 5}}
	if _, lines := says(sunny); strings.Contains(lines, wJudgeSun) || !strings.Contains(lines, wJudgeFed+wJudgeFedOn) {
		t.Errorf("with a generator: %q", lines)
	}
}

// An answer of supplies that the plan does not have is not taken.
func TestOwnTakesNoStrangers(t *testing.T) {
	w := owned(t)
	s, _ := errand.NewSizes(w.app.Own().plan, "comfort", 21, nil)
	s.Verdicts[0].Candidate = 3
	w.do(func() { w.worker.heard(errand.Reply{Answer: s}.Encode(), nil) })
	if j := w.app.Own().Judged(); len(j) != 1 || !strings.HasSuffix(j[0].Name, wOwnMine) {
		t.Errorf("got %+v", j)
	}
}

// An answer that was asked before the plan changed is not taken.
func TestOwnTakesNoLateAnswer(t *testing.T) {
	w := owned(t)
	reply, heard := errand.Work(w.worker.errand, nil).Encode(), w.worker.heard
	w.act(func() { w.app.edit(func(p *plan.Plan) { p.Outage.Hours = 60 }) })
	w.do(func() { heard(reply, nil) })
	if s := w.app.Own().Wish(); !strings.Contains(s, "2\u00a0days 12\u00a0hours") && !strings.Contains(s, "60") {
		t.Errorf("the wish is %q", s)
	}
}

var pathOf = regexp.MustCompile(`^M[\d. ]+(H[\d.]+V[\d.]+)+H320$`)

// The chart falls from left to right within its frame.
func TestFrontChart(t *testing.T) {
	w := owned(t)
	w.worker.work()
	c := w.app.Own().Chart()
	if !pathOf.MatchString(c.Line) || c.Top == "" || c.Far == "" {
		t.Fatalf("got %+v", c)
	}
	for _, n := range regexp.MustCompile(`[\d.]+`).FindAllString(c.Line+c.Mark, -1) {
		if v, ok := parse(n); !ok || v < 0 || v > 328 {
			t.Errorf("%s lies outside", n)
		}
	}
}

func parse(s string) (float64, bool) {
	v, ok := 0.0, false
	if f := number("x", "x", plain, plan.PriceRange, 1, "", func(x float64) { v, ok = x, true }); true {
		f.Type(s)
	}
	return v, ok
}

// Whatever a front says is said in words, without a hole.
func TestEveryWhyIsSaid(t *testing.T) {
	for _, why := range sizing.Whys {
		if whyOwn[string(why)] == "" {
			t.Errorf("%s has no words", why)
		}
	}
	for _, r := range []drill.Refusal{drill.NoFall, drill.TooShort, drill.TooMuch, drill.TooAlike, drill.TooVague} {
		if drillRefusals[string(r)] == "" {
			t.Errorf("%s has no words", r)
		}
	}
}

// A supply is added by its label, compared, used, and all of it taken back.
func TestCandidate(t *testing.T) {
	w := owned(t)
	before := w.app.book.Plan.Supply
	w.act(w.app.AddCandidate)
	if w.app.Page() != pageChoose || w.app.Heading() != "Supply 1" || w.app.CanUse() || w.app.UseSays() != wOwnEmpty {
		t.Fatalf("on %s, %q, %q", w.app.Page(), w.app.Heading(), w.app.UseSays())
	}
	w.typeIn("candidate-name", "The big one")
	w.typeIn("candidate-price", "1,500")
	w.typeIn("candidate-weight", "44 lb")
	w.typeIn("supply-capacity", "12000")
	w.typeIn("supply-continuous", "2000")
	w.typeIn("input-watts", "400")
	if n := len(w.app.book.Plan.Candidates[0].Supply.Inputs); n != 0 || !strings.Contains(w.html(), wInputWants) {
		t.Errorf("an input without its highest voltage: %d inputs", n)
	}
	w.typeIn("input-max", "60")
	c := w.app.book.Plan.Candidates[0]
	if c.Supply.Name != "The big one" || *c.Supply.Price != 1500 || math.Abs(*c.Supply.Weight-19.96) > 0.01 || c.Supply.Battery.Capacity != 12000 ||
		len(c.Supply.Inputs) != 1 || c.Supply.Inputs[0].MaxW != 400 || c.Supply.Battery.Room != before.Battery.Room {
		t.Errorf("got %+v", c)
	}
	if w.app.book.Plan.Supply.Battery.Capacity != before.Battery.Capacity {
		t.Error("the plan's own supply changed")
	}
	w.visit(pageOwn)
	w.worker.work()
	j := w.app.Own().Judged()
	if len(j) != 2 || j[0].Name != "The big one" || !strings.HasPrefix(j[0].Says, wJudgeYes) || j[0].Link != "#candidate=0" {
		t.Errorf("compared: %+v", j)
	}
	joined := strings.Join(j[0].Lines, "\n")
	for _, want := range []string{wJudgePlan, wJudgeBrings, wJudgeKWh, wJudgeKg} {
		if !strings.Contains(joined, want) {
			t.Errorf("%q is not in %q", want, joined)
		}
	}
	w.visit(pageChoose + "=0")
	if !w.app.CanUse() || !strings.Contains(strings.Join(w.app.UseChanges(), "\n"), "12,000\u00a0Wh") {
		t.Errorf("would change %q", w.app.UseChanges())
	}
	w.typeIn("candidate-units", "2")
	if w.app.CanUse() || w.app.UseSays() != wCandTwo {
		t.Errorf("two: %q", w.app.UseSays())
	}
	w.typeIn("candidate-units", "1")
	w.act(w.app.Use)
	if w.app.Page() != pageSupply || w.app.book.Plan.Supply.Battery.Capacity != 12000 || w.app.UseChanges() != nil {
		t.Errorf("on %s with %v Wh", w.app.Page(), w.app.book.Plan.Supply.Battery.Capacity)
	}
	w.act(w.app.Use) // a second tap
	if all := w.app.book.Plan.Candidates; len(all) != 2 || all[1].Supply.Battery.Capacity != before.Battery.Capacity || all[1].Supply.Name == "" {
		t.Errorf("the supply before is not among those to choose from: %+v", all)
	}
	// To and fro keeps each once.
	w.visit(pageChoose + "=1")
	w.act(w.app.Use)
	if len(w.app.book.Plan.Candidates) != 2 || w.app.book.Plan.Supply.Battery.Capacity != before.Battery.Capacity {
		t.Errorf("back again: %+v", w.app.book.Plan.Candidates)
	}
	w.act(w.app.Undo)
	w.visit(pageChoose + "=0")
	w.act(func() { w.app.edit(func(p *plan.Plan) { p.Supply, p.Candidates = before, p.Candidates[:1] }) })
	w.act(w.app.Use)
	w.act(w.app.Undo)
	if len(w.app.book.Plan.Candidates) != 1 {
		t.Errorf("taken back: %d candidates", len(w.app.book.Plan.Candidates))
	}
	if w.app.book.Plan.Supply.Name != before.Name || w.app.book.Plan.Supply.Battery.Capacity != before.Battery.Capacity {
		t.Error("it was not taken back")
	}
	w.visit(pageChoose + "=0")
	w.act(w.app.RemoveCandidate)
	w.act(w.app.RemoveCandidate)
	if w.app.Page() != pageOwn || len(w.app.book.Plan.Candidates) != 0 {
		t.Errorf("on %s with %d", w.app.Page(), len(w.app.book.Plan.Candidates))
	}
	w.act(w.app.Undo)
	if len(w.app.book.Plan.Candidates) != 1 {
		t.Error("its removal was not taken back")
	}
	for range plan.MostCandidates + 2 {
		w.act(w.app.AddCandidate)
	}
	if n := len(w.app.book.Plan.Candidates); n != plan.MostCandidates || w.app.News() != wOwnFull {
		t.Errorf("%d candidates, told %q", n, w.app.News())
	}
	if _, err := plan.Decode(w.app.book.Plan.Encode()); err != nil {
		t.Error(err)
	}
}

// A size from the list is the candidate's, not the plan's.
func TestPresetOfCandidate(t *testing.T) {
	w := owned(t)
	own := w.app.book.Plan.Supply.Battery.Capacity
	w.act(w.app.AddCandidate)
	w.act(func() { w.app.TakePreset(presets[4]) })
	if p := w.app.book.Plan; p.Candidates[0].Supply.Battery.Capacity != presets[4].capacity || p.Supply.Battery.Capacity != own {
		t.Errorf("the candidate has %v Wh, the plan %v", p.Candidates[0].Supply.Battery.Capacity, p.Supply.Battery.Capacity)
	}
	w.act(w.app.Undo)
	if w.app.book.Plan.Candidates[0].Known() {
		t.Error("it was not taken back")
	}
}

func TestDrillPage(t *testing.T) {
	w := planned(t, new(disk))
	w.visit(pageDrill)
	d := w.app.Drill()
	if d.Says() != nil || w.app.DrillChanges() != nil {
		t.Errorf("before anything was typed: %q", d.Says())
	}
	w.typeIn("drill-watts", "60")
	w.typeIn("drill-hours", "30 min")
	w.typeIn("drill-to-gauge", "97")
	if got := d.Says(); len(got) != 1 || got[0] != drillRefusals["too_short"] {
		t.Errorf("a short one tells %q", got)
	}
	w.typeIn("drill-hours", "2")
	w.pick("drill-to", "off")
	says := strings.Join(d.Says(), " ")
	if !strings.Contains(says, wDrillHolds) || !strings.Contains(says, wDrillLess) || len(w.app.DrillChanges()) != 1 {
		t.Errorf("tells %q, would change %q", says, w.app.DrillChanges())
	}
	before := w.app.book.Plan.Supply.Battery.Health
	w.act(w.app.CorrectByDrill)
	h := w.app.book.Plan.Supply.Battery.Health
	if h == nil || *h >= 0.6 || w.app.DrillChanges() != nil {
		t.Errorf("corrected to %v, and would change %q", h, w.app.DrillChanges())
	}
	w.act(w.app.CorrectByDrill) // a second tap
	w.act(w.app.Undo)
	if w.app.book.Plan.Supply.Battery.Health != before {
		t.Error("it was not taken back")
	}
	// With the loads of the plan, and a second test.
	w.pick("drill-on", "plan")
	if d.Says() == nil {
		t.Error("the plan's loads tell nothing")
	}
	w.pick("drill-on", "meter")
	w.tick("drill-second", true)
	w.typeIn("drill2-hours", "1")
	w.typeIn("drill2-to-gauge", "99")
	if says := strings.Join(d.Says(), " "); !strings.Contains(says, drillRefusals["too_vague"]) {
		t.Errorf("a short second test tells %q", says)
	}
}

// A battery that holds next to nothing is told of: the plan can't count with less
// than a tenth.
func TestDrillOfADeadBattery(t *testing.T) {
	w := planned(t, new(disk))
	w.visit(pageDrill)
	w.typeIn("drill-watts", "60")
	w.typeIn("drill-hours", "15 min")
	w.pick("drill-to", "off")
	if says := strings.Join(w.app.Drill().Says(), " "); !strings.Contains(says, wDrillDead) {
		t.Errorf("a quarter of an hour of 60 W tells %q", says)
	}
	w.act(w.app.CorrectByDrill)
	if h := w.app.book.Plan.Supply.Battery.Health; h == nil || *h != 0.1 {
		t.Errorf("corrected to %v", h)
	}
}

func TestDrillByBars(t *testing.T) {
	w := planned(t, new(disk))
	w.visit(pageSupply)
	w.pick("supply-gauge", "bars")
	w.visit(pageDrill)
	w.typeIn("drill-watts", "60")
	w.typeIn("drill-hours", "4")
	w.typeIn("drill-to-gauge", "2")
	if says := strings.Join(w.app.Drill().Says(), " "); !strings.Contains(says, wDrillHolds) {
		t.Errorf("two of five bars tell %q", says)
	}
}
