// Package ui is the page: what it shows, and what happens when it is touched.
// It reaches the world only through Ports, so that it builds and is tested
// natively.
//
// App holds the state and every action; the components (*.vugu) only show it.
// Actions run while nothing else reads the state: page events hold the
// renderer's lock, everything else goes through Ports.Do.
package ui

import (
	"errors"
	"strings"
	"time"

	"github.com/vugu/vugu"

	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/units"
	"candleclock/ui/say"
	"candleclock/ui/shelf"
)

// App is the state of the page.
type App struct {
	ports   Ports
	shelf   *shelf.Shelf
	sampler *odds.Sampler

	ready   bool // what is kept on the device has been read, or asked for in vain
	awaited bool // it does not answer yet, and is asked again
	asking  bool // it is being asked
	prefs   Prefs
	books   []*Book       // by name
	aside   []shelf.Aside // found damaged, kept as it was
	doubled bool          // second copies can be kept
	wary    bool          // a save has failed since the page was opened
	missed  bool          // whether the store has lost something could not be seen
	lasts   string        // what the browser has answered of keeping things for good
	missing []string      // ids of plans that were kept once and are gone
	// missingNews is what tells of them.
	missingNews string
	book        *Book           // in view; nil when there is none
	spent       map[string]bool // ids of plans that this page removed
	route       Route
	now         plan.Moment
	answer      Answer
	form        *Form // of the page in view
	query       string
	picking     string // group of the catalogue that is open
	folds       map[string]bool
	readBox     func() plan.Reading // what stands in the reading box
	site        SiteState
	sun         *SunView
	parcel      Parcel
	look        *Look // that came and is looked at; nil when there is none
	card        cardShow
	hold        *Hold           // what it takes to last until a wished time; nil when none is asked for
	started     map[string]bool // loads ticked off in the start order, by name
	plug        plugIn
	own         ownShow
	drill       drillShow
	checked     []string // what the page says of the watts that the display shows
	packing     bool     // the page is being made one file
	errands     errands
	outlook     *Ahead

	clocks  map[string]putTable // when those of a zone are put forward or back
	opened  time.Time           // when the clock was first read
	noted   map[plan.Moment]noted
	thought time.Time // when the answer was worked out
	setBack bool      // the clock was, since the outage is counted

	status  string // spoken, not seen: what just changed
	news    string // seen: what just happened
	newsEnd string // the answer with which it ends; "" when it tells none
	undo    func() // takes it back; nil when it can't be
	trouble string // with keeping things; stays until it is mended
}

// New returns the page in the state it has before anything is read from the
// device: what the build prerenders. Start must follow.
func New(p Ports) *App {
	a := &App{
		ports:   p,
		shelf:   shelf.Doubled(p.Store, p.Spare, p.Last),
		sampler: odds.NewSampler(odds.Draws, odds.Seed),
		prefs:   Prefs{Look: "night"},
		folds:   map[string]bool{},
		spent:   map[string]bool{},
		started: map[string]bool{},
	}
	return a
}

// Start reads what is kept on the device and listens to the ports. Call it
// once, from a place that may block.
func (a *App) Start() {
	guess := guessPrefs(a.ports.Clock)
	k, err := a.readShelf()
	denied := errors.Is(err, ErrStoreDenied) || errors.Is(k.Unread, ErrStoreDenied)
	if denied {
		// The app goes on in memory, with what second copies there are; what is
		// typed is told not to be kept.
		a.shelf = shelf.Doubled(new(shelf.Memory), a.ports.Spare, a.ports.Last)
		k.Contents, err = a.shelf.Load()
	}
	a.ports.Do(func() {
		a.prefs = guess
		switch {
		case denied:
			k.marks, k.Regained = nil, nil
			a.fill(k)
			a.trouble = wNotKept
		case err != nil:
			a.trouble, a.awaited = wUnread, true
		case k.Unread != nil:
			a.fill(k)
			a.trouble, a.awaited = wUnreadCopies, true
		default:
			a.prefs = readPrefs(k.prefs, guess)
			a.fill(k)
		}
		a.useMarks()
		a.tick()
		a.ready = true
		a.follow(a.opening())
		a.retry()
	})
	a.ports.Store.OnGone(a.gone)
	a.ports.Device.Lasting(false, a.lasting)
	a.ports.Device.OnRoute(a.follow)
	a.ports.Device.OnLeave(a.leave)
	a.ports.Device.OnWake(a.wake)
	a.ports.Tabs.OnTell(a.heard)
	a.ports.Site.OnState(func(s SiteState) { a.site = s })
}

