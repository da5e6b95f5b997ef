package sun

import (
	"slices"
	"strings"

	"candleclock/engine/units"
)

// TownsLike is the towns whose name has the given letters in it, most of n, the
// likeliest first: those that begin with it, then those with a word that does,
// then the rest, by the alphabet. Case and accents don't count. Nothing is
// found by nothing.
func TownsLike(letters string, n int) []Town {
	want := fold(strings.TrimSpace(letters))
	if want == "" {
		return nil
	}
	var ranked [3][]Town
	for _, t := range atlas().towns {
		switch at := strings.Index(t.folded, want); {
		case at < 0:
		case at == 0:
			ranked[0] = append(ranked[0], t)
		case strings.Contains(t.folded, " "+want):
			ranked[1] = append(ranked[1], t)
		default:
			ranked[2] = append(ranked[2], t)
		}
	}
	found := slices.Concat(ranked[0], ranked[1], ranked[2])
	return found[:min(max(n, 0), len(found))]
}

// GuessZone is a first guess of where a device is, from its IANA time zone: the
// city that the zone is named for. It may be hundreds of km out, in a big zone
// thousands; show it as a guess. It is false for a zone that says no place,
// such as "UTC".
func GuessZone(zone string) (lat, lon units.Degrees, ok bool) {
	a := atlas()
	for _, z := range a.zones {
		if z.name == zone {
			return z.lat, z.lon, true
		}
	}
	// An older name, or one since merged into a neighbour's.
	if !strings.Contains(zone, "/") || strings.HasPrefix(zone, "Etc/") {
		return 0, 0, false
	}
	city := zone[strings.LastIndex(zone, "/")+1:]
	if now, ok := renamed[city]; ok {
		city = now
	}
	for _, z := range a.zones {
		if strings.HasSuffix(z.name, "/"+city) {
			return z.lat, z.lon, true
		}
	}
	want := fold(strings.ReplaceAll(city, "_", " "))
	for _, t := range a.towns {
		if fold(t.Place) == want {
			return t.Lat, t.Lon, true
		}
	}
	return 0, 0, false
}

// renamed are cities whose zone tzdata has renamed (its file "backward") while
// browsers go on giving the older name.
var renamed = map[string]string{
	"Calcutta": "Kolkata", "Katmandu": "Kathmandu", "Kiev": "Kyiv", "Rangoon": "Yangon",
	"Saigon": "Ho_Chi_Minh", "Faeroe": "Faroe", "Godthab": "Nuuk", "Dacca": "Dhaka",
	"Macao": "Macau", "Ulan_Bator": "Ulaanbaatar", "Thimbu": "Thimphu", "Ashkhabad": "Ashgabat",
	"Enderbury": "Kanton", "Truk": "Port_Moresby", "Ponape": "Guadalcanal", "Asmera": "Nairobi",
}

// unaccented are the letters that fold turns into plain ones, by the plain.
var unaccented = [...]struct{ letters, plain string }{
	{"àáâãäåāăąạảấầẩẫậắằẳẵặ", "a"}, {"æ", "ae"}, {"çćč", "c"}, {"ďđð", "d"},
	{"èéêëēėęěẹẻẽếềểễệ", "e"}, {"ğģ", "g"}, {"ìíîïĩīįıị", "i"}, {"ķ", "k"}, {"łļľ", "l"},
	{"ñńņň", "n"}, {"òóôõöøōőơọỏốồổỗộớờởỡợ", "o"}, {"œ", "oe"}, {"ŕř", "r"},
	{"śşšș", "s"}, {"ß", "ss"}, {"ţťț", "t"}, {"þ", "th"}, {"ùúûüũūůűųưụủứừửữự", "u"},
	{"ýÿỳỵỷỹ", "y"}, {"źżž", "z"},
}

// fold is a name in small plain letters, for comparing.
func fold(s string) string {
	var b strings.Builder
letters:
	for _, r := range strings.ToLower(s) {
		if r < 0x80 {
			b.WriteRune(r)
			continue
		}
		if r >= 0x300 && r <= 0x36f { // a combining accent
			continue
		}
		for _, u := range unaccented {
			if strings.ContainsRune(u.letters, r) {
				b.WriteString(u.plain)
				continue letters
			}
		}
		b.WriteRune(r)
	}
	return b.String()
}
