// Command reckon reads a plan file on standard input and prints every figure
// that follows from it as JSON. A plan that cannot stand ends it with status 2
// and one line on standard error that names the field, the value and the range.
package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"

	"candleclock/engine/battery"
	"candleclock/engine/card"
	"candleclock/engine/charge"
	"candleclock/engine/doc"
	"candleclock/engine/gauge"
	"candleclock/engine/odds"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/shed"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/engine/yield"
)

func main() {
	if err := run(os.Args[1:], os.Stdin, os.Stdout); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return
		}
		fmt.Fprintln(os.Stderr, "reckon:", err)
		os.Exit(2)
	}
}

// figures lists the keys of the answer in the order they are printed.
var figures = []struct {
	key   string
	work  func(*question) any
	asked bool // only where -only names it: it takes seconds
}{
	{key: "runtime", work: runtime},
	{key: "vital", work: vital},
	{key: "left", work: left},
	{key: "with_sun", work: withSun},
	{key: "losses_wh", work: losses},
	{key: "load", work: loads},
	{key: "start", work: order},
	{key: "sun", work: theSun},
	{key: "wiring", work: wiring},
	{key: "fill_h", work: fill},
	{key: "odds", work: chances},
	{key: "shed", work: toShed},
	{key: "ladder", work: ladder},
	{key: "sizing", work: sizes, asked: true},
	{key: "candidates", work: candidates, asked: true},
}

// question is what is asked, and what several figures share.
type question struct {
	plan  plan.Plan
	seed  uint64
	draws int
	none  bool // nothing that is on can run or start: then nothing lasts any time
	run   odds.Runtime
	yield *yield.Yield // nil without panels that work, at a place that is known
}

func run(args []string, in io.Reader, out io.Writer) error {
	flags := flag.NewFlagSet("reckon", flag.ContinueOnError)
	only := flags.String("only", "", "print only these `keys`, comma-separated; sizing and candidates only where they are named")
	seed := flags.Uint64("seed", odds.Seed, "seed of the draws")
	draws := flags.Int("draws", odds.Draws, "how many courses to draw, 1 to 100000")
	flags.SetOutput(io.Discard) // the error tells all that a line can
	if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
		fmt.Fprintln(out, "usage: reckon [flags] < plan.json")
		flags.SetOutput(out)
		flags.PrintDefaults()
		return err
	} else if err != nil {
		return err
	}
	if flags.NArg() > 0 {
		return fmt.Errorf("%q: the plan is read from standard input", flags.Arg(0))
	}
	if *draws < 1 || *draws > 100000 {
		return fmt.Errorf("-draws: %d must be between 1 and 100,000", *draws)
	}
	wanted, err := choose(*only)
	if err != nil {
		return err
	}
	file, err := io.ReadAll(io.LimitReader(in, plan.MostBytes+1))
	if err != nil {
		return err
	}
	q := &question{seed: *seed, draws: *draws}
	if q.plan, err = plan.Decode(file); err != nil {
		return err
	}
	if !q.plan.HasSupply() {
		return &doc.Error{Field: "supply.battery.capacity_wh", Want: "there, " + battery.CapacityRange.String()}
	}
	q.run = odds.NewSampler(q.draws, q.seed).Runtime(q.plan)
	if q.none = outage.NewRig(q.plan).NoneRuns(); q.none { // how long an inverter idles is nobody's figure
		q.run.CountOn, q.run.Likely, q.run.AtBest = 0, 0, 0
	}
	q.yield = yield.Of(q.plan)
	var b strings.Builder
	for _, f := range figures {
		if !wanted[f.key] {
			continue
		}
		j, err := json.MarshalIndent(f.work(q), "  ", "  ")
		if err != nil {
			return err
		}
		if b.Len() > 0 {
			b.WriteString(",\n")
		}
		fmt.Fprintf(&b, "  %q: %s", f.key, j)
	}
	_, err = fmt.Fprintf(out, "{\n%s\n}\n", b.String())
	return err
}

// choose reads the -only flag; "" is all keys but those that must be asked for.
func choose(only string) (map[string]bool, error) {
	usual, names := map[string]bool{}, []string{}
	for _, f := range figures {
		usual[f.key] = !f.asked
		names = append(names, f.key)
	}
	if only == "" {
		return usual, nil
	}
	wanted := map[string]bool{}
	for _, k := range strings.Split(only, ",") {
		if !slices.Contains(names, k) {
			return nil, fmt.Errorf("-only: %q must be one of %s", k, strings.Join(names, ", "))
		}
		wanted[k] = true
	}
	return wanted, nil
}

