package yield

import (
	"math"
	"slices"
	"testing"
	"time"

	"candleclock/engine/charge"
	"candleclock/engine/load"
	"candleclock/engine/panel"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
	"candleclock/engine/sun"
	"candleclock/engine/units"

	"pgregory.net/rapid"
)

func sum(day []units.Watts) units.WattHours {
	var wh units.WattHours
	for _, w := range day {
		wh += w.For(1)
	}
	return wh
}

// Whatever the plan, nothing panics, a yield is there exactly when a way of
// wiring works at a place that is known, and it keeps within all limits.
func TestAnyPlan(t *testing.T) {
	there := 0
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlan(t)
		Wirings(p, UnknownAir)
		y := Of(p)
		site, known := p.Site()
		var all []Wiring
		if known {
			all = Wirings(p, Air(site.Climate))
		}
		works := false
		for i, w := range all {
			fits := w.Verdict == panel.Fits || w.Verdict == panel.Clipped
			if fits != (w.Watts > 0) {
				t.Fatalf("%v takes %v W", w.Verdict, w.Watts)
			}
			works = works || fits
			if i > 0 && panel.Compare(all[i-1].Layout, w.Layout) > 0 {
				t.Fatalf("%v before the better %v", all[i-1], w)
			}
		}
		if (y != nil) != works {
			t.Fatalf("a yield: %v, of %d wirings one works: %v", y != nil, len(all), works)
		}
		if y == nil {
			return
		}
		there++
		if v := y.Best.Verdict; v == panel.Damages || v == panel.WontStart {
			t.Fatalf("the best one %v", v)
		}
		in := p.Supply.Inputs[y.Best.Input]
		limit := min(in.Most(), y.Best.Array)
		within := func(what string, hours []units.Watts, want int) {
			if len(hours) != want {
				t.Fatalf("%s: %d hours, want %d", what, len(hours), want)
			}
			for h, w := range hours {
				if !(w >= 0 && w <= limit) {
					t.Fatalf("%s: %v W at %d, the input takes %v", what, w, h, limit)
				}
			}
		}
		on := p.Outage.Starts
		within("series", y.Series(3, on, 40), 40*24)
		within("clear", y.ClearDay(on), 24)
		poor, usual, fine := y.PoorDay(on), y.UsualDay(on), y.FineDay(on)
		within("poor", poor, 24)
		within("usual", usual, 24)
		within("fine", fine, 24)
		if !(sum(poor) <= sum(usual) && sum(usual) <= sum(fine)) {
			t.Fatalf("days of %v, %v, %v Wh", sum(poor), sum(usual), sum(fine))
		}
		_, month, _ := on.Date()
		r := y.Month(int(month))
		if !(0 <= r.Poor && r.Poor <= r.Usual && r.Usual <= r.Fine && r.Poor <= r.Mean && r.Fine <= 24*units.WattHours(limit)) {
			t.Fatalf("month %+v", r)
		}
		poorW, usualW := y.PanelsFor(100, int(month))
		if poorW < 0 || usualW < 0 || poorW > 0 && usualW > poorW*(1+1e-9) {
			t.Fatalf("panels for 100 Wh: %v W on poor days, %v on usual ones", poorW, usualW)
		}
	})
	if there < 10 {
		t.Errorf("only %d yields: the test says too little", there)
	}
}

func TestNoYield(t *testing.T) {
	for name, change := range map[string]func(*plan.Plan){
		"no place":    func(p *plan.Plan) { p.Place.Lon = nil },
		"no panels":   func(p *plan.Plan) { p.Panels.Count = 0 },
		"no label":    func(p *plan.Plan) { p.Panels.Label = panel.Label{} },
		"power alone": func(p *plan.Plan) { p.Panels.Label = panel.Label{Pmax: 100} },
		"no inputs":   func(p *plan.Plan) { p.Supply.Inputs = nil },
		"wall only":   func(p *plan.Plan) { p.Supply.Inputs = p.Supply.Inputs[1:2] },
		"damages":     func(p *plan.Plan) { p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MaxV: 24, MaxW: 400}} },
		"will not start": func(p *plan.Plan) {
			p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 40, MaxV: 60, MaxW: 400}}
		},
		"current unlimited": func(p *plan.Plan) { p.Supply.Inputs[0].MaxA, p.Supply.Inputs[0].Unlimited = 5, true },
	} {
		p := plantest.Cottage(t)
		change(&p)
		if y := Of(p); y != nil {
			t.Errorf("%s: a yield, of %v", name, y.Best.Why)
		}
	}
}

