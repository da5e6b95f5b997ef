package ui

import "candleclock/ui/errand"

// The components: each shows a part of App's state and hands every touch back
// to it. Their templates are the .vugu files of the same names. Each type
// stands alone because the generator overlooks those in a group.

// Root is the component that is mounted; everything on the page is in it.
type Root struct{ App *App }

// Doors is the first page: the power is out, or plan ahead.
type Doors struct{ App *App }

// OutNow is the page of three questions.
type OutNow struct{ App *App }

// Tonight is the answer.
type Tonight struct{ App *App }

// Loads is the list of loads.
type Loads struct{ App *App }

// OneLoad is the form of one load.
type OneLoad struct{ App *App }

// AddLoad is the catalogue, to add from.
type AddLoad struct{ App *App }

// Supply is the form of the supply.
type Supply struct{ App *App }

// Sun is what the panels bring and how to wire them.
type Sun struct{ App *App }

// PanelsPage is the form of the panels and the input.
type PanelsPage struct{ App *App }

// OwnPage is what to own: the sizes, and supplies to choose from.
type OwnPage struct{ App *App }

// DrillPage is a drill, and what it tells.
type DrillPage struct{ App *App }

// Place is where the household is.
type Place struct{ App *App }

// CardPage is the card for the fridge door, and how it is to be printed.
type CardPage struct{ App *App }

// Leaf is the card itself, as it is printed.
type Leaf struct{ V *CardView }

// CardText is the card as plain text.
type CardText struct{ Parts []CardPart }

// Send is the plan made ready to be handed on.
type Send struct{ App *App }

// LookPage is a plan that came, before anything of it is kept.
type LookPage struct{ App *App }

// PlugPage answers whether one more thing may be plugged in.
type PlugPage struct{ App *App }

// More is the plans of this device and the links to the rest.
type More struct{ App *App }

// Plain is a page that is nothing but a form.
type Plain struct{ App *App }

// Safety is the cautions.
type Safety struct{ App *App }

// Sources is where the figures come from.
type Sources struct{ App *App }

// FormBox draws a form.
type FormBox struct {
	App *App
	F   *Form
}

// CandleBox draws the candle.
type CandleBox struct{ C *Candle }

// AheadPage is the whole outage, many times over.
type AheadPage struct{ App *App }

// CourseBox draws the course of one outage.
type CourseBox struct{ C *CourseView }

// Busy is how the worker's errand of a kind stands, with a button to stop it.
type Busy struct {
	App  *App
	Kind errand.Kind
}

// PaperSheet is what stands in for the planner where no program runs.
type PaperSheet struct{}