// hours is null for a time beyond the horizon.
func hours(h units.Hours) *float64 {
	if math.IsInf(float64(h), 1) {
		return nil
	}
	f := float64(h)
	return &f
}

func runtime(q *question) any {
	ends := func(h units.Hours) *string {
		if math.IsInf(float64(h), 1) {
			return nil
		}
		s := q.plan.Outage.Starts.After(h).String()
		return &s
	}
	r := q.run
	return struct {
		Box         *float64 `json:"box_h"`
		Likely      *float64 `json:"likely_h"`
		CountOn     *float64 `json:"count_on_h"`
		AtBest      *float64 `json:"at_best_h"`
		EndsLikely  *string  `json:"ends_likely"`
		EndsCountOn *string  `json:"ends_count_on"`
	}{hours(r.Box), hours(r.Likely), hours(r.CountOn), hours(r.AtBest), ends(r.Likely), ends(r.CountOn)}
}

// left is how long it lasts from the last reading on by all readings; null but in an
// outage.
func left(q *question) any {
	if !q.plan.Outage.UnderWay {
		return nil
	}
	l := gauge.LeftOf(q.plan, odds.NewSampler(q.draws, q.seed))
	if q.none {
		l.CountOn, l.Likely, l.AtBest = 0, 0, 0
	}
	return struct {
		CountOn *float64 `json:"count_on_h"`
		Likely  *float64 `json:"likely_h"`
		AtBest  *float64 `json:"at_best_h"`
	}{hours(l.CountOn), hours(l.Likely), hours(l.AtBest)}
}

// vital is how long it lasts with only what is vital on, in an outage from the
// last reading on by all readings; null where nothing vital is, and no time where
// none of it can run or start.
func vital(q *question) any {
	p, some, rest := q.plan.VitalAlone()
	if !some {
		return nil
	}
	sampler := odds.NewSampler(q.draws, q.seed)
	l := gauge.LeftOf(q.plan, sampler)
	countOn, likely := l.CountOn, l.Likely
	switch {
	case rest && l.Read != nil: // what was read, was with all of it on
		onward, may := l.Read.Onward(q.plan.Outage.Starts)
		alone, _, _ := onward.VitalAlone()
		countOn, likely = may.CountOn(alone), may.Likely(alone)
	case rest:
		r := sampler.Runtime(p)
		countOn, likely = r.CountOn, r.Likely
	}
	if outage.NewRig(p).NoneRuns() {
		countOn, likely = 0, 0
	}
	return struct {
		CountOn *float64 `json:"count_on_h"`
		Likely  *float64 `json:"likely_h"`
	}{hours(countOn), hours(max(likely, countOn))}
}

// losses follows one full charge with everything as the plan says.
func losses(q *question) any {
	o := outage.FullCharge(q.plan)
	b, s := o.Balance, o.Battery
	return struct {
		Capacity   units.WattHours `json:"capacity"`
		Age        units.WattHours `json:"age"`
		Cold       units.WattHours `json:"cold"`
		Rate       units.WattHours `json:"rate"`
		Cutoff     units.WattHours `json:"cutoff"`
		SelfDrain  units.WattHours `json:"self_discharge"`
		Idle       units.WattHours `json:"idle"`
		Conversion units.WattHours `json:"conversion"`
		ToLoads    units.WattHours `json:"to_loads"`
		Left       units.WattHours `json:"left,omitempty"` // not used within the horizon
	}{s.Rated, s.Age, s.Cold + b.Held, b.Rate, s.Cut, b.SelfDrain, b.Idle, b.Conversion, b.ToLoads, b.Left - b.Held}
}

func (q *question) sequence() (start.Sequence, start.Restart) {
	limit := q.plan.Supply.UsualInverter().Limits()
	s := start.Order(q.plan.Loads, limit)
	return s, s.WorstRestart(q.plan.Loads, limit)
}

// loads sums what is switched on, as if all of it ran at once.
func loads(q *question) any {
	var out struct {
		RunningW         units.Watts     `json:"running_w"`
		RunningVA        units.VoltAmps  `json:"running_va"`
		Daily            units.WattHours `json:"daily_wh"`
		WorstRestartW    units.Watts     `json:"worst_restart_w"`
		WorstRestartLoad *string         `json:"worst_restart_load"`
	}
	for _, l := range q.plan.Loads {
		if !l.Off {
			out.RunningW += l.Peak()
			out.RunningVA += l.Apparent()
			out.Daily += l.DailyEnergy()
		}
	}
	_, worst := q.sequence()
	out.WorstRestartW = worst.Peak
	if worst.Load >= 0 {
		out.WorstRestartLoad = &q.plan.Loads[worst.Load].Name
	}
	return out
}

