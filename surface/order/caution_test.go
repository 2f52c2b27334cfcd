package order

import (
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

func TestCautionsStandBesideWhatCausesThem(t *testing.T) {
	l := Load{Mass: 4800, Mean: 120, Most: 240}
	text := func(j Job) string {
		var b strings.Builder
		for _, n := range Cautions(l, j) {
			b.WriteString(n.Text.String())
		}
		return b.String()
	}
	for _, c := range []struct {
		word string
		job  Job
	}{
		{"Grinding", Job{Cut: 0.1}}, {"silica and cement dust", Job{Bagged: true}}, {"may keep settling", Job{Grounded: true}},
		{"Heating pipes", Job{Heated: true}}, {"Old tile", Job{Old: true}}, {"F2170", Job{Covering: true}}, {"whips", Job{Pumped: true}},
		{"Post-tensioned", Job{Tendons: true}}, {"Pins and anchors", Job{Pinned: true}}, {"Sawing joints", Job{Sawn: true}}, {"carbon monoxide", Job{Engines: true}},
		{"weep holes", Job{Drains: true}}, {"Ways out", Job{Doors: true}},
		{"the fill takes 240 kg/m² (2.35 kPa) of that at its deepest", Job{Suspended: true}},
	} {
		if !strings.Contains(text(c.job), c.word) {
			t.Errorf("%+v: no word of %q", c.job, c.word)
		}
		if strings.Contains(text(Job{}), c.word) {
			t.Errorf("%q is said of a job without it", c.word)
		}
	}
	// By hand: 120 and 240 kg/m² are 1.18 and 2.35 kPa.
	if want := "120 kg/m² (1.18 kPa) on average and 240 kg/m² (2.35 kPa) at its deepest"; !strings.Contains(text(Job{}), want) {
		t.Errorf("the weight is not told as %q: %s", want, text(Job{}))
	}
	if got := Cautions(Load{}, Job{}); len(got) != 1 {
		t.Errorf("nothing to fill: %d cautions, want that of pipes and cables alone", len(got))
	}
}

func TestTheEngineerComesFirst(t *testing.T) {
	all := Job{Cut: 1, Bagged: true, Grounded: true, Suspended: true, Heated: true, Tendons: true, Pinned: true, Sawn: true, Old: true, Covering: true, Pumped: true, Engines: true, Drains: true, Doors: true}
	l := Load{Mass: 4800, Mean: 120, Most: 240}
	got := Cautions(l, all)
	if !strings.HasPrefix(got[0].Text.String(), "Suspended floor: order nothing until a licensed engineer") {
		t.Errorf("a suspended floor is told %q first", got[0].Text.String())
	}
	if first := Cautions(l, Job{})[0].Text.String(); !strings.Contains(first, "a licensed engineer must check that before anything is ordered") {
		t.Errorf("a floor that nobody spoke of is told %q first", first)
	}
	if last := got[len(got)-1].Text.String(); !strings.HasSuffix(last, "Local codes and licensed practice decide.") {
		t.Errorf("the last word is %q", last)
	}
	if len(got) != 17 {
		t.Errorf("%d cautions for a job that has everything, want 17", len(got))
	}
	seen := map[string]bool{}
	for _, n := range got {
		if n.Kind != survey.Caution || seen[n.Text.String()] {
			t.Errorf("%q is no caution, or said twice", n.Text.String())
		}
		seen[n.Text.String()] = true
	}
	// A load that could not be computed does not count as zero.
	if got := Cautions(Load{math.NaN(), math.NaN(), math.NaN()}, Job{}); !strings.HasPrefix(got[0].Text.String(), "Weight") {
		t.Errorf("an unknown load is told %q first", got[0].Text.String())
	}
}
