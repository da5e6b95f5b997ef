package ical

import (
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"

	"candleclock/engine/plan"
)

// A general library reads back what is written.
func TestFile(t *testing.T) {
	at := plan.At(time.Date(2026, 1, 14, 23, 50, 0, 0, time.UTC))
	long := strings.Repeat("Grüße, 夜; \\ and more. ", 12) + "\nA second line."
	made := time.Date(2026, 1, 14, 20, 0, 0, 0, time.FixedZone("", -4*3600))
	file := string(File(made, []Event{{"a-1@candleclock", at, "Read the gauge, again", long}, {"a-2@candleclock", at.After(2), "Sun up", ""}}))
	for i, line := range strings.SplitAfter(file, "\r\n") {
		if strings.Contains(strings.TrimSuffix(line, "\r\n"), "\n") || len(line) > 77 {
			t.Errorf("line %d: %q", i, line)
		}
	}
	// The library reads what is not marked too; calendars may not (RFC 5545
	// 3.3.11).
	if marked := `Grüße\, 夜\; \\ and more. Grüße`; !strings.Contains(strings.ReplaceAll(file, "\r\n ", ""), "DESCRIPTION:"+marked) {
		t.Errorf("there is no %s in\n%s", marked, file)
	}
	c, err := ics.ParseCalendar(strings.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	events := c.Events()
	if len(events) != 2 {
		t.Fatalf("%d events", len(events))
	}
	e := events[0]
	for what, pair := range map[ics.ComponentProperty]string{
		ics.ComponentPropertyUniqueId:    "a-1@candleclock",
		ics.ComponentPropertyDtStart:     "20260114T235000",
		ics.ComponentPropertyDtEnd:       "20260115T000500",
		ics.ComponentPropertyDtstamp:     "20260115T000000Z",
		ics.ComponentPropertySummary:     "Read the gauge, again",
		ics.ComponentPropertyDescription: long,
	} {
		if got := e.GetProperty(what); got == nil || got.Value != pair {
			t.Errorf("%s: got %+v, want %q", what, got, pair)
		}
	}
	alarms := e.Alarms()
	if len(alarms) != 1 || alarms[0].GetProperty(ics.ComponentPropertyAction).Value != "DISPLAY" || alarms[0].GetProperty(ics.ComponentPropertyTrigger).Value != "PT0S" {
		t.Errorf("alarms: %+v", alarms)
	}
}
