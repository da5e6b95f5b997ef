package e2e

import (
	"fmt"
	"strings"
	"testing"

	"candleclock/engine/plan"
)

// follow opens a link in the page that is there, as a tap on it would.
func (b *tab) follow(code string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`location.hash = %q, true`, code))
	b.on("look")
	b.settle()
}

// link is what the page Send would send, behind "#".
func (b *tab) link() string {
	b.t.Helper()
	b.show("send")
	b.until(`document.getElementById("send-link").value`)
	address := b.value("send-link")
	_, code, ok := strings.Cut(address, "#")
	if !ok || !strings.HasPrefix(address, eval[string](b, `location.origin + location.pathname`)) {
		b.t.Fatalf("the link is %q", address)
	}
	return code
}

// A plan goes from one phone to another and comes back, without the internet;
// nothing is kept or changed unasked.
func TestLinkThereAndBack(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	ann := withPlan(t, h, newProfile(t))
	ann.offlineReady()
	elsewhere := newProfile(t)
	ben := elsewhere.newTab()
	ben.open(h, "")
	ben.offlineReady()
	h.stop()
	said := ann.answer()
	code := ann.link()

	ben.open(h, "#"+code)
	ben.on("look")
	if got := ben.text("#look-name"); got != "Home" {
		t.Errorf("it shows the plan %q", got)
	}
	if n := eval[int](ben, `document.querySelectorAll("#look-loads li").length`); n != 2 {
		t.Errorf("it shows %d loads, want 2", n)
	}
	ben.plans(0)
	ben.depart(`location.reload()`)
	ben.alive()
	ben.on("look")
	ben.plans(0)
	ben.open(h, "")
	ben.on("start")
	ben.plans(0)

	ben.open(h, "#"+code)
	ben.tap("#look-keep")
	ben.on("tonight")
	if got := ben.answer(); got != said {
		t.Errorf("kept: got %q, want %q", got, said)
	}
	want(ben, `location.hash`, "#tonight")
	kept := ben.plans(1)[0]
	if kept.ID != ann.plans(1)[0].ID {
		t.Errorf("kept as %q, sent as %q", kept.ID, ann.plans(1)[0].ID)
	}

	// Nothing differs yet; the code is in no step back.
	ben.show("loads")
	ben.follow(code)
	ben.until(`document.getElementById("look-equal").checkVisibility()`)
	ben.tap("#look-drop")
	ben.on("tonight")
	eval[bool](ben, `history.back(), true`)
	ben.on("loads")

	ben.show("load=0")
	ben.fill("load-watts", "55")
	ben.show("loads")
	ben.show("load=1")
	ben.settle()
	ben.tap("#load-remove")
	ben.on("loads")
	back := ben.link()

	ann.follow(back)
	ann.until(`document.getElementById("changes").checkVisibility()`)
	if n := eval[int](ann, `document.querySelectorAll("#changes input").length`); n != 2 {
		t.Errorf("%d changes, want 2", n)
	}
	if n := eval[int](ann, `document.querySelectorAll("#changes input:checked").length`); n != 0 {
		t.Errorf("%d changes are ticked unasked", n)
	}
	ann.tap("#look-take") // nothing is ticked
	ann.news("")
	ann.tap("#take-0")
	ann.until(`document.getElementById("take-0").checked && !document.getElementById("take-1").checked`)
	ann.tap("#look-take")
	ann.on("tonight")
	watts := func(w float64, n int) func(p plan.Plan) bool {
		return func(p plan.Plan) bool { return float64(p.Loads[0].Running) == w && len(p.Loads) == n }
	}
	ann.saved("55 W", watts(55, 2))
	ann.tap("#undo")
	ann.saved("40 W again", watts(40, 2))

	ann.follow(back)
	ann.tap("#tick-all")
	ann.until(`document.querySelectorAll("#changes input:checked").length === 2`)
	ann.tap("#tick-none")
	ann.until(`document.querySelectorAll("#changes input:checked").length === 0`)
	ann.tap("#tick-all")
	ann.tap("#look-take")
	ann.on("tonight")
	ann.saved("both", watts(55, 1))
	ann.plans(1)

	ann.follow(code)
	ann.tap("#look-keep") // a second plan
	ann.on("tonight")
	eventually(t, "a second plan", func() bool { return len(ann.kept().Plans) == 2 })
}

