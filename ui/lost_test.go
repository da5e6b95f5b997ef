package ui

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"candleclock/ui/shelf"
)

// closes is the browser closing the store by itself.
func (w *world) closes() {
	w.onGone()
	w.run()
}

// household is a page with three plans, all saved.
func household(t *testing.T, d *disk) *world {
	t.Helper()
	w := planned(t, d)
	for _, name := range []string{"Cabin", "Grandma"} {
		w.visit("more")
		w.act(w.app.NewBook)
		w.visit("more")
		w.typeIn("plan-name", name)
	}
	if got := storedNames(t, d); len(got) != 3 || len(d.spare.kept) != 3 || len(d.last.kept) != 3 {
		t.Fatalf("stored are %q, with %d and %d copies", got, len(d.spare.kept), len(d.last.kept))
	}
	return w
}

func storedNames(t *testing.T, d *disk) (all []string) {
	t.Helper()
	for _, p := range d.mustPlans(t) {
		all = append(all, p.Name)
	}
	slices.Sort(all)
	return all
}

// The store is empty when the page is opened, as after a full disk: the copies
// stand in, are stored again, and it is told. Plans that are in neither place are
// told of too, until their owner has read it.
func TestEmptyStoreIsNotBelieved(t *testing.T) {
	d := new(disk)
	household(t, d)
	was := storedNames(t, d)
	d.wipe()
	w := openPage(t, d)
	if got := storedNames(t, d); !slices.Equal(got, was) || !w.app.HasBook() {
		t.Errorf("stored are %q, want %q; in view: %v", got, was, w.app.HasBook())
	}
	for _, name := range was {
		if !strings.Contains(w.app.News(), name) || !strings.Contains(w.app.News(), wRegained) {
			t.Errorf("told is %q; it must name %s", w.app.News(), name)
		}
	}
	if w = openPage(t, d); w.app.News() != "" {
		t.Errorf("the second time it tells %q", w.app.News())
	}

	d.wipe()
	d.spare, d.last = pocket{}, pocket{}
	for range 2 {
		w = openPage(t, d)
		for _, name := range was {
			if !strings.Contains(w.app.News(), name) || !strings.Contains(w.app.News(), wMissing) || w.app.HasBook() {
				t.Errorf("all gone: told is %q; it must name %s", w.app.News(), name)
			}
		}
		checkPage(t, w.html())
	}
	w.act(w.app.Dismiss)
	if w = openPage(t, d); w.app.News() != "" {
		t.Errorf("after it was read, it tells %q", w.app.News())
	}
}

// What its owner removed is not missed.
func TestRemovedIsNotMissed(t *testing.T) {
	d := new(disk)
	w := household(t, d)
	for range 3 {
		w.visit("more")
		w.act(w.app.RemoveBook)
	}
	if w = openPage(t, d); w.app.News() != "" || w.app.HasBook() || len(d.spare.kept)+len(d.last.kept) != 0 {
		t.Errorf("told %q, in view %q, %d copies", w.app.News(), w.app.PlanName(), len(d.spare.kept))
	}
}

// The browser clears everything under the open page: all plans that it holds are
// saved again, at the next change or as soon as the browser tells, and no false
// reason is told.
func TestClearedUnderThePage(t *testing.T) {
	for _, how := range []string{"a change", "the browser tells", "another page tells"} {
		d := new(disk)
		w := household(t, d)
		other := openPage(t, d)
		d.wipe()
		d.spare, d.last, d.marks = pocket{}, pocket{}, nil
		want := []string{"Cabin", "Grandma", "My household"}
		switch how {
		case "a change":
			w.visit("more")
			w.typeIn("plan-name", "Grandma’s")
			want[1] = "Grandma’s"
		case "the browser tells":
			w.closes()
		case "another page tells":
			w.closes()
			for _, word := range w.told {
				other.act(func() { other.onTell(word) })
			}
			w = other
		}
		if got := storedNames(t, d); !slices.Equal(got, want) {
			t.Errorf("%s: stored are %q, want %q", how, got, want)
		}
		if got := names(w); len(got) != 3 {
			t.Errorf("%s: on the page are %q", how, got)
		}
		if how != "another page tells" && (w.app.News() != wCleared || w.checks == 0) {
			t.Errorf("%s: told %q, the site's copy looked at %d times", how, w.app.News(), w.checks)
		}
		if w.app.Trouble() != "" || w.app.Kept() != wSaved+"." || len(d.spare.kept) != 3 || len(d.marks) != 3 {
			t.Errorf("%s: trouble %q, kept %q, %d copies, %d marks", how, w.app.Trouble(), w.app.Kept(), len(d.spare.kept), len(d.marks))
		}
	}
}

