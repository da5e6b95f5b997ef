package shelf

import (
	"bytes"
	"errors"
	"slices"
	"strconv"
	"strings"
)

// Spare keeps second copies, elsewhere than the Store: a device that is full, or
// a browser that clears, may take the whole of one and leave the other. Every
// copy has a key of its own and is never written over: on a full disk a write
// that fails may take with it what it was to replace.
type Spare interface {
	// Keys returns the keys of all copies; ErrNoSpare where there never are any.
	Keys() ([]string, error)
	// Get returns the copy under the key, nil when there is none.
	Get(key string) ([]byte, error)
	// Put keeps a copy.
	Put(key string, value []byte) error
	// Drop removes the copy under the key, if there is one.
	Drop(key string) error
}

// ErrNoSpare is the error of a Spare that keeps nothing in this browser.
var ErrNoSpare = errors.New("this browser gives the page no second place")

// ErrNotHeld says that what was stored without an error was not there when it
// was read back.
var ErrNotHeld = errors.New("what was stored is not there when it is read back")

// Doubled returns the shelf in store with second copies in spare. What goes into
// spare is put into last too, and looked for there when the others lack it; but
// nothing counts on it.
func Doubled(store Store, spare, last Spare) *Shelf {
	s := New(store)
	s.spare, s.last, s.copies = spare, last, map[string][]Revision{}
	return s
}

// A copy's key names its plan and its revision; the copy is a record as in the
// Store.
const copyPrefix = "plan/"

func copyKey(id string, r Revision) string {
	return copyPrefix + id + "/" + strconv.FormatUint(uint64(r), 10)
}

func copyOf(key string) (id string, r Revision, ok bool) {
	rest, ok := strings.CutPrefix(key, copyPrefix)
	at := strings.LastIndexByte(rest, '/')
	if !ok || at < 0 {
		return "", 0, false
	}
	n, err := strconv.ParseUint(rest[at+1:], 10, 64)
	return rest[:at], Revision(n), err == nil && n > 0 && n <= mostRevision
}

// readKeys learns which copies there are, of each plan the newest first, and
// the keys of those in spare. It returns false where there is no
// second place.
func (s *Shelf) readKeys() (copies map[string][]Revision, own map[string]bool, doubled bool) {
	if s.spare == nil {
		return nil, nil, false
	}
	keys, err := s.spare.Keys()
	more, _ := s.last.Keys()
	copies, own = map[string][]Revision{}, map[string]bool{}
	for _, key := range keys {
		own[key] = true
	}
	for _, key := range append(keys, more...) {
		if id, r, ok := copyOf(key); ok && !slices.Contains(copies[id], r) {
			copies[id] = append(copies[id], r)
		}
	}
	for _, all := range copies {
		slices.Sort(all)
		slices.Reverse(all)
	}
	s.copying.Lock()
	defer s.copying.Unlock()
	for id, all := range copies {
		s.copies[id] = slices.Clone(all)
	}
	return copies, own, !errors.Is(err, ErrNoSpare)
}

// newest is the newest whole copy of a plan above revision above, zero when
// there is none; why is how a newer one is damaged, and not to be had elsewhere.
func (s *Shelf) newest(id string, copies []Revision, above Revision) (g Generation, why string) {
	for _, r := range copies {
		if r <= above {
			break
		}
		key := copyKey(id, r)
		var bads []string
		for _, from := range []Spare{s.spare, s.last} {
			raw, err := from.Get(key)
			if err != nil || raw == nil {
				continue // or dropped meanwhile
			}
			got, data, bad := unpack(key, raw)
			if bad == "" && got == r {
				return Generation{r, data}, why
			}
			bads = append(bads, bad)
		}
		if len(bads) > 0 {
			why = bads[0]
		}
	}
	return g, why
}

// regain puts plans back into the Store that lost them, all at once: a count that
// went on with some would tell the others for deleted. It returns whether they
// are there.
func (s *Shelf) regain(plans []Plan) bool {
	keys := countKeys[:]
	for _, p := range plans {
		keys = append(slices.Clip(keys), slotKey(p.ID, 0), slotKey(p.ID, 1))
	}
	var last Revision
	err := s.store.Txn(keys, func(got map[string][]byte) (map[string][]byte, error) {
		put := map[string][]byte{}
		last = counted(got)
		for _, g := range plans {
			p := readPair(g.ID, got)
			key, ok := p.target()
			if p.newest().Revision >= g.Revision || !ok {
				continue // another page was quicker, or all is damaged and kept
			}
			put[key] = pack(key, g.Revision, g.Data)
			last = max(last, g.Revision)
		}
		if len(put) > 0 {
			last = max(last, Revision(s.seen.Load())) + leap
			count(put, last)
		}
		return put, nil
	})
	if err != nil {
		return false
	}
	s.see(last)
	return true
}

// Copy keeps a second copy of what Save stored as revision r of a plan, reads it
// back, and only then drops the older ones. It returns nil once the copy is held.
func (s *Shelf) Copy(id string, r Revision, data []byte) error {
	s.copying.Lock()
	defer s.copying.Unlock()
	key := copyKey(id, r)
	rec := pack(key, r, data)
	_ = s.last.Put(key, rec)
	if err := s.spare.Put(key, rec); err != nil {
		return told("keep a second copy of the plan", err)
	}
	back, err := s.spare.Get(key)
	if err == nil && !bytes.Equal(back, rec) {
		err = ErrNotHeld
	}
	if err != nil {
		return told("read the second copy of the plan", err)
	}
	left := []Revision{r}
	for _, old := range s.copies[id] {
		if old > r || old < r && s.drop(copyKey(id, old)) != nil {
			left = append(left, old)
		}
	}
	s.copies[id] = left
	return nil
}

// drop drops a copy from both.
func (s *Shelf) drop(key string) error {
	return errors.Join(s.spare.Drop(key), s.last.Drop(key))
}

// Uncopy drops all copies of a plan that is deleted.
func (s *Shelf) Uncopy(id string) {
	if s.spare == nil {
		return
	}
	copies, _, _ := s.readKeys()
	s.copying.Lock()
	defer s.copying.Unlock()
	for _, r := range copies[id] {
		// One that stays brings the plan back: a nuisance, and no loss.
		_ = s.drop(copyKey(id, r))
	}
	delete(s.copies, id)
}

// Holds reads back from the Store whether a plan's newest generation is data.
func (s *Shelf) Holds(id string, data []byte) error {
	all, err := s.store.All(planPrefix + id)
	if err == nil && !bytes.Equal(readPair(id, all).newest().Data, data) {
		err = ErrNotHeld
	}
	return told("read the plan back", err)
}

// wentBack reports whether a Store whose last revision is now, while this page
// had met seen, has lost what it held, or begun anew: revisions only grow, and
// never by so many.
func wentBack(now, seen Revision) bool { return now < seen || seen > 0 && now-seen >= leap }

// WentBack reports, once, that the Store was found to have lost what it held.
func (s *Shelf) WentBack() bool { return s.lost.Swap(false) }
