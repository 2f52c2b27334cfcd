//go:build unix

// Bench does parts of the engine's work on binary files, so that it can be timed beside
// other libraries in one run. It prints one line of JSON with what it found and how long it
// took: seconds, and CPU seconds of all threads.
//
//	bench tin --points F [--constraints F] [--plane a,b,c] [--triangles OUT]
//	bench floor --points F [--plane a,b,c]
//	bench volume --points F --triangulation F [--plane a,b,c]
//	bench csv --csv F
//	bench edge --raster F [--nx 1600] [--ny 1000] [--step 0.025] [--lengths 3.048]
//	bench lay --points F [--lengths 3.048,2]
//	bench growth [--numbers 1e5,2e5,5e5,1e6,2e6,5e6] [--rounds 3]
//
// Points are float64 x, y, z in metres, constraints uint32 from, to, kind (0 bounds the
// floor, 1 is a line in it), triangles uint32 corners, a raster float64 z, row by
// row; all little-endian. The plane is z = a + b·x + c·y; volumes are those to fill below it. An
// edge is laid along each row and column, one after the other; edges of several lengths on a floor
// in all directions, on all processors.
package main

import (
	"encoding/binary"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"syscall"
	"time"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/internal/delaunay"
	"pourplane/survey"
	"pourplane/survey/file"
	"pourplane/survey/unit"
)

