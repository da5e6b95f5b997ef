package shelf

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"testing"

	"candleclock/engine/doc"
)

func mustSave(t *testing.T, s *Shelf, id string, base Revision, data string) Revision {
	t.Helper()
	r, err := s.Save(id, base, []byte(data))
	if err != nil {
		t.Fatalf("Save(%q, %d, %q): %v", id, base, data, err)
	}
	if r <= base {
		t.Fatalf("Save(%q, %d, %q) got revision %d, want a greater one", id, base, data, r)
	}
	return r
}

func mustLoad(t *testing.T, s *Shelf) Contents {
	t.Helper()
	c, err := s.Load()
	if err != nil {
		t.Fatalf("Load: %v", err)
	}
	return c
}

// only returns the single plan of c.
func only(t *testing.T, c Contents) Plan {
	t.Helper()
	if len(c.Plans) != 1 {
		t.Fatalf("got %d plans, want 1", len(c.Plans))
	}
	return c.Plans[0]
}

func wantGeneration(t *testing.T, name string, got Generation, r Revision, data string) {
	t.Helper()
	if got.Revision != r || string(got.Data) != data {
		t.Errorf("%s: got revision %d %q, want %d %q", name, got.Revision, got.Data, r, data)
	}
}

func TestTwoGenerations(t *testing.T) {
	m := new(Memory)
	s := New(m)
	r1 := mustSave(t, s, "home", 0, "one")
	p := only(t, mustLoad(t, s))
	wantGeneration(t, "newest after one save", p.Generation, r1, "one")
	wantGeneration(t, "earlier after one save", p.Earlier, 0, "")

	r2 := mustSave(t, s, "home", r1, "two")
	r3 := mustSave(t, s, "home", r2, "three")
	p = only(t, mustLoad(t, New(m)))
	wantGeneration(t, "newest", p.Generation, r3, "three")
	wantGeneration(t, "earlier", p.Earlier, r2, "two")
}

func TestSaveConflict(t *testing.T) {
	m := new(Memory)
	a, b := New(m), New(m)
	r1 := mustSave(t, a, "home", 0, "one")
	r2 := mustSave(t, b, "home", r1, "by b")
	for _, base := range []Revision{0, r1, r2 + 1} {
		if _, err := a.Save("home", base, []byte("by a")); !errors.Is(err, ErrConflict) {
			t.Errorf("Save over another page's, base %d: got %v, want ErrConflict", base, err)
		}
		if err := a.Delete("home", base); !errors.Is(err, ErrConflict) {
			t.Errorf("Delete of another page's, base %d: got %v, want ErrConflict", base, err)
		}
	}
	p := only(t, mustLoad(t, a))
	wantGeneration(t, "newest", p.Generation, r2, "by b")
	wantGeneration(t, "earlier", p.Earlier, r1, "one")
}

// A Save that failed only in its answer can be called again.
func TestSaveAgain(t *testing.T) {
	m := new(Memory)
	f := &faulty{Memory: m, fault: func() fault { return answerLost }}
	_, err := New(f).Save("home", 0, []byte("one"))
	if !errors.Is(err, errFaulty) {
		t.Fatalf("got %v, want the store's error", err)
	}
	s := New(m)
	r, err := s.Save("home", 0, []byte("one"))
	if err != nil {
		t.Fatalf("the same again: %v", err)
	}
	p := only(t, mustLoad(t, s))
	wantGeneration(t, "newest", p.Generation, r, "one")
	wantGeneration(t, "earlier", p.Earlier, 0, "")
	if _, err := s.Save("home", 0, []byte("other")); !errors.Is(err, ErrConflict) {
		t.Errorf("something else again: got %v, want ErrConflict", err)
	}
}

