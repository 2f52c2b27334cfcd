package unit

import (
	"math"
	"testing"
)

// By definition: 1 yd = 0.9144 m, 1 ft = 0.3048 m, 1 L = 1 dm³.
func TestVolumesByDefinition(t *testing.T) {
	yard, foot := 0.9144*0.9144*0.9144, 0.3048*0.3048*0.3048
	for text, want := range map[string]float64{
		"2m3": 2, "2 m³": 2, "50L": 0.05, "50 l": 0.05, "3yd3": 3 * yard, "3 yd³": 3 * yard, "3 CY": 3 * yard, "5ft3": 5 * foot, "5 ft³": 5 * foot,
		"1/2 yd3": yard / 2, "1/4yd3": yard / 4, "1 1/2 yd3": 1.5 * yard, "2-3/4 m3": 2.75,
	} {
		if got, err := ParseVolume(text); err != nil || math.Abs(got-want) > 1e-12 {
			t.Errorf("%q is %.12g m³, %v; want %.12g", text, got, err, want)
		}
	}
}

// A fraction is below 1. A length is refused as a volume, and the message names the
// volume that may be meant.
func TestWhatIsNoVolume(t *testing.T) {
	for text, want := range map[string]string{
		"0.5yd": `found "0.5yd", a length, want a volume such as 0.5yd3`, "1/2 ft": `found "1/2 ft", a length, want a volume such as 1/2ft3`, "2 m": `found "2 m", a length, want a volume such as 2m3`,
		"3/2 yd3": `found "3/2 yd3", want a volume with its unit, such as 0.25yd3 or 0.1m3`, "1/0 m3": `found "1/0 m3", want a volume with its unit, such as 0.25yd3 or 0.1m3`, "5": `found "5", want a volume with its unit, such as 0.25yd3 or 0.1m3`,
	} {
		if got, err := ParseVolume(text); err == nil || err.Error() != want {
			t.Errorf("%q: %g, %v, want %s", text, got, err, want)
		}
	}
}

// A bare unit weight is kg/m³ above 250, where it cannot be lb/ft³.
func TestBareUnitWeights(t *testing.T) {
	for text, refused := range map[string]bool{"150": true, "250": true, "251": false, "499": false} {
		if got, err := ParseUnitWeight(text); (err != nil) != refused || err == nil && text == "251" && got != 251 {
			t.Errorf("%s: %g, %v", text, got, err)
		}
	}
}

// Lengths of up to 1000 ft are in feet and inches; longer ones are decimal, like
// coordinates.
func TestLengthsThatAreTaped(t *testing.T) {
	for feet, want := range map[float64]string{501.5: `501'-6"`, 999.5: `999'-6"`, 1000.5: "1000.50 ft", 1999.5: "1999.50 ft"} {
		if got := (Style{Imperial: true}).Length(feet * 0.3048); got != want {
			t.Errorf("%g ft is written %q, want %q", feet, got, want)
		}
	}
	if got, want := (Style{Imperial: true}).feetAndInches(1e12*0.3048), "1000000000000.00 ft"; got != want {
		t.Errorf("a length beyond all counting is written %q, want %q", got, want)
	}
}

// Masses in lb are in tens from 1,000 lb and in hundreds from 100,000, in t to a tenth.
func TestMassesAreRounded(t *testing.T) {
	for lb, want := range map[float64]string{996: "996 lb", 1004: "1,000 lb", 1246: "1,250 lb", 9994: "9,990 lb", 10_049: "10,050 lb", 29_556: "29,560 lb", 99_994: "99,990 lb", 99_996: "100,000 lb", 100_051: "100,100 lb"} {
		if got := (Style{Imperial: true}).Mass(lb * poundKg); got != want {
			t.Errorf("%g lb is written %q, want %q", lb, got, want)
		}
	}
	for kg, want := range map[float64]string{999: "999 kg", 1010: "1.0 t", 13_440: "13.4 t"} {
		if got := (Style{}).Mass(kg); got != want {
			t.Errorf("%g kg is written %q, want %q", kg, got, want)
		}
	}
}

// Inches have a denominator of 1, 2, 4 and so on up to 64.
func TestDenominators(t *testing.T) {
	for _, d := range []int{2, 4, 8, 16, 32, 64} {
		if got, want := (Style{Imperial: true, Denominator: d}).Step(), 0.0254/float64(d); math.Abs(got-want) > 1e-12 {
			t.Errorf("1/%d in is a step of %g m, want %g", d, got, want)
		}
	}
}
