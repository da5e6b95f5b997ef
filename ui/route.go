package ui

import (
	"strconv"
	"strings"

	"candleclock/engine/plan"
)

// Route is what is in view: a page and, for some, which thing on it.
type Route struct {
	Page string
	At   int    // index of a load; -1 when the page needs none
	Link string // the whole of it, where it is a plan; "" where it is none
}

// The pages, as they stand in the address behind "#".
const (
	pageDoors    = "start"
	pageOut      = "out"
	pageTonight  = "tonight"
	pageLoads    = "loads"
	pageLoad     = "load"
	pageAdd      = "add"
	pageSupply   = "supply"
	pageAhead    = "ahead"
	pageSun      = "sun"
	pagePanels   = "panels"
	pagePlace    = "place"
	pageCard     = "card"
	pageMore     = "more"
	pageSettings = "settings"
	pagePrepare  = "prepare"
	pageSafety   = "safety"
	pageSources  = "sources"
	pageSend     = "send"
	pagePlug     = "plug"
	pageAids     = "aids"
	pageOwn      = "own"
	pageChoose   = "candidate"
	pageDrill    = "drill"
	pageLook     = "look" // also behind linkKey
)

var titles = map[string]string{
	pageDoors:    wDoors,
	pageOut:      wOut,
	pageTonight:  wTonight,
	pageLoads:    wLoads,
	pageLoad:     "Change a load",
	pageAdd:      "Add to the list",
	pageSupply:   wSupply,
	pageAhead:    wAhead,
	pageSun:      wSun,
	pagePanels:   wSunPanels,
	pagePlace:    wSunPlaceChange,
	pageCard:     wCard,
	pageMore:     wMore,
	pageSettings: "Clock, units and look",
	pagePrepare:  "The outage to prepare for",
	pageSafety:   "Safety",
	pageSources:  "Where the figures come from",
	pageSend:     wSend,
	pagePlug:     wPlug,
	pageAids:     wAids,
	pageOwn:      wOwn,
	pageChoose:   wCandidate,
	pageDrill:    wDrill,
	pageLook:     wLookNew,
}

// parseRoute reads the part of the address behind "#". What it does not know
// is the front page.
func parseRoute(s string) Route {
	page, arg, has := strings.Cut(s, "=")
	r := Route{Page: page, At: -1}
	switch {
	case page == insideKey, page == linkKey && has,
		strings.HasPrefix(s, "C"): // of a QR code, which has no sign for "="
		return Route{Page: pageLook, At: -1, Link: s}
	case has:
		if n, err := strconv.ParseUint(arg, 10, 16); err == nil {
			r.At = int(n)
		}
	}
	if _, known := titles[page]; !known {
		r.Page = pageTonight
	}
	return r
}

// follow shows what the address names, or the nearest thing that there is.
func (a *App) follow(address string) {
	if !a.ready {
		return
	}
	r := parseRoute(address)
	a.lookAt(r)
	switch {
	case r.Page == pageLook && a.look != nil:
	case r.Page == pageLook && a.book != nil:
		r = Route{Page: pageTonight, At: -1}
	case a.book == nil && r.Page != pageSafety && r.Page != pageSources && r.Page != pageSettings && r.Page != pageMore && r.Page != pageAids:
		r = Route{Page: pageDoors, At: -1}
	case r.Page == pageLoad && (r.At < 0 || r.At >= len(a.book.Plan.Loads)):
		r = Route{Page: pageLoads, At: -1}
	case r.Page == pageChoose && (r.At < 0 || r.At >= len(a.book.Plan.Candidates)):
		r = Route{Page: pageOwn, At: -1}
	case r.Page == pageDoors && a.book != nil && !a.bare():
		r = Route{Page: pageTonight, At: -1}
	}
	first := a.route.Page == ""
	changed := r != a.route
	a.route = r
	a.query, a.picking = "", ""
	if changed && !first { // at first it tells what was found damaged
		a.news, a.undo = "", nil
	}
	a.think()
	a.build()
	a.ports.Device.Dress(a.Title(), a.prefs.Look)
	if changed && !first {
		a.ports.Device.Focus("title")
	}
}

// bare reports whether the plan in view has nothing in it yet.
func (a *App) bare() bool { return len(a.book.Plan.Loads) == 0 && !a.book.Plan.HasSupply() }

// Go shows another page, as a tap on a link would.
func (a *App) Go(address string) {
	a.ports.Device.SetRoute(address)
	a.follow(address)
}

