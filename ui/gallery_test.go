package ui

import (
	"bytes"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/vugu/vugu"

	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/link"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
	"candleclock/ui/errand"
	"candleclock/ui/say"
	"candleclock/ui/shelf"
	"candleclock/ui/still"
)

// gallery is every component in every state, each by itself, drawn without a
// program.
type gallery struct {
	t     testing.TB
	wings []*wing
	shown int
}

// wing is the states of one component.
type wing struct {
	of       string // its type
	exhibits []exhibit
}

type exhibit struct{ state, html string }

// show draws a component in the state it has now.
func (g *gallery) show(state string, c vugu.Builder) {
	g.t.Helper()
	of := reflect.TypeOf(c).Elem().Name()
	html, err := still.HTML(c)
	if err != nil {
		g.t.Fatalf("%s, %s: %v", of, state, err)
	}
	if s := slips.FindString(html); s != "" {
		g.t.Errorf("%s, %s shows %q", of, state, s)
	}
	if of == "Leaf" { // its lengths hang on the desk's
		html = `<div class="desk">` + html + `</div>`
	}
	i := slices.IndexFunc(g.wings, func(w *wing) bool { return w.of == of })
	if i < 0 {
		i = len(g.wings)
		g.wings = append(g.wings, &wing{of: of})
	}
	r := g.wings[i]
	if slices.ContainsFunc(r.exhibits, func(e exhibit) bool { return e.state == state }) {
		g.t.Errorf("%s is shown twice as %q", of, state)
	}
	g.shown++
	r.exhibits = append(r.exhibits, exhibit{state, aside(html, g.shown)})
}

var (
	ids  = regexp.MustCompile(` (id|for|name|aria-describedby)="([^"]+)"`)
	urls = regexp.MustCompile(`url\(#`)
)

// aside gives the ids of a piece of HTML a mark, so that it can stand beside
// others that have the same.
func aside(html string, n int) string {
	mark := "x" + strconv.Itoa(n) + "-"
	html = ids.ReplaceAllStringFunc(html, func(s string) string {
		m := ids.FindStringSubmatch(s)
		return " " + m[1] + `="` + mark + strings.Join(strings.Fields(m[2]), " "+mark) + `"`
	})
	return urls.ReplaceAllLiteralString(html, "url(#"+mark)
}

// ofPages are the components that are a whole page each, in the template of what
// frames them.
var ofPages = regexp.MustCompile(`<ui:(\w+) vg-if='c\.App\.Page\(\)`)

