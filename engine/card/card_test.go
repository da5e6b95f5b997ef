package card

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"
	"time"

	"candleclock/engine/aids"
	"candleclock/engine/battery"
	"candleclock/engine/doc"
	"candleclock/engine/inverter"
	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/engine/yield"

	"pgregory.net/rapid"
)

var made = plan.At(time.Date(2026, 1, 14, 9, 0, 0, 0, time.UTC))

// household has a big enough supply and things of the catalogue.
func household(t testing.TB, keys ...string) plan.Plan {
	t.Helper()
	p := plan.New("Household", made)
	p.Supply.Battery = battery.Battery{Chemistry: battery.LFP, Capacity: 2000, Room: 20}
	p.Supply.Inverter = inverter.Inverter{Continuous: 2400, SurgeW: new(4800.0)}
	p.Loads = plantest.Catalogued(t, keys...)
	return p
}

var twenty = []string{"oxygen-5l", "cpap-humidifier", "fridge", "freezer-chest", "modem-router", "phone", "tablet", "laptop-charge",
	"lamp-led", "lamp-led-small", "lantern", "radio", "tv", "fan-table", "boiler", "stereo", "monitor", "alarm", "electric-blanket", "hearing-aids"}

func sampler() *odds.Sampler { return odds.NewSampler(63, odds.Seed) }

