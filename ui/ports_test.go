package ui

import (
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/vugu/vugu"
	"github.com/vugu/vugu/staticrender"

	"candleclock/ui/errand"
	"candleclock/ui/shelf"
)

// disk is a Store whose transactions fail as told.
type disk struct {
	shelf.Memory
	fail error   // of each Txn that would write plans; nothing is written
	lose error   // of the next Txn, which writes all the same: only the answer is lost
	deaf error   // of All
	next []error // of the Txns to come, nil for one that is well; nothing is written

	spare pocket
	last  pocket
	marks map[string]string

	before func(keys []string) // is done before each Txn
}

// pocket is a Spare that fails as told.
type pocket struct {
	kept map[string][]byte
	fail error // of each Put; nothing is written
	none bool  // there is no such place
	puts int
}

func (p *pocket) Keys() ([]string, error) {
	if p.none {
		return nil, shelf.ErrNoSpare
	}
	return slices.Collect(maps.Keys(p.kept)), nil
}

func (p *pocket) Get(key string) ([]byte, error) { return p.kept[key], nil }

func (p *pocket) Put(key string, value []byte) error {
	if p.fail != nil {
		return p.fail
	}
	p.puts++
	if p.kept == nil {
		p.kept = map[string][]byte{}
	}
	p.kept[key] = value
	return nil
}

func (p *pocket) Drop(key string) error {
	delete(p.kept, key)
	return nil
}

// wipe is what a browser does that clears the store, or finds it torn.
func (d *disk) wipe() { d.Memory = shelf.Memory{} }

func (d *disk) All(prefix string) (map[string][]byte, error) {
	if d.deaf != nil {
		return nil, d.deaf
	}
	return d.Memory.All(prefix)
}

func (d *disk) Txn(keys []string, decide func(map[string][]byte) (map[string][]byte, error)) error {
	if len(d.next) > 0 {
		err := d.next[0]
		if d.next = d.next[1:]; err != nil {
			return err
		}
	}
	if d.fail != nil {
		return d.fail
	}
	if d.before != nil {
		d.before(keys)
	}
	err := d.Memory.Txn(keys, decide)
	if err == nil && d.lose != nil {
		err, d.lose = d.lose, nil
	}
	return err
}

// world fulfils Ports for one page. Spawned work waits in a queue until run, so
// that a test can put events in any order.
type world struct {
	travels bool // its clock knows other zones
	t       testing.TB
	app     *App
	disk    *disk

	now    time.Time
	began  time.Time
	slip   time.Duration // of the clock, by setting it
	hour24 bool
	lang   string
	writes string // 1234567.8; "": as in English
	zone   string

	queue  []func()
	locked bool // the page's state is held: a handler or a change is running

	route     string
	steps     []string // SetRoute
	replaced  []string // ReplaceRoute
	selected  []string
	shares    bool // there is a share sheet
	refuse    bool // sharing and copying fail
	shared    [][3]string
	copied    []string
	focus     []string
	title     string
	look      string
	files     []savedFile
	accept    func(name string, data []byte, err error)
	updates   int
	prints    int
	printless bool // the browser has no window for printing

	parts    singleParts
	single   bool // the page is one file
	homeless bool // it has no address
	worker   *hand

	promises bool // the browser agrees to keep things for good
	asked    int  // how often it was asked to
	onGone   func()
	checks   int // of the site's copy

	told             []string // to other pages
	onRoute, onLeave func(string)
	onWake           func()
	onTell           func(string)
	onState          func(SiteState)
	drawn            int
	leftOut          int // wakes that need no drawing
}

type savedFile struct {
	name, mime string
	data       []byte
}

// openPage starts a page over a disk, at a fixed evening, and lets it settle.
func openPage(t testing.TB, d *disk, change ...func(w *world)) *world {
	t.Helper()
	w := &world{t: t, disk: d, now: time.Date(2026, 1, 14, 19, 3, 0, 0, time.UTC), lang: "en-GB", zone: "Europe/Berlin"}
	w.worker = &hand{w: w}
	for _, c := range change {
		c(w)
	}
	w.began = w.now
	w.app = New(Ports{Clock: w, Store: held{w}, Spare: holding{w, &w.disk.spare}, Last: holding{w, &w.disk.last}, Marks: markings{w.disk}, Device: w, Tabs: w, Site: w, Parts: &w.parts, Worker: w.worker,
		Spawn: func(work func()) { w.queue = append(w.queue, work) },
		Do:    w.do})
	w.app.Start()
	w.run()
	return w
}

// held tells when the store is asked while the page's state is held: the
// browser's would block there for good.
type held struct{ w *world }

func (h held) All(prefix string) (map[string][]byte, error) {
	h.w.free("Store.All")
	return h.w.disk.All(prefix)
}