func TestLateSaveAfterDelete(t *testing.T) {
	m := new(Memory)
	a, b := New(m), New(m)
	r1 := mustSave(t, a, "home", 0, "one")
	r2 := mustSave(t, a, "home", r1, "two")
	mustLoad(t, b)
	if err := a.Delete("home", r2); err != nil {
		t.Fatal(err)
	}
	if got := mustLoad(t, a).Plans; len(got) != 0 {
		t.Errorf("after Delete: got %v, want no plans", got)
	}
	if _, err := b.Save("home", r2, []byte("late")); !errors.Is(err, ErrConflict) {
		t.Errorf("late Save: got %v, want ErrConflict", err)
	}
	if err := b.Delete("home", r2); err != nil {
		t.Errorf("Delete of what is gone: %v", err)
	}
	// The plan comes back, saved from a page opened just now: the old
	// revisions must not fit it.
	again := mustSave(t, New(m), "home", 0, "anew")
	again2 := mustSave(t, New(m), "home", again, "anew 2")
	if again <= r2 || again2 <= r2 {
		t.Errorf("revisions went back: %d and %d after %d", again, again2, r2)
	}
	for _, base := range []Revision{r1, r2} {
		if _, err := b.Save("home", base, []byte("late")); !errors.Is(err, ErrConflict) {
			t.Errorf("late Save, base %d: got %v, want ErrConflict", base, err)
		}
	}
}

// With one count damaged, numbers go up by one; with both, they leap past all
// that is stored.
func TestCountDamaged(t *testing.T) {
	for _, raw := range [][]byte{nil, {}, []byte("candle"), pack("elsewhere", 1, nil)} {
		for both, step := range []Revision{
			2,        // past the deletion, which took a number too
			leap - 1, // from the plan that was kept, saved just before
		} {
			m := new(Memory)
			s := New(m)
			mustSave(t, s, "kept", 0, "kept")
			r := mustSave(t, s, "home", 0, "one")
			if err := s.Delete("home", r); err != nil {
				t.Fatal(err)
			}
			for _, key := range countKeys[:1+both] {
				set(m, key, raw)
			}
			if got := mustSave(t, New(m), "home", 0, "two"); got != r+step {
				t.Errorf("counts damaged %d, %q: got revision %d after %d, want %d more", 1+both, raw, got, r, step)
			}
			if got := mustLoad(t, s).Damaged; len(got) != 0 {
				t.Errorf("counts damaged %d: told of %v, want nothing", 1+both, got)
			}
		}
	}
}

