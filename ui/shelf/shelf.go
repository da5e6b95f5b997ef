// Package shelf keeps plans on the device so that they are not lost: every plan
// has two generations, each with its own checksum, of which a save replaces the
// older one; what is found damaged is set aside and told of; and a page can
// only save over what it has seen.
package shelf

import (
	"bytes"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"

	"candleclock/engine/doc"
)

// Store keeps bytes under keys.
type Store interface {
	// All returns every pair whose key begins with prefix, as of one moment.
	All(prefix string) (map[string][]byte, error)

	// Txn reads keys, hands what is there to decide (absent keys are absent
	// from got), and writes what decide returns (a nil value deletes), all as
	// one transaction: it returns nil only once the writing is complete. When
	// decide returns an error nothing is written and Txn returns that error.
	// On any other error nothing is written, or, if the answer alone was lost,
	// everything. decide may be called again when a transaction is tried again.
	Txn(keys []string, decide func(got map[string][]byte) (put map[string][]byte, err error)) error
}

// The bounds of a shelf.
const (
	MostBytes        = 1 << 20 // of one plan: 1 MiB
	MostPlans        = 200
	MostAside        = 20
	MostSettingBytes = 1 << 16 // of one setting: 64 KiB
	idMost           = 40      // characters of an id or of a setting's name
)

// ErrConflict says that what is stored is not what the caller last saw: another
// page saved or deleted the plan in between, or its newest generation was found
// damaged. Nothing was written; Load tells what is there now.
var ErrConflict = errors.New("the plan was changed in another page since this one read it")

// ErrAsideFull says that a plan cannot be saved under its id, because both its
// generations are damaged and MostAside damaged records are set aside already.
// Nothing was written; DropAside makes room, or the plan takes a new id.
var ErrAsideFull = fmt.Errorf("both copies of the plan are damaged, and %d damaged ones are kept already: save those to a file and clear them away first", MostAside)

// ErrDamaged says that a setting is there but cannot be read.
var ErrDamaged = errors.New("what was kept here is damaged")

// Revision numbers the saves of a shelf, all plans together. A later save or
// delete always has a greater number, so no plan ever comes back to a revision
// that it had before, not even one deleted and saved anew, nor one whose newest
// generation was damaged. 0 is the revision of a plan that is not there.
type Revision uint64

// Generation is a plan as one save left it.
type Generation struct {
	Revision Revision
	Data     []byte // as handed to Save
}

// Shelf is the plans and settings in a Store. Any number of pages, each with
// its own Shelf, may use one Store. Its methods block as the Store's do, and
// may be called at the same time.
type Shelf struct {
	store Store
	seen  atomic.Uint64 // the greatest revision met by this page
	lost  atomic.Bool   // the Store was found to have lost what it held

	spare   Spare // nil for none
	last    Spare // not counted on
	copying sync.Mutex
	copies  map[string][]Revision // that lie in spare, as far as known
}

// New returns the shelf in store.
func New(store Store) *Shelf { return &Shelf{store: store} }

// Save stores data, at most MostBytes, as the plan's newest generation and
// keeps the one before it. base is the revision that the caller's data came
// from: what Load or Save last told it, 0 for a plan that is new. It returns
// the new revision once the data is stored for good.
//
// When the newest stored generation is not base, Save returns ErrConflict and
// writes nothing, unless the Store has lost base and all that came after it
// (WentBack tells). When that generation already holds data, byte for byte, Save
// returns its revision and writes nothing, whatever base is: so a Save that
// failed may be called again, even where the failed one was stored after all.
//
// A damaged generation found in the place to write to is set aside first; while
// there is no room aside it stays, and the save replaces the whole generation.
//
// The other errors are ErrAsideFull; *doc.Error for an id that is not 1 to 40
// plain characters, too much data, or a plan beyond MostPlans (counted just
// before, so pages saving at the same moment may pass it); and those of the
// Store.
func (s *Shelf) Save(id string, base Revision, data []byte) (Revision, error) {
	if err := check("the plan's id", id, "the plan", len(data), MostBytes); err != nil {
		return 0, err
	}
	if base == 0 {
		if err := s.room(id); err != nil {
			return 0, err
		}
	}
	var saved Revision
	err := s.txn(id, func(got map[string][]byte) (map[string][]byte, error) {
		p := readPair(id, got)
		newest := p.newest()
		if newest.Revision != 0 && bytes.Equal(newest.Data, data) {
			saved = newest.Revision
			return nil, nil
		}
		lost := newest.Revision < base && base <= Revision(s.seen.Load()) && wentBack(counted(got), base)
		if newest.Revision != base && !lost {
			return nil, ErrConflict
		}
		put := map[string][]byte{}
		p.setAside(got, put)
		key, ok := p.target()
		if !ok {
			return nil, ErrAsideFull
		}
		saved = s.next(got, p)
		put[key] = pack(key, saved, data)
		count(put, saved)
		return put, nil
	})
	if err != nil {
		return 0, told("save the plan", err)
	}
	s.see(saved)
	return saved, nil
}