// The years that a device is believed to be in.
const firstYear, lastYear = 2001, 2098

// tick reads the clock. A device that has lost its date counts in a year that a
// plan can be kept with.
func (a *App) tick() {
	t := a.ports.Clock.Now()
	if a.opened.IsZero() {
		a.opened = t.Round(0).Add(-a.ports.Clock.Ran())
	}
	if zone := a.zoneInView(); zone != "" && zone != a.ports.Clock.Zone() {
		// A plan's times are those of its household, wherever it is read.
		t = a.ports.Clock.NowIn(zone)
	}
	t = t.AddDate(min(max(t.Year(), firstYear), lastYear)-t.Year(), 0, 0)
	a.now = plan.At(t)
}

// zoneInView is the zone of the plan in view; "" where it names none.
func (a *App) zoneInView() string {
	switch {
	case a.route.Page == pageLook && a.look != nil:
		return a.look.plan.Place.Zone
	case a.book != nil:
		return a.book.Plan.Place.Zone
	}
	return ""
}

// ZoneNote says whose clock the times are, where it is not the device's.
func (a *App) ZoneNote() string {
	if zone := a.zoneInView(); zone != "" && a.ports.Clock.Zone() != "" && zone != a.ports.Clock.Zone() {
		_, city, found := strings.Cut(zone, "/")
		if !found {
			city = zone
		}
		return wClockOf + strings.ReplaceAll(city, "_", " ") + "."
	}
	return ""
}

// mainsAfter is after how long the answer is worked out anew while the battery
// fills; an older one tells less.
const mainsAfter units.Hours = 1. / 6

// wake is called at each full minute in view: the hours left move on, and
// nothing else. Before an outage nothing moves on but how far its start is, and
// a page that stays as it is need not be drawn.
func (a *App) wake() (changed bool) {
	still := a.look == nil && !a.UnderWay() && a.status == "" &&
		(a.route.Page == pageTonight || a.route.Page == pageLoads || a.route.Page == pageSupply)
	before := a.answer.Lead()
	a.catchUp()
	if a.book != nil && a.book.Plan.Outage.OnMains() && a.now.Since(a.answer.from()) >= mainsAfter {
		a.think() // the battery fills
	}
	if a.newsAnswers() && !a.answer.Ready() {
		a.news, a.newsEnd = strings.TrimSuffix(a.news, a.newsEnd), "" // what is missing stands on the page
	} else if end := a.answer.News(); a.newsAnswers() && end != a.newsEnd {
		a.news, a.newsEnd = strings.TrimSuffix(a.news, a.newsEnd)+end, end
	}
	if a.look != nil {
		a.look.answer.now = a.now
	}
	if a.route.Page == pageSend {
		a.pack()
	}
	a.status = "" // what was spoken no longer holds
	return a.retry() || !still || a.answer.Lead() != before
}

// think works the answer out anew.
func (a *App) think() {
	if a.book == nil {
		a.answer = Answer{Missing: wMissingBoth}
		return
	}
	a.tick()
	a.thought = a.instant()
	a.answer = a.answerTo(a.book.Plan)
	if a.setBack = a.slipped() < -slipMost; a.setBack && a.answer.Ready() {
		a.answer.Missing = wClockSetBack
	}
}

// answerTo works out the answer to a plan as it is kept.
func (a *App) answerTo(p plan.Plan) Answer {
	p, clock := a.inHours(p)
	return think(p, a.sampler, a.now, clock)
}

