package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Two thresholds with the same room above the fill are written once. A line of text that
// was left out is quoted, not read as the name of a shot.
func TestThresholdsAlikeAndQuotedLines(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "shop.csv")
	text := "Job: back room\npoint,x (m),y (m),z (m),code\n1,0,0,9.95,\n2,4,0,9.96,\n3,4,3,9.95,\n4,0,3,9.94,\nS1,0,1,10.02,SILL\nS2,0,2,10.02,SILL\nTotal 4 shots,,,,\n"
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	shown := strings.Join(strings.Fields(shownBy(t, "fill", name, "--target", "10m", "--out", filepath.Join(dir, "out"))), " ") // lines are folded
	for _, want := range []string{"2, each above the fill by 20 mm Floor", "skipped line before the header: Job: back room"} {
		if !strings.Contains(shown, want) {
			t.Errorf("no %q in\n%s", want, shown)
		}
	}
	svg, err := os.ReadFile(filepath.Join(dir, "out", "depth.svg"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(svg), "shot &#34;Total 4 shots&#34;") && !strings.Contains(string(svg), `"Total 4 shots"`) {
		t.Error("the line of text left out is not quoted on the map")
	}
}

// The order of placing mentions the way out only if the job gives one.
func TestOrderOfPlacing(t *testing.T) {
	shots, walls := "point,x (m),y (m),z (m)\n", "x_m,y_m\n0,0\n8,0\n8,4\n0,4\n"
	for _, p := range []string{"0.2,0.2", "4,0.2", "7.8,0.2", "0.2,2", "4,2", "7.8,2", "0.2,3.8", "4,3.8", "7.8,3.8"} {
		shots += "P" + p[:1] + p[len(p)-1:] + "," + p + ",9.9\n"
	}
	for site, want := range map[string]string{"": "from one end of the floor to the other", "exit = \"0m,2m\"\n": "the farthest from the way out first"} {
		dir := jobFolder(t, map[string]string{"shots.csv": shots, "walls.csv": walls,
			"job.toml": "title = \"Store\"\ndate = 2026-11-25\n[survey]\nfiles = [\"shots.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"10m\"\n[site]\n" + site + "[bays]\nwidth = \"3m\"\n"})
		page, err := os.ReadFile(filepath.Join(dir, "record.html"))
		if err != nil {
			t.Fatal(err)
		}
		if text := string(page); !strings.Contains(text, "Place them in this order, "+want) || strings.Contains(text, "way out") != (site != "") {
			t.Errorf("%q: not placed %s, or a way out that there is not", site, want)
		}
	}
}
