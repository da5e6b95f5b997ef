package ui

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestAddresses(t *testing.T) {
	nonsense := []string{"", "#", "=", "=1", "load", "load=", "load=-1", "load=999", "load=99999999999999999999", "load=1.5", "load=0x1", "load=abc",
		"load=1=2", "tonight=4", "LOADS", "nowhere", "../../x", "<script>", "\x00", strings.Repeat("a", 5000), "supply ", "loads=1", "start", "out"}
	for name, w := range map[string]*world{
		"first open": openPage(t, new(disk)),
		"planned":    planned(t, new(disk)),
	} {
		for _, address := range append(nonsense, allPages...) {
			w.visit(address)
			if titles[w.app.Page()] == "" {
				t.Errorf("%s, %q: page %q", name, address, w.app.Page())
			}
			if w.app.Page() == pageLoad && w.app.route.At >= len(w.app.book.Plan.Loads) {
				t.Errorf("%s, %q: load %d is in view", name, address, w.app.route.At)
			}
			if back := w.app.Back(); back != "" && (!strings.HasPrefix(back, "#") || titles[back[1:]] == "" || w.app.BackSays() == wBackTo) {
				t.Errorf("%s, %q: back leads to %q, %q", name, address, back, w.app.BackSays())
			}
			checkPage(t, w.html())
		}
	}
}

func TestRoutes(t *testing.T) {
	w := planned(t, new(disk))
	for _, c := range []struct{ address, page, back string }{
		{"tonight", pageTonight, ""},
		{"nowhere", pageTonight, ""},
		{"start", pageTonight, ""}, // there is a plan
		{"loads", pageLoads, ""},
		{"load=1", pageLoad, "#loads"},
		{"load=999", pageLoads, ""},
		{"load", pageLoads, ""},
		{"add", pageAdd, "#loads"},
		{"settings", pageSettings, "#more"},
		{"send", pageSend, "#more"},
		{"look", pageTonight, ""}, // nothing came
		{"safety", pageSafety, "#more"},
		{"out", pageOut, "#start"},
	} {
		w.visit(c.address)
		if w.app.Page() != c.page || w.app.Back() != c.back {
			t.Errorf("%q: page %q, back %q, want %q, %q", c.address, w.app.Page(), w.app.Back(), c.page, c.back)
		}
	}

	// The focus goes to the heading at each new page, and stays otherwise.
	w.visit("loads")
	n := len(w.focus)
	w.visit("supply")
	if len(w.focus) != n+1 || w.focus[n] != "title" {
		t.Errorf("a new page: focus %v", w.focus[n:])
	}
	w.visit("supply")
	w.act(w.onWake)
	w.typeIn("supply-capacity", "700")
	if len(w.focus) != n+1 {
		t.Errorf("the same page: focus %v", w.focus[n+1:])
	}

	// Back to a load that has been removed.
	w.visit("load=2")
	w.act(w.app.RemoveLoad)
	w.visit("load=2")
	if w.app.Page() != pageLoads {
		t.Errorf("back to a removed load: page %q", w.app.Page())
	}

	// Before there is a plan, what hangs on one leads to the first page.
	w = openPage(t, new(disk))
	if len(w.focus) != 0 {
		t.Errorf("opening moves the focus: %v", w.focus)
	}
	for _, address := range []string{"tonight", "loads", "load=0", "add", "supply", "prepare", "out"} {
		w.visit(address)
		if w.app.Page() != pageDoors {
			t.Errorf("%q without a plan: page %q", address, w.app.Page())
		}
	}
	for _, address := range []string{"safety", "sources", "settings", "more"} {
		w.visit(address)
		if w.app.Page() != address || w.app.Back() != "#start" {
			t.Errorf("%q without a plan: page %q, back %q", address, w.app.Page(), w.app.Back())
		}
	}
}

func TestSettings(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.act(w.app.PowerOut)
	w.visit("settings")
	w.pick("set-clock", "24")
	w.pick("set-heat", "f")
	w.pick("set-mains", "120")
	w.pick("set-look", "day")
	if w.look != "day" {
		t.Errorf("the look is %q", w.look)
	}
	w = openPage(t, d)
	p := w.app.prefs
	if !p.Hour24 || !p.Fahrenheit || p.Look != "day" || w.look != "day" || w.app.book.Plan.Mains != 120 {
		t.Errorf("opened again: %+v, %v V", p, w.app.book.Plan.Mains)
	}
	if !strings.Contains(w.app.Big(), ":") {
		t.Errorf("on a 24-hour clock: %q", w.app.Big())
	}
	w.visit("supply")
	if f := w.field("supply-room"); f.Raw != "68" || f.Unit != "°F" {
		t.Errorf("the room: %q %s", f.Raw, f.Unit)
	}
	rapid.Check(t, func(t *rapid.T) { // whatever was kept, it can be read
		readPrefs(rapid.SliceOf(rapid.Byte()).Draw(t, "kept"), Prefs{})
	})
}

func TestPrepare(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("prepare")
	w.typeIn("prepare-at", "6:30am")
	w.typeIn("prepare-hours", "2 days")
	w.typeIn("prepare-soc", "80")
	o := w.app.book.Plan.Outage
	if o.Starts.Minute() != 6*60+30 || o.Hours != 48 || o.SOC != 0.8 {
		t.Errorf("got %+v", o)
	}
	for _, bad := range []string{"25:00", "", "soon", "1e400"} {
		if f := w.typeIn("prepare-at", bad); f.Err == "" {
			t.Errorf("it begins at %q: no error", bad)
		}
	}
}
