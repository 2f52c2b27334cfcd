//go:build js && wasm

// Command engine is the engine of the page, compiled for a browser: GOOS=js, GOARCH=wasm. It
// gives JavaScript one function, answerParcel(parcel, watch), from a Uint8Array to a promise of
// one. watch is called with the current step and may be left out. With the tag light the
// promise is of null where the whole engine is wanted.
package main

import (
	"context"
	"syscall/js"

	"pourplane/plot/page"
)

func main() {
	var engine page.Engine
	js.Global().Set("answerParcel", js.FuncOf(func(_ js.Value, args []js.Value) any {
		parcel := make([]byte, args[0].Length())
		js.CopyBytesToGo(parcel, args[0])
		var watch func(what string, done, total int64)
		if len(args) > 1 && args[1].Type() == js.TypeFunction {
			watch = func(what string, done, total int64) { args[1].Invoke(what, done, total) }
		}
		var executor js.Func
		executor = js.FuncOf(func(_ js.Value, promise []js.Value) any {
			resolve := promise[0]
			go func() {
				defer executor.Release()
				reply := engine.Answer(context.Background(), parcel, watch)
				if reply == nil {
					resolve.Invoke(js.Null())
					return
				}
				out := js.Global().Get("Uint8Array").New(len(reply))
				js.CopyBytesToJS(out, reply)
				resolve.Invoke(out)
			}()
			return nil
		})
		return js.Global().Get("Promise").New(executor)
	}))
	select {} // it answers as long as the page lives
}
