package ui

// The words that stand on the screen, page by page. What a screen says is
// written here once; package say puts the figures into words. Spaces at the
// ends are where a figure or a name goes.
const (
	wTitle   = "Candleclock"
	wOpening = "Opening what is kept on this device…"

	// Navigation.
	wTonight = "Tonight"
	wLoads   = "Loads"
	wSupply  = "Supply"
	wCard    = "Card"
	wMore    = "More"

	// The first page, and the one for an outage that is on.
	wDoors        = "How long will the battery last?"
	wDoorsText    = "For a household battery in a power cut. It works without the internet, and nothing you type leaves this device unless you send it."
	wDoorNow      = "The power is out now"
	wDoorNowText  = "Three questions, and the answer at once."
	wDoorPlan     = "Plan ahead"
	wDoorPlanText = "List what must run, describe the battery, see the hours."
	wDoorFile     = "Open a plan file"

	wOut        = "The power is out now"
	wOutOn      = "What must stay on?"
	wOutOnHint  = "Tap what will be plugged in. The watts are typical ones; correct them later."
	wOutOther   = "Something else? Its power"
	wOutOtherNm = "Other thing"
	wOutSize    = "How big is the battery?"
	wOutExact   = "Its label, where there is one: capacity"
	wOutGauge   = "What does its gauge show?"
	wOutDone    = "Go to the full answer"
	wNoIdea     = "I don’t know"

	// What is missing.
	wMissingBoth   = "Add what must run and the battery it hangs on, and the hours appear here."
	wMissingLoads  = "Add what must run, and the hours appear here."
	wMissingSupply = "Describe the battery, and the hours appear here."
	wAllOff        = "Everything is switched off. The battery is only losing its own small charge."

	// The answer.
	wPlanOnUntil    = "Plan on power until"
	wIfItFails      = "If the power fails at "
	wPlanOn         = ", plan on"
	wPlanOnFor      = "Plan on power for"
	wMoreThan       = "more than "
	wPlanOnSentence = "Plan on "
	wUntilAbout     = "until about "
	wFromNow        = " from now"
	wItCouldLast    = "It could last "
	wTo             = " to "
	wAnd            = " and "
	wAbout          = " About "
	wMostLikely     = " is most likely."
	wItMayStill     = "It may still last until about "
	wPassedLead     = "The time to plan on has passed:"
	wPassed         = "Power may stop at any moment. Read the gauge, and have the next step ready."
	wReadAgain      = "By these figures the battery is empty. If it still runs, read the gauge again."
	wNineInTen      = "Of 10 outages like this one, it lasts at least this long in 9."
	wNow            = "now, "
	wPlanOnIt       = "plan on it"
	wLikelyEnd      = "likely end"
	wCandleAlt      = "The candle: the height of the wax is the energy left. On the left what the gauge shows, on the right the clock. The hatched part may or may not be there. The same stands in the table below."
	wTable          = "The candle as a table"
	wTableGauge     = "The gauge shows"
	wTableClock     = "At about"
	wOnNow          = "On: "
	wNothing        = "nothing"
	wAtBattery      = " from the battery, on average"
	wOn             = "On"
	wOff            = "Off"
	wSwitchOff      = "Switch it off"
	wSwitchOn       = "Switch it on"
	wOffBuys        = "turning it off adds about "
	wTake           = "Take note"

	wEnergy         = "Where the energy goes"
	wEnergyText     = "Of one full charge, with everything as the plan says:"
	wOnTheLabel     = "On the label"
	wLostAge        = "lost to age and use"
	wLostCut        = "kept back by the supply"
	wLostCold       = "not given in the cold"
	wLostRate       = "lost by drawing it fast"
	wLostIdle       = "eaten by the inverter itself"
	wLostConversion = "lost in conversion"
	wLostSelf       = "lost by standing"
	wNotUsed        = "not used within 90 days"
	wReaches        = "Reaches your things"
	wBoxSays        = "Capacity divided by watts would say "
	wBoxBut         = ". That forgets the losses above and what isn’t known for sure: how full, how old, how hungry."

	wStartOrder      = "Switch on in this order"
	wStartText       = "The hardest start first, while little else runs."
	wDrawsUpTo       = ": everything together draws up to "
	wTooMuch         = " is more than this supply can run: "
	wSupplyCarries   = "; it carries "
	wSupplyStarts    = "; the supply’s limit is "
	wLeftOut         = ". It is left out of the answer."
	wHardStart       = " can’t start on this supply: it draws up to "
	wTooMuchTogether = " can’t run together with what is needed more: the supply carries "
	wAllAtOnce       = "All at once they would draw "
	wNotTogether     = ". Not all at the same time, then."
	wStartsPeak      = "Even in the best order, starting draws up to "
	wStartFewer      = ". Leave something off while the motors start."
	wRestartTrips    = " starts again by itself. With everything running that may draw "
	wRestartDo       = ". Turn something off to leave it room, or the supply may trip."
	wLimitUnknown    = "The supply’s limit in watts isn’t known. Together your things may draw up to "
	wLimitAsk        = " for a moment: check its label, and enter it under Supply."

	// Reading the gauge.
	wRead        = "Read the gauge"
	wReadNow     = "What does the gauge show now?"
	wReadPercent = "The gauge shows"
	wReadSave    = "Count from this reading"
	wPowerOut    = "The power is out now"
	wPowerBack   = "The power is back"
	wReadDone    = "Read at "
	wBackDone    = "Welcome back to the grid. The battery counts as full again; recharge it."

	// Loads.
	wLoadsText     = "What will hang on the battery, most needed first."
	wNoLoads       = "Nothing here yet."
	wAddFrom       = "From the list"
	wAddOwn        = "Your own"
	wOffMark       = "off"
	wSearch        = "Search: what is it?"
	wSearchNone    = "Nothing in the list is called that. Add your own, with the watts from its label."
	wSearchMore    = "More are in the list. Type another letter or word."
	wAdd           = "Add"
	wAdded         = "Added "
	wDone          = "Done"
	wRemove        = "Remove"
	wRemoved       = "Removed "
	wUp            = "Move up"
	wDown          = "Move down"
	wUndo          = "Undo"
	wUndone        = "Undone."
	wDismiss       = "Hide"
	wBackTo        = "Back to "
	wNewLoad       = "New thing"
	wADay          = " a day"
	wTogether      = "together "
	wQuarter       = "running a quarter of the time"
	wThird         = "running about a third of the time"
	wHalf          = "running half the time"
	wTwoThirds     = "running two thirds of the time"
	wThreeQuarters = "running three quarters of the time"
	wRunning       = "running "
	wOfTheTime     = " of the time"

	// Forms.
	wAddVolts    = "also type the volts, like 100 Ah 12 V."
	wReadAs      = "Read as "
	wEnterNumber = "enter a number, like "
	wEnterName   = "enter a name."
	wTaken       = " is in the list already. Give this one another name, like “Lamp, hall”."
	wWeCountOn   = "Left empty: we count on "

	// The sun.
	wSun            = "Sun"
	wSunNowhere     = "The place isn’t known yet. Choose a town near you."
	wSunGuessed     = " (a guess from this device’s clock; it may be far off)."
	wSunNoPanels    = "Enter the panels, and what they bring appears here."
	wSunNoInput     = "Enter what the supply’s panel input allows, and how to wire the panels appears here."
	wSunPlace       = "Where"
	wSunPlaceChange = "Choose the place"
	wSunPanels      = "Panels and input"
	wSunDangerHead  = "Never wire them like this"
	wSunDamages     = " would damage the input: "
	wSunWiring      = "How to wire them"
	wSunNoneSafe    = "No way of wiring these panels is safe for this input. Don’t connect them."
	wSunNoneStarts  = "No way of wiring these panels starts this input: "
	wSunFits        = "works too"
	wSunWontStart   = "won’t start the input"
	wSunClipped     = "works, but the input takes only part"
	wSunJoints      = "Wire by wire"
	wSunFuses       = "With three or more chains side by side each chain needs a fuse of its own."
	wSunCold        = "Reckoned for a morning of "
	wSunColdWhy     = ", colder than the place is likely to have seen: cold raises a panel’s voltage."
	wSunLive        = "Panels in daylight are live. Cover them while you connect them, and connect the supply last."
	wSunDiagram     = "The wiring as a drawing; the same stands in words below it."
	wSunOthers      = "Other ways"
	wSunDay         = "What a day brings"
	wSunPoor        = "Count on "
	wSunUsual       = " on a poor day; 9 days in 10 bring more. A usual day in "
	wSunUsualIs     = " brings "
	wSunFine        = ", a fine one "
	wSunEnough      = "Is it enough?"
	wSunEnoughPoor  = "Yes, even on a poor day. The plan needs "
	wSunEnoughUsual = "On a usual day yes, on a poor day no. The plan needs "
	wSunADay        = " a day."
	wSunNotEnough   = "No. The plan needs "
	wSunBrings      = " a day, and a usual day puts only "
	wSunInMonth     = " into the battery in "
	wSunWouldUsual  = "On usual days it would take about "
	wSunWouldPoor   = "On poor days too, about "
	wSunOfPanels    = " of panels."
	wSunSteady      = "These panels can carry a steady "
	wSunSteadyIs    = " on usual days, day and night."
	wSunNever       = "With the panels, plan on "
	wSunNeverIs     = " and more: in 9 of 10 such stretches of weather the battery never runs empty."
	wSunPlanOn      = "With the panels, plan on "
	wSunLikelyOn    = " More likely than not it goes on for "
	wFill           = "From empty to full"
	wFillText       = "With nothing on meanwhile. The last part goes slowly."
	wFillNever      = "never"
	wFillPoor       = "Sun, poor days, from sunrise"
	wFillUsual      = "Sun, usual days, from sunrise"
	wFillLitres     = ", about "
	wSunYear        = "The year, month by month"
	wSunYearAlt     = "Bars: a usual day in each month. The line across each: a poor day. The same stands in the table below."
	wSunMonth       = "Month"
	wSunUsualDay    = "Usual day"
	wSunPoorDay     = "Poor day"
	wSunToday       = "The day, hour by hour"
	wSunCurveAlt    = "Upper line: a cloudless day. Lower line: a usual day. The sentence above says the same."
	wSunPeak        = "Most comes between "
	wSunPeakAnd     = " and "
	wSunPeakClear   = " under a clear sky, "
	wSunPeakUsual   = " on a usual day."
	wSunUp          = "The sun is up from "
	wSunHighest     = "; it stands highest at "
	wSunOwnTime     = ", by a clock that follows the sun to the hour; the one on the wall there may be an hour or two ahead"
	wSunPolar       = "The sun does not rise that day."
	wSunPolarDay    = "The sun does not set that day."
	wSunLeanHead    = "How to lean and turn the panel"
	wSunFlat        = "Lay it flat."
	wSunLean        = "Lean it "
	wSunLeanFrom    = "° from level: for each metre of panel, the upper edge "
	wSunLeanRise    = " cm above the lower one, about "
	wSunFace        = "Face it "
	wSunFaceHow     = ". Without a compass: when the sun stands highest, turn it so that the shadow of a stick held upright at the panel’s foot falls straight behind the panel."
	wSunCheckHead   = "Does the display show what it should?"
	wSunCheckShown  = "The input shows now"
	wSunCheckSky    = "The sky now"
	wSunCheckExpect = "At this hour, under this sky, expect "
	wSunCheckRight  = "That is right."
	wSunCheckHigh   = "That is more than expected. Check the panels’ watts and the place above."
	wSunCheckLow    = "That is too little. The usual causes:"
	wSunCheckDark   = "The sun is too low now to tell. Try again nearer the middle of the day."
	wPlaceSearch    = "Town near you"
	wPlaceNone      = "No town of that name is in the list. Try a bigger one nearby, or enter coordinates."
	wPlaceHere      = "Use this device’s position"
	wPlaceHereHint  = "Asks the device once. The position stays on the device."
	wPlaceFailed    = "The device did not give its position. Choose a town instead."
	wPlaceSet       = "Place: "
	wPanelsWant     = "Not complete yet. Of the panels’ label still needed: "
	wInputWants     = "Not complete yet. Of the input still needed: "

	// The card.
	wCardText     = "For the fridge door: what to do, without this device. This is how it comes out on paper. Print it anew after each change of the plan."
	wPrint        = "Print the card"
	wNoPrint      = "This browser did not print. Open the page in the device’s own browser, or hand the plan on as a file, under More, and print it elsewhere. The card as plain text can be copied by hand."
	wCardPaper    = "Paper"
	wCardLetters  = "Letters"
	wCardUsual    = "Usual letters"
	wCardLarge    = "Large letters"
	wCardFace     = "How it is shown"
	wCardAsCard   = "As a card"
	wCardAsText   = "As plain text"
	wCardNotLarge = "So many things leave no room for large letters on this paper. These are the largest that keep it on one page; larger paper leaves room for larger ones."
	wCardTooLong  = "So many things do not fit on one page of this paper, not even with the smallest letters. Take larger paper."
	wCardNoCode   = "The plan is too long for a code on this paper. Hand it on as a file, or take larger paper."
	wNever        = "Never plug in"
	wLadder       = "How long is left?"
	wIfStops      = "If the vital thing may stop"
	wCardSmall    = "Keep in mind"
	wCodeAlt      = "The plan as a code, for a phone’s camera"
	wCodeSays     = "The plan, for a phone’s camera"

	// Storage, files, updates.
	wSaved        = "Saved on this device"
	wSaving       = "Saving…"
	wNotKept      = "This browser keeps nothing for this page (a private window, perhaps). It works, but what you type is gone when you close it. Save the plan as a file."
	wNoRoom       = "Not saved: this device has no room left. Free some space, or save the plan as a file. Everything is still here while the page is open."
	wLost         = "Not saved: the browser’s storage does not answer. Everything is still here while the page is open; save the plan as a file."
	wElsewhere    = "was changed on another page of this browser. What stands here was kept beside it as "
	wRefreshed    = " was changed on another page; this is the newest."
	wGone         = " was removed on another page."
	wDamaged      = " was damaged on this device. The version before it was opened; the damaged one is set aside, untouched."
	wDamagedAll   = " was damaged on this device and can’t be read. It is set aside, untouched."
	wNewer        = " was made by a newer version of this page. It is kept untouched; take the new version to open it."
	wOffline      = "Works offline"
	wOfflineSoon  = "Saving for offline…"
	wOfflineNever = "Needs the internet"
	wUpdate       = "A new version is ready."
	wUpdateTake   = "Take it"
	wFileBad      = "The file was not opened, and nothing was changed. "
	wFileNewer    = "It was written by a newer version of this page. Update this page first, then open it again."
	wFileOpened   = "Opened "
	wFileSaved    = "Handed to the browser as "
	wTooMany      = "At most 200 fit. Remove one first."
)

