package shelf

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// pocket is a Spare that fails as told.
type pocket struct {
	kept  map[string][]byte
	fault func() fault // of the next Put or Drop; nil for none
	none  bool         // it is none
	lies  bool         // what is put is not there
}

func (p *pocket) Keys() ([]string, error) {
	if p.none {
		return nil, ErrNoSpare
	}
	return slices.Sorted(maps.Keys(p.kept)), nil
}

func (p *pocket) Get(key string) ([]byte, error) { return bytes.Clone(p.kept[key]), nil }

func (p *pocket) Put(key string, value []byte) error {
	return p.change(func() {
		if !p.lies {
			p.kept[key] = bytes.Clone(value)
		}
	})
}

func (p *pocket) Drop(key string) error { return p.change(func() { delete(p.kept, key) }) }

func (p *pocket) change(work func()) error {
	what := none
	if p.fault != nil {
		what = p.fault()
	}
	switch what {
	case failBefore, failDuring:
		return errFaulty
	case killBefore:
		panic(killed{})
	}
	if p.kept == nil {
		p.kept = map[string][]byte{}
	}
	work()
	switch what {
	case answerLost:
		return errFaulty
	case killAfter:
		panic(killed{})
	}
	return nil
}

func kept2(t *testing.T, s *Shelf, id string, base Revision, data string) Revision {
	t.Helper()
	r := mustSave(t, s, id, base, data)
	if err := s.Copy(id, r, []byte(data)); err != nil {
		t.Fatal(err)
	}
	return r
}

// A store that is empty, or that has gone back to what it was, gets back what it
// lacks, under the same revisions, and tells.
func TestRegained(t *testing.T) {
	m, p := new(Memory), new(pocket)
	s := Doubled(m, p, new(pocket))
	r1 := kept2(t, s, "home", 0, "one")
	was := maps.Clone(m.pairs)
	r2 := kept2(t, s, "home", r1, "two")
	shed := kept2(t, s, "shed/1", 0, "own")
	if len(p.kept) != 2 {
		t.Errorf("%d copies of two plans are kept", len(p.kept))
	}
	for name, pairs := range map[string]map[string][]byte{"empty": nil, "as it was": was} {
		m := &Memory{pairs: maps.Clone(pairs)}
		c := mustLoad(t, Doubled(m, p, new(pocket)))
		if !slices.Equal(c.Regained, []string{"home", "shed/1"}) || !c.Doubled || len(c.Damaged) != 0 {
			t.Errorf("%s: regained are %q, damaged %v", name, c.Regained, c.Damaged)
		}
		for _, c := range []Contents{c, mustLoad(t, New(m))} { // and the store itself has them
			if len(c.Plans) != 2 {
				t.Fatalf("%s: %d plans", name, len(c.Plans))
			}
			wantGeneration(t, name, c.Plans[0].Generation, r2, "two")
			wantGeneration(t, name, c.Plans[1].Generation, shed, "own")
		}
		if c.Plans[0].Copied != r2 {
			t.Errorf("%s: copied to %d, want %d", name, c.Plans[0].Copied, r2)
		}
		after := mustLoad(t, Doubled(m, p, new(pocket)))
		if len(after.Regained) != 0 {
			t.Errorf("%s: regained again: %q", name, after.Regained)
		}
		if r := mustSave(t, New(m), "home", r2, "three"); r <= shed {
			t.Errorf("%s: revision %d is given after %d", name, r, shed)
		}
	}
}

// Where the store does not take back what it lacks, the plan is shown all the
// same, and a save goes over what the store has.
func TestRegainedInVain(t *testing.T) {
	m, p := new(Memory), new(pocket)
	r := kept2(t, Doubled(m, p, new(pocket)), "home", 0, "one")
	empty := new(Memory)
	f := &faulty{Memory: empty, fault: func() fault { return failDuring }}
	s := Doubled(f, p, new(pocket))
	got := only(t, mustLoad(t, s))
	if string(got.Data) != "one" || got.Revision != 0 || !got.Owed {
		t.Fatalf("got %+v, want the copy, owed", got)
	}
	f.fault = func() fault { return none }
	if now := mustSave(t, s, "home", got.Revision, "two"); now <= r {
		t.Errorf("revision %d is given after %d", now, r)
	}
}