// TestGallery draws the gallery, and sees that no component is missing. With
// CANDLECLOCK_GALLERY it writes it to that file, as a page dressed by the site
// beside the file's folder.
func TestGallery(t *testing.T) {
	g := &gallery{t: t}
	g.forms()
	g.tasks()
	g.candles()
	g.courses()
	g.cards()
	g.frames()
	g.entry()
	g.tonight()
	g.lists()
	g.sunny()
	g.owning()
	g.plans()
	g.words()

	templates, err := filepath.Glob("*.vugu")
	if err != nil || len(templates) == 0 {
		t.Fatalf("templates: %v, %v", templates, err)
	}
	for _, file := range templates {
		of := ""
		for word := range strings.SplitSeq(strings.TrimSuffix(file, ".vugu"), "-") {
			of += firstUpper(word)
		}
		if !slices.ContainsFunc(g.wings, func(w *wing) bool { return w.of == of }) {
			t.Errorf("%s is not in the gallery", of)
		}
	}
	root, err := os.ReadFile("root.vugu")
	if err != nil {
		t.Fatal(err)
	}
	isPage := map[string]bool{}
	for _, m := range ofPages.FindAllSubmatch(root, -1) {
		isPage[string(m[1])] = true
	}
	if len(isPage) == 0 {
		t.Error("root.vugu shows no pages")
	}
	page := g.page(isPage)
	if file := os.Getenv("CANDLECLOCK_GALLERY"); file != "" {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, dressed(t, page, filepath.Join(filepath.Dir(file), "..", "site", "index.html")), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d components in %d states", len(g.wings), g.shown)
}

const styleMark = "<!--styles-->"

// page is the gallery as HTML: the pieces, then the whole pages. What keeps to
// the edges of the screen on a page of its own stays in its place here.
func (g *gallery) page(isPage map[string]bool) []byte {
	b := []byte(`<!doctype html>
<html lang="en" data-look="night">
<head>
<meta charset="utf-8">
<title>Every component in every state</title>
<meta name="viewport" content="width=device-width, initial-scale=1">
<link rel="icon" href="data:,">
` + styleMark + `
<style>
.hall { max-width: 44rem; margin: 0 auto; padding: var(--gap); }
.hall > h2, .exhibit > h2 { font-family: monospace; }
.exhibit > h2 { margin: 2.5rem 0 1rem; padding-top: .25rem; border-top: 1px dashed; font-weight: 400; font-size: var(--small); }
.exhibit > .app { min-height: 0; width: auto; margin: 0 calc(-1 * var(--gap)); }
.exhibit :is(.foot, .strip, .sticky-answer) { position: static; }
</style>
</head>
<body>
<header class="hall"><h1>Every component in every state</h1></header>
`)
	wings := slices.Clone(g.wings)
	slices.SortStableFunc(wings, func(v, w *wing) int { return cmp.Compare(kinds[isPage[v.of]], kinds[isPage[w.of]]) })
	for _, r := range wings {
		b = fmt.Appendf(b, "<section class=\"hall %s\" id=%q aria-label=%[2]q>\n<h2>%[2]s</h2>\n", kinds[isPage[r.of]], r.of)
		for _, e := range r.exhibits {
			b = fmt.Appendf(b, "<section class=\"exhibit\" aria-label=\"%s: %s\"><h2>%[1]s: %s</h2>\n%s\n</section>\n", r.of, e.state, e.html)
		}
		b = append(b, "</section>\n"...)
	}
	return append(b, "</body>\n</html>\n"...)
}

// kinds are the classes of pieces and of whole pages, in this order.
var kinds = map[bool]string{false: "a-piece", true: "whole-page"}

var sheetLinks = regexp.MustCompile(`<link rel="stylesheet" href="([^"]*)"`)

// dressed links a page to the styles of a site's page.
func dressed(t testing.TB, page []byte, index string) []byte {
	site, err := os.ReadFile(index)
	if err != nil {
		t.Fatalf("the site: %v (./build.sh builds it)", err)
	}
	var links []byte
	for _, m := range sheetLinks.FindAllSubmatch(site, -1) {
		links = fmt.Appendf(links, "<link rel=\"stylesheet\" href=\"../site/%s\">\n", m[1])
	}
	if links == nil {
		t.Fatalf("%s has no styles", index)
	}
	return bytes.Replace(page, []byte(styleMark+"\n"), links, 1)
}

// What people type that is hard to show.
var (
	unbroken  = strings.Repeat("Notstromverteiler", 4)[:load.NameMost]
	wordy     = "The old freezer in the cellar, behind the shelf with the jam"
	leftward  = "מקרר גדול 12"
	longWords = strings.Repeat("what it takes, and why, in a good many words; ", 5)
)

// weak is a supply that carries only so many watts.
func weak(carries units.Watts) func(p *plan.Plan) {
	return func(p *plan.Plan) {
		p.Supply.Inverter.Continuous, p.Supply.Inverter.SurgeW = carries, new(float64(carries))
	}
}

// evening is a page with the cottage's plan, changed.
func (g *gallery) evening(change ...func(p *plan.Plan)) *world {
	g.t.Helper()
	w := openPage(g.t, new(disk))
	w.act(w.app.PlanAhead)
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			id := p.ID
			*p = plantest.Cottage(g.t)
			p.ID = id
			for _, c := range change {
				c(p)
			}
		})
	})
	if _, err := plan.Decode(w.app.book.Plan.Encode()); err != nil {
		g.t.Fatalf("no one can have this plan: %v", err)
	}
	w.visit(pageTonight)
	return w
}

// crowded makes a plan one of more than twenty things whose names are hard to
// show, and of the largest figures.
func crowded(p *plan.Plan) {
	p.Name, p.Place.Name, p.Supply.Name = unbroken, leftward, unbroken
	p.Loads = nil
	for i, e := range load.Catalogue() {
		if i%7 == 0 && len(p.Loads) < 24 {
			p.Loads = append(p.Loads, e.Load())
		}
	}
	for i, name := range []string{unbroken, leftward, wordy} {
		p.Loads[i].Name = name
		p.Loads[i].Rank = load.Rank(load.Ranks[i])
		p.Loads[i].Use = []load.Window{{From: 6 * 60, To: 8*60 + 30}, {From: 17 * 60, To: 23 * 60}}
	}
	p.Loads[4] = load.Load{Name: unbroken[1:], Rank: load.Comfort, Outlet: load.AC, Count: 100, Basis: load.Label, Duty: 1, PowerFactor: 1,
		Running: units.Watts(load.RunningRange.High), Starting: units.Watts(load.StartingRange.High)}
	p.Loads[5].Off, p.Loads[7].Off = true, true
	p.Supply.Battery.Capacity, p.Supply.Inverter.Continuous, p.Supply.Inverter.SurgeW = 987654, 60000, nil
	p.Supply.Price = new(plan.PriceRange.High)
}