// Names of things in the plan file's words.
var (
	rankNames    = map[string]string{"vital": "Vital: someone’s breath, medicine or safety", "useful": "Useful: missed within hours", "comfort": "Comfort: first to go"}
	rankShort    = map[string]string{"vital": "Vital", "useful": "Useful", "comfort": "Comfort"}
	outletNames  = map[string]string{"ac": "Mains socket (AC)", "12v": "12 V socket", "usb": "USB"}
	basisNames   = map[string]string{"measured": "Measured with a plug-in meter", "label": "From its label: it draws at most that", "typical": "A typical figure"}
	gaugeNames   = map[string]string{"percent": "Percent", "bars": "Bars", "none": "It has none"}
	chemistryHow = map[string]string{"lfp": "most new power stations", "nmc": "light power stations, older ones", "agm": "sealed lead battery", "flooded": "lead battery topped up with water"}
)

// sunCauses are why panels give too little, likeliest first (common practice).
var sunCauses = []string{
	"A shadow on part of a panel: a pole, a branch, a corner of the roof. A small one can take most of the power.",
	"The panel does not face the sun. Turn it until its own shadow is widest.",
	"The battery is nearly full: it then takes less.",
	"A plug is not pushed home, or plus and minus are crossed.",
	"Dust, snow or frost on the glass.",
	"A cloud too thin to notice. Wait five minutes and look again.",
}