func main() {
	if err := run(os.Args[1:], os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// task is what one call reads, and what it reports.
type task struct {
	points, constraints, triangulation, triangles, csv, raster string
	nx, ny                                                     int
	step                                                       float64   // m
	lengths                                                    []float64 // m
	numbers                                                    []float64 // of points
	rounds                                                     int
	plane                                                      surface.Plane
	found                                                      map[string]any
	last                                                       instant
}

func run(args []string, out io.Writer) error {
	do := map[string]func(*task) error{
		"tin": (*task).tin, "floor": (*task).floor, "volume": (*task).volume, "csv": (*task).survey, "edge": (*task).edge, "lay": (*task).lay, "growth": (*task).growth,
	}
	if len(args) == 0 || do[args[0]] == nil {
		return fmt.Errorf("want one of tin, floor, volume, csv, edge, lay and growth")
	}
	t := &task{found: map[string]any{}}
	fs := flag.NewFlagSet("bench", flag.ContinueOnError)
	fs.StringVar(&t.points, "points", "", "file of points")
	fs.StringVar(&t.constraints, "constraints", "", "file of constraints")
	fs.StringVar(&t.triangulation, "triangulation", "", "file of triangles to integrate over")
	fs.StringVar(&t.triangles, "triangles", "", "file to write triangles to")
	fs.StringVar(&t.csv, "csv", "", "file of x,y,z")
	fs.StringVar(&t.raster, "raster", "", "file of elevations")
	fs.IntVar(&t.nx, "nx", 1600, "elevations in a row")
	fs.IntVar(&t.ny, "ny", 1000, "rows")
	fs.Float64Var(&t.step, "step", 0.025, "m between elevations")
	lengths := fs.String("lengths", "3.048", "m, of the edges, with commas")
	points := fs.String("numbers", "1e5,2e5,5e5,1e6,2e6,5e6", "of points, with commas")
	fs.IntVar(&t.rounds, "rounds", 3, "of which the best counts")
	plane := fs.String("plane", "0,0,0", "a,b,c")
	if err := fs.Parse(args[1:]); err != nil {
		return err
	}
	if _, err := fmt.Sscanf(*plane, "%g,%g,%g", &t.plane.Z, &t.plane.SlopeX, &t.plane.SlopeY); err != nil {
		return fmt.Errorf("plane %q: %w", *plane, err)
	}
	var err error
	if t.lengths, err = list(*lengths); err != nil {
		return fmt.Errorf("lengths %q: %w", *lengths, err)
	}
	if t.numbers, err = list(*points); err != nil {
		return fmt.Errorf("numbers %q: %w", *points, err)
	}
	t.last = now()
	if err := do[args[0]](t); err != nil {
		return err
	}
	return json.NewEncoder(out).Encode(t.found)
}

func list(s string) ([]float64, error) {
	var out []float64
	for v := range strings.SplitSeq(s, ",") {
		x, err := strconv.ParseFloat(v, 64)
		if err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// tin triangulates in plan, in whole nanometres as a floor does.
func (t *task) tin() error {
	p, err := floats(t.points)
	if err != nil {
		return err
	}
	var edges []uint32
	if t.constraints != "" {
		if edges, err = numbers(t.constraints); err != nil {
			return err
		}
	}
	t.lap("load")
	n := len(p) / 3
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i], y[i] = math.Round(p[3*i]*1e9), math.Round(p[3*i+1]*1e9)
	}
	m, err := delaunay.Triangulate(x, y)
	if err != nil {
		return err
	}
	const line = 1 << 1
	for i := 0; i+3 <= len(edges); i += 3 {
		mark := delaunay.Toggle
		if edges[i+2] != 0 {
			mark = line
		}
		if err := m.Constrain(int32(edges[i]), int32(edges[i+1]), mark); err != nil {
			return err
		}
	}
	t.lap("tri")
	var inside []bool
	if edges != nil {
		inside = m.Inside(delaunay.Toggle)
	}
	var all, floor []int32
	for k := range int32(m.Len()) {
		if !m.Ghost(k) {
			all = append(all, m.V[3*k:3*k+3]...)
			if inside != nil && inside[k] {
				floor = append(floor, m.V[3*k:3*k+3]...)
			}
		}
	}
	if inside == nil {
		floor = all
	}
	t.integrate(tinOf(p, floor))
	t.lap("vol")
	t.found["points"], t.found["triangles"] = n, len(all)/3
	if t.triangles == "" {
		return nil
	}
	b := make([]byte, 4*len(all))
	for i, v := range all {
		binary.LittleEndian.PutUint32(b[4*i:], uint32(v))
	}
	return os.WriteFile(t.triangles, b, 0o666)
}

// floor does with shots and no walls what every survey goes through.
func (t *task) floor() error {
	d, err := t.shots()
	if err != nil {
		return err
	}
	f, err := surface.NewFloor(d)
	if err != nil {
		return err
	}
	t.lap("tri")
	fill := f.FillTo(t.plane, nil)
	t.lap("vol")
	t.found["points"], t.found["triangles"] = len(d.Shots), fill.Triangles
	t.found["volume_m3"], t.found["area_m2"] = fill.Fill, fill.Area
	return nil
}

// edge lays a straightedge along the rows and the columns of a raster.
func (t *task) edge() error {
	z, err := read(t.raster, 8)
	if err != nil {
		return err
	}
	if t.nx < 2 || t.ny < 2 || len(z)/8 != t.nx*t.ny {
		return fmt.Errorf("%s: found %d elevations, want %d rows of %d", t.raster, len(z)/8, t.ny, t.nx)
	}
	var lines [][]surface.Station
	line := func(first, step, n int) {
		out := make([]surface.Station, n)
		for i := range out {
			d, k := float64(i)*t.step, 8*(first+i*step)
			out[i] = surface.Station{Distance: d, At: surface.Vec{X: d}, Elevation: math.Float64frombits(binary.LittleEndian.Uint64(z[k:]))}
		}
		lines = append(lines, out)
	}
	for y := range t.ny {
		line(y*t.nx, 1, t.nx)
	}
	for x := range t.nx {
		line(x, t.nx, t.ny)
	}
	t.lap("load")
	return t.laid(func(l flatness.Laying) ([]flatness.Straightedge, error) {
		var all []flatness.Straightedge
		for _, l.Length = range t.lengths {
			e, err := flatness.LayAlong(lines, l)
			if err != nil {
				return nil, err
			}
			all = append(all, e)
		}
		return all, nil
	})
}

// lay lays straightedges on a floor in all directions.
func (t *task) lay() error {
	d, err := t.shots()
	if err != nil {
		return err
	}
	f, err := surface.NewFloor(d)
	if err != nil {
		return err
	}
	t.lap("tri")
	return t.laid(func(l flatness.Laying) ([]flatness.Straightedge, error) { return flatness.LayAll(f, l, t.lengths...) })
}

func (t *task) laid(lay func(flatness.Laying) ([]flatness.Straightedge, error)) error {
	all, err := lay(flatness.Laying{})
	if err != nil {
		return err
	}
	t.lap("kernel")
	way, gap := 0.0, 0.0
	for _, e := range all {
		way, gap = way+e.Positions, max(gap, e.Gap)
	}
	t.found["positions_m"], t.found["max_gap_m"] = way, gap
	return nil
}

// shots reads the points.
func (t *task) shots() (surface.Data, error) {
	p, err := floats(t.points)
	d := surface.Data{Shots: make([]survey.Point, len(p)/3)}
	for i := range d.Shots {
		d.Shots[i].X, d.Shots[i].Y, d.Shots[i].Z = p[3*i], p[3*i+1], p[3*i+2]
	}
	t.lap("load")
	return d, err
}

// volume integrates over triangles made by another program.
func (t *task) volume() error {
	p, err := floats(t.points)
	if err != nil {
		return err
	}
	u, err := numbers(t.triangulation)
	if err != nil {
		return err
	}
	v := make([]int32, len(u))
	for i, k := range u {
		if int(k) >= len(p)/3 {
			return fmt.Errorf("%s: found corner %d, want less than %d", t.triangulation, k, len(p)/3)
		}
		v[i] = int32(k)
	}
	tin := tinOf(p, v)
	t.lap("load")
	t.integrate(tin)
	t.lap("vol")
	t.found["triangles"] = len(v) / 3
	return nil
}

func tinOf(p []float64, v []int32) *surface.TIN {
	n := len(p) / 3
	tin := &surface.TIN{X: make([]float64, n), Y: make([]float64, n), Z: make([]float64, n), V: v}
	for i := range n {
		tin.X[i], tin.Y[i], tin.Z[i] = p[3*i], p[3*i+1], p[3*i+2]
	}
	return tin
}

func (t *task) integrate(tin *surface.TIN) {
	fill := (&surface.Floor{Regions: []surface.Region{{TIN: tin}}}).FillTo(t.plane, nil)
	t.found["volume_m3"], t.found["area_m2"] = fill.Fill, fill.Area
}

// survey opens a file as every command does. Its sums are in whole tenths of a millimetre.
func (t *task) survey() error {
	s, err := file.Open(t.csv, survey.Options{MaxSize: 1 << 40, Order: "XYZ", Unit: unit.Metre})
	if err != nil {
		return err
	}
	t.lap("parse")
	var sums [3]int64
	for _, p := range s.Points {
		for i, v := range [3]float64{p.X, p.Y, p.Z} {
			sums[i] += int64(math.Round(v * 1e4))
		}
	}
	t.found["points"], t.found["sums"] = len(s.Points), sums
	return nil
}

func floats(name string) ([]float64, error) {
	b, err := read(name, 24)
	if err != nil {
		return nil, err
	}
	v := make([]float64, len(b)/8)
	for i := range v {
		v[i] = math.Float64frombits(binary.LittleEndian.Uint64(b[8*i:]))
	}
	return v, nil
}

func numbers(name string) ([]uint32, error) {
	b, err := read(name, 12)
	if err != nil {
		return nil, err
	}
	v := make([]uint32, len(b)/4)
	for i := range v {
		v[i] = binary.LittleEndian.Uint32(b[4*i:])
	}
	return v, nil
}

// read returns a file of entries of size bytes each.
func read(name string, size int) ([]byte, error) {
	b, err := os.ReadFile(name)
	if err == nil && len(b)%size != 0 {
		err = fmt.Errorf("%s: found %d bytes, want %d an entry", name, len(b), size)
	}
	return b, err
}

type instant struct {
	wall time.Time
	cpu  float64 // s
}

func now() instant {
	var u syscall.Rusage
	syscall.Getrusage(syscall.RUSAGE_SELF, &u) // cannot fail for oneself
	seconds := func(t syscall.Timeval) float64 { return float64(t.Sec) + float64(t.Usec)/1e6 }
	return instant{time.Now(), seconds(u.Utime) + seconds(u.Stime)}
}

// lap reports the time since the last lap under a name.
func (t *task) lap(name string) {
	n := now()
	t.found[name+"_s"], t.found[name+"_cpu_s"] = n.wall.Sub(t.last.wall).Seconds(), n.cpu-t.last.cpu
	t.last = n
}
