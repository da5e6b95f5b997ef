package e2e

import (
	"encoding/json"
	"fmt"
	"slices"
	"testing"

	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
)

// everyPage are the addresses of all pages that a plan has.
var everyPage = []string{"tonight", "loads", "load=0", "add", "supply", "ahead", "sun", "panels", "place", "card", "more", "settings",
	"prepare", "safety", "sources", "send", "plug", "aids", "own", "candidate=0", "drill", "out"}

// The largest plan that a file may hold, in every kind of letters, is shown on
// every page: nothing stops, nothing is cut within a letter, nothing is scrolled
// sideways on a narrow screen.
func TestLargestPlan(t *testing.T) {
	t.Parallel()
	inEach(t, func(t *testing.T, e engine) {
		h := serve(t, built(t))
		b := e.fresh(t).newTab()
		b.open(h, "")
		b.size(320, 640)
		look := func(what string) {
			t.Helper()
			b.settle()
			want(b, `document.documentElement.dataset.run`, "running")
			if s := eval[string](b, overflow); s != "" {
				t.Errorf("%s, %d px wide: %s", what, eval[int](b, `innerWidth`), s)
			}
			if eval[bool](b, `document.body.textContent.includes("\ufffd")`) {
				t.Errorf("%s: a letter came in two halves", what)
			}
		}
		opened := func(p plan.Plan, page string) {
			t.Helper()
			// Firefox tells of one file chooser a document and element only.
			b.open(h, "#more")
			b.on("more")
			b.choose("#plan-open", "plan.json", p.Encode())
			b.on(page)
		}
		sent := func(p plan.Plan, script string) {
			t.Helper()
			b.show("send")
			look(script + ", send")
			var names []string
			for _, l := range p.Loads {
				names = append(names, l.Name)
			}
			list, err := json.Marshal(names)
			if err != nil {
				t.Fatal(err)
			}
			if lost := eval[[]string](b, fmt.Sprintf(`%s.filter(n => !document.getElementById("send-full").value.includes(n))`, list)); len(lost) != 0 {
				t.Errorf("%s: %d names are not in what is to be sent, %q the first", script, len(lost), lost[0])
			}
			if script != "marks" && eval[bool](b, `document.querySelector("#send-full + .printed").textContent !== document.getElementById("send-full").value`) {
				t.Errorf("%s: on paper it is another text", script)
			}
		}

		underWay := plantest.Largest(t, plantest.Scripts...)
		all := plantest.BeforeIt(underWay)
		all.ID = "fedcba9876543210"
		opened(all, "tonight")
		for _, page := range everyPage {
			b.show(page)
			look(page)
		}
		theirs := all
		theirs.Loads = slices.Clone(all.Loads)
		for i := range theirs.Loads {
			theirs.Loads[i].Running *= 2
		}
		opened(theirs, "look")
		look("look")
		for i, s := range plantest.Scripts {
			p := plantest.BeforeIt(plantest.Largest(t, s))
			p.ID = fmt.Sprintf("%016x", i+1)
			opened(p, "tonight")
			for _, page := range []string{"tonight", "loads", "card"} {
				b.show(page)
				look(s.Name + ", " + page)
			}
			sent(p, s.Name)
		}
		opened(underWay, "tonight")
		look("under way")
		b.show("send")
		look("under way, send")
	})
}
