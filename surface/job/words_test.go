package job

import (
	"strings"
	"testing"

	"pourplane/surface/blunder"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Lengths as in the standards: ACI 117 10 ft, DIN 18202 and BS 8204 2 m, NATSPEC 600 mm.
// Feet and inches by hand, 2000/25.4 = 78.74 in.
func TestStraightedgesBearTheirOwnLength(t *testing.T) {
	us, si := unit.Style{Imperial: true}, unit.Style{}
	for _, c := range []struct {
		m     float64
		style unit.Style
		want  string
	}{
		{2, us, `2 m (6'-6 3/4")`},
		{0.6, us, `0.6 m (1'-11 5/8")`},
		{3.048, us, `10'-0"`},
		{0.3048, us, `1'-0"`},
		{2, si, "2.000 m"},
		{3.048, si, `10'-0" (3.048 m)`},
		{1.23, si, "1.230 m"},
		{1.23, us, us.Length(1.23)},
		{1.27, us, us.Length(1.27)}, // 50 in, and 1,270 mm
	} {
		if got := EdgeLength(c.m).In(c.style); got != c.want {
			t.Errorf("%g m: %q, want %q", c.m, got, c.want)
		}
	}
}

// The words for a kind of blunder are part of a sentence: none ends with a full stop or
// other mark.
func TestBlunderWordsFitTheirSentence(t *testing.T) {
	for kind := range looks {
		text := BlunderText(blunder.Finding{Kind: kind, Off: 0.1}).In(unit.Style{})
		if !strings.Contains(text, looks[kind]) || strings.ContainsAny(text, "?!") || strings.Contains(text, "..") {
			t.Errorf("%v: %s", kind, text)
		}
	}
}

// A lone shot of a few is named with the plane of the others and what it changes.
func TestLoneText(t *testing.T) {
	shot := survey.Point{}.With(survey.Tag{Name: "8"})
	got := BlunderText(blunder.Finding{Kind: blunder.Lone, Shot: shot, Found: "1657", WouldFit: "1347", Off: -0.31, Others: 7, Within: 0.003, VolumeChange: -0.25}).In(unit.Style{})
	if want := "8 reads 1657, 310 mm below the plane of the other 7 shots, which are within 3 mm of it: read it again. If 1347 is right, a fill to a level above the whole floor is 0.25 m³ less. It is used as read"; got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
}

// A suspect shot is quoted with its code and its remark. One that speaks of a door, and one at
// a wall, may be finished floor; a word that only holds such letters does not.
func TestSuspectAtADoor(t *testing.T) {
	const ask = ". If it is on adjoining finished floor, give it the code ADJ"
	for _, c := range []struct {
		name, code, remark, want string
		wall                     bool
	}{
		{"DR1", "", "door to hall", `. Its remark is "door to hall"` + ask + ", or fill with --finish-at DR1", false},
		{"Sill-2", "", "", ask + ", or fill with --finish-at Sill-2", false},
		{"", "", "THRESHOLD", `. Its remark is "THRESHOLD"` + ask, false},
		{"7", "FLR", "shallow, outdoor mat, unfinished", `. Its code is "FLR", its remark is "shallow, outdoor mat, unfinished"`, false},
		{"7", "E", "", `. Its code is "E"` + ask, true},
		{"7", "", "", ask, true},
		{"7", "", "", "It is used as read", false},
	} {
		shot := survey.Point{}.With(survey.Tag{Name: c.name, Remark: c.remark, Code: c.code})
		text := BlunderText(blunder.Finding{Kind: blunder.OneInch, Off: 0.1, Shot: shot, Doubt: true, AtWall: c.wall}).In(unit.Style{})
		if !strings.HasSuffix(text, "used as read"+strings.TrimPrefix(c.want, "It is used as read")) {
			t.Errorf("%s %q: %s, want at its end %q", c.name, c.remark, text, c.want)
		}
	}
}
