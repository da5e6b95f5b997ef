package ui

// The words of what to own, of the supplies to choose from, and of the drill.
const (
	wOwn        = "What to own"
	wCandidate  = "A supply to choose from"
	wDrill      = "Drill"
	wOwnTo      = "What to own: how big, and which one"
	wDrillTo    = "Drill: what it really holds"
	wOwnFor     = ", through "
	wOwnSure    = ", and sure of it "
	wOwnChange  = "Change the hours"
	wOwnCarries = "What is carried?"
	wOwnVital   = "Only what is vital"
	wOwnUseful  = "What is vital or useful"
	wOwnAll     = "All that is switched on"
	wOwnHowSure = "How sure?"
	wOwnSize    = "How big"
	wOwnFor2    = "For "
	wOwnNo      = " without panels"
	wOwnOr      = ", or "
	wOwnWith    = " with "
	wOwnPanels  = " of panels"
	wOwnRough   = "A first, rough figure. "
	wOwnYours   = "The "
	wOwnYourIs  = " you have would be enough with "
	wOwnYourNot = " you have are too little with any panels."
	wOwnYourYes = " you have are enough as they are."
	wOwnCount   = "Counted: a battery of your battery’s kind, age and room in every size, panels that lie as yours, and an input that takes all they bring. What is not carried stays off. Enough is what never runs empty."
	wOwnCountNo = "Counted: a new lithium iron phosphate battery in a room at 20 °C, panels leaned to the midday sun, and an input that takes all they bring. What is not carried stays off. Enough is what never runs empty."
	wOwnCarry   = "The inverter must carry "
	wOwnIdle    = ", and draw by itself no more than "
	wOwnChart   = "On or above the line is enough. Up: the battery. To the right: the panels."
	wOwnMark    = "The cross is what you have."
	wOwnTable   = "The smallest battery for each size of panels"
	wOwnColP    = "Panels"
	wOwnColB    = "Battery"
	wOwnNone    = "none"
	wOwnSale    = "Supplies to choose from"
	wOwnSaleHow = "Type in what stands on the labels. Each is held against your own loads, your panels and the hours above; the best comes first. They travel in the plan’s file, not in its link."
	wOwnAdd     = "Add a supply"
	wOwnFull    = "There is room for eight: remove one first."
	wOwnEdit    = "Change it, or make it mine"
	wOwnEditOwn = "Change your supply"
	wOwnMine    = " (yours)"
	wOwnEmpty   = "Its capacity is not known yet."

	wJudgeYes        = "Enough: it gets through "
	wJudgeYesIf      = "Enough only if no start trips it: it gets through "
	wJudgeNot        = "Not enough: it gets through "
	wJudgeNever      = "It can’t carry or start: "
	wJudgeStarts     = "They can’t all be on at once and be started: mind the order and what restarts by itself."
	wJudgeTried      = "in "
	wJudgeTriedOf    = " of the "
	wJudgeTriedIs    = " outages tried so far"
	wJudgePlan       = "Plan on "
	wJudgeRest       = "For the rest plan on "
	wJudgeAsIf       = "Counting what can’t start as if it ran, plan on "
	wJudgeLikely     = "; likely is "
	wJudgeSun        = "With the sun"
	wJudgeFed        = "With what charges it"
	wJudgeFedOn      = " plan on "
	wJudgeFedAll     = " it doesn’t run empty within "
	wJudgeFedNine    = ", 9 times in 10."
	wJudgeTakes      = "Your panels: its input takes "
	wJudgeTakesEach  = "Your panels, shared out: the input of each takes "
	wJudgeTakesOf    = " in full sun, wired "
	wJudgeTakesFull  = " in full sun"
	wJudgeRow        = " in a row"
	wJudgeRows       = " of those rows side by side"
	wJudgeBeside     = " side by side"
	wDiffNow         = " now, then "
	wJudgeDamage     = "Your panels can’t be wired to its input without damage."
	wJudgeWeak       = "Your panels don’t wake its input: their voltage is too low in the heat."
	wJudgeCounts     = "Panels like yours that make sense at its input: "
	wJudgeUnit       = "Unit "
	wJudgeUnits      = "Side by side, never wired together: each has some of the loads and an equal share of the panels, of a generator’s fuel and of the car’s socket, and the hours end when the first is empty."
	wJudgeBrings     = "Of a full charge, everything as the plan says, your things get "
	wJudgeBringsOf   = "Of a full charge, everything as the plan says, the things carried get "
	wJudgeBringsNine = "; count on "
	wJudgeKWh        = "Price of a kilowatt-hour, in your money: "
	wJudgeOnce       = " counting one full charge"
	wJudgeLife       = " over all promised cycles"
	wJudgeHour       = "Price of an hour with what is vital, in your money: "
	wJudgeKg         = "Wh per kilogram that reach your loads: "

	wCandName   = "What to call it"
	wCandNew    = "Supply "
	wCandPrice  = "Price of one, in your money"
	wCandWeight = "Weight of one"
	wCandUnits  = "How many side by side"
	wCandLife   = "Full cycles its maker promises"
	wSupplySun  = "Solar panels are entered on the page Sun."
	wCandInput  = "Its panel input"
	wCandMake   = "Make it my supply"
	wCandWould  = "In your plan this would change:"
	wCandTwo    = "Your plan has one supply: set “" + wCandUnits + "” to 1 to make it yours."
	wCandSame   = "It says the same as your supply."
	wCandDone   = "Your supply is now: "
	wCandBefore = "The supply before"
	wCandBack   = "See how it compares"
	wSeeAnswer  = "See the answer"

	wDrillWhy     = "Run the supply on purpose, before you need it. It tells what the battery really holds, and that nothing was forgotten."
	wDrillMissing = "Describe the battery first."
	wDrillTest    = "The test"
	wDrillOn      = "What was switched on all the time?"
	wDrillMeter   = "Things whose draw a plug-in meter showed"
	wDrillPlan    = "All loads that are on in the plan"
	wDrillWatts   = "Mean draw by the meter"
	wDrillLong    = "How long it ran"
	wDrillFrom    = "It began"
	wDrillFull    = "Charged until it took no more"
	wDrillShown   = "With the gauge at"
	wDrillTo2     = "It ended"
	wDrillOff     = "When it switched itself off"
	wDrillBars    = "Bars that were lit"
	wDrillSecond  = "There was a second test, with nothing on"
	wDrillSecondH = "The inverter stays on, overnight or longer. It tells what the inverter draws by itself."
	wDrillGauge   = "The gauge showed"
	wDrillSays    = "What it tells"
	wDrillHolds   = "It holds between "
	wDrillOf      = " of the "
	wDrillOnLabel = " on its label, most likely "
	wDrillCounts  = "Your plan is based on "
	wDrillAgrees  = ", which agrees."
	wDrillLess    = ": it holds less."
	wDrillMore    = ": it holds more."
	wDrillDead    = "It may hold less than a tenth of its label, which is the least that a plan allows: don’t rely on it."
	wDrillIdle    = "By itself its inverter draws between "
	wDrillWary    = "The low end of what it may hold is taken."
	wDrillCorrect = "Correct the plan"
	wDrillDone    = "The plan is now based on what the drill told. "
	wDrillSource  = "Source: what left the battery, by the balance of all else, over the share by which the gauge fell; after the capacity test of IEEE Std 450, from memory."
)