// few leaves a plan one thing.
func few(p *plan.Plan) { p.Loads = p.Loads[:1] }

func none(p *plan.Plan) { p.Loads = nil }

func unsupplied(p *plan.Plan) { p.Supply = plan.New("", p.Outage.Starts).Supply }

// lasting makes a plan's battery outlive all that is followed.
func lasting(p *plan.Plan) {
	p.Loads = []load.Load{{Name: "Clock", Rank: load.Vital, Outlet: load.USB, Count: 1, Running: 0.1, Duty: 1, PowerFactor: 1, Basis: load.Label}}
	p.Supply.Inverter.IdleW, p.Supply.Battery.Capacity = new(0.0), 900000
}

func gauged(gauge plan.Gauge) func(p *plan.Plan) {
	return func(p *plan.Plan) { p.Supply.Gauge = gauge }
}

func charged(soc float64) func(p *plan.Plan) { return func(p *plan.Plan) { p.Outage.SOC = soc } }

// forms shows the questions.
func (g *gallery) forms() {
	w := g.evening()
	form := func(state string, items ...Item) { g.show(state, &FormBox{App: w.app, F: &Form{items: items}}) }
	g.show("none open", &FormBox{App: w.app})
	power := func(raw string) *Field {
		return number("watts", "Running power", watts, load.RunningRange, 1, raw, func(float64) {})
	}
	typed := func(f *Field, raw string) *Field {
		f.Type(raw)
		f.Leave()
		return f
	}
	free := func() *Field {
		return power("").orEmpty(func() {}, func() string { return "Left empty: 45 W, typical of such things" })
	}
	form("number, empty", Item{Field: power("")})
	form("number, left empty", Item{Field: typed(power("30"), "")})
	form("number, empty, with what is counted on", Item{Field: free()})
	form("number, filled", Item{Field: power("30")})
	form("number, read with its unit", Item{Field: typed(power(""), "1,5 kW")})
	wrong := power("30")
	wrong.Type("3x")
	form("number, wrong, still being typed", Item{Field: wrong})
	form("number, of two meanings", Item{Field: typed(power("30"), "1.024")})
	form("number, wrong", Item{Field: typed(power("30"), "3x")})
	form("number, too large", Item{Field: typed(power("30"), "99999999999999999999")})
	form("number, a long text", Item{Field: typed(power("30"), unbroken)})
	form("number, right to left", Item{Field: typed(power("30"), leftward)})
	hinted := typed(free(), "1,5 kW")
	hinted.Hint = longWords
	form("number, with a long hint", Item{Field: hinted})
	hinted = typed(free(), "-1")
	hinted.Hint = longWords
	form("number, with a long hint, wrong", Item{Field: hinted})
	form("number, with a long unit", Item{Field: number("beta", "Voltage change with heat", perDegree, doc.Range{Low: -1, High: 0, Unit: perDegree.mark}, 1, "-0.29", func(float64) {})})

	name := func(raw string) *Field {
		return text("name", "Name", raw, load.NameMost, func(s string) string {
			if s == wordy {
				return quote(s) + " is the name of another load."
			}
			return ""
		}, func(string) {})
	}
	form("text, empty", Item{Field: name("")})
	form("text, left empty", Item{Field: typed(name("Lamp"), "")})
	form("text, filled", Item{Field: name("Lamp")})
	form("text, as long as it may be", Item{Field: name(unbroken)})
	form("text, right to left", Item{Field: name(leftward)})
	form("text, too long", Item{Field: typed(name("Lamp"), unbroken+unbroken)})
	form("text, taken", Item{Field: typed(name("Lamp"), wordy)})

	rank := []Option{{"a", "Vital", ""}, {"b", "Useful", ""}, {"c", "Comfort", ""}}
	long := []Option{{"a", longWords, ""}, {"b", unbroken, unbroken}, {"c", leftward, longWords}}
	form("choice, none chosen", Item{Choice: &Choice{ID: "rank", Legend: "How much is it needed?", Options: rank}})
	form("choice, one chosen", Item{Choice: &Choice{ID: "rank", Legend: "How much is it needed?", Hint: "The first to be turned off is comfort.", Options: rank, Value: "b"}})
	form("choice, long", Item{Choice: &Choice{ID: "rank", Legend: longWords, Hint: longWords, Options: long, Value: "c"}})
	form("tick, off", Item{Tick: &Tick{ID: "tick", Label: "It is measured"}})
	form("tick, on", Item{Tick: &Tick{ID: "tick", Label: "It is measured", On: true}})
	form("tick, with a hint", Item{Tick: &Tick{ID: "tick", Label: "It is measured", Hint: "By a meter between plug and socket."}})
	form("ticks, long", Item{Tick: &Tick{ID: "tick", Label: longWords, Hint: longWords, On: true}}, Item{Tick: &Tick{ID: "tick2", Label: unbroken, Hint: leftward}})
	said := "What stands here may change."
	form("heading, text and note", Item{Heading: "The inverter"}, Item{Text: "It makes mains of the battery’s current."}, Item{note: &said}, Item{Field: power("30")})
	saidLong := unbroken + " " + longWords
	form("heading, text and note, long", Item{Heading: unbroken + " " + wordy}, Item{Text: saidLong}, Item{note: &saidLong})
}

