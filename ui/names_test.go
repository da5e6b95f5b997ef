package ui

import (
	"regexp"
	"strings"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/plan"
)

func TestNamed(t *testing.T) {
	for _, c := range []struct{ name, want string }{
		{"", ""},
		{"Lamp, hall (12 V)", "Lamp, hall (12 V)"},
		{"Kühlschrank, 冷蔵庫, Холодильник 🧊", "Kühlschrank, 冷蔵庫, Холодильник 🧊"},
		{"מקרר 12", "\u2068מקרר 12\u2069"},
		{"TV ثلاجة", "\u2068TV ثلاجة\u2069"},
		{"ﺝ", "\u2068ﺝ\u2069"},
		{"𞤀", "\u2068𞤀\u2069"},
		{"Lamp\u200f", "\u2068Lamp\u200f\u2069"},
		{"Lamp\u202e 12 V", "\u2068Lamp 12 V\u2069"}, // would turn the rest of the line
		{"ל\u2069\u2068\u2066", "\u2068ל\u2069"},     // would end, or outlast, what holds it
	} {
		if got := named(c.name); got != c.want {
			t.Errorf("named(%+q) = %+q, want %+q", c.name, got, c.want)
		}
	}
	if got, want := quote("מקרר"), "“\u2068מקרר\u2069”"; got != want {
		t.Errorf("quoted: %+q, want %+q", got, want)
	}
	if got, want := lowerFirst("Fridge"), "fridge"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	p := plan.Plan{Loads: []load.Load{{Name: "Fridge"}, {Name: "מקרר"}, {Name: "TV"}}}
	if got, want := nameList(p, []int{0, 1, 2}), "fridge, \u2068מקרר\u2069 and TV"; got != want {
		t.Errorf("%+q, want %+q", got, want)
	}
}

var (
	betweenTags = regexp.MustCompile(`>([^<>]+)<`)
	attributes  = regexp.MustCompile(`(?:aria-label|title|alt)="([^"]*)"`)
)

// Wherever a name from right to left stands beside other words, on any page, it
// is isolated from them.
func TestNamesFromRightToLeft(t *testing.T) {
	const name = "מקרר"
	w := planned(t, new(disk))
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Name, p.Supply.Name, p.Place.Name = name, name, name
			p.Supply.Inverter.Continuous = 100
			for i := range p.Loads {
				p.Loads[i].Name = name + strings.Repeat("ה", i+1)
				p.Loads[i].Rank = []load.Rank{load.Vital, load.Useful, load.Comfort}[i]
			}
			heavy := p.Loads[1]
			heavy.Name, heavy.Running = name, 2000
			p.Loads = append(p.Loads, heavy)
			p.Candidates = []plan.Candidate{{Supply: p.Supply, Units: 2}}
		})
	})
	beside := 0
	check := func(where, s string) {
		t.Helper()
		for rest := s; ; {
			before, after, found := strings.Cut(rest, name)
			if !found {
				return
			}
			after = strings.TrimLeft(after, "ה")
			alone := strings.TrimSpace(before) == "" && strings.TrimSpace(after) == ""
			if !alone {
				beside++
				if !strings.HasSuffix(before, "\u2068") || !strings.HasPrefix(after, "\u2069") {
					t.Errorf("%s: %+q", where, s)
					return
				}
			}
			rest = after
		}
	}
	checkHTML := func(where string) {
		t.Helper()
		html := w.html()
		for _, parts := range append(betweenTags.FindAllStringSubmatch(html, -1), attributes.FindAllStringSubmatch(html, -1)...) {
			check(where, parts[1])
		}
		check(where+", title", w.title)
		check(where+", news", w.app.News())
	}
	for _, page := range []string{pageTonight, pageLoads, pageLoad + "=0", pageSupply, pageSun, pageCard, pageAhead, pageOwn, pageChoose + "=0", pageMore, pageSend, pagePlug, pageAdd} {
		w.visit(page)
		checkHTML(page)
	}
	for line := range strings.Lines(w.app.answer.Full()) {
		check("the plan in words", line)
	}
	check("the message", w.app.answer.Short())
	for _, s := range w.app.answer.Advice() {
		check("a warning", s)
	}
	code := w.sent()
	w.visit(pageLoad + "=0")
	w.act(w.app.RemoveLoad)
	checkHTML("removed")
	w = openPage(t, w.disk, func(o *world) { o.route = code })
	checkHTML("what differs")
	w = openPage(t, new(disk), func(o *world) { o.route = code })
	checkHTML("what came")
	if beside < 30 {
		t.Errorf("only %d names stand beside words", beside)
	}
}
