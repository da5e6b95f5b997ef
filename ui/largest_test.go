package ui

import (
	"slices"
	"testing"
	"unicode/utf8"

	"github.com/vugu/vugu"

	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/ui/pieces"
)

// drawnSizes builds the page and tells of the longest text that reaches it in
// one instruction, and of the longest that stood there uncut.
func drawnSizes(t *testing.T, w *world) (piece, uncut int) {
	t.Helper()
	env, err := vugu.NewBuildEnv()
	if err != nil {
		t.Fatal(err)
	}
	built := env.RunBuild(&Root{App: w.app})
	most := 0
	see := func(s string) {
		most = max(most, len(s))
		if !utf8.ValidString(s) {
			t.Errorf("%s: a text is cut within a character", w.route)
		}
	}
	var walk func(n *vugu.VGNode)
	walk = func(n *vugu.VGNode) {
		if n.IsComponent() {
			for _, n := range built.ResultFor(n.Component).Out {
				walk(n)
			}
			return
		}
		see(n.Data)
		for _, a := range n.Attr {
			see(a.Val)
		}
		for _, p := range n.Prop {
			see(string(p.JSONVal))
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(built.Out.Out[0])
	uncut, most = most, 0
	pieces.Cut(built)
	walk(built.Out.Out[0])
	return most, uncut
}

// With the largest plan that a file may hold, in every kind of letters, every
// page reaches the screen in pieces that vugu can hand over.
func TestLargestOnEveryPage(t *testing.T) {
	pages := []string{pageLoad + "=0", pageChoose + "=0"}
	for p := range titles {
		pages = append(pages, p)
	}
	slices.Sort(pages)
	// Of most bytes are emoji; all kinds at once are on every page.
	emoji := plantest.Scripts[slices.IndexFunc(plantest.Scripts, func(s plantest.Script) bool { return s.Name == "emoji" })]
	for _, c := range []struct {
		p     plan.Plan
		pages []string
	}{
		{plantest.Largest(t, plantest.Scripts...), []string{pageTonight, pageSend}},
		{plantest.BeforeIt(plantest.Largest(t, plantest.Scripts...)), pages},
		{plantest.BeforeIt(plantest.Largest(t, emoji)), []string{pageSend}},
	} {
		w := openPage(t, new(disk))
		w.act(w.app.OpenFile)
		w.act(func() { w.accept("plan.json", c.p.Encode(), nil) })
		// The same plan from elsewhere, all of its things changed.
		theirs := c.p
		theirs.Loads = slices.Clone(c.p.Loads)
		for i := range theirs.Loads {
			theirs.Loads[i].Running *= 2
		}
		w.act(w.app.OpenFile)
		w.act(func() { w.accept("plan.json", theirs.Encode(), nil) })
		for i, page := range append([]string{pageLook}, c.pages...) {
			if i > 0 {
				w.visit(page)
			} else if n := len(w.app.Looking().Changes()); w.app.Page() != pageLook || n < len(theirs.Loads) {
				t.Errorf("the page %s shows %d changes", w.app.Page(), n)
			}
			piece, uncut := drawnSizes(t, w)
			if piece > pieces.Most {
				t.Errorf("%s: a piece of %d bytes", page, piece)
			}
			if page == pageSend && uncut < 16384 {
				t.Errorf("the longest text has %d bytes, nothing had to be cut", uncut)
			}
		}
	}
}