func TestDamage(t *testing.T) {
	flip := func(i int) func([]byte) []byte {
		return func(b []byte) []byte {
			b[(i+len(b))%len(b)] ^= 0x10
			return b
		}
	}
	hurts := []struct {
		name string
		hurt func([]byte) []byte
		why  string
	}{
		{"empty", func(b []byte) []byte { return []byte{} }, "it is cut short"},
		{"head only", func(b []byte) []byte { return b[:head] }, "it is cut short"},
		{"last byte gone", func(b []byte) []byte { return b[:len(b)-1] }, "it is cut short"},
		{"a byte more", func(b []byte) []byte { return append(b, 0) }, "it is longer than it says"},
		{"mark", flip(0), "it does not begin as this page writes"},
		{"format", flip(7), "it does not begin as this page writes"},
		{"revision", flip(15), "its checksum does not fit"},
		{"length", flip(16), "it is cut short"},
		{"data", flip(head + 1), "its checksum does not fit"},
		{"checksum", flip(-1), "its checksum does not fit"},
		{"another plan's", func([]byte) []byte { return pack(slotKey("other", 0), 9, []byte("x")) }, "its checksum does not fit"},
		{"revision 0", func([]byte) []byte { return pack(slotKey("home", 0), 0, []byte("x")) }, "its checksum does not fit"},
	}
	for _, h := range hurts {
		for _, which := range []string{"newest", "earlier"} {
			t.Run(h.name+"/"+which, func(t *testing.T) {
				m := new(Memory)
				s := New(m)
				r1 := mustSave(t, s, "home", 0, "one")    // lies in slot a
				r2 := mustSave(t, s, "home", r1, "two")   // lies in slot b
				other := mustSave(t, s, "shed", 0, "own") // must not be touched
				i, left, leftData := 1, r1, "one"
				if which == "earlier" {
					i, left, leftData = 0, r2, "two"
				}
				if h.name == "revision 0" {
					h.hurt = func([]byte) []byte { return pack(slotKey("home", i), 0, []byte("x")) }
					h.why = "its revision is out of range"
				}
				bad := h.hurt(bytes.Clone(m.pairs[slotKey("home", i)]))
				set(m, slotKey("home", i), bad)

				c := mustLoad(t, New(m))
				if len(c.Plans) != 2 {
					t.Fatalf("got %d plans, want 2", len(c.Plans))
				}
				wantGeneration(t, "in its stead", c.Plans[0].Generation, left, leftData)
				wantGeneration(t, "earlier", c.Plans[0].Earlier, 0, "")
				wantGeneration(t, "the other plan", c.Plans[1].Generation, other, "own")
				want := Damage{ID: "home", Why: h.why, Instead: left, SetAside: true}
				if len(c.Damaged) != 1 || c.Damaged[0] != want {
					t.Errorf("got %+v, want %+v", c.Damaged, want)
				}
				for _, c := range []Contents{c, mustLoad(t, s)} {
					if len(c.Aside) != 1 || c.Aside[0].ID != "home" || !bytes.Equal(c.Aside[0].Data, bad) {
						t.Errorf("aside: got %+v, want the damaged bytes", c.Aside)
					}
				}
				if got := mustLoad(t, s).Damaged; len(got) != 0 {
					t.Errorf("the second Load tells of %+v again", got)
				}
				// A page that holds the lost revision must not save on unseen.
				if left == r1 {
					if _, err := s.Save("home", r2, []byte("three")); !errors.Is(err, ErrConflict) {
						t.Errorf("base of the damaged: got %v, want ErrConflict", err)
					}
				}
				r3 := mustSave(t, s, "home", left, "three")
				if r3 <= r2 {
					t.Errorf("got revision %d again after %d was damaged", r3, r2)
				}
				p := mustLoad(t, s).Plans[0]
				wantGeneration(t, "after a save", p.Generation, r3, "three")
				wantGeneration(t, "and before it", p.Earlier, left, leftData)
			})
		}
	}
}

// A save that meets the damage first sets it aside too.
func TestSaveMeetsDamage(t *testing.T) {
	m := new(Memory)
	s := New(m)
	r1 := mustSave(t, s, "home", 0, "one")
	mustSave(t, s, "home", r1, "two")
	set(m, slotKey("home", 1), []byte("ruin"))
	r3 := mustSave(t, s, "home", r1, "three")
	c := mustLoad(t, s)
	wantGeneration(t, "newest", only(t, c).Generation, r3, "three")
	wantGeneration(t, "earlier", only(t, c).Earlier, r1, "one")
	if len(c.Aside) != 1 || string(c.Aside[0].Data) != "ruin" {
		t.Errorf("aside: got %+v, want the ruin", c.Aside)
	}
}

func TestBothDamaged(t *testing.T) {
	m := new(Memory)
	s := New(m)
	r1 := mustSave(t, s, "home", 0, "one")
	r2 := mustSave(t, s, "home", r1, "two")
	set(m, slotKey("home", 0), []byte("ruin a"))
	set(m, slotKey("home", 1), []byte("ruin b"))
	c := mustLoad(t, s)
	if len(c.Plans) != 0 || len(c.Damaged) != 2 || len(c.Aside) != 2 {
		t.Fatalf("got %+v, want no plan, two damaged, two aside", c)
	}
	for _, d := range c.Damaged {
		if d.ID != "home" || d.Instead != 0 || !d.SetAside {
			t.Errorf("got %+v, want home, nothing instead, set aside", d)
		}
	}
	if _, err := s.Save("home", r2, []byte("three")); !errors.Is(err, ErrConflict) {
		t.Errorf("got %v, want ErrConflict", err)
	}
	mustSave(t, s, "home", 0, "anew")
}

