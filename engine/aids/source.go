// Package aids holds the small sums of the trade that stand beside a plan:
// cable drop, oxygen cylinders, the food clock, insulin out of the cold, fuel,
// USB and vehicle sockets. Each answer comes with the source it rests on.
package aids

// Source says where a figure comes from, for the person who reads it.
type Source struct {
	Cite    string // standard, agency or paper; for practice without one, "common practice"
	Memory  bool   // recalled from the cited text, not read in it
	Caution string // what the figure must not be used for, or what must be done first
}
