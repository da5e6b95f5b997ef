package ui

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"

	"candleclock/engine/link"
	"candleclock/engine/load"
	"candleclock/engine/plan"
)

// sent is the link that a page would send, behind "#".
func (w *world) sent() string {
	w.t.Helper()
	w.visit("send")
	checkPage(w.t, w.html())
	_, code, ok := strings.Cut(w.app.Parcel().Link, "#")
	if !ok {
		w.t.Fatalf("the link is %q", w.app.Parcel().Link)
	}
	return code
}

// Ann makes a plan, Ben looks at it, keeps it, changes it and sends it back, and
// Ann takes over what she likes.
func TestThereAndBack(t *testing.T) {
	annDisk, benDisk := new(disk), new(disk)
	ann := planned(t, annDisk)
	first := ann.sent()

	ben := openPage(t, benDisk, func(w *world) { w.route = first })
	if ben.app.Page() != pageLook || !ben.app.Looking().Known() || ben.app.Looking().Same() {
		t.Fatalf("opened: page %q, fault %q", ben.app.Page(), ben.app.Looking().Fault())
	}
	checkPage(t, ben.html())
	for _, part := range []string{"My household", "Refrigerator", wLookNotKept, "1,000"} {
		if !strings.Contains(ben.html(), part) {
			t.Errorf("%q is not on the page", part)
		}
	}
	if want := ann.app.answer.dated(); !strings.Contains(ben.html(), want) {
		t.Errorf("Ann’s page says %q; Ben’s does not", want)
	}
	if n := len(benDisk.mustPlans(t)); n != 0 || ben.app.HasBook() {
		t.Fatalf("looking has kept %d plans", n)
	}
	if again := openPage(t, benDisk, func(w *world) { w.route = "" }); again.app.Page() != pageDoors {
		t.Errorf("opened again without the link: page %q", again.app.Page())
	}

	ann.visit("tonight")
	annSays := ann.said()
	ben.act(ben.app.KeepCopy)
	if ben.app.Page() != pageTonight || len(benDisk.mustPlans(t)) != 1 || ben.said() != annSays {
		t.Fatalf("kept: page %q, %s", ben.app.Page(), ben.said())
	}
	if len(ben.replaced) != 1 || ben.route != pageTonight || len(ben.steps) != 0 {
		t.Errorf("the address is %q, replaced %q, new steps %q", ben.route, ben.replaced, ben.steps)
	}
	ben.act(ben.app.KeepCopy) // a second tap
	if n := len(ben.app.books); n != 1 {
		t.Fatalf("tapped twice: %d plans", n)
	}

	// The same link once more: nothing differs.
	ben.visit(first)
	if !ben.app.Looking().Equal() || ben.app.Looking().Differs() {
		t.Errorf("the same again: %+v", ben.app.Looking().Changes())
	}
	checkPage(t, ben.html())
	ben.act(ben.app.DontKeep)

	ben.visit("load=1")
	ben.typeIn("load-watts", "150")
	ben.act(func() { ben.app.AddFound("router") })
	ben.visit("supply")
	ben.typeIn("supply-age", "6")
	back := ben.sent()

	before := ann.app.book.Plan
	ann.visit(back)
	l := ann.app.Looking()
	if ann.app.Page() != pageLook || !l.Differs() || len(l.Changes()) != 3 {
		t.Fatalf("come back: page %q, %+v", ann.app.Page(), l.Changes())
	}
	checkPage(t, ann.html())
	ann.act(ann.app.TakeOver)
	if !bytes.Equal(ann.app.book.Plan.Encode(), before.Encode()) || ann.app.News() != wLookNothing {
		t.Errorf("nothing ticked: told %q, the plan is\n%s", ann.app.News(), ann.app.book.Plan.Encode())
	}
	ann.act(func() { ann.app.Choose(l.Changes()[0], true) })
	ann.act(func() { ann.app.ChooseAll(true) })
	ann.act(func() { ann.app.Choose(l.Changes()[2], false) })
	if got := l.Count(); got != "2 of 3 ticked" {
		t.Errorf("%q", got)
	}
	ann.act(ann.app.TakeOver)
	ann.act(ann.app.TakeOver) // a second tap
	p := ann.app.book.Plan
	if ann.app.Page() != pageTonight || p.Loads[1].Running != 150 || len(p.Loads) != 4 || p.Supply.Battery.AgeYears != 0 || p.ID != before.ID {
		t.Fatalf("taken over: page %q, %+v", ann.app.Page(), p)
	}
	if kept := annDisk.mustPlans(t); len(kept) != 1 || len(kept[0].Loads) != 4 {
		t.Errorf("stored: %d plans", len(kept))
	}
	if strings.Contains(ann.route, "=") {
		t.Errorf("the address is %q", ann.route)
	}
	ann.visit(back)
	if got := ann.app.Looking().Changes(); len(got) != 1 || got[0].Key != "supply" {
		t.Errorf("what is left to take over: %+v", got)
	}
	ann.act(ann.app.DontKeep)

	ann.visit(back)
	ann.act(func() { ann.app.ChooseAll(true) })
	ann.act(ann.app.TakeOver)
	if ann.app.book.Plan.Supply.Battery.AgeYears != 6 {
		t.Fatal("the supply was not taken over")
	}
	ann.act(ann.app.Undo)
	if ann.app.book.Plan.Supply.Battery.AgeYears != 0 || len(ann.app.book.Plan.Loads) != 4 {
		t.Errorf("undone: %+v", ann.app.book.Plan)
	}

	// A second plan is always possible.
	ann.visit(back)
	ann.act(ann.app.KeepCopy)
	if n := names(ann); len(n) != 2 || plan.SameName(n[0], n[1]) || ann.app.book.ID == before.ID {
		t.Errorf("a second plan: %q", n)
	}
	ann.act(ann.app.Undo)
	if n := names(ann); len(n) != 1 || len(annDisk.mustPlans(t)) != 1 {
		t.Errorf("undone: %q", n)
	}
}

