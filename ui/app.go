// Package ui is the page: what it shows, and what happens when it is touched.
// It reaches the world only through Ports, so that it builds and is tested
// natively.
package ui

// App is the state of the page.
type App struct {
	ports Ports
}

// New returns the page in the state it has before anything is read from the
// device: what the build prerenders. Start must follow.
func New(p Ports) *App { return &App{ports: p} }

// Start reads what is kept on the device and listens to the ports. Call it
// once, from a place that may block.
func (a *App) Start() {}

// Heading is the h1 of the page in view.
func (a *App) Heading() string { return "Candleclock" }