func makeCard(t testing.TB, p plan.Plan) Card {
	t.Helper()
	c, err := Make(p, yield.Of(p), sampler(), made)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestNoSupply(t *testing.T) {
	p := plantest.Cottage(t)
	p.Supply.Battery = battery.Battery{}
	var e *doc.Error
	if _, err := Make(p, nil, sampler(), made); !errors.As(err, &e) || e.Field != "supply.battery" {
		t.Errorf("got %v, want an error at supply.battery", err)
	}
}

func TestCottage(t *testing.T) {
	c := makeCard(t, plantest.Cottage(t))
	if c.Title != "Harbour cottage" || c.Made != made || c.Drill.String() != "2026-04-14T00:00" {
		t.Errorf("got %q, made %v, try again %v", c.Title, c.Made, c.Drill)
	}
	var steps []string
	for _, s := range c.Start.Steps {
		steps = append(steps, s.String())
	}
	want := []string{"Chest freezer", "Breathing mask machine", "Two lamps", "Router, on the 12 V socket", "Three phones, on USB"}
	if !slices.Equal(steps, want) || !c.Start.Fits || c.Start.More != 0 {
		t.Errorf("got steps %q, want %q", steps, want)
	}
	if !c.Start.Steps[0].Wait || c.Start.Steps[1].Wait || !c.Start.Steps[1].Vital || c.Start.Steps[0].Vital {
		t.Errorf("got %+v: wait for the freezer, the mask machine is vital", c.Start.Steps)
	}
	if got, want := words(c.Ladder), []string{"Everything on", "Two lamps off", "Only Breathing mask machine"}; !slices.Equal(got, want) {
		t.Errorf("got columns %q, want %q", got, want)
	}
	if len(c.Ladder.Rungs) != 5 || c.Ladder.Rungs[0].Reading != (Reading{"5 bars", 5, 0.8}) || c.Ladder.Rungs[4].Reading != (Reading{"1 bar", 1, 0}) {
		t.Errorf("got rungs %+v", c.Ladder.Rungs)
	}
	if c.Food != (Food{FreezerFull: 48, FreezerHalf: 24}) || c.Oxygen != nil {
		t.Errorf("got food %+v, oxygen %+v", c.Food, c.Oxygen)
	}
	if want := []string{"Supplier of what is vital", "Neighbour or family", "Power company", "Where the meter is"}; !slices.Equal(c.Lines, want) {
		t.Errorf("got lines %q, want %q", c.Lines, want)
	}
	b := c.Basis
	if b.Capacity != 900 || b.AgeYears != 2 || b.Room != 12 || !b.MayCharge || b.Lead || b.Loads != 5 || b.LoadsMeasured != 1 {
		t.Errorf("got basis %+v", b)
	}
	// Below 20 °C lithium loses capacity; how much is the battery's to say.
	cold := plantest.Cottage(t).Supply.Battery
	full := cold.Model().Usable
	cold.Room = coldRoom
	if share := 1 - float64(cold.Model().Usable/full); b.ColdRoom != 5 || b.ColdLess < share-0.02 || b.ColdLess > share+0.05 {
		t.Errorf("in the cold %v less, want about %v", b.ColdLess, share)
	}
	if c.Sun == nil || c.Sun.Wiring == nil || !c.Sun.Known || c.Sun.Tilt != 45 || c.Sun.Azimuth != 180 {
		t.Fatalf("got sun %+v", c.Sun)
	}
	// 200 W in January at 45° north through cable and controller, cold.
	if c.Sun.Noon < 100 || c.Sun.Noon > 200 {
		t.Errorf("a good noon shows %v W", c.Sun.Noon)
	}
}

func words(l Ladder) (out []string) {
	for _, s := range l.Sets {
		out = append(out, s.Words)
	}
	return out
}

func TestDrill(t *testing.T) {
	for from, want := range map[string]string{
		"2026-11-30T23:59": "2027-02-28T00:00", "2027-11-30T00:00": "2028-02-29T00:00",
		"2026-12-31T12:00": "2027-03-31T00:00", "2026-07-31T12:00": "2026-10-31T00:00",
	} {
		m, _ := plan.ParseMoment(from)
		if got := monthsLater(m, drillMonths).String(); got != want {
			t.Errorf("three months after %s: got %s, want %s", from, got, want)
		}
	}
}

// Cells are what odds says of the plan with the set on and the reading's least
// charge, worked out here by hand.
func TestCellsAreTheOdds(t *testing.T) {
	for _, gauge := range []plan.Gauge{{Kind: plan.Bars, Bars: 5}, {Kind: plan.Percent}, {Kind: plan.NoGauge}} {
		p := household(t, "cpap", "freezer-chest", "lamp-led")
		p.Loads[2].Rank = load.Comfort
		p.Supply.Gauge = gauge
		l := makeCard(t, p).Ladder
		want := [][]string{{"cpap", "freezer-chest", "lamp-led"}, {"cpap", "freezer-chest"}, {"cpap"}}
		if len(l.Sets) != len(want) {
			t.Fatalf("got %d sets, want %d", len(l.Sets), len(want))
		}
		for si, keys := range want {
			for _, r := range append(l.Rungs, Rung{Reading{SOC: 1}, l.Full}) {
				q := household(t, keys...)
				if si == 0 {
					q.Loads[2].Rank = load.Comfort
				}
				q.Outage.SOC = r.Reading.SOC
				// A percentage may be off, as where it is read in an outage.
				q.Outage.UnderWay, q.Supply.Gauge = gauge.Kind == plan.Percent && r.Reading.Words != "", gauge
				if got, want := r.CountOn[si], sampler().Runtime(q).CountOn; got != want {
					t.Errorf("%s, set %d: got %v, want %v", r.Reading.Words, si, got, want)
				}
			}
		}
	}
}

// A card is read at any hour: no reading of a plan with hours of use, at any
// hour of the day, may last less than the cell says.
func TestCellsHoldAtAnyHour(t *testing.T) {
	many := household(t, "cpap", "lamp-led", "laptop-charge", "freezer-chest")
	many.Loads[0].Use = []load.Window{{From: 22 * 60, To: 7 * 60}}
	many.Loads[1].Use = []load.Window{{From: 17 * 60, To: 23 * 60}}
	many.Loads[2].Use = []load.Window{{From: 9 * 60, To: 12 * 60}}
	daily := household(t, "laptop-charge") // what it takes in a day it takes in two hours
	daily.Supply.Battery.Capacity = 80
	daily.Loads[0].Use = []load.Window{{From: 9 * 60, To: 11 * 60}}
	for name, p := range map[string]plan.Plan{"many": many, "a day's energy": daily} {
		p.Supply.Gauge = plan.Gauge{Kind: plan.Bars, Bars: 4}
		l := makeCard(t, p).Ladder
		for _, r := range l.Rungs {
			for hour := range 24 {
				q := p
				q.Outage.SOC = r.Reading.SOC
				q.Outage.Starts = made.After(units.Hours(hour))
				got := sampler().Runtime(q).CountOn
				// From nine on it is in use until there is nothing left.
				exact := len(p.Loads) == 1 && q.Outage.Starts.Minute() == 9*60
				if got < r.CountOn[0]-1e-9 || exact && got > r.CountOn[0]+1e-9 {
					t.Errorf("%s, %s at %v: lasts %v, the card says %v", name, r.Reading.Words, q.Outage.Starts, got, r.CountOn[0])
				}
			}
		}
	}
}

func TestReadings(t *testing.T) {
	for _, c := range []struct {
		gauge plan.Gauge
		want  []Reading
	}{
		{plan.Gauge{Kind: plan.Bars, Bars: 4}, []Reading{{"4 bars", 4, 0.75}, {"3 bars", 3, 0.5}, {"2 bars", 2, 0.25}, {"1 bar", 1, 0}}},
		{plan.Gauge{Kind: plan.NoGauge}, []Reading{{"full", 0, 1}, {"three quarters", 0, 0.625}, {"half", 0, 0.375}, {"a quarter", 0, 0.125}}},
	} {
		if got := readings(c.gauge); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%+v: got %+v, want %+v", c.gauge, got, c.want)
		}
	}
	if got := readings(plan.Gauge{Kind: plan.Percent}); len(got) != 10 || got[0] != (Reading{"100%", 0, 1}) || got[9] != (Reading{"10%", 0, 0.1}) {
		t.Errorf("percent: got %+v", got)
	}
	for n := 2; n <= 20; n++ {
		if got := readings(plan.Gauge{Kind: plan.Bars, Bars: n}); len(got) > rungsMost || got[0].Bars != n {
			t.Errorf("%d bars: got %+v", n, got)
		}
	}
}

