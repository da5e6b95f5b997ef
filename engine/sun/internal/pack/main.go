// Command pack writes climate.bin, the climate that package sun embeds, from a
// folder that holds climate_grid_2p5deg.csv, stations.csv and zone1970.tab.
// The same folder always gives the same bytes.
//
//	go run ./internal/pack FOLDER climate.bin
//
// Origin of the three files:
//
//   - insolation: NASA Langley, Surface meteorology and Solar Energy release
//     6.0, July 1983 to June 2005, averaged to 2.5°; temperature: NCEP-DOE
//     Reanalysis 2, 1991–2020, NOAA PSL;
//   - towns: public climate normals as compiled in the MIT-licensed weather
//     table of the Institute for Future Intelligence;
//   - zones: tzdata, public domain.
//
// Layout of climate.bin, which climate.go reads back. Numbers of two bytes are
// little-endian. A column holds one quantity for all rows, and a month follows
// a month, so that like stands beside like and the page's own compression,
// which is the only one, bites.
//
//	grid   972 B   one bit a cell, row by row from 56.25°S, 178.75°W eastward
//	       12 × n  clearness index × 160, as the difference from a prediction
//	       12 × n  (temperature °C + 60) ÷ 2, likewise
//	towns  2 B     count
//	       2 × 3   latitude, longitude in 0.01°; elevation in m
//	       1       country, an index
//	       12 × 3  mean daily minimum in 0.5 °C + 160; mean daily maximum less
//	               minimum in 0.5 °C; sunshine as a share of the day × 100;
//	               each month as the difference from the one before
//	zones  2 B     count
//	       2 × 2   latitude, longitude in 0.01°
//	text           countries, towns, zones: one a line, a blank line after each
package main

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"fmt"
	"log"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"candleclock/engine/sun"
	"candleclock/engine/units"
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 3 {
		log.Fatal("usage: pack FOLDER climate.bin")
	}
	b, err := pack(os.Args[1])
	if err != nil {
		log.Fatal(err)
	}
	if err := os.WriteFile(os.Args[2], b, 0o644); err != nil {
		log.Fatal(err)
	}
}

func pack(folder string) ([]byte, error) {
	grid, err := table(filepath.Join(folder, "climate_grid_2p5deg.csv"), 27)
	if err != nil {
		return nil, err
	}
	towns, err := table(filepath.Join(folder, "stations.csv"), 40)
	if err != nil {
		return nil, err
	}
	zones, err := readZones(filepath.Join(folder, "zone1970.tab"))
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	packGrid(&out, grid)
	text := packTowns(&out, towns)
	text += packZones(&out, zones)
	out.WriteString(text)
	return out.Bytes(), nil
}

// table reads a CSV file without its heading; every row must have n fields.
func table(name string, n int) ([][]string, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = n
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return rows[1:], nil
}

func number(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		log.Fatal(err)
	}
	return v
}

func packGrid(out *bytes.Buffer, rows [][]string) {
	const nLat, nLon = 54, 144
	var mask [nLat * nLon / 8]byte
	var clear, temp [12][nLat * nLon]int
	for _, row := range rows {
		lat, lon := number(row[0]), number(row[1])
		cell := int((lat+56.25)/2.5)*nLon + int((lon+178.75)/2.5)
		mask[cell/8] |= 1 << (cell % 8)
		for m := range 12 {
			// Clearness is smoother over the map than insolation is, so it
			// packs smaller and interpolates better. Where the sun hardly
			// rises it means nothing: 0.05 kWh/m² keeps the quotient finite.
			h0 := max(sun.DailyExtraterrestrial(units.Degrees(lat), sun.MeanDay(m+1)), 0.05)
			clear[m][cell] = min(int(math.Round(160*number(row[3+m])/h0)), 255)
			temp[m][cell] = int(math.Round((number(row[15+m]) + 60) / 2))
		}
	}
	out.Write(mask[:])
	for _, q := range []*[12][nLat * nLon]int{&clear, &temp} {
		for m := range 12 {
			left, leftBefore := 0, 0
			for cell := range nLat * nLon {
				if mask[cell/8]>>(cell%8)&1 == 0 {
					continue
				}
				// As the neighbour to the west has changed since last month,
				// so has this cell.
				before := 0
				if m > 0 {
					before = q[m-1][cell]
				}
				out.WriteByte(byte(q[m][cell] - (before + left - leftBefore)))
				left, leftBefore = q[m][cell], before
			}
		}
	}
}

