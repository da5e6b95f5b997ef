package ui

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"candleclock/engine/plan"
	"candleclock/ui/say"
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

	stored  []byte         // what rev holds
	copied  shelf.Revision // the newest of which there is a second copy
	copying bool           // one is being made
	marked  string         // the name by which it is noted as kept
}

const prefsName = "prefs"

// newID makes the id of a new plan.
func newID() string { return fmt.Sprintf("%016x", rand.Uint64()) }

// isID reports whether an id could be one that newID made.
func isID(s string) bool {
	return len(s) == 16 && strings.Trim(s, "0123456789abcdef") == ""
}

// kept is what the page finds when it is opened.
type kept struct {
	shelf.Contents
	prefs []byte
	marks map[string]string // what was there, as far as the browser knows
}

// readShelf reads the plans and how their owner likes to read. It blocks.
func (a *App) readShelf() (k kept, err error) {
	k.marks = a.ports.Marks.All() // first: another page may save meanwhile
	if k.Contents, err = a.shelf.Load(); err == nil && k.Unread == nil {
		k.prefs, _ = a.shelf.Setting(prefsName) // without it the page goes by its guess
	}
	return k, err
}

// readLate reads what did not come when the page was opened: some browsers'
// storage does not answer at first.
func (a *App) readLate() {
	k, err := a.readShelf()
	a.ports.Do(func() {
		if a.asking = false; err != nil || k.Unread != nil {
			return // asked again with the next minute
		}
		a.awaited = false
		if a.trouble == wUnread || a.trouble == wUnreadCopies {
			a.trouble = ""
		}
		meanwhile, current := slices.Clone(a.books), a.prefs.Current
		a.prefs = readPrefs(k.prefs, a.prefs)
		if a.book != nil {
			a.prefs.Current = current
		}
		a.fill(k)
		for _, b := range meanwhile {
			if b.Sealed == nil && a.nameTaken(b.Plan.Name, b) {
				b.Plan.Name = a.freeName(b.Plan.Name)
				a.save(b)
			}
		}
		a.sortBooks()
		switch {
		case len(meanwhile) == 0:
			a.follow(a.opening())
		case len(a.books) > len(meanwhile):
			a.tell(wReadLate, nil)
			fallthrough
		default:
			a.refresh()
		}
		a.retry()
	})
}

// fill takes over what the shelf holds, beside what is there.
func (a *App) fill(k kept) {
	a.doubled = k.Doubled
	for _, p := range k.Plans {
		switch b := a.find(p.ID); {
		case b == nil:
			a.books = append(a.books, open(p))
		case !b.dirty && !b.saving && b.rev != p.Revision:
			a.renew(b, p) // it was the second copy, and an older one
		}
	}
	a.sortBooks()
	a.show(a.prefs.Current)
	a.damaged(k.Contents)
	if k.Unread == nil {
		a.regained(k)
	}
}

// regained tells what came back from its second copy, and what was kept once and
// is in neither place: an empty store is not believed.
func (a *App) regained(k kept) {
	told := []string{}
	if a.news != "" {
		told = append(told, a.news)
	}
	var back, gone []string
	for _, id := range k.Regained {
		if b := a.find(id); b != nil {
			back = append(back, named(b.Name()))
		}
	}
	for id := range k.marks {
		hurt := slices.ContainsFunc(k.Damaged, func(d shelf.Damage) bool { return d.ID == id })
		if a.find(id) == nil && !hurt {
			a.missing = append(a.missing, id)
			gone = append(gone, named(k.marks[id]))
		}
	}
	if len(back) > 0 {
		told = append(told, listOf(back)+wRegained)
	}
	if len(gone) > 0 {
		slices.Sort(gone)
		told = append(told, wMissing+listOf(gone)+wMissingSo)
	}
	if len(back)+len(gone) > 0 {
		a.tell(strings.Join(told, " "), nil)
		a.missingNews = a.news
	}
	for _, b := range a.books {
		a.mark(b)
	}
}

// mark notes that a plan is kept.
func (a *App) mark(b *Book) {
	if name := b.Name(); b.rev != 0 && b.marked != name {
		b.marked = name
		a.ports.Marks.Set(b.ID, name)
	}
}

