package plan

import (
	"errors"
	"strings"
	"testing"

	"candleclock/engine/doc"
)

func TestHistoryIsKept(t *testing.T) {
	p := New("Test", later(0))
	planned, pace := 12.5, 1.2
	p = p.Over(Past{Began: later(0), Ended: later(14), Planned: &planned, Pace: &pace, Unknown: doc.Unknown{"why": []byte(`"storm"`)}})
	p = p.Over(Past{Began: later(100), Ended: later(101), Corrected: true})
	same(t, p)
	back, err := Decode(p.Encode())
	if err != nil {
		t.Fatal(err)
	}
	if h := back.History; len(h) != 2 || *h[0].Planned != 12.5 || *h[0].Pace != 1.2 || h[0].Ended != later(14) || h[1].Planned != nil || !h[1].Corrected {
		t.Errorf("got %+v", h)
	}
	for i := range MostPast + 3 {
		p = p.Over(Past{Began: later(float64(i)), Ended: later(float64(i))})
	}
	if len(p.History) != MostPast || p.History[0].Began != later(3) {
		t.Errorf("%d outages from %v", len(p.History), p.History[0].Began)
	}
	same(t, p) // one that ended as it began is an outage still
	for _, c := range []struct{ past, field, want string }{
		{`{"began":"2026-01-14T17:00"}`, "history[0].ended", "2026-01-14T17:00"},
		{`{"began":"2026-01-14T17:00","ended":"2026-01-14T16:00"}`, "history[0].ended", "at or after began"},
		{`{"began":"2026-01-14T17:00","ended":"2026-01-14T18:00","pace":0}`, "history[0].pace", "between 0.01 and 100"},
		{`{"began":"2026-01-14T17:00","ended":"2026-01-14T18:00","planned_h":-1}`, "history[0].planned_h", "between 0 and 2,160 hours"},
	} {
		_, err := Decode([]byte(`{"candleclock":1,"name":"x","history":[` + c.past + `],"outage":{"starts":"2026-01-14T17:00"}}`))
		var e *doc.Error
		if !errors.As(err, &e) || e.Field != c.field || !strings.Contains(e.Want, c.want) {
			t.Errorf("%s: got %v, want %s to be %s", c.past, err, c.field, c.want)
		}
	}
}