// tasks shows how a sum that takes long stands.
func (g *gallery) tasks() {
	w := g.evening()
	for _, c := range []struct {
		state string
		task  Task
	}{
		{"nothing asked, nothing to be seen", Task{}},
		{"asked", Task{state: taskWaits}},
		{"begun", Task{state: taskWaits, done: 1, all: 300}},
		{"nearly done", Task{state: taskWaits, done: 299, all: 300}},
		{"stopped", Task{state: taskStopped}},
		{"failed", Task{state: taskFailed}},
	} {
		*w.app.task(wholeErrand) = c.task
		g.show(c.state, &Busy{App: w.app, Kind: wholeErrand})
	}
}

// candles shows the picture of the answer.
func (g *gallery) candles() {
	candle := func(state string, w *world) {
		g.t.Helper()
		c := w.app.Candle()
		if (c.Wax == "") != strings.Contains(state, "nothing to be seen") {
			g.t.Errorf("%s: the wax is %q", state, c.Wax)
		}
		g.show(state, &CandleBox{C: c})
	}
	candle("full, percents", g.evening(gauged(plan.Gauge{Kind: plan.Percent})))
	w := g.evening()
	w.app.prefs.Hour24 = true
	w.act(w.app.think)
	candle("full, bars, a clock of 24 hours", w)
	candle("full, 20 bars", g.evening(gauged(plan.Gauge{Kind: plan.Bars, Bars: 20})))
	candle("full, no gauge", g.evening(gauged(plan.Gauge{Kind: plan.NoGauge})))
	candle("half", g.evening(charged(0.5)))
	candle("nearly empty", g.evening(charged(0.12)))
	candle("for days", g.evening(few, func(p *plan.Plan) { p.Supply.Battery.Capacity = 20000 }))
	candle("for minutes", g.evening(func(p *plan.Plan) { p.Loads[0].Running, p.Loads[0].Use = 1100, nil }))
	w = g.evening()
	w.act(w.app.PowerOut)
	w.pass(3 * time.Hour)
	w.act(w.onWake)
	candle("three hours into an outage", w)
	w.pass(7 * 24 * time.Hour)
	w.act(w.onWake)
	candle("time over, nothing to be seen", w)
	candle("beyond all that is followed, nothing to be seen", g.evening(lasting))
	candle("not known, nothing to be seen", g.evening(unsupplied))
}

// courses shows the course of an outage.
func (g *gallery) courses() {
	p := plantest.Cottage(g.t)
	show := func(state string, p plan.Plan, clock say.Clock, stretches []odds.Stretch) *CourseView {
		c := course{plan: p, clock: clock, hours: stretches[len(stretches)-1].To, stretches: stretches}
		v := c.view("A poor one", "Of 10 outages like this, 9 go better.")
		g.show(state, &CourseBox{C: v})
		return v
	}
	hourly := func(hours int, of func(h int, s *odds.Stretch)) []odds.Stretch {
		var out []odds.Stretch
		for h := range hours {
			s := odds.Stretch{From: units.Hours(h), To: units.Hours(h + 1), LeftFrom: 900 - 10*units.WattHours(h%72), LeftTo: 890 - 10*units.WattHours(h%72), Out: 50, On: []int{0, 1, 2, 3, 4}}
			of(h, &s)
			out = append(out, s)
		}
		return out
	}
	show("all stays on", p, say.Clock{}, hourly(24, func(int, *odds.Stretch) {}))
	show("an hour", p, say.Clock{}, hourly(1, func(int, *odds.Stretch) {}))
	show("some goes off, and all", p, say.Clock{}, flat())
	comes := func(h int, s *odds.Stretch) {
		if h%12 < 5 {
			s.On, s.Without = []int{0}, []int{1, 2, 3, 4}
		}
		s.Sun = units.Watts(90 * (h % 12))
	}
	if v := show("thirty days, on and off", p, say.Clock{}, hourly(720, comes)); len(v.Changes) <= mostChanges {
		g.t.Errorf("thirty days have %d changes", len(v.Changes))
	}
	hard := p
	hard.Loads = slices.Clone(p.Loads)
	for i, name := range []string{"Λάμπα", unbroken, leftward, wordy, "冷蔵庫"} {
		hard.Loads[i].Name = name
	}
	show("hard names, large figures", hard, say.Clock{}, hourly(72, func(h int, s *odds.Stretch) {
		comes(h, s)
		s.LeftFrom, s.LeftTo, s.Sun, s.Out = s.LeftFrom*1000, s.LeftTo*1000, s.Sun*100, 54321
	}))
	polar := p
	polar.Place.Lat, polar.Place.Offset = new(78.2), nil
	show("in the polar night, a clock of 24 hours", polar, say.Clock{Hour24: true}, flat())
}