func TestSets(t *testing.T) {
	all := func(ranks ...load.Rank) plan.Plan {
		p := household(t)
		for i, r := range ranks {
			p.Loads = append(p.Loads, load.Load{Name: fmt.Sprint("Thing ", i), Rank: r, Outlet: load.AC, Count: 1, Running: 20, Duty: 1, PowerFactor: 1, Basis: load.Typical})
		}
		return p
	}
	v, u, c := load.Vital, load.Useful, load.Comfort
	for _, x := range []struct {
		plan plan.Plan
		want []string
	}{
		{all(), nil},
		{all(v), []string{"Everything on"}},
		{all(c, c), []string{"Everything on"}},
		{all(v, v, u), []string{"Everything on", "Thing 2 off"}},
		{all(u, c, c, c), []string{"Everything on", "Only Thing 0"}},
		{all(v, v, u, c, c, c), []string{"Everything on", "Without comforts", "Only what is vital"}},
		{all(v, v, u, c), []string{"Everything on", "Thing 3 off", "Thing 2 and Thing 3 off"}},
	} {
		if got := words(makeCard(t, x.plan).Ladder); !slices.Equal(got, x.want) {
			t.Errorf("got %q, want %q", got, x.want)
		}
	}
	off := all(v, u)
	off.Loads[0].Off, off.Loads[1].Off = true, true
	if c := makeCard(t, off); len(c.Ladder.Sets) != 0 || len(c.Ladder.Rungs) != 0 || len(c.Start.Steps) != 0 || len(c.Morning.Keep) != 0 || c.Basis.ColdLess != 0 {
		t.Errorf("everything off: got %+v", c)
	}
}

// What the supply can't carry at once is not promised at once.
func TestNotTogether(t *testing.T) {
	p := household(t, "cpap", "microwave-large", "coffee-maker")
	p.Loads = append(p.Loads, load.Load{Name: "Sauna", Rank: load.Comfort, Outlet: load.AC, Count: 1, Running: 3000, Duty: 1, PowerFactor: 1, Basis: load.Label})
	c := makeCard(t, p)
	if got, want := c.Ladder.LeftOut, []int{2}; !slices.Equal(got, want) {
		t.Errorf("left out: got %v, want %v", got, want)
	}
	if got, want := words(c.Ladder), []string{"Coffee maker and Sauna off", "Only " + p.Loads[0].Name}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if c.Basis.Loads != 2 {
		t.Errorf("the figures are for %d things, want the 2 that run together", c.Basis.Loads)
	}
	if len(c.Never.Refused) != 1 || c.Never.Refused[0] != (Refusal{3, "Sauna", start.TooManyWatts, false}) {
		t.Errorf("got %+v", c.Never)
	}
	// Nor is it to be switched on after the rest.
	if len(c.Start.Steps) != 2 || !c.Start.Fits || slices.ContainsFunc(c.Start.Steps, func(s Step) bool { return s.Load == 2 }) {
		t.Errorf("left out and in the order: %+v", c.Start)
	}
}

