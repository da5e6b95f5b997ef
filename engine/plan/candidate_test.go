package plan

import (
	"errors"
	"strings"
	"testing"

	"candleclock/engine/battery"
	"candleclock/engine/charge"
	"candleclock/engine/doc"
)

func TestCandidatesAreKept(t *testing.T) {
	p := New("Test", later(0))
	price, kilos, life := 400.0, 7.5, 3000.0
	c := NewCandidate("Small one")
	c.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 500, Room: battery.DefaultRoom}
	c.Supply.Price, c.Supply.Weight, c.Life, c.Units = &price, &kilos, &life, 2
	c.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 14, MaxV: 58, MaxW: 200}}
	c.Unknown = doc.Unknown{"seen_at": []byte(`"the market"`)}
	p.Candidates = []Candidate{c, NewCandidate("Nothing known")}
	same(t, p)
	back, err := Decode(p.Encode())
	if err != nil {
		t.Fatal(err)
	}
	b := back.Candidates
	if len(b) != 2 || !b[0].Known() || b[1].Known() || *b[0].Price() != 800 || *b[0].Weight() != 15 || b[1].Price() != nil ||
		b[0].Units != 2 || b[1].Units != 1 || *b[0].Life != 3000 || b[0].Supply.Inputs[0].MaxW != 200 {
		t.Errorf("got %+v", b)
	}
	for _, c := range []struct{ candidate, field, want string }{
		{`{}`, "candidates[0].supply", "there, with its name"},
		{`{"supply":{}}`, "candidates[0].supply.name", "a name"},
		{`{"supply":{"name":" "}}`, "candidates[0].supply.name", "a name"},
		{`{"supply":{"name":"A"},"units":0}`, "candidates[0].units", "between 1 and 4"},
		{`{"supply":{"name":"A"},"units":1.5}`, "candidates[0].units", "a whole number"},
		{`{"supply":{"name":"A"},"life_cycles":0}`, "candidates[0].life_cycles", "between 1 and 100,000 cycles"},
		{`{"supply":{"name":"A","battery":{"chemistry":"lfp","capacity_wh":0}}}`, "candidates[0].supply.battery.capacity_wh", "between 1 and 1,000,000 Wh"},
		{`{"supply":{"name":"A"}}` + strings.Repeat(`,{"supply":{"name":"A"}}`, MostCandidates), "candidates", "at most 8 long"},
	} {
		_, err := Decode([]byte(`{"candleclock":1,"name":"x","candidates":[` + c.candidate + `],"outage":{"starts":"2026-01-14T17:00"}}`))
		var e *doc.Error
		if !errors.As(err, &e) || e.Field != c.field || !strings.Contains(e.Want, c.want) {
			t.Errorf("%s: got %v, want %s to be %s", c.candidate, err, c.field, c.want)
		}
	}
}