func (h held) Txn(keys []string, decide func(map[string][]byte) (map[string][]byte, error)) error {
	h.w.free("Store.Txn")
	return h.w.disk.Txn(keys, decide)
}

func (h held) OnGone(gone func()) { h.w.onGone = gone }

// holding does for the Spare what held does for the Store.
type holding struct {
	w *world
	*pocket
}

func (h holding) Keys() ([]string, error) {
	h.w.free("Spare.Keys")
	return h.pocket.Keys()
}

func (h holding) Get(key string) ([]byte, error) {
	h.w.free("Spare.Get")
	return h.pocket.Get(key)
}

func (h holding) Put(key string, value []byte) error {
	h.w.free("Spare.Put")
	return h.pocket.Put(key, value)
}

func (h holding) Drop(key string) error {
	h.w.free("Spare.Drop")
	return h.pocket.Drop(key)
}

// markings are the Marks of a disk.
type markings struct{ d *disk }

func (m markings) All() map[string]string { return maps.Clone(m.d.marks) }

func (m markings) Set(id, name string) {
	if m.d.marks == nil {
		m.d.marks = map[string]string{}
	}
	if m.d.marks[id] = name; name == "" {
		delete(m.d.marks, id)
	}
}

// hand is a worker that works when it is told to.
type hand struct {
	w       *world
	missing bool // there are no workers here
	started int
	idle    bool   // let go
	errand  []byte // what it is at
	heard   func(message []byte, err error)
}

func (h *hand) Start(question []byte, heard func([]byte, error)) {
	if h.errand != nil {
		h.w.t.Fatal("a second errand is given to a worker that is at one")
	}
	h.started, h.errand, h.heard, h.idle = h.started+1, question, heard, false
	if h.missing {
		h.w.queue = append(h.w.queue, func() { h.w.do(func() { heard(nil, errBroken) }) })
	}
}

func (h *hand) Stop() { h.errand, h.idle = nil, true }

// say brings the page a message of the worker; err is its death.
func (h *hand) say(message []byte, err error) {
	heard := h.heard
	h.w.act(func() { heard(message, err) })
}

// work does all errands to their ends.
func (h *hand) work() {
	for h.errand != nil {
		h.say(errand.Work(h.errand, nil).Encode(), nil)
	}
}

func (w *world) free(what string) {
	if w.locked {
		w.t.Fatalf("%s was called while the page's state is held", what)
	}
}

func (w *world) do(change func()) {
	w.free("Do")
	w.locked = true
	change()
	w.locked = false
	w.drawn++
}

// act is an event of the page: the state is held, nothing is spawned until it
// is over.
func (w *world) act(handler func()) {
	w.do(handler)
	w.run()
}

// run works off what was spawned, in order.
func (w *world) run() {
	for len(w.queue) > 0 {
		work := w.queue[0]
		w.queue = w.queue[1:]
		work()
	}
}

// pass lets time go by without a wake.
func (w *world) pass(d time.Duration) { w.now = w.now.Add(d) }

// set puts the device's clock forward, or back, while no time passes.
func (w *world) set(d time.Duration) { w.now, w.slip = w.now.Add(d), w.slip+d }

func (w *world) Ran() time.Duration { return w.now.Sub(w.began) - w.slip }

func (w *world) Now() time.Time { return w.now }
func (w *world) Zone() string   { return w.zone }
func (w *world) Put(zone string, from, to time.Time) time.Duration {
	if zone == "" {
		zone = w.zone
	}
	in, err := time.LoadLocation(zone)
	if err != nil || !w.travels {
		return 0
	}
	_, before := from.In(in).Zone()
	_, after := to.In(in).Zone()
	return time.Duration(after-before) * time.Second
}

func (w *world) NowIn(zone string) time.Time {
	at, err := time.LoadLocation(zone)
	if err != nil || !w.travels {
		return w.now // most tests' clocks know one zone only
	}
	return w.now.In(at)
}
func (w *world) Hour24() bool     { return w.hour24 }
func (w *world) Language() string { return w.lang }
func (w *world) Number() string {
	if w.writes == "" {
		return "1,234,567.8"
	}
	return w.writes
}

func (w *world) SaveFile(name, mime string, data []byte) {
	w.files = append(w.files, savedFile{name, mime, data})
}
func (w *world) PickFile(_ string, _ int, got func(name string, data []byte, err error)) {
	w.accept = got
}

