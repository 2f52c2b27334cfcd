package web

import (
	"strings"
	"testing"
)

// A form that is opened or closed from further down is in sight, below the head of the page.
func TestFormsOpenInSight(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin("Bakery", "feet")
	p.keys("12' left 9' left rectangle")
	p.press("shots", "assume")
	p.keys("4' done 5' 1 done 5' 2 done")
	inSight := func(what string) {
		t.Helper()
		if top := ask[float64](p, `document.querySelector('#book .asked').getBoundingClientRect().top - document.querySelector('header').getBoundingClientRect().bottom`); top < 0 {
			t.Errorf("%s: what is asked for begins %g pixels above the head's edge", what, -top)
		}
	}
	for _, form := range []string{"door", "spacing"} {
		ask[bool](p, `(scrollTo(0, document.documentElement.scrollHeight), true)`)
		p.press(form)
		inSight(form)
		p.picture("form-" + form)
		ask[bool](p, `(scrollTo(0, document.documentElement.scrollHeight), true)`)
		p.press("cancel")
		inSight("after " + form)
	}
	ask[bool](p, `(scrollTo(0, document.documentElement.scrollHeight), true)`)
	p.tapIn(`[data-entry="1"] button`)
	inSight("change")
	p.clean()
}

// The second jamb is asked for in the wall of the first, and the list has where each was read.
func TestSecondJamb(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin("Bakery", "feet")
	p.keys("12' left 9' left rectangle")
	p.press("shots", "assume")
	p.keys("4' done 5' 1 done")
	p.press("door")
	p.enter("in", "2")
	if text := p.text("#book .asked"); !strings.Contains(text, "Corner with wall 2 to the jamb") {
		t.Errorf("the door is asked for as\n%s", text)
	}
	p.keys("5' done 4' 2 done")
	p.press("door")
	if text := p.text("#book .asked"); !strings.Contains(text, "D1 is one jamb in wall 3: now the other jamb.") || ask[string](p, `document.querySelector('#book .asked select').value`) != "2" {
		t.Errorf("the second jamb is asked for as\n%s", text)
	}
	p.picture("second-jamb")
	p.keys("8' done 4' 2 done")
	p.press("door")
	if text := p.text("#book .asked"); strings.Contains(text, "now the other jamb") {
		t.Errorf("the third jamb is asked for as\n%s", text)
	}
	p.press("cancel")
	for name, want := range map[string]string{"D1": `finished floor, wall 3, 5'-0" from wall 2`, "D2": `finished floor, wall 3, 8'-0" from wall 2`} {
		if got := p.text(`#book [data-entry=` + name + `]`); !strings.Contains(got, want) {
			t.Errorf("the list has %q, want %q", got, want)
		}
	}
	p.picture("jambs-listed")
	p.clean()
}

// Before a walked room is used, it is said that its walls will be fixed.
func TestWallsAreFixedIsSaidBefore(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.begin("Bakery", "feet")
	p.keys("12' left 9' left 12' left 9' left")
	if text := p.text("#book"); !strings.Contains(text, "Check the lengths against the tape now. Once a place is read from the walls, they are fixed.") {
		t.Errorf("the room that closes says\n%s", text)
	}
	p.picture("room-closes")
	p.press("use")
	if text := p.text("#book"); !strings.Contains(text, "they are fixed") {
		t.Errorf("the room that is used says\n%s", text)
	}
	p.picture("room-used")
	p.clean()
}
