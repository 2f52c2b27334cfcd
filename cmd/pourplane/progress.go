package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"
)

// progress shows one line on a terminal while something takes long; in a pipe it
// shows nothing.
type progress struct {
	w     io.Writer
	last  time.Time
	shown bool
}

func newProgress(w io.Writer) *progress {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return &progress{}
	}
	return &progress{w: w, last: time.Now()}
}

// say shows what is being done: how much of total, or how many bytes, or nothing
// but that when neither is known. Work that is
// over within half a second is not mentioned.
func (p *progress) say(what string, done, total int64) {
	if p.w == nil || time.Since(p.last) < 500*time.Millisecond {
		return
	}
	p.last = time.Now()
	p.shown = true
	switch {
	case total > 0:
		fmt.Fprintf(p.w, "\r\x1b[K%s %d %%", what, 100*done/total)
	case done > 0:
		fmt.Fprintf(p.w, "\r\x1b[K%s %.0f MB", what, float64(done)/1e6)
	default:
		fmt.Fprintf(p.w, "\r\x1b[K%s …", what)
	}
}

// end clears the line.
func (p *progress) end() {
	if p.shown {
		fmt.Fprint(p.w, "\r\x1b[K")
		p.shown = false
	}
}