// What comes by a link may be anything. It changes nothing, is told of in
// words, and the page can be left.
func TestBadLinks(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	good := w.sent()
	kept := w.app.book.Plan.Encode()
	cases := map[string]struct{ address, fault string }{
		"empty":        {"p=", wLinkCut},
		"cut":          {good[:len(good)-7], wLinkCut},
		"cut at once":  {good[:4], wLinkCut},
		"changed":      {good[:30] + flip(good[30]) + good[31:], wLinkDamaged},
		"longer":       {good + "AAAA", wLinkDamaged},
		"dotted":       {good + ".", wLinkDamaged},
		"markup":       {"p=<script>alert(1)</script>", wLinkNotOurs},
		"a whole page": {"p=" + strings.Repeat("cA", 9000), wLinkNotOurs},
		"percent":      {"p=%00%FF", wLinkNotOurs},
		"capital":      {"C", wLinkCut},
		"no code":      {"CARDBOARD", ""},
		"newer":        {"p=" + newerLink(), wLinkNewer},
	}
	for name, c := range cases {
		w.visit("more")
		w.visit(c.address)
		got := w.app.Looking().Fault()
		if w.app.Page() != pageLook || got == "" || c.fault != "" && got != c.fault {
			t.Errorf("%s: page %q, told %q, want %q", name, w.app.Page(), got, c.fault)
		}
		checkPage(t, w.html())
		for _, act := range []func(){w.app.KeepCopy, w.app.TakeOver, func() { w.app.ChooseAll(true) }} {
			w.act(act)
		}
		if n := len(d.mustPlans(t)); n != 1 || !bytes.Equal(w.app.book.Plan.Encode(), kept) {
			t.Errorf("%s: %d plans are kept", name, n)
		}
		w.act(w.app.DontKeep)
		if w.app.Page() != pageTonight || w.route != pageTonight {
			t.Errorf("%s: left to %q, %q", name, w.app.Page(), w.route)
		}
	}
	// Without a plan of one's own one gets to the first page.
	first := openPage(t, new(disk), func(w *world) { w.route = good[:40] })
	if first.app.Page() != pageLook || first.app.Looking().Fault() != wLinkCut {
		t.Errorf("first open: page %q, %q", first.app.Page(), first.app.Looking().Fault())
	}
	first.act(first.app.DontKeep)
	if first.app.Page() != pageDoors {
		t.Errorf("left to %q", first.app.Page())
	}
}

