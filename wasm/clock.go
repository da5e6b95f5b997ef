//go:build js && wasm

package main

import "time"

// clock is the device's clock.
type clock struct{ window object }

// Now is in the device's zone as it is at this moment: time.Local keeps the
// offset that the zone had when the program started, and a page may stay open
// across a change to summer time.
func (c clock) Now() time.Time {
	now := time.Now()
	west := c.window.get("Date").create().call("getTimezoneOffset").num() // minutes
	return now.In(time.FixedZone("", -west*60))
}

func (c clock) NowIn(zone string) time.Time {
	options := c.window.get("Object").create()
	options.set("timeZone", zone)
	// Swedish writes dates as "2026-01-14 17:00:05", in every browser.
	said := c.window.get("Date").create().call("toLocaleString", "sv-SE", options.Value).str()
	t, err := time.Parse(time.DateTime, said)
	if err != nil {
		return c.Now() // the browser does not know the zone
	}
	return t
}

func (c clock) Zone() string { return c.format().get("timeZone").str() }

func (c clock) Hour24() bool {
	cycle := c.format().get("hourCycle").str()
	return cycle == "h23" || cycle == "h24"
}

func (c clock) Language() string { return c.window.get("navigator").get("language").str() }

// format says how the device writes an hour of the day.
func (c clock) format() object {
	hour := c.window.get("Object").create()
	hour.set("hour", "numeric")
	return c.window.get("Intl").call("DateTimeFormat", undefined.Value, hour.Value).call("resolvedOptions")
}
