package shelf

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// fault is what goes wrong in one transaction.
type fault int

const (
	none       fault = iota
	failBefore       // an error at once
	failDuring       // an error after decide, nothing written
	answerLost       // an error, all written
	twice            // decide is asked, the transaction fails and is tried again
	killBefore       // the page ends with nothing written
	killAfter        // the page ends with all written
)

var errFaulty = errors.New("the store failed")

// killed is the panic of a page that ends.
type killed struct{}

// faulty is a Store whose transactions fail as told.
type faulty struct {
	*Memory
	fault func() fault
	deaf  bool // All fails too
}

func (f *faulty) All(prefix string) (map[string][]byte, error) {
	if f.deaf {
		return nil, errFaulty
	}
	return f.Memory.All(prefix)
}

func (f *faulty) Txn(keys []string, decide func(map[string][]byte) (map[string][]byte, error)) error {
	what := f.fault()
	switch what {
	case failBefore:
		return errFaulty
	case killBefore:
		panic(killed{})
	case failDuring, twice:
		err := f.Memory.Txn(keys, func(got map[string][]byte) (map[string][]byte, error) {
			if _, err := decide(got); err != nil {
				return nil, err
			}
			return nil, errFaulty
		})
		if what == failDuring || !errors.Is(err, errFaulty) {
			return err
		}
	}
	err := f.Memory.Txn(keys, decide)
	switch {
	case err == nil && what == answerLost:
		return errFaulty
	case what == killAfter:
		panic(killed{})
	}
	return err
}

// kept is what ought to be known of one plan.
type kept struct {
	gens  []Generation // stored and whole, newest last
	hurts int          // damaged ones not yet dropped by the person
}

func (k *kept) newest() Generation {
	if len(k.gens) == 0 {
		return Generation{}
	}
	return k.gens[len(k.gens)-1]
}

// page is one page of the app and the revisions it has seen.
type page struct {
	shelf *Shelf
	seen  map[string]Revision
}

// keeping runs two pages over one faulty store and holds what is there against
// what ought to be.
type keeping struct {
	mem   *Memory
	next  []fault // for the transactions to come
	pages [2]*page
	plans map[string]*kept
	top   Revision // the greatest revision ever given
	saves int
}

var planIDs = []string{"home", "shed", "a/b"}

func (k *keeping) open() *page {
	f := &faulty{Memory: k.mem, fault: func() fault {
		if len(k.next) == 0 {
			return none
		}
		what := k.next[0]
		k.next = k.next[1:]
		return what
	}}
	return &page{shelf: New(f), seen: map[string]Revision{}}
}

// on runs work on one of the pages; if it is killed, a new page takes its place
// and on reports it.
func (k *keeping) on(t *rapid.T, work func(p *page)) (dead bool) {
	i := rapid.IntRange(0, 1).Draw(t, "page")
	k.next = rapid.SliceOfN(rapid.SampledFrom([]fault{none, none, none, failBefore, failDuring, answerLost, twice, killBefore, killAfter}), 0, 3).Draw(t, "faults")
	defer func() {
		k.next = nil
		if r := recover(); r != nil {
			if _, ok := r.(killed); !ok {
				panic(r)
			}
			dead = true
			k.pages[i] = k.open()
		}
	}()
	work(k.pages[i])
	return false
}

// crowded reports whether a damaged generation of the plan has nowhere to go.
func (k *keeping) crowded(id string) bool {
	p := readPair(id, k.mem.pairs)
	return len(k.aside()) == MostAside && (p[0].why != "" || p[1].why != "")
}

func (k *keeping) aside() []Aside {
	var all []Aside
	for _, key := range asideKeys() {
		if raw, ok := k.mem.pairs[key]; ok {
			all = append(all, unpackAside(key, raw))
		}
	}
	return all
}