func TestAsideIsBounded(t *testing.T) {
	m := new(Memory)
	s := New(m)
	for i := range MostAside {
		id := "p" + strconv.Itoa(i)
		mustSave(t, s, id, 0, id)
		set(m, slotKey(id, 0), []byte("ruin "+id))
	}
	if got := len(mustLoad(t, s).Aside); got != MostAside {
		t.Fatalf("got %d aside, want %d", got, MostAside)
	}
	r1 := mustSave(t, s, "home", 0, "one")
	mustSave(t, s, "home", r1, "two")
	set(m, slotKey("home", 1), []byte("last ruin"))
	for range 2 { // told each time as long as it lies there
		c := mustLoad(t, s)
		want := Damage{ID: "home", Why: "it is cut short", Instead: r1}
		if len(c.Damaged) != 1 || c.Damaged[0] != want {
			t.Errorf("got %+v, want %+v", c.Damaged, want)
		}
		if len(c.Aside) != MostAside || string(c.Aside[0].Data) != "ruin p0" {
			t.Errorf("got %d aside, the first %q, want %d, the oldest kept", len(c.Aside), c.Aside[0].Data, MostAside)
		}
	}
	r3 := mustSave(t, s, "home", r1, "three")
	wantGeneration(t, "a save still works", only(t, mustLoad(t, s)).Generation, r3, "three")
	if got := string(m.pairs[slotKey("home", 1)]); got != "last ruin" {
		t.Errorf("the damaged one was dropped: its place holds %q", got)
	}
	if err := s.Delete("home", r3); err != nil {
		t.Fatal(err)
	}
	if got := string(m.pairs[slotKey("home", 1)]); got != "last ruin" {
		t.Errorf("the damaged one was dropped with the plan: its place holds %q", got)
	}

	set(m, slotKey("home", 0), []byte("and another"))
	if _, err := s.Save("home", 0, []byte("four")); !errors.Is(err, ErrAsideFull) {
		t.Errorf("no place left: got %v, want ErrAsideFull", err)
	}
	aside := mustLoad(t, s).Aside
	for _, a := range aside[:2] {
		if err := s.DropAside(a); err != nil {
			t.Fatal(err)
		}
	}
	c := mustLoad(t, s)
	if len(c.Aside) != MostAside || len(c.Damaged) != 2 {
		t.Errorf("got %d aside, %d damaged, want %d and 2", len(c.Aside), len(c.Damaged), MostAside)
	}
	// The places of the two dropped ones are taken by others now.
	for _, a := range aside[:2] {
		if err := s.DropAside(a); err != nil {
			t.Fatal(err)
		}
	}
	if got := len(mustLoad(t, s).Aside); got != MostAside {
		t.Errorf("got %d aside after dropping what is gone, want %d", got, MostAside)
	}
	mustSave(t, s, "home", 0, "four")
}

// A copy aside that is damaged in turn is still shown and still kept.
func TestAsideDamaged(t *testing.T) {
	m := new(Memory)
	s := New(m)
	set(m, asideKeys()[0], []byte("what was that"))
	set(m, slotKey("home", 0), []byte("ruin"))
	c := mustLoad(t, s)
	if len(c.Aside) != 2 || c.Aside[0].ID != "" || string(c.Aside[0].Data) != "what was that" || c.Aside[1].ID != "home" {
		t.Fatalf("got %+v, want both", c.Aside)
	}
	if err := s.DropAside(c.Aside[0]); err != nil {
		t.Fatal(err)
	}
	if got := mustLoad(t, s).Aside; len(got) != 1 || got[0].ID != "home" {
		t.Errorf("got %+v, want the other", got)
	}
}

