package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"pourplane/surface/job"
)

// samples are options for the surveys of the test data, each tried with files whose name
// contains only.
var samples = []struct {
	only    string
	options []string
}{
	{"", nil},
	{"", []string{"--units", "m"}},
	{"-bare", []string{"--units", "m", "--order", "PNEZD"}},
	{"xyz", []string{"--units", "m", "--order", "XYZ"}},
	{"rod", []string{"--units", "m", "--instrument-height", "11.5"}},
	{"feet-inch", []string{"--units", "ft", "--instrument-height", "100"}},
	{"duplicates", []string{"--units", "m", "--duplicates", "mean"}},
	{"04-xyz", []string{"--units", "m", "--zeros", "missing"}},
	{"scan", []string{"--thin", "500mm", "--units", "m"}},
	{"landxml", []string{"--retriangulate"}},
	{"demo", []string{"--benchmark", "BM1=100"}},
	{"demo", []string{"--benchmark", "BM1=100ft", "--adjust", "setups", "--allow", "0.015ft", "--leave-out", "155=rod on rubble", "--code", "CHK=floor"}},
	{"level-book", []string{"--units", "m", "--grid-spacing", "3", "--grid-numbers", "south", "--adjust", "setups", "--allow", "0.005/setup", "--accept-misclosure"}},
	{"grid", []string{"--units", "m", "--grid-spacing", "3", "--grid-numbers", "south", "--grid-values", "rod", "--instrument-height", "11.5"}},
	{"grid", []string{"--units", "m", "--grid-spacing", "3,2", "--grid-numbers", "120", "--grid-letters", "30", "--grid-values", "depth"}},
	{"grid", []string{"--units", "m", "--grid-spacing", "3", "--grid-numbers", "north", "--grid-values", "elevation", "--grid-origin", "12,-3"}},
	{"grid", []string{"--units", "m", "--grid-spacing", "3", "--grid-numbers", "south", "--grid-values", "elevation", "--grid-origin", "BAY 1=0,0", "--grid-origin", "BAY 2=12,0"}},
}

