package ui

import (
	"errors"
	"time"

	"candleclock/ui/onefile"
	"candleclock/ui/shelf"
)

// Ports is what the page needs of the world around it. wasm/ fulfils them with
// the browser, the tests with plain Go. No field may be nil.
type Ports struct {
	Clock  Clock
	Store  Store
	Spare  Spare
	Last   Spare // for second copies too; not counted on
	Marks  Marks
	Device Device
	Tabs   Tabs
	Site   Site
	Parts  Parts
	Worker Worker

	// Spawn runs work that may block (storage, files) away from the event
	// that asked for it.
	Spawn func(work func())

	// Do runs change while nothing else reads or writes the page's state, and
	// then has the page drawn again. It is called from Spawned work and from
	// callbacks of the ports, never from a handler of a page event (which
	// holds the state already).
	Do func(change func())
}

// Clock tells the device's local time.
type Clock interface {
	Now() time.Time // in the device's zone; minutes are enough
	Zone() string   // IANA name, "" when the device does not say
	// NowIn is what the wall clocks of another zone show; Now where the device
	// does not know it.
	NowIn(zone string) time.Time
	// Put is how far the wall clocks of the zone, "" for the device's, are put
	// forward between two moments, less than 0 when they are put back; 0 where
	// the device does not know the zone.
	Put(zone string, from, to time.Time) time.Duration
	// Ran is how long the page's own timer has run, which no setting of the clock
	// moves. While the page is hidden it counts what the clock says, unless that
	// goes back.
	Ran() time.Duration
	Hour24() bool // the device's owner reads 24-hour clocks
	// Language is the device's language with its region, as in "en-CA".
	Language() string
	// Number is 1234567.8 as that language writes it, in the digits 0 to 9.
	Number() string
}

// Store keeps bytes under keys on this device. Its methods block; call them
// from Spawned work.
type Store interface {
	// All returns every pair whose key begins with prefix.
	All(prefix string) (map[string][]byte, error)

	// Txn reads keys, hands what is there to decide (absent keys are absent
	// from got), and writes what decide returns (a nil value deletes), all as
	// one transaction: it returns nil only once the writing is complete, and
	// on any error nothing is written. decide must not block; when it returns
	// an error nothing is written and Txn returns that error.
	Txn(keys []string, decide func(got map[string][]byte) (put map[string][]byte, err error)) error

	// OnGone calls gone, from a place that may block, when the browser closes the
	// store by itself, as it does when it clears what is kept.
	OnGone(gone func())
}

// Spare keeps second copies elsewhere on this device than the Store. Its methods
// block.
type Spare = shelf.Spare

// Marks are words kept apart from Store and Spare, by which the page knows which
// plans it has kept, should both be empty one day. They do not block; what the
// browser does not keep is not there.
type Marks interface {
	All() map[string]string
	Set(id, name string) // "" removes
}

// Errors of a Store, and of a Spare, to be tested with errors.Is.
var (
	ErrStoreFull   = errors.New("the device has no room left for this page")
	ErrStoreDenied = errors.New("the browser does not let this page keep anything")
	ErrStoreLost   = errors.New("the browser's storage does not answer")
)

// Device is what the page asks of the browser window.
type Device interface {
	// SaveFile hands the person a file to keep.
	SaveFile(name, mime string, data []byte)
	// PickFile lets the person choose one file; got is called once, under Do,
	// with at most max bytes, or with an error in words; not at all when they
	// choose none.
	PickFile(accept string, max int, got func(name string, data []byte, err error))
	// Position asks the device once where it is, in degrees; got is called once,
	// under Do, with an error when the device or its owner does not tell.
	Position(got func(lat, lon float64, err error))
	// Print opens the browser's window for printing the page as it is drawn;
	// failed is called, under Do, when this browser has none.
	Print(failed func())
	// Address is where others find this page, without the parts behind "?" and
	// "#"; "" for a single file that does not know.
	Address() string
	// Focus moves the focus to the element with this id once the page has been
	// drawn again.
	Focus(id string)
	// Select gives the focus to the field with this id once the page has been
	// drawn again, with all that stands in it selected.
	Select(id string)
	// CanShare reports whether the device has a share sheet for words and links.
	CanShare() bool
	// Share opens it. Browsers allow that only while the person's tap is being
	// handled: call it from a handler of a page event. failed is called, under
	// Do, when it did not open; not when the person changed their mind.
	Share(title, text, link string, failed func())
	// Copy puts text on the clipboard; to be called as Share is. done is called
	// once, under Do.
	Copy(text string, done func(copied bool))
	// Lasting asks whether the browser has promised not to clear what this page
	// keeps; with ask, it is asked to promise, and may ask the person. told is
	// called once, under Do, unless nobody answers.
	Lasting(ask bool, told func(lasts bool))
	// Dress sets the document's title and its look ("night", "day", "dark-room").
	Dress(title, look string)
	// Route is the part of the address after "#"; SetRoute changes it and adds
	// a step to the browser's history.
	Route() string
	SetRoute(route string)
	// ReplaceRoute changes it in place of the present step of the history.
	ReplaceRoute(route string)
	// OnRoute calls changed, under Do, when the person goes back or forward or
	// edits the address.
	OnRoute(changed func(route string))
	// OnLeave calls left, under Do, with the id of the element that lost the
	// focus.
	OnLeave(left func(id string))
	// OnWake calls woke, as Do does, when the page becomes visible, and each
	// full minute while it stays so; never while it is hidden. The page is
	// drawn again only where woke says that it has changed.
	OnWake(woke func() (changed bool))
}

// Tabs carries short words between the open pages of this app.
type Tabs interface {
	Tell(word string)
	OnTell(heard func(word string)) // under Do
}

// SiteState says whether the page can open again without the internet.
type SiteState int

// The states of the site's copy on this device.
const (
	SiteUnknown  SiteState = iota // not heard yet
	SiteOnline                    // this browser cannot keep the page
	SiteKeeping                   // being fetched
	SiteKept                      // opens without the internet
	SiteOutdated                  // a whole newer version waits for a yes
	SiteSingle                    // the page is one file, and needs no copy
)

// Site is the page's copy on this device.
type Site interface {
	OnState(changed func(SiteState)) // under Do; called with the present state too
	Update()                         // take the waiting version and reload
	Check()                          // look whether the copy is still there
}

// Parts is what the page is made of. Read and Pack block; their errors are words
// for the person.
type Parts interface {
	onefile.Parts
	// Own is the page's own text, where it is a single file; nil where not.
	Own() []byte
	// Inside is the plan that came in that file, as it stands there: anyone may
	// have written it. Nil for none.
	Inside() []byte
}

// Worker does one errand at a time (see package errand) in a thread of its own.
type Worker interface {
	// Start has the question worked on. heard is called, under Do, with each
	// message that comes back, and with an error when none can come: this
	// browser has no workers or lets the page have none, or this one died or
	// fell silent. Stop must come between two Starts.
	Start(question []byte, heard func(message []byte, err error))
	// Stop lets the worker go, whatever it is at. What it still says is not
	// heard, but for a message that is on its way already.
	Stop()
}
