package ui

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"candleclock/engine/plan"
	"candleclock/ui/shelf"
)

// Book is one plan of this device.
type Book struct {
	ID   string
	Plan plan.Plan
	// Sealed is what a newer version wrote: it is neither opened nor changed.
	Sealed []byte

	rev    shelf.Revision
	dirty  bool // changed since the last save began
	saving bool
	gone   bool // removed: nothing of it is to be saved any more
	// doubt is what a failed save may have stored all the same. Only the save
	// under way touches it.
	doubt []byte
}

const prefsName = "prefs"

// newID makes the id of a new plan.
func newID() string { return fmt.Sprintf("%016x", rand.Uint64()) }

// isID reports whether an id could be one that newID made.
func isID(s string) bool {
	return len(s) == 16 && strings.Trim(s, "0123456789abcdef") == ""
}

// readShelf reads the plans and how their owner likes to read. It blocks.
func (a *App) readShelf() (c shelf.Contents, prefs []byte, err error) {
	if c, err = a.shelf.Load(); err == nil {
		prefs, _ = a.shelf.Setting(prefsName) // without it the page goes by its guess
	}
	return c, prefs, err
}

// readLate reads what did not come when the page was opened: some browsers'
// storage does not answer at first.
func (a *App) readLate() {
	contents, prefs, err := a.readShelf()
	a.ports.Do(func() {
		if a.asking = false; err != nil {
			return // asked again with the next minute
		}
		a.awaited = false
		if a.trouble == wUnread {
			a.trouble = ""
		}
		meanwhile, current := slices.Clone(a.books), a.prefs.Current
		a.prefs = readPrefs(prefs, a.prefs)
		if a.book != nil {
			a.prefs.Current = current
		}
		a.fill(contents)
		for _, b := range meanwhile {
			if b.Sealed == nil && a.nameTaken(b.Plan.Name, b) {
				b.Plan.Name = a.freeName(b.Plan.Name)
				a.save(b)
			}
		}
		a.sortBooks()
		if len(meanwhile) > 0 {
			a.tell(wReadLate, nil)
			a.refresh()
		} else {
			a.follow(a.opening())
		}
	})
}

// fill takes over what the shelf holds, beside what is there.
func (a *App) fill(c shelf.Contents) {
	for _, p := range c.Plans {
		if a.find(p.ID) == nil {
			a.books = append(a.books, open(p.ID, p.Revision, p.Data))
		}
	}
	a.sortBooks()
	a.show(a.prefs.Current)
	a.damaged(c)
}

// damaged tells of what was found damaged, and notes what lies aside.
func (a *App) damaged(c shelf.Contents) {
	a.aside = c.Aside
	for _, d := range c.Damaged {
		name := "A plan"
		if b := a.find(d.ID); b != nil && b.Sealed == nil {
			name = b.Plan.Name
		}
		if d.Instead == 0 {
			a.tell(name+wDamagedAll, nil)
		} else {
			a.tell(name+wDamaged, nil)
		}
	}
}

// open makes a book of what was kept. What this version cannot read, a newer
// one wrote: it is sealed.
func open(id string, rev shelf.Revision, data []byte) *Book {
	p, err := plan.Decode(data)
	if err != nil {
		return &Book{ID: id, rev: rev, Sealed: data}
	}
	p.ID = id
	return &Book{ID: id, rev: rev, Plan: p}
}

// Name is what the list of plans calls it.
func (b *Book) Name() string {
	if b.Sealed != nil {
		return "A plan of a newer version"
	}
	return b.Plan.Name
}

func (a *App) sortBooks() {
	slices.SortStableFunc(a.books, func(x, y *Book) int {
		return strings.Compare(strings.ToLower(x.Name()), strings.ToLower(y.Name()))
	})
}

// show puts the plan with this id in view, else the first that can be.
func (a *App) show(id string) {
	a.book = nil
	for _, b := range a.books {
		if b.Sealed == nil && (a.book == nil || b.ID == id) {
			a.book = b
		}
	}
	if a.book != nil && a.book.ID != a.prefs.Current {
		a.prefs.Current = a.book.ID
		a.savePrefs()
	}
}

// add makes a new plan of this device out of p and puts it in view.
func (a *App) add(p plan.Plan) *Book {
	p.ID = newID()
	return a.adopt(p)
}