// A layout near the input's limit never goes before one that works without,
// even where it takes more.
func TestNearLimitIsNotBest(t *testing.T) {
	p := plantest.Cottage(t)
	p.Supply.Inputs = p.Supply.Inputs[:1]
	p.Supply.Inputs[0].MaxV = units.Volts(52.3) // two in series reach 51.9 V
	p.Supply.Inputs[0].MaxA = 9                 // two in parallel are clipped
	y := Of(p)
	near := slices.IndexFunc(y.All, func(w Wiring) bool { return w.NearMax })
	if y.Best.Parallel() != 2 || near < 1 || y.All[near].Watts <= y.Best.Watts {
		t.Errorf("best %q; near the limit, at %d, %q", y.Best.Why, near, y.All[near].Why)
	}
}

func TestTwoInputs(t *testing.T) {
	p := plantest.Cottage(t)
	wide := p.Supply.Inputs[0]
	narrow := charge.Input{Kind: charge.Panel, MinV: 12, MaxV: 30, MaxW: 90}
	p.Supply.Inputs = []charge.Input{narrow, {Kind: charge.Wall, Watts: 200}, wide}
	y := Of(p)
	if y.Best.Input != 2 || y.Best.Watts != 200 || y.Best.Series() != 2 {
		t.Errorf("best %+v", y.Best)
	}
	p.Supply.Inputs = []charge.Input{narrow}
	if got := Of(p).Best; got.Series() != 1 || got.Parallel() != 2 || got.Watts != 90 || got.Verdict != panel.Clipped {
		t.Errorf("best %+v", got)
	}
}

// The limit of the input is that of what goes in, before its own loss of 5 %;
// at a limit in amperes, warm panels bring what their lower voltage makes.
func TestLimits(t *testing.T) {
	p := inMonth(plantest.Cottage(t), time.July)
	most := func(in charge.Input) units.Watts {
		p.Supply.Inputs = []charge.Input{in}
		return slices.Max(Of(p).ClearDay(p.Outage.Starts))
	}
	free := most(charge.Input{Kind: charge.Panel, MaxV: 60, MaxW: 400})
	if free < 130 || free > 170 {
		t.Errorf("a clear noon gives %v of 200 W", free)
	}
	if got := most(charge.Input{Kind: charge.Panel, MaxV: 60, MaxW: 100}); got != 95 {
		t.Errorf("at 100 W: %v, want 95", got)
	}
	// Two in series at 36.4 V, cells at 23 + 31 °C: 11 % less.
	got := most(charge.Input{Kind: charge.Panel, MinV: 25, MaxV: 60, MaxA: 3})
	if math.Abs(float64(got)-0.95*3*36.4*0.89) > 1 {
		t.Errorf("at 3 A: %v W", got)
	}
	if loose := most(charge.Input{Kind: charge.Panel, MinV: 25, MaxV: 60, MaxA: 5.6}); loose > free || loose < 0.97*free {
		t.Errorf("at 5.6 A, which the panels don't reach: %v W, want %v", loose, free)
	}
}

// Of unlike panels the warier coefficients count, and the lead carries the
// currents of both.
func TestMixedPanels(t *testing.T) {
	p := plantest.Cottage(t)
	p.Panels.CableM = nil
	hot := units.Celsius(60)
	p.Panels.Second = plan.PanelSet{Count: 1, Label: panel.Label{Pmax: 90, Vmp: 36.4, Imp: 2.5, Voc: 43.6, PmaxPct: new(-0.5), NOCT: &hot}}
	y := Of(p)
	if y.Best.Modules() != 3 || y.Best.Parallel() != 2 || math.Abs(float64(y.Best.Watts)-290) > 2 {
		t.Fatalf("best %+v", y.Best)
	}
	one := asOne(y.Best, set(p.Panels.PanelSet), set(p.Panels.Second))
	if one.Vmp != 36.4 || one.Imp != 8 || one.PmaxPct != -0.5 || one.NOCT != 60 {
		t.Errorf("as one: %+v", one)
	}
	// The second panels alone where the first do not fit.
	p.Panels.Label.Voc, p.Panels.Label.Vmp, p.Panels.Label.Imp, p.Panels.Label.Isc = 90, 75, 1.33, 1.4
	y = Of(p)
	one = asOne(y.Best, set(p.Panels.PanelSet), set(p.Panels.Second))
	if y.Best.Array != 90 || one.Vmp != 36.4 || one.Imp != 2.5 || one.NOCT != 60 {
		t.Errorf("the second alone: %+v, %+v", y.Best, one)
	}
}

