package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// shownBy returns the output of a command, which must succeed.
func shownBy(t *testing.T, args ...string) string {
	t.Helper()
	var out, diag bytes.Buffer
	if status := run(args, strings.NewReader(""), &out, &diag); status != done {
		t.Fatalf("%v: status %d: %s", args, status, diag.String())
	}
	return out.String()
}

// The verdict comes first, and fits a terminal without scrolling.
func TestFlatnessInShort(t *testing.T) {
	demo := "../../testdata/demo/"
	for _, c := range []struct {
		args []string
		want []string
	}{
		{[]string{demo + "check.csv", "--poured", "--benchmark", "BM1=100ft", "--target", "99.93ft", "--tolerance", "1/64in", "--out", t.TempDir()},
			[]string{"standards: 2 pass, 3 fail (3 could go either way), 8 partly", "30 not measured", "Fail         tr34-fm1, dtu52.1, nzs3109 (--verbose has the figures)", "\nH1 ", "More: ", "30 rules not measured", "--verbose prints all", "Written to ", "open departures.pdf first; "}},
		{[]string{demo + "lines.csv"}, []string{"standards: 15 pass (5 could go either way, 3 without an interval), 6 fail", "\nF-numbers    FF 45.7 ", "11 rules not measured"}},
	} {
		args := append([]string{"flatness", "--outline", demo + "outline.csv"}, c.args...)
		text := shownBy(t, args...)
		lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
		if len(lines) > 40 {
			t.Errorf("%d lines, want 40 at most", len(lines))
		}
		for _, l := range lines {
			if n := utf8.RuneCountInString(l); n > 100 && !strings.HasPrefix(l, "Written to ") {
				t.Errorf("%d columns: %s", n, l)
			}
		}
		if !strings.HasPrefix(lines[2], "Verdict ") {
			t.Errorf("line 3 is %q, want the verdict", lines[2])
		}
		for _, want := range c.want {
			if !strings.Contains(strings.Join(strings.Fields(text), " "), strings.TrimSpace(strings.Join(strings.Fields(want), " "))) {
				t.Errorf("want %q in\n%s", want, text)
			}
		}
		if all := shownBy(t, append(args, "--verbose")...); !strings.Contains(all, "\nTolerance check") {
			t.Errorf("--verbose has no table of limits")
		}
	}
}

// Cells outside an L-shaped floor take one line, and the map names a line of the file
// once.
func TestEmptyCellsAreOneLine(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"l.csv":     "grid,A,B,C,D,E,F\n1,32,30,33,31,34,32\n2,34,32,30,33,31,34\n3,31,34,32,30,33,31\n4,33,31,34,,,\n5,30,33,31,,,\n6,32,30,33,,,\n",
		"walls.csv": "x [m],y [m]\n0,0\n10,0\n10,4\n4,4\n4,10\n0,10\n",
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	out := filepath.Join(dir, "out")
	args := []string{"fill", filepath.Join(dir, "l.csv"), "--units", "mm", "--grid-spacing", "2m", "--grid-numbers", "north", "--grid-values", "rod",
		"--outline", filepath.Join(dir, "walls.csv"), "--target", "-30mm", "--out", out}
	text := shownBy(t, append(args, "--verbose")...)
	if strings.Count(text, "empty cells") != 1 || !strings.Contains(text, "l.csv: 9 empty cells\n") || strings.Contains(text, "no reading") {
		t.Errorf("want one line of 9 empty cells in\n%s", text)
	}
	svg, err := os.ReadFile(filepath.Join(out, "depth.svg"))
	if err != nil || !bytes.Contains(svg, []byte("9 empty cells left out (lines 5, 6, 7)")) {
		t.Errorf("the map does not name lines 5, 6, 7 once each (%v)", err)
	}
	data := shownBy(t, append(args, "--json")...)
	if n := strings.Count(data, "no reading"); n != 9 {
		t.Errorf("JSON lists %d cells, want 9", n)
	}
}