// keep makes a plan of this device out of one that came from elsewhere. It
// keeps its id, so that what is sent back is known there, unless that is that
// of a plan here or was of one that this page removed.
func (a *App) keep(p plan.Plan) *Book {
	p.Name = a.freeName(p.Name)
	if !isID(p.ID) || a.find(p.ID) != nil || a.spent[p.ID] {
		return a.add(p)
	}
	return a.adopt(p)
}

// adopt puts p among the plans of this device, under its id, and in view.
func (a *App) adopt(p plan.Plan) *Book {
	b := &Book{ID: p.ID, Plan: p}
	a.books = append(a.books, b)
	a.sortBooks()
	a.show(b.ID)
	a.save(b)
	return b
}

// newPlan is an empty plan, for a cut that begins this evening.
func (a *App) newPlan(name string) plan.Plan {
	a.tick()
	p := plan.New(a.freeName(name), a.evening())
	p.Place.Zone = a.ports.Clock.Zone()
	p.Mains = guessMains(p.Place.Zone)
	return p
}

// evening is the next 6pm: when a cut is felt first.
func (a *App) evening() plan.Moment {
	m := a.now.After(hoursOf(18*60 - int(a.now.Minute())))
	if m.Since(a.now) < 0 {
		m = m.After(24)
	}
	return m
}

// freeName adds a number to a name that another plan has.
func (a *App) freeName(name string) string {
	free := name
	for n := 2; a.nameTaken(free, nil); n++ {
		free = numbered(name, n, plan.NameMost)
	}
	return free
}

// nameTaken reports whether a plan but this one has the name.
func (a *App) nameTaken(name string, but *Book) bool {
	return slices.ContainsFunc(a.books, func(b *Book) bool { return b != but && b.Sealed == nil && plan.SameName(b.Plan.Name, name) })
}

// numbered puts a number behind a name and keeps both within most characters.
func numbered(name string, n, most int) string {
	tail := fmt.Sprintf(" %d", n)
	r := []rune(name)
	return string(r[:min(len(r), most-len(tail))]) + tail
}

// save has the plan written to the device. Saves of one plan come one after
// another; changes made meanwhile go into the next.
func (a *App) save(b *Book) {
	b.dirty = true
	if b.saving || b.gone {
		return
	}
	b.saving = true
	id, base, data := a.snapshot(b)
	a.ports.Spawn(func() { a.saveOn(b, id, base, data) })
}

func (a *App) snapshot(b *Book) (id string, base shelf.Revision, data []byte) {
	b.dirty = false
	return b.ID, b.rev, b.Plan.Encode()
}

// saveOn saves until nothing has changed any more.
func (a *App) saveOn(b *Book, id string, base shelf.Revision, data []byte) {
	for again := true; again; {
		rev, err := base, error(nil)
		if b.doubt != nil {
			// A save that failed may have been stored all the same. Saving the
			// same bytes again tells, and what follows builds on it.
			rev, err = a.shelf.Save(id, base, b.doubt)
		}
		if err == nil {
			b.doubt = nil
			if rev, err = a.shelf.Save(id, rev, data); err != nil && !errors.Is(err, shelf.ErrConflict) {
				b.doubt = data
			}
		}
		a.ports.Do(func() {
			if again = a.saved(b, rev, err); again {
				id, base, data = a.snapshot(b)
			} else {
				b.saving = false
			}
		})
	}
}

// saved takes note of how a save ended, and reports whether to save again.
func (a *App) saved(b *Book, rev shelf.Revision, err error) (again bool) {
	switch {
	case err == nil && b.gone: // removed before its first save had begun
		a.ports.Spawn(func() { a.unshelve(b, rev) })
		return false
	case err == nil:
		b.rev = rev
		if a.trouble == wNoRoom || a.trouble == wLost {
			a.trouble = ""
		}
		if a.awaited { // it answers now
			a.retry()
		}
		a.ports.Tabs.Tell("plan " + b.ID)
		return b.dirty
	case errors.Is(err, shelf.ErrConflict):
		if !b.gone {
			a.stepAside(b)
		}
		return !b.gone
	case errors.Is(err, ErrStoreFull):
		a.trouble = wNoRoom
	case errors.Is(err, ErrStoreDenied):
		a.trouble = wNotKept
	default:
		a.trouble = wLost
	}
	b.dirty = true // tried again at the next change, and each minute
	return false
}