func put(out *bytes.Buffer, v float64) {
	binary.Write(out, binary.LittleEndian, int16(math.Round(v)))
}

var monthDays = [12]float64{31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// putMonths writes a quantity, rounded into a byte, of every row and month.
func putMonths(out *bytes.Buffer, rows [][]string, of func(row []string, m int) float64) {
	for m := range 12 {
		for _, row := range rows {
			b := byte(clampByte(of(row, m)))
			if m > 0 {
				b -= byte(clampByte(of(row, m-1)))
			}
			out.WriteByte(b)
		}
	}
}

func clampByte(v float64) int { return int(math.Round(max(0, min(v, 255)))) }

func packTowns(out *bytes.Buffer, rows [][]string) string {
	slices.SortFunc(rows, func(a, b []string) int { return strings.Compare(a[0], b[0]) })
	var names, countries []string
	of := make([]string, len(rows))
	for i, row := range rows {
		name, country, ok := strings.Cut(row[0], ", ")
		if !ok {
			country = name
		}
		names, of[i] = append(names, name), country
		if !slices.Contains(countries, country) {
			countries = append(countries, country)
		}
	}
	slices.Sort(countries)

	put(out, float64(len(rows)))
	for column, scale := range []float64{100, 100, 1} {
		for _, row := range rows {
			put(out, scale*number(row[1+column]))
		}
	}
	for i := range rows {
		out.WriteByte(byte(slices.Index(countries, of[i])))
	}
	putMonths(out, rows, func(row []string, m int) float64 { return 2*number(row[4+m]) + 160 })
	putMonths(out, rows, func(row []string, m int) float64 {
		return math.Round(2*number(row[16+m])) - math.Round(2*number(row[4+m]))
	})
	putMonths(out, rows, func(row []string, m int) float64 {
		length := sun.DayLength(units.Degrees(number(row[1])), sun.MeanDay(m+1))
		return 100 * min(1, number(row[28+m])/monthDays[m]/max(float64(length), 0.5))
	})
	return strings.Join(countries, "\n") + "\n\n" + strings.Join(names, "\n") + "\n\n"
}

type zone struct {
	name     string
	lat, lon float64
}

func readZones(name string) ([]zone, error) {
	b, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	var zones []zone
	for line := range strings.Lines(string(b)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Split(strings.TrimSpace(line), "\t")
		split := 1 + strings.IndexAny(f[1][1:], "+-")
		zones = append(zones, zone{f[2], iso6709(f[1][:split], 2), iso6709(f[1][split:], 3)})
	}
	slices.SortFunc(zones, func(a, b zone) int { return strings.Compare(a.name, b.name) })
	return zones, nil
}

// iso6709 reads ±DDMM or ±DDMMSS, where the degrees have n digits.
func iso6709(s string, n int) float64 {
	v := number(s[1:1+n]) + number(s[1+n:3+n])/60
	if len(s) > 3+n {
		v += number(s[3+n:]) / 3600
	}
	if s[0] == '-' {
		return -v
	}
	return v
}

func packZones(out *bytes.Buffer, zones []zone) string {
	put(out, float64(len(zones)))
	for _, z := range zones {
		put(out, 100*z.lat)
	}
	for _, z := range zones {
		put(out, 100*z.lon)
	}
	var names strings.Builder
	for _, z := range zones {
		names.WriteString(z.name + "\n")
	}
	return names.String() + "\n"
}
