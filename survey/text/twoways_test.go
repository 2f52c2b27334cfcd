package text

import (
	"errors"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// TestCutDecimals: a whole height with only digits after it may be cut by a decimal
// comma. A height with a decimal point is not cut.
func TestCutDecimals(t *testing.T) {
	for _, c := range []struct {
		head, rows string
		line       int // 0: read
	}{
		{"point,x (m),y (m),rod (m),remarks", "1,0,0,1,550\n2,1,0,1,544\n3,0,1,1,538\n", 2},
		{"point,x (m),y (m),z (m),remarks", "1,0,0,-0,010\n2,1,0,0,002\n3,0,1,-0,007\n", 2},
		{"point,x (m),y (m),z (m),remarks", "1,0,0,9.950,\n2,1,0,9,956\n3,0,1,9.953,\n", 3},
		{"point,x (m),y (m),z (m),code", "1,0,0,9.950,\n2,1,0,9.956,\n3,0,1,9,95\n", 4},
		{"point,x (m),y (m),rod (cm),remarks", "1,0,0,155,0\n2,1,0,154,5\n3,0,1,153,5\n", 2},
		{"point,x (ft),y (ft),z (ft),remarks", "1,0,0,9,9500\n2,1,0,9.9561,\n3,0,1,9.9533,\n", 2},
		{"point,x (m),y (m),rod (m),code", "BM1,,,1,500,\n1,0,0,1,552,\n2,1,0,1,556,\n3,2,0,1,549,,\n", 2}, // one more separator at the end
		// Tags beside heights that are not cut.
		{"point,x (m),y (m),z (m),remarks", "1,0,0,9.950,550\n2,1,0,9.956,12\n3,0,1,9.0,538\n", 0},
		{"point,x (m),y (m),z (m),remarks", "1,0,0,10,5\n2,1,0,10,6\n3,0,1,10,\n", 0},
		{"point,x (m),y (m),z (m),remarks", "1,0,0,10,12345\n2,1,0,10,tag 12\n3,0,1,10,\n", 0},
		{"point,x (m),y (m),rod (mm),remarks", "1,0,0,1550,12\n2,1,0,1544,13\n3,0,1,1538,14\n", 0},
		{"point;x (m);y (m);rod (m);remarks", "1;0;0;1;550\n2;1;0;1;544\n3;0;1;1;538\n", 0},
		{"point,x (m),y (m),z (m),remarks", "1,0,0,10,ok\n2,1,0,10,\n3,0,1,10,\n", 0},
	} {
		_, err := readText([]byte(c.head+"\n"+c.rows), "list.csv", survey.Options{}, false)
		refused(t, c.head+"\n"+c.rows, err, c.line)
	}
	if _, err := readText([]byte("1,0,0,1,550\n2,1,0,1,544\n3,0,1,1,538\n"), "list.csv", survey.Options{Order: "PENRD", Unit: unit.Metre}, false); err == nil || !strings.Contains(err.Error(), "decimal comma") {
		t.Errorf("without a header: %v", err)
	}
}

// TestCutDecimalsBesideText: with a spare column after the codes, a cut height has its
// digits in the column of codes, whatever its head is. True codes are in runs, and a
// count goes up by 1.
func TestCutDecimalsBesideText(t *testing.T) {
	const rods, flat = "1,0,0,1,552,FLR\n2,1,0,1,556,FLR\n3,0,1,1,549,\n", "1,0,0,10,%,FLR\n2,1,0,10,%,FLR\n3,0,1,10,%,FLR\n4,1,1,10,%,FLR\n5,2,1,10,%,FLR\n"
	rows := func(codes ...string) string {
		text := flat
		for _, c := range codes {
			text = strings.Replace(text, "%", c, 1)
		}
		return text
	}
	type list struct {
		head, rows string
		line       int // 0: read
	}
	lists := []list{
		{"point,x (m),y (m),rod (m),code,remarks", "BM1,,,1,500,BM\n" + rods, 2},
		{"point,x (m),y (m),rod (m),code,remarks", strings.ReplaceAll(rods, ",FLR", ","), 2},
		{"point,x (m),y (m),z (m),code,remarks", strings.ReplaceAll(strings.ReplaceAll(rods, ",FLR", ""), "549,", "549"), 2},
		{"point,x (m),y (m),z (m),code,remarks", rods[:len("1,0,0,1,552,FLR\n2,1,0,1,556,FLR\n")], 0}, // two heights only
		{"point,x (m),y (m),z (m),code,remarks", rods + "4,1,1,1.000,FLR,\n", 0},                      // decimal points
		{"point,x (m),y (m),z (m),code,remarks", rods + "4,1,1,2,FLR,\n", 0},                          // 3 of 4
		{"point,x (m),y (m),z (m),code,remarks", rods + "4,1,1,1,551,FLR\n5,2,1,2,FLR,\n", 2},         // 4 of 5
		{"point,x (m),y (m),z (mm),code,remarks", rods, 0},
		{"point,x (m),y (m),z (m),code,remarks", rows("12", "10", "10", "12", "12"), 0}, // changes twice in 4
		{"point,x (m),y (m),z (m),code,remarks", rows("12", "10", "10", "12", "10"), 2},
		{"point,x (m),y (m),z (m),code,remarks", rows("012", "012", "010", "010", "010"), 2},
		{"point,x (m),y (m),z (m),code,remarks", rows("00", "00", "00", "00", "00"), 0},
		{"point,x (m),y (m),z (m),code,remarks", rows("101", "102", "103", "104", "105"), 0},
		{"point,x (m),y (m),z (m),design (m),remarks", rods, 0},
	}
	for _, head := range []string{"desc", "what", "remark", "note", "comment", "part", "type", ""} {
		lists = append(lists, list{"point,x (m),y (m),rod (m)," + head + ",spare", rods, 2})
	}
	for _, c := range lists {
		_, err := readText([]byte(c.head+"\n"+c.rows), "list.csv", survey.Options{}, false)
		refused(t, c.head+"\n"+c.rows, err, c.line)
	}
}

// refused checks that a list is read (line 0), or is refused for a cut height on line.
func refused(t *testing.T, list string, err error, line int) {
	t.Helper()
	var e *survey.Error
	switch {
	case line == 0 && err != nil:
		t.Errorf("%s: %v", list, err)
	case line > 0 && (!errors.As(err, &e) || e.Line != line || !strings.Contains(e.Hint, "semicolons") || !strings.Contains(e.Want, "decimal comma")):
		t.Errorf("%s: %v, want a refusal of line %d", list, err, line)
	}
}

// TestMetresInMillimetres: no rod reads 1.550 mm.
func TestMetresInMillimetres(t *testing.T) {
	for _, c := range []struct {
		list string
		asks bool
	}{
		{"point,x [m],y [m],rod [mm]\n1,0,0,1.550\n2,1,0,1.544\n3,0,1,1.538\n", true},
		{"point,x [m],y [m],z [mm]\n1,0,0,9.55\n2,1,0,9.54\n3,0,1,9.53\n", true},
		{"point;x [m];y [m];rod [cm]\n1;0;0;1,550\n2;1;0;1,544\n3;0;1;1,538\n", true},
		{"point,x [m],y [m],rod [mm]\n1,0,0,1.550\n2,1,0,1544\n3,0,1,1.538\n", false},
		{"point,x [m],y [m],rod [mm]\n1,0,0,1550\n2,1,0,1544.5\n3,0,1,1538\n", false},
		{"point,x [m],y [m],z [mm]\n1,0,0,1.5\n2,1,0,2.5\n3,0,1,3.5\n", false},
		{"point,x [m],y [m],z [mm]\n1,0,0,11.55\n2,1,0,11.54\n3,0,1,11.53\n", false},
		{"point,x [m],y [m],rod [m]\n1,0,0,1.550\n2,1,0,1.544\n3,0,1,1.538\n", false},
		{"point,x [m],y [m],depth [mm]\n1,0,0,1.55\n2,1,0,1.54\n3,0,1,1.53\n", false},
	} {
		_, err := readText([]byte(c.list), "list.csv", survey.Options{}, false)
		var e *survey.Error
		if asks := errors.As(err, &e) && e.Line == 2 && strings.Contains(e.Hint, "(m)") && strings.Contains(e.Hint, "one decimal"); asks != c.asks || !c.asks && err != nil {
			t.Errorf("%s: %v", c.list, err)
		}
	}
}

// TestBareAmongFeet: one whole number among feet and inches that is far from them as feet
// is a suspect reading. Two or more hide one another and are refused. The heights are
// from 4'-4" to 4'-6" (52 to 54 in); 4 ft is 4 in less, 5 ft 6 in more.
func TestBareAmongFeet(t *testing.T) {
	list := func(bare ...string) string {
		cells := append([]string{"4-4 1/8", "4-4 2/8", "4-5", "4-6", "4-4", "4-5 5/8"}, bare...)
		text := "point,x (ft),y (ft),rod (ft-in)\n"
		for i, c := range cells {
			text += string(rune('a'+i)) + "," + string(rune('0'+i%3)) + "," + string(rune('0'+i/3)) + "," + c + "\n"
		}
		return text
	}
	for _, bare := range [][]string{{}, {"4"}, {"5"}} {
		if s, err := readText([]byte(list(bare...)), "list.csv", survey.Options{}, false); err != nil || len(s.Points) != 6+len(bare) {
			t.Errorf("%v: %v", bare, err)
		}
	}
	for _, bare := range [][]string{{"4", "4"}, {"4", "5"}, {"4", "4", "4"}} {
		_, err := readText([]byte(list(bare...)), "list.csv", survey.Options{}, false)
		var e *survey.Error
		if !errors.As(err, &e) || e.Line != 8 || !strings.Contains(e.Hint, `4' where it is feet, 4" where it is inches`) {
			t.Errorf("%v: %v, want a refusal of line 8", bare, err)
		}
	}
	// They are heights if the range has room for them: 3'-10" to 5'-2".
	room := strings.NewReplacer("4-4 1/8", "3-10", "4-4 2/8", "5-2").Replace(list("4", "4", "5"))
	if s, err := readText([]byte(room), "list.csv", survey.Options{}, false); err != nil || len(s.Points) != 9 {
		t.Errorf("with room: %v", err)
	}
}
