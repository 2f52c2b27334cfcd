package job

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pourplane/survey"
)

// On the level floor of 12 m² at 9.900 m a volume is a layer of one thickness.
func TestAVolumeSetsTheTarget(t *testing.T) {
	t.Parallel()
	r := solved(t, aimed("volume = \"1.2m3\"\n"), doors())
	b := r.Brought
	near(t, "top of the fill", r.Fill.Target.Elevation(surfaceVec(2, 1.5)), 10)
	near(t, "fill", r.Filled.Fill.Fill, 1.2)
	if !b.Sets || b.Off != 0 || b.Left != 0 {
		t.Errorf("%+v", b)
	}
	// 5 % of allowance is lost of what the trucks bring: 1.2/1.05 is placed.
	near(t, "placed", b.Placed, 1.2/1.05)
	near(t, "ends", b.PlacedOff, (1.2/1.05-1.2)/12)
	// The order is for the volume that is placed.
	if need := r.Takeoff.Need; math.Abs(need-1.26) > 1e-9 {
		t.Errorf("needed: %v m³", need)
	}

	r = solved(t, aimed("volume = \"1.2m3\"\n[mix]\nallowance-percent = 0\n"), doors())
	if b := r.Brought; b.Lost() {
		t.Errorf("without losses %+v", b)
	}

	// A fall of 1 % over 4 m is 40 mm: the layer is 20 mm thinner at the low end.
	r = solved(t, aimed("volume = \"1.2m3\"\nfall = \"1%\"\ntoward = \"E\"\n"), doors())
	near(t, "middle of a slope", r.Fill.Target.Elevation(surfaceVec(2, 1.5)), 10)
	near(t, "low end", r.Fill.Target.Elevation(surfaceVec(4, 1.5)), 9.98)
}

// With a target of its own the volume changes nothing of the plan.
func TestAVolumeBesideATarget(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		target string
		z, v   float64
	}{
		{"elevation = \"10.01m\"\nvolume = \"1.2m3\"\n", 10.01, 1.2},
		{"elevation = \"9.98m\"\nvolume = \"1.2m3\"\n", 9.98, 1.2},
		{"finish-codes = [\"FF\"]\nbuildup = \"10mm\"\nvolume = \"1000L\"\n", 9.99, 1},
	} {
		r := solved(t, aimed(c.target), doors())
		b := r.Brought
		near(t, "top of the fill", r.Fill.Target.Elevation(surfaceVec(2, 1.5)), c.z)
		near(t, "fill", r.Filled.Fill.Fill, 12*(c.z-9.9))
		near(t, "fills to", b.Target.Elevation(surfaceVec(2, 1.5)), 9.9+c.v/12)
		near(t, "off", b.Off, 9.9+c.v/12-c.z)
		near(t, "left", b.Left, c.v-12*(c.z-9.9))
		if b.Sets {
			t.Error("it sets the target")
		}
	}
}

// A pump line of 50 mm and 30 m holds π/4·0.05²·30 m³, and a rough floor takes 2 mm all over:
// both are lost of what the trucks bring, the second inside the allowance.
func TestWhatIsPlacedOfWhatTheTrucksBring(t *testing.T) {
	t.Parallel()
	r := solved(t, aimed("elevation = \"10m\"\nvolume = \"1.5m3\"\n[plant]\nline-bore = \"50mm\"\nline-length = \"30m\"\nhopper = \"0.1m3\"\npriming = \"0.05m3\"\nroughness = \"2mm\"\n[mix]\nallowance-percent = 10\n"), doors())
	pump := math.Pi/4*0.05*0.05*30 + 0.1 + 0.05
	isWithin(t, "placed", r.Brought.Placed, (1.5-pump)/1.1-12*0.002, 1e-7)
	// Ordered for that volume, all of it is needed again.
	text := aimed("volume = \"" + strconv.FormatFloat(r.Brought.Placed, 'f', -1, 64) + "m3\"\n[plant]\nline-bore = \"50mm\"\nline-length = \"30m\"\nhopper = \"0.1m3\"\npriming = \"0.05m3\"\nroughness = \"2mm\"\n[mix]\nallowance-percent = 10\n")
	isWithin(t, "needed for it", solved(t, text, doors()).Takeoff.Need, 1.5, 1e-6)

	r = solved(t, aimed("elevation = \"10m\"\nvolume = \"0.1m3\"\n[plant]\npriming = \"0.2m3\"\n"), doors())
	if b := r.Brought; !b.Lost() || b.Placed != 0 {
		t.Errorf("less than the priming: %+v", b)
	}
}

// The lowest door is at 10.000 m, 0.100 m above the floor: 1.2 m³ reaches it, 1.5 m³ ends 25 mm
// above it.
func TestAVolumeAboveADoorIsWarnedOf(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		target, want string
	}{
		{"volume = \"1.5m3\"\n", "the top of fill is 25 mm above the adjoining finished floor at south"},
		{"elevation = \"9.95m\"\nvolume = \"1.5m3\"\n", "1.50 m³ levelled out ends 25 mm above the adjoining finished floor at south: stop at the target, which takes 0.60 m³"},
		{"elevation = \"9.95m\"\nvolume = \"1.1m3\"\n", ""},
	} {
		r := solved(t, aimed(c.target), doors())
		said := aboutTopic(r, survey.AboutTarget)
		if c.want == "" && strings.Contains(said, "above the adjoining") || !strings.Contains(said, c.want) {
			t.Errorf("%s: %q, want %q", c.target, said, c.want)
		}
	}
}

func TestVolumesThatAreRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ target, want string }{
		{"volume = \"3\"\n", "want a volume with its unit"},
		{"volume = \"0m3\"\n", "want more than 0"},
		{"volume = \"-1m3\"\n", "want a volume with its unit"},
		{"volume = \"1m3\"\nlow = \"2mm\"\n", "alone sets the top of the fill itself"},
		{"volume = \"1m3\"\nbuildup = \"2mm\"\n", "alone sets the top of the fill itself"},
		{"volume = \"1000m3\"\n", "which fills the floor to a depth of 83.333 m"},
	} {
		if err := hinted(refused(t, aimed(c.target), doors())); !strings.Contains(err, c.want) {
			t.Errorf("%s: %s\nwant %s", c.target, err, c.want)
		}
	}
}
