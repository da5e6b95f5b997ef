package ui

import (
	"errors"
	"strings"
	"testing"

	"candleclock/engine/plan"
	"candleclock/ui/onefile"
)

// singleParts is what a page under test is made of: a site of one style and one
// script, or a single file.
type singleParts struct {
	own, inside []byte
	lost        string // path of a file that can't be had
}

func (p *singleParts) Own() []byte    { return p.own }
func (p *singleParts) Inside() []byte { return p.inside }

var errLost = errors.New("a part is lost")

func (p *singleParts) Read(path, _ string) ([]byte, error) {
	if path == p.lost {
		return nil, errLost
	}
	if path == onefile.Page {
		return []byte(`<meta http-equiv="Content-Security-Policy" content="">
<link rel="stylesheet" href="a.css" integrity="sha256-a">
<script src="boot.js" integrity="sha256-b" data-wasm="a.wasm" data-wasm-integrity="sha256-c" data-errand="e.js" data-errand-integrity="sha256-d"></script>
<main class="paper"></main>
</body>
`), nil
	}
	return []byte(path), nil
}

func (p *singleParts) Pack(data []byte) ([]byte, error) { return data, nil }

// taken reads the file that a page handed over: the plan and the card in it.
func (w *world) taken() (file []byte, inside, card string) {
	w.t.Helper()
	w.act(w.app.SaveSingle)
	if len(w.files) == 0 {
		w.t.Fatalf("no file came; told %q", w.app.News())
	}
	got := w.files[len(w.files)-1]
	if got.mime != "text/html" || !strings.HasSuffix(got.name, ".candleclock.html") {
		w.t.Errorf("the file is %s, %s", got.name, got.mime)
	}
	_, inside, _ = strings.Cut(string(got.data), `id="plan"`)
	_, inside, _ = strings.Cut(inside, ">")
	inside, _, _ = strings.Cut(inside, "</script>")
	_, card, _ = strings.Cut(string(got.data), "<!--card-->")
	card, _, _ = strings.Cut(card, "<!--/card-->")
	return got.data, inside, card
}

// single is a page that is the one file, with that plan inside.
func single(own []byte, inside string) func(w *world) {
	return func(w *world) {
		w.parts = singleParts{own: own, inside: []byte(inside)}
		if inside == "" {
			w.parts.inside = nil
		}
		w.single = true
	}
}

// A file with the plan goes out, is looked at first, kept, changed, opened
// again, and handed on with the changes.
func TestSingleThereAndBack(t *testing.T) {
	ann := planned(t, new(disk))
	ann.visit("send")
	file, inside, card := ann.taken()
	checkPage(t, ann.html())
	if !strings.Contains(ann.app.News(), "my-household.candleclock.html") {
		t.Errorf("told %q", ann.app.News())
	}
	for _, part := range []string{"Refrigerator", wStartOrder, `class="leaf `, `class="qr"`} {
		if !strings.Contains(card, part) {
			t.Errorf("%q is not on the card in the file", part)
		}
	}
	ann.visit("tonight")
	said := ann.said()

	benDisk := new(disk)
	ben := openPage(t, benDisk, single(file, inside))
	if ben.app.Page() != pageLook || !ben.app.Looking().Known() || ben.route != insideKey || len(benDisk.mustPlans(t)) != 0 {
		t.Fatalf("opened: page %q at %q, fault %q", ben.app.Page(), ben.route, ben.app.Looking().Fault())
	}
	if ben.app.SiteSays() != wSingle {
		t.Errorf("the state is %q", ben.app.SiteSays())
	}
	checkPage(t, ben.html())
	ben.act(ben.app.DontKeep)
	if ben.app.Page() != pageDoors || len(benDisk.mustPlans(t)) != 0 {
		t.Fatalf("not kept: page %q", ben.app.Page())
	}
	// Nothing is here: the file's plan is what there is to see.
	ben = openPage(t, benDisk, single(file, inside))
	ben.act(ben.app.KeepCopy)
	if ben.app.Page() != pageTonight || ben.said() != said || len(benDisk.mustPlans(t)) != 1 {
		t.Fatalf("kept: page %q, %q, want %q", ben.app.Page(), ben.said(), said)
	}
	ben.visit("more")
	for _, part := range []string{wSingleKeeps, wSingleInside} {
		if !strings.Contains(ben.html(), part) {
			t.Errorf("%q is not on the page", part)
		}
	}
	ben.visit("load=1")
	ben.typeIn("load-watts", "150")
	ben.visit("tonight")
	said = ben.said()

	// The one answer holds: the changed plan is not asked about again.
	ben = openPage(t, benDisk, single(file, inside))
	if ben.app.Page() != pageTonight || ben.said() != said {
		t.Fatalf("opened again: page %q, %q, want %q", ben.app.Page(), ben.said(), said)
	}
	ben.visit(insideKey)
	if l := ben.app.Looking(); ben.app.Page() != pageLook || !l.Differs() || len(l.Changes()) != 1 {
		t.Fatalf("asked for: page %q, %+v", ben.app.Page(), l.Changes())
	}
	ben.act(ben.app.DontKeep)
	ben.visit("send")
	if ben.app.Parcel().Link == "" {
		t.Error("a file that knows its home has no link")
	}
	_, changed, _ := ben.taken()

	// Back to Ann, who has the plan: what differs, to be taken over.
	p, err := plan.Decode([]byte(changed))
	if err != nil || p.Loads[1].Running != 150 {
		t.Fatalf("%v: in the file stands %s", err, changed)
	}
	back := openPage(t, ann.disk, single(file, changed))
	if l := back.app.Looking(); back.app.Page() != pageLook || !l.Differs() || len(l.Changes()) != 1 {
		t.Fatalf("come back: page %q, %+v", back.app.Page(), l.Changes())
	}
	back.act(func() { back.app.ChooseAll(true) })
	back.act(back.app.TakeOver)
	if got := back.app.book.Plan.Loads[1].Running; got != 150 {
		t.Errorf("taken over: %v W", got)
	}
	// Nothing differs now: there is nothing to ask.
	again := openPage(t, ann.disk, single(file, changed))
	if again.app.Page() != pageTonight {
		t.Errorf("nothing differs: page %q", again.app.Page())
	}
	// Another file of the same plan is looked at, though one was answered.
	other := openPage(t, ann.disk, single(file, inside))
	if other.app.Page() != pageLook || !other.app.Looking().Differs() {
		t.Errorf("another file: page %q", other.app.Page())
	}
}

