package flatness

import (
	"fmt"
	"math"

	"pourplane/surface"
)

// rules checks a section against the sampling rules of ASTM E1155-96 section 7, as far as
// they were found; s is filled.
func rules(sec Section, r *Result, s Settings, y system) []Rule {
	const (
		read     = "ASTM E1155-96 section 7, read in a published report"
		memory90 = "ASTM E1155-96 section 7, survey firm's page and memory 90 %"
		memory85 = "ASTM E1155-96 section 7, from memory 85 %"
	)
	fewestFound, shortest := math.MaxInt, math.Inf(1)
	for _, l := range r.Lines {
		fewestFound, shortest = min(fewestFound, l.Readings()), math.Min(shortest, l.Length())
	}
	out := []Rule{
		{fmt.Sprintf("readings every %s", y), Met, fmt.Sprintf("%.1f mm", r.Lines[0].Step*1000), "ASTM E1155-96 section 3"},
		{"at least 12 readings in a run", Met, fmt.Sprintf("%d or more", fewestFound), "ASTM E1155-96 section 3"},
		{"runs at least " + y.length(overZ*r.Lines[0].Step+r.Lines[0].Step) + " long", Met, y.length(shortest) + " or more", read},
	}
	yes := func(ok bool) Answer {
		if ok {
			return Met
		}
		return NotMet
	}
	add := func(rule string, met Answer, found, source string) { out = append(out, Rule{rule, met, found, source}) }

	if r.Required > 0 {
		add(fmt.Sprintf("at least %d differences over %s", r.Required, y.length(overZ*r.Lines[0].Step)), yes(r.Differences >= r.Required), fmt.Sprint(r.Differences), "ASTM E1155-96 section 7; 2√A from memory 70 %")
		add("section of at least "+y.area(s.LeastArea), yes(r.Area >= s.LeastArea*(1-1e-9)), y.area(r.Area), memory90)
	} else {
		add("enough differences for the area", Unknown, fmt.Sprintf("%d; the area is not known", r.Differences), "ASTM E1155-96 section 7; 2√A from memory 70 %")
		add("section of at least "+y.area(s.LeastArea), Unknown, "the area is not known", memory90)
	}

	placed := true
	for _, l := range r.Lines {
		placed = placed && l.placed()
	}
	if len(sec.Outline) == 0 || !placed {
		why := "no outline"
		if !placed {
			why = "the runs are not placed"
		}
		add("no side below "+y.length(s.LeastSide), Unknown, why, memory90)
		add("no run within "+y.length(s.Band)+" of walls, openings, joints", Unknown, why, read)
		add("runs along and across in equal length, or at 45°", Unknown, why, memory85)
	} else {
		long := longest(sec.Outline[0])
		p := newPlan(sec.Outline, jointSegments(sec.Joints), newFrame(long.a, long.bearing()))
		lo, hi := p.extent()
		side := math.Min(hi.X-lo.X, hi.Y-lo.Y)
		add("no side below "+y.length(s.LeastSide), yes(side >= s.LeastSide*(1-1e-9)), y.length(side), memory90)
		out = append(out, bandRule(sec, r, s, y, p, read))
		out = append(out, directionRule(r, s, y, long.bearing(), side < s.Narrow*(1-1e-9), memory85))
	}
	if placed {
		least := nearestParallel(r.Lines, s.Turn)
		found := "no two side by side"
		if !math.IsInf(least, 1) {
			found = y.length(least)
		}
		add("parallel runs at least "+y.length(s.Apart)+" apart", yes(least >= s.Apart-tape), found, read)
	} else {
		add("parallel runs at least "+y.length(s.Apart)+" apart", Unknown, "the runs are not placed", read)
	}
	add("measured within 72 h, before shores are removed", Unknown, "the readings do not say when", "common practice; UFGS 03 30 00 asks 24 h")
	add("no vehicles on fixed paths", Unknown, "the readings do not say", "ASTM E1155-14 section 1")
	return out
}

// tape is how far a placed run may be over a line, m: the reading of a tape. Own choice.
const tape = 0.005

func bandRule(sec Section, r *Result, s Settings, y system, p plan, source string) Rule {
	least := math.Inf(1)
	var joint bool
	walls, joints := ringSegments(sec.Outline), jointSegments(sec.Joints)
	for _, l := range r.Lines {
		run := segment{l.Start, l.End}
		for _, w := range walls {
			least = math.Min(least, run.to(w))
		}
		for _, j := range joints {
			d := run.to(j)
			least = math.Min(least, d)
			joint = joint || d == 0
		}
	}
	out := Rule{Rule: "no run within " + y.length(s.Band) + " of walls, openings, joints", Found: y.length(least), Source: source}
	share := p.excluded(s.Band)
	switch {
	case joint:
		out.Met, out.Found = NotMet, "a run crosses a joint"
	case least >= s.Band-tape:
		out.Met = Met
	case share > s.Waive:
		out.Met = Met
		out.Found += fmt.Sprintf("; waived, the band would leave out %.0f %% of the area", 100*share)
		out.Source += "; the waiver from memory 80 %"
	default:
		out.Met = NotMet
	}
	return out
}

// directionRule: equal means within a tenth, own choice.
func directionRule(r *Result, s Settings, y system, bearing float64, narrow bool, source string) Rule {
	var along, across, diagonal, other float64
	for _, l := range r.Lines {
		switch a := apartBy(segment{l.Start, l.End}.bearing(), bearing); {
		case a <= s.Turn:
			along += l.Length()
		case a >= 90-s.Turn:
			across += l.Length()
		case math.Abs(a-45) <= s.Turn:
			diagonal += l.Length()
		default:
			other += l.Length()
		}
	}
	total := along + across + diagonal + other
	out := Rule{Rule: "runs along and across in equal length, or all at 45°", Met: NotMet, Source: source,
		Found: fmt.Sprintf("along %s, across %s, at 45° %s, otherwise %s", y.length(along), y.length(across), y.length(diagonal), y.length(other))}
	if narrow {
		out.Rule = "runs at 45°, the section being narrower than " + y.length(s.Narrow)
	}
	equal := along+across == total && math.Abs(along-across) <= 0.1*math.Max(along, across)
	if diagonal == total || equal && !narrow {
		out.Met = Met
	}
	return out
}

// nearestParallel returns the min distance between lines that run side by side, m; +Inf if
// no two do. Pieces of one run are one line.
func nearestParallel(lines []Line, turn float64) float64 {
	least := math.Inf(1)
	for i, a := range lines {
		f := newFrame(a.Start, segment{a.Start, a.End}.bearing())
		for _, b := range lines[:i] {
			if a.Run == b.Run && a.At == b.At || apartBy(segment{a.Start, a.End}.bearing(), segment{b.Start, b.End}.bearing()) > turn {
				continue
			}
			p, q := f.in(b.Start), f.in(b.End)
			if max(p.X, q.X) < 0 || min(p.X, q.X) > a.Length() {
				continue // one behind the other
			}
			least = math.Min(least, segment{surface.Vec{}, surface.Vec{X: a.Length()}}.to(segment{p, q}))
		}
	}
	return least
}
