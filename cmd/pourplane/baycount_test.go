package main

import (
	"strings"
	"testing"

	"pourplane/survey"
)

// Bays are counted once: those that are laid out.

func TestBaysHaveOneCount(t *testing.T) {
	h := demoHandover(t)
	if h.Bays == nil || h.Schedule == nil {
		t.Fatal("the demo has no bays or no clock")
	}
	n := len(h.Bays.Bays)
	h.Schedule.Bays = n + 1
	h.CountBays(false)
	if h.Schedule.Bays != n {
		t.Errorf("the clock has %d bays, the plan %d", h.Schedule.Bays, n)
	}
	_, lines := h.ClockTable()
	if text := strings.Join(lines, " "); !strings.Contains(text, "The plan has "+survey.Plural(n, "bay")+".") {
		t.Errorf("%q does not have the %d bays of the plan", text, n)
	}
	warned := func() (texts []string) {
		for _, note := range h.Notes {
			if note.Kind == survey.Warning && strings.Contains(note.String(), "working time") {
				texts = append(texts, note.String())
			}
		}
		return texts
	}
	if got := warned(); len(got) != 1 || !strings.Contains(got[0], "place it in the "+survey.Plural(n, "bay")+" that are laid out") {
		t.Errorf("warned of %q", got)
	}
	// A bay that is not placed in time is named; bays of the job that all are settle it.
	bay := h.Schedule.Bay
	h.Schedule.Bay = bay / 4
	h.CountBays(true)
	if got := warned(); len(got) != 1 || !strings.Contains(got[0], "more is in bay "+h.Bays.Bays[0].Name) {
		t.Errorf("warned of %q", got)
	}
	h.Schedule.Bay = bay
	h.CountBays(true)
	if got := warned(); got != nil {
		t.Errorf("warned of %q although all bays are placed in time", got)
	}
	// What the working time requires does not depend on the plan: 5 of 2.5 are 2, 5.1 are 3.
	h.Schedule.Bay = 2.5
	for volume, want := range map[float64]string{1.24: "needs min 1 bay.", 5: "needs min 2 bays.", 5.1: "needs min 3 bays."} {
		h.Schedule.Volume = volume
		if _, lines := h.ClockTable(); !strings.Contains(strings.Join(lines, " "), want) {
			t.Errorf("%g m³: %q, want %q", volume, lines, want)
		}
	}
}
