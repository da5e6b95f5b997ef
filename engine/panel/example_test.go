package panel_test

import (
	"fmt"

	"candleclock/engine/panel"
)

// How should two panels of 100 W be wired to an input of 12 to 48 V, where the
// record cold is -29 °C?
func ExampleLayouts() {
	perC := -0.29
	m := panel.FromLabel(panel.Label{Pmax: 100, Vmp: 18.2, Imp: 5.5, Voc: 21.8, Isc: 5.9, VocPct: &perC})
	in := panel.Input{MinV: 14, MaxV: 48, MaxA: 12, MaxW: 300}
	for _, l := range panel.Layouts(panel.Set{Module: m, Count: 2}, in, panel.Extremes{Low: -29, High: 35}) {
		fmt.Printf("%d × %d %v: %s\n", l.Series(), l.Parallel(), l.Verdict, l.Why)
	}
	// Output:
	// 1 × 2 fits: takes all 200 W
	// 1 × 1 fits: takes all 100 W
	// 2 × 1 damages: 50.4 V on the coldest morning is above the 48 V that the input withstands
}