// A file that names no plan opens as the page does; an address counts more than
// the plan in the file.
func TestSingleWithoutPlan(t *testing.T) {
	w := openPage(t, new(disk), single([]byte("x"), ""))
	if w.app.Page() != pageDoors || w.app.HasInside() {
		t.Errorf("page %q", w.app.Page())
	}
	w.visit(insideKey)
	if w.app.Page() != pageDoors {
		t.Errorf("asked for what is not there: page %q", w.app.Page())
	}
	ann := planned(t, new(disk))
	_, inside, _ := ann.taken()
	w = openPage(t, ann.disk, single([]byte("x"), inside), func(w *world) { w.route = "loads" })
	if w.app.Page() != pageLoads {
		t.Errorf("opened at #loads: page %q", w.app.Page())
	}
}

// Whatever stands in the file, the page says what is wrong and goes on.
func TestSingleHostile(t *testing.T) {
	for _, inside := range []string{"{", "null", `{"candleclock": 99, "name": "x"}`, `{"candleclock": 1}`, strings.Repeat("[", 1e5), "\xff\xfe", strings.Repeat("x", plan.MostBytes+1)} {
		d := new(disk)
		w := openPage(t, d, single([]byte("x"), inside))
		if w.app.Page() != pageLook || w.app.Looking().Known() || !strings.HasPrefix(w.app.Looking().Fault(), wSingleBroken) {
			t.Errorf("%.30q: page %q, fault %q", inside, w.app.Page(), w.app.Looking().Fault())
		}
		checkPage(t, w.html())
		w.act(w.app.KeepCopy)
		if len(d.mustPlans(t)) != 0 {
			t.Errorf("%.30q was kept", inside)
		}
		w.act(w.app.DontKeep)
		if w.app.Page() != pageDoors {
			t.Errorf("%.30q: then page %q", inside, w.app.Page())
		}
	}
}

// A file that does not know where the planner stands offers no link and no code.
func TestSingleHomeless(t *testing.T) {
	ann := planned(t, new(disk))
	file, inside, _ := ann.taken()
	w := openPage(t, new(disk), single(file, inside), func(w *world) { w.homeless = true })
	w.act(w.app.KeepCopy)
	w.visit("send")
	if p := w.app.Parcel(); p.Link != "" || p.LinkNote() != wSendHomeless {
		t.Errorf("link %q, %q", p.Link, p.LinkNote())
	}
	checkPage(t, w.html())
	w.visit("card")
	if w.app.Card().HasCode() || !strings.Contains(w.app.CardNote(), wCardHomeless) {
		t.Errorf("the card has a code: %v, %q", w.app.Card().HasCode(), w.app.CardNote())
	}
	if file, _, _ := w.taken(); strings.Contains(string(file), "data-home") {
		t.Error("a home is in the file")
	}
}

// When the file can't be made, nothing is handed over and the reason is said.
func TestSingleFails(t *testing.T) {
	for _, lost := range []string{onefile.Page, "a.css", "a.wasm"} {
		w := planned(t, new(disk), func(w *world) { w.parts.lost = lost })
		w.act(w.app.SaveSingle)
		if len(w.files) != 0 || w.app.News() != wSendOneFailed+errLost.Error()+"." {
			t.Errorf("%s lost: %d files, told %q", lost, len(w.files), w.app.News())
		}
		w.parts.lost = ""
		w.act(w.app.SaveSingle)
		if len(w.files) != 1 {
			t.Errorf("%s found again: %d files", lost, len(w.files))
		}
	}
	// A plan without an answer has no card; the sheet is in the file as always.
	w := openPage(t, new(disk))
	w.act(w.app.PlanAhead)
	if _, inside, card := w.taken(); card != "" || !strings.Contains(inside, "My household") {
		t.Errorf("card %q, plan %q", card, inside)
	}
}

// The card in the file is the one on the page.
func TestSingleCardIsTheCard(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("card")
	_, _, card := w.taken()
	leaf, text, _ := strings.Cut(card, "<details>")
	on := func(face, page string) {
		t.Helper()
		parts := strings.Split(face, "</")
		if len(parts) < 20 {
			t.Fatalf("the card is %s", face)
		}
		for _, part := range parts {
			words := strings.TrimSpace(part[strings.LastIndex(part, ">")+1:])
			if !strings.Contains(page, words) {
				t.Errorf("%q is not on the page", words)
			}
		}
	}
	on(leaf, w.html())
	w.act(func() { w.app.PickCard("face-text") })
	_, text, _ = strings.Cut(text, "</summary>")
	on(text, w.html())
}