// Delete removes both generations of the plan. base is as for Save: when the
// newest stored generation is another one, Delete returns ErrConflict and
// writes nothing. A plan that is not there is deleted already, and a Save that
// comes late, with a base from before, conflicts. Damaged generations are set
// aside, or stay while there is no room aside. The second copies go last.
func (s *Shelf) Delete(id string, base Revision) error {
	if err := check("the plan's id", id, "", 0, 0); err != nil {
		return err
	}
	var number Revision
	err := s.txn(id, func(got map[string][]byte) (map[string][]byte, error) {
		p := readPair(id, got)
		newest := p.newest()
		if newest.Revision == 0 {
			number = 0
			return nil, nil
		}
		if newest.Revision != base {
			return nil, ErrConflict
		}
		put := map[string][]byte{}
		p.setAside(got, put)
		for _, slot := range p {
			if slot.Revision != 0 {
				put[slot.key] = nil
			}
		}
		number = s.next(got, p)
		count(put, number)
		return put, nil
	})
	if err != nil {
		return told("delete the plan", err)
	}
	s.see(number)
	s.Uncopy(id)
	return nil
}

// errMore asks for the keys of what is set aside, which are read only when a
// damaged generation is met.
var errMore = errors.New("shelf: damage met")

// txn runs decide on the plan's two slots and the counts.
func (s *Shelf) txn(id string, decide func(map[string][]byte) (map[string][]byte, error)) error {
	keys := []string{slotKey(id, 0), slotKey(id, 1), countKeys[0], countKeys[1]}
	seen := Revision(s.seen.Load())
	decided := decide
	decide = func(got map[string][]byte) (map[string][]byte, error) {
		if wentBack(counted(got), seen) {
			s.lost.Store(true)
		}
		return decided(got)
	}
	err := s.store.Txn(keys, func(got map[string][]byte) (map[string][]byte, error) {
		if p := readPair(id, got); p[0].why != "" || p[1].why != "" {
			return nil, errMore
		}
		return decide(got)
	})
	if errors.Is(err, errMore) {
		err = s.store.Txn(append(keys, asideKeys()...), decide)
	}
	return err
}

// leap is added when neither count is whole: more numbers than could have been
// given since the greatest one that is still known.
const leap = 1 << 20

// next is a number greater than any given before. It fails to be only if both
// counts are lost, a page that has met none of the later revisions asks, and
// the plans that had them are deleted.
func (s *Shelf) next(got map[string][]byte, p pair) Revision {
	last := counted(got)
	step := Revision(1)
	if last == 0 {
		step = leap
	}
	return max(last, Revision(s.seen.Load()), p[0].Revision, p[1].Revision) + step
}

// see notes a revision met.
func (s *Shelf) see(r Revision) {
	for {
		old := s.seen.Load()
		if uint64(r) <= old || s.seen.CompareAndSwap(old, uint64(r)) {
			return
		}
	}
}

// room returns an error when a plan that is not there yet has no place. It
// notes the revisions of those that are there.
func (s *Shelf) room(id string) error {
	all, err := s.store.All(planPrefix)
	if err != nil {
		return told("count the plans", err)
	}
	ids := map[string]bool{}
	for key, raw := range all {
		if id, ok := planOf(key); ok {
			ids[id] = true
			r, _, _ := unpack(key, raw)
			s.see(r)
		}
	}
	if len(ids) >= MostPlans && !ids[id] {
		return &doc.Error{Field: "the number of plans kept here", Value: doc.Number(float64(len(ids) + 1)),
			Want: fmt.Sprintf("at most %d: save one to a file and delete it here first", MostPlans)}
	}
	return nil
}

func check(field, name, what string, size, most int) error {
	if name == "" {
		return &doc.Error{Field: field, Want: fmt.Sprintf("1 to %d characters long", idMost)}
	}
	if err := doc.CheckText(field, name, idMost); err != nil {
		return err
	}
	if size > most {
		return &doc.Error{Field: what, Value: doc.Number(float64(size)) + " bytes", Want: "at most " + doc.Number(float64(most)) + " bytes"}
	}
	return nil
}

// told adds what was being done to an error of the store; the shelf's own stand
// for themselves.
func told(doing string, err error) error {
	if err == nil || errors.Is(err, ErrConflict) || errors.Is(err, ErrAsideFull) {
		return err
	}
	return fmt.Errorf("could not %s: %w", doing, err)
}
