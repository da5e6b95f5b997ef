package sun

import (
	_ "embed"
	"encoding/csv"
	"strconv"
	"strings"
	"testing"
)

// NREL, Solar Radiation Data Manual for Flat-Plate and Concentrating
// Collectors, NREL/TP-463-5607 (1994): means of 1961–1990, kWh/m² a day.
var (
	//go:embed testdata/us_insolation_horizontal.csv
	usHorizontal string
	//go:embed testdata/us_insolation_south_wall.csv
	usSouthWall string
)

// Typical years of NREL TMY3 (NREL/TP-581-43156, 2008) and UNEP/GEF SWERA:
// every fourth station's months with the worst 1-, 3- and 7-day mean as a share
// of the month's, and all the days of six.
var (
	//go:embed testdata/typical_years_monthly.csv
	typicalMonths string
	//go:embed testdata/typical_years_daily.csv
	typicalDays string
)

// rows reads a CSV text without its heading.
func rows(t testing.TB, text string) [][]string {
	t.Helper()
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord = -1 // the heading may say many columns in one
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all[1:]
}

func numbers(t testing.TB, fields []string) []float64 {
	t.Helper()
	v := make([]float64, len(fields))
	for i, f := range fields {
		var err error
		if v[i], err = strconv.ParseFloat(f, 64); err != nil {
			t.Fatal(err)
		}
	}
	return v
}
