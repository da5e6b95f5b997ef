// Package link turns a plan into a short text for the part of an address behind
// "#", and into one for a QR code, and back.
//
// A link carries everything in a plan but the fields that this version does not
// know (doc.Unknown), what was noted of outages (plan.Log, plan.Past) and the
// supplies that might be bought (plan.Candidate): those travel in the plan file
// only.
package link

import (
	"errors"
	"fmt"
	"strings"

	"candleclock/engine/plan"
)

// Version is the newest version of links that this code reads. It must rise when
// a field is added to the plan: such a field goes to the end of its part, behind
// its version (fields.go). What is written has the least version that knows all
// of its fields, so that older pages read it too if they can.
const Version = 3

// Most is the most characters of a link. Browsers take more; messengers don't.
const Most = 8192

// Text is the plan as a link: letters, digits, "-" and "_". It is "" for a plan
// too big for one, of which the file must be sent.
func Text(p plan.Plan) string { return write(p, inText) }

// QR is the plan as a link for a QR code: only characters of the code's
// alphanumeric mode that may stand in an address. It is "" for a plan too big.
func QR(p plan.Plan) string { return write(p, inQR) }

func write(p plan.Plan, a alphabet) string {
	c := &coder{version: 1}
	planPart(c, &p)
	s := a.mark + a.write(frame(byte(c.version), c.out))
	if len(s) > Most {
		return ""
	}
	return s
}

// What is wrong with a link. Each is a sentence for who opened it.
var (
	ErrNotOurs = errors.New("this is not a link to a plan")
	ErrTooLong = fmt.Errorf("this is longer than a link to a plan can be, %d characters", Most)
	ErrCutOff  = errors.New("the link was cut off on its way: ask for it again, or for the plan as a file")
	ErrDamaged = errors.New("the link was changed on its way: ask for it again, or for the plan as a file")
)

// NewerError refuses a link that a newer version of this code wrote.
type NewerError struct{ Version int }

func (e *NewerError) Error() string {
	return "a newer version of this page made the link: take the new version here too, then open the link again"
}

// Parse reads what Text and QR write, with blanks and line breaks in it or a
// whole address before its "#". What it returns has passed plan.Decode. The
// errors are ErrNotOurs, ErrTooLong, ErrCutOff, ErrDamaged, *NewerError, or what
// plan.Decode refuses.
func Parse(s string) (plan.Plan, error) {
	if len(s) > 2*Most { // room for blanks and an address
		return plan.Plan{}, ErrTooLong
	}
	s = strings.Join(strings.Fields(s[strings.LastIndexByte(s, '#')+1:]), "")
	if len(s) > Most {
		return plan.Plan{}, ErrTooLong
	}
	data, err := unframe(s)
	if err != nil {
		return plan.Plan{}, err
	}
	c := &coder{reading: true, in: data}
	var p plan.Plan
	planPart(c, &p)
	if c.bad || len(c.in) > 0 {
		return plan.Plan{}, ErrDamaged
	}
	return plan.Decode(p.Encode())
}
