package report

import (
	"fmt"
	"math"

	"pourplane/surface"
	"pourplane/surface/job"
	"pourplane/surface/uncertainty"
	"pourplane/survey/unit"
)

// nextShots are the places worth another shot, as written.
type nextShots struct {
	at     []surface.Vec
	where  []string // from two walls
	after  []string // the ± of the fill once a place and those before it are read; nil: not measured
	little string   // why it hardly changes, or is not measured; else empty
}

// nextOf writes the next shots on a floor. Where the ± after one would read as that before it, each has
// one more digit.
func nextOf(next []uncertainty.Shot, now uncertainty.Parts, floor *surface.Floor, fill float64, u unit.Style) nextShots {
	var out nextShots
	for _, n := range next {
		out.at = append(out.at, n.At)
		out.where = append(out.where, surface.Spot{Floor: floor, At: n.At, Doors: true, About: true}.In(u))
	}
	if next == nil {
		return out
	}
	if math.IsNaN(next[0].SDAfter) {
		out.little = "They are the places farthest from all shots. Read them, and the ± can be measured"
		return out
	}
	step := halfOf(now.Total) / 10
	write := func(sd float64) string { return "±" + u.PartVolumeTo(halfOf(sd), fill, step) }
	const little = 0.9 // of the ± is left; own choice
	if last := next[len(next)-1].SDAfter; last >= little*now.Total {
		step /= 10
		before := write(now.Total)
		out.little = "They hardly narrow " + before
		if after := write(last); after != before {
			out.little = fmt.Sprintf("They narrow %s to %s only", before, after)
		}
		out.little += ": " + mostly(now) + " is most of it"
	}
	for i, last := 0, write(now.Total); i < len(next) && out.little == ""; i++ {
		text := write(next[i].SDAfter)
		if text == last {
			step /= 10
			break
		}
		last = text
	}
	for _, n := range next {
		out.after = append(out.after, write(n.SDAfter))
	}
	return out
}

// noNext is why there are no next shots.
func noNext(w *job.Filled, s *job.Sure) string {
	switch {
	case !s.Known:
		return "not known: too few shots to say how sure the fill is (" + s.Lacks(w.Old) + ")"
	case w.Fill.Fill == 0:
		return "none: nothing is filled"
	}
	return "none: so many shots that they were looked at in part only, and one more changes little"
}

// mostly names the largest part.
func mostly(p uncertainty.Parts) string {
	name, most := "the reading error", p.Reading
	for _, c := range []struct {
		name string
		sd   float64
	}{{"the set-up error", p.Setup}, {"the floor between the shots", p.Sampling}, {"the floor at the walls", p.Walls}} {
		if c.sd > most {
			name, most = c.name, c.sd
		}
	}
	return name
}
