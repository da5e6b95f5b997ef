package main

import (
	"candleclock/engine/load"
	"candleclock/engine/sizing"
	"candleclock/engine/units"
)

// ranks are the wishes answered: for the vital loads alone, and for all.
var ranks = []struct {
	key  string
	rank load.Rank
}{{"vital", load.Vital}, {"all", load.Comfort}}

// sizes is the smallest battery for each size of panels, as sizing.NewFront
// finds it for the plan's hours and confidence.
func sizes(q *question) any {
	type point struct {
		Panels  units.Watts     `json:"panels_w"`
		Battery units.WattHours `json:"battery_wh"`
	}
	type front struct {
		Hours      units.Hours  `json:"hours"`
		Confidence float64      `json:"confidence"`
		Inverter   units.Watts  `json:"inverter_w"`
		Points     []point      `json:"points"`
		WithOwn    *point       `json:"with_own"` // null: the plan's battery is not enough with any panels
		Beyond     []string     `json:"beyond"`
		Why        []sizing.Why `json:"why"`
	}
	out := map[string]front{}
	for _, r := range ranks {
		f, _ := sizing.NewFront(q.plan, sizing.WishOf(q.plan, r.rank), q.draws, q.seed, nil)
		one := front{f.Wish.Hours, f.Wish.Confidence, f.Inverter, []point{}, nil, q.names(f.Beyond), append([]sizing.Why{}, f.Why...)}
		for _, p := range f.Points {
			one.Points = append(one.Points, point(p))
		}
		if f.With != nil {
			own := point(*f.With)
			one.WithOwn = &own
		}
		out[r.key] = one
	}
	return out
}

// candidates is what the plan's supply and its candidates would do, the best
// first, as sizing.Judge tells it.
func candidates(q *question) any {
	type sun struct {
		CountOn *float64 `json:"count_on_h"`
		Likely  *float64 `json:"likely_h"`
	}
	type verdict struct {
		Name         string          `json:"name"`
		Candidate    int             `json:"candidate"` // index in candidates; -1: the plan's supply
		Units        int             `json:"units"`
		CountOn      *float64        `json:"count_on_h"`
		Likely       *float64        `json:"likely_h"`
		Sun          *sun            `json:"with_sun"`
		Chance       float64         `json:"chance"`
		Meets        bool            `json:"meets"`
		Beyond       []string        `json:"beyond"`
		Starts       bool            `json:"starts"`
		Restart      bool            `json:"restart_fits"`
		Wiring       *string         `json:"wiring"`
		Counts       []int           `json:"panels"`
		ToLoads      units.WattHours `json:"to_loads_wh"`  // of a full charge, as the plan says
		Delivered    units.WattHours `json:"delivered_wh"` // in 9 of 10 draws
		PerKWh       *float64        `json:"price_per_kwh"`
		PerKWhLife   *float64        `json:"price_per_kwh_life"`
		PerVitalHour *float64        `json:"price_per_vital_h"`
		WhPerKg      *float64        `json:"wh_per_kg"`
	}
	out := map[string][]verdict{}
	for _, r := range ranks {
		all, _ := sizing.Judge(q.plan, sizing.WishOf(q.plan, r.rank), q.draws, q.seed, nil)
		list := []verdict{}
		for _, v := range all {
			c := sizing.CandidateOf(q.plan, v.Candidate)
			one := verdict{c.Supply.Name, v.Candidate, c.Units, hours(v.CountOn), hours(v.Likely), nil, v.Chance, v.Meets, q.names(v.Beyond),
				v.Starts, v.Restart, nil, append([]int{}, v.Counts...), v.ToLoads, v.Delivered, v.PerKWh, v.PerKWhLife, v.PerVitalHour, v.WhPerKg}
			if v.Sun != nil {
				one.Sun = &sun{hours(v.Sun.CountOn), hours(v.Sun.Likely)}
			}
			if v.Wiring != nil {
				verdict := v.Wiring.Verdict.String()
				one.Wiring = &verdict
			}
			list = append(list, one)
		}
		out[r.key] = list
	}
	return out
}
