package job

import (
	"slices"
	"strings"
	"testing"

	"pourplane/survey"
)

// aboutLoad lists the cautions of a result about what the floor must bear.
func aboutLoad(r *Result) (out []string) {
	for _, n := range r.Notes {
		if n.Kind == survey.Caution && n.Topic == survey.AboutLoad {
			out = append(out, n.In(styleOf(r)))
		}
	}
	return out
}

// The weight in the units of the job: by hand 100 mm × 2400 kg/m³ are 240 kg/m², × 9.80665 m/s²
// 2.35 kPa; 6 in at 150 lb/ft³ are 75 lb/ft².
func TestWeightInTheUnitsOfTheJob(t *testing.T) {
	t.Parallel()
	metric := strings.Join(aboutLoad(solved(t, tenMetres, hallOf(0.1))), "\n")
	if !strings.Contains(metric, "240 kg/m² (2.35 kPa) on average") || strings.Contains(metric, "lb/ft²") {
		t.Errorf("%s", metric)
	}
	us := strings.Join(aboutLoad(solved(t, hundredFeet+"[mix]\nunit-weight-lbft3 = 150\n", roomInFeet(6))), "\n")
	if !strings.Contains(us, "75 lb/ft²") && !strings.Contains(us, "75.0 lb/ft²") || strings.Contains(us, "kPa") {
		t.Errorf("%s", us)
	}
	shown := strings.Join(aboutLoad(solved(t, "show = \"metric\"\n"+hundredFeet+"[mix]\nunit-weight-lbft3 = 150\n", roomInFeet(6))), "\n")
	if !strings.Contains(shown, "366 kg/m² (3.59 kPa)") { // 0.1524 m × 2402.77 kg/m³
		t.Errorf("%s", shown)
	}
}

// The kind of floor: an engineer comes first where it is suspended, settlement is warned of on the
// ground, and where it is not stated the weight alone. Another word is refused.
func TestCautionsOfTheKindOfFloor(t *testing.T) {
	t.Parallel()
	bearing := func(keys string) *Result { return solved(t, tenMetres+keys, hallOf(0.1)) }
	for _, c := range []struct {
		keys    string
		loads   int
		first   string
		settled bool
	}{
		{"", 1, "Weight: ", false},
		{"[site]\nbearing = \"suspended\"\n", 2, "Suspended floor: order nothing", false},
		{"[site]\nbearing = \"ground\"\n", 1, "Weight: ", true},
		{"[site]\nbearing = \"suspended\"\npost-tensioned = true\n", 3, "Suspended floor: order nothing", false},
	} {
		r := bearing(c.keys)
		loads := aboutLoad(r)
		if len(loads) != c.loads || !strings.HasPrefix(loads[0], c.first) {
			t.Errorf("%s%q, want %d, the first %s", c.keys, loads, c.loads, c.first)
		}
		if got := strings.Contains(cautions(r), "may have settled"); got != c.settled {
			t.Errorf("%ssettlement %v, want %v", c.keys, got, c.settled)
		}
		if !slices.ContainsFunc(loads, func(s string) bool { return strings.HasPrefix(s, "Weight: the fill adds 240 kg/m²") }) {
			t.Errorf("%sno weight in %q", c.keys, loads)
		}
	}
	if err := hinted(refused(t, tenMetres+"[site]\nbearing = \"floating\"\n", hallOf(0.1))); !strings.HasPrefix(err, "job.toml:9:") || !strings.Contains(err, "ground") || !strings.Contains(err, "suspended") {
		t.Errorf("%s", err)
	}
}
