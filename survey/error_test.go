package survey

import (
	"strings"
	"testing"
)

// TestShortMessages stay as they are, inch marks and all.
func TestShortMessages(t *testing.T) {
	inches := `3 1/2" at the north wall and, as far from it as the tape reaches in the hall, 4"`
	e := &Error{Found: inches, Want: inches}
	if got := e.Error(); got != "found "+inches+", want "+inches {
		t.Error(got)
	}
	e.Found = `"` + strings.Repeat("a", mostQuoted) + `"`
	if strings.Contains(e.Error(), "…") {
		t.Error(e)
	}
	e.Found = `"` + strings.Repeat("a", mostQuoted+1) + `"`
	if got, want := e.Error(), `"`+strings.Repeat("a", mostQuoted)+`…"`; !strings.Contains(got, want) {
		t.Error(got)
	}
}
