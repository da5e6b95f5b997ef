package ui

// Root is the component that is mounted; everything on the page is in it.
type Root struct {
	App *App
}
