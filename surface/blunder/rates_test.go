package blunder

import (
	"flag"
	"fmt"
	"testing"
)

var books = flag.Int("books", 30, "simulated books for each line of the table of rates")

// firstMeasured is the first seed of the books that rates are measured on. All choices were
// made on seeds 1 to 200.
const firstMeasured = 9_000_001

// The table in the package comment is the output with 400 books. The floors below are values
// that a fair run of 30 books seldom goes under.
func TestRates(t *testing.T) {
	n := *books
	if testing.Short() {
		n = 10
	}
	// seen and named: the min share of the books, smooth and wavy.
	floors := map[string][2]float64{
		"one foot, ft-in":           {0.95, 0.95},
		"one foot, decimal feet":    {0.95, 0.95},
		"one inch, ft-in":           {0.95, 0.75},
		"100 mm, metres":            {0.95, 0.95},
		"one metre, metres":         {0.95, 0.95},
		"millimetres among metres":  {0.95, 0.90},
		"inches among decimal feet": {0.95, 0.95},
	}
	fmt.Printf("%-36s  %-21s  %-21s\n", "", "smooth, seen, named", "wavy, seen, named")
	for _, c := range scenarios {
		line := fmt.Sprintf("%-36s", c.name)
		for i, wavy := range []bool{false, true} {
			r := c.measure(t, wavy, firstMeasured, n)
			seen, named := share(r.flagged, r.books), share(r.named, r.books)
			line += fmt.Sprintf("  %4d: %5.1f %% %5.1f %%", r.books, 100*seen, 100*named)
			if floor := floors[c.name][i]; named < floor {
				t.Errorf("%s, wavy %v: %.1f %% named, want %.0f %%", c.name, wavy, 100*named, 100*floor)
			}
		}
		fmt.Println(line)
	}
	for _, w := range []struct {
		name  string
		write style
	}{{"ft-in", sixteenths}, {"dec. feet", hundredths}, {"metres", metric}} {
		line := fmt.Sprintf("%-36s", "false alarms a clean book, "+w.name)
		for _, wavy := range []bool{false, true} {
			r := scenario{plant: clean, write: w.write}.measure(t, wavy, firstMeasured, n)
			alarms := float64(r.false) / float64(r.books)
			line += fmt.Sprintf("  %4d: %15.3f", r.books, alarms)
			if alarms > 0.1 {
				t.Errorf("%s, wavy %v: %.3f false alarms a clean book, want 0.1 at most", w.name, wavy, alarms)
			}
		}
		fmt.Println(line)
	}
}

func share(n, of int) float64 {
	if of == 0 {
		return 0
	}
	return float64(n) / float64(of)
}
