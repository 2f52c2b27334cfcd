package page

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// hall is the survey of a dished floor with n shots, and the target of a fill over all of it.
func hall(n int) (survey, job string) {
	var b strings.Builder
	b.WriteString("point,x (m),y (m),z (m)\n")
	r := rand.New(rand.NewPCG(1, 2))
	side := math.Sqrt(float64(n))
	for i := range n {
		x, y := side*r.Float64(), side*r.Float64()
		fmt.Fprintf(&b, "%d,%.3f,%.3f,%.4f\n", i+1, x, y, 9.9+0.04*math.Cos(x/side*3)+0.03*math.Sin(y/side*5)+0.001*r.NormFloat64())
	}
	return b.String(), "title = \"Hall\"\ndate = 2026-11-25\n[survey]\nfiles = [\"hall.csv\"]\n[target]\nelevation = \"10m\"\n"
}

// BenchmarkRaise is one step of the slider: a request for another height, after the job was solved.
func BenchmarkRaise(b *testing.B) {
	for _, n := range []int{500, 10_000} {
		b.Run(fmt.Sprint("shots=", n), func(b *testing.B) {
			text, job := hall(n)
			var e Engine
			e.Answer(b.Context(), pack(Request{Ask: "solve", Job: job, Files: []File{{"hall.csv", "1", int64(len(text))}}}, [][]byte{[]byte(text)}), nil)
			if e.last == nil {
				b.Fatal("not solved")
			}
			parcel := pack(Request{Ask: "raise", Job: job, Raise: 0.003, Files: []File{{"hall.csv", "1", -1}}}, nil)
			for b.Loop() {
				e.Answer(b.Context(), parcel, nil)
			}
		})
	}
}

// BenchmarkSolve is the first answer to a survey, from its bytes.
func BenchmarkSolve(b *testing.B) {
	for _, n := range []int{500, 10_000} {
		b.Run(fmt.Sprint("shots=", n), func(b *testing.B) {
			text, job := hall(n)
			parcel := pack(Request{Ask: "solve", Job: job, Files: []File{{"hall.csv", "1", int64(len(text))}}}, [][]byte{[]byte(text)})
			for b.Loop() {
				var e Engine
				if e.Answer(b.Context(), parcel, nil); e.last == nil {
					b.Fatal("not solved")
				}
			}
		})
	}
}
