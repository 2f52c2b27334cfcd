package report

import (
	"path/filepath"
	"strings"
	"testing"
)

// The customer signs for the target by its kind: a plane, falls to drains, a ramp, parts, and what is
// ground. By hand: the slab at 9.95 m is 50 mm below the sill, so a ramp of 1:20 is 1 m long.
func TestCustomerReadsTheKindOfTarget(t *testing.T) {
	t.Parallel()
	for target, want := range map[string]string{
		"elevation = \"10m\"\n":                                                         "up to one plane, level. Up to the finished floor",
		"elevation = \"10m\"\nramps = [\"S1=1:20\"]\n":                                  "up to one plane, level, with a ramp up to S1 of 1:20 (5 %) over 1.000 m. Up to",
		"elevation = \"10.05m\"\nfall = \"1%\"\ndrains = [\"2m,2m\"]\n":                 "up to a surface that drains to drain 1: falls 1 %. Up to",
		"elevation = \"10m\"\nparts = [\"pit=none\"]\n":                                 "up to one plane, level. Up to the finished floor, for the covering, it leaves 50 mm at S1. Not filled: pit, 8.00 m².",
		"parts = [\"room=10m\", \"pit=9.98m\"]\n":                                       "up to a height for each part: pit level at 9.980 m; room level at 10.000 m. Up to",
		"best = true\nmax-fall = \"0%\"\nmin-depth = \"5mm\"\ngrind-price = \"9/m3\"\n": "is above it or less than 5 mm below and has to be ground; that is not in the price.",
	} {
		files := map[string]string{
			"job.toml":  "title = \"Store\"\ndate = 2026-11-25\nunits = \"m\"\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\ncodes = { SILL = \"finished\" }\n[target]\n" + target,
			"floor.csv": "point,x (m),y (m),z (m),code,part\n1,0,0,9.95,,room\n2,4,0,9.95,,room\n3,4,4,9.95,,room\n4,0,4,9.96,,room\n5,4,0,9.94,,pit\n6,6,0,9.94,,pit\n7,6,4,9.94,,pit\n8,4,4,9.94,,pit\nS1,0,2,10.05,SILL,\n",
			"walls.csv": "part,ring,x (m),y (m)\nroom,outer,0,0\nroom,outer,4,0\nroom,outer,4,4\nroom,outer,0,4\npit,outer,4,0\npit,outer,6,0\npit,outer,6,4\npit,outer,4,4\n",
		}
		text := strings.Join(strings.Fields(strings.Join(pagesOf(t, filepath.Join(jobFolder(t, files), "customer.pdf")), " ")), " ")
		if !strings.Contains(text, want) {
			t.Errorf("%s: no %q in:\n%s", target, want, text)
		}
	}
}
