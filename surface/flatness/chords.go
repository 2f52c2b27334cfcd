package flatness

import (
	"fmt"
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/internal/sum"
	"pourplane/survey"
)

// Chord is the departures of runs from the middle of chords of one length.
type Chord struct {
	Length float64 // m, 2k steps
	N      int     // departures measured
	RMS    float64 // m
	Worst  float64 // m; positive: a hump
	Run    string  // with the worst departure
	Middle int     // its station, from 1
	At     surface.Vec
}

// MidChord returns h_(i+k) − (h_i + h_(i+2k))/2, m: how far the middle of a chord of 2k
// steps is above (+) or below (−) the chord whose ends touch the surface. With k = 1 it is
// −q/2. Source: geometry; the idea is from ASTM E1486 (its abstract).
func MidChord(h []float64, k int) []float64 {
	out := make([]float64, max(0, len(h)-2*k))
	for i := range out {
		out[i] = ((h[i+k] - h[i]) - (h[i+2*k] - h[i+k])) / 2
	}
	return out
}

// Chords returns the root mean square of the mid-chord departures of runs for chords of 2,
// 4, 6, 8 and 10 steps: 2 to 10 ft at 12 in, 600 mm to 3.0 m at 300 mm. Chords longer than
// every run are left out. The five figures are given separately: the index that ASTM E1486
// makes from them has a scaling that was not found.
//
// Runs may have gaps and any step, the same for all to 1 %.
func Chords(runs []survey.Run) ([]Chord, error) {
	if err := oneStep(runs); err != nil {
		return nil, err
	}
	var out []Chord
	for k := 1; k <= 5; k++ {
		c := Chord{At: surface.Vec{X: math.NaN(), Y: math.NaN()}}
		var squares sum.Sum
		for _, r := range runs {
			for _, p := range stretches(r) {
				for i, d := range MidChord(p.h, k) {
					c.N++
					squares.Add(d * d)
					if math.Abs(d) > math.Abs(c.Worst) {
						c.Worst, c.Run, c.Middle, c.At = d, r.Name, p.first+i+k+1, station(r, p.first+i+k)
					}
				}
			}
		}
		if c.N > 0 {
			c.Length = 2 * float64(k) * runs[0].Step
			c.RMS = math.Sqrt(squares.Value() / float64(c.N))
			out = append(out, c)
		}
	}
	return out, nil
}

func oneStep(runs []survey.Run) error {
	for _, r := range runs {
		if r.Step <= 0 {
			return &survey.Error{Pos: r.At, Element: "run " + r.Name, Found: "no step", Want: "the step between readings"}
		}
		if math.Abs(r.Step-runs[0].Step) > off*runs[0].Step {
			return &survey.Error{Pos: r.At, Element: "run " + r.Name, Found: fmt.Sprintf("a step of %.1f mm", r.Step*1000), Want: fmt.Sprintf("%.1f mm, as run %s has", runs[0].Step*1000, runs[0].Name)}
		}
	}
	return nil
}

// Spread is absolute values of one kind, from min to max, and the place of the max.
type Spread struct {
	Values   []float64 // m
	From, To surface.Vec
	SD       float64 // m, of each value, from the error of readings; 0: not known
	Apart    float64 // m between shots; 0: not of shots
	Unread   float64 // share of the values on the floor where shots are too far apart
}

// Share returns the share of the values that are at most limit, 0 to 1.
func (s Spread) Share(limit float64) float64 {
	n, _ := slices.BinarySearchFunc(s.Values, limit*(1+1e-12), func(v, l float64) int {
		if v <= l {
			return -1
		}
		return 1
	})
	return float64(n) / float64(len(s.Values))
}

// Reached returns the min value that the given share of all do not exceed, m.
func (s Spread) Reached(share float64) float64 {
	return s.Values[max(0, int(math.Ceil(share*float64(len(s.Values))-1e-9))-1)]
}

// spreadOf collects values; add takes each with its place.
type spreadOf struct{ Spread }

func (s *spreadOf) add(v float64, from, to surface.Vec) {
	v = math.Abs(v)
	if len(s.Values) == 0 || v > s.Values[0] {
		s.From, s.To = from, to
		s.Values = append(s.Values, v)
		last := len(s.Values) - 1
		s.Values[0], s.Values[last] = s.Values[last], s.Values[0]
		return
	}
	s.Values = append(s.Values, v)
}

func (s *spreadOf) done(element, want string) (Spread, error) {
	if len(s.Values) == 0 {
		return Spread{}, &survey.Error{Element: element, Found: "no value", Want: want}
	}
	slices.Sort(s.Values)
	return s.Spread, nil
}

// FreeMovementF returns Property F of Concrete Society TR 34, 4th edition: the change of the
// difference between readings from one 300 mm step to the next, which is the size of the
// curvature (a survey firm's page, from memory 90 %). It is an error if the step is not 300
// mm to 1 %.
func FreeMovementF(runs []survey.Run) (Spread, error) {
	var out spreadOf
	for _, r := range runs {
		if math.Abs(r.Step-atMM) > off*atMM {
			return Spread{}, &survey.Error{Pos: r.At, Element: "run " + r.Name, Found: fmt.Sprintf("a step of %.1f mm", r.Step*1000), Want: "300 mm to 1 % for Property F"}
		}
		for _, p := range stretches(r) {
			for i, q := range Curvatures(p.h) {
				out.add(q, station(r, p.first+i), station(r, p.first+i+2))
			}
		}
	}
	return out.done("Property F", "three readings in a row")
}

// FreeMovementE returns Property E of Concrete Society TR 34, 4th edition: the differences
// in elevation between neighbours on a square grid of 3 m, laid along the longest side of
// each region with half of the remainder at each edge (a survey firm's page, from memory 90
// %; where the grid begins is own choice). Places with shots more than 3 m apart are not
// read, and are counted in Unread.
func FreeMovementE(floor *surface.Floor) (Spread, error) {
	const grid = 3.0 // m
	var out spreadOf
	bare := 0
	for _, r := range floor.Regions {
		long := longest(r.Rings[0])
		f := newFrame(long.a, long.bearing())
		p := newPlan(r.Rings, nil, f)
		lo, hi := p.extent()
		s := newSampler(r.TIN)
		nx, ny := int((hi.X-lo.X)/grid+1e-9)+1, int((hi.Y-lo.Y)/grid+1e-9)+1
		x0, y0 := (lo.X+hi.X-float64(nx-1)*grid)/2, (lo.Y+hi.Y-float64(ny-1)*grid)/2
		at := func(i, j int) (v surface.Vec, z float64, carried bool) {
			v = f.out(surface.Vec{X: x0 + float64(i)*grid, Y: y0 + float64(j)*grid})
			z, spacing := s.at(v)
			return v, z, spacing <= grid
		}
		for j := range ny {
			for i := range nx {
				a, z, near := at(i, j)
				for _, to := range [...][2]int{{i + 1, j}, {i, j + 1}} {
					if to[0] == nx || to[1] == ny {
						continue
					}
					b, w, too := at(to[0], to[1])
					switch {
					case math.IsNaN(w - z): // off the floor
					case near && too:
						out.add(w-z, a, b)
					default:
						bare++
					}
				}
			}
		}
	}
	if bare > 0 {
		out.Unread = float64(bare) / float64(bare+len(out.Values))
	}
	return out.done("Property E", "two places of a 3 m grid on the floor")
}
