package surface

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pourplane/survey"
)

// floors are the surveys to time, of n shots in a hall of 40 × 25 m.
var floors = []struct {
	name  string
	shots func(n int) []survey.Point
}{
	{"random", func(n int) []survey.Point {
		rng := rand.New(rand.NewPCG(1, 1))
		out := make([]survey.Point, n)
		for i := range out {
			out[i] = shotAt(math.Round(4e5*rng.Float64())/1e4, math.Round(2.5e5*rng.Float64())/1e4)
			out[i].X += float64(i%10) * 1e-6 // no two at one place
		}
		return out
	}},
	{"grid", func(n int) []survey.Point {
		step := math.Sqrt(1000 / float64(n))
		wide := int(40 / step)
		out := make([]survey.Point, n)
		for i := range out {
			out[i] = shotAt(float64(i%wide)*step, float64(i/wide)*step)
		}
		return out
	}},
	{"scan", func(n int) []survey.Point {
		rng := rand.New(rand.NewPCG(2, 2))
		out := make([]survey.Point, n)
		rings := int(math.Sqrt(float64(n)))
		for i := range out { // rings round one set-up, as from a spinning scanner
			a := 2 * math.Pi * float64(i%rings) / float64(rings)
			r := 0.5 + 12*math.Pow(float64(i/rings)/float64(rings), 2) + 0.001*rng.Float64()
			out[i] = shotAt(20+r*math.Cos(a)*1.5, 12.5+r*math.Sin(a))
		}
		return out
	}},
}

func shotAt(x, y float64) survey.Point {
	return survey.Point{X: x, Y: y, Z: 9.95 + 0.02*math.Sin(x/5)*math.Cos(y/4)}
}

func eachFloor(b *testing.B, f func(b *testing.B, shots []survey.Point)) {
	for _, floor := range floors {
		for _, n := range []int{1e3, 1e5, 1e6} {
			b.Run(fmt.Sprintf("points=%dk/floor=%s", n/1000, floor.name), func(b *testing.B) {
				if n > 1e5 && testing.Short() {
					b.Skip("a million shots take a second; not in short runs")
				}
				shots := floor.shots(n)
				b.ReportAllocs()
				f(b, shots)
			})
		}
	}
}

// From shots and walls to a surface.
func BenchmarkNewFloor(b *testing.B) {
	walls := []survey.Ring{ringOf("", survey.Outer, -0.1, -0.1, 40.2, -0.1, 40.2, 25.2, -0.1, 25.2)}
	eachFloor(b, func(b *testing.B, shots []survey.Point) {
		for b.Loop() {
			if _, err := NewFloor(Data{Shots: shots, Rings: walls, Duplicates: First}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// From a surface to volumes and bands.
func BenchmarkFill(b *testing.B) {
	levels := []float64{0.06, 0.08, 0.1, 0.12, 0.14}
	eachFloor(b, func(b *testing.B, shots []survey.Point) {
		f, err := NewFloor(Data{Shots: shots, Duplicates: First})
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			f.FillTo(Horizontal(10.05), levels)
		}
	})
}

// From a surface to contour lines.
func BenchmarkContours(b *testing.B) {
	levels := []float64{0.06, 0.08, 0.1, 0.12, 0.14}
	eachFloor(b, func(b *testing.B, shots []survey.Point) {
		f, err := NewFloor(Data{Shots: shots, Duplicates: First})
		if err != nil {
			b.Fatal(err)
		}
		t := f.Regions[0].TIN
		depth := t.Depths(Horizontal(10.05))
		for b.Loop() {
			t.Contours(depth, levels)
		}
	})
}

// Contours every 2 mm of a scan on a grid of 25 mm, as of a slab: smooth, and with the noise of a
// scanner.
func BenchmarkContoursOfAGrid(b *testing.B) {
	rows := 1000
	if testing.Short() {
		rows = 100
	}
	for _, noise := range []float64{0, 0.0003} {
		b.Run(fmt.Sprintf("points=%dk/noise=%gmm", 1600*rows/1000, noise*1000), func(b *testing.B) {
			rng := rand.New(rand.NewPCG(1, 2))
			shots := make([]survey.Point, 0, 1600*rows)
			for i := range 1600 * rows {
				p := shotAt(float64(i%1600)*0.025, float64(i/1600)*0.025)
				p.Z = sloped(p.X, p.Y) + 0.006*math.Sin(p.X/2)*math.Sin(p.Y/1.5) + noise*rng.NormFloat64()
				shots = append(shots, p)
			}
			f, err := NewFloor(Data{Shots: shots})
			if err != nil {
				b.Fatal(err)
			}
			least, greatest := f.Depths(Horizontal(10.05))
			var levels []float64
			for k := math.Ceil(least / 0.002); 0.002*k <= greatest; k++ {
				levels = append(levels, 0.002*k)
			}
			t := f.Regions[0].TIN
			depth := t.Depths(Horizontal(10.05))
			b.ReportAllocs()
			for b.Loop() {
				t.Contours(depth, levels)
			}
		})
	}
}

func BenchmarkCut(b *testing.B) {
	for _, n := range []int{10, 100} {
		if testing.Short() && n > 10 {
			continue
		}
		b.Run(fmt.Sprintf("shots=100k/dams=%d", n), func(b *testing.B) {
			f, err := NewFloor(Data{Shots: shotsOn(0, 0, 31.6, 31.6, 0.1, sloped)})
			if err != nil {
				b.Fatal(err)
			}
			var lines [][]Vec
			for i := range n {
				x := 31.6 * (float64(i) + 0.6) / float64(n)
				lines = append(lines, []Vec{{X: x, Y: -1}, {X: x, Y: 40}})
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := f.Cut(lines); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// From the faces of a file to a surface: a grid of n triangles.
func BenchmarkFromFaces(b *testing.B) {
	for _, n := range []int{2e4, 2e6} {
		b.Run(fmt.Sprintf("faces=%dk", n/1000), func(b *testing.B) {
			if n > 1e5 && testing.Short() {
				b.Skip("two million faces take seconds; not in short runs")
			}
			side := int(math.Sqrt(float64(n / 2)))
			s := survey.Surface{Name: "s"}
			for i := range (side + 1) * (side + 1) {
				s.Vertices = append(s.Vertices, shotAt(float64(i%(side+1))*0.025, float64(i/(side+1))*0.025))
			}
			for i := range side * side {
				a := int32(i/side*(side+1) + i%side)
				c := a + int32(side) + 1
				s.Faces = append(s.Faces, [3]int32{a, a + 1, c + 1}, [3]int32{a, c + 1, c})
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := FromFaces(s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
