package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/xuri/excelize/v2"

	"pourplane/plot/exchange"
	"pourplane/plot/sheet"
	"pourplane/surface/job"
	"pourplane/survey/unit"
)

// ran is a job with what is shown of it.
type ran struct {
	h        *Handover
	terminal string // with all tables
	result   JobResult
}

// runText solves a job, given as text, for a floor of 6 × 4 m that falls from 20 mm to 100 mm
// below 0 along x.
func runText(t *testing.T, text string) ran {
	t.Helper()
	return ranOn(t, text, rampFiles())
}

// rampFiles are the shots and the walls of [ramp].
func rampFiles() fstest.MapFS {
	var shots bytes.Buffer
	fmt.Fprintln(&shots, "point,x (m),y (m),z (m)")
	for i := range 7 {
		for j := range 5 {
			fmt.Fprintf(&shots, "%d,%d,%d,%.12f\n", 100+5*i+j, i, j, -0.020-0.080*float64(i)/6)
		}
	}
	return fstest.MapFS{"floor.csv": {Data: shots.Bytes()}, "walls.csv": {Data: []byte("part,ring,x_m,y_m\nroom,outer,0,0\nroom,outer,6,0\nroom,outer,6,4\nroom,outer,0,4\n")}}
}

// ranOn solves a job, given as text, for files.
func ranOn(t *testing.T, text string, files fstest.MapFS) ran {
	t.Helper()
	j, err := job.Parse([]byte("title = \"Ramp\"\ndate = 2026-11-25\n"+text), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	done, err := job.Solve(t.Context(), j, files, nil)
	if err != nil {
		t.Fatal(err)
	}
	h, err := NewHandover(done, StyleOf(done))
	if err != nil {
		t.Fatal(err)
	}
	return ran{h, printed(t, h), numbersOf(t, h)}
}

// printed is what the terminal shows of a job, with all tables.
func printed(t *testing.T, h *Handover) string {
	t.Helper()
	sum := &Summary{Filled: h.Filled, Style: h.Style, Verbose: true}
	sum.Extra = h.Rows()
	var b bytes.Buffer
	if err := sum.Print(&b); err != nil {
		t.Fatal(err)
	}
	if err := h.PrintTables(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A job solved once is written in both systems: the demo job is in feet, with pins, bars and
// prices. The JSON does not depend on it.
func TestOneResultInBothSystems(t *testing.T) {
	us := hall(t)
	metric, err := NewHandover(us.Result, unit.Style{})
	if err != nil {
		t.Fatal(err)
	}
	before, text := printed(t, us), printed(t, metric)
	inches := regexp.MustCompile(`\d"|\d ft\b|\d ft²|yd³|\d lb\b`)
	ordered := regexp.MustCompile(`[0-9.]+ yd³ (\([0-9.]+ m³\))`) // orders are in steps of the job's own system, with both figures
	for line := range strings.Lines(ordered.ReplaceAllString(text, "$1")) {
		if inches.MatchString(line) && !strings.Contains(line, " survey.csv:") { // notes on a level book are as booked
			t.Errorf("in metric units: %s", line)
		}
	}
	millimetres := regexp.MustCompile(`\d mm\b|\d m\b|\d m²|\d m³|\d kg\b|\d t\b`)
	for line := range strings.Lines(before) {
		if millimetres.MatchString(line) && !strings.Contains(line, "Rough floor: 1.0 mm") { // as entered
			t.Errorf("in feet: %s", line)
		}
	}
	// The target of 99.930 ft, × 0.3048 and rounded down, and its fill of 5.60 m³, ÷ 0.9144³.
	for shown, all := range map[string][]string{text: {"30.458 m", "5.60 m³"}, before: {"99.930 ft", "7.32 yd³"}} {
		for _, want := range all {
			if !strings.Contains(shown, want) {
				t.Errorf("no %s in\n%s", want, shown)
			}
		}
	}
	if after := printed(t, us); after != before {
		t.Error("the result is another one after it was shown in metric units")
	}
	a, errA := us.JSON()
	b, errB := metric.JSON()
	if errA != nil || errB != nil || !bytes.Equal(a, b) {
		t.Errorf("the JSON depends on the units shown (%v, %v)", errA, errB)
	}
}

// numbersOf is result.json.
func numbersOf(t *testing.T, h *Handover) (r JobResult) {
	t.Helper()
	data, err := h.JSON()
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

// book is takeoff.xlsx.
func (r *ran) book(t *testing.T) *excelize.File {
	t.Helper()
	var b bytes.Buffer
	if err := exchange.WriteXLSX(&b, "Ramp", r.h.date, r.h.books()); err != nil {
		t.Fatal(err)
	}
	book, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { book.Close() })
	return book
}

// page is record.html.
func (r *ran) page(t *testing.T) string {
	t.Helper()
	var b strings.Builder
	if err := sheet.WriteHTML(&b, r.h.record(false), r.h.main()); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var theHall = sync.OnceValues(func() (*job.Job, error) {
	text, err := os.ReadFile("../../testdata/demo/job.toml")
	if err != nil {
		return nil, err
	}
	return job.Parse(text, "job.toml")
})

// hall is the demo job.
func hall(t *testing.T) *Handover {
	t.Helper()
	j, err := theHall()
	if err != nil {
		t.Fatal(err)
	}
	done, err := job.Solve(t.Context(), j, os.DirFS("../../testdata/demo"), nil)
	if err != nil {
		t.Fatal(err)
	}
	h, err := NewHandover(done, StyleOf(done))
	if err != nil {
		t.Fatal(err)
	}
	return h
}

const ramp = `[survey]
files = ["floor.csv"]
outline = "walls.csv"
[target]
elevation = "0m"
`
