package report

import (
	"regexp"
	"strings"
	"testing"

	"pourplane/surface/job"
)

// The record names only those additions to the net volume that the job sets.
func TestRecordNamesTheAdditionsOfTheJob(t *testing.T) {
	t.Parallel()
	const floor = "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\nsetup-sd = \"1mm\"\n[target]\nelevation = \"10m\"\n"
	const bags = "[[materials]]\nname = \"screed\"\nbag-yield = \"12L\"\n"
	files := floorIn("m", 6, 4, 1, levelAt(9.95))
	for _, c := range []struct{ settings, want string }{
		{"", "Bags with the allowance of 5 %."},
		{"[mix]\nallowance-percent = 0\n", "Bags with nothing beyond the net volume: no allowance is set."},
		{"[plant]\nroughness = \"1mm\"\n", "Bags with rough floor and the allowance of 5 %."},
		{"[mix]\nallowance-percent = 0\n[plant]\nfinish-high = \"1mm\"\n", "Bags with finish high."},
		{"[mix]\nrisk-percent = 1\nallowance-percent = 1\n[plant]\nroughness = \"1mm\"\nfinish-high = \"1mm\"\n", "Bags with rough floor, finish high, a margin for a risk of 1 % and the allowance of 1 %."},
	} {
		h := handed(t, floor+bags+c.settings, files)
		var notes []string
		for _, table := range h.orderSection().Tables {
			notes = append(notes, table.Notes...)
		}
		saidIn(t, strings.Join(notes, "\n"), c.want)
	}
	for settings, want := range map[string]string{
		"":                                 "Mix by truck: with the allowance of each bay; together the 1.50 m³ ordered.",
		"[mix]\nallowance-percent = 0\n":   "Mix by truck: together the 1.25 m³ ordered.",
		"[plant]\nfinish-high = \"1mm\"\n": "Mix by truck: with finish high and the allowance of each bay; together the 1.50 m³ ordered.",
	} {
		h := handed(t, floor+"[bays]\nwidth = \"3m\"\n"+settings, files)
		saidIn(t, h.mixNote(), want)
	}
}

// A record is read without the job file: it names no key of one.
func TestRecordNamesNoKeys(t *testing.T) {
	t.Parallel()
	keys := []string{`\[\[?[a-z]+\]`, `--[a-z]`}
	for _, f := range job.Fields {
		_, key, of := strings.Cut(f.Key, ".")
		if of {
			keys = append(keys, regexp.QuoteMeta(f.Key))
		}
		if strings.Contains(key, "-") && key != "short-load" {
			keys = append(keys, `\b`+regexp.QuoteMeta(key)+`\b`)
		}
	}
	key := regexp.MustCompile(strings.Join(keys, "|"))
	const thin = "[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\nafter = [\"after.csv\"]\n[target]\nelevation = \"10m\"\ncovering = \"8mm\"\n[flatness]\n"
	files := floorIn("m", 6, 4, 1, levelAt(9.98))
	files["after.csv"] = floorIn("m", 6, 4, 1, levelAt(10))["floor.csv"]
	for name, h := range map[string]*Handover{"hall": hall(t), "thin": handed(t, thin, files)} {
		for _, s := range h.record(false).Sections {
			text := append([]string{s.Title}, s.Text...)
			for _, one := range s.Tables {
				text = append(append(text, one.Title), one.Notes...)
				for _, row := range cellsOf(one) {
					text = append(text, row...)
				}
			}
			for _, line := range text {
				if found := key.FindString(line); found != "" {
					t.Errorf("%s, %s: %q is in %q", name, s.Title, found, line)
				}
			}
		}
	}
}
