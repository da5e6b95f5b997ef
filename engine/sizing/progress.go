package sizing

// progress tells how far some work is, and hears whether it is to stop.
type progress struct {
	done, all int
	tell      func(done, all int) bool
	stopped   bool
}

// steps begins work of so many parts.
func (p *progress) steps(all int, tell func(done, all int) bool) {
	p.all, p.tell = all, tell
	p.ask()
}

// next is called when a part is done.
func (p *progress) next() {
	p.done++
	p.ask()
}

func (p *progress) ask() {
	if p.tell != nil && !p.stopped {
		p.stopped = !p.tell(p.done, p.all)
	}
}
