package ui

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/vugu/html"
)

// slips are what no screen may show: a figure that is none, a fault of a format.
var slips = regexp.MustCompile(`%!|\bNaN\b|[+-]?\bInf\b|<nil>|&lt;nil&gt;`)

// element is one element of a page, with the elements it stands in.
type element struct {
	*html.Node
	in []*html.Node
}

func (e element) attr(key string) string {
	for _, a := range e.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

func (e element) has(key string) bool {
	return slices.ContainsFunc(e.Attr, func(a html.Attribute) bool { return a.Key == key })
}

// hidden reports whether it or what it stands in is not shown.
func (e element) hidden() bool {
	for _, n := range append(e.in, e.Node) {
		if (element{Node: n}).has("hidden") {
			return true
		}
	}
	return false
}

func textOf(n *html.Node) string {
	if n.Type == html.TextNode {
		return n.Data
	}
	var b strings.Builder
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		b.WriteString(textOf(c))
	}
	return b.String()
}

// tester is what testing.T and rapid.T share.
type tester interface {
	Helper()
	Error(args ...any)
	Errorf(format string, args ...any)
	Fatal(args ...any)
}

func elements(t tester, page string) []element {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	var out []element
	var walk func(n *html.Node, in []*html.Node)
	walk = func(n *html.Node, in []*html.Node) {
		if n.Type == html.ElementNode {
			out = append(out, element{n, slices.Clone(in)})
			in = append(in, n)
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c, in)
		}
	}
	walk(root, nil)
	return out
}

// checkPage holds a drawn page against what every page owes its reader.
func checkPage(t tester, page string) {
	t.Helper()
	if s := slips.FindString(page); s != "" {
		at := strings.Index(page, s)
		t.Errorf("the page shows %q: …%s…", s, page[max(0, at-80):min(len(page), at+80)])
	}
	checkParts(t, page)
}

// checkParts is checkPage for a page on which names may hold anything.
func checkParts(t tester, page string) {
	t.Helper()
	all := elements(t, page)
	ids, labels, headings := map[string]bool{}, map[string]string{}, 0
	for _, e := range all {
		if id := e.attr("id"); id != "" {
			if ids[id] {
				t.Errorf("two elements have the id %s", id)
			}
			ids[id] = true
		}
		if e.Data == "label" && e.attr("for") != "" {
			labels[e.attr("for")] = strings.TrimSpace(textOf(e.Node))
		}
		if e.Data == "h1" {
			headings++
			if strings.TrimSpace(textOf(e.Node)) == "" {
				t.Error("the heading is empty")
			}
		}
		if e.has("style") {
			t.Errorf("<%s> has an inline style", e.Data)
		}
		for _, a := range e.Attr {
			if strings.HasPrefix(a.Key, "on") {
				t.Errorf("<%s> has %s=", e.Data, a.Key)
			}
		}
		switch e.Data {
		case "script", "img", "iframe", "object", "style":
			t.Errorf("there is a <%s>", e.Data)
		}
	}
	if headings != 1 {
		t.Errorf("%d headings of the first rank", headings)
	}
	for _, e := range all {
		if e.hidden() {
			continue
		}
		said := strings.TrimSpace(textOf(e.Node))
		switch e.Data {
		case "input", "select", "textarea":
			name := labels[e.attr("id")] + e.attr("aria-label")
			for _, n := range e.in {
				if n.Data == "label" {
					name += strings.TrimSpace(textOf(n))
				}
			}
			if name == "" {
				t.Errorf("the box %s has no label", e.attr("id"))
			}
		case "button":
			if said == "" && e.attr("aria-label") == "" {
				t.Errorf("the button %s has no text", e.attr("id"))
			}
			if e.attr("type") != "button" {
				t.Errorf("the button %q has type %q", said, e.attr("type"))
			}
			if l := e.attr("aria-label"); l != "" && !strings.HasPrefix(l, said) {
				t.Errorf("the button %q is called %q", said, l)
			}
		case "a":
			if said == "" {
				t.Errorf("the link to %s has no text", e.attr("href"))
			}
			if h, ok := strings.CutPrefix(e.attr("href"), "#"); !ok || titles[parseRoute(h).Page] == "" || !strings.HasPrefix(h, parseRoute(h).Page) {
				t.Errorf("the link %q leads to %q", said, e.attr("href"))
			}
		case "legend", "h2", "th", "caption":
			if said == "" {
				t.Errorf("there is an empty <%s>", e.Data)
			}
		}
		for _, id := range strings.Fields(e.attr("aria-describedby")) {
			if !ids[id] {
				t.Errorf("%s is described by %s, which is not there", e.attr("id"), id)
			}
		}
	}
}

var allPages = []string{pageDoors, pageOut, pageTonight, pageLoads, pageLoad + "=0", pageLoad + "=1", pageAdd, pageSupply, pageSun, pageAhead, pagePanels, pagePlace, pageCard,
	pageMore, pageSend, pageSettings, pagePrepare, pageSafety, pageSources, pageOwn, pageChoose + "=0", pageDrill}