// cautions are the usual ones; they stand on the page Safety, on the paper
// sheet and on the card.
var cautions = []string{
	"This is a planning aid, not a medical device. Powered breathing or feeding equipment needs a second fallback, agreed with its supplier or clinician.",
	"Run a generator outside only, at least 6 m (20 ft) from any opening, never indoors. Its exhaust kills without a smell.",
	"Never feed power back into a house circuit. Fixed wiring is for a licensed electrician under the local code.",
	"Keep batteries dry and unpierced. Do not charge lithium batteries below 0 °C (32 °F).",
	"Solar panels in daylight are live. A string with too high a voltage can injure you and destroy the input.",
	"Local codes and licensed practice come first.",
}

// paper is the sheet for when nothing runs: how to work it out by hand.
var paper = struct {
	title, intro  string
	steps, fields []string
}{
	title: "On paper: how long will the battery last?",
	intro: "Do this when the planner can’t run. It is on the safe side for a battery that is not very old, in a room that is not very cold.",
	steps: []string{
		"Write down each thing that must stay on and its watts. For what switches itself on and off, like a fridge, take a third of its watts.",
		"Add them up. Add 15 more for the inverter if anything is on a mains socket. This is the draw.",
		"Take the watt-hours (Wh) on the battery’s label. For amp-hours, multiply by the volts. Of a lead battery take half.",
		"Take 7 tenths of that, and of that the share that the gauge shows. This is what you can count on.",
		"Divide it by the draw. That is how many hours to plan on. Write the clock time next to it.",
	},
	fields: []string{"Things and watts", "The draw, W", "To count on, Wh", "Hours, and until when", "Who to call if the vital thing may stop"},
}