func TestNever(t *testing.T) {
	has := func(p plan.Plan, name string) bool { return slices.Contains(makeCard(t, p).Never.Usual, name) }
	at := func(watts units.Watts, mains units.Volts, keys ...string) plan.Plan {
		p := household(t, keys...)
		p.Supply.Inverter, p.Mains = inverter.Inverter{Continuous: watts, SurgeW: new(2 * float64(watts))}, mains
		return p
	}
	for _, c := range []struct {
		plan plan.Plan
		name string
		want bool
	}{
		{at(1200, 120), "Kettle", true},
		{at(1499, 120), "Kettle", true},
		{at(1500, 120), "Kettle", false},
		{at(1500, 230), "Kettle", true}, // 3 kW there
		{at(3000, 230), "Kettle", false},
		{at(1800, 120), "Hair dryer", true}, // some take 1,875 W
		{at(1900, 120), "Hair dryer", false},
		{at(1200, 120), "Toaster", true},
		{at(1200, 120, "kettle"), "Kettle", false}, // the plan's own is judged by its own figures
		{at(5000, 230), "Clothes iron", false},
	} {
		if got := has(c.plan, c.name); got != c.want {
			t.Errorf("%v W at %v V, %s: got %v, want %v", c.plan.Supply.Inverter.Continuous, c.plan.Mains, c.name, got, c.want)
		}
	}
	// All that is listed is beyond the limits, all that is not and could be is within.
	for _, watts := range []units.Watts{100, 300, 600, 1000, 1500, 2000, 3600, 10000} {
		p := at(watts, 120)
		limit := p.Supply.UsualInverter().Limits()
		n := makeCard(t, p).Never
		for _, key := range heavy {
			e, ok := load.Find(key)
			if !ok {
				t.Fatalf("no %s in the catalogue", key)
			}
			beyond := e.High > limit.Continuous || float64(e.High)/e.PowerFactor > float64(limit.ContinuousVA) ||
				e.Starting > e.High && float64(e.Starting)/e.PowerFactor > 0.9*float64(limit.Surge)
			listed := slices.Contains(n.Usual, short(e.Name))
			if listed && !beyond || beyond && !listed && len(n.Usual) < usualMost {
				t.Errorf("%v W, %s: listed %v, beyond %v", watts, key, listed, beyond)
			}
		}
		if n.Limit != watts || n.Guessed {
			t.Errorf("got limit %v, guessed %v", n.Limit, n.Guessed)
		}
	}
	for _, key := range heavy230 {
		if _, ok := load.Find(key); !ok {
			t.Errorf("no %s in the catalogue", key)
		}
	}
	// A motor: 90 W running, 500 W starting, 714 VA by its power factor of 0.7. An
	// ordinary one's 800 W are 1,143 VA. A tenth is to spare.
	for _, c := range []struct {
		surge    float64
		one      string
		trips    bool
		keys     []string
		watts    units.Watts
		comments string
	}{
		{3000, "", false, []string{"freezer-chest"}, 1000, "1,857 VA are within"},
		{2064, "", false, []string{"freezer-chest"}, 1000, "and just are"},
		{2063, "Chest freezer", false, []string{"freezer-chest"}, 1000, "and are not"},
		{795, "Chest freezer", true, []string{"freezer-chest", "lamp-led"}, 500, "the freezer's 714 VA are within 715.5, with a lamp they are not"},
		{1200, "", false, []string{"lamp-led"}, 1000, "no motor"},
	} {
		p := household(t, c.keys...)
		p.Supply.Inverter = inverter.Inverter{Continuous: c.watts, SurgeW: &c.surge}
		if n := makeCard(t, p).Never; n.OneMotor != c.one || n.Trips != c.trips {
			t.Errorf("%s: got %q, trips %v", c.comments, n.OneMotor, n.Trips)
		}
	}
	// What to leave off for a restart: 90 W running, 500 W starting, with a power
	// factor of 1 and a tenth to spare.
	for _, c := range []struct {
		surge float64
		watts []units.Watts // of what runs beside it, needed less and less
		vital bool          // the first of these
		want  []int
	}{
		{511.01, []units.Watts{9, 2}, false, nil},
		{510, []units.Watts{9, 2}, false, []int{2}},
		{505, []units.Watts{9, 2}, false, []int{1}}, // 6 W too many; the 2 W are not enough
		{506, []units.Watts{9, 6}, false, []int{1}},
		{502, []units.Watts{9, 5}, false, []int{2, 1}},
		{505, []units.Watts{9, 2}, true, nil},
		{501, []units.Watts{9, 4}, true, nil},
	} {
		p := household(t, "freezer-chest")
		p.Supply.Inverter, p.Loads[0].PowerFactor = inverter.Inverter{Continuous: 500, SurgeW: new(c.surge / 0.9)}, 1
		for i, w := range c.watts {
			l := load.Load{Name: fmt.Sprint("Thing ", i), Rank: load.Useful, Outlet: load.AC, Count: 1, Running: w, Duty: 1, PowerFactor: 1, Basis: load.Measured}
			if i == 0 && c.vital {
				l.Rank = load.Vital
			}
			p.Loads = append(p.Loads, l)
		}
		if n := makeCard(t, p).Never; !slices.Equal(n.Off, c.want) || n.Off != nil && !n.Trips {
			t.Errorf("surge %v W, beside %v W: trips %v, leave off %v, want %v", c.surge, c.watts, n.Trips, n.Off, c.want)
		}
	}
	p := household(t)
	p.Supply.Inverter = inverter.Inverter{}
	if n := makeCard(t, p).Never; !n.Guessed || n.Limit != 1000 {
		t.Errorf("unknown inverter: got %+v", n)
	}
}