func TestLead(t *testing.T) {
	p := inMonth(plantest.Cottage(t), time.May)
	p.Panels.CableM, p.Panels.CableMM2 = new(20.0), new(1.5)
	thin := Of(p).Month(5).Usual
	p.Panels.CableMM2 = new(10.0)
	thick := Of(p).Month(5).Usual
	// 20 m there and back of 1.5 mm² at 60 °C carry 5.5 A: some 3.4 V of 36.4.
	if share := float64(thin / thick); share < 0.90 || share > 0.94 {
		t.Errorf("a thin lead leaves %v of a thick one's", share)
	}
	p.Panels.CableM = new(200.0)
	p.Panels.CableMM2 = new(0.5)
	if left := Of(p).Month(5).Usual / thick; left <= 0 || left > 0.11 {
		t.Errorf("a lead that can't carry it leaves %v", left)
	}
}

// Months are what their hours make, after the limits: the mean of many months
// of made-up weather is the month's mean within 5 % (the mean day stands for
// the month, and the year's climate wanders by a tenth), limited or not.
func TestMonthsAreTheirHours(t *testing.T) {
	for _, limit := range []units.Watts{400, 100, 40} {
		p := inMonth(plantest.Cottage(t), time.April)
		p.Supply.Inputs[0].MaxW = limit
		y := Of(p)
		first := plan.At(time.Date(2026, 4, 1, 0, 0, 0, 0, time.UTC))
		const months = 100
		var days []units.WattHours
		var all units.WattHours
		for seed := range uint64(months) {
			series := y.Series(seed, first, 30)
			for d := range 30 {
				days = append(days, sum(series[24*d:24*d+24]))
			}
			all += sum(series) / 30 / months
		}
		slices.Sort(days)
		r := y.Month(4)
		// A made-up place may be darker than its climate, and is hardly brighter.
		if share := float64(all / r.Mean); share > 1.02 || share < 0.88 {
			t.Errorf("at %v W the hours make %v Wh a day, the month says %v", limit, all, r.Mean)
		}
		// A poor day is wary: more than 9 of 10 made-up days are better.
		better := len(days) - func() int { i, _ := slices.BinarySearch(days, r.Poor); return i }()
		if share := float64(better) / float64(len(days)); share < 0.9 {
			t.Errorf("at %v W only %v of days are better than poor", limit, share)
		}
		if usual := float64(days[len(days)/2] / r.Usual); usual > 1.02 || usual < 0.82 {
			t.Errorf("at %v W the middle day is %v of the usual one", limit, usual)
		}
		// The days by themselves are those of the month.
		mid := plan.At(time.Date(2025, 4, 15, 0, 0, 0, 0, time.UTC))
		for what, pair := range map[string][2]units.WattHours{
			"poor": {sum(y.PoorDay(mid)), r.Poor}, "usual": {sum(y.UsualDay(mid)), r.Usual}, "fine": {sum(y.FineDay(mid)), r.Fine},
		} {
			if share := float64(pair[0] / pair[1]); share < 0.95 || share > 1.001 { // 1 % of days lower, or wary
				t.Errorf("at %v W the %s day brings %v Wh, the month says %v", limit, what, pair[0], pair[1])
			}
		}
	}
}

// The series does not care where it is cut.
func TestSeries(t *testing.T) {
	p := plantest.Cottage(t)
	y := Of(p)
	start := plan.At(time.Date(2026, 1, 20, 17, 0, 0, 0, time.UTC))
	long, again, other := y.Series(7, start, 60), y.Series(7, start, 60), y.Series(8, start, 60)
	if !slices.Equal(long, again) || slices.Equal(long, other) {
		t.Error("the seed does not decide the weather")
	}
	if short := y.Series(7, start, 5); !slices.Equal(short, long[:5*24]) {
		t.Error("five days are not the first of sixty")
	}
	if got := y.Series(7, start, 0); len(got) != 0 {
		t.Errorf("no days give %d hours", len(got))
	}
	for h, w := range long {
		if clock := h % 24; w > 0 && (clock < 6 || clock > 18) {
			t.Fatalf("%v W at %d o'clock in winter", w, clock)
		}
	}
}

