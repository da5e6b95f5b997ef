package e2e

import (
	"fmt"
	"testing"

	"candleclock/engine/link"
	"candleclock/engine/load"
	"candleclock/engine/plan"
)

// state is something the page can show.
type state struct {
	name  string
	reach func(b *tab)
}

// page is the state of just showing a page.
func showing(address string) state { return state{address, func(b *tab) { b.show(address) }} }

// firstStates are those without a plan.
var firstStates = []state{
	showing("start"),
	{"safety-first", func(b *tab) { b.show("safety") }},
	{"sources-first", func(b *tab) { b.show("sources") }},
	{"settings-first", func(b *tab) { b.show("settings") }},
	{"more-first", func(b *tab) { b.show("more") }},
	{"look-first", func(b *tab) { b.follow("p=" + link.Text(household())) }},
	{"look-broken", func(b *tab) { b.follow("p=cAAAA") }},
	{"out", func(b *tab) { b.show("start"); b.tap("#door-now"); b.on("out") }},
	{"out-answered", func(b *tab) {
		b.tap("#out-cpap")
		b.tap("#out-size-lfp-500")
		b.tap("#out-gauge-bars")
		b.until(`document.querySelector("main .answer").checkVisibility()`)
		b.until(`document.getElementById("out-lit")`)
	}},
}

// planStates are those with the plan of household, in this order.
var planStates = []state{
	showing("tonight"),
	{"ahead", func(b *tab) {
		b.show("ahead")
		b.finely()
	}},
	showing("loads"),
	showing("load=1"),
	{"load-error", func(b *tab) {
		b.show("load=0")
		b.fill("load-watts", "a few")
		b.leave()
		b.until(`document.getElementById("load-watts-err").checkVisibility()`)
	}},
	showing("add"),
	{"add-group", func(b *tab) {
		b.show("add")
		b.tap(".groups button:nth-of-type(2)")
		b.until(`document.querySelector(".found li")`)
	}},
	{"add-found", func(b *tab) {
		b.show("loads")
		b.show("add")
		b.fill("search", "lamp")
		b.tap(".found button")
		b.news("")
	}},
	{"add-none", func(b *tab) {
		b.fill("search", "xyzzy")
		b.until(`document.getElementById("found-note").innerText`)
	}},
	showing("supply"),
	{"supply-sizes", func(b *tab) {
		b.tap("#presets")
		b.until(`document.getElementById("preset-lfp-300").checkVisibility()`)
	}},
	showing("card"),
	{"card-text", func(b *tab) {
		b.tap("#face-text")
		b.until(`document.getElementById("card-text")`)
	}},
	showing("more"),
	showing("send"),
	{"send-copied", func(b *tab) {
		b.tap("#copy-short")
		b.news("")
	}},
	{"look-equal", func(b *tab) { b.follow(b.link()) }},
	{"look-differs", func(b *tab) {
		p := household()
		p.Name, p.Loads, p.Supply.Battery.AgeYears, p.Outage.Hours = "The house by the river", p.Loads[1:], 5, 48
		p.Loads[0].Running, p.Loads[1].Rank = 250, load.Vital
		p.Loads[2], p.Loads[3] = p.Loads[3], p.Loads[2]
		b.follow("p=" + link.Text(p))
		b.tap("#take-1")
		b.until(`document.getElementById("take-1").checked`)
	}},
	{"look-left", func(b *tab) { b.tap("#look-drop"); b.on("tonight") }},
	showing("prepare"),
	showing("settings"),
	showing("safety"),
	showing("sources"),
	showing("aids"),
	showing("plug"),
	{"tonight-hold", func(b *tab) {
		b.show("tonight")
		b.tap("#hold")
		b.focused("hold-until")
		b.fill("hold-until", "3 days")
		b.tap("#hold-save")
		b.until(`document.getElementById("hold-says").innerText`)
	}},
	{"tonight-read", func(b *tab) {
		b.show("tonight")
		b.tap("#read")
		b.focused("read-bars")
	}},
	{"tonight-on", func(b *tab) {
		b.tap(".bar-reading:nth-of-type(2)")
		b.news("")
		b.until(`!document.getElementById("read-bars").checkVisibility()`)
	}},
	{"tonight-off", func(b *tab) {
		b.tap("#sw-1")
		b.until(`document.getElementById("sw-1").classList.contains("off")`)
	}},
	{"bare", func(b *tab) {
		b.show("more")
		b.tap("#plan-new")
		b.on("loads")
		b.show("tonight")
		b.until(`document.getElementById("missing").checkVisibility()`)
	}},
}

