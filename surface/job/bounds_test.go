package job

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Lengths that have no meaning at zero are refused there. Thicknesses may be zero: there
// may be no covering and no loss. Elevations and coordinates may be below zero.
func TestShortestLengths(t *testing.T) {
	const above, zero, below = "a length above 0", "a length of 0 or more", ""
	want := map[string]string{
		"allow": above, "grid-spacing": above, "thin": above, "step": above, "spacing": above, "tolerance": above, "straightedge": above, "grind-pass": above, "reading-sd": above, "setup-sd": zero, // an allowance of 0 is never met
		"roughness": zero, "finish-high": zero, "line-bore": zero, "line-length": zero, "buildup": zero, "low": zero, "covering": zero, "bed-least": zero, "bed-greatest": zero, "min-depth": zero, "max-depth": above, "trip": zero,
		"profile": below, "instrument-height": below, "benchmark": below, "grid-origin": below, "target": below, "finish": below, "toward": below, "drain": below, "channel": below,
	}
	for name, o := range lengthOptions {
		least, known := want[name]
		if !known {
			t.Errorf("%s is not in the table", name)
		}
		for text, v := range map[string]float64{"0": 0, "-1mm": -0.001} {
			refusal := ""
			if least == above || least == zero && v < 0 {
				refusal = "want " + least
			}
			if err := o.Within(name, text, v); (err != nil) != (refusal != "") || err != nil && !strings.Contains(err.Error(), refusal) {
				t.Errorf("%s %s: %v; want %q", name, text, err, refusal)
			}
		}
	}
}

// Falls up to 1 in 5 are accepted, and bare numbers from 0.1, which cannot be a ratio: 1
// in 10 is steeper than any floor.
func TestBoundsOfFalls(t *testing.T) {
	for text, taken := range map[string]bool{"20": true, "1:5": true, "20.01": false, "1:4.99": false, "0.1": true, "0.099": false, "0.099%": true, "0.01%": true} {
		if v, err := parseSlope(text); (err == nil) != taken {
			t.Errorf("%s is %g %%, %v; want it taken: %v", text, v, err, taken)
		}
	}
}

// A title is one line of 120 letters max, of any kind: it is on every page.
func TestLongestTitle(t *testing.T) {
	for n, taken := range map[int]bool{120: true, 121: false} {
		_, err := Parse([]byte("title = \""+strings.Repeat("ü", n)+"\"\n"+least), "x.toml")
		if (err == nil) != taken {
			t.Errorf("%d letters: %v", n, err)
		}
	}
}

// A job file has up to 4 MiB; a longer one is not read further.
func TestLargestJob(t *testing.T) {
	for n, taken := range map[int]bool{4 << 20: true, 4<<20 + 1: false} {
		name := filepath.Join(t.TempDir(), "x.toml")
		if err := os.WriteFile(name, []byte(least+"#"+strings.Repeat(" ", n-len(least)-1)), 0o600); err != nil {
			t.Fatal(err)
		}
		_, err := ReadFile(name)
		if (err == nil) != taken || err != nil && !strings.Contains(err.Error(), "more than 4.194 MB") {
			t.Errorf("%d bytes: %v", n, err)
		}
	}
}

// Lists are as long as a floor may need, and no longer: a longer one is an error of a
// script.
func TestLongestLists(t *testing.T) {
	list := func(n int, format string) string {
		var out []string
		for i := range n {
			out = append(out, strings.ReplaceAll(format, "N", fmt.Sprint(i)))
		}
		return "[" + strings.Join(out, ", ") + "]\n"
	}
	for _, c := range []struct {
		what string
		most int
		text func(n int) string
	}{
		{"bays.dams: found 501 dams, want no more than 500", 500, func(n int) string { return least + "[bays]\ndams = " + list(n, `["Nm,0m", "Nm,8m"]`) }},
		{"flatness.house-rules: found 51 rules, want no more than 50", 50, func(n int) string {
			return least + "[flatness]\nhouse-rules = " + list(n, `{ name = "N", straightedge = "2m", limit = "3mm" }`)
		}},
		{"flatness.rules: found 201 rules, want no more than 200", 200, func(n int) string { return least + "[flatness]\nrules = " + list(n, `"rule-N"`) }},
		{"outputs.omit: found 101 files, want no more than 100", 100, func(n int) string { return least + "[outputs]\nomit = " + list(n, `"N.pdf"`) }},
		{"target.drains: found 201 drains, want no more than 200", 200, func(n int) string { return least + "[target]\ndrains = " + list(n, `"Nm,1m"`) }},
		{"target.ramps: found 101 ramps, want no more than 100", 100, func(n int) string { return least + "[target]\nramps = " + list(n, `"DN=1m"`) }},
		{"target.channels: found 201 channels, want no more than 200", 200, func(n int) string { return least + "[target]\nchannels = " + list(n, `"Nm,1m,Nm,2m"`) }},
		// Files before the pour and after it together.
		{"survey.files: found 201 files, want no more than 200", 200, func(n int) string {
			return "[survey]\nfiles = " + list(n/2, `"N.csv"`) + "after = " + list(n-n/2, `"after-N.csv"`)
		}},
	} {
		if _, err := Parse([]byte(c.text(c.most)), "x.toml"); err != nil {
			t.Errorf("%d: %v", c.most, err)
		}
		if _, err := Parse([]byte(c.text(c.most+1)), "x.toml"); err == nil || !strings.Contains(err.Error(), c.what) {
			t.Errorf("%d: %v; want %s", c.most+1, err, c.what)
		}
	}
}

