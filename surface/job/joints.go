package job

import (
	"strconv"
	"strings"

	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// contraction is the kind of joints that are sawn in the fill.
const contraction = "contraction"

// jointLines returns the lines whose name has the word joint, and where they are.
func (h *Result) jointLines() (lines [][]surface.Vec, at []unit.Text) {
	for _, l := range h.Survey.Breaklines {
		if n := len(l.Points); n > 1 && strings.Contains(strings.ToLower(l.Name), "joint") {
			var line []surface.Vec
			for _, p := range l.Points {
				line = append(line, surface.Vec{X: p.X, Y: p.Y})
			}
			lines = append(lines, line)
			at = append(at, unit.Textf("%s: %s", l.Name, Stretch(h.Floor, line[0], line[n-1])))
		}
	}
	return lines, at
}

// placeJoints says where the movement joints are, and whether all of their length is drawn.
func (h *Result) placeJoints() {
	h.JointLines, h.JointsAt = h.jointLines()
	drawn := 0.0
	for _, line := range h.JointLines {
		for i := 1; i < len(line); i++ {
			drawn += line[i].Distance(line[i-1])
		}
	}
	h.JointsUndrawn = drawn < h.JointRun*drawnWell
}

// unsaidJoints warns of joints in the plan of a job without [joints]: the fill and its steel go
// over them, and nothing is counted for them.
func (h *Result) unsaidJoints() {
	if h.Job.Joints != (Joints{}) || h.Filled.Fill.Fill == 0 {
		return
	}
	if _, h.JointsUnsaid = h.jointLines(); h.JointsUnsaid == nil {
		return
	}
	which, it := "joint", "it"
	if len(h.JointsUnsaid) > 1 {
		which, it = "joints", "them"
	}
	steel := ""
	switch {
	case h.Job.Bars.Size != "":
		steel = ". This list has bars across " + it + ": do not cut or place steel there until the job says what the joint is"
	case h.Job.Mesh.SheetLength != "":
		steel = ". This list has sheets across " + it + ": place none there until the job says what the joint is"
	}
	h.Notes = append(h.Notes, survey.Notef(survey.Warning, survey.Pos{}, "%s in the plan, but not in the job: %s. A movement joint is carried through the fill, and no steel may cross it%s%s",
		which, unit.Join(h.JointsUnsaid, "; "), steel, unit.Hintf(` ([joints] length, and kind = "movement" or "contraction")`)).About(survey.AboutSteel))
}

// drawnWell is the share of the length of the joints that lines in the plan must have to be all
// of them: a length taken by tape or rounded up differs a little. Own choice.
const drawnWell = 0.97

func (h *Result) jointsOf(e *entries) {
	s, j := &h.Supplies, h.Job.Joints
	mean := h.Whole.Mean()
	var err error
	// The rule is for concrete that is not bonded to the floor.
	if (h.Delivery.Trucks > 0 || h.Bag != nil) && !h.Job.Site.Bonded && mean <= 1 {
		if s.Spacing, err = order.JointSpacing(mean); err != nil {
			e.failed("joints", err)
			return
		}
	}
	s.JointRun = e.length("joints.length", j.Length)
	s.JointWidth = e.length("joints.width", j.Width)
	s.Movement = j.Kind != contraction
	if j.Kind != "" && j.Kind != contraction && j.Kind != "movement" {
		e.refuse("joints.kind", strconv.Quote(j.Kind), `"movement" or "contraction"`)
	}
	if s.Movement && s.JointWidth == 0 && (j.PricePerPack != 0 || j.Pack != 0) {
		e.refuse("joints.width", "none", "the width of the joint, measured on site: without it the sealant cannot be counted")
	}
	joints := order.Joints{Length: s.JointRun, Movement: s.Movement, Bonded: h.Job.Site.Bonded, Width: s.JointWidth, Elastic: j.Elastic, Pack: j.Pack, Allowance: e.percent("joints.allowance-percent", j.Allowance), Step: stepOf(h.US), US: h.US}
	if s.JointRun == 0 && j != (Joints{}) {
		e.refuse("joints.length", "none", "the length of the joints in all")
	}
	if s.JointRun == 0 || e.err != nil {
		h.unsaidJoints()
		return
	}
	depth := mean
	if h.Job.Site.Bonded || s.Movement {
		depth = h.Whole.Greatest // open to the full depth everywhere
	}
	got, err := joints.Over(depth)
	if err != nil {
		e.failed("joints", err)
		return
	}
	s.Joints = &got
	if s.Movement {
		h.placeJoints()
	}
	h.Notes = append(h.Notes, got.Notes...)
}