// drillSteps is what to do, in order.
var drillSteps = []string{
	"Tell everyone that it is a drill, and keep whoever depends on a machine on the mains.",
	"Charge the supply until it takes no more, then unplug what charges it. Cover the panels or unplug them.",
	"Switch on something steady whose draw you know or can measure, as a fan or a few lamps. What goes on and off by itself, as a fridge does, takes hours to even out. Note the time.",
	"Let it run until at least half of the gauge is gone. The longer, the surer.",
	"Note the time and what the gauge shows, and charge it again.",
}

// drillRefusals say why a drill tells nothing.
var drillRefusals = map[string]string{
	"no_fall":   "The gauge did not fall, so it tells nothing. Let it run longer.",
	"too_short": "That is too short a test: the gauge may be off by as much as it fell. Let it run until at least half of it is gone, or until it switches itself off.",
	"too_much":  "No battery of that label can have given so much for so small a fall. Check the draw, the hours, the gauge and the capacity on the label, and that nothing charged it meanwhile.",
	"too_alike": "The second test had too much on to tell what the inverter draws by itself: have nothing on.",
	"too_vague": "The second test is too short to tell what the inverter draws by itself: leave it on until the gauge has fallen well.",
}

// whyOwn says what stands in the way of a size.
var whyOwn = map[string]string{
	"nothing_on": "Nothing of that is switched on, so any battery does. Add what must run.",
	"too_weak":   "The inverter you have can’t carry or start this, so a stronger one is counted on: ",
	"flat":       "Your plan begins with an empty battery, so no size is enough.",
	"no_place":   "Without a place there is no sun to count on: set it on the page Sun.",
	"no_sun":     "The sun brings nothing in that month.",
	"too_cold":   "It is too cold for charging where the battery stands: panels carry only what runs while the sun shines. Keep the battery above 0 °C.",
	"none":       "No battery is enough for that.",
}