func order(q *question) any {
	type step struct {
		Load string      `json:"load"`
		Peak units.Watts `json:"peak_w"`
	}
	type refusal struct {
		Load    string       `json:"load"`
		Why     start.Reason `json:"why"`
		Guessed bool         `json:"guessed,omitempty"` // its start is not told: the hours count it, the odds do not
	}
	s, worst := q.sequence()
	out := struct {
		Order       []step    `json:"order"`
		Fits        bool      `json:"fits"`
		RestartFits bool      `json:"restart_fits"`
		Never       []refusal `json:"never"`
	}{[]step{}, s.Fits, worst.Fits, []refusal{}}
	for _, st := range s.Steps {
		out.Order = append(out.Order, step{q.plan.Loads[st.Load].Name, st.Peak})
	}
	for _, n := range s.Never {
		out.Never = append(out.Never, refusal{q.plan.Loads[n.Load].Name, n.Why, n.Guessed || q.plan.Supply.Inverter.Continuous == 0 && n.Why == start.HardStart})
	}
	return out
}

// chances follows the whole outage, with its weather and the plan's rules.
func chances(q *question) any {
	type point struct {
		H      units.Hours `json:"h"`
		PVital float64     `json:"p_vital"`
		PAll   float64     `json:"p_all"`
	}
	type lack struct {
		Load    string      `json:"load"`
		Without units.Hours `json:"without_h"` // expected
	}
	sampler := odds.NewSampler(q.draws, q.seed)
	sampler.Pace = gauge.LeftOf(q.plan, sampler).Pace() // as Will it hold?
	e, _ := sampler.Through(q.plan, nil)
	out := struct {
		Hold     float64     `json:"hold"`     // what is vital is never out
		HoldAll  float64     `json:"hold_all"` // nothing is
		Twenty   int         `json:"of_20"`    // hold, rounded down
		Trips    float64     `json:"trips"`    // that the inverter trips: all on AC is then without
		Hours    units.Hours `json:"hours"`
		Draws    int         `json:"draws"`
		Seed     uint64      `json:"seed"`
		Survival []point     `json:"survival"`
		Without  []lack      `json:"without"`
	}{e.Hold(), e.HoldAll(), odds.Twenty(e.Hold()), e.Trips, e.Hours, q.draws, q.seed, []point{}, []lack{}}
	for _, p := range e.Survival() {
		out.Survival = append(out.Survival, point(p))
	}
	for i, h := range e.Without {
		if !q.plan.Loads[i].Off {
			out.Without = append(out.Without, lack{q.plan.Loads[i].Name, h})
		}
	}
	return out
}

// withSun is null without panels.
func withSun(q *question) any {
	if q.yield == nil {
		return nil
	}
	w := odds.NewSampler(q.draws, q.seed).WithSun(q.plan, q.yield)
	if q.none {
		w.CountOn, w.Likely = 0, 0
	}
	return struct {
		Likely     *float64 `json:"likely_h"` // null: not empty within the window
		CountOn    *float64 `json:"count_on_h"`
		NeverEmpty bool     `json:"never_empty"`
		Window     float64  `json:"window_h"`
	}{hours(w.Likely), hours(w.CountOn), w.NeverEmpty(), float64(w.Window)}
}

// theSun is null while the place is not known; the day's energy is null without
// panels that work.
func theSun(q *question) any {
	site, ok := q.plan.Site()
	if !ok {
		return nil
	}
	out := struct {
		Station    string            `json:"station"`
		StationKm  float64           `json:"station_km"`
		Horizontal [12]float64       `json:"horizontal_kwh_m2_day"`
		Poor       *units.WattHours  `json:"poor_wh"`
		Usual      *units.WattHours  `json:"usual_wh"`
		Fine       *units.WattHours  `json:"fine_wh"`
		Mean       *units.WattHours  `json:"mean_wh"`
		RecordCold units.Celsius     `json:"record_cold_c"`
		Tilt       *units.Degrees    `json:"tilt_deg"`
		Azimuth    *units.Degrees    `json:"azimuth_deg"`
		Months     []units.WattHours `json:"usual_wh_by_month"`
	}{Station: site.Climate.Town, StationKm: site.Climate.TownKm, Horizontal: site.Climate.Insolation, RecordCold: site.Climate.RecordCold}
	if q.yield != nil {
		_, month, _ := q.plan.Outage.Starts.Date()
		r := q.yield.Month(int(month))
		out.Poor, out.Usual, out.Fine, out.Mean = &r.Poor, &r.Usual, &r.Fine, &r.Mean
		out.Tilt, out.Azimuth = &q.yield.Lies.Tilt, &q.yield.Lies.Azimuth
		for m := 1; m <= 12; m++ {
			out.Months = append(out.Months, q.yield.Month(m).Usual)
		}
	}
	return out
}