// If fill reads a survey of the test data with some options, new writes a job with the
// same options, and the job has the same fill.
func TestNewTakesWhatFillTakes(t *testing.T) {
	var files []string
	for _, pattern := range []string{"csv/*", "demo/survey.csv", "scan/slab*", "landxml/made/*.xml"} {
		some, err := filepath.Glob(filepath.Join("../../testdata", pattern))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, some...)
	}
	folder := t.TempDir()
	used, tried, tooSmall := map[string]int{}, 0, 0
	byCommand := map[[2]int]bool{} // samples and kinds of target that the command fill was run with
	for _, file := range files {
		for n, sample := range samples {
			options := sample.options
			if !strings.Contains(file, sample.only) {
				continue
			}
			var j job.Job
			c := &cobra.Command{Use: "new"}
			jobFlags(c, &j)
			if err := c.ParseFlags(options); err != nil {
				t.Fatal(err)
			}
			j.Survey.Files = []string{file}
			s, _, err := job.OpenFloor(&j, &disk{}, nil)
			if err != nil {
				continue
			}
			z, count := 0.0, 0
			add := func(v float64) { z, count = z+v, count+1 }
			for _, p := range s.Points {
				add(p.Z)
			}
			for _, u := range s.Surfaces {
				for _, p := range append(u.Vertices, u.Points...) {
					add(p.Z)
				}
			}
			if count == 0 {
				continue
			}
			targets := [][]string{{"--target", fmt.Sprintf("%.3fm", z/float64(count)+0.03)}}
			if len(s.Finished) > 0 {
				targets = append(targets, []string{"--finish-code", s.Finished[0].Code(), "--buildup", "12mm", "--low", "1/16in", "--covering", "10mm"})
			}
			for k, target := range targets {
				all := append(append([]string{file}, options...), target...)
				volume, ok := filledTo(t, file, all[1:])
				if !ok {
					continue
				}
				var out, diag bytes.Buffer
				name := filepath.Join(folder, fmt.Sprintf("%s-%d-%d.toml", filepath.Base(file), n, k))
				if run(append([]string{"new", "--yes", "--job", name}, all...), nil, &out, &diag) != done {
					// Other results of a job may need a larger floor than the fill.
					if text := diag.String(); strings.Contains(text, ": pins: found pins no place") || strings.Contains(text, ": pace: found placing time") {
						tooSmall++
						continue
					}
					t.Errorf("fill takes %q, new does not: %s", all, diag.String())
					continue
				}
				text, err := job.ReadFile(name)
				if err != nil {
					t.Fatal(err)
				}
				j, err := job.Parse(text, name)
				if err != nil {
					t.Fatal(err)
				}
				w, err := job.Fill(j, nil, &disk{}, nil)
				if err != nil {
					t.Errorf("the job of %q: %v", all, err)
					continue
				}
				if w.Fill.Fill != volume {
					t.Errorf("%q: the job has %.12g m³, fill %.12g", all, w.Fill.Fill, volume)
				}
				if of := [2]int{n, k}; !byCommand[of] { // JSON also says how sure all is, which takes longer than ten fills
					byCommand[of] = true
					if got := volumeOf(t, all); got != volume {
						t.Errorf("%q: the command has %.12g m³, the job of its options %.12g", all, got, volume)
					}
				}
				tried++
				for _, o := range all {
					if strings.HasPrefix(o, "--") {
						used[o]++
					}
				}
			}
		}
	}
	t.Logf("%d jobs, with %v", tried, used)
	if tried < 60 || tooSmall > tried/10 {
		t.Errorf("only %d jobs, and %d floors that are none", tried, tooSmall)
	}
	for _, flag := range []string{"--grid-spacing", "--grid-numbers", "--grid-letters", "--grid-values", "--grid-origin", "--finish-code", "--order", "--duplicates", "--zeros", "--thin", "--retriangulate", "--benchmark", "--instrument-height", "--adjust", "--allow", "--leave-out", "--code", "--accept-misclosure"} {
		if used[flag] == 0 {
			t.Errorf("no job has %s", flag)
		}
	}
}

// filledTo returns the fill of a survey with options of fill, m³; false if it is refused.
func filledTo(t *testing.T, file string, options []string) (volume float64, ok bool) {
	t.Helper()
	var j job.Job
	c := &cobra.Command{Use: "fill"}
	jobFlags(c, &j)
	if err := c.ParseFlags(options); err != nil {
		t.Fatal(err)
	}
	j.Survey.Files = []string{file}
	w, err := job.Fill(&j, nil, &disk{}, nil)
	if err != nil {
		return 0, false
	}
	return w.Fill.Fill, true
}

// volumeOf returns the fill that the command prints for its arguments, m³.
func volumeOf(t *testing.T, args []string) float64 {
	t.Helper()
	var out, diag bytes.Buffer
	if status := run(append([]string{"fill", "--json"}, args...), nil, &out, &diag); status != done {
		t.Fatalf("fill %q: status %d: %s", args, status, diag.String())
	}
	var r struct {
		Volume float64 `json:"fill_m3"`
	}
	if err := json.Unmarshal(out.Bytes(), &r); err != nil {
		t.Fatal(err)
	}
	return r.Volume
}

