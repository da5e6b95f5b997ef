// Package sun says what a panel will give: where the sun stands, how much of
// it a place gets in a month, how clear days and grey days follow one another,
// and what of that leaves the panel as watts.
//
// A caller needs five things. [TownsLike] or [GuessZone] finds a place;
// [ClimateAt] gives its climate; [NewYard] puts an [Array] there; the yard's
// [Yard.Range] is a poor, usual and fine day's Wh, and its [Yard.Run] is a
// run of made-up days, hour by hour, from a seed.
//
// The package knows no clock: an instant is Unix seconds, or a [Date] with a
// local hour and the offset of the local clock from UTC. Angles are degrees,
// azimuth clockwise from north, latitude north and longitude east positive.
// Hours of the day are the local clock's, 0 to 24. Irradiance is W/m²,
// insolation kWh/m² a day, power W at the panel's leads after the losses named
// in [Losses]; what the input of a battery station clips is for the caller.
//
// # What is wary and what is not
//
// Means, [Yard.Day], [Yard.ClearDay] and [Range].Usual are best estimates.
// [Range].Poor is cut by the climate's own error, and a low percentile of many
// [Yard.Run] holds it too, as every run draws it anew. [Climate].RecordCold goes
// far below. Left out, all on the wary side: light from snow, the sky's brighter
// rim (south walls come 3 % low for it), thin air's stronger sky in [Yard.Day].
// Left out on the other side: snow on panels, hills and houses that are not in
// [Shade], and dust storms and smoke that last for weeks.
//
// # Sources
//
// Named in the code:
//
//   - Duffie & Beckman: Solar Engineering of Thermal Processes, 4th ed., 2013,
//     whose equation numbers are given;
//   - Meeus: Astronomical Algorithms, 2nd ed., 1998;
//   - others in full where they are used.
package sun
