package job

import (
	"errors"
	"strings"
	"testing"
	"time"

	"pourplane/survey"
)

// No job file makes the reader panic, and every error position is inside the file.
func FuzzParse(f *testing.F) {
	f.Add([]byte(least))
	f.Add([]byte((&Job{Title: "t", Date: DateOf(time.Unix(0, 0)), Survey: Survey{Files: []string{"a.csv"}}}).Text(false)))
	f.Add([]byte("[[materials]]\nname = \"a\"\n[bays]\ndams = [[\"1m,2m\"]]\n[survey]\nfiles = [\"\"]\n"))
	f.Add([]byte("\xef\xbb\xbf" + least + "x = inf\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		_, err := Parse(text, "x.toml")
		if err == nil {
			return
		}
		var e *survey.Error
		if !errors.As(err, &e) {
			t.Fatalf("%T %v", err, err)
		}
		if lines := strings.Count(string(text), "\n") + 1; e.Pos.Line < 0 || e.Pos.Line > lines {
			t.Errorf("line %d of %d: %v", e.Pos.Line, lines, err)
		}
	})
}