// retry reads and saves what could not be before.
func (a *App) retry() (tried bool) {
	if a.awaited && !a.asking {
		a.asking, tried = true, true
		a.ports.Spawn(a.readLate)
	}
	for _, b := range a.books {
		if b.dirty && !b.saving {
			a.save(b)
			tried = true
		}
	}
	return tried
}

// stepAside keeps what stands on this page as a plan of its own, because
// another page changed the same plan meanwhile, and reads that one again.
func (a *App) stepAside(b *Book) {
	was, theirs := b.Plan.Name, b.ID
	b.ID, b.rev, b.doubt = newID(), 0, nil
	b.Plan.ID = b.ID
	b.Plan.Name = a.freeName(was)
	a.sortBooks()
	if a.book == b {
		a.prefs.Current = b.ID
		a.savePrefs()
	}
	a.tell(named(was)+" "+wElsewhere+named(b.Plan.Name)+".", nil)
	a.ports.Spawn(func() { a.reread(theirs) })
}

// heard is told what another page of this app did.
func (a *App) heard(word string) {
	id, ok := strings.CutPrefix(word, "plan ")
	if ok && len(id) <= 40 {
		a.ports.Spawn(func() { a.reread(id) })
	}
}

// reread takes over what another page stored, unless this page has changes of
// its own to the same plan: those meet the conflict when they are saved.
func (a *App) reread(id string) {
	c, err := a.shelf.Load()
	if err != nil {
		return
	}
	a.ports.Do(func() {
		a.damaged(c)
		at := slices.IndexFunc(a.books, func(b *Book) bool { return b.ID == id })
		if at >= 0 && (a.books[at].dirty || a.books[at].saving) {
			return
		}
		var fresh *Book
		for _, p := range c.Plans {
			if p.ID == id {
				fresh = open(p.ID, p.Revision, p.Data)
			}
		}
		switch {
		case fresh == nil && at < 0:
			return
		case fresh == nil:
			a.books[at].gone = true
			a.books = slices.Delete(a.books, at, at+1)
		case at < 0:
			a.books = append(a.books, fresh)
		case a.books[at].rev == fresh.rev:
			return
		default:
			*a.books[at] = *fresh
		}
		a.sortBooks()
		if at < 0 {
			return
		}
		if a.book != nil && a.book.ID == id {
			// What could be undone is of the plan as it was.
			if fresh != nil {
				a.tell(named(fresh.Name())+wRefreshed, nil)
			} else {
				a.tell(named(a.book.Name())+wGone, nil)
			}
			a.show(a.prefs.Current)
			a.refresh()
		}
	})
}

// refresh shows the page in view again after the plan under it changed.
func (a *App) refresh() {
	news, undo := a.news, a.undo
	a.follow(a.ports.Device.Route())
	a.news, a.undo = news, undo
}

// savePrefs keeps how the owner likes to read.
func (a *App) savePrefs() {
	if a.awaited {
		return // those that are kept are not known yet
	}
	data := a.prefs.write()
	a.ports.Spawn(func() {
		// What is lost here is a manner of reading; the plans tell of trouble.
		_ = a.shelf.SetSetting(prefsName, data)
	})
}

// remove takes a plan off the device, with a way back.
func (a *App) remove(b *Book) {
	at := slices.Index(a.books, b)
	a.books = slices.Delete(a.books, at, at+1)
	b.gone = true
	a.spent[b.ID] = true
	inView := a.book == b
	if inView {
		a.show("")
	}
	base := b.rev
	a.ports.Spawn(func() { a.unshelve(b, base) })
	a.tell(wRemoved+named(b.Plan.Name)+".", func() {
		// The old id is spent; the plan comes back under a new one.
		back := a.add(b.Plan)
		if !inView {
			a.show(back.ID)
		}
		a.refresh()
	})
}

// unshelve deletes what is stored of a removed plan. A save that was under way
// may have moved the revision on; then the newest is deleted.
func (a *App) unshelve(b *Book, base shelf.Revision) {
	for range 3 {
		err := a.shelf.Delete(b.ID, base)
		if !errors.Is(err, shelf.ErrConflict) {
			break
		}
		c, err := a.shelf.Load()
		if err != nil {
			break
		}
		base = 0
		for _, p := range c.Plans {
			if p.ID == b.ID {
				base = p.Revision
			}
		}
	}
	a.ports.Do(func() { a.ports.Tabs.Tell("plan " + b.ID) })
}