// Every page can be drawn in every state the app gets into.
func TestEveryPage(t *testing.T) {
	states := map[string]func() *world{
		"first open": func() *world { return openPage(t, new(disk)) },
		"bare": func() *world {
			w := openPage(t, new(disk))
			w.act(w.app.PlanAhead)
			return w
		},
		"loads only": func() *world {
			w := openPage(t, new(disk))
			w.act(w.app.PlanAhead)
			w.act(func() { w.app.AddFound("fridge") })
			return w
		},
		"supply only": func() *world {
			w := openPage(t, new(disk))
			w.act(w.app.PlanAhead)
			w.visit("supply")
			w.typeIn("supply-capacity", "500")
			return w
		},
		"planned": func() *world { return planned(t, new(disk)) },
		"under way": func() *world {
			w := planned(t, new(disk))
			w.act(w.app.PowerOut)
			return w
		},
		"passed": func() *world {
			w := planned(t, new(disk))
			w.act(w.app.PowerOut)
			w.pass(20 * time.Hour)
			w.act(w.onWake)
			return w
		},
		"flat": func() *world {
			w := planned(t, new(disk))
			w.act(w.app.PowerOut)
			w.act(w.app.OpenReading)
			w.typeIn("read-percent", "0")
			w.act(w.app.SaveReading)
			return w
		},
		"bars, question open": func() *world {
			w := planned(t, new(disk))
			w.visit("supply")
			w.pick("supply-gauge", "bars")
			w.visit("tonight")
			w.act(w.app.OpenReading)
			return w
		},
		"all off": func() *world {
			w := planned(t, new(disk))
			for i := range 3 {
				w.act(func() { w.app.Toggle(i) })
			}
			return w
		},
		"beyond the horizon": func() *world {
			w := planned(t, new(disk))
			w.visit("supply")
			w.typeIn("supply-capacity", "1000000")
			return w
		},
		"too small a supply": func() *world {
			w := planned(t, new(disk))
			w.visit("supply")
			w.typeIn("supply-continuous", "20")
			return w
		},
		"24 hours, Fahrenheit": func() *world {
			return planned(t, new(disk), func(w *world) { w.hour24, w.lang = true, "en-US" })
		},
		"an update, trouble and errors": func() *world {
			d := new(disk)
			w := planned(t, d)
			d.fail = ErrStoreFull
			w.act(func() { w.onState(SiteOutdated) })
			w.visit("supply")
			for _, it := range w.app.Form().Shown() {
				if it.Field != nil {
					w.typeIn(it.Field.ID, "1e400")
					checkPage(t, w.html())
				}
			}
			return w
		},
	}
	for name, state := range states {
		t.Run(name, func(t *testing.T) {
			w := state()
			checkPage(t, w.html())
			for _, p := range allPages {
				w.visit(p)
				checkPage(t, w.html())
				if w.title == "" || !strings.Contains(w.title, wTitle) {
					t.Errorf("%s: the document's title is %q", p, w.title)
				}
			}
			w.visit("add")
			if w.app.Page() == pageAdd {
				for _, q := range []string{"a", "kettle", "zzzz", strings.Repeat("x", 500), "<b>"} {
					w.act(func() { w.app.Search(q) })
					checkPage(t, w.html())
				}
				w.act(func() { w.app.Search("") })
				for _, g := range w.app.Groups() {
					w.act(func() { w.app.PickGroup(g) })
					if len(w.app.FoundNow()) == 0 {
						t.Errorf("the group %s is empty", g)
					}
					checkPage(t, w.html())
				}
			}
		})
	}
	t.Run("before anything is read", func(t *testing.T) {
		w := &world{t: t, disk: new(disk)}
		w.app = New(Ports{Clock: w, Store: held{w}, Spare: holding{w, &w.disk.spare}, Last: holding{w, &w.disk.last}, Marks: markings{w.disk}, Device: w, Tabs: w, Site: w, Spawn: func(func()) {}, Do: w.do})
		checkPage(t, w.html())
	})
}

// Names are shown as the text they are, and those that could mislead are
// refused.
func TestHostileNames(t *testing.T) {
	w := planned(t, new(disk))
	hostile := []string{`<img src=x onerror=alert(1)>`, `"><script>alert(1)</script>`, `' onclick='x`, `{{.App}}`, `%s%d%!`, `&lt;b&gt;`, strings.Repeat("W", 60)}
	for _, name := range hostile {
		w.visit("load=0")
		w.typeIn("load-name", name)
		if got := w.app.book.Plan.Loads[0].Name; got != name {
			t.Errorf("%q became %q", name, got)
		}
		w.visit("more")
		w.typeIn("plan-name", name)
		for _, p := range []string{"tonight", "loads", "load=0", "card", "more", "sources"} {
			w.visit(p)
			checkParts(t, w.html())
			shown := false
			for _, e := range elements(t, w.html()) {
				shown = shown || strings.Contains(textOf(e.Node), name)
			}
			if !shown && p != "sources" {
				t.Errorf("%s: %q is not shown as it is", p, name)
			}
		}
	}
	w.visit("load=0")
	before := w.app.book.Plan.Loads[0].Name
	for _, name := range []string{"Fan \u202egnihtemos", "a\u2066b", "a\u200fb", "line\nbreak", "nul\x00", strings.Repeat("W", 61), "", "   ", w.app.book.Plan.Loads[1].Name} {
		f := w.field("load-name")
		w.act(func() { w.app.TypeText(f, name) })
		w.act(func() { w.onLeave("load-name") })
		if got := w.app.book.Plan.Loads[0].Name; got != before || f.Err == "" {
			t.Errorf("%q: the name is %q, the error %q", name, got, f.Err)
		}
		checkPage(t, w.html())
	}
}

// An open page that nobody touches is drawn again only where something on it
// has changed: the world's wake holds each drawing that is left out against the
// page as it would be.
func TestUntouchedPageIsDrawnWhereItChanges(t *testing.T) {
	for _, page := range []string{pageTonight, pageLoads, pageSupply} {
		w := planned(t, new(disk))
		w.visit(page)
		const hours = 24 * 8 // the start comes nearer, passes and falls behind
		for range hours {
			w.pass(time.Hour)
			w.act(w.onWake)
		}
		if w.leftOut < hours*9/10 || w.leftOut == hours {
			t.Errorf("%s: %d of %d drawings left out", page, w.leftOut, hours)
		}
	}
}
