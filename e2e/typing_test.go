package e2e

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"

	"candleclock/engine/plan"
)

// withPlan opens the site in a new profile with a plan of two loads and a
// battery, made by a file.
func withPlan(t testing.TB, h *host, p *profile) *tab {
	t.Helper()
	b := p.newTab()
	withPlanIn(b, h)
	return b
}

// withPlanIn is the same in a tab that is there.
func withPlanIn(b *tab, h *host) {
	b.t.Helper()
	b.open(h, "")
	b.choose("#door-file", "plan.json", []byte(smallPlan))
	b.on("tonight")
	b.answer()
	b.saved("the plan of the file", func(plan.Plan) bool { return true })
}

const smallPlan = `{
  "candleclock": 1,
  "name": "Home",
  "loads": [
    {"name": "Lamp", "rank": "useful", "outlet": "ac", "running_w": 40, "basis": "label"},
    {"name": "Radio", "rank": "useful", "outlet": "ac", "running_w": 10, "basis": "label"}
  ],
  "supply": {"battery": {"chemistry": "lfp", "capacity_wh": 900}},
  "outage": {"hours": 24, "starts": "2026-01-14T17:00", "soc": 1}
}`

// plans waits until n plans are kept and returns them.
func (b *tab) plans(n int) []plan.Plan {
	b.t.Helper()
	if n > 0 { // what was just done is stored in a moment
		eventually(b.t, fmt.Sprint(n, " plans"), func() bool { return len(b.kept().Plans) == n })
	}
	var all []plan.Plan
	for _, k := range b.kept().Plans {
		p, err := plan.Decode(k.Data)
		if err != nil {
			b.t.Fatal(err)
		}
		all = append(all, p)
	}
	if len(all) != n {
		b.t.Fatalf("%d plans are kept, want %d", len(all), n)
	}
	return all
}

// saved waits until the one plan that is kept is as told.
func (b *tab) saved(what string, is func(p plan.Plan) bool) {
	b.t.Helper()
	eventually(b.t, what, func() bool {
		k := b.kept().Plans
		if len(k) != 1 {
			return false
		}
		p, err := plan.Decode(k[0].Data)
		return err == nil && is(p)
	})
}

func TestWhatIsTypedStays(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.show("load=0")
	// A drawing that nobody typed for: the page wakes up.
	redraw := func() {
		eval[bool](b, `document.dispatchEvent(new Event("visibilitychange")), true`)
		b.settle()
	}
	for _, half := range []string{"12.", "", "-", "1,5", " 7 ", "0012"} {
		b.fill("load-watts", half)
		redraw()
		if got := b.value("load-watts"); got != half {
			t.Errorf("%q became %q", half, got)
		}
		b.focused("load-watts")
	}
	b.fill("load-name", "Lamp hall")
	const caret = `document.getElementById("load-name").selectionStart`
	eval[bool](b, `document.getElementById("load-name").setSelectionRange(5, 5), true`)
	b.key("X")
	b.settle()
	redraw()
	if got := b.value("load-name"); got != "Lamp Xhall" {
		t.Errorf("typing in the middle makes %q", got)
	}
	want(b, caret, 6)
	b.key("YZ" + kb.Backspace)
	b.settle()
	if got := b.value("load-name"); got != "Lamp XYhall" {
		t.Errorf("typing on makes %q", got)
	}
	want(b, caret, 7)
}

// complaint is the error beside the field with the id; "" when there is none.
// The field and its error must name one another.
func (b *tab) complaint(id string) string {
	b.t.Helper()
	text := b.text("#" + id + "-err")
	invalid := eval[string](b, fmt.Sprintf(`document.getElementById(%q).getAttribute("aria-invalid")`, id)) == "true"
	about := eval[string](b, fmt.Sprintf(`document.getElementById(%q).getAttribute("aria-describedby") ?? ""`, id))
	told := strings.Contains(" "+about+" ", " "+id+"-err ")
	if shown := text != ""; shown != invalid || shown != told {
		b.t.Errorf("%s: error %q, but aria-invalid is %v and aria-describedby is %q", id, text, invalid, about)
	}
	return text
}

func TestErrorsStandBesideTheField(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.show("load=0")
	b.fill("load-watts", "41")
	b.leave()
	strip := b.text(".strip")
	if strip == "" {
		t.Fatal("no answer stands above the form")
	}
	b.fill("load-watts", "many")
	if got := b.complaint("load-watts"); got != "" {
		t.Errorf("while it is typed: %q", got)
	}
	b.leave()
	if got := b.complaint("load-watts"); !strings.Contains(got, "many") {
		t.Errorf("left: %q, want what was typed in it", got)
	}
	if got := b.text(".strip"); got != strip {
		t.Errorf("the answer became %q, want %q", got, strip)
	}
	b.fill("load-watts", "42")
	if got := b.complaint("load-watts"); got != "" {
		t.Errorf("mended: %q", got)
	}
	b.leave()
	b.fill("load-watts", "-1")
	b.leave()
	b.show("loads")
	b.saved("42 W, the last that made sense", func(p plan.Plan) bool { return p.Loads[0].Running == 42 })
}

