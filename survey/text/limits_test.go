package text

import (
	"errors"
	"strings"
	"testing"

	"pourplane/survey"
)

// TestLimitsOfText: a list at a limit is read, a list beyond it is refused.
func TestLimitsOfText(t *testing.T) {
	wide := func(n int) string {
		return "point,x (m),y (m),z (m)" + strings.Repeat(",a", n-4) + "\n1,0,0,1" + strings.Repeat(",1", n-4) + "\n2,1,0,1" + strings.Repeat(",1", n-4) + "\n3,0,1,1" + strings.Repeat(",1", n-4) + "\n"
	}
	long := func(n int) string {
		return "point,x (m),y (m),z (m),remarks\n1,0,0,1,\n2,1,0,1,\n3,0,1,1," + strings.Repeat("z", n-8) + "\n"
	}
	for _, c := range []struct {
		name, text string
		line       int // 0: read
	}{
		{"1000 columns", wide(1000), 0}, {"1001 columns", wide(1001), 1},
		{"1 MB a line", long(1_000_000), 0}, {"a byte more", long(1_000_001), 4},
		{"one cell", strings.Repeat("x", 1_000_001), 1},
		{"no header", strings.Repeat("1,", 1000) + "1\n", 1},
	} {
		_, err := readText([]byte(c.text), "list.csv", survey.Options{}, false)
		var e *survey.Error
		if c.line == 0 && err != nil || c.line > 0 && (!errors.As(err, &e) || e.Line != c.line || !strings.Contains(e.Found, "columns") && !strings.Contains(e.Found, "a line of")) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// Up to 4 MB of long lines are read to learn how a file is written: the line of 1 MB that
// passes 4 MB is the last.
func TestSampleOfLongLines(t *testing.T) {
	row := "1,0,0,1," + strings.Repeat("z", 1_000_000-8) + "\n"
	f, err := learn("list.csv", []byte("point,x (m),y (m),z (m),remarks\n"+strings.Repeat(row, 9)), false)
	if err != nil || len(f.content) != 5 {
		t.Errorf("%d rows looked at, %v", len(f.content), err)
	}
}

// TestLimitsOfPlaces: coordinates beyond 100,000 km, and shots beyond 100 km from the
// others, are refused with their line. A marker for no data is not.
func TestLimitsOfPlaces(t *testing.T) {
	const head = "point,x (m),y (m),z (m)\n1,0,0,9.9\n2,1,0,9.9\n3,0,1,9.9\n4,1,1,9.9\n"
	for row, refused := range map[string]bool{
		"5,1e308,0,9.9": true, "5,0,-1e300,9.9": true, "5,0,0,1e9": true, "5,100000001,0,9.9": true,
		"5,100002,0,9.9": true, "5,0,-100001,9.9": true, "5,99999,0,9.9": false,
		"5,0,0,1e30": false, "5,0,0,-9999": false,
	} {
		_, err := readText([]byte(head+row+"\n"), "list.csv", survey.Options{}, false)
		var e *survey.Error
		if refused && (!errors.As(err, &e) || e.Line != 6) || !refused && err != nil {
			t.Errorf("%s: %v", row, err)
		}
	}
	// A place far from 0 is not far from the other shots.
	if _, err := readText([]byte("point,x (m),y (m),z (m)\n1,99999990,0,9.9\n2,99999999,0,9.9\n3,99999990,9,9.9\n"), "list.csv", survey.Options{}, false); err != nil {
		t.Error(err)
	}
}