// newerLink is a link of the next version, whole.
func newerLink() string {
	frame := append([]byte{link.Version + 1, 3}, "new"...)
	frame = binary.LittleEndian.AppendUint32(frame, crc32.ChecksumIEEE(frame))
	return "c" + base64.RawURLEncoding.EncodeToString(frame)
}

func flip(c byte) string {
	if c == 'A' {
		return "B"
	}
	return "A"
}

// Any bytes behind the key end in a page that can be drawn and left.
func TestAnyLink(t *testing.T) {
	w := planned(t, new(disk))
	good := w.sent()
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(rapid.String(), rapid.StringMatching(`[Cc][A-Za-z0-9_-]{0,300}`)).Draw(t, "code")
		if rapid.Bool().Draw(t, "nearly good") {
			at := rapid.IntRange(2, len(good)).Draw(t, "at")
			s = good[2:at] + s
		}
		w.visit("p=" + s)
		if w.app.Page() != pageLook {
			t.Fatalf("page %q", w.app.Page())
		}
		checkParts(t, w.html())
		w.act(w.app.DontKeep)
	})
}

// The capitals of a QR code open too.
func TestLinkOfACode(t *testing.T) {
	ann := planned(t, new(disk))
	ben := openPage(t, new(disk), func(w *world) { w.route = link.QR(ann.app.book.Plan) })
	if ben.app.Page() != pageLook || ben.app.Looking().Name() != "My household" {
		t.Errorf("page %q, fault %q", ben.app.Page(), ben.app.Looking().Fault())
	}
}

// While one link is looked at, another may be opened; a reload shows the same
// again; a file goes when its page is left.
func TestLookAgain(t *testing.T) {
	ann := planned(t, new(disk))
	first := ann.sent()
	ann.visit("more")
	ann.typeIn("plan-name", "Hut")
	second := ann.sent()
	ben := openPage(t, new(disk), func(w *world) { w.route = first })
	ben.visit(second)
	if got := ben.app.Looking().Name(); got != "Hut" {
		t.Errorf("the second link shows %q", got)
	}
	ben.act(ben.onWake)
	ben.visit(second)
	if got := ben.app.Looking().Name(); got != "Hut" {
		t.Errorf("after a minute: %q", got)
	}
	ben.act(ben.app.DontKeep)
	ben.visit("look")
	if ben.app.Page() != pageDoors {
		t.Errorf("left and come back: page %q", ben.app.Page())
	}
	ben.visit(first)
	ben.act(ben.app.KeepCopy)
	ben.visit(second)
	if got := ben.app.Looking().Changes(); len(got) != 1 || got[0].Key != "name" {
		t.Errorf("another name is %+v", got)
	}
	ben.act(ben.app.OpenFile)
	other := ben.app.book.Plan
	other.Mains = 120
	ben.act(func() { ben.accept("plan.json", other.Encode(), nil) })
	if got := ben.app.Looking().Changes(); ben.route != pageLook || len(got) != 1 || got[0].Key != "mains" {
		t.Errorf("a file at %q: %+v", ben.route, got)
	}
	ben.visit("loads")
	ben.visit("look")
	if ben.app.Page() != pageTonight {
		t.Errorf("left and come back: page %q", ben.app.Page())
	}
}

// A plan that was removed here and is opened again is a new one: what is late
// of the removing must not reach it.
func TestRemovedAndOpenedAgain(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	first := w.sent()
	id := w.app.book.ID
	w.visit("more")
	w.act(w.app.RemoveBook)
	w.visit(first)
	w.act(w.app.KeepCopy)
	if w.app.book.ID == id || len(d.mustPlans(t)) != 1 {
		t.Errorf("id %q, %d plans", w.app.book.ID, len(d.mustPlans(t)))
	}
	w = openPage(t, d) // nothing of it is left in a page opened later
	w.visit(first)
	if w.app.Looking().Same() {
		t.Error("it is taken for the same")
	}
	w.act(w.app.KeepCopy)
	if w.app.book.ID != id {
		t.Errorf("kept under %q, sent as %q", w.app.book.ID, id)
	}
}

