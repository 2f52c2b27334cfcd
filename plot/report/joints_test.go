package report

import (
	"strings"
	"testing"
)

// The record carries a movement joint through the full depth, a contraction joint a quarter of
// it, and says where a joint is if a line of the outline is named so.
func TestJointsOfTheRecord(t *testing.T) {
	joints := "[joints]\nlength = \"6m\"\n"
	for _, c := range []struct {
		name, job       string
		wanted, against []string
	}{
		{"movement", ramp + joints + "width = \"6mm\"\n", []string{"full depth of the fill and of the covering", "Compressible strip", "Mark each joint on the walls on site", "6 mm deep, at the top of the covering"}, []string{"Saw cut"}},
		{"no width", ramp + joints, []string{"Compressible strip", "measure it on site"}, []string{"Saw cut", "Backer rod, under the sealant"}},
		{"contraction", ramp + joints + "kind = \"contraction\"\n", []string{"Contraction joints", "Saw cut", "a quarter of the mean depth"}, []string{"Compressible strip", "full depth of the fill"}},
	} {
		r := runText(t, c.job)
		page := r.page(t)
		for _, w := range c.wanted {
			if !strings.Contains(page, w) {
				t.Errorf("%s: no %q in the record", c.name, w)
			}
		}
		for _, w := range c.against {
			if strings.Contains(page, w) {
				t.Errorf("%s: %q in the record", c.name, w)
			}
		}
	}
}

// A line of the outline whose name has the word joint gives the place, from the walls.
func TestJointsArePlacedByTheirLines(t *testing.T) {
	files := rampFiles()
	files["walls.csv"].Data = append(files["walls.csv"].Data, "east joint,line,2,0\neast joint,line,2,4\n"...)
	page := ranOn(t, ramp+"[joints]\nlength = \"4m\"\nwidth = \"6mm\"\n", files)
	if got := page.page(t); !strings.Contains(got, "Places: east joint: from west 2.000 m, south 0.000 m to west 2.000 m, south 4.000 m.") {
		t.Error("no place of the joint in the record", got[strings.Index(got, "Movement joints of"):][:900])
	}
}

// Bars stop at a movement joint that is drawn. Where it is not, or only in part, the first page
// and the section on steel say not to place any.
func TestSteelStopsAtMovementJoints(t *testing.T) {
	steel := "[bars]\nsize = \"8\"\nspacing = \"250mm\"\n"
	for _, c := range []struct {
		name, steel, line string
		first, section    string
	}{
		{"not drawn", steel, "", "Movement joints: this list has bars across them, as the job gives their length only: do not cut or place steel until each joint is drawn", "This list does not stop bars at the joint, as the job gives only its length: do not cut or place steel until it is drawn"},
		{"drawn", steel, "east joint,line,2,0\neast joint,line,2,4\n", "", "The bars below end 75 mm from each joint that is drawn."},
		{"part", steel, "east joint,line,2,0\neast joint,line,2,2.5\n", "the plan has only part of their length", "Only part of the length given is drawn"},
		{"mesh", "[mesh]\nsheet-length = \"3m\"\nsheet-width = \"2m\"\nmass-kgm2 = 2.0\n", "east joint,line,2,0\neast joint,line,2,4\n", "this list has sheets across them, as sheets are cut on site: cut each sheet at the joint", "cut them there"},
	} {
		files := rampFiles()
		files["walls.csv"].Data = append(files["walls.csv"].Data, c.line...)
		h := ranOn(t, ramp+c.steel+"[joints]\nlength = \"4m\"\nwidth = \"6mm\"\n", files)
		first := strings.Join(h.h.summarySection(true).Warnings, "\n")
		if got := strings.Contains(first, "No steel may cross a movement joint"); got != (c.first != "") || !strings.Contains(first, c.first) {
			t.Errorf("%s: first page:\n%s", c.name, first)
		}
		if text := strings.Join(h.h.steelSection().Text, "\n"); !strings.Contains(text, "Stop all steel on each side of a movement joint") || !strings.Contains(text, c.section) {
			t.Errorf("%s: reinforcement:\n%s", c.name, text)
		}
	}
}

// A joint that is drawn in a job without [joints] is no movement joint to the bars, which cross it:
// the first page and the section on steel say where. A kind of joint in the job settles it.
func TestJointsThatTheJobLeavesOut(t *testing.T) {
	for _, c := range []struct {
		name, keys, warned, section string
	}{
		{"bars", "[bars]\nsize = \"8\"\nspacing = \"250mm\"\n", "This list has bars across it: do not cut or place steel there", "The steel below is drawn across east joint: from west 2.000 m"},
		{"mesh", "[mesh]\nsheet-length = \"3m\"\nsheet-width = \"2m\"\nmass-kgm2 = 2.0\n", "This list has sheets across it: place none there", "The steel below is drawn across east joint: from west 2.000 m"},
		{"no steel", "", "A movement joint is carried through the fill, and no steel may cross it", ""},
		{"contraction", "[bars]\nsize = \"8\"\nspacing = \"250mm\"\n[joints]\nlength = \"4m\"\nkind = \"contraction\"\n", "", ""},
	} {
		files := rampFiles()
		files["walls.csv"].Data = append(files["walls.csv"].Data, "east joint,line,2,0\neast joint,line,2,4\n"...)
		h := ranOn(t, ramp+c.keys, files)
		first := strings.Join(h.h.summarySection(true).Warnings, "\n")
		where := "Joint in the plan, but not in the job: east joint: from west 2.000 m, south 0.000 m to west 2.000 m, south 4.000 m"
		if strings.Contains(first, where) != (c.warned != "") || !strings.Contains(first, c.warned) {
			t.Errorf("%s: first page:\n%s", c.name, first)
		}
		if text := strings.Join(h.h.steelSection().Text, "\n"); !strings.Contains(text, c.section) || c.section == "" && strings.Contains(text, "drawn across") {
			t.Errorf("%s: reinforcement:\n%s", c.name, text)
		}
	}
}
