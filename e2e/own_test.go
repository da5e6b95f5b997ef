package e2e

import (
	"slices"
	"strings"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
)

// choosing is the household with a place, panels and two supplies to choose
// from.
func choosing() plan.Plan {
	p := household()
	p.Place.Name, p.Place.Lat, p.Place.Lon = "Harbour", new(44.65), new(-63.57)
	p.Outage.Hours = 48
	p.Loads = slices.DeleteFunc(p.Loads, func(l load.Load) bool { return l.Running > 1000 }) // a kettle is not on for days
	p.Panels.PanelSet = plan.PanelSet{Count: 2, Label: panel.Label{Pmax: 100, Vmp: 18.2, Imp: 5.5, Voc: 21.8, Isc: 5.9}}
	in := charge.Input{Kind: charge.Panel, MinV: 14, MaxV: 58, MaxA: 12, MaxW: 300}
	p.Supply.Inputs = []charge.Input{in}
	large, small := plan.NewCandidate("Large one"), plan.NewCandidate("Small ones")
	large.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 12000, Room: 20}
	large.Supply.Inverter = inverter.Inverter{Continuous: 3000, IdleW: new(15.0)}
	large.Supply.Inputs, large.Supply.Price, large.Supply.Weight, large.Life = []charge.Input{in}, new(5000.0), new(90.0), new(4000.0)
	small.Supply.Battery = battery.Battery{Chemistry: battery.NMC, Capacity: 500, Room: 20}
	small.Supply.Inverter = inverter.Inverter{Continuous: 1000}
	small.Units = 2
	p.Candidates = []plan.Candidate{large, small}
	return p
}

// opened is a tab with that plan in it.
func (b *tab) opened(h *host, p plan.Plan) {
	b.t.Helper()
	b.open(h, "")
	b.choose("#door-file", "plan.json", p.Encode())
	b.on("tonight")
	b.answer()
}

// ownStates are those of what to own and the drill, with the plan of choosing.
var ownStates = []state{
	{"own", func(b *tab) { b.show("own"); b.until(`document.querySelectorAll("#front tbody tr").length > 3`) }},
	showing("candidate=0"),
	showing("candidate=1"),
	showing("drill"),
	{"drill-told", func(b *tab) {
		b.fill("drill-watts", "100")
		b.fill("drill-hours", "4")
		b.tap("#drill-to-off")
		b.until(`document.getElementById("drill-says").innerText`)
	}},
}

// refined waits until the worker has answered.
func (b *tab) refined() {
	b.t.Helper()
	b.until(`document.querySelector(".busy") && !document.querySelector(".busy").checkVisibility()`)
}

// From the supply to what to own: the sizes, a supply added by its label,
// compared, made the plan's own, and that taken back.
func TestWhatToOwn(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.opened(h, choosing())
	b.turn("supply")
	b.tap("#to-own")
	b.on("own")
	if wish := b.text("#wish"); wish != "All that is switched on, through 2\u00a0days, and sure of it 9 times in 10." {
		t.Errorf("the wish: %q", wish)
	}
	b.refined()
	all := b.text("#own-says")
	if !strings.HasPrefix(all, "For 2\u00a0days, 9 times in 10: ") || !strings.Contains(all, " without panels, or ") || strings.Contains(all, "rough") {
		t.Errorf("it says %q", all)
	}
	if rows := eval[int](b, `document.querySelectorAll("#front tbody tr").length`); rows < 5 {
		t.Errorf("%d rows in the table", rows)
	}
	if first := b.text("#judged li h3"); first != "Large one" {
		t.Errorf("first comes %q", first)
	}
	b.tap("#own-carries-vital")
	b.refined()
	if vital := b.text("#own-says"); vital == all || !strings.HasPrefix(vital, "For 2\u00a0days") {
		t.Errorf("for what is vital %q", vital)
	}

	b.tap("#candidate-add")
	b.on("candidate")
	b.fill("candidate-name", "Cellar bank")
	b.fill("candidate-price", "900")
	b.fill("supply-capacity", "2000")
	b.fill("supply-continuous", "1000")
	b.until(`document.querySelectorAll("#use-changes li").length > 1`)
	b.saved("the new one", func(p plan.Plan) bool {
		return len(p.Candidates) == 3 && p.Candidates[2].Supply.Name == "Cellar bank" && p.Candidates[2].Supply.Battery.Capacity == 2000
	})
	b.tap("#use")
	b.on("supply")
	if n := b.news(""); !strings.Contains(n, "Cellar bank") {
		t.Errorf("told %q", n)
	}
	b.saved("it in use, and the one before among the others", func(p plan.Plan) bool {
		return p.Supply.Name == "Cellar bank" && len(p.Candidates) == 4 && p.Candidates[3].Supply.Battery.Capacity == 900
	})
	b.tap("#undo")
	b.saved("the old one back", func(p plan.Plan) bool { return p.Supply.Battery.Capacity == 900 && len(p.Candidates) == 3 })

	b.show("candidate=2")
	b.tap("#candidate-remove")
	b.on("own")
	b.saved("it gone", func(p plan.Plan) bool { return len(p.Candidates) == 2 })
	b.tap("#undo")
	b.saved("it back", func(p plan.Plan) bool { return len(p.Candidates) == 3 })
}

// A long one can be stopped; the rough figure stays.
func TestStopSizing(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	p := choosing()
	p.Outage.Hours = 1500
	b.opened(h, p)
	b.show("own")
	b.tap(`.busy button[id^="stop"]`)
	b.until(`document.querySelector('.busy button[id^="again"]').checkVisibility()`)
	if s := b.text("#own-says"); !strings.HasPrefix(s, "A first, rough figure.") {
		t.Errorf("it says %q", s)
	}
}

// A drill is typed in, told, and corrects the plan.
func TestDrill(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.opened(h, choosing())
	b.turn("supply")
	b.tap("#to-drill")
	b.on("drill")
	b.fill("drill-watts", "100")
	b.fill("drill-hours", "1")
	b.fill("drill-to-gauge", "5")
	b.until(`document.getElementById("drill-says").innerText.includes("too short")`)
	b.fill("drill-hours", "4")
	b.tap("#drill-to-off")
	b.until(`document.getElementById("drill-says").innerText.includes("it holds less")`)
	if eval[int](b, `document.querySelectorAll("#drill-changes li").length`) != 1 {
		t.Errorf("would change %q", b.text("#drill-changes"))
	}
	b.tap("#drill-correct")
	b.news("")
	b.saved("the health", func(p plan.Plan) bool {
		h := p.Supply.Battery.Health
		return h != nil && *h > 0.3 && *h < 0.6
	})
	b.tap("#undo")
	b.saved("the old one", func(p plan.Plan) bool { return p.Supply.Battery.Health == nil })
}