// What is taken over in the middle of an outage does not give back what has been
// used already.
func TestTakenOverLater(t *testing.T) {
	w := planned(t, new(disk))
	w.act(w.app.PowerOut)
	theirs := w.app.book.Plan
	theirs.Loads = without(theirs.Loads, 1) // the fridge
	w.app.book.Plan.Outage.Log = plan.Log{Readings: []plan.Reading{{At: plan.At(w.now), SOCLow: 1, SOC: 1}}}
	both := w.app.answer.run.CountOn
	w.pass(time.Duration(float64(both) * 0.9 * float64(time.Hour)))
	w.act(w.onWake)
	w.visit("p=" + link.Text(theirs))
	w.act(func() { w.app.ChooseAll(true) })
	would := w.app.Looking().Would()
	w.act(w.app.TakeOver)
	if got := w.app.answer.dated(); wLookWould+got != would {
		t.Errorf("before: %q, taken over: %q", would, got)
	}
	if o := w.app.book.Plan.Outage; o.SOC > 0.5 || o.Starts != plan.At(w.now) || len(o.Log.Readings) != 0 {
		t.Errorf("nine tenths of the time to plan on are over, and it counts %v from %s", o.SOC, o.Starts)
	}
	w.act(w.app.Undo)
	if o := w.app.book.Plan.Outage; o.SOC != 1 || len(w.app.book.Plan.Loads) != 3 {
		t.Errorf("undone: %+v", o)
	}
}

// Names of other plans are not taken.
func TestTakenName(t *testing.T) {
	w := planned(t, new(disk))
	theirs := w.app.book.Plan
	theirs.Name = "Hut"
	w.act(w.app.NewBook)
	w.visit("more")
	w.typeIn("plan-name", "Hut")
	w.visit("p=" + link.Text(theirs))
	w.act(func() { w.app.ChooseAll(true) })
	w.act(w.app.TakeOver)
	if n := names(w); len(n) != 2 || plan.SameName(n[0], n[1]) {
		t.Errorf("%q", n)
	}
}

// More than fit are not taken over.
func TestTakeTooMuch(t *testing.T) {
	w := planned(t, new(disk))
	theirs := w.app.book.Plan
	theirs.Loads = nil
	for i := range plan.MostLoads {
		theirs.Loads = append(theirs.Loads, lamp(fmt.Sprint("lamp ", i)))
	}
	w.visit("p=" + link.Text(theirs))
	for _, c := range w.app.Looking().Changes() {
		w.act(func() { w.app.Choose(c, strings.HasPrefix(c.Key, "new ")) })
	}
	checkPage(t, w.html())
	w.act(w.app.TakeOver)
	if n := len(w.app.book.Plan.Loads); n != 3 || w.app.News() != wTooMany || w.app.Page() != pageLook {
		t.Errorf("%d loads, told %q, page %q", n, w.app.News(), w.app.Page())
	}
}

func TestSending(t *testing.T) {
	w := planned(t, new(disk))
	w.visit("send")
	if strings.Contains(w.html(), wShare) && w.app.CanShare() {
		t.Error("a share sheet where there is none")
	}
	w.shares = true
	p := w.app.Parcel()
	w.act(w.app.ShareParcel)
	if len(w.shared) != 1 || w.shared[0] != [3]string{"My household", p.Short, p.Link} || w.app.News() != "" {
		t.Errorf("shared %q, told %q", w.shared, w.app.News())
	}
	for _, c := range []struct {
		copy func()
		want string
	}{{w.app.CopyShort, p.Short}, {w.app.CopyFull, p.Full}, {w.app.CopyLink, p.Link}} {
		w.act(c.copy)
		if got := w.copied[len(w.copied)-1]; got != c.want || w.app.News() != wCopied {
			t.Errorf("copied %q, told %q", got, w.app.News())
		}
	}
	w.refuse = true
	w.act(w.app.CopyLink)
	if w.app.News() != wCopyByHand || len(w.selected) != 1 || w.selected[0] != "send-link" {
		t.Errorf("refused: told %q, selected %q", w.app.News(), w.selected)
	}
	w.act(w.app.ShareParcel)
	if w.app.News() != wShareFailed {
		t.Errorf("no sheet: told %q", w.app.News())
	}
	w.act(w.app.SaveFile)
	if len(w.files) != 1 {
		t.Error("no file")
	}
	for i := range plan.MostLoads - len(w.app.book.Plan.Loads) {
		w.app.book.Plan.Loads = append(w.app.book.Plan.Loads, lamp(strings.Repeat("w", 50)+fmt.Sprint(i)))
	}
	w.visit("more")
	w.visit("send")
	if p := w.app.Parcel(); p.Link != "" || p.LinkNote() != wSendTooBig || utf8.RuneCountInString(p.Short) > shortMost {
		t.Errorf("a plan too big: %+v", p)
	}
	checkPage(t, w.html())
}

