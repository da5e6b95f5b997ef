package ui

// Whether the browser keeps what this page keeps until its owner removes it.

// askLasting asks the browser to, once, when the first plan is saved.
func (a *App) askLasting() {
	if a.prefs.Asked || a.awaited || a.trouble == wNotKept {
		return
	}
	a.AskLasting()
}

// AskLasting asks it. It may ask the person.
func (a *App) AskLasting() {
	a.prefs.Asked = true
	a.savePrefs()
	a.ports.Spawn(func() { a.ports.Device.Lasting(true, a.lasting) })
}

// lasting is told what it says.
func (a *App) lasting(lasts bool) {
	if a.lasts = wLastsNot; lasts {
		a.lasts = wLasts
	}
}

// Lasts says what the browser has answered; "" before it has.
func (a *App) Lasts() string { return a.lasts }

// MayLast reports whether there is reason to ask again.
func (a *App) MayLast() bool { return a.lasts == wLastsNot }

// Words of keeping.
const (
	wKeptHow   = "How plans are kept"
	wKeptTwice = "Each plan is kept twice on this device, in two places of the browser’s own, and nowhere else."
	wKeptOnce  = "Each plan is kept on this device, in the browser’s own storage, and nowhere else."
	wLasts     = "The browser has agreed to keep them until you remove them yourself."
	wLastsNot  = "The browser has not agreed to keep them for good: when the device runs out of space, or after weeks without a visit, it may clear them. Adding this page to the home screen makes that less likely."
	wLastsAsk  = "Ask the browser again"
	wHome      = "To add this page to the home screen: open the browser’s menu, or its Share button, and choose “Add to Home Screen” or “Install”. Then open it from there once while you are connected. On some phones what was kept in the browser does not move along: send yourself the plan as a link or a file."
	wKeptFile  = "Whatever the browser says, save each plan as a file as well, and print the card."
)

// KeptHow says in how many places plans are kept.
func (a *App) KeptHow() string {
	if a.doubled {
		return wKeptTwice
	}
	return wKeptOnce
}
