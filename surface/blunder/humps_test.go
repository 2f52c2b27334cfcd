package blunder

import (
	"fmt"
	"math"
	"testing"
)

// hump gives the floor of a book one real hump or hollow of 20 to 45 mm, round, with a
// standard deviation of 0.4 to 2 m, anywhere on it. It returns how much it raises each row,
// m.
func (l *level) hump() []float64 {
	size := 0.020 + 0.025*l.rng.Float64()
	if l.rng.IntN(2) == 0 {
		size = -size
	}
	wide := 0.4 + 1.6*l.rng.Float64()
	x, y := l.width*l.rng.Float64(), l.height*l.rng.Float64()
	raised := make([]float64, len(l.rows))
	for i, r := range l.rows {
		d := math.Hypot(r.x-x, r.y-y) / wide
		raised[i] = size * math.Exp(-d*d/2)
		l.read(i, r.rod-raised[i])
	}
	return raised
}

// supported reports whether another row is raised by at least a third of row i.
func supported(raised []float64, i int) bool {
	for j, z := range raised {
		if j != i && z*raised[i] > 0 && math.Abs(z) >= math.Abs(raised[i])/3 && math.Abs(z) > 0.006 {
			return true
		}
	}
	return false
}

// onHumps is the result for books with one real hump or hollow: how many have a row flagged
// that another row supports, how many one that is alone, and how many a flag that is not a
// doubt.
type onHumps struct{ books, many, single, claimed int }

func measureHumps(t testing.TB, write style, wavy bool, first uint64, books int) onHumps {
	var r onHumps
	for i := range books {
		l := newLevel(first+uint64(i), write, wavy)
		raised := l.hump()
		r.books++
		many, single, claimed := false, false, false
		for _, f := range l.find(t) {
			if row := f.Reading.At.Line - l.line(0); supported(raised, row) {
				many = true
			} else {
				single = true
			}
			claimed = claimed || !f.Doubt
		}
		for _, c := range []struct {
			is bool
			to *int
		}{{many, &r.many}, {single, &r.single}, {claimed, &r.claimed}} {
			if c.is {
				*c.to++
			}
		}
	}
	return r
}

// Sound floors with one real hump or hollow: one that several shots support is not a slip,
// and any flag is a doubt. The lines belong to the table in the package comment, 400 books
// each.
func TestHumpsAreNoSlips(t *testing.T) {
	n := *books
	if testing.Short() {
		n = 10
	}
	total := onHumps{}
	for _, w := range []struct {
		name  string
		write style
	}{{"ft-in", sixteenths}, {"dec. feet", hundredths}, {"metres", metric}} {
		line := fmt.Sprintf("%-36s", "real hump, flagged, "+w.name)
		for _, wavy := range []bool{false, true} {
			r := measureHumps(t, w.write, wavy, firstMeasured, n)
			line += fmt.Sprintf("  %4d: %5.1f %% %5.1f %%", r.books, 100*share(r.many, r.books), 100*share(r.single, r.books))
			total = onHumps{total.books + r.books, total.many + r.many, total.single + r.single, total.claimed + r.claimed}
		}
		fmt.Println(line)
	}
	if share(total.many, total.books) > 0.05 {
		t.Errorf("a hump that several shots support is flagged in %d of %d books, want 5 %% at most", total.many, total.books)
	}
	if share(total.single, total.books) > 0.15 {
		t.Errorf("a hump that one shot alone shows is flagged in %d of %d books, want 15 %% at most", total.single, total.books)
	}
	if total.claimed > 0 {
		t.Errorf("%d of %d books have a hump of less than 45 mm claimed as a slip, want doubts only", total.claimed, total.books)
	}
}