// Of a supply whose limit is not known, a hard start is told as a doubt; the
// hours and the order count it, as whoever plugs it in may find that it runs.
func TestHardStartUnderAGuess(t *testing.T) {
	p := household(t, "cpap", "fridge")
	p.Supply.Battery.Capacity, p.Supply.Inverter = 500, inverter.Inverter{}
	c := makeCard(t, p)
	if len(c.Never.Refused) != 1 || c.Never.Refused[0].Why != start.HardStart || !c.Never.Guessed {
		t.Fatalf("never: got %+v", c.Never)
	}
	if got := c.Ladder.Sets[0].Loads; !slices.Equal(got, []int{0, 1}) {
		t.Errorf("%s: got %v, want both", c.Ladder.Sets[0].Words, got)
	}
	if len(c.Start.Steps) != 2 || c.Start.Steps[0].Load != 1 {
		t.Errorf("order: got %+v, want the fridge first", c.Start.Steps)
	}
	surge := 500.0
	p.Supply.Inverter = inverter.Inverter{Continuous: 500, SurgeW: &surge}
	if c := makeCard(t, p); len(c.Start.Steps) != 1 || !slices.Equal(c.Ladder.Sets[0].Loads, []int{0}) || c.Ladder.Sets[0].Words == "Everything on" {
		t.Errorf("a known limit: got %+v, %+v", c.Start.Steps, c.Ladder.Sets)
	}
}

func TestManyThingsFitAPage(t *testing.T) {
	p := household(t, twenty...)
	for i := range 10 {
		p.Loads = append(p.Loads, load.Load{Name: fmt.Sprint("Furnace ", i), Rank: load.Comfort, Outlet: load.AC, Count: 1, Running: 9000, Duty: 1, PowerFactor: 1, Basis: load.Label})
	}
	c := makeCard(t, p)
	if len(c.Start.Steps) != stepsMost || c.Start.More != 8 {
		t.Errorf("got %d steps and %d more, want %d and 8", len(c.Start.Steps), c.Start.More, stepsMost)
	}
	vital := 0
	for _, s := range c.Start.Steps {
		if s.Vital {
			vital++
		}
	}
	if vital != 3 {
		t.Errorf("%d vital things are among the steps, want all 3", vital)
	}
	if c.Start.Steps[0].Name != "Hearing-aid charger" || c.Start.Steps[1].Load != 0 {
		t.Errorf("got %v and %v first, want the vital one on USB and then the oxygen concentrator", c.Start.Steps[0], c.Start.Steps[1])
	}
	if len(c.Never.Refused) != refusedMost || c.Never.More != 4 || len(c.Never.Usual) > usualMost {
		t.Errorf("got %d refused and %d more, %d usual", len(c.Never.Refused), c.Never.More, len(c.Never.Usual))
	}
	if c.Oxygen == nil || c.Oxygen.Load != 0 || c.Oxygen.Reserve != aids.OxygenReserve || len(c.Oxygen.Cylinders) == 0 {
		t.Errorf("got oxygen %+v", c.Oxygen)
	}
	if c.Food != (Food{Fridge: 4, FreezerFull: 48, FreezerHalf: 24}) {
		t.Errorf("got food %+v", c.Food)
	}
	if len(c.Ladder.Sets) != 3 || len(c.Ladder.Rungs) > rungsMost {
		t.Errorf("got %d sets, %d rungs", len(c.Ladder.Sets), len(c.Ladder.Rungs))
	}
}

func TestVitalThingsBeforeAll(t *testing.T) {
	p := household(t)
	for i := range 30 {
		l := load.Load{Name: fmt.Sprint("Motor ", i), Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 10, Starting: 50, Duty: 1, PowerFactor: 1, Basis: load.Label}
		if i >= 15 {
			l.Name, l.Rank, l.Starting = fmt.Sprint("Care ", i), load.Vital, 0
		}
		p.Loads = append(p.Loads, l)
	}
	c := makeCard(t, p)
	if len(c.Start.Steps) != stepsMost || c.Start.More != 18 {
		t.Fatalf("got %d and %d more", len(c.Start.Steps), c.Start.More)
	}
	for _, s := range c.Start.Steps {
		if !s.Vital {
			t.Errorf("%s took the room of a vital thing", s.Name)
		}
	}
}

// Ten motors come first; five vital things after them keep their room.
func TestOthersLeaveRoom(t *testing.T) {
	p := household(t)
	for i := range 15 {
		l := load.Load{Name: fmt.Sprint("Motor ", i), Rank: load.Useful, Outlet: load.AC, Count: 1, Running: 10, Starting: 50, Duty: 1, PowerFactor: 1, Basis: load.Label}
		if i >= 10 {
			l.Name, l.Rank, l.Starting = fmt.Sprint("Care ", i), load.Vital, 0
		}
		p.Loads = append(p.Loads, l)
	}
	var names []string
	s := makeCard(t, p).Start
	for _, step := range s.Steps {
		names = append(names, step.Name)
	}
	want := []string{"Motor 0", "Motor 1", "Motor 2", "Motor 3", "Motor 4", "Motor 5", "Motor 6", "Care 10", "Care 11", "Care 12", "Care 13", "Care 14"}
	if !slices.Equal(names, want) || s.More != 3 {
		t.Errorf("got %q and %d more, want %q and 3", names, s.More, want)
	}
}