// household is a plan with something of everything.
func household() plan.Plan {
	p, err := plan.Decode([]byte(`{
  "candleclock": 1,
  "id": "00c0ffee00c0ffee",
  "name": "The house at the end of the long road by the river",
  "supply": {"battery": {"chemistry": "lfp", "capacity_wh": 900, "age_years": 2},
    "inverter": {"continuous_w": 600, "surge_w": 900}, "gauge": {"kind": "bars", "bars": 5}},
  "outage": {"hours": 24, "starts": "2026-01-14T17:00", "soc": 1}
}`))
	if err != nil {
		panic(err)
	}
	p.Loads = append(catalogued("cpap", "oxygen-5l", "fridge", "freezer-chest", "router", "phone", "lamp-led", "kettle"), load.Load{
		Name: "Anemometer and weather-station-transmitter", Rank: load.Comfort, Outlet: load.USB, Count: 2,
		Running: 1.5, Duty: 1, PowerFactor: 1, Basis: load.Measured, Use: []load.Window{{From: 18 * 60, To: 23 * 60}}})
	return p
}

// catalogued makes loads of entries of the catalogue.
func catalogued(keys ...string) []load.Load {
	var all []load.Load
	for _, key := range keys {
		e, ok := load.Find(key)
		if !ok {
			panic("no entry " + key)
		}
		l := load.Load{Name: e.Name, Rank: e.Rank, Outlet: e.Outlet, Count: 1, Running: e.Typical, Starting: e.Starting,
			Duty: e.Duty, PowerFactor: e.PowerFactor, CyclesItself: e.CyclesItself, Basis: load.Typical}
		if e.DailyWh > 0 {
			l.Daily, l.Running, l.Starting, l.Duty, l.CyclesItself = e.DailyWh, 0, 0, 1, false
		}
		all = append(all, l)
	}
	return all
}

// eachState shows every state, one after the other, in tabs of the given size.
func eachState(t *testing.T, h *host, visit func(b *tab, name string)) {
	t.Helper()
	first := newProfile(t).newTab()
	first.open(h, "")
	for _, s := range firstStates {
		s.reach(first)
		first.settle()
		visit(first, s.name)
	}
	b := newProfile(t).newTab()
	b.open(h, "")
	p := household()
	b.choose("#door-file", "plan.json", p.Encode())
	b.on("tonight")
	b.answer()
	for _, s := range planStates {
		s.reach(b)
		b.settle()
		visit(b, s.name)
	}
	o := newProfile(t).newTab()
	o.opened(h, choosing())
	for _, s := range ownStates {
		s.reach(o)
		o.settle()
		visit(o, s.name)
	}
	// What the page says of itself, above the rest.
	c := newProfile(t).newTab()
	c.before(`Object.defineProperty(window, "indexedDB", {value: undefined})`)
	c.open(h, "")
	c.until(`document.getElementById("trouble").checkVisibility()`)
	visit(c, "trouble")
	d := newProfile(t).newTab()
	d.before(`delete window.WebAssembly`)
	d.load(h, "")
	d.until(`document.getElementById("notice").checkVisibility()`)
	visit(d, "paper")
}

// looks are the manners of the page.
var looks = []string{"night", "day", "dark-room"}

func (b *tab) look(name string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`document.documentElement.dataset.look = %q, true`, name))
}
