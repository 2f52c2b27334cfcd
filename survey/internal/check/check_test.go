package check

import (
	"math"
	"testing"

	"pourplane/survey"
)

func TestNearlyTellsAMicronFromNothing(t *testing.T) {
	if Nearly(9.990001, 9.99) || Nearly(0, 1e-6) || Nearly(math.NaN(), 0) {
		t.Error("values a micrometre apart pass as equal")
	}
}

func TestInsideOfRefusesPlacesOutside(t *testing.T) {
	inside := Inside([]byte("ab\nc"))
	for _, p := range []survey.Pos{{Line: 3, Col: 1}, {Line: 1, Col: 4}, {Line: -1}, {Line: 2, Col: 3}, {Col: 1}} {
		if inside(p) {
			t.Errorf("%v passes as inside", p)
		}
	}
	for _, p := range []survey.Pos{{Line: 0, Col: 0}, {Line: 1, Col: 3}, {Line: 2, Col: 1}, {Line: 2, Col: 0}} {
		if !inside(p) {
			t.Errorf("%v passes as outside", p)
		}
	}
}
