//go:build js && wasm

package main

import "time"

// clock is the device's clock.
type clock struct {
	window object
	ran    *ran
}

// Now is in the device's zone as it is at this moment: time.Local keeps the
// offset that the zone had when the program started, and a page may stay open
// across a change to summer time.
func (c clock) Now() time.Time {
	now := time.Now()
	west := c.window.get("Date").create().call("getTimezoneOffset").num() // minutes
	return now.In(time.FixedZone("", -west*60))
}

func (c clock) NowIn(zone string) time.Time {
	t, err := c.wall(zone, time.Now())
	if err != nil {
		return c.Now() // the browser does not know the zone
	}
	return t
}

func (c clock) Put(zone string, from, to time.Time) time.Duration {
	at, err := c.wall(zone, from)
	then, err2 := c.wall(zone, to)
	if err != nil || err2 != nil {
		return 0
	}
	return (then.Sub(at) - to.Sub(from)).Round(time.Minute)
}

// wall is what the zone's clocks show at a moment, as if it were UTC.
func (c clock) wall(zone string, at time.Time) (time.Time, error) {
	options := c.window.get("Object").create()
	if zone != "" {
		options.set("timeZone", zone)
	}
	date := c.window.get("Date").create(float64(at.UnixMilli()))
	// Swedish writes dates as "2026-01-14 17:00:05", in every browser.
	said, err := date.Call("toLocaleString", "sv-SE", options.Value)
	if err != nil {
		return time.Time{}, err
	}
	return time.Parse(time.DateTime, object{said}.str())
}

func (c clock) Zone() string { return c.format().get("timeZone").str() }

func (c clock) Hour24() bool {
	cycle := c.format().get("hourCycle").str()
	return cycle == "h23" || cycle == "h24"
}

func (c clock) Language() string { return c.window.get("navigator").get("language").str() }

func (c clock) Number() string {
	options := c.window.get("Object").create()
	options.set("numberingSystem", "latn")
	return c.window.get("Intl").call("NumberFormat", c.Language(), options.Value).call("format", 1234567.8).str()
}

// format says how the device writes an hour of the day.
func (c clock) format() object {
	hour := c.window.get("Object").create()
	hour.set("hour", "numeric")
	return c.window.get("Intl").call("DateTimeFormat", undefined.Value, hour.Value).call("resolvedOptions")
}

// newClock begins the page's own timer.
func newClock(window object) clock {
	c := clock{window, new(ran)}
	document := window.get("document")
	on(document, "visibilitychange", func(object) bool {
		c.turned(document.get("hidden").truthy())
		return true
	}, func(bool) {})
	return c
}

// ran is what the browser's timer may have missed: in many it stands still while
// the device sleeps.
type ran struct {
	hidden      bool
	wall, timer time.Duration // when the page was hidden
	slept       time.Duration
}

// wallAndTimer are the clock and the browser's own timer.
func (c clock) wallAndTimer() (wall, timer time.Duration) {
	ms, _ := c.window.get("Date").call("now").Float()
	ran, _ := c.window.get("performance").call("now").Float()
	return time.Duration(ms * 1e6), time.Duration(ran * 1e6)
}

// turned is told when the page is hidden or shown.
func (c clock) turned(hidden bool) {
	wall, timer := c.wallAndTimer()
	switch r := c.ran; {
	case hidden && !r.hidden:
		r.wall, r.timer = wall, timer
	case !hidden && r.hidden:
		r.slept += max(0, (wall-r.wall)-(timer-r.timer))
	}
	c.ran.hidden = hidden
}

func (c clock) Ran() time.Duration {
	_, timer := c.wallAndTimer()
	return timer + c.ran.slept
}
