package text

import (
	"errors"
	"strings"
	"testing"

	"pourplane/survey"
)

// TestRemarkInTheMiddle: a separator in a remark moves the figures after it by a column.
// Each of these rows would read as a shot 5 m high, with a true elevation of 10 m.
func TestRemarkInTheMiddle(t *testing.T) {
	for _, c := range []struct{ head, row, slid string }{
		{"name,x (m),y (m),remark,elevation (m),code", "%,door,10,FL", "4,2,2,rod,5,10,"},
		{"name,x (m),y (m),remark,elevation (m),code,note", "%,door,10,FL,ok", "4,2,2,rod,5,10,FL,ok"},
		{"name,x (m),y (m),remark,elevation (m),code,note", "%,door,10,FL,ok", "4,2,2,rod,5,10,FL,"},
		{"name,x (m),y (m),remark,elevation (m)", "%,door,10", "4,2,2,rod,5,10"},
		{"name,x (m),y (m),remark,elevation (m)", "%,door,10", "4,2,2,rod,5,"},
	} {
		var b strings.Builder
		b.WriteString(c.head + "\n")
		for _, p := range []string{"1,0,0", "2,4,0", "3,0,4"} {
			b.WriteString(strings.Replace(c.row, "%", p, 1) + "\n")
		}
		if s, err := readText([]byte(b.String()), "list.csv", survey.Options{}, false); err != nil || len(s.Points) != 3 {
			t.Errorf("%s: %v", c.head, err)
		}
		_, err := readText([]byte(b.String()+c.slid+"\n"), "list.csv", survey.Options{}, false)
		var e *survey.Error
		if !errors.As(err, &e) || e.Line != 5 || !strings.Contains(e.Hint, "quotes") {
			t.Errorf("%s\n%s: %v, want a refusal of line 5", c.head, c.slid, err)
		}
	}
	// If every row ends in separators, no row has slid.
	s, err := readText([]byte("name,x (m),y (m),remark,elevation (m)\n1,0,0,door,10,,\n2,4,0,,10,,\n3,0,4,wall,10,,\n"), "list.csv", survey.Options{}, false)
	if err != nil || len(s.Points) != 3 {
		t.Errorf("trailing separators: %v", err)
	}
}
