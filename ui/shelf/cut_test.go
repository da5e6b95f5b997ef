package shelf

import (
	"bytes"
	"errors"
	"fmt"
	"testing"
)

// step is one thing that a page does with its shelf, or that befalls the store.
type step struct {
	id   string
	what string // "save", "delete", "damage"
}

// script meets every kind of transaction: a first save, later ones into either
// place, two plans, damage in the newer and in the older place, a deletion, and
// a plan that comes back.
var script = []step{
	{"home", "save"}, {"home", "save"}, {"shed", "save"}, {"home", "save"},
	{"home", "damage"}, {"home", "save"}, {"home", "save"},
	{"shed", "damage"}, {"shed", "save"}, {"shed", "save"}, {"shed", "delete"}, {"shed", "save"},
	{"home", "save"}, {"home", "delete"}, {"home", "save"},
}

// cut is a fault at the n-th transaction of a run.
type cut struct {
	at   int
	what fault
}

// run goes through the script over a store with those faults, as a page would
// that reads again after each death and tries again after each error. It returns
// how many transactions there were.
func run(t *testing.T, cuts ...cut) int {
	t.Helper()
	m := new(Memory)
	count := 0
	open := func() *Shelf {
		return New(&faulty{Memory: m, fault: func() fault {
			count++
			for _, c := range cuts {
				if c.at == count {
					return c.what
				}
			}
			return none
		}})
	}
	s := open()
	said := map[string][]byte{} // what Save reported, and what may be there
	hurt := 0
	for i, st := range script {
		data := fmt.Appendf(nil, "%s as of step %d", st.id, i)
		if st.what == "damage" {
			p := readPair(st.id, m.pairs)
			for _, place := range p {
				if place.Revision == p.newest().Revision {
					set(m, place.key, place.raw[:len(place.raw)-1])
				}
			}
			said[st.id] = p.earlier().Data
			hurt++
			continue
		}
		for done := false; !done; {
			done = attempt(t, cuts, &s, open, func(base Revision) error {
				if st.what == "delete" {
					return s.Delete(st.id, base)
				}
				_, err := s.Save(st.id, base, data)
				return err
			}, st.id)
		}
		if st.what == "delete" {
			data = nil
		}
		said[st.id] = data
		for id, want := range said {
			if got := readPair(id, m.pairs).newest().Data; !bytes.Equal(got, want) {
				t.Fatalf("faults %v, step %d: %s is %q, want %q, which was said to be saved", cuts, i, id, got, want)
			}
		}
	}
	c := mustLoad(t, New(m))
	if got := len(c.Aside) + len(c.Damaged); got != hurt {
		t.Fatalf("faults %v: %d damaged records are told of, want %d", cuts, got, hurt)
	}
	return count
}

// attempt reads the plan's revision and does the work once; it reports whether
// that was said to be done. A page that dies is followed by another.
func attempt(t *testing.T, cuts []cut, s **Shelf, open func() *Shelf, work func(base Revision) error, id string) (done bool) {
	t.Helper()
	defer func() {
		if r := recover(); r != nil {
			if _, ok := r.(killed); !ok {
				panic(r)
			}
			*s = open()
			done = false
		}
	}()
	c, err := (*s).Load()
	if err != nil {
		t.Fatalf("faults %v: %v", cuts, err)
	}
	var base Revision
	for _, p := range c.Plans {
		if p.ID == id {
			base = p.Revision
		}
	}
	err = work(base)
	if err != nil && !errors.Is(err, errFaulty) {
		t.Fatalf("faults %v: %v", cuts, err)
	}
	return err == nil
}

// At every transaction, and at every two of them, each fault: the page dies
// before or after, the store fails before, during or after, or asks twice. What
// was said to be saved is there after every step, and each damaged record is
// told of.
func TestCutAnywhere(t *testing.T) {
	faults := []fault{failBefore, failDuring, answerLost, twice, killBefore, killAfter}
	total, runs := run(t), 0
	if total < len(script) {
		t.Fatalf("%d transactions for %d steps", total, len(script))
	}
	for at := 1; at <= total; at++ {
		for _, what := range faults {
			run(t, cut{at, what})
			runs++
			for next := at + 1; next <= total+1; next++ {
				for _, then := range faults {
					run(t, cut{at, what}, cut{next, then})
					runs++
				}
			}
		}
	}
	t.Logf("%d transactions, %d runs with one or two faults", total, runs)
	if runs < 2000 {
		t.Errorf("only %d runs", runs)
	}
}
