package ui

import (
	"math"
	"slices"
	"time"

	"candleclock/engine/aids"
	"candleclock/engine/card"
	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/start"
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
	clock, from := a.answer.clock, a.answer.from()
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
	for _, m := range a.answer.foodDeeds() {
		add(m.key, m.at, m.What)
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
func (a *Answer) began() plan.Moment {
	if first, known := firstKnown(a.plan.Outage.Log); known {
		return first.At
	}
	return a.plan.Outage.Starts
}

// foodDeeds lists from when on food can't be counted on in what keeps cold and
// has no power: what is off, or can't run or start on this supply. Most homes
// have a fridge, in the plan or not; a freezer counts where the plan has one.
func (a *Answer) foodDeeds() []Moment {
	fridges, fridge, fridgeOff := false, plan.Moment{}, false
	freezer, freezerOff := plan.Moment{}, false
	earlier := func(at *plan.Moment, off *bool, since plan.Moment) {
		if !*off || since.Since(*at) < 0 {
			*at, *off = since, true
		}
	}
	for i := range a.plan.Loads {
		food := card.FoodOf(a.plan.Loads[i : i+1])
		cools := food.Fridge > 0 || food.Medicine
		fridges = fridges || cools
		since, stopped := a.stopped(i)
		if stopped && cools {
			earlier(&fridge, &fridgeOff, since)
		}
		if stopped && food.FreezerHalf > 0 {
			earlier(&freezer, &freezerOff, since)
		}
	}
	if !fridges {
		earlier(&fridge, &fridgeOff, a.began())
	}
	var out []Moment
	if fridgeOff {
		out = append(out, Moment{at: fridge.After(aids.Fridge), What: wActFridge, key: "fridge"})
	}
	if freezerOff {
		out = append(out, Moment{at: freezer.After(aids.FreezerHalf), What: wActFreezer, key: "freezer"})
	}
	return out
}

// stopped is since when a load has no power in an outage: since it was switched
// off, or, where it was off from the start or this supply can't run or start it,
// since the outage began. ok is false while the battery runs it.
func (a *Answer) stopped(i int) (since plan.Moment, ok bool) {
	l := a.plan.Loads[i]
	never := slices.Contains(a.unmet, i) || slices.ContainsFunc(a.starts.Never, func(r start.Refusal) bool { return r.Load == i })
	if !l.Off && !never {
		return since, false
	}
	since = a.began()
	if !never {
		for _, s := range a.plan.Outage.Log.Switches {
			if plan.SameName(s.Load, l.Name) && !s.On {
				since = s.At
			}
		}
	}
	return since, true
}

// SaveAlarms hands the moments over as a calendar file.
func (a *App) SaveAlarms() {
	a.catchUp()
	moments := a.Moments()
	if len(moments) == 0 {
		return
	}
	events := make([]ical.Event, len(moments))
	for i, m := range moments {
		events[i] = ical.Event{UID: a.book.ID + "-" + m.key + "@candleclock", At: a.answer.clock.Wall(m.at), Summary: m.What, Says: wActCalendar}
	}
	a.ports.Device.SaveFile("tonight.ics", "text/calendar", ical.File(a.ports.Clock.Now(), events))
	a.tell(wActSaved+say.Number(float64(len(events)), 0)+wActSavedIs, nil)
}