func (k *keeping) save(t *rapid.T) {
	id := rapid.SampledFrom(planIDs).Draw(t, "id")
	wrong := rapid.IntRange(0, 9).Draw(t, "wrong base") == 0
	k.saves++
	data := fmt.Appendf(nil, "%s %d", id, k.saves)
	plan, crowded := k.plans[id], k.crowded(id)
	before := plan.newest()
	var base, got Revision
	var err error
	dead := k.on(t, func(p *page) {
		base = p.seen[id]
		if wrong {
			base = k.top + 1
		}
		got, err = p.shelf.Save(id, base, data)
		if err == nil {
			p.seen[id] = got
		}
	})
	stored := readPair(id, k.mem.pairs).newest()
	isIn := bytes.Equal(stored.Data, data)
	switch {
	case !dead && err == nil && (!isIn || got != stored.Revision):
		t.Fatalf("Save reported revision %d, but revision %d, %q, is stored", got, stored.Revision, stored.Data)
	case errors.Is(err, ErrConflict) && base == before.Revision:
		t.Fatalf("Save with the right base, %d, conflicts", base)
	case isIn && errors.Is(err, ErrConflict), isIn && errors.Is(err, ErrAsideFull):
		t.Fatalf("Save wrote and returned %v", err)
	case isIn && base != before.Revision:
		t.Fatalf("Save over revision %d, unseen: its base was %d", before.Revision, base)
	case isIn && stored.Revision <= k.top:
		t.Fatalf("revision %d given after %d", stored.Revision, k.top)
	}
	if isIn {
		k.top = stored.Revision
		plan.gens = append(plan.gens, stored)
		most := 2
		if crowded && k.crowded(id) {
			most = 1
		}
		if len(plan.gens) > most {
			plan.gens = slices.Clone(plan.gens[len(plan.gens)-most:])
		}
	}
}

func (k *keeping) delete(t *rapid.T) {
	id := rapid.SampledFrom(planIDs).Draw(t, "id")
	plan := k.plans[id]
	before := plan.newest().Revision
	var base Revision
	var err error
	dead := k.on(t, func(p *page) {
		base = p.seen[id]
		if err = p.shelf.Delete(id, base); err == nil {
			delete(p.seen, id)
		}
	})
	gone := readPair(id, k.mem.pairs).newest().Revision == 0
	switch {
	case !dead && err == nil && !gone:
		t.Fatal("Delete reported, but the plan is there")
	case gone && before != 0 && base != before:
		t.Fatalf("Delete of revision %d, unseen: its base was %d", before, base)
	case errors.Is(err, ErrConflict) && (base == before || gone && before != 0):
		t.Fatalf("conflict with base %d at revision %d, gone: %v", base, before, gone)
	}
	if gone {
		plan.gens = nil
	}
}

func (k *keeping) load(t *rapid.T) {
	var c Contents
	var err error
	var by *page
	if dead := k.on(t, func(p *page) { by = p; c, err = p.shelf.Load() }); dead {
		return
	}
	if err != nil {
		t.Fatalf("Load: %v", err) // All does not fail here
	}
	by.seen = map[string]Revision{}
	there := map[string]Plan{}
	for _, p := range c.Plans {
		by.seen[p.ID] = p.Revision
		there[p.ID] = p
	}
	for _, id := range planIDs {
		plan, p := k.plans[id], there[id]
		var earlier Generation
		if len(plan.gens) > 1 {
			earlier = plan.gens[0]
		}
		if !same(p.Generation, plan.newest()) || !same(p.Earlier, earlier) {
			t.Fatalf("%s: got %+v, want %+v and before it %+v", id, p, plan.newest(), earlier)
		}
		// Each damaged one is told of: in its place, or aside.
		lying, aside := 0, 0
		for _, d := range c.Damaged {
			if d.ID == id && !d.SetAside {
				lying++
			}
			if d.ID == id && d.Instead != p.Revision {
				t.Fatalf("%s: told that %d stands in, but %d does", id, d.Instead, p.Revision)
			}
		}
		for _, a := range c.Aside {
			if a.ID == id {
				aside++
			}
		}
		// A lost answer leaves it told as lying in its place, though it was moved.
		if lying+aside != plan.hurts {
			t.Fatalf("%s: told of %d damaged in place and %d aside, want %d in all", id, lying, aside, plan.hurts)
		}
	}
}

