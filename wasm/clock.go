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

func (c clock) Zone() string {
	return c.window.get("Intl").call("DateTimeFormat").call("resolvedOptions").get("timeZone").str()
}
