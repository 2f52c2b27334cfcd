package report

import (
	"regexp"
	"testing"
)

// Each warning, assumption, note and caution begins with a capital on the record, on the page and
// on the terminal: those of the demo's job, before and after the pour, and of jobs with a misread
// rod, without walls, too thin for concrete, and after a fall to a place.
func TestNotesBeginWithACapital(t *testing.T) {
	misread := floorIn("m", 6, 4, 1, func(x, y float64) float64 {
		if x == 3 && y == 2 {
			return -0.4
		}
		return -0.1
	})
	const start = "[survey]\nfiles = [\"floor.csv\"]\n"
	read := 0
	for what, h := range map[string]*Handover{
		"demo": hall(t), "ramp": runText(t, ramp).h,
		"misread":  handed(t, start+"outline = \"walls.csv\"\n[target]\nelevation = \"0m\"\n", misread),
		"no walls": handed(t, start+"[target]\nelevation = \"0m\"\n", misread),
		"thin":     handed(t, start+"outline = \"walls.csv\"\n[target]\nelevation = \"0m\"\n", floorIn("m", 6, 4, 1, levelAt(-0.01))),
		"fall":     handed(t, start+"outline = \"walls.csv\"\n[target]\nelevation = \"0m\"\nfall = \"1%\"\ntoward = \"3m,2m\"\nfall-direction = \"S\"\n", floorIn("m", 6, 4, 1, levelAt(-0.1))),
	} {
		begins := func(text string) {
			t.Helper()
			if read++; small.MatchString(text) {
				t.Errorf("%s: %s", what, text)
			}
		}
		for _, s := range h.record(true).Sections {
			for _, text := range append(append([]string{}, s.Warnings...), s.Cautions...) {
				begins(text)
			}
			for _, table := range s.Tables {
				for _, row := range table.Rows {
					if s.Title == "Notes and checks" {
						begins(row[1].Text)
					}
				}
			}
		}
		for _, n := range h.allNotes() {
			begins(noteLine(n, h.Style))
		}
		facts, remarks := (&Summary{Filled: h.Filled, Style: h.Style}).Facts()
		if h.Judged != nil {
			_, _, after := AfterFacts(h.Judged, h.Style)
			remarks = append(remarks, after...)
		}
		for _, f := range facts {
			for _, text := range f.Warnings {
				begins(text)
			}
		}
		for _, r := range remarks {
			for _, text := range r.Notes {
				begins(text)
			}
		}
	}
	if read < 200 {
		t.Errorf("%d texts read", read)
	}
}

// small begins with a word of the language in small letters; a file, a letter and a unit do not.
var small = regexp.MustCompile(`^[a-z]{2,}[ ,:;-]`)
