package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// ByDoors is the step of a note on finished floors of different level: one of them may be
// misread or has no part in the target, which follows from them. Every sheet of a crew has it.
const ByDoors = "doors"

// bevelled is the largest change of level on accessible routes that a bevel can take up, 1/2
// in; more takes a ramp. Source: 2010 ADA Standards, 303.3 and 303.4.
const bevelled = 0.0127

// door is a shot on a finished floor and its height above the finished plane.
type door struct {
	shot survey.Point
	off  float64 // m
}

func (d door) name() string { return cmp.Or(d.shot.Name(), fmt.Sprintf("line %d", d.shot.At().Line)) }

// doorsOn returns shots on finished floors by their height above a finished plane.
func doorsOn(shots []survey.Point, finish surface.Plane) []door {
	var out []door
	for _, p := range shots {
		if off := p.Z - finish.Elevation(surface.Vec{X: p.X, Y: p.Y}); !math.IsNaN(off) {
			out = append(out, door{p, off})
		}
	}
	slices.SortStableFunc(out, func(a, b door) int {
		return cmp.Or(cmp.Compare(a.off, b.off), cmp.Compare(a.shot.Name(), b.shot.Name()), cmp.Compare(a.shot.At().Line, b.shot.At().Line))
	})
	return out
}

// oneDoor is the max distance, m, between readings of one door: the rod is put on the same spot
// again. Own choice, as for the points of a level book.
const oneDoor = 0.05

// readDoors gathers the readings of each door: those at one place, or of one name where there are
// no places.
func readDoors(all []door) (out [][]door) {
	for _, d := range all {
		k := slices.IndexFunc(out, func(o []door) bool {
			apart := math.Hypot(d.shot.X-o[0].shot.X, d.shot.Y-o[0].shot.Y)
			return apart <= oneDoor || math.IsNaN(apart) && d.shot.Name() != "" && d.shot.Name() == o[0].shot.Name()
		})
		if k < 0 {
			k, out = len(out), append(out, nil)
		}
		out[k] = append(out[k], d)
	}
	return out
}

// readApart refuses readings of one door that differ by more than their errors: one of them is
// misread, and which one nobody but the crew can say.
func readApart(doors []door) error {
	for _, d := range readDoors(doors) {
		low, high := d[0], d[len(d)-1] // the doors are in order
		if apart := high.off - low.off; apart > bevelled+unit.Noise {
			e := &survey.Error{Pos: high.shot.At(), Want: "readings of it that agree: one of them is misread", Hint: "read it again, or leave the wrong row out of the file"}
			return e.Saw("%s %s higher than at line %d, of the same door", high.name(), unit.Change(apart), low.shot.At().Line)
		}
	}
	return nil
}

// readAgain says that the lower reading of a door that was read again counts, where it holds the
// target: as little as it is low, it can be topped up.
func readAgain(doors []door) []survey.Note {
	if len(doors) == 0 {
		return nil
	}
	low := readDoors(doors)[0] // the doors are in order
	mean := 0.0
	for _, d := range low {
		mean += d.off / float64(len(low))
	}
	const shown = 0.0005 // m, half a step of a rule
	if mean-low[0].off < shown {
		return nil
	}
	return []survey.Note{survey.Notef(survey.Assumed, low[0].shot.At(), "%s was read %d times, up to %s apart: the target is from the lowest, %s below their mean, and can be topped up. The ± of the fill counts them all",
		low[0].name(), len(low), unit.Depth(low[len(low)-1].off-low[0].off), unit.Depth(mean-low[0].off)).About(survey.AboutTarget)}
}

// doorsApart warns of finished floors whose levels differ by more than a bevel takes up: a
// level difference between rooms that large is seldom, a misread rod is not. target is the
// plane that follows from them, nil if there is none yet.
func doorsApart(doors []door, target *surface.Plane, imperial bool) []survey.Note {
	if len(doors) < 2 {
		return nil
	}
	low, high := doors[0], doors[len(doors)-1]
	apart := high.off - low.off
	if apart <= bevelled+unit.Noise {
		return nil
	}
	if target != nil && !target.Level() {
		note := survey.Notef(survey.Warning, low.shot.At(), "%s", apartOnAFall(doors, imperial))
		return survey.By(ByDoors, []survey.Note{note.About(survey.AboutTarget)})
	}
	text := unit.Textf("%s and %s are both adjoining finished floor, but %s is %s higher%s%s. Read both again",
		low.name(), high.name(), high.name(), unit.Change(apart), slip(apart, imperial), oddOne(doors))
	if target != nil {
		text = unit.Textf("%s: by %s alone the target is %s, by %s alone %s", text, low.name(), unit.LevelDown(target.Z+low.off), high.name(), unit.LevelDown(target.Z+high.off))
	}
	note := survey.Notef(survey.Warning, low.shot.At(), "%s. If both are right, the step takes a ramp: no bevel goes above %s (2010 ADA Standards, 303; local code decides)", text, unit.Depth(bevelled))
	return survey.By(ByDoors, []survey.Note{note.About(survey.AboutTarget)})
}