// A Store that can be read but not written still gives its plans.
func TestLoadReadOnly(t *testing.T) {
	m := new(Memory)
	r := mustSave(t, New(m), "home", 0, "one")
	set(m, slotKey("home", 1), []byte("ruin"))
	f := &faulty{Memory: m, fault: func() fault { return failBefore }}
	c := mustLoad(t, New(f))
	wantGeneration(t, "newest", only(t, c).Generation, r, "one")
	want := Damage{ID: "home", Why: "it is cut short", Instead: r}
	if len(c.Damaged) != 1 || c.Damaged[0] != want {
		t.Errorf("got %+v, want %+v", c.Damaged, want)
	}
}

func TestStoreErrors(t *testing.T) {
	f := &faulty{Memory: new(Memory), fault: func() fault { return failBefore }, deaf: true}
	s := New(f)
	_, load := s.Load()
	_, create := s.Save("home", 0, nil)
	_, save := s.Save("home", 1, nil)
	_, setting := s.Setting("look")
	for name, err := range map[string]error{
		"Load": load, "Save": save, "Save of a new one": create, "Delete": s.Delete("home", 1),
		"Setting": setting, "SetSetting": s.SetSetting("look", nil), "DropAside": s.DropAside(Aside{Key: "x"}),
	} {
		if !errors.Is(err, errFaulty) || !strings.HasPrefix(err.Error(), "could not ") {
			t.Errorf("%s: got %q, want the store's error and what could not be done", name, err)
		}
	}
}

func TestBounds(t *testing.T) {
	s := New(new(Memory))
	big := make([]byte, MostBytes+1)
	var refused *doc.Error
	for _, c := range []struct {
		name string
		err  error
		want string
	}{
		{"too big", second(s.Save("home", 0, big)), "the plan: 1,048,577 bytes must be at most 1,048,576 bytes"},
		{"no id", second(s.Save("", 0, nil)), "the plan's id: must be 1 to 40 characters long"},
		{"long id", second(s.Save(strings.Repeat("x", 41), 0, nil)), "the plan's id: a text of 41 characters must be at most 40 characters long"},
		{"odd id", s.Delete("a\nb", 0), `the plan's id: "a\nb" must be text without control characters`},
		{"no name", s.SetSetting("", nil), "the setting's name: must be 1 to 40 characters long"},
		{"big setting", s.SetSetting("look", big), "the setting look: 1,048,577 bytes must be at most 65,536 bytes"},
	} {
		if !errors.As(c.err, &refused) || c.err.Error() != c.want {
			t.Errorf("%s: got %q, want %q", c.name, c.err, c.want)
		}
	}
	if _, err := s.Save("home", 0, big[:MostBytes]); err != nil {
		t.Errorf("as big as may be: %v", err)
	}
	for i := range MostPlans - 1 {
		mustSave(t, s, fmt.Sprint(i), 0, "")
	}
	_, err := s.Save("one more", 0, nil)
	if want := "the number of plans kept here: 201 must be at most 200: save one to a file and delete it here first"; !errors.As(err, &refused) || err.Error() != want {
		t.Errorf("got %q, want %q", err, want)
	}
	c := mustLoad(t, s)
	last := c.Plans[len(c.Plans)-1]
	r := mustSave(t, s, last.ID, last.Revision, "changed")
	if err := s.Delete(last.ID, r); err != nil {
		t.Fatal(err)
	}
	mustSave(t, s, "one more", 0, "")
}

func second(_ Revision, err error) error { return err }

// Ids come from plan files, so any text may turn up as one.
func TestOddIDs(t *testing.T) {
	m := new(Memory)
	s := New(m)
	ids := []string{"/a", "a", "a/b", "a/a/b", "/", " ", "é", "count", "../set/x"}
	for _, id := range ids {
		mustSave(t, s, id, mustSave(t, s, id, 0, "old"), id)
	}
	c := mustLoad(t, New(m))
	if len(c.Plans) != len(ids) || len(c.Damaged) != 0 {
		t.Fatalf("got %d plans, %d damaged, want %d and 0", len(c.Plans), len(c.Damaged), len(ids))
	}
	for _, p := range c.Plans {
		wantGeneration(t, p.ID, p.Generation, p.Revision, p.ID)
	}
}

