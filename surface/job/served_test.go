package job

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// The heights offered for a gap between two materials are the nearest that leave none, and are
// accepted; one millimetre less is not. The ramp is 20 to 100 mm deep. By hand: with up to 40 mm
// and from 60 to 150, 40 mm up, 24 m² × 40 mm = 0.96 m³, or 60 down, when 3 m of 6 are up to 40 mm
// high, 12 m² × 20 mm = 0.24 m³. From 10 to 40 mm and 60 to 100 there is no such height: no range
// is as long as 80 mm.
func TestHeightsOfferedForAGapAreAccepted(t *testing.T) {
	t.Parallel()
	materials := func(least, greatest string) string {
		return fmt.Sprintf("[[materials]]\nname = \"a\"\n%sgreatest = \"40mm\"\nbag-yield = \"12L\"\n[[materials]]\nname = \"b\"\nleast = \"60mm\"\ngreatest = %q\nbag-yield = \"12L\"\n", least, greatest)
	}
	gap := materials("", "150mm")
	hint := hinted(refused(t, rampJob+gap, ramp))
	for _, want := range []string{"raise the target by 40 mm, which takes 0.96 m³ more: then every depth has a material", "lower the target by 60 mm: then every depth has a material, with 0.24 m³ over 12.00 m² to grind"} {
		if !strings.Contains(hint, want) {
			t.Errorf("no %q in %s", want, hint)
		}
	}
	at := func(z string) string {
		return regexp.MustCompile(`elevation = "[^"]*"`).ReplaceAllString(rampJob, fmt.Sprintf("elevation = %q", z))
	}
	for _, z := range []string{"0.040m", "-0.060m"} {
		if r := solved(t, at(z)+gap, ramp); len(r.Service.Problems) != 0 {
			t.Errorf("at %s: %v", z, r.Service.Problems)
		}
	}
	for _, z := range []string{"0.039m", "-0.059m"} {
		refused(t, at(z)+gap, ramp)
	}

	hint = hinted(refused(t, rampJob+materials("least = \"10mm\"\n", "100mm"), ramp))
	if want := "No higher or lower target alone gives every depth a material: from its highest to its lowest the floor differs by 80 mm, and no range of thickness without a gap is longer than 40 mm"; !strings.Contains(hint, want) || strings.Contains(hint, "the target by") {
		t.Errorf("want %q and no height in %s", want, hint)
	}
}