// Each of these is no answer; the plan keeps the one before.
func TestBadFields(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.show("load=0")
	b.tap("#load-use-hours")
	b.until(`document.getElementById("load-from")`)
	b.settle()
	kept := b.plans(1)[0]
	for _, c := range []struct{ id, typed, names string }{
		{"load-watts", "a few", "a few"},
		{"load-watts", "1e400", "1e400"},
		{"load-watts", "-5", "-5"},
		{"load-watts", "", ""},
		{"load-watts", "12 Wh", "12 Wh"},
		{"load-from", "25:99", "25:99"},
		{"load-name", "Radio", "Radio"}, // taken
		{"load-name", "", ""},
		{"load-count", "0", "0"},
		{"load-duty", "101", "101"},
	} {
		before := b.value(c.id)
		b.fill(c.id, c.typed)
		b.leave()
		label := eval[string](b, fmt.Sprintf(`document.querySelector('label[for=%q]').innerText`, c.id))
		label, _, _ = strings.Cut(label, ",")
		got := b.complaint(c.id)
		if !strings.HasPrefix(got, label) || !strings.Contains(got, c.names) {
			t.Errorf("%s, %q: the error is %q; it must name %q and what was typed", c.id, c.typed, got, label)
		}
		if got := b.value(c.id); got != c.typed {
			t.Errorf("%s: %q became %q", c.id, c.typed, got)
		}
		b.fill(c.id, before)
		if got := b.complaint(c.id); got != "" {
			t.Errorf("%s: mended: %q", c.id, got)
		}
	}
	b.show("loads")
	got := b.plans(1)[0]
	if a, b := got.Loads[0], kept.Loads[0]; a.Name != b.Name || a.Running != b.Running || a.Count != b.Count || a.Duty != b.Duty {
		t.Errorf("the load became %+v, want %+v", a, b)
	}
}

const loadsInView = `document.querySelectorAll(".rows a").length`

func TestRemoveWhatIsInView(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.show("load=1")
	b.tap("#load-name")
	b.focused("load-name")
	// The focus stays in the form that goes.
	eval[bool](b, `document.getElementById("load-remove").click(), true`)
	b.on("loads")
	want(b, loadsInView, 1)
	b.tap("#undo")
	want(b, loadsInView, 2)
	b.show("load=1")
	want(b, `document.getElementById("load-name").value`, "Radio")
}

// Impatience does no harm: the second tap of two finds nothing more to do, or
// nothing else than the first.
func TestTappedTwice(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	twice := func(id string) {
		t.Helper()
		// Both before the page can be drawn, as on a slow phone.
		eval[bool](b, fmt.Sprintf(`(e => { e.click(); e.click(); return true })(document.getElementById(%q))`, id))
		b.settle()
	}
	b.show("load=1")
	twice("load-up")
	b.on("load")
	want(b, `document.getElementById("load-name").value`, "Radio")
	twice("load-done")
	b.on("loads")
	want(b, loadsInView, 2)
	b.show("load=0")
	x, y := b.touchable("#load-remove")
	b.touch(x, y)
	b.touch(x, y)
	b.on("loads")
	want(b, loadsInView, 1)
	b.tap("#undo")
	want(b, loadsInView, 2)
	b.show("load=0")
	twice("load-remove")
	b.on("loads")
	want(b, loadsInView, 1)
	twice("undo")
	want(b, loadsInView, 2)
	b.show("add")
	b.tap("#add-own")
	b.on("load")
	b.show("more")
	twice("plan-remove")
	b.on("start")
	twice("undo")
	b.turn("loads")
	want(b, loadsInView, 3)
}

func TestBackAndForward(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.turn("loads")
	b.tap(`a[href="#load=1"]`)
	b.on("load")
	b.turn("supply")
	for _, step := range []struct {
		by   int
		page string
	}{{-1, "load"}, {-1, "loads"}, {-1, "tonight"}, {2, "load"}, {1, "supply"}} {
		eval[bool](b, `history.go(`+strconv.Itoa(step.by)+`), true`)
		b.on(step.page)
		b.focused("title")
	}
	// The address of a page that is not there leads to the nearest one.
	eval[bool](b, `location.hash = "load=77", true`)
	b.on("loads")
}
