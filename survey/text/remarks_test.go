package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// A column of remarks holds no codes, wherever it is. A column of descriptions does, as D
// of PNEZD. A code alone in a remark is taken as the code, with a note.
func TestRemarksAreNoCodes(t *testing.T) {
	const note = ` "Remarks" holds remarks. A cell with a code alone gives its shot that code: ADJ 2, DRAIN 1. For a floor shot type --code ADJ=floor`
	for _, c := range []struct{ name, text, note string }{
		{"last of five", "P,E,N,Z,Remarks\n1,0,0,1,wet\n2,4,0,1,by the door\n3,4,4,1,ADJ\n4,0,4,1,ADJ\n5,2,2,1,Drain\n", "column 5" + note},
		{"fourth, no names", "E,N,Z,Remarks\n0,0,1,wet\n4,0,1,by the door\n4,4,1,ADJ\n0,4,1,ADJ\n2,2,1,Drain\n", "column 4" + note},
		{"before the elevation", "P,E,N,Remarks,Z\n1,0,0,wet,1\n2,4,0,by the door,1\n3,4,4,ADJ,1\n4,0,4,ADJ,1\n5,2,2,Drain,1\n", "column 4" + note},
	} {
		s, err := read(t, c.text, survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range s.Points {
			if p.Code() != "" {
				t.Errorf("%s: %q is a code of a floor shot", c.name, p.Code())
			}
		}
		if len(s.Points) != 2 || len(s.Finished) != 2 || s.Finished[0].Code() != "ADJ" || len(s.Drains()) != 1 {
			t.Errorf("%s: %d floor shots, %v finished, %d drains; want 2, 2 ADJ, 1", c.name, len(s.Points), s.Finished, len(s.Drains()))
		}
		if got := check.AllNotes(s); !strings.Contains(got, c.note) {
			t.Errorf("%s: notes\n%s\nwant %q", c.name, got, c.note)
		}
		if !strings.Contains(" "+s.Order+" ", " remark ") {
			t.Errorf("%s: columns %q, want a remark", c.name, s.Order)
		}
	}
	for _, head := range []string{"remark", "note", "Notes", "comment", "Comments", "location", "where", "observation", "Bemerkung"} {
		s, err := read(t, "P,E,N,Z,"+head+"\n1,0,0,1,wet\n2,4,0,1,\n3,4,4,1,\n", survey.Options{Unit: unit.Metre})
		if err != nil || s.Points[0].Code() != "" || s.Points[0].Remark() != "wet" || strings.Contains(check.AllNotes(s), "holds remarks") {
			t.Errorf("%s: %v, code %q, notes %s", head, err, s.Points[0].Code(), check.AllNotes(s))
		}
	}
	for _, head := range []string{"Desc", "description", "what"} {
		s, err := read(t, "P,E,N,Z,"+head+"\n1,0,0,1,wet\n2,4,0,1,\n3,4,4,1,ADJ\n", survey.Options{Unit: unit.Metre})
		if err != nil || s.Points[0].Code() != "wet" || len(s.Finished) != 1 {
			t.Errorf("%s: %v, code %q, %v", head, err, s.Points[0].Code(), s.Finished)
		}
	}
	// --code decides, and no note is left.
	s, err := read(t, "P,E,N,Z,Remarks\n1,0,0,1,ADJ\n2,4,0,1,\n3,4,4,1,\n", survey.Options{Unit: unit.Metre, Codes: map[string]survey.Role{"ADJ": survey.Floor}})
	if err != nil || len(s.Points) != 3 || strings.Contains(check.AllNotes(s), "holds remarks") {
		t.Errorf("ADJ=floor: %v, %d floor shots, notes %s", err, len(s.Points), check.AllNotes(s))
	}
	many := "P,E,N,Z,Remarks\n1,0,0,1,\n2,4,0,1,\n3,4,4,1,\n"
	for i, w := range []string{"ADJ", "SILL", "FF", "BM", "TP", "CHK", "FIN"} {
		many += "M" + w + "," + string(rune('0'+i)) + ",1,1," + w + "\n"
	}
	if s, err := read(t, many, survey.Options{Unit: unit.Metre}); err != nil || !strings.Contains(check.AllNotes(s), "code: ADJ 1, BM 1, CHK 1, FF 1, FIN 1, and 2 more. ") {
		t.Errorf("seven words: %v, notes %s", err, check.AllNotes(s))
	}
}
