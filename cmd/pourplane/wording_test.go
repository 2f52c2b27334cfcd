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
	shown := strings.Join(strings.Fields(shownBy(t, "fill", name, "--target", "10m", "--verbose", "--out", filepath.Join(dir, "out"))), " ") // lines are folded
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
