package aids

import (
	"cmp"
	"slices"
	"strconv"

	"candleclock/engine/doc"
	"candleclock/engine/units"
)

// CordSource is what cord ampacity rests on.
var CordSource = Source{
	Cite:    "NFPA 70 Tables 400.5(A)(1) and 400.5(A)(3), at 30 °C in open air",
	Memory:  true, // two conductors of 18, 17, 16, 14 and 12 AWG, and the factors, were read
	Caution: "Unroll a cord before use: wound on its reel it overheats at a part of this. The plug, socket and breaker may allow less.",
}

// cordTable is NFPA 70 Table 400.5(A)(1): A for two conductors that carry
// current (column B), and for three (column A).
var cordTable = []struct {
	awg        string
	two, three units.Amps
}{
	{"18", 10, 7}, {"17", 12, 0}, {"16", 13, 10}, {"15", 16, 0},
	{"14", 18, 15}, {"12", 25, 20}, {"10", 30, 25}, {"8", 40, 35},
}

// CordAmpacity is the current that each conductor of a flexible copper cord may
// carry. carrying is how many of them carry current, 2 to 20; the safety earth
// does not count, nor the neutral of a balanced three-phase cord.
func CordAmpacity(awg string, carrying int) (units.Amps, error) {
	if err := (doc.Range{Low: 2, High: 20, Unit: "conductors"}).Check("carrying", float64(carrying)); err != nil {
		return 0, err
	}
	for _, row := range cordTable {
		switch {
		case row.awg != awg:
		case carrying == 2:
			return row.two, nil
		case row.three > 0:
			return units.Amps(manyConductors(carrying)) * row.three, nil
		}
	}
	return 0, &doc.Error{Field: "awg", Value: strconv.QuoteToASCII(awg),
		Want: "one of 18, 16, 14, 12, 10, 8, and with two conductors also 17, 15"}
}

// MetricCordSource is what MetricCordAmpacity rests on.
var MetricCordSource = Source{
	Cite: "BS 7671 Table 4F3A to 1.5 mm², as the Royal Society for the Prevention of Accidents prints it; " +
		"from 2.5 mm² on a fifth below that standard’s figures, our own caution",
	Memory:  true, // to 1.5 mm² read, the rest recalled
	Caution: CordSource.Caution,
}

// metricCords is A for two conductors that carry current, or for three with the
// earth among them.
var metricCords = []struct {
	mm2  float64
	amps units.Amps
}{
	{0.5, 3}, {0.75, 6}, {1, 10}, {1.25, 13}, {1.5, 16}, {2.5, 20}, {4, 25}, {6, 32}, {10, 40},
}

// CordSectionRange is what the copper section of a cord may be.
var CordSectionRange = doc.Range{Low: 0.5, High: 10, Unit: "mm²"}

// MetricCordAmpacity is the current that each of the two conductors of a flexible
// copper cord that carry it may carry, by their section in CordSectionRange. A
// section between two of the table counts as the smaller one.
func MetricCordAmpacity(mm2 float64) (units.Amps, error) {
	if err := CordSectionRange.Check("cable_mm2", mm2); err != nil {
		return 0, err
	}
	i, exact := slices.BinarySearchFunc(metricCords, mm2, func(row struct {
		mm2  float64
		amps units.Amps
	}, v float64) int {
		return cmp.Compare(row.mm2, v)
	})
	if !exact {
		i-- // CordSectionRange starts at the first row
	}
	return metricCords[i].amps, nil
}

// Bears says how a cord bears a current.
type Bears int

// How it bears it.
const (
	BearsWell   Bears = iota
	BearsBarely       // above what Continuous takes of its ampacity: not for hours, not covered
	BearsNot          // it overheats, and may burn
)

// Bear judges a current through a cord of an ampacity.
func Bear(amps, ampacity units.Amps) Bears {
	switch {
	case !(amps <= ampacity):
		return BearsNot
	case amps > Continuous(ampacity):
		return BearsBarely
	}
	return BearsWell
}

// manyConductors is Table 400.5(A)(3), on the figure for three.
func manyConductors(n int) float64 {
	switch {
	case n <= 3:
		return 1
	case n <= 6:
		return 0.8
	case n <= 9:
		return 0.7
	}
	return 0.5
}

// BreakerSource is what Continuous rests on.
var BreakerSource = Source{Cite: "NFPA 70 210.20(A)", Memory: true}

// Continuous is what a breaker or fuse bears for three hours and more: 80 % of
// its rating.
func Continuous(rating units.Amps) units.Amps { return 0.8 * rating }
