package errand

import (
	"bytes"
	"math"
	"reflect"
	"strings"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/units"
)

// questions are one of each kind.
func questions(t testing.TB) []Question {
	t.Helper()
	p := plantest.Cottage(t)
	return []Question{
		{Kind: Whole, Draws: 20, Plan: p, Rank: load.Comfort, Pace: 1.5},
		{Kind: Owning, Draws: 20, Plan: choosing(p), Rank: load.Vital},
	}
}

// choosing is the plan with two candidates to choose from.
func choosing(p plan.Plan) plan.Plan {
	c := plan.NewCandidate("Twice")
	c.Supply = p.Supply
	c.Units, c.Life = 2, new(3000.0)
	weak := plan.NewCandidate("Weak")
	weak.Supply.Battery = p.Supply.Battery
	weak.Supply.Inverter.Continuous = 20
	p.Candidates = []plan.Candidate{c, weak}
	return p
}

func TestEachKindIsAsked(t *testing.T) {
	asked := map[Kind]bool{}
	for _, q := range questions(t) {
		asked[q.Kind] = true
	}
	if len(asked) != int(Kinds) {
		t.Errorf("the tests ask %d of %d kinds", len(asked), Kinds)
	}
}

func TestQuestionThereAndBack(t *testing.T) {
	for _, q := range questions(t) {
		got, err := DecodeQuestion(q.Encode())
		if err != nil {
			t.Errorf("kind %d: %v", q.Kind, err)
			continue
		}
		if !bytes.Equal(got.Plan.Encode(), q.Plan.Encode()) {
			t.Errorf("kind %d: the plan changed on its way", q.Kind)
		}
		got.Plan = q.Plan
		if !reflect.DeepEqual(got, q) {
			t.Errorf("kind %d: got %+v, want %+v", q.Kind, got, q)
		}
	}
}

func TestWork(t *testing.T) {
	for _, q := range questions(t) {
		told := 0
		tell := func(done, all int) bool {
			told++
			if done < 0 || done > all {
				t.Errorf("kind %d: %d of %d are done", q.Kind, done, all)
			}
			return true
		}
		r := Work(q.Encode(), tell)
		if r.Answer == nil {
			t.Fatalf("kind %d: refused: %s", q.Kind, r.Refused)
		}
		got, err := DecodeReply(r.Encode(), q.Kind)
		if err != nil || !bytes.Equal(got.Encode(), r.Encode()) {
			t.Errorf("kind %d: %v: got %+v, want %+v", q.Kind, err, got.Answer, r.Answer)
		}
		if again := Work(q.Encode(), nil); !bytes.Equal(again.Encode(), r.Encode()) {
			t.Errorf("kind %d: the same question is answered differently", q.Kind)
		}
	}
}

func TestWorkStops(t *testing.T) {
	for _, q := range questions(t) {
		if r := Work(q.Encode(), func(int, int) bool { return false }); r.Answer != nil || r.Refused == "" {
			t.Errorf("kind %d: stopped, it answers %+v", q.Kind, r.Answer)
		}
	}
}

func TestWorkRefuses(t *testing.T) {
	bare := plan.New("Nothing", plantest.Cottage(t).Outage.Starts)
	for name, question := range map[string][]byte{
		"nothing":   {},
		"noise":     []byte("hello"),
		"no supply": Question{Draws: 20, Plan: bare}.Encode(),
	} {
		if r := Work(question, nil); r.Refused == "" || r.Answer != nil {
			t.Errorf("%s: got %+v, want a refusal", name, r)
		}
	}
}

func TestBoundsHold(t *testing.T) {
	p := plantest.Cottage(t)
	good := Question{Kind: Whole, Draws: 20, Plan: p}.Encode()
	for name, data := range map[string][]byte{
		"no draws":       Question{Draws: 0, Plan: p}.Encode(),
		"too many draws": Question{Draws: MostDraws + 1, Plan: p}.Encode(),
		"unknown kind":   Question{Kind: Kinds, Draws: 20, Plan: p}.Encode(),
		"cut short":      good[:len(good)-1],
		"more behind it": append(bytes.Clone(good), 0),
		"vast length":    append(bytes.Clone(good[:2]), 0xff, 0xff, 0xff, 0xff, 0x7f),
	} {
		if q, err := DecodeQuestion(data); err == nil {
			t.Errorf("a question with %s is read as %d draws of kind %d", name, q.Draws, q.Kind)
		}
	}
	with := func(change func(o *Outages)) Answer {
		o, ok := Follow(p, odds.NewSampler(20, odds.Seed), nil)
		if !ok {
			t.Fatal("stopped by nobody")
		}
		change(o)
		return o
	}
	for name, r := range map[string]Reply{
		"more done than there is": {Done: 4, All: 3},
		"an outage below zero":    {Answer: with(func(o *Outages) { o.Hours = -1 })},
		"an outage of no time":    {Answer: with(func(o *Outages) { o.Hours = 0 })},
		"later before sooner":     {Answer: with(func(o *Outages) { o.Vital[0], o.Vital[1] = 2, 1 })},
		"no number":               {Answer: with(func(o *Outages) { o.Vital[0] = units.Hours(math.NaN()) })},
		"too few draws":           {Answer: with(func(o *Outages) { o.All = o.All[1:] })},
		"a course of no draw":     {Answer: with(func(o *Outages) { o.Typical = o.Draws })},
		"a load too many":         {Answer: with(func(o *Outages) { o.Usual[0].On = []int{len(p.Loads)} })},
		"time that runs back":     {Answer: with(func(o *Outages) { o.Usual[1].To = o.Usual[1].From - 0.01 })},
		"words too long":          {Refused: strings.Repeat("a", mostWords+1)},
		"words that are none":     {Refused: "\xff"},
	} {
		if got, err := DecodeReply(r.Encode(), Whole); err == nil {
			t.Errorf("a reply with %s is read as %+v", name, got)
		}
	}
}

// Whatever is read can be written, and reads the same.
func FuzzQuestion(f *testing.F) {
	for _, q := range questions(f) {
		f.Add(q.Encode())
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		q, err := DecodeQuestion(data)
		if err != nil {
			return
		}
		again, err := DecodeQuestion(q.Encode())
		if err != nil || !bytes.Equal(again.Encode(), q.Encode()) {
			t.Errorf("%v: read as %+v, then as %+v", err, q, again)
		}
	})
}

func FuzzReply(f *testing.F) {
	f.Add(0, Reply{Done: 1, All: 3}.Encode())
	f.Add(0, Reply{Refused: "no"}.Encode())
	for _, q := range questions(f) {
		f.Add(int(q.Kind), Work(q.Encode(), nil).Encode())
	}
	f.Fuzz(func(t *testing.T, kind int, data []byte) {
		if kind < 0 || kind >= int(Kinds) {
			return
		}
		r, err := DecodeReply(data, Kind(kind))
		if err != nil {
			return
		}
		again, err := DecodeReply(r.Encode(), Kind(kind))
		if err != nil || !bytes.Equal(again.Encode(), r.Encode()) {
			t.Errorf("%v: read as %+v, then as %+v", err, r, again)
		}
	})
}
