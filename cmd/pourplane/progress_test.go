package main

import (
	"strings"
	"testing"
	"time"
)

// A step without reports shows nothing at first, then its name, then its seconds, and
// nothing after the end.
func TestProgressOfAQuietStep(t *testing.T) {
	var b strings.Builder
	start := time.Now()
	p := &progress{w: &b, what: "working", since: start, last: start}
	step := func(after time.Duration, want string) {
		t.Helper()
		b.Reset()
		p.show(start.Add(after))
		if got := strings.TrimPrefix(b.String(), "\r\x1b[K"); got != want {
			t.Errorf("after %v %q, want %q", after, got, want)
		}
	}
	step(beat-1, "")
	step(beat, "working …")
	step(beat+1, "")
	step(patience, "working … (2 s)")
	step(7*time.Second, "working … (7 s)")

	p.say("reading", 5, 20)
	start = p.since // the seconds are those of the step
	step(8*time.Second, "reading 25 % (8 s)")
	p.say("reading", 3e6, 0)
	step(9*time.Second, "reading 3 MB (9 s)")

	b.Reset()
	p.end()
	if b.String() != "\r\x1b[K" {
		t.Errorf("the end writes %q, want the line cleared", b.String())
	}
	step(20*time.Second, "")
	p.say("drawing depth.png", 0, 0)
	start = p.since
	step(beat, "drawing depth.png …")

	quiet := &progress{}
	quiet.say("reading", 1, 2)
	quiet.show(start.Add(time.Hour))
	quiet.end()
}