// cards shows the card on paper and as text.
func (g *gallery) cards() {
	leaf := func(state string, w *world) {
		g.t.Helper()
		w.visit(pageCard)
		if w.app.Card() == nil {
			g.t.Fatalf("%s: there is no card: %s", state, w.app.CardMissing())
		}
		g.show(state, &Leaf{V: w.app.Card()})
	}
	paper := func(w *world, ids ...string) *world {
		w.visit(pageCard)
		for _, id := range ids {
			w.act(func() { w.app.PickCard(id) })
		}
		return w
	}
	leaf("A4, one thing, percents", g.evening(few, gauged(plan.Gauge{Kind: plan.Percent})))
	leaf("A4, five things, bars", g.evening())
	leaf("letter paper, 20 bars", paper(g.evening(gauged(plan.Gauge{Kind: plan.Bars, Bars: 20})), "paper-letter"))
	leaf("A5, no gauge", paper(g.evening(gauged(plan.Gauge{Kind: plan.NoGauge})), "paper-a5"))
	leaf("A4, large letters", paper(g.evening(few), "letters-large"))
	leaf("A4, things that never start", g.evening(func(p *plan.Plan) { p.Loads[1].Running, p.Loads[1].Starting = 1900, 6000 }))
	leaf("A4, more than twenty things, hard names", g.evening(crowded))
	leaf("A5, more than twenty things, hard names", paper(g.evening(crowded), "paper-a5"))
	w := openPage(g.t, new(disk), func(w *world) { w.homeless = true })
	w.act(w.app.PlanAhead)
	w.act(func() { w.app.edit(func(p *plan.Plan) { *p = plantest.Cottage(g.t) }) })
	leaf("A4, without a code", w)
	reading := func(state string, w *world) {
		w.visit(pageCard)
		g.show(state, &CardText{Parts: w.app.Reading()})
	}
	reading("one thing", g.evening(few))
	reading("more than twenty things, hard names", g.evening(crowded))
}

// frames shows what stands around every page: what the page says of itself.
func (g *gallery) frames() {
	g.show("before anything is read", &Root{App: New(openPage(g.t, new(disk)).app.ports)})
	g.show("first opened", &Root{App: openPage(g.t, new(disk)).app})
	root := func(state string, change func(a *App), plan ...func(p *plan.Plan)) {
		w := g.evening(plan...)
		w.visit(pagePrepare)
		w.act(func() { change(w.app) })
		g.show(state, &Root{App: w.app})
	}
	root("a plan, and its answer in a line", func(*App) {})
	root("what just happened", func(a *App) { a.tell(wUndone, nil) })
	root("what just happened, with a way back", func(a *App) { a.tell(wRemoved+"Chest freezer.", func() {}) })
	root("what just happened, long", func(a *App) { a.tell(wRemoved+unbroken+". "+longWords, func() {}) })
	root("not kept on this device", func(a *App) { a.trouble = wNotKept })
	root("a newer version waits", func(a *App) { a.site = SiteOutdated })
	root("being kept for offline", func(a *App) { a.site = SiteKeeping })
	root("works with the internet only", func(a *App) { a.site = SiteOnline })
	root("one file", func(a *App) { a.site = SiteSingle })
	root("a long name, all at once", func(a *App) {
		a.trouble, a.site = wNotKept, SiteOutdated
		a.tell(wRemoved+unbroken+".", func() {})
	}, crowded)
	root("a name from right to left", func(*App) {}, func(p *plan.Plan) { p.Name = leftward })
}

// entry shows the ways in.
func (g *gallery) entry() {
	g.show("the first page", &Doors{App: openPage(g.t, new(disk)).app})
	w := openPage(g.t, new(disk))
	w.act(w.app.OutNow)
	g.show("nothing answered", &OutNow{App: w.app})
	w.tick("out-cpap", true)
	g.show("one of three answered", &OutNow{App: w.app})
	w.pick("out-size", "lfp-500")
	w.pick("out-gauge", "bars")
	if !w.app.Answered() {
		g.t.Errorf("three questions: %q", w.app.Missing())
	}
	g.show("answered", &OutNow{App: w.app})
	g.show("for paper", &PaperSheet{})
}