// Prices go up to 1e12: beyond it a sum cannot be read.
func TestHighestPrice(t *testing.T) {
	for amount, taken := range map[float64]bool{1e12: true, 1.001e12: false} {
		e := &entries{job: &Job{}}
		if e.price("mix.", priced{"price-per-m3", amount, 1}); (e.err == nil) != taken {
			t.Errorf("%g: %v", amount, e.err)
		}
	}
}

// A mix weighs 100 to 10,000 kg/m³: foamed concrete is above 300, concrete with iron ore
// below 4000 (common practice, no source).
func TestWeightsOfMixes(t *testing.T) {
	for weight, taken := range map[float64]bool{99: false, 100: true, 10_000: true, 10_001: false} {
		f := &filling{Weight: unitWeight(weight)}
		if _, err := f.mix(surface.Fill{Fill: 0.24, FillArea: 12, Greatest: 0.02}, false); (err == nil) != taken {
			t.Errorf("%g kg/m³: %v", weight, err)
		}
	}
}

// No floor has a relief of a kilometre.
func TestReliefOfAFloor(t *testing.T) {
	for rise, taken := range map[float64]bool{999: true, 1001: false} {
		points := []survey.Point{survey.Point{}.Named("1"), survey.Point{X: 1}.Named("2"), survey.Point{X: 2, Z: rise}.Named("3")}
		if err := oneFloor(&survey.Survey{}, points); (err == nil) != taken {
			t.Errorf("%g m: %v", rise, err)
		}
	}
}

// level is a survey in one unit of a level floor of 4 by 3 m, with one shot in its
// middle at z m.
func level(z float64, u unit.Length) fstest.MapFS {
	text := strings.ReplaceAll("point,x (m),y (m),z (m)\n", "(m)", "("+u.String()+")")
	for i := range 20 {
		x, y, at := i%5, i/5, 10.0
		if x == 2 && y == 1 {
			at = z
		}
		text += fmt.Sprintf("%d,%g,%g,%.9f\n", i+1, float64(x)/u.Metres(), float64(y)/u.Metres(), at/u.Metres())
	}
	return fstest.MapFS{"a.csv": {Data: []byte(text)}}
}

// The exit is up to 50 m from the floor: farther away it belongs to another grid.
func TestFarthestExit(t *testing.T) {
	for x, taken := range map[string]bool{"-49.9m": true, "-50.1m": false} {
		j, err := Parse([]byte(least+"[target]\nelevation = \"10.02m\"\n[site]\nexit = \""+x+",1m\"\n"), "x.toml")
		if err != nil {
			t.Fatal(err)
		}
		_, err = Solve(t.Context(), j, level(10, unit.Metre), nil)
		if (err == nil) != taken || err != nil && !strings.Contains(err.Error(), "site.exit") {
			t.Errorf("an exit at x %s: %v", x, err)
		}
	}
}

// A pass of the grinder takes 1 mm, or 1/32 in on a floor shot in feet (common practice,
// no source). By hand: 6.5 mm of a hump of 7.5 mm are beyond 1 mm, 7 passes; at 0.794 mm
// 9.
func TestPassOfAGrinder(t *testing.T) {
	for u, passes := range map[unit.Length]int{unit.Metre: 7, unit.Foot: 9} {
		j, err := Parse([]byte(least+"[target]\nelevation = \"10m\"\n[flatness]\ntolerance = \"1mm\"\n"), "x.toml")
		if err != nil {
			t.Fatal(err)
		}
		got, err := Judge(j, FlatOptions{}, level(10.0075, u), nil)
		if err != nil {
			t.Fatal(err)
		}
		if m := got.Work.Spots; len(m) != 1 || m[0].Passes != passes {
			t.Errorf("shot in %s: %+v, want one high of %d passes", u, m, passes)
		}
	}
}