// A store that cannot be read: the copies are shown, and the reason told.
func TestUnread(t *testing.T) {
	m, p := new(Memory), new(pocket)
	r := kept2(t, Doubled(m, p, new(pocket)), "home", 0, "one")
	f := &faulty{Memory: m, fault: func() fault { return none }, deaf: true}
	c := mustLoad(t, Doubled(f, p, new(pocket)))
	wantGeneration(t, "the copy", only(t, c).Generation, r, "one")
	if !errors.Is(c.Unread, errFaulty) || len(c.Regained) != 0 {
		t.Errorf("unread: %v, regained %q", c.Unread, c.Regained)
	}
	if _, err := Doubled(f, new(pocket), new(pocket)).Load(); !errors.Is(err, errFaulty) {
		t.Errorf("without copies: %v", err)
	}
}

// A copy counts once it has been read back, and only then are older ones dropped.
func TestCopyIsReadBack(t *testing.T) {
	m, p, last := new(Memory), new(pocket), new(pocket)
	s := Doubled(m, p, last)
	r1 := kept2(t, s, "home", 0, "one")
	r2 := mustSave(t, s, "home", r1, "two")
	p.lies = true
	if err := s.Copy("home", r2, []byte("two")); !errors.Is(err, ErrNotHeld) {
		t.Errorf("a copy that is not there: %v", err)
	}
	if p.kept[copyKey("home", r1)] == nil {
		t.Error("the older copy was dropped")
	}
	// What only the last resort has is found, and is owed.
	c := mustLoad(t, Doubled(new(Memory), p, last))
	got := only(t, c)
	if string(got.Data) != "two" || got.Copied != 0 {
		t.Errorf("got %q, copied to %d", got.Data, got.Copied)
	}
	if err := s.Holds("home", []byte("two")); err != nil {
		t.Error(err)
	}
	if err := s.Holds("home", []byte("one")); !errors.Is(err, ErrNotHeld) {
		t.Errorf("what the store does not hold: %v", err)
	}
}

// A damaged copy is told of only where it would have been needed; the one before
// it stands in.
func TestCopyDamaged(t *testing.T) {
	m, p := new(Memory), new(pocket)
	s := Doubled(m, p, new(pocket))
	r1 := kept2(t, s, "home", 0, "one")
	first := bytes.Clone(p.kept[copyKey("home", r1)])
	r2 := kept2(t, s, "home", r1, "two")
	p.kept[copyKey("home", r1)] = first
	p.kept[copyKey("home", r2)][head] ^= 1
	if c := mustLoad(t, Doubled(m, p, new(pocket))); len(c.Damaged) != 0 || len(c.Regained) != 0 {
		t.Errorf("not needed: damaged %v, regained %q", c.Damaged, c.Regained)
	}
	c := mustLoad(t, Doubled(new(Memory), p, new(pocket)))
	wantGeneration(t, "needed", only(t, c).Generation, r1, "one")
	if len(c.Damaged) != 1 || c.Damaged[0].Instead != r1 {
		t.Errorf("needed: damaged %+v", c.Damaged)
	}
	delete(p.kept, copyKey("home", r1))
	c = mustLoad(t, Doubled(new(Memory), p, new(pocket)))
	if len(c.Plans) != 0 || len(c.Damaged) != 1 || c.Damaged[0].Instead != 0 {
		t.Errorf("nothing else: %d plans, damaged %+v", len(c.Plans), c.Damaged)
	}
}