func TestFoodByName(t *testing.T) {
	for name, want := range map[string]Food{
		"Refrigerator, modern":   {Fridge: 4},
		"Fridge-freezer":         {Fridge: 4, FreezerFull: 48, FreezerHalf: 24},
		"Chest FREEZER":          {FreezerFull: 48, FreezerHalf: 24},
		"Medicine fridge, small": {Medicine: true},
		"Pipe freeze protection": {},
		"Router":                 {},
	} {
		if got := FoodOf([]load.Load{{Name: name}}); got != want || got.Nothing() != (want == Food{}) {
			t.Errorf("%s: got %+v, want %+v", name, got, want)
		}
	}
	// The catalogue's own names.
	for _, e := range load.Catalogue() {
		f := FoodOf([]load.Load{e.Load()})
		fridge := slices.Contains([]string{"fridge", "fridge-old", "fridge-inverter"}, e.Key)
		freezer := slices.Contains([]string{"freezer-chest", "freezer-upright"}, e.Key)
		if (f.Fridge > 0) != fridge || (f.FreezerFull > 0) != freezer || f.Medicine != (e.Key == "medicine-fridge") {
			t.Errorf("%s: got %+v", e.Key, f)
		}
		oxygen := slices.Contains([]string{"oxygen-portable", "oxygen-5l", "oxygen-10l", "oxygen-filler"}, e.Key)
		if (oxygenOf([]load.Load{e.Load()}) != nil) != oxygen {
			t.Errorf("%s: oxygen", e.Key)
		}
	}
}

func TestMorning(t *testing.T) {
	l := Ladder{Sets: make([]Set, 3), Rungs: []Rung{
		{CountOn: []units.Hours{11.9, 30, units.Hours(math.Inf(1))}},
		{CountOn: []units.Hours{8, 12, 20}},
		{CountOn: []units.Hours{4, 6, 11}},
	}}
	if got, want := l.morning().Keep, []Keep{{0, -1}, {1, 1}, {2, 1}}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if m := l.morning(); m.Dark.String() != "19:00" || m.Morning.String() != "07:00" {
		t.Errorf("from %v to %v", m.Dark, m.Morning)
	}
}

func TestSun(t *testing.T) {
	p := plantest.Cottage(t)
	// Two panels of 21.8 V at an input of 40 V: a chain would damage it in frost.
	for i := range p.Supply.Inputs {
		if in := &p.Supply.Inputs[i]; in.Kind == "panel" {
			in.MaxV = 40
		}
	}
	s := makeCard(t, p).Sun
	if s.Wiring == nil || s.Wiring.String() != "2 panels side by side: + to +, − to −" || s.Wiring.Fuses {
		t.Errorf("got %v", s.Wiring)
	}
	if len(s.Never) != 1 || s.Never[0].String() != "2 panels in a chain: + of each to − of the next" {
		t.Errorf("got never %v", s.Never)
	}
	// An input that no way of wiring suits.
	for i := range p.Supply.Inputs {
		if in := &p.Supply.Inputs[i]; in.Kind == "panel" {
			in.MinV, in.MaxV = 5, 15
		}
	}
	if s := makeCard(t, p).Sun; s == nil || s.Wiring != nil || len(s.Never) == 0 || s.Known {
		t.Errorf("got %+v", s)
	}
	p.Panels.Count = 0
	if s := makeCard(t, p).Sun; s != nil {
		t.Errorf("without panels: got %+v", s)
	}
	for w, want := range map[Wiring]string{
		{1, 1, 1, false}: "1 panel",
		{6, 3, 2, false}: "2 chains of 3 panels, side by side",
		{5, 3, 2, false}: "5 panels in 2 chains side by side, the longest of 3",
	} {
		if got := w.String(); got != want {
			t.Errorf("%+v: got %q, want %q", w, got, want)
		}
	}
	many := household(t)
	many.Panels, many.Supply.Inputs = plantest.Cottage(t).Panels, plantest.Cottage(t).Supply.Inputs
	many.Panels.Count = 24
	if s := makeCard(t, many).Sun; len(s.Never) != damagesMost || s.More == 0 || s.Known || s.Never[0].Series != 3 {
		t.Errorf("24 panels at a place unknown: got %+v", s)
	} else if !slices.IsSortedFunc(s.Never, func(a, b Wiring) int { return cmp.Or(a.Series-b.Series, a.Panels-b.Panels) }) {
		t.Errorf("never: got %v, want the shortest chains first, and of those the fewest panels", s.Never)
	}
}