// build makes the form of the page in view.
func (a *App) build() {
	a.form, a.folds["read"] = nil, false // the open question's box goes with its form
	a.closeHold()
	switch a.route.Page {
	case pageLoad:
		at := a.route.At
		a.form = loadForm(a.book.Plan, at, a.prefs.clock(), a.loadEditor(at))
	case pageSupply:
		a.form = supplyForm(func() plan.Supply { return a.book.Plan.Supply }, a.prefs.Fahrenheit, a.editSupply)
		a.form.items = append(a.form.items, a.ruleItems()...)
	case pageChoose:
		a.form = a.candidateForm(a.route.At)
	case pageOwn:
		a.form = a.ownForm()
	case pageDrill:
		a.form = a.drillForm()
	case pageOut:
		a.form = a.outForm()
	case pageSettings:
		a.form = a.settingsForm()
	case pagePrepare:
		a.form = a.prepareForm()
	case pageSun:
		a.lookUp()
		a.form = a.checkForm()
	case pagePanels:
		a.form = a.panelsForm()
	case pagePlace:
		a.form = a.placeForm()
	case pageCard:
		a.makeCard()
	case pageSend:
		a.pack()
	case pagePlug:
		a.form = a.plugForm()
	case pageAids:
		a.form = a.aidsForm()
	case pageMore:
		if a.book != nil {
			a.form = a.nameForm()
		}
	}
	a.reckon()
}

// Page is the name of the page in view; "" before the device has been read.
func (a *App) Page() string { return a.route.Page }

// Heading is the h1 of the page in view.
func (a *App) Heading() string {
	switch {
	case !a.ready:
		return wTitle
	case a.route.Page == pageTonight && a.Answered():
		return a.answer.Lead()
	case a.route.Page == pageLoad && a.route.At < len(a.book.Plan.Loads):
		return a.book.Plan.Loads[a.route.At].Name
	case a.route.Page == pageChoose && a.route.At < len(a.book.Plan.Candidates):
		return a.book.Plan.Candidates[a.route.At].Supply.Name
	case a.route.Page == pageLook:
		return a.Looking().Heading()
	}
	return titles[a.route.Page]
}

// HeadingRest ends the heading for those who hear it: on Tonight the figure that
// stands below it, so that the heading is not half a sentence.
func (a *App) HeadingRest() string {
	if a.route.Page == pageTonight {
		return a.Big()
	}
	return ""
}

// Title is the title of the document.
func (a *App) Title() string {
	t := a.Heading()
	if a.book != nil && a.route.Page == pageTonight {
		t = a.book.Plan.Name
	}
	return named(t) + " – " + wTitle
}

// Nav is one of the main pages, at the foot of the screen.
type Nav struct{ Page, Label, Class, Current string }

// Navs lists them; none before there is a plan.
func (a *App) Navs() []Nav {
	if !a.ready || a.book == nil || a.route.Page == pageDoors || a.route.Page == pageOut || a.route.Page == pageLook {
		return nil
	}
	var out []Nav
	for _, page := range []string{pageTonight, pageLoads, pageSupply, pageSun, pageCard} {
		n := Nav{Page: "#" + page, Label: titles[page]}
		if page == a.root() {
			n.Class, n.Current = "here", "page"
		}
		out = append(out, n)
	}
	return out
}

// InMore is the value of aria-current of the link to More, at the head of the
// screen.
func (a *App) InMore() string {
	if a.root() == pageMore {
		return "page"
	}
	return "false"
}

// root is the page of the navigation under which the page in view stands.
func (a *App) root() string {
	switch a.route.Page {
	case pageLoad, pageAdd:
		return pageLoads
	case pagePanels, pagePlace:
		return pageSun
	case pagePlug, pageAhead:
		return pageTonight
	case pageOwn, pageChoose, pageDrill:
		return pageSupply
	case pageSettings, pageSafety, pageSources, pagePrepare, pageSend, pageAids:
		return pageMore
	}
	return a.route.Page
}

// Back is where the link above the heading leads; "" when there is none.
func (a *App) Back() string {
	if a.route.Page == pageLook {
		return "" // the buttons lead on
	}
	if a.route.Page == pageOut || a.book == nil && a.route.Page != pageDoors {
		return "#" + pageDoors
	}
	if r := a.above(); r != a.route.Page {
		return "#" + r
	}
	return ""
}

// BackSays is its text.
func (a *App) BackSays() string {
	if a.Back() == "#"+pageDoors {
		return wBackTo + "the start"
	}
	return wBackTo + titles[a.above()]
}

// above is the page from which the one in view is reached.
func (a *App) above() string {
	if a.route.Page == pageChoose {
		return pageOwn
	}
	return a.root()
}
