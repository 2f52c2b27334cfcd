package file

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/text"
)

// Codes of drains as in field books: DRN and FD are usual abbreviations. Common
// practice, no source.
func TestDrains(t *testing.T) {
	const head = "name,x (m),y (m),elevation (m),code\n1,0,0,10,\n2,4,0,10,\n3,0,4,10,\n"
	for _, c := range []struct {
		code  string
		drain bool
	}{
		{"DRAIN", true}, {"DRN", true}, {"FD", true}, {"GULLY", true},
		{"Floor drain", true}, {"FLOOR DRAIN 2", true}, {"floor-drain", true}, {"drains", true}, {"DRAIN1", true}, {"F.D.", true}, {"gulley", true}, {"area drain", true}, {"trench drain", true}, {"sump", true},
		{"DR", false}, {"floor", false}, {"AREA", false}, {"trench", false}, {"sumpter", false},
		{"drn", true}, {" Drain ", true}, {"DRN 2", true}, {"FD-east", true}, {"GULLY:1", true},
		{"DRAINAGE", false}, {"FDN", false}, {"FLR", false}, {"near DRAIN", false},
	} {
		s, err := text.Read(strings.NewReader(head+"D7,2,2,9.9,"+c.code+"\n"), "list.csv", survey.Options{})
		if err != nil {
			t.Fatal(err)
		}
		noteDrains(s)
		if survey.IsDrain(c.code) != c.drain || (len(s.Points) == 3) != c.drain || (len(s.Drains()) == 1) != c.drain {
			t.Errorf("%q: %d shots on the floor, %d drains", c.code, len(s.Points), len(s.Drains()))
		}
		said := 0
		for _, n := range s.Notes {
			if strings.Contains(n.Text.String(), "1 drain left out of the floor: D7 ("+strings.TrimSpace(c.code)+")") && n.Pos.Line == 5 && n.Topic == survey.AboutDepth {
				said++
			}
		}
		if (said == 1) != c.drain {
			t.Errorf("%q: said %d times: %v", c.code, said, s.Notes)
		}
	}
	for code, role := range survey.DefaultCodes {
		if survey.IsDrain(code) && role != survey.Control {
			t.Errorf("%s is a drain and a shot of the floor", code)
		}
	}
}

// A drain that is filled over is floor when the user says so. A drain without a place or
// a name has a note. Many drains are counted.
func TestDrainsSaid(t *testing.T) {
	const head = "name,x (m),y (m),elevation (m),code\n1,0,0,10,\n2,4,0,10,\n3,0,4,10,\n"
	read := func(list string, o survey.Options) *survey.Survey {
		t.Helper()
		s, err := text.Read(strings.NewReader(list), "list.csv", o)
		if err != nil {
			t.Fatal(err)
		}
		noteDrains(s)
		return s
	}
	if s := read(head+"D7,2,2,9.9,DRN\n", survey.Options{Codes: map[string]survey.Role{"DRN": survey.Floor}}); len(s.Points) != 4 || len(s.Drains()) != 0 || strings.Contains(check.AllNotes(s), "drain") {
		t.Errorf("filled over: %d shots, %s", len(s.Points), check.AllNotes(s))
	}
	if s := read(head+",2,2,9.9,DRN\n", survey.Options{}); !strings.Contains(check.AllNotes(s), "1 drain left out of the floor: the shot of list.csv:5 (DRN)") {
		t.Errorf("without a name: %s", check.AllNotes(s))
	}
	many := head
	for range 7 {
		many += "D7,2,2,9.9,DRN\n"
	}
	if s := read(many, survey.Options{}); !strings.Contains(check.AllNotes(s), "7 drains left out of the floor: ") || !strings.Contains(check.AllNotes(s), ", and 2 more. ") {
		t.Errorf("seven: %s", check.AllNotes(s))
	}
	s := read("name,x (m),y (m),rod (m),code\nBM,,,1.2,BM\n1,0,0,1.5,\n2,4,0,1.5,\n3,0,4,1.5,\nD7,,,1.6,DRN\n", survey.Options{})
	if !strings.Contains(check.AllNotes(s), "D7: ") {
		t.Errorf("without a place: %s", check.AllNotes(s))
	}
	// In a column of remarks the word alone is a code, in any case.
	for remark, drains := range map[string]int{"Drain": 1, "DRN": 1, "gully": 1, "near drain": 0, "drain, plugged": 0} {
		if s := read("name,x (m),y (m),elevation (m),remarks\n1,0,0,10,\n2,4,0,10,\n3,0,4,10,\nD7,2,2,9.9,\""+remark+"\"\n", survey.Options{}); len(s.Drains()) != drains {
			t.Errorf("remark %q: %d drains", remark, len(s.Drains()))
		}
	}
}

// DR is used for a drain and for a door: it is floor, with a warning.
func TestDrainOrDoor(t *testing.T) {
	const list = "name,x (m),y (m),elevation (m),code\n1,0,0,10,\n2,4,0,10,\n3,0,4,10,\nD1,2,2,9.9,dr\n"
	for _, c := range []struct {
		codes map[string]survey.Role
		floor int
		asked bool
	}{{nil, 4, true}, {map[string]survey.Role{"DR": survey.Floor}, 4, false}, {map[string]survey.Role{"DR": survey.Control}, 3, false}} {
		s, err := text.Read(strings.NewReader(list), "list.csv", survey.Options{Codes: c.codes})
		if err != nil {
			t.Fatal(err)
		}
		noteDrains(s)
		if asked := strings.Contains(check.AllNotes(s), "a door or a drain?"); asked != c.asked || len(s.Points) != c.floor {
			t.Errorf("%v: %d shots, asked %v: %s", c.codes, len(s.Points), asked, check.AllNotes(s))
		}
	}
	// A kind of drain may come before the word, also in a description.
	for _, head := range []string{"code", "description"} {
		s, err := text.Read(strings.NewReader("name,x (m),y (m),elevation (m),"+head+"\n1,0,0,10,\n2,4,0,10,\n3,0,4,10,\nD1,2,2,9.9,Floor drain\n"), "list.csv", survey.Options{Codes: map[string]survey.Role{"DRAIN": survey.Floor}})
		if err != nil || len(s.Points) != 4 {
			t.Errorf("%s: %v, a drain that is floor is left out", head, err)
		}
	}
}
