package job

import (
	"fmt"
	"math"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// closedOff warns of what a misclosure that is not spread does to the target: the shots read
// late share it, and with them the doors that the target is taken from. One step of the rod is
// the reading itself.
func closedOff(s *survey.Survey, doors []survey.Point) []survey.Note {
	k := s.Book
	if k == nil || k.Adjust != survey.NoAdjustment {
		return nil
	}
	c := k.Main()
	if c == nil || math.Abs(c.Misclosure()) <= stepOf(s.Unit.Imperial())+1e-6 {
		return nil
	}
	way := "high"
	if c.Misclosure() < 0 {
		way = "low"
	}
	off, late := unit.Depth(math.Abs(c.Misclosure())), "set-up"
	if len(k.Setups) > 1 {
		late = "level book"
	}
	text := unit.Textf("the level book closes %s %s on %s: shots late in the %s may be up to %s too %s", off, way, c.On, late, off, way)
	if len(doors) > 0 {
		const most = 3 // doors named; own choice
		var names []string
		for _, d := range doors[:min(most, len(doors))] {
			names = append(names, door{shot: d}.name())
		}
		if n := len(doors) - most; n > 0 {
			names = append(names, fmt.Sprintf("%d more", n))
		}
		text = unit.Textf("%s. The target is taken from %s: from one read late, it may be too %s by as much. Read the doors again from %s", text, strings.Join(names, ", "), way, c.On)
	}
	return survey.By(ByDoors, []survey.Note{survey.Notef(survey.Warning, c.At, "%s", text).About(survey.AboutTarget)})
}
