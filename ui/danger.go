package ui

import (
	"strings"

	"candleclock/engine/load"
	"candleclock/engine/start"
	"candleclock/engine/units"
	"candleclock/ui/say"
)

// heats reports whether a thing on a mains socket is told to heat or to glow: its
// power factor is told as 1.
func heats(l load.Load) bool { return l.Outlet == load.AC && l.ToldResistive() }

// fireWatts is the power from which a thin cord, a strip or an adapter is in
// danger of burning: 1,000 W (common practice).
const fireWatts = 1000

// plugDanger says what plugging a thing in may do to people, whether the supply
// refuses it or carries it.
func plugDanger(l load.Load, on []load.Load, refused bool) []string {
	var out []string
	if refused {
		out = append(out, wDangerTrips+vitalToo(on)+wDangerBack)
	}
	switch {
	case refused && heats(l):
		out = append(out, wDangerHeats)
	case l.Outlet == load.AC && float64(l.Peak()) >= fireWatts:
		out = append(out, wDangerCord)
	}
	if heats(l) && breathesOxygen(on) {
		out = append(out, wDangerOxygen)
	}
	return out
}

// vitalToo names the first vital thing that would go off with the rest.
func vitalToo(on []load.Load) string {
	for _, l := range on {
		if l.Rank == load.Vital && !l.Off && l.Outlet == load.AC {
			return wDangerToo + named(lowerFirst(l.Name))
		}
	}
	return ""
}

// breathesOxygen reports whether oxygen flows in the household, by the names of
// its things.
func breathesOxygen(loads []load.Load) bool {
	for _, l := range loads {
		if n := strings.ToLower(l.Name); strings.Contains(n, "oxygen") || strings.Contains(n, "concentrator") {
			return true
		}
	}
	return false
}

// burstTrips names the things on that, for minutes now and then, draw more than
// the supply has left beside what else is on.
func burstTrips(loads []load.Load, q start.Sequence, limit units.Watts) []string {
	var out []string
	for _, step := range q.Steps {
		l := loads[step.Load]
		burst := load.Burst(l.Name)
		if all := q.Running - l.Peak() + burst; burst > l.Peak() && all > limit {
			out = append(out, named(l.Name)+wDangerBurst+say.Watts(float64(burst))+wDangerBurstAll+say.Watts(float64(all))+wSupplyCarries+say.Watts(float64(limit))+wDangerBurstDo)
		}
	}
	return out
}
