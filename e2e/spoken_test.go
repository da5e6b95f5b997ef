package e2e

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/emulation"

	"candleclock/engine/link"
	"candleclock/engine/plan"
)

// spoken is the page as a screen reader goes through it: a line for each thing,
// with its role where one is told.
func (b *tab) spoken() string {
	b.t.Helper()
	tree := command(b, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	nodes := map[accessibility.NodeID]*accessibility.Node{}
	for _, n := range tree.Nodes {
		nodes[n.NodeID] = n
	}
	var lines []string
	var walk func(n *accessibility.Node)
	walk = func(n *accessibility.Node) {
		if n == nil {
			return
		}
		role, name := word(n.Role), strings.TrimSpace(word(n.Name))
		told := !n.Ignored
		for _, p := range n.Properties {
			if p.Name == "level" {
				role += " " + string(p.Value.Value)
			}
		}
		switch {
		case !told:
		case role == "StaticText":
			if name != "" {
				lines = append(lines, name)
			}
			return
		case role == "link" || role == "button" || role == "checkbox" || role == "image" || strings.HasPrefix(role, "heading"),
			role == "rowheader", role == "columnheader", role == "cell":
			if name == "" {
				break // a cell of parts
			}
			lines = append(lines, role+": "+name)
			return
		case role == "LabelText": // its words are the name of what it labels
			for _, id := range n.ChildIDs {
				if c := nodes[id]; c != nil && word(c.Role) != "StaticText" && word(c.Role) != "generic" {
					walk(c)
				}
			}
			return
		case role == "paragraph":
			// One sentence, though it may be in parts.
			if s := strings.Join(strings.Fields(text(nodes, n)), " "); s != "" {
				lines = append(lines, s)
			}
			return
		case (role == "navigation" || role == "main" || role == "complementary" || role == "banner" || role == "status") && name != "":
			lines = append(lines, role+": "+name)
		}
		for _, id := range n.ChildIDs {
			walk(nodes[id])
		}
	}
	walk(tree.Nodes[0])
	return strings.Join(lines, "\n") + "\n"
}

// word is a value of the tree as text.
func word(v *accessibility.Value) string {
	if v == nil {
		return ""
	}
	s, err := decode[string](v.Value, nil)
	if err != nil {
		return ""
	}
	return s
}

// text is what a node says with all its parts.
func text(nodes map[accessibility.NodeID]*accessibility.Node, n *accessibility.Node) string {
	if n == nil {
		return ""
	}
	if !n.Ignored && word(n.Role) == "StaticText" {
		return word(n.Name)
	}
	var all strings.Builder
	for _, id := range n.ChildIDs {
		all.WriteString(text(nodes, nodes[id]))
	}
	return all.String()
}

// Tonight's answer read aloud: the time first, then how sure it is, then what
// can be done.
func TestTonightReadAloud(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(faked)
	b.open(h, "")
	b.clock("2026-01-14T16:00:00")
	p, err := plan.Decode([]byte(nightPlan))
	if err != nil {
		t.Fatal(err)
	}
	b.follow("p=" + link.Text(p))
	b.tap("#look-keep")
	b.on("tonight")
	b.answer()
	b.offlineReady()
	want(b, `document.querySelector("header .site").innerText`, "Works offline")
	b.tap("#dismiss")
	b.until(`!document.getElementById("news").checkVisibility()`)
	b.settle()
	const file = "testdata/tonight.txt"
	golden, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got := b.spoken(); got != string(golden) {
		t.Errorf("read aloud, other than in %s:\n%s", file, got)
	}
}

// heard makes the page count what its status tells from now on.
const heard = `{
	const status = document.getElementById("status");
	let last = status.textContent;
	window.heard = [];
	new MutationObserver(() => {
		if (status.textContent && status.textContent !== last) heard.push(status.textContent);
		last = status.textContent;
	}).observe(status, {subtree: true, childList: true, characterData: true});
	true
}`

// A listener hears the answer once, when a field is left, and not at each
// keystroke.
func TestStatusIsToldOnce(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.show("supply")
	b.tap("#supply-capacity")
	b.focused("supply-capacity")
	b.settle()
	eval[bool](b, heard)
	for _, digit := range "555" {
		b.key(string(digit))
		b.settle()
	}
	want(b, `heard.length`, 0)
	b.leave()
	want(b, `heard.length`, 1)
	b.settle()
	if got := eval[[]string](b, `heard`); len(got) != 1 || len(spans(t, got[0])) == 0 {
		t.Errorf("heard: %q", got)
	}
}

// emulate makes the browser say that its owner wants something so.
func (b *tab) emulate(feature, value string) {
	b.t.Helper()
	command(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: feature, Value: value}}})
	b.until(fmt.Sprintf(`matchMedia("(%s: %s)").matches`, feature, value))
}

// With colours of their owner's choice buttons, fields and the page in view still
// have an edge or a line, and nothing moves for those who can't bear it. (Links
// then have the colour that their owner chose for them.)
func TestOwnColoursAndNoMotion(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	eachState(t, h, func(b *tab, name string) {
		b.emulate("forced-colors", "active")
		for _, e := range eval[[]string](b, `[...document.querySelectorAll("button, input, nav a[aria-current=page]")].filter(e => {
			const edge = e => { const s = getComputedStyle(e); return s.borderStyle !== "none" && ["Top", "Bottom", "Left", "Right"].some(w => parseFloat(s["border" + w + "Width"]) > 0) };
			const s = getComputedStyle(e);
			return e.checkVisibility() && !edge(e) && !(e.closest("label") && edge(e.closest("label"))) && !s.textDecorationLine.includes("underline") && s.appearance === "none";
		}).map(e => e.outerHTML.slice(0, 90))`) {
			t.Errorf("%s, forced colours: nothing shows what it is: %s", name, e)
		}
		b.emulate("prefers-reduced-motion", "reduce")
		for _, e := range eval[[]string](b, `[...document.querySelectorAll("*")].filter(e => {
			const s = getComputedStyle(e), long = v => v.split(",").some(p => parseFloat(p) > 0);
			return long(s.transitionDuration) || s.animationName !== "none" && long(s.animationDuration);
		}).map(e => e.outerHTML.slice(0, 90))`) {
			t.Errorf("%s, reduced motion: it moves: %s", name, e)
		}
		command(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{}})
	})
}
