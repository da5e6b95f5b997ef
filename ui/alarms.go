package ui

import (
	"math"
	"slices"
	"strings"
	"time"

	"candleclock/engine/aids"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/sun"
	"candleclock/engine/units"
	"candleclock/ui/ical"
	"candleclock/ui/say"
)

// Moment is something to do at a time in an outage.
type Moment struct {
	at         plan.Moment
	When, What string
	key        string // the same for the same thing in a later file
}

// readAgain is after how long the gauge is to be read anew, at most: about the
// time in which one of ten steps of a percent gauge goes by in a night.
const readAgain units.Hours = 3

// warning is how long before the time to plan on the next step should be ready.
const warning units.Hours = 0.5

// Moments lists when to act next, the soonest first; none before an outage.
func (a *App) Moments() []Moment {
	if !a.UnderWay() || !a.Answered() || a.answer.Passed() {
		return nil
	}
	clock, from := a.prefs.clock(), a.answer.from()
	var out []Moment
	add := func(key string, at plan.Moment, what string) {
		if ahead := at.Since(from); ahead > 0 && ahead < outage.Horizon {
			out = append(out, Moment{at: at, When: clock.Moment(at, from), What: what, key: key})
		}
	}
	left := a.answer.left(a.answer.run.CountOn)
	if !beyond(a.answer.run.CountOn) {
		end := a.answer.until(a.answer.run.CountOn)
		add("plan-on", end.After(-min(warning, end.Since(from)/2)), wActReady+clock.Moment(end, from)+".")
		if !beyond(a.answer.run.Likely) {
			add("likely", a.answer.likelyEnd(), wActLikely)
		}
	}
	// Often enough to notice in time, and before a third of what is left is gone.
	again := from.After(max(min(readAgain, left/3), 0.25))
	add("read", again.After(-hoursOf(int(again.Minute())%5)), wActRead)
	if stopped, ok := a.coldStopped(); ok {
		add("fridge", stopped.After(aids.Fridge), wActFridge)
		add("freezer", stopped.After(aids.FreezerHalf), wActFreezer)
	}
	if p := a.placed(); p.Panels.Count > 0 && p.Place.Lat != nil && p.Place.Lon != nil && p.Place.Offset != nil {
		y, m, d := from.Date()
		for day := range 2 {
			midnight := plan.At(time.Date(y, m, d+day, 0, 0, 0, 0, time.UTC))
			y, m, d := midnight.Date()
			light := sun.DaylightOn(sun.Date{Year: y, Month: int(m), Day: d}, units.Degrees(*p.Place.Lat), units.Degrees(*p.Place.Lon), units.Hours(*p.Place.Offset))
			if light.Always || light.Never {
				break
			}
			if rise := midnight.After(light.Rise); rise.Since(from) > 0 {
				add("sun", rise, wActSun)
				break
			}
		}
	}
	slices.SortStableFunc(out, func(x, y Moment) int {
		return int(math.Copysign(1, float64(x.at.Since(y.at))))
	})
	return out
}

// began is when the outage began, as far as it is noted.
func (a *App) began() plan.Moment {
	if first, known := firstKnown(a.book.Plan.Outage.Log); known {
		return first.At
	}
	return a.book.Plan.Outage.Starts
}

// coldStopped is since when no fridge and no freezer has power: since the outage
// began, or the last of them was switched off. ok is false while the battery
// runs one. They are told by their names.
func (a *App) coldStopped() (since plan.Moment, ok bool) {
	cold := func(name string) bool {
		name = strings.ToLower(name)
		return strings.Contains(name, "fridge") || strings.Contains(name, "freezer") || strings.Contains(name, "refrigerator")
	}
	for _, l := range a.book.Plan.Loads {
		if !l.Off && cold(l.Name) {
			return since, false
		}
	}
	since = a.began()
	for _, s := range a.book.Plan.Outage.Log.Switches {
		if cold(s.Load) {
			since = s.At
		}
	}
	return since, true
}

// SaveAlarms hands the moments over as a calendar file.
func (a *App) SaveAlarms() {
	a.tick()
	a.answer.now = a.now
	moments := a.Moments()
	if len(moments) == 0 {
		return
	}
	events := make([]ical.Event, len(moments))
	for i, m := range moments {
		events[i] = ical.Event{UID: a.book.ID + "-" + m.key + "@candleclock", At: m.at, Summary: m.What, Says: wActCalendar}
	}
	a.ports.Device.SaveFile("tonight.ics", "text/calendar", ical.File(a.ports.Clock.Now(), events))
	a.tell(wActSaved+say.Number(float64(len(events)), 0)+wActSavedIs, nil)
}