func same(a, b Generation) bool { return a.Revision == b.Revision && bytes.Equal(a.Data, b.Data) }

// hurt damages one stored generation that is whole.
func (k *keeping) hurt(t *rapid.T) {
	id := rapid.SampledFrom(planIDs).Draw(t, "id")
	i := rapid.IntRange(0, 1).Draw(t, "slot")
	s := readPair(id, k.mem.pairs)[i]
	if s.Revision == 0 {
		return
	}
	raw := bytes.Clone(s.raw)
	at := rapid.IntRange(0, len(raw)-1).Draw(t, "at")
	if rapid.Bool().Draw(t, "cut") {
		raw = raw[:at]
	} else {
		raw[at] ^= rapid.ByteRange(1, 255).Draw(t, "bits")
	}
	set(k.mem, s.key, raw)
	plan := k.plans[id]
	plan.hurts++
	plan.gens = slices.DeleteFunc(slices.Clone(plan.gens), func(g Generation) bool { return g.Revision == s.Revision })
}

// hurtCount damages one of the two counts.
func (k *keeping) hurtCount(t *rapid.T) {
	key := rapid.SampledFrom(countKeys[:]).Draw(t, "count")
	_, _, a := unpack(countKeys[0], k.mem.pairs[countKeys[0]])
	_, _, b := unpack(countKeys[1], k.mem.pairs[countKeys[1]])
	if a == "" && b == "" {
		set(k.mem, key, rapid.SliceOfN(rapid.Byte(), 0, 40).Draw(t, "instead"))
	}
}

// drop has the person clear away one record that is set aside.
func (k *keeping) drop(t *rapid.T) {
	all := k.aside()
	if len(all) == 0 {
		return
	}
	a := rapid.SampledFrom(all).Draw(t, "aside")
	k.on(t, func(p *page) { _ = p.shelf.DropAside(a) })
	if _, there := k.mem.pairs[a.Key]; !there && k.plans[a.ID] != nil {
		k.plans[a.ID].hurts--
	}
}

// check holds the store itself against what ought to be there.
func (k *keeping) check(t *rapid.T) {
	for _, id := range planIDs {
		p, plan := readPair(id, k.mem.pairs), k.plans[id]
		if !same(p.newest(), plan.newest()) {
			t.Fatalf("%s: %+v is stored, want %+v", id, p.newest(), plan.newest())
		}
		hurts := 0
		for _, s := range p {
			if s.why != "" {
				hurts++
			}
		}
		for _, a := range k.aside() {
			if a.ID == id {
				hurts++
			}
		}
		if hurts != plan.hurts {
			t.Fatalf("%s: %d damaged ones are kept, want %d", id, hurts, plan.hurts)
		}
	}
}

// Whatever two pages do over a store that fails in every way, dies under them
// and rots: what Save reported is there, or is told of as damaged with the
// generation before it in its stead; no page writes over what it has not seen;
// and no damaged record is dropped unasked.
func TestKeeping(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := &keeping{mem: new(Memory), plans: map[string]*kept{}}
		k.pages = [2]*page{k.open(), k.open()}
		for _, id := range planIDs {
			k.plans[id] = new(kept)
		}
		// Often there is little room aside, or none.
		for _, key := range asideKeys()[:rapid.SampledFrom([]int{0, MostAside - 2, MostAside}).Draw(t, "aside at first")] {
			set(k.mem, key, packAside(key, slotKey("gone", 0), []byte("ruin")))
		}
		t.Repeat(map[string]func(*rapid.T){
			"save":      k.save,
			"save more": k.save,
			"delete":    k.delete,
			"load":      k.load,
			"load more": k.load,
			"hurt":      k.hurt,
			"count":     k.hurtCount,
			"drop":      k.drop,
			"":          k.check,
		})
	})
}
