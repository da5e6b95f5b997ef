package shelf

import (
	"fmt"
	"strings"
)

// The keys in the Store.
const (
	prefix      = "shelf/"
	planPrefix  = prefix + "plan/"
	asidePrefix = prefix + "aside/"
	setPrefix   = prefix + "set/"
)

// countKeys hold the last revision given, twice over.
var countKeys = [2]string{prefix + "count/a", prefix + "count/b"}

// counted is the last revision given as far as got tells; 0 when it does not.
func counted(got map[string][]byte) (last Revision) {
	for _, key := range countKeys {
		r, _, _ := unpack(key, got[key])
		last = max(last, r)
	}
	return last
}

// count puts down r as the last revision given.
func count(put map[string][]byte, r Revision) {
	for _, key := range countKeys {
		put[key] = pack(key, r, nil)
	}
}

var slotNames = [2]string{"/a", "/b"}

func slotKey(id string, i int) string { return planPrefix + id + slotNames[i] }

// planOf is the id of the plan whose slot has this key.
func planOf(key string) (id string, ok bool) {
	rest, ok := strings.CutPrefix(key, planPrefix)
	if !ok {
		return "", false
	}
	for _, name := range slotNames {
		if id, ok := strings.CutSuffix(rest, name); ok {
			return id, true
		}
	}
	return "", false
}

func asideKeys() []string {
	keys := make([]string, MostAside)
	for i := range keys {
		keys[i] = fmt.Sprintf("%s%02d", asidePrefix, i)
	}
	return keys
}

// slot is one of the two places of a plan.
type slot struct {
	key        string
	raw        []byte // nil when empty
	why        string // how it is damaged, "" when it is whole or empty
	Generation        // when it is whole
}

// pair is both places of a plan.
type pair [2]slot

func readPair(id string, got map[string][]byte) pair {
	var p pair
	for i := range p {
		s := slot{key: slotKey(id, i)}
		if raw, ok := got[s.key]; ok {
			s.raw = raw
			s.Revision, s.Data, s.why = unpack(s.key, raw)
		}
		p[i] = s
	}
	return p
}

// newest is the newer whole generation, zero when there is none.
func (p pair) newest() Generation {
	if p[1].Revision > p[0].Revision {
		return p[1].Generation
	}
	return p[0].Generation
}

// earlier is the older whole generation, zero when there is none.
func (p pair) earlier() Generation {
	if p[1].Revision > p[0].Revision {
		return p[0].Generation
	}
	return p[1].Generation
}

// setAside moves the damaged generations aside in put, as far as got has room
// there, and empties their places in p. It returns the copies, by place.
func (p *pair) setAside(got, put map[string][]byte) [2]*Aside {
	var moved [2]*Aside
	for i, s := range p {
		if s.why == "" {
			continue
		}
		for _, key := range asideKeys() {
			if _, taken := got[key]; taken || put[key] != nil {
				continue
			}
			id, _ := planOf(s.key)
			put[key] = packAside(key, s.key, s.raw)
			put[s.key] = nil
			moved[i] = &Aside{Key: key, ID: id, Data: s.raw, whole: put[key]}
			p[i] = slot{key: s.key}
			break
		}
	}
	return moved
}

// target is the place to save to: an empty one, else that of the older
// generation; never that of a damaged one.
func (p pair) target() (key string, ok bool) {
	best := -1
	for i, s := range p {
		if s.why == "" && (best < 0 || s.Revision < p[best].Revision) {
			best = i
		}
	}
	if best < 0 {
		return "", false
	}
	return p[best].key, true
}
