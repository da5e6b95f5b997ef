// Package plantest has the plans that the tests of several packages share. It
// is for test files only.
package plantest

import (
	_ "embed"
	"testing"

	"candleclock/engine/load"
	"candleclock/engine/plan"
)

// CottageFile is the plan file of an invented household with a bit of
// everything: five loads, a battery with its inverter, inputs, and two 100 W
// panels at 45°, in January.
//
//go:embed harbour_cottage.json
var CottageFile string

// Cottage is the plan of CottageFile.
func Cottage(t testing.TB) plan.Plan {
	t.Helper()
	p, err := plan.Decode([]byte(CottageFile))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Catalogued are the loads of the catalogue's entries of the keys given.
func Catalogued(t testing.TB, keys ...string) []load.Load {
	t.Helper()
	var all []load.Load
	for _, key := range keys {
		e, ok := load.Find(key)
		if !ok {
			t.Fatalf("no %s in the catalogue", key)
		}
		all = append(all, e.Load())
	}
	return all
}