// The job has the sheet of a workbook and the sheet of its outline, and it runs.
func TestNewOfWorkbooks(t *testing.T) {
	folder := t.TempDir()
	name := filepath.Join(folder, "hall.xlsx")
	workbook(t, name)
	jobFile := filepath.Join(folder, "before.toml")
	var out, diag bytes.Buffer
	if status := run([]string{"new", name, "--sheet", "Before", "--outline", name, "--outline-sheet", "Walls", "--target", "10", "--yes", "--job", jobFile}, nil, &out, &diag); status != done {
		t.Fatalf("status %d: %s", status, diag.String())
	}
	if status := run([]string{"run", jobFile}, nil, &out, &diag); status != done {
		t.Fatalf("status %d: %s", status, diag.String())
	}
	result, err := os.ReadFile(filepath.Join(folder, "before", "result.json"))
	if err != nil || !strings.Contains(string(result), `"fill_m3": 1.1999999`) {
		t.Errorf("%.300s, %v", result, err)
	}
	// The questions are: the sheet, first answered wrong; the title; a target, first an
	// impossible one; the outline and its sheet; the bearing.
	jobFile = filepath.Join(folder, "asked.toml")
	out.Reset()
	answers := "Later\nbefore\n\n1000m\n" + name + "\nground\nWalls\n10m\n"
	if status := run([]string{"new", name, "--job", jobFile}, strings.NewReader(answers), &out, &diag); status != done {
		t.Fatalf("status %d: %s\n%s", status, out.String(), diag.String())
	}
	text, err := os.ReadFile(jobFile)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"\nsheet = \"before\" ", "\noutline-sheet = \"Walls\" ", "\nelevation = \"10m\" ", "\nbearing = \"ground\" "} {
		if !strings.Contains(string(text), want) {
			t.Errorf("no %q in\n%.2000s", want, text)
		}
	}
	for _, want := range []string{`want a sheet named "Later"`, `found 3 sheets with corners`, "found a target"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("no %q in\n%s", want, out.String())
		}
	}
}

// A shot left out by its row is found from the folder of the job. If run could not make
// its folder, no job is written.
func TestNewBesideOtherThings(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) string {
		name = filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return name
	}
	const shots = "point,x [m],y [m],z [m]\n1,0,0,9.9\n2,4,0,9.9\n3,4,3,9.9\n4,0,3,9.9\n5,2,1,9.5\n"
	file := write("shots.csv", shots)
	narrow := write("narrow.csv", "point,x [m],y [m],z [m]\n1,0,0,9.9\n2,0.2,0,9.9\n3,0.2,3,9.9\n4,0,3,9.9\n")
	inside := write("hall/shots.csv", shots)
	write("store/notes.txt", "milk")
	write("yard", "")
	if err := os.Mkdir(filepath.Join(folder, "jobs"), 0o777); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		file, job, leave string
		status           int
		want, hint       string
	}{
		{file, "jobs/a.toml", file + ":6=rod on rubble", done, "", ""},
		{narrow, "narrow.toml", "", refused, "pins: found no place", ""},
		{inside, "hall.toml", "", refused, "this input is in it", "hint: --job OTHER.toml: run makes a folder of the name of the job, without its ending"},
		{file, "store.toml", "", refused, "a folder that holds other things than results", "hint: --job OTHER.toml: run makes"},
		{file, "yard.toml", "", refused, "no file where run makes the folder of results", "hint: --job OTHER.toml"},
		{file, "plain", "", wrongUsage, "want a name with an ending", `hint: --job "` + filepath.Join(folder, "plain.toml") + `"`},
	} {
		name := filepath.Join(folder, c.job)
		args := []string{"new", c.file, "--target", "10m", "--yes", "--job", name}
		if c.leave != "" {
			args = append(args, "--leave-out", c.leave)
		}
		var out, diag bytes.Buffer
		if status := run(args, nil, &out, &diag); status != c.status || !strings.Contains(diag.String(), c.want) || !strings.Contains(diag.String(), c.hint) {
			t.Errorf("%s: status %d, %s", c.job, status, diag.String())
		}
		_, err := os.Stat(name)
		if (err == nil) != (c.status == done) {
			t.Errorf("%s: %v", c.job, err)
		}
		if c.status != done {
			continue
		}
		if status := run([]string{"run", name}, nil, &out, &diag); status != done || !strings.Contains(out.String(), "Order") {
			t.Errorf("run %s: status %d, %s", c.job, status, diag.String())
		}
	}
}
