package job

import (
	"strings"
	"testing"

	"pourplane/survey"
)

// hinted returns a refusal with its hints.
func hinted(err error) string {
	return strings.Join(append([]string{err.Error()}, survey.Hints(err)...), "\nhint: ")
}

// The refusal of two prices of one mix names the existing key and its line.
func TestPriceClashNamesItsKey(t *testing.T) {
	t.Parallel()
	err := refused(t, rampJob+"[mix]\norder-step = \"0.25yd3\"\nprice-per-yd3 = 150\n[[materials]]\nname = \"topping\"\nprice-per-yd3 = 160\n", ramp)
	if !strings.HasPrefix(err.Error(), "job.toml:10:1: mix.price-per-yd3: ") {
		t.Error(err)
	}
}

// A covering without a finished shot changes no figure and is refused by its key. After
// the pour it belongs to the bed.
func TestCoveringWithoutFinishedShots(t *testing.T) {
	t.Parallel()
	err := hinted(refused(t, rampJob+"covering = \"10mm\"\n", ramp))
	for _, want := range []string{"job.toml:8:1: target.covering shows the bed", "floor.csv has none, and the target is not lowered by it", "hint: leave target.covering out"} {
		if !strings.Contains(err, want) {
			t.Errorf("%s\nlacks %s", err, want)
		}
	}
	files := checked(ramp, "point,x (m),y (m),z (m)\n1,0,0,0\n2,6,0,0\n3,6,4,0\n4,0,4,0.001\n")
	if r := solved(t, strings.Replace(rampJob, "[target]", "after = [\"after.csv\"]\n[target]", 1)+"covering = \"10mm\"\n", files); r.Judged == nil {
		t.Error("nothing is judged")
	}
}

// A unit weight of the mix that nothing in the job uses is refused.
func TestUnitWeightThatMeansNothing(t *testing.T) {
	t.Parallel()
	err := refused(t, rampJob+"[mix]\nunit-weight-kgm3 = 3000\n[[materials]]\nname = \"mix\"\nunit-weight-kgm3 = 2400\n", ramp)
	if want := "mix.unit-weight-kgm3: found 3000 kg/m³, while each material has another unit weight of its own, want one of the two"; !strings.Contains(err.Error(), want) {
		t.Errorf("%v, want %s", err, want)
	}
}

// The keys of flatness are checked before there is a survey after the pour, several at
// once.
func TestFlatnessKeysBeforeThePour(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ keys, want string }{
		{"ordered = \"7.75\"\n", `flatness.ordered: found "7.75", want a volume such as 7.75yd3 or 6m3`},
		{"rules = [\"tile-larg\"]\n", `did you mean [flatness] rules = ["tile-large"]? pourplane flatness --rule list prints all`},
		{"bag-yield = \"much\"\n", "flatness.bag-yield"},
		{"grind-pass = \"thin\"\n", "flatness.grind-pass"},
		{"tolerance = \"fine\"\n", "flatness.tolerance"},
		{"straightedges = [\"2m\", \"long\"]\n", "flatness.straightedges"},
		{"house-rules = [{ name = \"ours\" }]\n", "flatness.house-rules: found rule 1 without a limit"},
		{"rules = [\"tile-larg\"]\nordered = \"7.75\"\n", "flatness.ordered"},
		{"rules = [\"tile-larg\"]\nordered = \"7.75\"\n", "flatness.rules"},
	} {
		if err := hinted(refused(t, aimed("elevation = \"10m\"\n[flatness]\n"+c.keys), doors())); !strings.Contains(err, c.want) {
			t.Errorf("%s\n%s\nwant %s", c.keys, err, c.want)
		}
	}
}