// edit changes the plan in view, works out the answer and has it saved.
func (a *App) edit(change func(p *plan.Plan)) {
	if a.book == nil {
		return // a tap on a page that has just gone
	}
	a.undo = nil // it would take this back too
	a.hold = nil // it was worked out for the plan before
	change(&a.book.Plan)
	a.think()
	if a.newsAnswers() && a.answer.News() != a.newsEnd {
		a.news = "" // the answer has changed since
	}
	a.reckon()
	a.save(a.book)
}

// editLoad changes one load. The list is copied: an undo may hold the old one.
func (a *App) editLoad(i int, change func(l *load.Load)) {
	if a.book == nil || i >= len(a.book.Plan.Loads) {
		return // a tap on a row that has just gone
	}
	a.edit(func(p *plan.Plan) {
		p.Loads = append([]load.Load(nil), p.Loads...)
		was := p.Loads[i].Name
		change(&p.Loads[i])
		p.Outage.Log = p.Outage.Log.Renamed(was, p.Loads[i].Name)
	})
}

// Type is a keystroke in a field.
func (a *App) Type(f *Field, event vugu.DOMEvent) { a.TypeText(f, event.PropString("target", "value")) }

// TypeText is Type with what now stands in the field.
func (a *App) TypeText(f *Field, raw string) {
	f.Type(raw)
	a.form.refresh()
}

// Mean is a tap on one of the two numbers that what was typed in the field may
// be. It tells how the device's owner writes numbers.
func (a *App) Mean(f *Field, n int) {
	if n >= len(f.Either) {
		return // a drawing that is a frame old
	}
	a.prefs.Decimal = f.Either[n].decimal
	a.useMarks()
	a.savePrefs()
	f.again()
	a.form.refresh()
	a.status = f.Echo
	a.ports.Device.Focus(f.ID)
}

// useMarks has numbers written, and read, as the owner or the device has it.
func (a *App) useMarks() { say.Use(a.prefs.marks(a.ports.Clock.Number())) }

// leave is told when the focus leaves an element.
func (a *App) leave(id string) {
	if a.form == nil || id == "" {
		return
	}
	a.form.Leave(id)
	if a.form.field(id) != nil {
		a.status = a.answer.Sentence()
	}
}

// Pick is a tap on an answer of a choice.
func (a *App) Pick(c *Choice, value string) {
	c.Pick(value)
	a.form.refresh()
	a.status = a.answer.Sentence()
}

// Tick is a tap on a box to tick.
func (a *App) Tick(t *Tick, event vugu.DOMEvent) {
	t.Set(event.PropBool("target", "checked"))
	a.status = a.answer.Sentence()
}

// Fold opens or closes a part of the page.
func (a *App) Fold(id string) { a.folds[id] = !a.folds[id] }

// Open reports whether a part of the page is open; Expanded is the same for
// aria-expanded.
func (a *App) Open(id string) bool { return a.folds[id] }

// Expanded is the value of aria-expanded.
func (a *App) Expanded(id string) string {
	if a.folds[id] {
		return "true"
	}
	return "false"
}

// tell shows what happened, with a way back.
func (a *App) tell(news string, undo func()) {
	a.news, a.undo, a.status = news, undo, news
	a.newsEnd = ""
	if end := a.answer.News(); strings.HasSuffix(news, end) {
		a.newsEnd = end
	}
}

// newsAnswers reports whether what just happened is told with the answer of then.
func (a *App) newsAnswers() bool { return a.newsEnd != "" && strings.HasSuffix(a.news, a.newsEnd) }

// Undo takes the last thing back.
func (a *App) Undo() {
	if a.undo == nil {
		return
	}
	undo := a.undo
	a.tell(wUndone, nil)
	undo()
	a.ports.Device.Focus("title")
}

// Dismiss hides what happened. Who has read that plans are gone is not told again.
func (a *App) Dismiss() {
	if a.news == a.missingNews {
		for _, id := range a.missing {
			a.ports.Marks.Set(id, "")
		}
		a.missing = nil
	}
	a.news, a.undo = "", nil
	a.ports.Device.Focus("title")
}