// The colder room that the card tells of is one colder than the plan's.
func TestColdRoom(t *testing.T) {
	for room, want := range map[units.Celsius]units.Celsius{20: 5, 5.1: 5, 5: -5, -10: -20} {
		p := household(t, "lamp-led")
		p.Supply.Battery.Room = room
		if got := makeCard(t, p).Basis.ColdRoom; got != want {
			t.Errorf("room of %v °C: got %v, want %v", room, got, want)
		}
	}
}

// What may run only some hours runs all of them, if it has that much to make up for:
// on the ladder it draws as one that runs all the time.
func TestLadderOfARationedFridge(t *testing.T) {
	p := household(t, "lamp-led")
	fridge := load.Load{Name: "Own fridge", Rank: load.Useful, Outlet: load.DC, Count: 1, Running: 140, Duty: 0.33, CyclesItself: true, Basis: load.Measured}
	fridge.Use = []load.Window{{From: 7 * 60, To: 9 * 60}, {From: 19 * 60, To: 21 * 60}}
	p.Loads = []load.Load{fridge}
	s := sampler()
	rationed := NewLadder(p, s)
	p.Loads[0].Use, p.Loads[0].Duty = nil, 1
	if always := NewLadder(p, s); len(always.Rungs) == 0 || !reflect.DeepEqual(rationed.Full, always.Full) || !reflect.DeepEqual(rationed.Rungs, always.Rungs) {
		t.Errorf("rationed %v, all the time %v", rationed.Full, always.Full)
	}
}

// A figure of a supply whose nights are cold is the least that it is from any
// hour of the day, and none hangs on the hour at which the plan begins.
func TestLadderByDayAndNight(t *testing.T) {
	at := func(minute int) plan.Moment { return plan.At(time.Date(2026, 1, 14, 0, minute, 0, 0, time.UTC)) }
	s, seen := sampler(), 0
	for _, c := range []struct {
		of       battery.Chemistry
		capacity units.WattHours
		night    float64
		watts    units.Watts
	}{
		{battery.LFP, 1000, -5, 20}, {battery.LFP, 1000, -5, 200}, {battery.LFP, 5000, -30, 10},
		{battery.NMC, 2000, 3, 60}, {battery.AGM, 1200, -10, 25}, {battery.Flooded, 2400, 14.5, 70},
	} {
		p := plan.New("Test", at(9*60))
		p.Supply.Battery = battery.Battery{Chemistry: c.of, Capacity: c.capacity, Room: 15, Night: &c.night}
		p.Supply.Gauge.Kind = plan.Percent
		for i, rank := range load.Ranks {
			p.Loads = append(p.Loads, load.Load{Name: fmt.Sprint("Load ", i), Rank: load.Rank(rank), Outlet: load.DC, Count: 1, Running: c.watts / units.Watts(i+1), Duty: 1, PowerFactor: 1, Basis: load.Measured})
		}
		l := NewLadder(p, s)
		for hour := range 24 {
			p.Outage.Starts = at(60 * hour)
			if other := NewLadder(p, s); !reflect.DeepEqual(other, l) {
				t.Fatalf("%v: begun at %d:00 the plan tells\n%v, at 9:00\n%v", c, hour, other, l)
			}
		}
		for i, set := range l.Sets {
			for n, r := range append([]Rung{{Reading{SOC: 1}, l.Full}}, l.Rungs...) {
				q := only(p, set, r.Reading.SOC)
				q.Outage.UnderWay = n > 0
				least := units.Hours(math.Inf(1))
				for half := range 48 {
					q.Outage.Starts = at(30 * half)
					least = min(least, s.Runtime(q).CountOn)
				}
				if math.Abs(float64(r.CountOn[i]-least)) > 1e-9*float64(least) {
					t.Errorf("%v, %s, %s: %v h, and from some hour %v", c, set.Words, r.Reading.Words, r.CountOn[i], least)
				}
				if q.Supply.Battery.Night = nil; r.CountOn[i] < s.Runtime(q).CountOn {
					seen++
				}
			}
		}
	}
	if seen < 100 {
		t.Errorf("only %d figures are less for a cold night", seen)
	}
}

// Where the nights are cold the card's colder room is one colder than those, and
// takes something off what they leave.
func TestColderThanTheNight(t *testing.T) {
	for night, want := range map[float64]units.Celsius{8: 5, 5: -5, -12: -22} {
		p := household(t, "lamp-led")
		p.Supply.Battery.Night = &night
		if b := makeCard(t, p).Basis; b.ColdRoom != want || b.ColdLess <= 0.01 {
			t.Errorf("night of %v °C: got %v, %v less, want %v", night, b.ColdRoom, b.ColdLess, want)
		}
	}
}