// apartOnAFall words doors that differ against a falling target, the lowest against it first. Which
// of them is higher in itself is another matter: a floor that falls leaves doors at one level. So
// only a difference of their own elevations can be a misread rod, and only one of a decimetre or a
// foot: doors down a fall differ by an inch or some centimetres as built.
func apartOnAFall(doors []door, imperial bool) unit.Text {
	low, high := doors[0], doors[len(doors)-1]
	apart, own := unit.Change(high.off-low.off), high.shot.Z-low.shot.Z
	floor := unit.Textf("its own floor is %s lower", unit.Change(-own))
	switch {
	case math.Abs(own) <= unit.Noise:
		floor = unit.Textf("their own floors are level")
	case own > 0:
		floor = unit.Textf("its own floor is %s higher", unit.Change(own))
	}
	what := unit.Textf("%s is %s farther above the falling target than %s (%s)", high.name(), apart, low.name(), floor)
	step := unit.Textf("step at %s takes a ramp: no bevel goes above %s (2010 ADA Standards, 303; local code decides)", high.name(), unit.Depth(bevelled))
	odd := ""
	if math.Abs(own) > 0.1-0.013-unit.Noise { // the least decimetre of [slip]
		odd = slip(math.Abs(own), imperial)
	}
	if odd == "" {
		return unit.Textf("%s: by %s alone the target is that much higher. The %s", what, high.name(), step)
	}
	return unit.Textf("%s%s%s. Read both again: by %s alone the target is %s higher than by %s alone. If both are right, the %s", what, odd, oddOne(doors), high.name(), apart, low.name(), step)
}

// slip says what misreading gives a difference, if one does: a whole foot, inch, metre,
// decimetre or centimetre, as with single shots of a floor.
func slip(apart float64, imperial bool) string {
	const inch = 0.0254
	foot := unit.Foot.Metres()
	for _, s := range []struct {
		whole, within float64 // m
		most          int     // multiples; 0: any
		imperial      bool
		name, how     string
	}{
		{foot, inch / 2, 0, true, "ft", "most likely a misread rod"},
		{inch, inch / 4, 1, true, "in", "maybe a misread rod"},
		{1, 0.013, 0, false, "m", "most likely a misread rod"},
		{0.1, 0.013, 9, false, "00 mm", "most likely a misread rod"},
		{0.01, 0.0011, 9, false, "0 mm", "maybe a misread rod"},
	} {
		n := math.Round(apart / s.whole)
		if s.imperial != imperial || n < 1 || s.most > 0 && n > float64(s.most) || math.Abs(apart-n*s.whole) > s.within {
			continue
		}
		space := " "
		if s.name[0] == '0' {
			space = ""
		}
		return fmt.Sprintf(", about %.0f%s%s: %s", n, space, s.name, s.how)
	}
	return ""
}

// oddOne says which of several doors all others contradict.
func oddOne(doors []door) string {
	n := len(doors)
	if n < 3 {
		return ""
	}
	lowAlone, highAlone := doors[n-1].off-doors[1].off <= bevelled, doors[n-2].off-doors[0].off <= bevelled
	switch {
	case lowAlone && !highAlone:
		return fmt.Sprintf(". The other %d agree within a bevel: %s is the odd one", n-1, doors[0].name())
	case highAlone && !lowAlone:
		return fmt.Sprintf(". The other %d agree within a bevel: %s is the odd one", n-1, doors[n-1].name())
	}
	return ""
}

// judgeLevels warns of the finished floors from which the target is taken where they differ,
// and says that a single one is not checked by another.
func (f *targetFlags) judgeLevels(s *survey.Survey, p *planned) []survey.Note {
	doors := doorsOn(f.finishShots(s), *p.finish)
	if len(doors) == 1 && len(f.finished(s)) == 1 {
		return []survey.Note{survey.Notef(survey.Assumed, doors[0].shot.At(), "the target is from one reading, %s: no other finished floor was shot, so a misread rod there cannot be seen. Read it twice", doors[0].name()).About(survey.AboutTarget)}
	}
	notes := doorsApart(doors, &p.plane, s.Unit.Imperial())
	if f.rule == "lowest" {
		notes = append(notes, readAgain(doors)...)
	}
	if len(notes) > 0 {
		p.apart = []survey.Pos{doors[0].shot.At(), doors[len(doors)-1].shot.At()}
	}
	return notes
}
