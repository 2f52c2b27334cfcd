package flatness

import (
	"fmt"
	"math"
	"strconv"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// F is an F-number: larger is flatter, twice as large is twice as flat. It is +Inf if no
// departure was measured.
type F float64

// Infinite reports whether no departure was measured.
func (f F) Infinite() bool { return math.IsInf(float64(f), 1) }

func (f F) String() string {
	if f.Infinite() {
		return "no departure measured"
	}
	return strconv.FormatFloat(float64(f), 'f', 1, 64)
}

// MarshalJSON writes null if no departure was measured or F is unknown: JSON has no
// infinity.
func (f F) MarshalJSON() ([]byte, error) {
	if f.Infinite() || math.IsNaN(float64(f)) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, float64(f), 'g', -1, 64), nil
}

// Curvatures returns h_i − 2h_(i−1) + h_(i−2) of readings at one step, m: positive in a
// trough, negative on a crest. Source: ASTM E1155-96 section 3, text copies; the 62
// published values of worked example 8 agree.
func Curvatures(h []float64) []float64 {
	out := make([]float64, max(0, len(h)-2))
	for i := range out {
		out[i] = (h[i+2] - h[i+1]) - (h[i+1] - h[i])
	}
	return out
}

// Differences returns h_i − h_(i−k), m, one for each reading from the k-th on, so they
// overlap. Ten steps make the 10 ft or 3.0 m of FL (same source).
func Differences(h []float64, k int) []float64 {
	out := make([]float64, max(0, len(h)-k))
	for i := range out {
		out[i] = h[i+k] - h[i]
	}
	return out
}

// Stat is the statistics of the readings of a line.
type Stat struct {
	N        int
	Mean, SD float64 // m
}

// describe returns mean and standard deviation in two passes with compensated sums: the
// one-pass form loses all digits of elevations like 1 250.013 m (worked example 16).
// divideByN: see [Settings].
func describe(x []float64, divideByN bool) Stat {
	n := float64(len(x))
	var total, squares sum.Sum
	for _, v := range x {
		total.Add(v)
	}
	mean := total.Value() / n
	for _, v := range x {
		squares.Add((v - mean) * (v - mean))
	}
	if !divideByN {
		n--
	}
	return Stat{len(x), mean, math.Sqrt(squares.Value() / n)}
}

// departure is the value that F-numbers are the inverse of: 3s + |x̄|, m. Source of the
// form: "absolute mean plus three standard deviations, inverted" on one retrieved page, and
// ASTM E1155-96 section 9 from memory.
func (s Stat) departure() float64 { return 3*s.SD + math.Abs(s.Mean) }

func inverse(constant, departure float64) F {
	if departure < none {
		return F(math.Inf(1))
	}
	return F(constant / departure)
}

// Line is a stretch of a run without a missing reading, and its F-numbers.
type Line struct {
	Run         string
	At          survey.Pos
	First, Last int         // stations of the run, from 1
	Start, End  surface.Vec // NaN if the run is not placed
	Step        float64     // m
	Q, Z        Stat        // curvatures; 10-ft differences
	FF, FL      F

	q, z []float64
}

// Readings returns the number of readings of the line.
func (l Line) Readings() int { return l.Last - l.First + 1 }

// Length returns the length of the line, m.
func (l Line) Length() float64 { return l.Step * float64(l.Readings()-1) }

// placed reports whether the place of the line is known.
func (l Line) placed() bool { return !math.IsNaN(l.Start.X + l.Start.Y + l.End.X + l.End.Y) }

// unbroken is readings of a run without a gap.
type unbroken struct {
	first int // index of the first station
	h     []float64
}

// stretches cuts a run at the stations that have no reading.
func stretches(r survey.Run) []unbroken {
	var out []unbroken
	open := false
	for i, s := range r.Stations {
		if math.IsNaN(s.Z) {
			open = false
			continue
		}
		if !open {
			out = append(out, unbroken{first: i})
			open = true
		}
		last := &out[len(out)-1]
		last.h = append(last.h, s.Z)
	}
	return out
}

// station returns the place of station i (from 0) of r; NaN if r is not placed.
func station(r survey.Run, i int) surface.Vec {
	t := float64(i) / float64(max(1, len(r.Stations)-1))
	return surface.Vec{X: r.Start.X + t*(r.End.X-r.Start.X), Y: r.Start.Y + t*(r.End.Y-r.Start.Y)}
}

// Lines returns the F-numbers of a run, one line for each stretch of at least 12 readings
// between missing stations. Shorter stretches are not used and are noted.
//
// FF = c/(3s + |q̄|) and FL = 12.5 in/(3s + |z̄|), see [Settings] for c. It is an error, of
// type [*survey.Error], if the step is neither 12 in nor 300 mm to 1 % or no stretch is long
// enough.
func Lines(r survey.Run, s Settings) ([]Line, []survey.Note, error) {
	refuse := func(found, want, hint string) error {
		return &survey.Error{Pos: r.At, Element: "run " + r.Name, Found: found, Want: want, Hint: hint}
	}
	y, ok := systemOf(r.Step)
	switch {
	case r.Step == 0:
		return nil, nil, refuse("no step", "the step between readings: 12 in or 300 mm for F-numbers", "")
	case !ok:
		return nil, nil, refuse(fmt.Sprintf("a step of %.1f mm", r.Step*1000), "12 in (304.8 mm) or 300 mm to 1 % for F-numbers", "chord departures and straightedge gaps take any step")
	}
	var out []Line
	var notes []survey.Note
	longest := 0
	ff, fl := s.constants(y)
	pieces := stretches(r)
	for _, p := range pieces {
		n := len(p.h)
		longest = max(longest, n)
		if n < fewest {
			notes = append(notes, survey.Notef(survey.Warning, r.At, "run %s, stations %d to %d: %d readings between gaps are not used, F-numbers want %d in a row", r.Name, p.first+1, p.first+n, n, fewest))
			continue
		}
		l := Line{Run: r.Name, At: r.At, First: p.first + 1, Last: p.first + n, Step: r.Step,
			Start: station(r, p.first), End: station(r, p.first+n-1),
			q: Curvatures(p.h), z: Differences(p.h, overZ)}
		l.Q, l.Z = describe(l.q, s.DivideByN), describe(l.z, s.DivideByN)
		l.FF, l.FL = inverse(ff, l.Q.departure()), inverse(fl, l.Z.departure())
		out = append(out, l)
	}
	switch {
	case len(out) > 0:
		return out, notes, nil
	case len(pieces) > 1:
		return nil, nil, refuse(fmt.Sprintf("at most %d readings between missing ones", longest), "12 or more in a row for F-numbers", "chord departures and straightedge gaps take shorter runs")
	}
	return nil, nil, refuse(fmt.Sprintf("%d readings", longest), "12 or more for F-numbers", "chord departures and straightedge gaps take shorter runs")
}

// weighted returns the F-number of parts: 1/F² = Σw/F² ÷ Σw. It is the standard's
// pairwise rule F_j·F_k·√[(r_j + r_k)/(r_k·F_j² + r_j·F_k²)] folded over all parts,
// which does not depend on their order (algebra). Source of the rule: ASTM
// E1155-96 section 9, from memory 85 %.
func weighted(f []F, w []float64) F {
	var total, inverse sum.Sum
	for i := range f {
		total.Add(w[i])
		inverse.Add(w[i] / float64(f[i]*f[i])) // 0 where infinite
	}
	if inverse.Value() == 0 {
		return F(math.Inf(1))
	}
	return F(math.Sqrt(total.Value() / inverse.Value()))
}