// Common practice: in a northern spring of the middle latitudes a 180 W panel
// gives about 120 W near noon and about 60 W in the morning, and fills 1,500 Wh
// in a day and a half to two days. Between a usual and a cloudless day the
// model does so everywhere there, at eight in the morning by the sun.
func TestSpringPanel(t *testing.T) {
	for _, place := range [][2]float64{{38, -90}, {42, -90}, {42, 10}, {45, -90}, {45, 10}, {50, -105}} {
		p := single(180, place[0], place[1], time.April)
		y, on := Of(p), p.Outage.Starts
		usual, clear := y.UsualDay(on), y.ClearDay(on)
		if noon := slices.Max(usual); noon > 125 || slices.Max(clear) < 120 || slices.Max(clear) > 160 || noon < 80 {
			t.Errorf("%v: near noon %v W, cloudless %v", place, noon, slices.Max(clear))
		}
		if usual[8] < 40 || usual[8] > 75 || clear[8] < 60 || clear[8] > 100 {
			t.Errorf("%v: in the morning %v W, cloudless %v", place, usual[8], clear[8])
		}
		pack := Pack(p)
		pack.Capacity = 1500
		h, fills := pack.FillDaily(0, FromSunrise(y.UsualDay(on)), 10)
		if !fills || h < 30 || h > 56 { // from sunrise, to the second noon or the third morning
			t.Errorf("%v: filled in %v h", place, h)
		}
	}
}

// Common practice: a 150 W wall adapter fills 1,500 Wh in about 10 hours. What
// is lost in charging adds the better part of an hour; so weak an adapter meets
// the taper at 99 %, which adds three minutes.
func TestWallFill(t *testing.T) {
	p := single(180, 45, 0, time.April)
	pack := Pack(p)
	pack.Capacity = 1500
	h, fills := pack.Fill(0, 150)
	flat := 1500 / 150 / pack.Efficiency
	if !fills || h < 10 || h > 11.2 || float64(h)-flat < 0.01 || float64(h)-flat > 0.1 {
		t.Errorf("filled in %v h, of which the taper %v", h, float64(h)-flat)
	}
}

func TestSouthAndTropics(t *testing.T) {
	for _, c := range []struct {
		lat     float64
		month   time.Month
		azimuth units.Degrees
	}{{45, time.January, 180}, {-45, time.July, 0}, {-20, time.July, 0}, {5, time.June, 0}, {5, time.December, 180}} {
		y := Of(single(100, c.lat, 20, c.month))
		if y.Lies.Azimuth != c.azimuth {
			t.Errorf("at %v in %v it faces %v", c.lat, c.month, y.Lies.Azimuth)
		}
		if y.Month(int(c.month)).Usual < 50 {
			t.Errorf("at %v in %v a usual day brings %v Wh", c.lat, c.month, y.Month(int(c.month)).Usual)
		}
	}
	// Where the clock follows the sun the strongest hour is about noon.
	for _, lon := range []float64{-179, -120, -1, 0, 1, 120, 179} {
		p := single(100, 40, lon, time.April)
		day := Of(p).ClearDay(p.Outage.Starts)
		if h := slices.Index(day, slices.Max(day)); h < 11 || h > 12 {
			t.Errorf("at longitude %v the strongest hour is %d", lon, h)
		}
	}
}

func TestPolarNight(t *testing.T) {
	p := single(100, 78, 15, time.December)
	y := Of(p)
	if y == nil {
		t.Fatal("no yield: the sun comes back")
	}
	if r := y.Month(12); r != (sun.Range{}) || sum(y.Series(1, p.Outage.Starts, 14)) != 0 {
		t.Errorf("a polar night brings %+v", r)
	}
	if poor, usual := y.PanelsFor(100, 12); poor != 0 || usual != 0 {
		t.Errorf("panels for a polar night: %v, %v", poor, usual)
	}
}

// PanelsFor is the size at which the month's own day brings the energy.
func TestPanelsFor(t *testing.T) {
	p := single(100, 45, 0, time.April)
	poor, usual := Of(p).PanelsFor(500, 4)
	p.Panels.Label.Pmax = usual
	if got := Of(p).Month(4).Usual; math.Abs(float64(got)-500) > 1 {
		t.Errorf("a usual day of %v W brings %v Wh, want 500", usual, got)
	}
	p.Panels.Label.Pmax = poor
	if got := Of(p).Month(4).Poor; math.Abs(float64(got)-500) > 1 {
		t.Errorf("a poor day of %v W brings %v Wh, want 500", poor, got)
	}
	// A limit of the input does not change what panels would bring without it.
	p.Panels.Label.Pmax = 100
	p.Supply.Inputs[0].MaxW = 30
	if again, _ := Of(p).PanelsFor(500, 4); again != poor {
		t.Errorf("before a limit %v W, want %v", again, poor)
	}
}

func BenchmarkOf(b *testing.B) {
	p := plantest.Cottage(b)
	for b.Loop() {
		Of(p)
	}
}

