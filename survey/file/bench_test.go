//go:build unix

package file

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime/debug"
	"syscall"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// BenchmarkOpen opens lists of random shots. peak-MB is right for the first list of a process
// alone: -bench 'Open/xyz'.
func BenchmarkOpen(b *testing.B) {
	rows := 10_000_000
	if testing.Short() {
		rows /= 10
	}
	for _, kind := range []string{"xyz", "field"} {
		b.Run(fmt.Sprintf("%s,rows=%d", kind, rows), func(b *testing.B) {
			name := filepath.Join(b.TempDir(), "scan.csv")
			if err := writeShots(name, kind == "field", rows); err != nil {
				b.Fatal(err)
			}
			debug.FreeOSMemory()
			use := func() (u syscall.Rusage) {
				if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
					b.Fatal(err)
				}
				return u
			}
			before := use()
			for b.Loop() {
				s, err := Open(name, survey.Options{Unit: unit.Metre, MaxSize: 1 << 40})
				if err != nil || len(s.Points) != rows {
					b.Fatal(err, len(s.Points))
				}
			}
			u := use()
			b.ReportMetric(float64(u.Utime.Nano()+u.Stime.Nano()-before.Utime.Nano()-before.Stime.Nano())/1e9/float64(b.N), "cpu-s/op")
			b.ReportMetric(float64(u.Maxrss)/1024, "peak-MB") // of Linux: KiB
		})
	}
}

// writeShots writes x,y,z rows with a header, with a number and a code in a field book.
func writeShots(name string, field bool, rows int) error {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	w, r := bufio.NewWriter(f), rand.New(rand.NewPCG(1, 2))
	head := "x,y,z"
	if field {
		head = "point,easting,northing,elevation,code"
	}
	fmt.Fprintln(w, head)
	for i := range rows {
		x, y, z := 40*r.Float64(), 25*r.Float64(), 0.02*r.NormFloat64()
		if field {
			fmt.Fprintf(w, "%d,%.4f,%.4f,%.4f,%s\n", i+1, x, y, z, []string{"SL", "JT"}[(i%50+1)/50])
		} else {
			fmt.Fprintf(w, "%.4f,%.4f,%.4f\n", x, y, z)
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return f.Close()
}
