//go:build js && wasm

package main

import (
	"errors"

	"github.com/hack-pad/safejs"
)

// object is a JavaScript value. What is missing in this browser, or fails,
// reads as undefined: a feature less is no reason to stop. Where the reason
// counts, use the methods of safejs.Value, which return errors.
type object struct{ safejs.Value }

var undefined = object{safejs.Undefined()}

func orUndefined(v safejs.Value, err error) object {
	if err != nil {
		return undefined
	}
	return object{v}
}

func (o object) get(name string) object { return orUndefined(o.Get(name)) }

func (o object) set(name string, value any) { _ = o.Set(name, value) }

func (o object) call(method string, args ...any) object { return orUndefined(o.Call(method, args...)) }

func (o object) create(args ...any) object { return orUndefined(o.New(args...)) }

func (o object) truthy() bool {
	t, err := o.Truthy()
	return err == nil && t
}

// str is the string that o is, or "".
func (o object) str() string {
	if o.Type() != safejs.TypeString {
		return ""
	}
	s, _ := o.String()
	return s
}

// num is the number that o is, or 0.
func (o object) num() int {
	n, _ := o.Int()
	return n
}

// bytes copies a Uint8Array or ArrayBuffer.
func (o object) bytes() ([]byte, error) {
	array, err := global("Uint8Array").New(o.Value)
	if err != nil {
		return nil, err
	}
	b := make([]byte, object{array}.get("length").num())
	_, err = safejs.CopyBytesToGo(b, array)
	return b, err
}

// uint8Array copies b into a Uint8Array.
func uint8Array(b []byte) object {
	array := global("Uint8Array").create(len(b))
	if _, err := safejs.CopyBytesToJS(array.Value, b); err != nil {
		return undefined
	}
	return array
}

func global(name string) object { return object{safejs.Global()}.get(name) }

// function makes f callable from JavaScript, for the life of the page.
func function(f func(args []object)) object {
	return object{releasable(f).Value()}
}

// releasable makes f callable from JavaScript until Release.
func releasable(f func(args []object)) safejs.Func {
	fn, err := safejs.FuncOf(func(_ safejs.Value, args []safejs.Value) any {
		objects := make([]object, len(args))
		for i, a := range args {
			objects[i] = object{a}
		}
		f(objects)
		return nil
	})
	if err != nil {
		panic(err) // no JavaScript at all
	}
	return fn
}

// on has handle called, in its own goroutine, for each such event on target,
// for the life of the page. read runs while the event is going on and takes
// from it what handle needs.
func on[T any](target object, event string, read func(event object) T, handle func(T)) {
	target.call("addEventListener", event, function(func(args []object) {
		got := read(args[0])
		go handle(got)
	}).Value)
}

// await waits for a promise.
func await(promise object) (object, error) {
	type settled struct {
		value object
		err   error
	}
	done := make(chan settled, 1)
	fulfilled := releasable(func(args []object) { done <- settled{value: args[0]} })
	defer fulfilled.Release()
	rejected := releasable(func(args []object) { done <- settled{err: errors.New(args[0].get("message").str())} })
	defer rejected.Release()
	if _, err := promise.Call("then", fulfilled.Value(), rejected.Value()); err != nil {
		return undefined, err
	}
	s := <-done
	return s.value, s.err
}
