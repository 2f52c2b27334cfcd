package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"
)

const (
	// beat is how long work goes on before it is mentioned, and how often what is shown
	// is renewed; patience is how long one step goes on before its seconds are counted.
	// Own choice.
	beat     = 500 * time.Millisecond
	patience = 2 * time.Second
)

// progress tells a person at a terminal what is being done. A step that says nothing
// for long is shown all the same, with its seconds: what is shown moves, so that nobody
// takes work for a hang. All of it does nothing where w is nil.
type progress struct {
	w io.Writer

	mu          sync.Mutex
	what        string // "" where nothing is to be shown
	done, total int64
	since, last time.Time // when the step began, and when it was shown last
	shown       bool
}

// newProgress tells on w, if it is a terminal.
func newProgress(w io.Writer) *progress {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return &progress{}
	}
	now := time.Now()
	p := &progress{w: w, what: "working", since: now, last: now}
	go func() { // to the end of the process
		for now := range time.Tick(beat) {
			p.show(now)
		}
	}()
	return p
}

// say names what is being done, and how much of total, or how many bytes, or nothing
// but that when neither is known. Work that is over within half a second is not
// mentioned.
func (p *progress) say(what string, done, total int64) {
	if p.w == nil {
		return
	}
	now := time.Now()
	p.mu.Lock()
	if what != p.what {
		if p.what == "" {
			p.last = now
		}
		p.what, p.since = what, now
	}
	p.done, p.total = done, total
	p.mu.Unlock()
	p.show(now)
}

// show shows the step if the last one was shown a while ago.
func (p *progress) show(now time.Time) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.w == nil || p.what == "" || now.Sub(p.last) < beat {
		return
	}
	p.last = now
	p.shown = true
	text := p.what + " …"
	switch {
	case p.total > 0:
		text = fmt.Sprintf("%s %d %%", p.what, 100*p.done/p.total)
	case p.done > 0:
		text = fmt.Sprintf("%s %.0f MB", p.what, float64(p.done)/1e6)
	}
	if s := now.Sub(p.since); s >= patience {
		text += fmt.Sprintf(" (%.0f s)", s.Seconds())
	}
	fmt.Fprintf(p.w, "\r\x1b[K%s", text)
}

// end clears the line, and shows no more until the next step.
func (p *progress) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.what = ""
	if p.shown {
		fmt.Fprint(p.w, "\r\x1b[K")
		p.shown = false
	}
}