// Mean depth counts filled area only: in a floor with one half 0 to 20 mm below the
// target and the other as much above it, the fill has a mean depth of 10 mm.
func TestMeanWhereFilled(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "ramp.csv")
	if err := os.WriteFile(name, []byte("x (m),y (m),z (m)\n0,0,0.98\n0,2,0.98\n2,0,1\n2,2,1\n4,0,1.02\n4,2,1.02\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	args := []string{"fill", name, "--target", "1m"}
	if text := shownBy(t, args...); !strings.Contains(text, "mean 10 mm where filled") {
		t.Errorf("want the mean of the filled part in\n%s", text)
	}
	data := shownBy(t, append(args, "--json")...)
	if !strings.Contains(data, `"mean": 0,`) && !strings.Contains(data, `"mean": -`) && !strings.Contains(data, `e-1`) || !strings.Contains(data, `"mean_where_filled": 0.01`) && !strings.Contains(data, `"mean_where_filled": 0.0099999`) {
		t.Errorf("want both means in\n%s", data)
	}
	if text := shownBy(t, "fill", name, "--target", "1.02m"); strings.Contains(text, "where filled") {
		t.Errorf("nothing is cut, and the mean is of a part:\n%s", text)
	}
}

// A job in feet shows no metres to people, and no 0" for a value that is not zero.
func TestFeetStayFeet(t *testing.T) {
	demo := "../../testdata/demo/"
	if text := shownBy(t, "flatness", "--rule", "list", "--show", "feet"); strings.Contains(text, "  3 mm ") || !strings.Contains(text, "3 mm (0.118 in)") || !strings.Contains(text, `gap under a straightedge, 10'-0"`) {
		t.Errorf("limits in feet and inches:\n%s", text)
	}
	if text := shownBy(t, "read", demo+"survey.csv", "--outline", demo+"outline.csv"); strings.Contains(text, " 1 mm") || !strings.Contains(strings.Join(strings.Fields(text), " "), `enough on a grid for an average depth within 1/16", 90 % sure, set-up error aside (pourplane plan counts it)`) {
		t.Errorf("density in inches:\n%s", text)
	}
	style := unit.Style{Imperial: true}
	for _, c := range []struct {
		m    float64
		want string
	}{{0.0007, `less than 1/16"`}, {0.0009, `1/16"`}} {
		if got := job.LessThanStep(c.m).In(style); got != c.want {
			t.Errorf("%g m: %s, want %s", c.m, got, c.want)
		}
	}
}

// A bare unit weight that may also be in lb/ft³ is refused.
func TestBareUnitWeight(t *testing.T) {
	var out, diag bytes.Buffer
	status := run([]string{"fill", "nofile.csv", "--target", "1m", "--unit-weight", "150"}, strings.NewReader(""), &out, &diag)
	if status != wrongUsage || !strings.Contains(diag.String(), "150lb/ft3 or 150kg/m3") {
		t.Errorf("status %d, %s; want 2 and both ways to write it", status, diag.String())
	}
}

// --verbose prints every note, however many there are of one kind.
func TestVerboseListsEveryNote(t *testing.T) {
	points, book := "name,x [m],y [m],z [m]\n", "setup,sight,point,rod [m],elevation [m]\n1,BS,BM,1.500,10.000\n"
	const many = 60
	for i := range many {
		points += fmt.Sprintf("P%d,%d,%d,10.0%d\nQ%d,%d,9,\n", i, i, i%3, i%7, i, i)
		book += fmt.Sprintf("1,IS,P%d,1.4%d,\n1,IS,Q%d,,\n", i, i%9, i)
	}
	book += "1,FS,BM,1.500,\n"
	for _, c := range []struct{ command, text, want string }{
		{"read", points, ": no elevation\n"},
		{"reduce", book, ": no rod reading\n"},
	} {
		name := filepath.Join(t.TempDir(), "many.csv")
		if err := os.WriteFile(name, []byte(c.text), 0o644); err != nil {
			t.Fatal(err)
		}
		if text := shownBy(t, c.command, name, "--verbose"); strings.Count(text, c.want) != many || strings.Contains(text, "more; ") {
			t.Errorf("%s: %d lines of %q, want %d:\n%s", c.command, strings.Count(text, c.want), c.want, many, text)
		}
	}
}

// A warning that changes a figure is below that figure, however many lines it takes.
// Advice on an order, of which there may be much, is shown once and only if there is
// room.
func TestWarningsAreBelowTheirFigure(t *testing.T) {
	rows := []report.AnswerRow{{Head: "Order", Text: "1 m³", Topic: survey.AboutOrder}, {Head: "Depth", Text: "10 mm", Topic: survey.AboutDepth}, {Head: "Target", Text: "10 m", Topic: survey.AboutTarget}}
	var notes []survey.Note
	warn := func(about survey.Topic, texts ...string) {
		for _, text := range texts {
			notes = append(notes, survey.Notef(survey.Warning, survey.Pos{}, "%s", text).About(about))
		}
	}
	warn(survey.AboutOrder, "truck 1 waits", "truck 2 waits", "truck 3 waits")
	warn(survey.AboutDepth, "shot 4 looks wrong", "shot 5 looks wrong")
	warn(survey.AboutTarget, "runs on below the drain", "above the target: grind it")
	var b bytes.Buffer
	report.Brief{Title: "hall", Rows: rows, Notes: notes, Tail: []string{"Written to out: depth.png"}, Most: 10}.Print(&b)
	for _, want := range []string{"1 m³\n             ! Truck 1 waits\nDepth", "10 mm\n             ! Shot 4 looks wrong\n             ! Shot 5 looks wrong\nTarget",
		"10 m\n             ! Runs on below the drain\n             ! Above the target: grind it\n", "More: 2 of 7 warnings;"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is not in\n%s", want, b.String())
		}
	}
}