func TestSetting(t *testing.T) {
	m := new(Memory)
	s := New(m)
	get := func(want string, wantErr error) {
		t.Helper()
		got, err := s.Setting("look")
		if string(got) != want || !errors.Is(err, wantErr) {
			t.Errorf("got %q, %v, want %q, %v", got, err, want, wantErr)
		}
	}
	put := func(data []byte) {
		t.Helper()
		if err := s.SetSetting("look", data); err != nil {
			t.Fatal(err)
		}
	}
	get("", nil)
	put([]byte("night"))
	if err := s.SetSetting("looks", []byte("another")); err != nil {
		t.Fatal(err)
	}
	get("night", nil)
	m.pairs[setPrefix+"look"][head] ^= 1
	get("", ErrDamaged)
	put([]byte("day"))
	get("day", nil)
	put(nil)
	get("", nil)
	if _, there := m.pairs[setPrefix+"look"]; there {
		t.Error("a removed setting is still there")
	}
	if c := mustLoad(t, s); len(c.Plans)+len(c.Damaged)+len(c.Aside) != 0 {
		t.Errorf("settings turn up among the plans: %+v", c)
	}
}

// What a caller does to its bytes must not reach the store.
func TestMemoryCopies(t *testing.T) {
	m := new(Memory)
	s := New(m)
	data := []byte("one")
	r := mustSave(t, s, "home", 0, "zero")
	if _, err := s.Save("home", r, data); err != nil {
		t.Fatal(err)
	}
	data[0] = 'X'
	only(t, mustLoad(t, s)).Data[0] = 'Y'
	if got := string(only(t, mustLoad(t, s)).Data); got != "one" {
		t.Errorf("got %q, want %q", got, "one")
	}
	refusal := errors.New("no")
	err := m.Txn([]string{"x"}, func(map[string][]byte) (map[string][]byte, error) {
		return map[string][]byte{"x": []byte("y")}, refusal
	})
	if all, _ := m.All("x"); err != refusal || len(all) != 0 {
		t.Errorf("got %v and %v, want the refusal and nothing written", err, all)
	}
}

// Pages that count up one number, each from what it last read, lose no count.
func TestPagesAtOnce(t *testing.T) {
	const pages, each = 4, 25
	m := new(Memory)
	mustSave(t, New(m), "home", 0, "0")
	var wait sync.WaitGroup
	for page := range pages {
		wait.Go(func() {
			s := New(m)
			for done := 0; done < each; {
				c, err := s.Load()
				if err != nil || len(c.Plans) != 1 {
					t.Errorf("got %+v, %v", c, err)
					return
				}
				p := c.Plans[0]
				// Who counted stands behind the count: the same bytes from
				// two pages would pass as one save.
				count, _, _ := strings.Cut(string(p.Data), " ")
				n, _ := strconv.Atoi(count)
				_, err = s.Save("home", p.Revision, fmt.Appendf(nil, "%d by %d", n+1, page))
				switch {
				case err == nil:
					done++
				case !errors.Is(err, ErrConflict):
					t.Error(err)
					return
				}
			}
		})
	}
	wait.Wait()
	got, _, _ := strings.Cut(string(only(t, mustLoad(t, New(m))).Data), " ")
	if want := strconv.Itoa(pages * each); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// set puts raw bytes under a key, past the shelf; nil deletes.
func set(m *Memory, key string, raw []byte) {
	_ = m.Txn(nil, func(map[string][]byte) (map[string][]byte, error) {
		return map[string][]byte{key: raw}, nil
	})
}