// What is deleted does not come back from its copy.
func TestDeletedWithCopies(t *testing.T) {
	m, p, last := new(Memory), new(pocket), new(pocket)
	s := Doubled(m, p, last)
	r := kept2(t, s, "home", 0, "one")
	if err := s.Delete("home", r); err != nil {
		t.Fatal(err)
	}
	if c := mustLoad(t, Doubled(m, p, last)); len(c.Plans) != 0 || len(p.kept)+len(last.kept) != 0 {
		t.Errorf("%d plans, %d and %d copies", len(c.Plans), len(p.kept), len(last.kept))
	}
}

// A store that lost what it held, under an open page: the page's save goes on
// where it was, and the page learns of it, as does every other.
func TestWentBack(t *testing.T) {
	m := new(Memory)
	a, b := New(m), New(m)
	r := mustSave(t, a, "home", 0, "one")
	mustSave(t, a, "shed", 0, "own")
	mustLoad(t, b)
	if a.WentBack() || b.WentBack() {
		t.Error("a store that lost nothing has gone back")
	}
	m.pairs = nil
	r2 := mustSave(t, a, "home", r, "two")
	if !a.WentBack() || a.WentBack() {
		t.Error("it is not told once")
	}
	if mustLoad(t, b); r2 <= r || !b.WentBack() {
		t.Errorf("revision %d after %d; the other page knows of nothing", r2, r)
	}
	if _, err := b.Save("home", r, []byte("three")); !errors.Is(err, ErrConflict) {
		t.Errorf("over what the other page saved since: %v", err)
	}
}

// Whatever fails, or dies, while plans are saved and copied: what both places
// held outlives the loss of either.
func TestEitherLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, p, last := new(Memory), new(pocket), new(pocket)
		var next []fault
		due := func() fault {
			if len(next) == 0 {
				return none
			}
			what := next[0]
			next = next[1:]
			return what
		}
		open := func() *Shelf { return Doubled(&faulty{Memory: m, fault: due}, p, last) }
		p.fault, last.fault = due, due
		s, promised, n := open(), map[string]int{}, 0
		// dies runs work of a page, and reports whether the page died of it.
		dies := func(work func()) (dead bool) {
			defer func() {
				next = nil
				if r := recover(); r != nil {
					if _, ok := r.(killed); !ok {
						panic(r)
					}
					s, dead = open(), true
				}
			}()
			work()
			return false
		}
		there := func() map[string]Plan {
			c, err := s.Load()
			if err != nil {
				t.Fatal(err)
			}
			all := map[string]Plan{}
			for _, p := range c.Plans {
				all[p.ID] = p
			}
			for id, n := range promised {
				var got int
				if _, err := fmt.Sscan(string(all[id].Data), &got); err != nil || got < n {
					t.Fatalf("%s is %q, and %d was said to be saved", id, all[id].Data, n)
				}
			}
			return all
		}
		t.Repeat(map[string]func(*rapid.T){
			"save": func(t *rapid.T) {
				id := rapid.SampledFrom([]string{"home", "shed/2"}).Draw(t, "id")
				all := there()
				next = rapid.SliceOfN(rapid.SampledFrom([]fault{none, none, failBefore, failDuring, answerLost, killBefore, killAfter}), 0, 6).Draw(t, "faults")
				n++
				data := fmt.Appendf(nil, "%d", n)
				dies(func() {
					r, err := s.Save(id, all[id].Revision, data)
					if err == nil && s.Copy(id, r, data) == nil && s.Holds(id, data) == nil {
						promised[id] = n
					}
				})
			},
			"lose one": func(t *rapid.T) {
				switch rapid.IntRange(0, 2).Draw(t, "which") {
				case 0:
					m.pairs = nil
				case 1:
					clear(p.kept)
				case 2:
					clear(last.kept)
				}
				if rapid.Bool().Draw(t, "under the page") {
					s = open()
				}
				// The page takes stock, and makes the copies that it owes.
				for id, got := range there() {
					if r := got.Revision; got.Copied < r {
						if err := s.Copy(id, r, got.Data); err != nil {
							t.Fatal(err)
						}
					}
				}
			},
		})
	})
}
