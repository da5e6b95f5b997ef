package doc

import (
	"strings"
	"testing"
)

// Controls are the C0 and C1 sets of ISO/IEC 6429 with delete; the marks that
// turn the direction of writing are those of UAX #9, section 2.
func TestCheckTextRefusesControls(t *testing.T) {
	refused := []rune{0, '\t', '\n', 0x1f, 0x7f, 0x80, 0x9f,
		0x061c, 0x200e, 0x200f, // marks
		0x202a, 0x202b, 0x202c, 0x202d, 0x202e, // embeddings and overrides
		0x2066, 0x2067, 0x2068, 0x2069, // isolates
		0x2028, 0x2029} // line and paragraph
	for _, c := range refused {
		if CheckText("name", "a"+string(c)+"b", 8) == nil {
			t.Errorf("%U: got no error", c)
		}
	}
	if CheckText("name", "a\xffb", 8) == nil {
		t.Error("not UTF-8: got no error")
	}
	// Their neighbours are ordinary; 200d joins the parts of an emoji.
	for _, c := range []rune{' ', '~', 0xa0, 0x061b, 0x200d, 0x2010, 0x2027, 0x202f, 0x2065, 0x206a, 'ü', '家'} {
		if err := CheckText("name", "a"+string(c)+"b", 8); err != nil {
			t.Errorf("%U: got %v, want none", c, err)
		}
	}
}

// Length is counted in characters, not in bytes, and the most allowed is allowed.
func TestCheckTextLength(t *testing.T) {
	if err := CheckText("name", strings.Repeat("ü", 8), 8); err != nil {
		t.Errorf("8 of 8: got %v, want none", err)
	}
	if CheckText("name", strings.Repeat("ü", 9), 8) == nil {
		t.Error("9 of 8: got no error")
	}
}

// A value quoted in an error is cut after 40 characters, and only then.
func TestErrorsClipTheValue(t *testing.T) {
	for _, c := range []struct{ value, want string }{
		{strings.Repeat("ü", 40), strings.Repeat("ü", 40)},
		{strings.Repeat("ü", 41), strings.Repeat("ü", 40) + "…"},
	} {
		r := Read([]byte(c.value), "plan")
		if err := r.Err(); err == nil || err.Error() != "plan: "+c.want+" must be an object in { }" {
			t.Errorf("%d characters: got %v", len([]rune(c.value)), err)
		}
	}
}

// A list may be as long as its limit.
func TestObjectsLimit(t *testing.T) {
	r := Read([]byte(`{"list":[{},{},{}]}`), "")
	if got := r.Objects("list", 3); len(got) != 3 || r.Err() != nil {
		t.Errorf("3 of 3: got %d, %v", len(got), r.Err())
	}
}