func TestBrokenLinks(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	code := b.link()
	for _, c := range []string{code[:len(code)-9], code[:5], "p=", code + "x", strings.Replace(code, code[20:22], "--", 1), "p=<b>x</b>", "p=" + strings.Repeat("A", 20000)} {
		b.show("more")
		b.follow(c)
		if got := b.text("#look-fault"); got == "" {
			t.Errorf("%.40s…: nothing is said", c)
		}
		if got := b.text("#look-keep"); got != "" {
			t.Errorf("%.40s…: it could be kept", c)
		}
		b.tap("#look-on")
		b.on("tonight")
		want(b, `location.hash`, "#tonight")
		b.plans(1)
	}
	fresh := newProfile(t).newTab()
	fresh.open(h, "#"+code[:len(code)-9])
	fresh.on("look")
	fresh.tap("#look-on")
	fresh.on("start")
	fresh.plans(0)
}

// A file of the plan that is here is compared with it.
func TestFileOfThePlanHere(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.show("send")
	_, file := b.download("#send-file")
	b.show("more")
	b.choose("#plan-open", "back.json", []byte(strings.Replace(string(file), `"running_w": 10`, `"running_w": 12`, 1)))
	b.on("look")
	b.tap("#take-0")
	b.until(`document.getElementById("take-0").checked`)
	b.tap("#look-take")
	b.on("tonight")
	b.saved("12 W", func(p plan.Plan) bool { return p.Loads[1].Running == 12 })
	b.plans(1)
}

// recorded makes the browser's own ways out tell how they were asked.
const recorded = `
	window.asked = [];
	const ask = (how, what) => {
		asked.push([how, what, navigator.userActivation.isActive && window.event?.type === "click"].join("|"));
		return window.refusal ? Promise.reject(window.refusal) : Promise.resolve();
	};
	navigator.share = what => ask("share", what.title + "|" + what.text + "|" + what.url);
	// The blank page before ours is no secure one, and has no clipboard.
	if (navigator.clipboard) navigator.clipboard.writeText = text => ask("copy", text);
`

// The share sheet and the clipboard are asked while the tap is being handled.
func TestSharing(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(recorded)
	withPlanIn(b, h)
	b.show("send")
	short, full, link := b.value("send-short"), b.value("send-full"), b.value("send-link")
	if len(short) > 300 || !strings.Contains(short, "Home") || !strings.Contains(full, "Lamp") {
		t.Errorf("the message is %q, the words are %q", short, full)
	}
	paper := b.print()
	for _, s := range []string{short, full, link} {
		if strings.Count(paper.text, solid(s)) != 1 {
			t.Errorf("%q is not on the paper, or twice", s)
		}
	}
	asked := func(button, as string) {
		t.Helper()
		b.tap(button)
		want(b, `asked.at(-1)`, as+"|true")
	}
	hide := func() {
		t.Helper()
		b.tap("#dismiss")
		b.until(`!document.getElementById("news").checkVisibility()`)
		b.focused("title")
		b.settle()
	}
	asked("#share", "share|Home|"+short+"|"+link)
	b.settle()
	if got := b.text("#news"); got != "" {
		t.Errorf("after sharing it says %q", got)
	}
	asked("#copy-link", "copy|"+link)
	copied := b.news("")
	asked("#copy-short", "copy|"+short)
	asked("#copy-full", "copy|"+full)
	hide()

	// A person who changes their mind is told nothing.
	eval[bool](b, `window.refusal = new DOMException("closed", "AbortError"), true`)
	asked("#share", "share|Home|"+short+"|"+link)
	b.settle()
	b.settle()
	if got := b.text("#news"); got != "" {
		t.Errorf("after a sheet that was closed it says %q", got)
	}
	eval[bool](b, `window.refusal = new DOMException("no", "NotAllowedError"), true`)
	asked("#share", "share|Home|"+short+"|"+link)
	if b.news("") == copied {
		t.Error("a share that failed is said to be copied")
	}
	hide()
	// A clipboard that refuses: the old way, which this browser has.
	asked("#copy-link", "copy|"+link)
	if got := b.news(""); got != copied {
		t.Errorf("the old way to copy: %q, want %q", got, copied)
	}
}

// Without any of the newer ways the link can be copied by hand.
func TestSharingByHand(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(`
		Object.defineProperty(navigator, "share", {value: undefined});
		Object.defineProperty(navigator, "clipboard", {value: undefined});
		document.execCommand = () => false;
	`)
	withPlanIn(b, h)
	b.show("send")
	if got := b.text("#share"); got != "" {
		t.Error("there is a button for a share sheet that is not there")
	}
	b.tap("#copy-link")
	b.news("")
	b.focused("send-link")
	want(b, `document.getSelection().toString() || document.activeElement.value.slice(document.activeElement.selectionStart, document.activeElement.selectionEnd)`, b.value("send-link"))
}