// The browser lets go of the store and nothing is lost: nothing is told.
func TestStoreClosedOnly(t *testing.T) {
	d := new(disk)
	w := household(t, d)
	w.act(w.app.Dismiss)
	w.closes()
	if w.app.News() != "" || w.checks != 1 {
		t.Errorf("told %q, the site's copy looked at %d times", w.app.News(), w.checks)
	}
}

// Saved is what both places hold: not before the copy is made, and not when it
// can't be.
func TestSavedIsTwice(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.visit("supply")
	f := w.field("supply-capacity")
	w.do(func() { w.app.TypeText(f, "2000") })
	save := w.queue[0]
	w.queue = w.queue[1:]
	save()
	if got := d.mustPlans(t)[0].Supply.Battery.Capacity; got != 2000 || w.app.Kept() != wSaving {
		t.Errorf("stored are %v Wh, and the page says %q", got, w.app.Kept())
	}
	w.run()
	if w.app.Kept() != wSaved+"." {
		t.Errorf("copied: %q", w.app.Kept())
	}
	for _, c := range []struct {
		err  error
		want string
	}{{ErrStoreFull, wNoRoom}, {ErrStoreLost, wLost}, {errBroken, wLost}, {shelf.ErrNoSpare, wLost}} {
		d.spare.fail = c.err
		w.typeIn("supply-capacity", "3000")
		if w.app.Trouble() != c.want || w.app.Kept() != "" {
			t.Errorf("%v: told %q, kept %q", c.err, w.app.Trouble(), w.app.Kept())
		}
		d.spare.fail = nil
		w.act(w.onWake)
		if w.app.Trouble() != "" || w.app.Kept() != wSaved+"." {
			t.Errorf("%v, mended: told %q, kept %q", c.err, w.app.Trouble(), w.app.Kept())
		}
	}
}

// No save waits for a copy, and copies that can't keep up are left out, but for
// the newest.
func TestCopiesComeAfter(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.visit("supply")
	f := w.field("supply-capacity")
	before := d.spare.puts
	var copies []func() // are left to wait
	for _, size := range []string{"2001", "2002", "2003", "2004", "2005"} {
		copies, w.queue = append(copies, w.queue...), nil
		w.do(func() { w.app.TypeText(f, size) })
		save := w.queue[0]
		w.queue = w.queue[1:]
		save()
	}
	if got := d.mustPlans(t)[0].Supply.Battery.Capacity; got != 2005 || d.spare.puts != before {
		t.Fatalf("stored are %v Wh, %d copies are made", got, d.spare.puts-before)
	}
	w.queue = append(copies, w.queue...)
	w.run()
	if n := d.spare.puts - before; n < 1 || n > 2 {
		t.Errorf("%d copies of 5 saves", n)
	}
	d.wipe()
	w = openPage(t, d)
	if got := d.mustPlans(t)[0].Supply.Battery.Capacity; got != 2005 {
		t.Errorf("the copy is of %v Wh", got)
	}
}

// After a save that failed, the store's word alone counts for nothing.
func TestWaryAfterAFailure(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.visit("supply")
	d.fail = ErrStoreLost
	w.typeIn("supply-capacity", "2000")
	d.fail, d.spare.fail = nil, ErrStoreFull
	w.typeIn("supply-capacity", "2100") // stored, by its own account
	if w.app.Kept() != "" || w.app.Trouble() == "" {
		t.Errorf("one place: kept %q, told %q", w.app.Kept(), w.app.Trouble())
	}
	// It takes the save, and has lost it when it is read back.
	d.spare.fail = nil
	f := w.field("supply-capacity")
	w.do(func() { w.app.TypeText(f, "2200") })
	save := w.queue[0]
	w.queue = w.queue[1:]
	save()
	d.wipe()
	w.run()
	if w.app.Kept() != "" || w.app.Trouble() != wLost {
		t.Errorf("not there when read back: kept %q, told %q", w.app.Kept(), w.app.Trouble())
	}
	w.typeIn("supply-capacity", "2300")
	w.act(w.onWake)
	if got := d.mustPlans(t)[0].Supply.Battery.Capacity; got != 2300 || w.app.Kept() != wSaved+"." {
		t.Errorf("mended: %v Wh stored, kept %q, told %q", got, w.app.Kept(), w.app.Trouble())
	}

	// Where there is no second place, it stays in doubt.
	d = &disk{spare: pocket{none: true}}
	w = planned(t, d)
	w.visit("supply")
	w.typeIn("supply-capacity", "2000")
	if w.app.Kept() != wSaved+"." {
		t.Errorf("one place, and no failure: %q", w.app.Kept())
	}
	d.fail = ErrStoreLost
	w.typeIn("supply-capacity", "2100")
	d.fail = nil
	w.typeIn("supply-capacity", "2200")
	if w.app.Kept() != "" || w.app.Trouble() != wUnsure {
		t.Errorf("one place, after a failure: kept %q, told %q", w.app.Kept(), w.app.Trouble())
	}
}