// listOf is "A", "A and B" or "A, B and C"; of many the first few.
func listOf(names []string) string {
	const most = 5
	if len(names) > most {
		names = append(slices.Clone(names[:most]), say.Number(float64(len(names)-most), 0)+" more")
	}
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// damaged tells of what was found damaged, and notes what lies aside.
func (a *App) damaged(c shelf.Contents) {
	a.aside = c.Aside
	for _, d := range c.Damaged {
		if d.SetAside && slices.Contains(c.Regained, d.ID) {
			continue // its copy was as new, and that is told
		}
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
func open(k shelf.Plan) *Book {
	b := &Book{ID: k.ID, rev: k.Revision, stored: k.Data, copied: k.Copied, dirty: k.Owed}
	p, err := plan.Decode(k.Data)
	if err != nil {
		b.Sealed = k.Data
		return b
	}
	p.ID = k.ID
	b.Plan = p
	return b
}

// renew makes b what is kept now. A copy of it may be under way.
func (a *App) renew(b *Book, p shelf.Plan) {
	fresh := open(p)
	fresh.copying, fresh.marked = b.copying, b.marked
	*b = *fresh
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
	if b.Sealed != nil {
		return b.ID, b.rev, b.Sealed
	}
	return b.ID, b.rev, b.Plan.Encode()
}

// saveOn saves until nothing has changed any more.
func (a *App) saveOn(b *Book, id string, base shelf.Revision, data []byte) {
	for again := true; again; {
		rev, err := base, error(nil)
		var before []byte // what base holds, where that is new
		if b.doubt != nil {
			// A save that failed may have been stored all the same. Saving the
			// same bytes again tells, and what follows builds on it.
			if rev, err = a.shelf.Save(id, base, b.doubt); err == nil {
				before, b.doubt, base = b.doubt, nil, rev
			}
		}
		if err == nil {
			if rev, err = a.shelf.Save(id, base, data); err != nil && !errors.Is(err, shelf.ErrConflict) {
				b.doubt = data
			}
		}
		a.ports.Do(func() {
			switch {
			case err == nil:
				b.rev, b.stored = rev, data
			case before != nil:
				b.rev, b.stored = base, before
			}
			if again = a.saved(b, err); again {
				id, base, data = a.snapshot(b)
			} else {
				b.saving = false
			}
			a.settle()
		})
	}
}

// saved takes note of how a save ended, and reports whether to save again.
func (a *App) saved(b *Book, err error) (again bool) {
	switch {
	case err == nil && b.gone: // removed before its first save had begun
		rev := b.rev
		a.ports.Spawn(func() { a.unshelve(b, rev) })
		return false
	case err == nil:
		a.mark(b)
		a.copy(b)
		a.askLasting()
		if a.awaited { // it answers now
			a.retry()
		}
		if a.shelf.WentBack() {
			a.ports.Spawn(func() { a.restock(true) })
		}
		a.ports.Tabs.Tell("plan " + b.ID)
		return b.dirty
	case errors.Is(err, shelf.ErrConflict):
		if !b.gone {
			a.stepAside(b)
		}
		return !b.gone
	}
	a.failed(err)
	b.dirty = true // tried again at the next change, and each minute
	return false
}

// failed tells that something is not kept. From then on nothing counts as saved
// that has not been read back from both places: on a full disk a browser's
// database may take a save, and be found torn when it is opened again.
func (a *App) failed(err error) {
	a.wary = true
	switch {
	case errors.Is(err, ErrStoreFull):
		a.trouble = wNoRoom
	case errors.Is(err, ErrStoreDenied):
		a.trouble = wNotKept
	default:
		a.trouble = wLost
	}
}

// settle takes the trouble back once all that this page holds is kept.
func (a *App) settle() {
	if a.trouble != wNoRoom && a.trouble != wLost && a.trouble != wUnsure {
		return
	}
	for _, b := range a.books {
		if b.dirty || b.saving || a.owes(b) {
			return
		}
	}
	if a.trouble = ""; !a.doubled {
		a.trouble = wUnsure
	}
}

// owes reports whether the second copy of what is saved is yet to be made.
func (a *App) owes(b *Book) bool { return a.doubled && b.copied < b.rev }

// copy has the second copy made of what is saved. Copies of one plan come one
// after another, always of the newest; no key and no save waits for them.
func (a *App) copy(b *Book) {
	if !a.owes(b) || b.copying || b.gone {
		return
	}
	b.copying = true
	id, rev, data, wary := b.ID, b.rev, b.stored, a.wary
	a.ports.Spawn(func() {
		for again := true; again; {
			err := a.shelf.Copy(id, rev, data)
			if err == nil && wary {
				err = a.shelf.Holds(id, data)
			}
			a.ports.Do(func() {
				if again = a.copiedTo(b, id, rev, err); again {
					id, rev, data, wary = b.ID, b.rev, b.stored, a.wary
				} else {
					b.copying = false
				}
				a.settle()
			})
		}
	})
}

// copiedTo takes note of how a copy ended, and reports whether to copy again.
func (a *App) copiedTo(b *Book, id string, rev shelf.Revision, err error) (again bool) {
	switch {
	case b.gone:
		a.ports.Spawn(func() { a.shelf.Uncopy(id) })
		return false
	case b.ID != id: // it stepped aside
	case b.rev != rev: // and so a newer one is owed
	case err != nil:
		if errors.Is(err, ErrStoreDenied) {
			err = ErrStoreLost // it was allowed before
		}
		a.failed(err)
		return false // tried again at the next change, and each minute
	default:
		b.copied = rev
	}
	return a.owes(b)
}

// gone is told that the browser has closed the store by itself.
func (a *App) gone() { a.restock(false) }

// restock saves again what this page holds and the store has lost, as when the
// browser cleared it under the open page. lost is whether it is known to have.
func (a *App) restock(lost bool) {
	c, err := a.shelf.Load()
	a.ports.Do(func() {
		if a.missed = err != nil || c.Unread != nil; a.missed {
			return // tried again each minute
		}
		a.ports.Site.Check()
		if back := a.shelf.WentBack(); !back && !lost {
			return
		}
		a.doubled = c.Doubled
		there := map[string]shelf.Plan{}
		for _, p := range c.Plans {
			there[p.ID] = p
		}
		again := false
		for _, b := range a.books {
			p := there[b.ID]
			b.copied = p.Copied
			if b.rev == 0 || b.saving || p.Revision >= b.rev {
				a.copy(b)
				continue
			}
			again = true
			b.rev, b.doubt, b.marked = p.Revision, nil, ""
			a.save(b)
		}
		if again {
			a.tell(wCleared, nil)
		}
	})
}

// retry reads and saves what could not be before.
func (a *App) retry() (tried bool) {
	if a.awaited && !a.asking {
		a.asking, tried = true, true
		a.ports.Spawn(a.readLate)
	}
	if a.missed {
		a.missed = false
		a.ports.Spawn(func() { a.restock(true) })
	}
	for _, b := range a.books {
		switch {
		case b.dirty && !b.saving:
			a.save(b)
			tried = true
		case a.owes(b) && !b.saving && !b.copying:
			a.copy(b)
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
	b.copied, b.marked = 0, ""
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
	if err != nil || c.Unread != nil {
		return
	}
	a.ports.Do(func() {
		a.damaged(c)
		if a.shelf.WentBack() {
			a.ports.Spawn(func() { a.restock(true) })
			return
		}
		at := slices.IndexFunc(a.books, func(b *Book) bool { return b.ID == id })
		if at >= 0 && (a.books[at].dirty || a.books[at].saving) {
			return
		}
		now := slices.IndexFunc(c.Plans, func(p shelf.Plan) bool { return p.ID == id })
		var fresh *Book
		switch {
		case now < 0 && at < 0:
			return
		case now < 0:
			a.books[at].gone = true
			a.books = slices.Delete(a.books, at, at+1)
		case at < 0:
			fresh = open(c.Plans[now])
			a.books = append(a.books, fresh)
		case a.books[at].rev == c.Plans[now].Revision:
			return
		default:
			fresh = a.books[at]
			a.renew(fresh, c.Plans[now])
		}
		if fresh != nil {
			a.copy(fresh) // the other page may not come to it
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
	a.ports.Marks.Set(b.ID, "")
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
