package ui

import (
	"strings"
	"testing"
	"time"

	"candleclock/engine/gauge"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
)

// lungs is a page in an outage of an evening: oxygen and what else runs in the house,
// on about 1,000 Wh whose gauge has five bars.
func lungs(t *testing.T, at time.Time, bars int, keys ...string) *world {
	t.Helper()
	w := openPage(t, new(disk), func(w *world) { w.now = at })
	w.act(w.app.PlanAhead)
	w.act(func() {
		w.app.edit(func(p *plan.Plan) {
			p.Supply.Battery.Chemistry, p.Supply.Battery.Capacity, p.Supply.Battery.Room = "lfp", 1000, 20
			p.Supply.Gauge = plan.Gauge{Kind: plan.Bars, Bars: 5}
			p.Loads = nil
			for _, key := range keys {
				p.Loads = append(p.Loads, mustFind(key).Load())
			}
		})
	})
	w.visit("tonight")
	w.act(w.app.PowerOut)
	w.act(func() { w.app.ReadBars(bars) })
	return w
}

// litWins fails where the page says that nothing is left, or less than a sane count
// from what the gauge has just shown: what is lit, drawn as listed, with the gauge
// off by what it leans.
func litWins(t *testing.T, w *world, bars int) {
	t.Helper()
	a := &w.app.answer
	p := w.app.book.Plan
	alone := odds.NewSampler(odds.Draws, odds.Seed).Runtime(p).CountOn
	got := a.left(a.run.CountOn)
	t.Logf("%s, %d bars: %v h planned on, %v to %v, by the last alone %v; %q %q", w.now.Format("3:04pm"), bars, got, a.left(a.run.Likely), a.left(a.run.AtBest), alone, w.app.Clash(), w.app.Learned())
	if a.Passed() || a.left(a.run.CountOn) <= 0 {
		t.Errorf("%d of 5 bars are lit, and the page says %q", bars, a.Sentence())
	}
	if got < 0.8*alone {
		t.Errorf("%d of 5 bars are lit: planned on is %v h, by the last reading alone %v", bars, got, alone)
	}
	if says := w.html(); strings.Contains(says, wReadAgain) || strings.Contains(says, wPassedLead) {
		t.Errorf("%d of 5 bars are lit, and the page says that the time has passed", bars)
	}
}

// A gauge that is lit is believed, however much less things draw than is listed: no
// time has passed before what was read after it, and nothing must be found and
// tapped for that.
func TestALitGaugeWins(t *testing.T) {
	evening := time.Date(2026, 8, 20, 21, 40, 0, 0, time.UTC)
	type reading struct {
		after time.Duration
		bars  int
	}
	house := []string{"oxygen-5l", "cpap-humidifier", "fridge", "modem-router", "lamp-led"}
	for name, c := range map[string]struct {
		keys  []string
		first int
		read  []reading
	}{
		"an hour on, one bar less":     {house, 4, []reading{{time.Hour, 3}, {88 * time.Minute, 2}}},
		"half an hour on, as many":     {house, 4, []reading{{30 * time.Minute, 4}}},
		"fifty minutes on":             {house, 4, []reading{{50 * time.Minute, 3}}},
		"by halves":                    {house, 4, []reading{{40 * time.Minute, 3}, {20 * time.Minute, 2}}},
		"read again when it had ended": {house, 4, []reading{{2 * time.Hour, 3}, {2 * time.Hour, 2}, {2 * time.Hour, 1}}},
		"little on":                    {[]string{"cpap", "fridge", "modem-router"}, 4, []reading{{time.Hour, 4}, {3 * time.Hour, 3}}},
		"full for hours":               {house, 5, []reading{{time.Hour, 5}, {time.Hour, 5}, {time.Hour, 5}, {time.Hour, 4}}},
	} {
		t.Run(name, func(t *testing.T) {
			w := lungs(t, evening, c.first, c.keys...)
			for _, r := range c.read {
				w.pass(r.after)
				w.act(func() { w.app.ReadBars(r.bars) })
				litWins(t, w, r.bars)
			}
		})
	}
}

// What drains slower than listed is said calmly, with why that may be and where to
// correct it; so is what drains faster.
func TestPaceThatIsOffIsSaid(t *testing.T) {
	for _, c := range []struct {
		every  time.Duration
		bars   []int
		slower bool
	}{{2 * time.Hour, []int{5, 5, 5, 4, 4}, true}, {time.Hour, []int{3, 1}, false}} {
		w := lungs(t, time.Date(2026, 8, 20, 21, 40, 0, 0, time.UTC), 5, "cpap-humidifier", "fridge", "modem-router", "lamp-led")
		for _, n := range c.bars {
			w.pass(c.every)
			w.act(func() { w.app.ReadBars(n) })
		}
		says := strings.Join(w.app.Learned(), " ")
		want := wPaceFaster
		if c.slower {
			want = wPaceSlower
		}
		if !w.app.PaceIsOff() || !strings.Contains(says, want) || w.app.Clash() != "" {
			t.Errorf("%v: %q, pace %+v", c.bars, says, w.app.answer.read.Pace)
		}
		if html := w.html(); !strings.Contains(html, `id="correct"`) {
			t.Error("nothing leads to what things draw")
		}
	}
}

// Tonight shows what the engine tells of all readings, which reckon prints.
func TestTonightShowsWhatIsLeft(t *testing.T) {
	w := lungs(t, time.Date(2026, 8, 20, 21, 40, 0, 0, time.UTC), 5, "cpap-humidifier", "fridge")
	for range 3 {
		a := &w.app.answer
		l := gauge.LeftOf(w.app.book.Plan, odds.NewSampler(odds.Draws, odds.Seed))
		if a.run.CountOn != l.CountOn || a.run.Likely != l.Likely || a.run.AtBest != l.AtBest {
			t.Errorf("Tonight: %v, %v, %v h; left: %v, %v, %v", a.run.CountOn, a.run.Likely, a.run.AtBest, l.CountOn, l.Likely, l.AtBest)
		}
		if got, want := w.app.Big(), a.clock.Moment(a.until(l.CountOn), a.from()); got != want {
			t.Errorf("in big type: %q, want %q", got, want)
		}
		w.pass(90 * time.Minute)
		w.act(func() { w.app.ReadBars(4) })
	}
}