func wiring(q *question) any {
	type layout struct {
		Input    int         `json:"input"` // index in supply.inputs
		Series   int         `json:"series"`
		Parallel int         `json:"parallel"`
		Verdict  string      `json:"verdict"`
		VocCold  units.Volts `json:"voc_cold_v"`
		VmpHot   units.Volts `json:"vmp_hot_v"`
		Isc      units.Amps  `json:"isc_a"` // × 1.25
		Watts    units.Watts `json:"watts"`
		Why      string      `json:"why"`
	}
	out := []layout{}
	// While the place is not known the panels must bear about the worst.
	air := yield.UnknownAir
	if site, ok := q.plan.Site(); ok {
		air = yield.Air(site.Climate)
	}
	for _, w := range yield.Wirings(q.plan, air) {
		out = append(out, layout{w.Input, w.Series(), w.Parallel(), w.Verdict.String(), w.VocCold, w.VmpHot, w.Isc, w.Watts, w.Why})
	}
	return out
}

// fill is how long each source takes to fill the empty battery, with nothing
// on; null where it never does. The sun's days are all alike and count from
// the first hour that has sun; of several generators the one that fills it first is told.
func fill(q *question) any {
	var out struct {
		Poor      *float64 `json:"sun_poor"`
		Usual     *float64 `json:"sun_usual"`
		Fine      *float64 `json:"sun_fine"`
		Wall      *float64 `json:"wall"`
		Car       *float64 `json:"car"`
		Generator *float64 `json:"generator"`
		Litres    *float64 `json:"generator_l"`
	}
	pack := yield.Pack(q.plan)
	told := func(h units.Hours, fills bool) *float64 {
		if !fills {
			return nil
		}
		return hours(h)
	}
	if q.yield != nil {
		on := q.plan.Outage.Starts
		out.Poor = told(pack.FillDaily(0, yield.FromSunrise(q.yield.PoorDay(on)), 60))
		out.Usual = told(pack.FillDaily(0, yield.FromSunrise(q.yield.UsualDay(on)), 60))
		out.Fine = told(pack.FillDaily(0, yield.FromSunrise(q.yield.FineDay(on)), 60))
	}
	in := q.plan.Supply.Inputs
	out.Wall = told(pack.Fill(0, charge.Power(in, charge.Wall)))
	out.Car = told(pack.Fill(0, charge.Power(in, charge.Car)))
	for _, g := range in {
		if g.Kind == charge.Generator {
			run, fills := g.FillRun(pack, 0, charge.Power(in, charge.Generator))
			if fills && (out.Generator == nil || float64(run.Hours) < *out.Generator) {
				out.Generator, out.Litres = hours(run.Hours), &run.Litres
			}
		}
	}
	return out
}

// names lists loads by name.
func (q *question) names(loads []int) []string {
	out := make([]string, len(loads))
	for i, l := range loads {
		out[i] = q.plan.Loads[l].Name
	}
	return out
}

// toShed is what to switch off so that Count on reaches the plan's hours.
func toShed(q *question) any {
	sampler := odds.NewSampler(q.draws, q.seed)
	p, may := q.plan, odds.Chances(nil)
	if l := gauge.LeftOf(p, sampler); l.Read != nil { // by all readings, as Hold until
		p, may = l.Read.Onward(p.Outage.Starts)
	} else {
		may = sampler.Chances(p)
	}
	a := shed.Until(p, may, p.Outage.Hours)
	return struct {
		Until   float64         `json:"until_h"`
		Off     []string        `json:"off"`
		Reaches bool            `json:"reaches"`
		CountOn *float64        `json:"count_on_h"` // with those off
		Lacks   units.WattHours `json:"lacks_wh"`   // when all that is not vital is off and it is not enough
	}{float64(q.plan.Outage.Hours), q.names(a.Off), a.Reaches, hours(a.CountOn), a.Lacks}
}

// ladder is the card's table: the gauge's reading, the loads that are on, the
// hours to count on.
func ladder(q *question) any {
	type set struct {
		Loads   []string `json:"loads"`
		CountOn *float64 `json:"count_on_h"`
	}
	type rung struct {
		Reading string `json:"reading"`
		Sets    []set  `json:"sets"`
	}
	out := []rung{}
	l := card.NewLadder(q.plan, odds.NewSampler(q.draws, q.seed))
	for _, r := range l.Rungs {
		row := rung{Reading: r.Reading.Words, Sets: []set{}}
		for i, h := range r.CountOn {
			row.Sets = append(row.Sets, set{q.names(l.Sets[i].Loads), hours(h)})
		}
		out = append(out, row)
	}
	return out
}