// Position is asked of a device that does not tell.
func (w *world) Position(got func(lat, lon float64, err error)) {
	w.queue = append(w.queue, func() { w.do(func() { got(0, 0, errBroken) }) })
}
func (w *world) Address() string {
	if w.homeless {
		return ""
	}
	return "https://example.org/candleclock/"
}
func (w *world) Print(failed func()) {
	w.prints++
	if w.printless {
		w.queue = append(w.queue, func() { w.do(failed) })
	}
}
func (w *world) Focus(id string)          { w.focus = append(w.focus, id) }
func (w *world) Dress(title, look string) { w.title, w.look = title, look }
func (w *world) Route() string            { return w.route }
func (w *world) SetRoute(r string)        { w.route = r; w.steps = append(w.steps, r) }
func (w *world) ReplaceRoute(r string)    { w.route = r; w.replaced = append(w.replaced, r) }
func (w *world) Select(id string)         { w.selected = append(w.selected, id) }
func (w *world) CanShare() bool           { return w.shares }

// Share and Copy work unless they are told to refuse.
func (w *world) Share(title, text, link string, failed func()) {
	w.shared = append(w.shared, [3]string{title, text, link})
	if w.refuse {
		w.queue = append(w.queue, func() { w.do(failed) })
	}
}
func (w *world) Copy(text string, done func(bool)) {
	if !w.refuse {
		w.copied = append(w.copied, text)
	}
	w.queue = append(w.queue, func() { w.do(func() { done(!w.refuse) }) })
}
func (w *world) OnRoute(changed func(r string)) { w.onRoute = changed }
func (w *world) OnLeave(left func(id string))   { w.onLeave = left }

// OnWake sees that a page that need not be drawn again stays the same.
func (w *world) OnWake(woke func() bool) {
	w.onWake = func() {
		before := w.html()
		if woke() {
			return
		}
		w.leftOut++
		if after := w.html(); after != before {
			w.t.Errorf("the page need not be drawn again, it said, and changed from\n%s\nto\n%s", before, after)
		}
	}
}
func (w *world) Tell(word string)               { w.told = append(w.told, word) }
func (w *world) OnTell(heard func(word string)) { w.onTell = heard }
func (w *world) OnState(changed func(SiteState)) {
	w.onState = changed
	state := SiteKept
	if w.single {
		state = SiteSingle
	}
	w.do(func() { changed(state) })
}
func (w *world) Update() { w.updates++ }
func (w *world) Check()  { w.checks++ }

// Lasting answers once it is asked, as the test has it.
func (w *world) Lasting(ask bool, told func(bool)) {
	if ask {
		w.asked++
	}
	w.queue = append(w.queue, func() { w.do(func() { told(w.promises) }) })
}

// Acts of a person.

// visit follows a link, or edits the address.
func (w *world) visit(route string) {
	w.route = route
	w.act(func() { w.onRoute(route) })
}

func (w *world) field(id string) *Field {
	w.t.Helper()
	for _, it := range w.app.Form().Shown() {
		if it.Field != nil && it.Field.ID == id {
			return it.Field
		}
	}
	w.t.Fatalf("no field %s is shown on page %s", id, w.app.Page())
	return nil
}

func (w *world) choice(id string) *Choice {
	w.t.Helper()
	for _, it := range w.app.Form().Shown() {
		if it.Choice != nil && it.Choice.ID == id {
			return it.Choice
		}
	}
	w.t.Fatalf("no choice %s is shown on page %s", id, w.app.Page())
	return nil
}

// typeIn types letter by letter and leaves the field.
func (w *world) typeIn(id, text string) *Field {
	w.t.Helper()
	f := w.field(id)
	w.act(func() { w.app.TypeText(f, "") })
	for i := range text {
		w.act(func() { w.app.TypeText(f, text[:i]) })
	}
	w.act(func() { w.app.TypeText(f, text) })
	w.act(func() { w.onLeave(id) })
	return f
}

func (w *world) pick(id, value string) {
	w.t.Helper()
	c := w.choice(id)
	w.act(func() { w.app.Pick(c, value) })
}

func (w *world) tick(id string, on bool) {
	w.t.Helper()
	for _, it := range w.app.Form().Shown() {
		if tk := it.Tick; tk != nil && tk.ID == id {
			w.act(func() { tk.Set(on) })
			return
		}
	}
	w.t.Fatalf("no box %s is shown on page %s", id, w.app.Page())
}

// said is all that the page says of the answer.
func (w *world) said() string {
	a := w.app
	return strings.Join([]string{a.Heading(), a.Big(), a.Under(), a.Range(), a.Box()}, " | ")
}

// html draws the page.
func (w *world) html() string {
	w.t.Helper()
	var b strings.Builder
	r := staticrender.New(&b)
	env, err := vugu.NewBuildEnv(r.EventEnv())
	if err != nil {
		w.t.Fatal(err)
	}
	if err := r.Render(env.RunBuild(&Root{App: w.app})); err != nil {
		w.t.Fatal(err)
	}
	return b.String()
}

var errBroken = errors.New("broken")
