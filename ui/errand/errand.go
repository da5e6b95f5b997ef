// Package errand is what the page and its worker say to each other: a question
// that takes long, how far the work is, and the answer, as bytes. The worker is
// the same program in a thread of its own; Work is what it does there.
//
// Either side takes the other's bytes for hostile until they are decoded: every
// count and number is bounded.
package errand

import (
	"errors"
	"fmt"

	"candleclock/engine/load"
	"candleclock/engine/odds"
	"candleclock/engine/plan"
)

// Kind is what is asked.
type Kind int

// The kinds of questions, and what each is answered with. To add one: its
// constant, its answer's type, and its lines in blank and do.
const (
	Whole  Kind = iota // *Outages: the whole outage, many times over
	Owning             // *Sizes: what to own for the plan's wish, down to the question's Rank
	Kinds              // how many there are
)

// MostDraws bounds how many courses a question may ask for.
const MostDraws = 10_000

// MostPace bounds the pace of a question.
const MostPace = 100

// Question is one errand.
type Question struct {
	Kind  Kind
	Draws int       // 1 to MostDraws
	Plan  plan.Plan // with a supply, but for Owning, and the place where one is known or guessed
	Rank  load.Rank // Owning: the least needed that is carried
	Pace  float64   // Whole: see odds.Sampler; 0 to MostPace
}

// Encode writes the question.
func (q Question) Encode() []byte { return written(q.code) }

func (q *Question) code(c *coder) {
	kind := int(q.Kind)
	c.whole(&kind, 0, int(Kinds)-1)
	q.Kind = Kind(kind)
	c.whole(&q.Draws, 1, MostDraws)
	c.rank(&q.Rank)
	number(c, &q.Pace, 0, MostPace)
	var file []byte
	if !c.reading {
		file = q.Plan.Encode()
	}
	c.bytes(&file, plan.MostBytes)
	if c.reading && !c.bad {
		p, err := plan.Decode(file)
		q.Plan, c.bad = p, err != nil
	}
}

// DecodeQuestion reads a question. Its plan is as plan.Decode gives it, and
// holds a supply where the kind needs one.
func DecodeQuestion(data []byte) (Question, error) {
	var q Question
	if err := read(data, q.code); err != nil {
		return Question{}, err
	}
	if !q.Plan.HasSupply() && q.Kind != Owning {
		return Question{}, errBad
	}
	return q, nil
}

// Answer is what an errand brings back: a pointer to the type that its Kind
// names.
type Answer interface{ code(c *coder) }

// Reply is a message of the worker. Of its fields one is set.
type Reply struct {
	Done, All int    // how far the work is, 0 ≤ Done ≤ All
	Answer    Answer // the last message
	Refused   string // why there is none, in words; the last message too
}

// What a reply holds.
const (
	progress = iota
	answered
	refused
)

const (
	mostWords = 1000
	mostSteps = 1 << 30
)

// Encode writes the reply.
func (r Reply) Encode() []byte { return written(func(c *coder) { r.code(c, 0) }) }

func (r *Reply) code(c *coder, kind Kind) {
	what := progress
	switch {
	case r.Answer != nil:
		what = answered
	case r.Refused != "":
		what = refused
	}
	c.whole(&what, progress, refused)
	switch what {
	case progress:
		c.whole(&r.All, 0, mostSteps)
		c.whole(&r.Done, 0, r.All)
	case answered:
		if c.reading {
			r.Answer = blank(kind)
		}
		r.Answer.code(c)
	case refused:
		c.text(&r.Refused, mostWords)
		c.bad = c.bad || r.Refused == ""
	}
}

// DecodeReply reads a reply to a question of the kind given.
func DecodeReply(data []byte, kind Kind) (Reply, error) {
	var r Reply
	if err := read(data, func(c *coder) { r.code(c, kind) }); err != nil {
		return Reply{}, err
	}
	return r, nil
}

// Work does the errand and returns the last reply. tell, when not nil, is given
// how far the work is, and may stop it by returning false; the reply is then a
// refusal.
func Work(question []byte, tell func(done, all int) bool) (r Reply) {
	defer func() {
		// A sum that fails must not take the worker's word from the page.
		if p := recover(); p != nil {
			r = Reply{Refused: fmt.Sprint("the sums failed: ", p)}
		}
	}()
	q, err := DecodeQuestion(question)
	if err != nil {
		return Reply{Refused: err.Error()}
	}
	a, err := do(q, tell)
	if err != nil {
		return Reply{Refused: err.Error()}
	}
	return Reply{Answer: a}
}

var errStopped = errors.New("stopped")

// blank is an empty answer of the kind.
func blank(kind Kind) Answer {
	switch kind {
	case Owning:
		return new(Sizes)
	default:
		return new(Outages)
	}
}

// do works out the answer to a question.
func do(q Question, tell func(done, all int) bool) (Answer, error) {
	sampler := odds.NewSampler(q.Draws, odds.Seed)
	sampler.Pace = q.Pace
	switch q.Kind {
	case Owning:
		s, whole := NewSizes(q.Plan, q.Rank, q.Draws, tell)
		if !whole {
			return nil, errStopped
		}
		return s, nil
	default:
		if o, ok := Follow(q.Plan, sampler, tell); ok {
			return o, nil
		}
	}
	return nil, errStopped
}