// tonight shows the answer and what stands with it.
func (g *gallery) tonight() {
	show := func(state string, w *world) { g.t.Helper(); g.show(state, &Tonight{App: w.app}) }
	show("no loads", g.evening(none))
	show("no supply", g.evening(unsupplied))
	show("one thing, before an outage", g.evening(few))
	lame := g.evening(weak(20))
	if lame.app.Cannot() == "" {
		g.t.Error("all that is vital runs")
	}
	show("something vital that can't run", lame)
	dead := g.evening(weak(1), func(p *plan.Plan) {
		p.Loads = slices.DeleteFunc(p.Loads, func(l load.Load) bool { return l.Outlet != load.AC })
	})
	if dead.app.Answered() {
		g.t.Error("something runs")
	}
	show("nothing that can run", dead)
	w := g.evening()
	w.act(func() { w.app.Toggle(1) })
	w.act(func() { w.app.Started("Router") })
	show("before an outage, one thing off, one ticked", w)
	for i := range w.app.book.Plan.Loads {
		if i != 1 {
			w.act(func() { w.app.Toggle(i) })
		}
	}
	show("all off", w)
	w = g.evening(gauged(plan.Gauge{Kind: plan.Percent}))
	w.act(w.app.PowerOut)
	for _, percent := range []string{"90", "78", "60"} {
		w.pass(2 * time.Hour)
		w.act(w.onWake)
		w.read(percent)
	}
	w.act(w.app.OpenReading)
	w.typeIn("read-percent", "never")
	show("in an outage, with readings, the next one wrong", w)
	w = g.evening()
	w.act(w.app.PowerOut)
	w.act(w.app.OpenReading)
	show("in an outage, bars asked for", w)
	w = g.evening()
	w.act(w.app.OpenHold)
	w.typeIn("hold-until", "3 days")
	w.act(w.app.SaveHold)
	show("until when, answered", w)
	w = g.evening()
	w.act(w.app.PowerOut)
	w.pass(7 * 24 * time.Hour)
	w.act(w.onWake)
	show("time over", w)
	show("beyond all that is followed", g.evening(lasting))
	w = g.evening(crowded)
	w.act(w.app.PowerOut)
	show("more than twenty things, hard names, large figures", w)

	show2 := func(state string, w *world) { g.t.Helper(); w.visit(pageAhead); g.show(state, &AheadPage{App: w.app}) }
	show2("no supply", g.evening(unsupplied))
	w = g.evening()
	w.visit(pageAhead)
	w.worker.say(errand.Reply{Done: 1, All: 3}.Encode(), nil)
	g.show("five things, a third of the way", &AheadPage{App: w.app})
	show2("more than twenty things, hard names, large figures", g.evening(crowded))
}

// lists shows the loads and the supply.
func (g *gallery) lists() {
	w := g.evening(none)
	w.visit(pageLoads)
	g.show("empty", &Loads{App: w.app})
	w = g.evening(few)
	w.visit(pageLoads)
	g.show("one", &Loads{App: w.app})
	full := g.evening(crowded)
	full.visit(pageLoads)
	g.show("more than twenty, hard names", &Loads{App: full.app})
	w = g.evening()
	w.visit(pageLoad + "=1")
	g.show("a freezer", &OneLoad{App: w.app})
	full.visit(pageLoad + "=4")
	full.typeIn("load-watts", "a few")
	g.show("the largest figures, one wrong", &OneLoad{App: full.app})

	w.visit(pageAdd)
	g.show("groups", &AddLoad{App: w.app})
	w.act(func() { w.app.PickGroup(w.app.Groups()[0]) })
	g.show("a group open", &AddLoad{App: w.app})
	w.act(func() { w.app.Search("xyzzy") })
	g.show("nothing found", &AddLoad{App: w.app})
	w.act(func() { w.app.AddFound("fridge"); w.app.Search("fridge") })
	g.show("found, one of them added", &AddLoad{App: w.app})
	w.act(func() { w.app.Search("e") })
	g.show("more found than shown", &AddLoad{App: w.app})

	w.visit(pagePlug)
	g.show("nothing asked", &PlugPage{App: w.app})
	w.act(func() { w.app.Search("pump") })
	g.show("found", &PlugPage{App: w.app})
	w.act(func() { w.app.Plug("kettle") })
	g.show("a kettle", &PlugPage{App: w.app})
	w.visit(pagePlug)
	w.typeIn("plug-watts", "20")
	g.show("a lamp", &PlugPage{App: w.app})
	full.visit(pagePlug)
	full.typeIn("plug-watts", "20000")
	full.typeIn("plug-starting", "60000")
	g.show("beside hard names, the largest figures", &PlugPage{App: full.app})
	w = g.evening(unsupplied)
	w.visit(pagePlug)
	g.show("no supply", &PlugPage{App: w.app})

	w = g.evening(unsupplied)
	w.visit(pageSupply)
	g.show("empty", &Supply{App: w.app})
	w.act(func() { w.app.Fold("presets") })
	g.show("sizes to choose from", &Supply{App: w.app})
	w = g.evening(func(p *plan.Plan) { *p = fullPlan(g.t) })
	w.visit(pageSupply)
	w.typeIn("supply-capacity", "a lot")
	g.show("all that can be said, one wrong", &Supply{App: w.app})
	w.visit(pageChoose + "=0")
	g.show("one of two alike to choose", &Supply{App: w.app})
}

