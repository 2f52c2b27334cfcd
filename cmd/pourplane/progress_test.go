package main

import (
	"strings"
	"testing"
	"time"

	"pourplane/surface/job"
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

	p.say(job.Reading, 5e6, 20e6)
	start, p.last = p.since, p.since // the seconds are those of the step
	step(time.Second, "reading 25 %")
	step(8*time.Second, "reading 25 % (8 s), 0.625 MB/s, 24 s left")
	p.say(job.Reading, 3e6, 0) // the second file: its rate is not known yet
	p.begun = start.Add(8 * time.Second)
	step(9*time.Second, "reading 3 MB (9 s)")
	step(14*time.Second, "reading 3 MB (14 s), 0.5 MB/s")
	p.say("laying 3 straightedges", 1, 4)
	start, p.last = p.since, p.since
	step(10*time.Second, "laying 3 straightedges 25 % (10 s), 30 s left")
	step(300*time.Second, "laying 3 straightedges 25 % (300 s), 15 min left")
	step(3000*time.Second, "laying 3 straightedges 25 % (3000 s), 2 h left")

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
