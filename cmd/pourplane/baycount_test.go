package main

import (
	"strings"
	"testing"

	"pourplane/survey"
)

// Bays are counted once: those that are laid out.

func TestBaysHaveOneCount(t *testing.T) {
	h := demoHandover(t)
	if h.bays == nil || h.schedule == nil {
		t.Fatal("the demo has no bays or no clock")
	}
	n := len(h.bays.Bays)
	h.schedule.Bays = n + 1
	h.countBays(false)
	if h.schedule.Bays != n {
		t.Errorf("the clock has %d bays, the plan %d", h.schedule.Bays, n)
	}
	_, lines := h.clockTable()
	if text := strings.Join(lines, " "); !strings.Contains(text, "can be placed: "+plural(n, "bay")+".") {
		t.Errorf("%q does not have the %d bays of the plan", text, n)
	}
	warned := func() (texts []string) {
		for _, note := range h.notes {
			if note.Kind == survey.Warning && strings.Contains(note.String(), "working time") {
				texts = append(texts, note.String())
			}
		}
		return texts
	}
	if got := warned(); len(got) != 1 || !strings.Contains(got[0], "place it in the "+plural(n, "bay")+" that are laid out") {
		t.Errorf("warned of %q", got)
	}
	// A bay that is not placed in time is named; bays of the job that all are settle it.
	bay := h.schedule.Bay
	h.schedule.Bay = bay / 4
	h.countBays(true)
	if got := warned(); len(got) != 1 || !strings.Contains(got[0], "more is in bay "+h.bays.Bays[0].Name) {
		t.Errorf("warned of %q", got)
	}
	h.schedule.Bay = bay
	h.countBays(true)
	if got := warned(); got != nil {
		t.Errorf("warned of %q although all bays are placed in time", got)
	}
}
