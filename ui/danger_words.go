package ui

// Words about what can kill: as strong as the danger, and short.
const (
	wDangerTrips    = "Don’t try it, not even for a moment: an overload switches everything off at once"
	wDangerToo      = ", the most needed too: "
	wDangerBack     = ". It may not come back by itself."
	wDangerHeats    = "Nothing that heats: it empties a battery in minutes, and cords, strips and adapters that are too thin for it catch fire. Warm the person, not the room: clothes, blankets, people close together."
	wDangerCord     = "Danger of fire: only straight into the supply’s own socket, never over a reel, a strip or an adapter. Stay beside it until it is off, and keep cloth and paper away from it."
	wDangerBurst    = ": if it is free of frost, its defrost heater takes up to "
	wDangerBurstAll = " for some 20 minutes now and then (from memory). With the rest on that makes "
	wDangerBurstDo  = ", and may switch everything off, at night too. Turn it off for the night, or leave it that much room."
	wDangerOxygen   = "Oxygen is in use here. Nothing that heats, glows or sparks within 5 m (15 ft) of it and of who breathes it: cloth and hair full of oxygen burn in a flash. (Agencies say 5 to 15 ft: the most of them.)"
)