func TestBasisTellsWhetherMeasured(t *testing.T) {
	p := household(t, "lamp-led")
	estimated := makeCard(t, p).Basis.Measured
	p.Supply.Battery.Health = new(0.9)
	if measured := makeCard(t, p).Basis.Measured; estimated || !measured {
		t.Errorf("measured: got %v where the health is estimated, %v where it was measured", estimated, measured)
	}
}

func TestLinesToFillIn(t *testing.T) {
	lamp := load.Load{Rank: load.Useful}
	if got := linesOf([]load.Load{lamp, lamp}); len(got) != 3 || got[0] != "Neighbour or family" {
		t.Errorf("nothing vital: got %q", got)
	}
	if got := linesOf([]load.Load{lamp, {Rank: load.Vital}}); len(got) != 4 || got[0] != "Supplier of what is vital" {
		t.Errorf("something vital: got %q", got)
	}
}

func TestDeterministic(t *testing.T) {
	p := plantest.Cottage(t)
	a, b := makeCard(t, p), makeCard(t, p)
	if !reflect.DeepEqual(a, b) {
		t.Errorf("got\n%+v\nand\n%+v", a, b)
	}
	if !reflect.DeepEqual(p, plantest.Cottage(t)) {
		t.Error("the plan was changed")
	}
}

// A lower reading never lasts longer, fewer loads never shorter, and all lists
// are within a page, whatever the plan.
func TestOrderOfTheLadder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := plan.New("Test", plan.At(time.Date(2026, 1, 14, rapid.IntRange(0, 23).Draw(t, "hour"), 0, 0, 0, time.UTC)))
		p.Supply.Battery = battery.Battery{Chemistry: rapid.SampledFrom(battery.Chemistries).Draw(t, "chemistry"),
			Capacity: units.WattHours(rapid.Float64Range(1, 6000).Draw(t, "Wh")), AgeYears: rapid.Float64Range(0, 12).Draw(t, "age"),
			Room: units.Celsius(rapid.Float64Range(-30, 40).Draw(t, "room"))}
		if rapid.Bool().Draw(t, "inverter known") {
			p.Supply.Inverter = inverter.Inverter{Continuous: units.Watts(rapid.Float64Range(50, 4000).Draw(t, "continuous")), OffWhenUnused: rapid.Bool().Draw(t, "off when unused")}
		}
		p.Supply.Gauge = plan.Gauge{Kind: plan.GaugeKind(rapid.SampledFrom(plan.Gauges).Draw(t, "gauge")), Bars: rapid.IntRange(2, 20).Draw(t, "bars")}
		for i := range rapid.IntRange(0, 8).Draw(t, "loads") {
			l := rapid.SampledFrom(load.Catalogue()).Draw(t, "entry").Load()
			l.Name += fmt.Sprint(" ", i)
			l.Rank = load.Rank(rapid.SampledFrom(load.Ranks).Draw(t, "rank"))
			l.Off = rapid.IntRange(0, 4).Draw(t, "off") == 0
			if rapid.Bool().Draw(t, "hours") {
				l.Use = []load.Window{{From: load.Minute(rapid.IntRange(0, 1439).Draw(t, "from")), To: load.Minute(rapid.IntRange(0, 1439).Draw(t, "to"))}}
			}
			p.Loads = append(p.Loads, l)
		}
		c, err := Make(p, nil, odds.NewSampler(21, 1), made)
		if err != nil {
			t.Fatal(err)
		}
		l := c.Ladder
		if len(l.Sets) > 3 || len(l.Rungs) > rungsMost || len(c.Start.Steps) > stepsMost {
			t.Fatalf("%d sets, %d rungs, %d steps", len(l.Sets), len(l.Rungs), len(c.Start.Steps))
		}
		above := l.Full
		for _, r := range l.Rungs {
			for i, h := range r.CountOn {
				if !(h >= 0) {
					t.Fatalf("%s: %v hours", r.Reading.Words, h)
				}
				if h > above[i] {
					t.Fatalf("%s: %v hours, more than %v above", r.Reading.Words, h, above[i])
				}
				if i > 0 && h < r.CountOn[i-1] {
					t.Fatalf("%s: %v hours with fewer loads, %v with more", r.Reading.Words, h, r.CountOn[i-1])
				}
			}
			above = r.CountOn
		}
		for i, s := range l.Sets {
			if i > 0 && len(s.Loads) >= len(l.Sets[i-1].Loads) {
				t.Fatalf("set %d has no fewer loads than the one before", i)
			}
		}
		if c.Basis.ColdLess < 0 || c.Basis.ColdLess > 1 {
			t.Fatalf("%v less in the cold", c.Basis.ColdLess)
		}
	})
}

func BenchmarkMake(b *testing.B) {
	p := household(b, twenty...)
	s := odds.NewSampler(odds.Draws, odds.Seed)
	for b.Loop() {
		if _, err := Make(p, nil, s, made); err != nil {
			b.Fatal(err)
		}
	}
}