// sunny shows the panels: every verdict on their wiring.
func (g *gallery) sunny() {
	panels := func(count int, change func(in *charge.Input)) func(p *plan.Plan) {
		return func(p *plan.Plan) {
			p.Panels.Count = count
			p.Supply.Inputs = slices.Clone(p.Supply.Inputs)
			change(&p.Supply.Inputs[0])
		}
	}
	as := func(*charge.Input) {}
	// By the way of the form of the panels, where the day and the year are left
	// out: they are the same below each verdict.
	show := func(state, verdict string, change ...func(p *plan.Plan)) {
		g.t.Helper()
		w := g.evening(change...)
		w.visit(pagePanels)
		v := w.app.SunView()
		said := strings.Join(slices.Concat(v.Danger(), []string{v.Place(), v.Best(), v.Missing()}, v.Others()), " ")
		if !strings.Contains(said, verdict) {
			g.t.Errorf("the sun, %s: %q is not in %q", state, verdict, said)
		}
		g.show(state, &Sun{App: w.app})
	}
	show("no panels", wSunNoPanels, panels(0, as))
	show("no input for panels", wSunNoInput, func(p *plan.Plan) { p.Supply.Inputs = nil })
	show("two panels, all wirings fit", wSunFits, panels(2, as))
	show("four panels, some wirings do harm", wSunDamages, panels(4, as))
	show("no wiring is safe", wSunNoneSafe, panels(2, func(in *charge.Input) { in.MinV, in.MaxV = 8, 12 }))
	show("no wiring starts", wSunNoneStarts, panels(1, func(in *charge.Input) { in.MinV, in.MaxV = 40, 150 }))
	show("some wirings do not start", wSunWontStart, panels(2, func(in *charge.Input) { in.MinV, in.MaxV = 25, 150 }))
	show("the input takes less than the panels give", wSunClipped, panels(4, func(in *charge.Input) { in.MaxW = 150 }))
	show("twelve panels", "", panels(12, func(in *charge.Input) { in.MaxA, in.MaxW = 80, 2000 }))
	show("twenty panels", "", panels(20, func(in *charge.Input) { in.MaxV, in.MaxA, in.MaxW = 500, 80, 5000 }))
	show("no place", wSunGuessed, func(p *plan.Plan) { p.Place = plan.Place{} })
	w := g.evening(func(p *plan.Plan) { p.Place.Lat, p.Place.Name = new(78.2), leftward })
	w.visit(pageSun)
	g.show("a day and a year, in the polar night", &Sun{App: w.app})
	w = g.evening(panels(24, func(in *charge.Input) { in.MaxV, in.MaxA, in.MaxW = 500, 100, 12000 }), func(p *plan.Plan) {
		p.Panels.Label = panel.Label{Pmax: 500, Vmp: 40, Imp: 12.5, Voc: 48, Isc: 13}
	})
	w.visit(pageSun)
	g.show("a day and a year, large figures", &Sun{App: w.app})
	w = g.evening()
	w.visit(pageSun)
	w.typeIn("check-watts", "20")
	g.show("what the display shows is too little", &Sun{App: w.app})

	w = g.evening()
	w.visit(pagePanels)
	g.show("filled", &PanelsPage{App: w.app})
	w.typeIn("panel-voc", "a lot")
	w.typeIn("panel-watts", "")
	g.show("some wrong", &PanelsPage{App: w.app})
	w.visit(pagePlace)
	g.show("nothing searched", &Place{App: w.app})
	w.app.query = "san"
	g.show("towns found", &Place{App: w.app})
	w.app.query = unbroken
	g.show("no town found", &Place{App: w.app})
}

