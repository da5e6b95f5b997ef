package sun_test

import (
	"fmt"

	"candleclock/engine/sun"
)

// What does a 180 W panel, propped toward the south, give in Halifax in
// January, and how does a made-up week go?
func Example() {
	town := sun.TownsLike("halifax", 1)[0]
	site := sun.Site{Lat: town.Lat, Lon: town.Lon, Offset: -4, Climate: town.Climate()}
	lean, err := sun.BestLean(site, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	yard, err := sun.NewYard(site, sun.Array{
		Pmax: 180, Gamma: -0.0038, NOCT: 45, Mounting: lean, Losses: sun.UsualLosses(),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	day := yard.Range(1)
	fmt.Printf("%s, tilt %.0f°, azimuth %.0f°\n", town.Name(), lean.Tilt, lean.Azimuth)
	fmt.Printf("poor %.0f, usual %.0f, fine %.0f Wh\n", day.Poor, day.Usual, day.Fine)
	run := yard.Run(1, sun.Date{Year: 2026, Month: 1, Day: 14}, 7)
	for i := range 7 {
		fmt.Printf("%.0f ", sun.Hours24(run[24*i:]).Sum())
	}
	// Output:
	// Halifax, Canada, tilt 65°, azimuth 180°
	// poor 55, usual 382, fine 877 Wh
	// 32 32 366 105 592 437 249
}