func BenchmarkSeries(b *testing.B) {
	p := plantest.Cottage(b)
	y := Of(p)
	for b.Loop() {
		y.Series(1, p.Outage.Starts, 15)
	}
}

func BenchmarkMonth(b *testing.B) {
	y := Of(plantest.Cottage(b))
	for b.Loop() {
		y.Month(4)
	}
}

// The series goes by each month's own limit.
func TestSeriesGoesByItsMonths(t *testing.T) {
	p := inMonth(plantest.Cottage(t), time.June)
	p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 25, MaxV: 60, MaxA: 3}}
	y := Of(p)
	if !(y.most[0] > y.most[6]) {
		t.Fatalf("a warm month passes %v W on, a cold one %v", y.most[6], y.most[0])
	}
	var most [12]units.Watts
	first := plan.At(time.Date(2026, 1, 20, 0, 0, 0, 0, time.UTC))
	for h, w := range y.Series(1, first, 365) {
		_, month, _ := first.After(units.Hours(h)).Date()
		most[month-1] = max(most[month-1], w)
	}
	// Each month's clear noons reach its limit.
	if most != y.most {
		t.Errorf("got %v, want %v", most, y.most)
	}
}

func TestShade(t *testing.T) {
	p := inMonth(plantest.Cottage(t), time.April)
	on := p.Outage.Starts
	bare := Of(p).ClearDay(on)
	p.Panels.Shade = 0.3
	if share := float64(sum(Of(p).ClearDay(on)) / sum(bare)); math.Abs(share-0.7) > 0.02 { // cooler panels, weaker light
		t.Errorf("a shade of 0.3 leaves %v", share)
	}
	p.Panels.Shade = 0
	from, to := load.Minute(10*60), load.Minute(14*60)
	p.Panels.SunFrom, p.Panels.SunTo = &from, &to
	part := Of(p).ClearDay(on)
	if part[9] > bare[9]/3 || part[14] > bare[14]/3 || part[10] != bare[10] || part[13] != bare[13] || part[9] <= 0 {
		t.Errorf("sun from 10 to 14: %.0f, bare %.0f", part, bare)
	}
}

// What unlike panels in one string lose is lost every hour: they bring what two
// of the weaker kind would.
func TestMismatch(t *testing.T) {
	p := plantest.Cottage(t)
	p.Panels.CableM = nil
	p.Supply.Inputs = []charge.Input{{Kind: charge.Panel, MinV: 25, MaxV: 60, MaxW: 400}} // nothing but two in series
	weak := p.Panels.Label
	weak.Imp, weak.Isc, weak.Pmax = 4, 4.3, 18.2*4
	p.Panels.Label.Pmax = 18.2 * 5.5
	p.Panels.Count, p.Panels.Second = 1, plan.PanelSet{Count: 1, Label: weak}
	mixed := Of(p)
	p.Panels.Label, p.Panels.Count, p.Panels.Second = weak, 2, plan.PanelSet{}
	like := Of(p)
	if mixed.Best.Modules() != 2 || math.Abs(mixed.Best.Mismatch-(1-8/9.5)) > 1e-9 {
		t.Fatalf("best %+v", mixed.Best)
	}
	if share := float64(mixed.Month(1).Usual / like.Month(1).Usual); math.Abs(share-1) > 1e-9 {
		t.Errorf("unlike panels bring %v of two weak ones'", share)
	}
}

func TestAir(t *testing.T) {
	var c sun.Climate
	c.High[6], c.RecordCold = 31, -30
	if got := Air(c); got != (panel.Extremes{Low: -30, High: 39}) {
		t.Errorf("got %+v", got)
	}
	c.High[6], c.RecordCold = 70, -95
	if got := Air(c); got.Low != units.Celsius(panel.LowRange.Low) || got.High != units.Celsius(panel.HighRange.High) {
		t.Errorf("beyond the ranges: %+v", got)
	}
}

// At a place unknown a panel of 20 V counts as 25 V in the cold, the last row of
// NFPA 70 Table 690.7(A), and with the heat of a desert at noon.
func TestUnknownAirIsWary(t *testing.T) {
	m := panel.FromLabel(panel.Label{Pmax: 100, Vmp: 18, Voc: 20})
	if got := m.ColdVoc(UnknownAir.Low); got < 25 {
		t.Errorf("cold: got %v V, want 25", got)
	}
	if hot, desert := m.HotVmp(UnknownAir.High), m.HotVmp(50); hot > desert {
		t.Errorf("hot: got %v V, want at most %v", hot, desert)
	}
}
