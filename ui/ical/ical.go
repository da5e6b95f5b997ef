// Package ical writes a calendar file, RFC 5545, whose alarms a phone's own
// clock sounds while the page is closed.
package ical

import (
	"strings"
	"time"
	"unicode/utf8"

	"candleclock/engine/plan"
	"candleclock/engine/units"
)

// Event is a moment to be woken for.
type Event struct {
	UID     string // the same for the same event of another file, which then replaces it
	At      plan.Moment
	Summary string
	Says    string
}

// lasts is how long an event is shown in the calendar.
const lasts units.Hours = 0.25

// File is the calendar of the events, each with an alarm at its moment. made is
// when the file was made.
//
// The times are local ones without a zone ("floating", RFC 5545 3.3.5): a plan
// knows its place's clock and no zone, and the phone that lies beside the battery
// shows the same clock. Only the stamp is in UTC, as 3.8.7.2 asks.
func File(made time.Time, events []Event) []byte {
	var b strings.Builder
	line := func(name, value string) { b.WriteString(fold(name + ":" + value)) }
	line("BEGIN", "VCALENDAR")
	line("VERSION", "2.0")
	line("PRODID", "-//Candleclock//Candleclock//EN")
	line("CALSCALE", "GREGORIAN")
	for _, e := range events {
		line("BEGIN", "VEVENT")
		line("UID", escape(e.UID))
		line("DTSTAMP", made.UTC().Format("20060102T150405Z"))
		line("DTSTART", local(e.At))
		line("DTEND", local(e.At.After(lasts)))
		line("SUMMARY", escape(e.Summary))
		line("DESCRIPTION", escape(e.Says))
		line("TRANSP", "TRANSPARENT")
		line("BEGIN", "VALARM")
		line("ACTION", "DISPLAY")
		line("TRIGGER", "PT0S")
		line("DESCRIPTION", escape(e.Summary))
		line("END", "VALARM")
		line("END", "VEVENT")
	}
	line("END", "VCALENDAR")
	return []byte(b.String())
}

func local(m plan.Moment) string {
	return strings.NewReplacer("-", "", ":", "").Replace(m.String()) + "00"
}

// escape writes a TEXT (RFC 5545 3.3.11).
func escape(s string) string {
	return strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\r\n", `\n`, "\n", `\n`, "\r", "").Replace(s)
}

// fold breaks a line so that none is longer than 75 octets, never within a
// character (RFC 5545 3.1).
func fold(s string) string {
	var b strings.Builder
	room := 75
	for _, r := range s {
		n := utf8.RuneLen(r)
		if n > room {
			b.WriteString("\r\n ")
			room = 74
		}
		b.WriteRune(r)
		room -= n
	}
	b.WriteString("\r\n")
	return b.String()
}