// owning shows what to own, and a drill.
func (g *gallery) owning() {
	show := func(state string, change ...func(p *plan.Plan)) {
		w := g.evening(change...)
		w.visit(pageOwn)
		g.show(state, &OwnPage{App: w.app})
	}
	show("no loads", none)
	show("sizes, and the own supply")
	show("supplies to choose from, hard names", crowded, func(p *plan.Plan) {
		p.Candidates = nil
		for i, name := range []string{unbroken, leftward, wordy, "Nothing is known of it"} {
			c := plan.NewCandidate(name)
			if c.Supply = p.Supply; i == 3 {
				c.Supply = plan.NewCandidate("").Supply
			}
			c.Supply.Name = name
			p.Candidates = append(p.Candidates, c)
		}
	})

	w := g.evening(gauged(plan.Gauge{Kind: plan.Percent}))
	w.visit(pageDrill)
	g.show("nothing typed", &DrillPage{App: w.app})
	w.typeIn("drill-watts", "100")
	w.typeIn("drill-hours", "4")
	w.pick("drill-to", "off")
	if len(w.app.DrillChanges()) == 0 {
		g.t.Error("the drill tells nothing new")
	}
	g.show("told", &DrillPage{App: w.app})
	w.pick("drill-to", "shown")
	w.typeIn("drill-to-gauge", "100")
	if len(w.app.DrillChanges()) > 0 || len(w.app.Drill().Says()) == 0 {
		g.t.Errorf("a drill without a fall says %q", w.app.Drill().Says())
	}
	g.show("what tells nothing", &DrillPage{App: w.app})
	w = g.evening(unsupplied)
	w.visit(pageDrill)
	g.show("no supply", &DrillPage{App: w.app})
}

// plans shows the pages of plans and their card.
func (g *gallery) plans() {
	w := g.evening(none)
	w.visit(pageCard)
	g.show("no loads", &CardPage{App: w.app})
	w = openPage(g.t, new(disk), func(w *world) { w.printless = true })
	w.act(w.app.PlanAhead)
	w.act(func() { w.app.edit(crowded) })
	w.visit(pageCard)
	w.act(w.app.PrintCard)
	w.act(func() { w.app.PickCard("letters-large"); w.app.PickCard("paper-a5") })
	g.show("does not print, too much for the sheet", &CardPage{App: w.app})

	w = g.evening(few)
	w.visit(pageSend)
	g.show("a small plan", &Send{App: w.app})
	w = g.evening(crowded)
	w.shares = true
	w.visit(pageSend)
	g.show("more than twenty things, a sheet to share by", &Send{App: w.app})

	w = openPage(g.t, new(disk))
	w.visit(pageMore)
	g.show("no plan", &More{App: w.app})
	w = g.evening(crowded, func(p *plan.Plan) {
		hours, pace := 21.0, 1.4
		for range 3 {
			p.History = append(p.History, plan.Past{Began: p.Outage.Starts.After(-100), Ended: p.Outage.Starts.After(-80), Planned: &hours, Pace: &pace})
		}
	})
	w.app.books = append(w.app.books, &Book{ID: "b", Plan: plan.New(leftward, w.app.now)}, &Book{ID: "c", Sealed: []byte("{}")})
	w.app.aside = []shelf.Aside{{Key: "a"}, {Key: "b"}}
	w.visit(pageMore)
	g.show("many plans, one of a newer version, damaged ones, outages", &More{App: w.app})

	look := func(state, route string, change ...func(p *plan.Plan)) *world {
		w := g.evening(change...)
		w.visit(route)
		g.show(state, &LookPage{App: w.app})
		return w
	}
	look("can't be read", "p=cAAAA")
	look("new here", "p="+link.Text(plantest.Cottage(g.t)))
	hard := plantest.Cottage(g.t)
	crowded(&hard)
	look("new here, more than twenty things, hard names", "p="+link.Text(hard))
	w = g.evening()
	w.visit("p=" + link.Text(w.app.book.Plan))
	g.show("the same", &LookPage{App: w.app})
	w = g.evening()
	hard.ID = w.app.book.Plan.ID
	w.visit("p=" + link.Text(hard))
	if l := w.app.Looking(); l == nil || !l.Differs() {
		g.t.Error("another plan of the same id does not differ")
	}
	w.act(func() { w.app.Choose(w.app.Looking().Changes()[0], true) })
	g.show("differs, one change ticked", &LookPage{App: w.app})
}

// words shows the pages that are a form or a text.
func (g *gallery) words() {
	w := g.evening()
	form := func(state, page string) {
		w.visit(page)
		g.show(state, &Plain{App: w.app})
	}
	form("how it reads", pageSettings)
	form("the outage", pagePrepare)
	form("small sums", pageAids)
	g.show("all", &Safety{App: w.app})
	g.show("without a plan", &Sources{App: openPage(g.t, new(disk)).app})
	g.show("with a plan", &Sources{App: g.evening(crowded).app})
}
