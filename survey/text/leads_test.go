package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// A remark that begins with a code but holds more must not become floor without a word.
// Where punctuation parts a code in capitals from the rest it is read, else warned of.
func TestRemarksThatBeginWithACode(t *testing.T) {
	const read5, floor5 = "read as the code ", "begins with the code "
	for _, c := range []struct {
		remark string
		head   string
		note   string // of row 5; empty: none
		floor  int    // floor shots of 5
		code   string // of row 5
	}{
		{"ADJ hall oak finished", "Remarks", floor5 + "ADJ: used as floor. If it is adjoining finished floor, write ADJ alone, or in a column headed code", 5, ""},
		{"ADJ - hall", "Remarks", read5 + "ADJ: not counted as floor. For a floor shot type --code ADJ=floor", 4, "ADJ"},
		{"ADJ: hall", "Desc", read5 + "ADJ: not counted", 4, "ADJ"},
		{"adj.", "Remarks", "", 4, "adj."},
		{"Adj. hall", "Remarks", floor5 + "ADJ", 5, ""},
		{"adj", "Desc", `"adj" (1 row) read as a remark`, 5, "adj"},
		{"finished floor", "Remarks", floor5 + "FINISHED: used as floor. If it is adjoining finished floor, write ADJ alone", 5, ""},
		{"Finish floor hall", "Remarks", floor5 + "FINISHED", 5, ""},
		{"F.F.L. hall", "Remarks", floor5 + "FFL", 5, ""},
		{"sill is loose", "Remarks", floor5 + "SILL", 5, ""},
		{"DRAIN; 4in", "Remarks", read5 + "DRAIN", 4, "DRAIN"},
		{"floor drain rim", "Remarks", floor5 + "DRAIN: used as floor. If it is a drain, write DRAIN alone", 5, ""},
		{"Drains to the north", "Remarks", floor5 + "DRAIN", 5, ""},
		{"channel drain", "Remarks", "", 4, "channel drain"},
		{"VOID 2", "Desc", floor5 + "VOID: used as floor. If it is no floor shot, write VOID alone", 5, "VOID 2"},
		{"out of level", "Remarks", "", 5, ""},
		{"check again", "Remarks", "", 5, ""},
		{"CHECK again", "Remarks", "", 5, ""},
		{"near drain", "Remarks", "", 5, ""},
		{"wet", "Remarks", "", 5, ""},
		{"adjacent to the wall", "Remarks", "", 5, ""},
	} {
		text := "P,E,N,Z," + c.head + "\n1,0,0,1,\n2,4,0,1,\n3,4,4,1,\n4,0,4,1,\n5,2,2,1," + c.remark + "\n"
		s, err := read(t, text, survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Fatal(err)
		}
		notes := check.AllNotes(s)
		warned := strings.Contains(notes, floor5) || strings.Contains(notes, read5) || strings.Contains(notes, "(1 row)")
		if !strings.Contains(notes, c.note) || warned != (c.note != "") || len(s.Points) != c.floor {
			t.Errorf("%s %q: %d floor shots, notes\n%s\nwant %d and %q", c.head, c.remark, len(s.Points), notes, c.floor, c.note)
		}
		for _, list := range [][]survey.Point{s.Points, s.Finished, s.Control} {
			for _, p := range list {
				if p.Name() == "5" && p.Code() != c.code {
					t.Errorf("%s %q: code %q, want %q", c.head, c.remark, p.Code(), c.code)
				}
			}
		}
		// In a file with a column of codes the remark of a shot without code is warned of.
		coded := strings.NewReplacer(",1,\n", ",1,,\n", "Z,"+c.head, "Z,Code,"+c.head, ",1,"+c.remark, ",1,,"+c.remark).Replace(text)
		s, err = read(t, coded, survey.Options{Unit: unit.Metre})
		if err != nil || len(s.Points) != 5 {
			t.Errorf("with codes, %q: %v, %d floor shots", c.remark, err, len(s.Points))
		}
		if c.note != "" && !strings.Contains(check.AllNotes(s), "used as floor") && !strings.Contains(check.AllNotes(s), "(1 row)") {
			t.Errorf("with codes, %q: no warning in\n%s", c.remark, check.AllNotes(s))
		}
	}
	// --code decides.
	s, err := read(t, "P,E,N,Z,Remarks\n1,0,0,1,ADJ hall\n2,4,0,1,\n3,4,4,1,\n", survey.Options{Unit: unit.Metre, Codes: map[string]survey.Role{"ADJ": survey.Floor}})
	if err != nil || len(s.Points) != 3 || strings.Contains(check.AllNotes(s), floor5) || len(s.Served.Codes) != 1 {
		t.Errorf("ADJ=floor: %v, %d floor shots, %v, notes %s", err, len(s.Points), s.Served.Codes, check.AllNotes(s))
	}
	// So does the whole remark, of any length and in any case.
	for _, remark := range []string{"floor drain", "Floor drain at the north door.", "adj"} {
		own := map[string]survey.Role{strings.ToUpper(strings.TrimRight(remark, ".")): survey.Floor}
		s, err := read(t, "P,E,N,Z,Remarks\n1,0,0,1,"+remark+"\n2,4,0,1,\n3,4,4,1,\n", survey.Options{Unit: unit.Metre, Codes: own})
		if notes := check.AllNotes(s); err != nil || len(s.Points) != 3 || strings.Contains(notes, "code") || len(s.Served.Codes) != 1 {
			t.Errorf("%s=floor: %v, %d floor shots, %v, notes %s", remark, err, len(s.Points), s.Served.Codes, notes)
		}
	}
	// Of many the first five are listed.
	many := "P,E,N,Z,Remarks\n"
	for i := range 8 {
		many += string(rune('1'+i)) + "," + string(rune('0'+i%3)) + "," + string(rune('0'+i/3)) + ",1,finished floor\n"
	}
	if s, err = read(t, many, survey.Options{Unit: unit.Metre}); err != nil || strings.Count(check.AllNotes(s), floor5) != 5 || !strings.Contains(check.AllNotes(s), "3 more remarks begin with a code") {
		t.Errorf("many: %v, %s", err, check.AllNotes(s))
	}
	// A benchmark that is no floor shot is none of them.
	s, err = read(t, "P,x_m,y_m,rod_m,Remarks\nBM1,,,1.5,check\n1,0,0,1.6,\n2,4,0,1.6,\n3,4,4,1.6,\n", survey.Options{Benchmarks: map[string]float64{"BM1": 100}})
	if err != nil || strings.Contains(check.AllNotes(s), "read as a remark") {
		t.Errorf("check on BM1: %v, %s", err, check.AllNotes(s))
	}
}
