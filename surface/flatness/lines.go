package flatness

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"pourplane/surface"
	"pourplane/survey"
)

// ErrTooWide is the cause of a refusal of a floor too wide for its shots.
var ErrTooWide = errors.New("too many lines to lay on the floor")

const (
	// mostLines is the max number of lines for straightedges, over all directions and
	// lengths: 400 MB for a floor 1,000 m long with few shots. Own choice. Floors with many
	// shots stay far below it, because [mostCrossings] puts their lines farther apart.
	mostLines = 1_000_000
	// mostReadings is the max number of readings laid out in runs: a floor of 18 hectares.
	// Own choice.
	mostReadings = 1_000_000
)

// countLines returns the number of lines for a floor in several directions.
func countLines(f *surface.Floor, bearings []float64, spacing float64) float64 {
	n := 0.0
	for _, r := range f.Regions {
		for _, degrees := range bearings {
			sin, cos := math.Sincos(degrees * math.Pi / 180)
			lo, hi := math.Inf(1), math.Inf(-1)
			for _, p := range r.Rings[0] {
				w := p.Y*cos - p.X*sin
				lo, hi = min(lo, w), max(hi, w)
			}
			n += math.Ceil((hi-lo)/spacing) + 1
		}
	}
	return n
}

// tooWide refuses a floor for the straightedges or the runs on it.
func tooWide(shots int, lo, hi surface.Vec, what string) error {
	return &survey.Error{Found: fmt.Sprintf("%d shots on a floor %.4g m by %.4g m", shots, hi.X-lo.X, hi.Y-lo.Y),
		Want: "a floor for which no more than a million " + what + " are needed", Err: ErrTooWide}
}

// turned is a surface rotated to a direction.
type turned struct {
	*surface.TIN
	cos, sin float64
	at       []vertex // each vertex
	lo, hi   surface.Vec
	border   []int32 // half-edges with no floor on their other side
}

// field is a surface that lines are laid over in several directions, one after the other.
type field struct {
	*surface.TIN
	at     []vertex
	border []int32
}

func newField(t *surface.TIN) *field {
	f := field{TIN: t, at: make([]vertex, len(t.Z))}
	for h, twin := range t.Twin {
		if twin < 0 {
			f.border = append(f.border, int32(h))
		}
	}
	return &f
}

// ordered returns t with its vertices numbered in the order of its triangles, so that those
// of neighbouring triangles are read together. Shots come in any order.
func ordered(t *surface.TIN) *surface.TIN {
	n := len(t.Z)
	out := &surface.TIN{Origin: t.Origin, X: make([]float64, 0, n), Y: make([]float64, 0, n), Z: make([]float64, 0, n), V: make([]int32, len(t.V)), Twin: t.Twin}
	number := make([]int32, n) // from 1
	for h, v := range t.V {
		if number[v] == 0 {
			out.X, out.Y, out.Z = append(out.X, t.X[v]), append(out.Y, t.Y[v]), append(out.Z, t.Z[v])
			number[v] = int32(len(out.Z))
		}
		out.V[h] = number[v] - 1
	}
	return out
}

// vertex is a vertex by m along and across the lines and its elevation: what is asked of one is
// read at once.
type vertex struct{ u, w, z float64 }

// turn rotates f to a direction in degrees from east, counter-clockwise. The last one turned to is
// lost.
func (f *field) turn(degrees float64) *turned {
	d := &turned{TIN: f.TIN, cos: 1, at: f.at, border: f.border}
	switch degrees {
	case 0:
	case 90: // exactly, so that lines run along the rows of a grid
		d.cos, d.sin = 0, 1
	default:
		d.sin, d.cos = math.Sincos(degrees * math.Pi / 180)
	}
	const few = 1 << 14
	lo, hi := make([]surface.Vec, 1+len(f.at)/few), make([]surface.Vec, 1+len(f.at)/few)
	var next atomic.Int32
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(lo)) {
		wait.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(lo); i = int(next.Add(1)) - 1 {
				lo[i], hi[i] = d.rotate(i*few, min(len(f.at), (i+1)*few))
			}
		})
	}
	wait.Wait()
	d.lo, d.hi = lo[0], hi[0]
	for i := range lo {
		d.lo = surface.Vec{X: min(d.lo.X, lo[i].X), Y: min(d.lo.Y, lo[i].Y)}
		d.hi = surface.Vec{X: max(d.hi.X, hi[i].X), Y: max(d.hi.Y, hi[i].Y)}
	}
	return d
}