// A save that failed turns out to have been stored, and the next one fails: the
// page goes on from there, and does not take its own save for another page's.
func TestDoubtThenFailure(t *testing.T) {
	d := new(disk)
	w := planned(t, d)
	w.visit("supply")
	f := w.field("supply-capacity")
	d.lose = ErrStoreLost
	w.act(func() { w.app.TypeText(f, "2000") })
	d.next = []error{nil, ErrStoreLost} // the doubt is stored, what follows is not
	w.act(func() { w.app.TypeText(f, "2001") })
	w.act(func() { w.app.TypeText(f, "2002") })
	if got := storedNames(t, d); len(got) != 1 || strings.Contains(w.app.News(), wElsewhere) {
		t.Errorf("stored are %q, told %q", got, w.app.News())
	}
	if got := d.mustPlans(t)[0].Supply.Battery.Capacity; got != 2002 || w.app.Kept() != wSaved+"." {
		t.Errorf("stored are %v Wh, kept %q", got, w.app.Kept())
	}
}

// The store does not answer, and the copies do: they are shown, and go on once it
// answers.
func TestCopiesWhileStoreIsSilent(t *testing.T) {
	for _, silent := range []error{ErrStoreLost, ErrStoreDenied} {
		d := new(disk)
		planned(t, d)
		d.deaf, d.fail = silent, silent
		w := openPage(t, d)
		want := wUnreadCopies
		if errors.Is(silent, ErrStoreDenied) {
			want = wNotKept
		}
		if w.app.Page() != pageTonight || w.app.Trouble() != want || w.app.News() != "" {
			t.Errorf("%v: page %q, told %q, news %q", silent, w.app.Page(), w.app.Trouble(), w.app.News())
		}
		w.visit("supply")
		w.typeIn("supply-capacity", "2000")
		if w.app.Kept() != "" {
			t.Errorf("%v: it says %q", silent, w.app.Kept())
		}
		if d.deaf, d.fail = nil, nil; errors.Is(silent, ErrStoreDenied) {
			continue // it is not asked again
		}
		w.act(w.onWake)
		w.act(w.onWake)
		if got := d.mustPlans(t); len(got) != 1 || got[0].Supply.Battery.Capacity != 2000 || w.app.Trouble() != "" {
			t.Errorf("it answers: %d plans are stored, of %v Wh; told %q", len(got), got[0].Supply.Battery.Capacity, w.app.Trouble())
		}
	}
}

// The browser is asked to keep things for good when the first plan is saved, once,
// and More says what it answered.
func TestAskedToLast(t *testing.T) {
	for _, promises := range []bool{true, false} {
		d := new(disk)
		w := openPage(t, d, func(w *world) { w.promises = promises })
		if w.asked != 0 {
			t.Error("it is asked before there is anything to keep")
		}
		w.act(w.app.PlanAhead)
		w.visit("supply")
		w.typeIn("supply-capacity", "2000")
		w.visit("more")
		if w.asked != 1 {
			t.Errorf("it was asked %d times", w.asked)
		}
		html := w.html()
		if strings.Contains(html, wLasts) != promises || strings.Contains(html, wLastsNot) == promises {
			t.Errorf("promised %v, and More says %q", promises, w.app.Lasts())
		}
		w = openPage(t, d, func(w *world) { w.promises = promises })
		w.visit("supply")
		w.typeIn("supply-capacity", "2001")
		if w.asked != 0 {
			t.Error("it is asked again")
		}
		if w.act(w.app.AskLasting); w.asked != 1 {
			t.Error("it is not asked again when told to")
		}
	}
}

// The browser closes the store and is still at it when the page looks: it looks
// again.
func TestClearedAndBusy(t *testing.T) {
	d := new(disk)
	w := household(t, d)
	d.wipe()
	d.spare, d.last = pocket{}, pocket{}
	d.deaf = ErrStoreLost
	w.closes()
	d.deaf = nil
	w.act(w.onWake)
	if got := storedNames(t, d); len(got) != 3 || w.app.News() != wCleared {
		t.Errorf("stored are %q, told %q", got, w.app.News())
	}
}
