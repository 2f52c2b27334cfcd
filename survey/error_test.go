package survey

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"pourplane/survey/unit"
)

// Short messages are not changed, inch marks included.
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

// A step of the work removes its own notes and no others.
func TestNotesOfAStep(t *testing.T) {
	same := Notef(Warning, Pos{}, "short load")
	all := append(By("delivery", []Note{same}), same)
	all = append(all, By("load", []Note{same})...)
	if got := Without(all, "delivery"); len(got) != 2 || got[0].Step != "" || got[1].Step != "load" || len(all) != 3 || all[0].Step != "delivery" {
		t.Errorf("%+v of %+v", got, all)
	}
	if got := Without(all, ""); len(got) != 3 || same.Step != "" {
		t.Errorf("%+v", got)
	}
}

// The options that a refusal asks for are data: the refused field first, each as its
// hint shows it.
func TestAsks(t *testing.T) {
	e := (&Error{Field: "toward", Found: "two places", Want: "one"}).Hinted("%s, or %s, or %s", unit.LeaveOut("fall"), unit.AskQuoted("outline-sheet", "Walls"), unit.Ask("toward", "X,Y"))
	if want := `--toward: found two places, want one`; e.Error() != want {
		t.Errorf("%s, want %s", e, want)
	}
	if want := `leave --fall out, or --outline-sheet "Walls", or --toward X,Y`; e.Hint != want {
		t.Errorf("%s, want %s", e.Hint, want)
	}
	var got []string
	for _, o := range e.Asks() {
		got = append(got, o.String())
	}
	if want := []string{"--toward X,Y", "leave --fall out", `--outline-sheet "Walls"`}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	own := (&Error{Field: "thin-keep", Usage: true}).Wanted("%s without %s", unit.Ask("thin-keep", ""), unit.Ask("thin", ""))
	if want := "--thin-keep without --thin"; own.Error() != want || !IsUsage(errors.Join(e, own)) || IsUsage(e) {
		t.Errorf("%s, want %s", own, want)
	}
	upper := own.Worded(func(o, _ unit.Option) string { return strings.ToUpper(o.Name) })
	if want := "THIN-KEEP without THIN"; upper.Want != want || own.Want == want {
		t.Errorf("%s, want %s", upper.Want, want)
	}
}

// A refusal written in feet stays in feet when its hint, its options or what was found is
// written anew. Half a foot is 6 in.
func TestARefusalKeepsItsStyle(t *testing.T) {
	feet := func(e *Error) *Error {
		var of *Error
		errors.As(ErrorIn(e, unit.Style{Imperial: true}), &of)
		return of
	}
	for name, change := range map[string]func(*Error) *Error{
		"another hint": func(e *Error) *Error { return e.Hinted("%s", unit.Ask("units", "m")) },
		"more hint":    func(e *Error) *Error { return e.AlsoHinted("; or not") },
		"more found":   func(e *Error) *Error { return e.AlsoFound(" at %s", unit.Distance(0.1524)) },
		"options":      func(e *Error) *Error { return e.Worded(func(o, _ unit.Option) string { return o.Name }) },
	} {
		e := (&Error{}).Measured(unit.Textf("a step of %s", unit.Depth(0.1524)), unit.Textf("less"), unit.Text{})
		if got := change(feet(e)).Found; !strings.HasPrefix(got, `a step of 6"`) || strings.Contains(got, "mm") {
			t.Errorf("%s: %s", name, got)
		}
	}
	more := (&Error{Found: "a step"}).AlsoFound(" of %s", unit.Depth(0.1524))
	if more.Found != "a step of 152 mm" || feet(more).Found != `a step of 6"` {
		t.Errorf("%s, in feet %s", more.Found, feet(more).Found)
	}
}
