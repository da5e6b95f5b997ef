package plantest

import (
	"reflect"
	"testing"

	"candleclock/engine/plan"

	"pgregory.net/rapid"
)

// Any draws only what a plan file may hold.
func TestAnyIsWithinBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Any(t)
		got, err := plan.Decode(p.Encode())
		if err != nil {
			t.Fatalf("%v in\n%s", err, p.Encode())
		}
		if !reflect.DeepEqual(got, p) {
			t.Fatalf("got\n%s\nwant\n%s", got.Encode(), p.Encode())
		}
	})
}
