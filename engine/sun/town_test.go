package sun

import (
	"math"
	"testing"
)

func TestTownsLike(t *testing.T) {
	for _, c := range []struct{ letters, want string }{
		{"a coruna", "A Coruña, Spain"}, {"A CORUÑA", "A Coruña, Spain"}, {"malmo", "Malmö, Sweden"},
		{" sao pau", "São Paulo, Brazil"}, {"lodz", "Łódź, Poland"}, {"da nang", "Đà Nẵng, Vietnam"},
		{"İSTAN", "Istanbul, Türkiye"}, {"singap", "Singapore"}, {"vegas", "Las Vegas NV, USA"},
		{"sa\u0303o paulo", "São Paulo, Brazil"},
		{"ma\u0300lmo\u036f", "Malmö, Sweden"}, // the first and the last of Unicode's combining accents
	} {
		towns := TownsLike(c.letters, 20)
		if len(towns) == 0 || towns[0].Name() != c.want {
			names := []string{}
			for _, town := range towns {
				names = append(names, town.Name())
			}
			t.Errorf("TownsLike(%q) = %q, want %q first", c.letters, names, c.want)
		}
	}
	if got := TownsLike("  ", 5); got != nil {
		t.Errorf("blank finds %d towns", len(got))
	}
	if got := TownsLike("a", 7); len(got) != 7 {
		t.Errorf("%d towns, want 7", len(got))
	}
	if got := TownsLike("a", -1); len(got) != 0 {
		t.Errorf("%d towns, want none", len(got))
	}
	if got := TownsLike("zzzz", 7); len(got) != 0 {
		t.Errorf("%d towns, want none", len(got))
	}
	if got := len(atlas().towns); got != 1011 {
		t.Errorf("%d towns, want 1011", got)
	}
}

func FuzzTownsLike(f *testing.F) {
	f.Add("são")
	f.Add("\xff\xc3(")
	f.Fuzz(func(t *testing.T, letters string) {
		if got := TownsLike(letters, 3); len(got) > 3 {
			t.Errorf("%d towns, want at most 3", len(got))
		}
	})
}

func TestGuessZone(t *testing.T) {
	for _, c := range []struct {
		zone     string
		lat, lon float64
	}{
		{"America/Halifax", 44.65, -63.6},
		{"America/Argentina/Ushuaia", -54.8, -68.3},
		{"Asia/Calcutta", 22.5, 88.4},          // renamed
		{"America/Buenos_Aires", -34.6, -58.5}, // moved
		{"Europe/Oslo", 59.9, 10.75},           // merged into Berlin's, found as a town
		{"Australia/Adelaide", -34.9, 138.6},
	} {
		lat, lon, ok := GuessZone(c.zone)
		if !ok || math.Abs(float64(lat)-c.lat) > 0.3 || math.Abs(float64(lon)-c.lon) > 0.3 {
			t.Errorf("GuessZone(%q) = %v, %v, %v, want %v, %v", c.zone, lat, lon, ok, c.lat, c.lon)
		}
	}
	for _, zone := range []string{"UTC", "", "Etc/GMT+5", "Mars/Olympus_Mons", "/"} {
		if lat, lon, ok := GuessZone(zone); ok {
			t.Errorf("GuessZone(%q) = %v, %v", zone, lat, lon)
		}
	}
	if got := len(atlas().zones); got != 312 {
		t.Errorf("%d zones, want 312", got)
	}
}
