package ui

// viewOf puts the card into words.
func (a *App) viewOf() *CardView {
	return &CardView{Title: a.book.Plan.Name}
}
