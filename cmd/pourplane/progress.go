package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"

	"pourplane/surface/job"
)

const (
	// beat is the time after which work is shown, and the interval between updates.
	// patience is the time after which the seconds of a step are counted. Own choice.
	beat     = 500 * time.Millisecond
	patience = 2 * time.Second
)

// progress shows a user at a terminal what is being done. A long step without reports is
// shown with its seconds, so that it is not mistaken for a hang. It does nothing if w is
// nil.
type progress struct {
	w io.Writer

	mu          sync.Mutex
	what        string // "" if nothing is to be shown
	done, total int64
	since, last time.Time // start of the step, and time of the last update
	begun       time.Time // start of what total counts: of several files, of this one
	shown       bool
}

// newProgress shows progress on w if it is a terminal.
func newProgress(w io.Writer) *progress {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return &progress{}
	}
	now := time.Now()
	p := &progress{w: w, what: "working", since: now, last: now}
	go func() { // until the process ends
		for now := range time.Tick(beat) {
			p.show(now)
		}
	}()
	return p
}

// say sets the current step, and how much of total is done: a count, bytes, or 0, 0 if
// not known. A step shorter than half a second is not shown.
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
		p.what, p.since, p.begun = what, now, now
	}
	if done < p.done { // the next file
		p.begun = now
	}
	p.done, p.total = done, total
	p.mu.Unlock()
	p.show(now)
}

// show shows the step if the last update was long enough ago.
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
	text += p.pace(now)
	fmt.Fprintf(p.w, "\r\x1b[K%s", text)
}

// pace returns the rate of reading, and the time left at the rate so far, "" if it is too
// early to say.
func (p *progress) pace(now time.Time) (text string) {
	s := now.Sub(p.begun)
	if s < patience || p.done <= 0 {
		return ""
	}
	if p.what == job.Reading {
		text = fmt.Sprintf(", %.3g MB/s", float64(p.done)/1e6/s.Seconds())
	}
	if p.total > p.done {
		left := s.Seconds() * float64(p.total-p.done) / float64(p.done)
		switch {
		case left < 100:
			text += fmt.Sprintf(", %.0f s left", left)
		case left < 100*60:
			text += fmt.Sprintf(", %.0f min left", left/60)
		default:
			text += fmt.Sprintf(", %.0f h left", left/3600)
		}
	}
	return text
}

// end clears the line, and shows nothing until the next step.
func (p *progress) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.what = ""
	if p.shown {
		fmt.Fprint(p.w, "\r\x1b[K")
		p.shown = false
	}
}
