package text

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pourplane/survey"
)

// TestHugeCell: a message quotes only the start of a long cell, in every kind of cell and
// message.
func TestHugeCell(t *testing.T) {
	huge := strings.Repeat("ü", 100_000)
	for _, list := range []string{
		"name,x (m),y (m),elevation (m)\n1,0,0,@\n",
		"name,x (m),y (m),elevation (m)\n1,@,0,1\n",
		"name,x (m),y (m),elevation (m)\n1,0,0,1,@\n",
		"name,x (m),y (m),@\n1,0,0,1\n",
		"name,x (m),y (m),rod (mm)\n1,0,0,1@\n",
	} {
		_, err := readText([]byte(strings.ReplaceAll(list, "@", huge)), "list.csv", survey.Options{}, false)
		if err == nil {
			t.Errorf("%q: no error", list)
			continue
		}
		if n := utf8.RuneCountInString(err.Error()); n > 300 || !strings.Contains(err.Error(), "…") || !utf8.ValidString(err.Error()) {
			t.Errorf("%q: a message of %d characters", list, n)
		}
	}
	s, err := readText([]byte("name,x (m),y (m),elevation (m)\n1,0,0,1\n2,4,0,1\n3,0,4,1\n"+huge+",2,2,-\n"), "list.csv", survey.Options{}, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range s.Notes {
		if utf8.RuneCountInString(n.Text.String()) > 300 {
			t.Errorf("a note of %d bytes", len(n.Text.String()))
		}
	}
}