// rotate finds the places of the vertices from first up to last, and their bounds.
func (d *turned) rotate(first, last int) (lo, hi surface.Vec) {
	lo, hi = surface.Vec{X: math.Inf(1), Y: math.Inf(1)}, surface.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for v := first; v < last; v++ {
		u := float64(d.X[v]*d.cos) + float64(d.Y[v]*d.sin)
		w := float64(d.Y[v]*d.cos) - float64(d.X[v]*d.sin)
		d.at[v] = vertex{u, w, d.Z[v]}
		lo = surface.Vec{X: min(lo.X, u), Y: min(lo.Y, w)}
		hi = surface.Vec{X: max(hi.X, u), Y: max(hi.Y, w)}
	}
	return lo, hi
}

// place returns the place on the grid of the survey at u along and w across.
func (d *turned) place(u, w float64) surface.Vec {
	return surface.Vec{
		X: d.Origin.X + (float64(u*d.cos) - float64(w*d.sin)),
		Y: d.Origin.Y + (float64(u*d.sin) + float64(w*d.cos)),
	}
}

// inside is how far the first and the last line are inside the floor, m, so that walls with
// corners rounded to a nanometre do not cross them.
const inside = 1e-6

// lines returns the places of the lines across: evenly spaced, at most spacing apart, the
// first and the last along the edges of the floor.
func (d *turned) lines(spacing float64) []float64 {
	wide := d.hi.Y - d.lo.Y
	n := max(1, int(math.Ceil((wide-inside)/spacing))) // room for rounding
	out := make([]float64, n+1)
	for i := range out {
		out[i] = d.lo.Y + wide*float64(i)/float64(n)
	}
	out[0], out[n] = d.lo.Y+min(inside, wide/4), d.hi.Y-min(inside, wide/4)
	return out
}

// entries returns, for each of ascending lines, the edges of the floor where it enters: those
// that run across it from left to right. A vertex on the line counts as left.
func (d *turned) entries(lines []float64) [][]int32 {
	out := make([][]int32, len(lines))
	for _, h := range d.border {
		a, b := d.at[d.V[h]].w, d.at[d.V[surface.Next(h)]].w
		if a <= b {
			continue
		}
		first, _ := slices.BinarySearch(lines, b)
		for i := first; i < len(lines) && lines[i] <= a; i++ {
			if b < lines[i] {
				out[i] = append(out[i], h)
			}
		}
	}
	return out
}

// walk follows a line from the edge of the floor where it enters to the one where it leaves.
// It enters each triangle between one corner on its left and one on its right.
func (d *turned) walk(h int32, line float64, p *stretch) {
	p.reset()
	left, right := d.at[d.V[h]], d.at[d.V[surface.Next(h)]]
	for {
		p.cross(line, left, right)
		out := surface.Next(h)
		last := surface.Next(out)
		tip := d.at[d.V[last]]
		if tip.w < line {
			out = last
		}
		into := d.Twin[out]
		switch {
		case into < 0 && tip.w < line:
			p.cross(line, tip, left)
			return
		case into < 0:
			p.cross(line, right, tip)
			return
		case tip.w < line:
			right = tip
		default:
			left = tip
		}
		h = into
	}
}

// cross adds the place where a line crosses the edge from a to b.
func (p *stretch) cross(line float64, a, b vertex) {
	f := (line - a.w) / (b.w - a.w)
	p.add(a.u+float64(f*(b.u-a.u)), a.z+float64(f*(b.z-a.z)))
}