// The message tells what a reader needs who has nothing else.
func TestShort(t *testing.T) {
	w := planned(t, new(disk))
	short := func() string { w.visit("more"); w.visit("send"); return w.app.Parcel().Short }
	got := short()
	for _, part := range []string{"My household: If the power fails at 6pm on 15 January, plan on ", "until about ", "January. Turn off first: ", "Refrigerator, modern", "Must stay on: "} {
		if !strings.Contains(got, part) {
			t.Errorf("%q is not in %q", part, got)
		}
	}
	w.visit("tonight")
	w.act(w.app.PowerOut)
	if got := short(); !strings.Contains(got, "The power is out. Plan on power until ") || !strings.Contains(got, "counted from 7:03pm on 14 January") {
		t.Errorf("under way: %q", got)
	}
	w.pass(30 * time.Hour)
	w.act(w.onWake)
	if got := w.app.Parcel().Short; !strings.Contains(got, "has passed") {
		t.Errorf("passed: %q", got)
	}
	w.visit("supply")
	w.typeIn("supply-continuous", "20")
	if got := short(); !strings.Contains(got, "Can't run on this supply: Breathing mask") {
		t.Errorf("too small a supply: %q", got)
	}
	w.visit("supply")
	w.typeIn("supply-continuous", "200")
	if got := short(); !strings.Contains(got, "Can't run on this supply: Refrigerator") {
		t.Errorf("too weak a supply for the fridge's start: %q", got)
	}
	for i := range w.app.book.Plan.Loads {
		w.app.book.Plan.Loads[i].Off = true
	}
	if got := short(); !strings.Contains(got, wAllOff) {
		t.Errorf("all off: %q", got)
	}
}

// Whatever the plan, the message keeps to its length, is plain, and claims no
// more than the page.
func TestShortAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := anAnswer(t)
		a.plan.Name = strings.Repeat(rapid.SampledFrom([]string{"W", "ß", "🕯", "a b"}).Draw(t, "letter"), rapid.IntRange(1, 20).Draw(t, "times"))
		for i := range a.plan.Loads {
			a.plan.Loads[i].Rank = load.Rank(rapid.SampledFrom(load.Ranks).Draw(t, "rank"))
			a.plan.Loads[i].Name = strings.Repeat("n", rapid.IntRange(1, 60).Draw(t, "long"))
		}
		for _, s := range []string{a.Short(), a.Full()} {
			if slips.MatchString(s) || strings.ContainsAny(s, "\u00a0’“”–−×") {
				t.Fatalf("%q", s)
			}
		}
		if n := utf8.RuneCountInString(a.Short()); n > shortMost {
			t.Fatalf("%d characters: %q", n, a.Short())
		}
		if a.Ready() && !a.Passed() && a.plan.Outage.UnderWay && !beyond(a.run.CountOn) && !strings.Contains(a.Short(), dated(a.clock, a.until(a.run.CountOn))) {
			t.Fatalf("%q does not hold the time to plan on", a.Short())
		}
	})
}

func TestRoom(t *testing.T) {
	for name, want := range map[string]string{
		"Harbour":                       "Harbour",
		"Harbour cottage":               "Harbour cottage",
		"Harbour cottage by the pier":   "Harbour…",
		"Harbourside cottage":           "Harbourside…",
		"The cottages, harbour":         "The cottages…",
		"Harbour cottag e":              "Harbour cottag…",
		"Harbourside-cottage":           "Harbourside-co…",
		"A harbourside-cottage":         "A harbourside-…",
		"ßßßßßßßßßßßßßßßßß":             "ßßßßßßßßßßßßßß…",
		"Two  words and more of it now": "Two  words and…",
	} {
		if got := room(name, 15); got != want {
			t.Errorf("%q: got %q, want %q", name, got, want)
		}
	}
}
