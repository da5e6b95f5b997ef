package shelf

import (
	"bytes"
	"maps"
	"slices"
	"strings"
)

// Plan is one plan of the shelf.
type Plan struct {
	ID         string
	Generation            // the newest whole one
	Earlier    Generation // the one before it; Revision 0 when there is none
	Copied     Revision   // the newest of which there is a second copy; 0 for none
	// Owed says that Data is the second copy's and could not be put back: it is
	// to be saved over Revision, which is what the Store holds.
	Owed bool
}

// Damage tells of a generation found damaged.
type Damage struct {
	ID       string   // of the plan
	Why      string   // "its checksum does not fit"
	Instead  Revision // the generation that stands for the plan now, which may be newer or older than the damaged one; 0 when there is none
	SetAside bool     // its bytes are in Aside (of the next Load, if another page put them there); otherwise they still lie in their place
}

// Aside is a damaged record, kept as it was found until DropAside.
type Aside struct {
	Key  string // its own place
	ID   string // of the plan it belonged to; "" when the copy was damaged in turn
	Data []byte // what was found, head and checksum and all

	whole []byte // the bytes under Key
}

// Contents is what a shelf holds.
type Contents struct {
	Plans   []Plan   // by id
	Damaged []Damage // found by this Load, by id; a later Load finds those set aside in Aside only
	Aside   []Aside  // in the order of their keys

	Regained []string // ids of plans that the Store lacked, or had older than their second copy
	Doubled  bool     // second copies can be kept
	Unread   error    // why the Store could not be read: the plans are those of the second copies
}

// Load reads all plans and checks them. A damaged generation is set aside if
// there is room for it (MostAside in all) and the other one of that plan taken
// in its stead; a plan with no whole generation is told of in Damaged and not
// in Plans.
//
// A plan that the Store lacks, or has older than its second copy, is that copy,
// which is put back. Load returns an error only when the Store cannot be read and
// there are no second copies either.
func (s *Shelf) Load() (Contents, error) {
	seen := Revision(s.seen.Load())
	all, err := s.store.All(prefix)
	copies, own, doubled := s.readKeys()
	if err != nil {
		err = told("read what is kept on this device", err)
		if len(copies) == 0 {
			return Contents{}, err
		}
	} else {
		if wentBack(counted(all), seen) {
			s.lost.Store(true)
		}
		s.see(counted(all))
	}
	c := Contents{Doubled: doubled, Unread: err}
	ids := map[string]bool{}
	for key, raw := range all {
		if id, ok := planOf(key); ok {
			ids[id] = true
		} else if strings.HasPrefix(key, asidePrefix) {
			c.Aside = append(c.Aside, unpackAside(key, raw))
		}
	}
	for _, id := range slices.Sorted(maps.Keys(ids)) {
		p := readPair(id, all)
		newest := p.newest()
		s.see(newest.Revision)
		if newest.Revision != 0 {
			c.Plans = append(c.Plans, Plan{ID: id, Generation: newest, Earlier: p.earlier()})
		}
		if p[0].why == "" && p[1].why == "" {
			continue
		}
		moved, cleared := s.clear(id)
		for i, slot := range p {
			if slot.why == "" {
				continue
			}
			c.Damaged = append(c.Damaged, Damage{ID: id, Why: slot.why, Instead: newest.Revision, SetAside: cleared[i]})
			if moved[i] != nil {
				c.Aside = append(c.Aside, *moved[i])
			}
		}
	}
	slices.SortFunc(c.Aside, func(a, b Aside) int { return strings.Compare(a.Key, b.Key) })
	s.compare(&c, copies, own)
	return c, nil
}

// compare takes from the second copies what the Store lacks or has older.
func (s *Shelf) compare(c *Contents, copies map[string][]Revision, own map[string]bool) {
	at := map[string]int{}
	for i, p := range c.Plans {
		at[p.ID] = i
	}
	var better []Plan
	for _, id := range slices.Sorted(maps.Keys(copies)) {
		var there Plan
		i, found := at[id]
		if found {
			there = c.Plans[i]
		}
		g, why := s.newest(id, copies[id], there.Revision)
		s.see(copies[id][0])
		switch {
		case why != "":
			c.Damaged = append(c.Damaged, Damage{ID: id, Why: why, Instead: max(g.Revision, there.Revision)})
		case found && g.Revision == 0:
			for _, r := range copies[id] { // what the Store holds is as new
				if r <= there.Revision && own[copyKey(id, r)] {
					c.Plans[i].Copied = max(c.Plans[i].Copied, r)
				}
			}
		}
		if g.Revision == 0 {
			continue
		}
		p := Plan{ID: id, Generation: g, Earlier: there.Generation}
		if own[copyKey(id, g.Revision)] {
			p.Copied = g.Revision
		}
		better = append(better, p)
		if found {
			c.Plans[i] = p
		} else {
			c.Plans = append(c.Plans, p)
		}
	}
	slices.SortFunc(c.Plans, func(a, b Plan) int { return strings.Compare(a.ID, b.ID) })
	if len(better) == 0 || c.Unread != nil {
		return
	}
	back := s.regain(better)
	for _, b := range better {
		c.Regained = append(c.Regained, b.ID)
		for i := range c.Damaged {
			if d := &c.Damaged[i]; d.ID == b.ID {
				d.Instead = b.Revision
			}
		}
		for i := range c.Plans {
			if p := &c.Plans[i]; p.ID == b.ID && !back {
				p.Revision, p.Owed, p.Copied = p.Earlier.Revision, true, 0
			}
		}
	}
}

// clear sets the damaged generations of a plan aside. By place, it returns the
// copies it made and whether no damage is left. Where the Store does not let
// it, the damaged stay, to be met again.
func (s *Shelf) clear(id string) (moved [2]*Aside, cleared [2]bool) {
	err := s.txn(id, func(got map[string][]byte) (map[string][]byte, error) {
		p := readPair(id, got)
		put := map[string][]byte{}
		moved = p.setAside(got, put)
		cleared = [2]bool{p[0].why == "", p[1].why == ""}
		return put, nil
	})
	if err != nil {
		return [2]*Aside{}, [2]bool{}
	}
	return moved, cleared
}

// DropAside removes a record that was set aside, once the person has no more
// need of it. One that is gone already, or whose place has been taken by
// another, is left as it is.
func (s *Shelf) DropAside(a Aside) error {
	err := s.store.Txn([]string{a.Key}, func(got map[string][]byte) (map[string][]byte, error) {
		if raw, ok := got[a.Key]; !ok || a.whole == nil || !bytes.Equal(raw, a.whole) {
			return nil, nil
		}
		return map[string][]byte{a.Key: nil}, nil
	})
	return told("remove the damaged record", err)
}

// A record aside carries the key that the damaged bytes lay under, a newline,
// and those bytes. No key holds a newline: ids are free of control characters.
func packAside(key, from string, raw []byte) []byte {
	data := append([]byte(from+"\n"), raw...)
	return pack(key, 1, data)
}

func unpackAside(key string, rec []byte) Aside {
	a := Aside{Key: key, Data: rec, whole: rec}
	if _, data, why := unpack(key, rec); why == "" {
		from, raw, _ := bytes.Cut(data, []byte("\n"))
		a.ID, _ = planOf(string(from))
		a.Data = raw
	}
	return a
}
