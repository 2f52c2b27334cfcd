package unit

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestStyleRoundsOnceAtTheEnd(t *testing.T) {
	metric, imperial := Style{}, Style{Imperial: true}
	eighths := Style{Imperial: true, Denominator: 8}
	for _, c := range []struct{ got, want string }{
		{metric.Depth(0.0684), "68 mm"},
		{metric.Depth(-0.0684), "-68 mm"},
		{metric.Depth(-0.0001), "0 mm"},
		{metric.Depth(math.NaN()), "—"},
		{imperial.Depth(2.6875 * 0.0254), `2 11/16"`},
		{imperial.Depth(-0.25 * 0.0254), `-1/4"`},
		{imperial.Depth(0), `0"`},
		{imperial.Depth(3 * 0.0254), `3"`},
		{imperial.Depth(0.0254 / 32), `1/16"`}, // a half goes away from zero
		{imperial.Depth(-0.0254 / 40), `0"`},
		{eighths.Depth(2.6875 * 0.0254), `2 3/4"`},
		{metric.DepthDown(0.0079), "7 mm"},
		{metric.DepthDown(0.007), "7 mm"},
		{metric.DepthDown(-0.0071), "-8 mm"},
		{imperial.DepthDown(0.0254 * 15.9 / 16), `15/16"`},
		{imperial.DepthDown(0.0254 * 3 / 16), `3/16"`},
		{imperial.DepthDown(-0.0254 * 0.1 / 16), `-1/16"`},
		{metric.Length(36 * 0.3048), "10.973 m"},
		{imperial.Length(36 * 0.3048), `36'-0"`},
		{imperial.Length(-3 * 0.0254), `-3"`},
		{imperial.Length(11.99 * 0.0254), `1'-0"`},
		{imperial.Length(4*0.3048 + 5.375*0.0254), `4'-5 3/8"`},
		{imperial.Length(18*0.3048 + 0.6875*0.0254), `18'-0 11/16"`},
		{imperial.Length(-0.5 * 0.0254), `-1/2"`},
		{imperial.Length(11.9 * 0.0254), `11 7/8"`},
		{imperial.Length(0), `0"`},
		{metric.About(1.2083), "1.21 m"},
		{imperial.About(11.6 * 0.0254), `1'-0"`},
		{imperial.About(6*0.3048 + 1.3125*0.0254), `6'-1"`},
		{metric.AboutPlace(3.2549, 4), "(3.25, 4.00) m"},
		{imperial.AboutPlace(3.25, 4), "(10.7, 13.1) ft"},
		{metric.PartVolumeTo(0.0331, 1.3, 0.00331), "0.033 m³"},
		{metric.PartVolumeTo(0.0331, 1.3, 0.0331), "0.03 m³"},
		{metric.PartVolumeTo(0.0331, 0.0331, 0.0005), "33.1 L"},
		{imperial.PartVolumeTo(0.0331, 1.3, 0.00331), "0.043 yd³"},
		{imperial.PartVolumeTo(0.0331, 1.3, 0), "0.043293 yd³"},
		{imperial.Level(99.93 * 0.3048), `99.930 ft (99'-11 3/16")`},
		{metric.Level(10.0116), "10.012 m"},
		// 10 000 US survey feet are 10 000.02 feet: a quarter of an inch more.
		{Style{Imperial: true, SurveyElevations: true}.Level(10_000 * 1200.0 / 3937), `10000.000 ftUS (10000'-0")`},
		{metric.Elevation(10.0124), "10.012 m"},
		{imperial.Elevation(99.93 * 0.3048), "99.930 ft"},
		{metric.Elevation(-0.0001), "0.000 m"},
		{metric.Area(80.8024), "80.80 m²"},
		{metric.Area(0.0051), "0.01 m²"},
		{metric.Area(0.0049), "less than 0.01 m²"},
		{imperial.Area(0.0046), "less than 0.1 ft²"},
		{imperial.Area(0), "0.0 ft²"},
		{imperial.Area(869.75 * 0.3048 * 0.3048), "869.8 ft²"},
		{metric.Volume(5.5926), "5.59 m³"},
		{imperial.Volume(5.5926), "7.31 yd³"},
		{metric.Mass(13_400), "13.4 t"},
		{metric.Mass(850), "850 kg"},
		{metric.Mass(999.7), "1.0 t"},
		{imperial.Mass(13_400), "29,540 lb"},
		{imperial.Mass(1_000), "2,200 lb"},
		{imperial.Mass(100), "220 lb"},
		{metric.Load(163.4), "163 kg/m²"},
		{imperial.Load(163.4), "33.5 lb/ft²"},
		{metric.DepthUnit(), "mm"},
		{imperial.DepthUnit(), "in"},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}

// Written lengths read back within half a step. A depth that is rounded down never
// exceeds the depth.
func TestWrittenLengthsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Style{
			Imperial:    rapid.Bool().Draw(t, "imperial"),
			Denominator: rapid.SampledFrom([]int{0, 2, 4, 8, 16, 32, 64}).Draw(t, "denominator"),
		}
		m := rapid.Float64Range(-300, 300).Draw(t, "m")
		half := s.Step()/2 + 1e-12 // plus the picometre of rounding
		read := func(text string) float64 {
			v, err := Parse(text, None)
			if err != nil {
				t.Fatalf("%v is written %q, which does not read back: %v", m, text, err)
			}
			return v
		}
		for _, text := range []string{s.Depth(m), s.Length(m)} {
			within := half
			if !s.Imperial && text == s.Length(m) {
				within = 0.0005 + 1e-12
			}
			if v := read(text); math.Abs(v-m) > within {
				t.Fatalf("%v is written %q: differs by %g, want max %g", m, text, v-m, within)
			}
		}
		if v := read(s.DepthDown(m)); v > m+Noise+1e-12 || v < m-2*half {
			t.Fatalf("%v rounded down is %q", m, s.DepthDown(m))
		}
	})
}

func TestUnitWeight(t *testing.T) {
	for _, c := range []struct {
		kgm3             float64
		metric, imperial string
	}{
		// 1 lb/ft³ is 0.45359237 kg over 0.3048³ m³, 16.01846 kg/m³ (NIST SP 811, appendix B.8).
		{2400, "2400 kg/m³", "149.8 lb/ft³"}, {16.01846337396014 * 150, "2403 kg/m³", "150 lb/ft³"}, {21.6, "21.6 kg/m³", "1.348 lb/ft³"}, {10000, "10000 kg/m³", "624.3 lb/ft³"}, {0, "0 kg/m³", "0 lb/ft³"},
	} {
		if got := (Style{}).UnitWeight(c.kgm3); got != c.metric {
			t.Errorf("%g: %q, want %q", c.kgm3, got, c.metric)
		}
		if got := (Style{Imperial: true}).UnitWeight(c.kgm3); got != c.imperial {
			t.Errorf("%g: %q, want %q", c.kgm3, got, c.imperial)
		}
	}
}

func TestParseUnitWeight(t *testing.T) {
	for text, want := range map[string]float64{"2400": 2400, "2400kg/m3": 2400, " 150 lb/ft³ ": 150 * 0.45359237 / (0.3048 * 0.3048 * 0.3048), "150PCF": 150 * 0.45359237 / (0.3048 * 0.3048 * 0.3048), "150 kg/m³": 150} {
		if got, err := ParseUnitWeight(text); err != nil || math.Abs(got-want) > 1e-9*want {
			t.Errorf("%q: %g (%v), want %g", text, got, err, want)
		}
	}
	for _, text := range []string{"150", "250", "0", "", "heavy", "2400 kg", "2400kg/m2"} {
		if got, err := ParseUnitWeight(text); err == nil {
			t.Errorf("%q: %g, want a refusal", text, got)
		}
	}
}

// A survey in US survey feet is shown in US survey feet. At 2,445,180 ft, the far end of
// state plane coordinates, the two feet differ by 4.89 ft. 1200/3937 m: Federal Register
// 85 FR 62698 (2020).
func TestOwnFoot(t *testing.T) {
	x, y, z := 2445180.25*1200/3937, -618240.5*1200/3937, 99.93*1200/3937
	us := StyleOf(SurveyFoot, SurveyFoot)
	feet := StyleOf(Foot, Foot)
	for _, c := range []struct{ got, want string }{
		{us.Place(x, y), "(2445180.25, -618240.50) ftUS"},
		{us.Coordinate(x), "2445180.25 ftUS"},
		{us.Elevation(z), "99.930 ftUS"},
		{us.Length(x), `2445180.25 ftUS`},
		{us.Length(1e8 * 1200 / 3937), "100000000.00 ftUS"},
		{feet.Place(x, y), "(2445185.14, -618241.74) ft"},
		{feet.Elevation(2445180 * 1200. / 3937), "2445184.890 ft"},
		{feet.Length(2445180.25 * 0.3048), `2445180.25 ft`},
		// Feet and inches only for lengths that a tape reaches.
		{feet.Length((1000 - 1.0/12) * 0.3048), `999'-11"`}, {feet.Length(1000 * 0.3048), `1000.00 ft`}, {feet.Length(-1523506.78 * 0.3048), `-1523506.78 ft`},
		{feet.Length(999.999 * 0.3048), `1000.00 ft`}, {feet.Level(5280.125 * 0.3048), `5280.125 ft (5280'-1 1/2")`},
		{StyleOf(SurveyFoot, Foot).Place(x, y), "(2445180.25, -618240.50) ftUS"},
		{StyleOf(SurveyFoot, Foot).Elevation(99.93 * 0.3048), "99.930 ft"},
		{StyleOf(Foot, SurveyFoot).Place(3.048, 0), "(10.00, 0.00) ft"},
		{StyleOf(Metre, SurveyFoot).Place(3.048, 0), "(10.00, 0.00) ft"},
		{StyleOf(SurveyFoot, Metre).Place(3.2504, -4), "(3.250, -4.000) m"},
		{StyleOf(None, SurveyFoot).Elevation(z), "99.930 ftUS"},
		{StyleOf(SurveyFoot, None).Coordinate(x), "2445180.25 ftUS"},
		{Style{SurveyPlaces: true, SurveyElevations: true}.Elevation(1), "1.000 m"},
	} {
		if c.got != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}

// Decimal halves round away from zero, also where the binary value is slightly less:
// worked by hand, as a spreadsheet's ROUND does.
func TestHalfUp(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     float64
	}{
		{6080.625, 2, 6080.63}, {8294.425, 2, 8294.43}, {1.005, 2, 1.01}, {-1.005, 2, -1.01}, {2.5, 0, 3}, {0.125, 2, 0.13}, {0.124999, 2, 0.12}, {1e18, 2, 1e18},
	} {
		if got := HalfUp(c.v, c.decimals); got != c.want {
			t.Errorf("HalfUp(%v, %d) = %v, want %v", c.v, c.decimals, got, c.want)
		}
	}
}

// A cut shows the same figure as the minimum depth whose negative it is.
func TestDepthUp(t *testing.T) {
	for m, want := range map[float64]string{0.0104: "11 mm", 0.010: "10 mm", 0.0096: "10 mm"} {
		s := Style{}
		if got := s.DepthUp(m); got != want || s.DepthDown(-m) != "-"+want {
			t.Errorf("DepthUp(%g) = %s, DepthDown of its negative %s; want %s", m, got, s.DepthDown(-m), want)
		}
	}
}

// A volume in a sentence is in the unit of orders, and below a tenth of it in ft³ or litres,
// by one rule for all of an answer.
func TestSmallVolume(t *testing.T) {
	const cubicFoot = 0.3048 * 0.3048 * 0.3048
	us := Style{Imperial: true}
	for _, c := range []struct {
		style Style
		m3    float64
		want  string
	}{
		{us, 9.3 * cubicFoot, "0.34 yd³"}, {us, 2.7 * cubicFoot, "0.10 yd³"}, {us, 2.6 * cubicFoot, "2.6 ft³"}, {us, 0.5 * cubicFoot, "0.50 ft³"}, {us, 0, "0.00 yd³"},
		{Style{}, 0.1, "0.10 m³"}, {Style{}, 0.099, "99 L"}, {Style{}, 0.0046, "4.6 L"}, {Style{}, 0.00046, "0.46 L"}, {Style{}, -0.05, "-50 L"}, {Style{}, 0, "0.00 m³"}, {Style{}, math.NaN(), none},
	} {
		if got := c.style.SmallVolume(c.m3); got != c.want {
			t.Errorf("%g m³: %q, want %q", c.m3, got, c.want)
		}
	}
}

// A name is quoted as it is in the file; what could steer a terminal stays escaped.
func TestNamesInQuotes(t *testing.T) {
	for name, want := range map[string]string{`5 3/8" stud`: `"5 3/8" stud"`, `a\b`: `"a\b"`, "a\x1b[2J": `"a\x1b[2J"`, "a\nb": `"a\nb"`, "a\u202eb": `"a\u202eb"`} {
		if got := Quote(name); got != want {
			t.Errorf("%s, want %s", got, want)
		}
		if got := Textf("%% of %d: %q, %s", 3, name, Depth(0.012)).String(); got != "% of 3: "+want+", 12 mm" {
			t.Errorf("%s, want %s in it", got, want)
		}
	}
	if got := Textf("%q and %q", 'x', []string{"y"}).String(); got != `'x' and ["y"]` {
		t.Error(got)
	}
}

// A target is written rounded down, because nothing is finished above it; one on a fraction of
// an inch so that it can be typed back. By hand 99.93 ft is 11.16 in, and 30.4 m 99.7375 ft or
// 8.850 in; 99'-11 5/8" is 99.96875 ft.
func TestTargetIsRoundedDown(t *testing.T) {
	const inch = 0.0254
	u := Style{Imperial: true}
	for _, c := range []struct {
		style Style
		m     float64
		want  string
	}{
		{u, (99*12 + 11.625) * inch, `99'-11 5/8" (99.968 ft)`}, {u, 100 * Foot.Metres(), `100.000 ft (100'-0")`},
		{u, 99.93 * Foot.Metres(), `99.930 ft (99'-11 1/8")`}, {u, -(5*12 + 0.0625) * inch, `-5'-0 1/16" (-5.006 ft)`}, {u, 30.4, `99.737 ft (99'-8 13/16")`},
		{u, (100*12-0.75)*inch - 0.0016 + 0.0016, `99'-11 1/4" (99.937 ft)`},
		{Style{Imperial: true, SurveyElevations: true}, 99.93 * SurveyFoot.Metres(), `99.930 ftUS (99'-11 1/8")`},
		{Style{}, 10.0129, "10.012 m"}, {Style{}, 10.012, "10.012 m"}, {Style{}, -0.0001, "-0.001 m"}, {Style{}, 0.1 + 0.2, "0.300 m"},
		{u, math.NaN(), none},
	} {
		if got := c.style.LevelDown(c.m); got != c.want {
			t.Errorf("%g m: %s, want %s", c.m, got, c.want)
		}
	}
}

func TestDigits(t *testing.T) {
	for v, want := range map[float64]string{12: "12", 100. / 7: "14.3", 999.4: "999", 999.6: "1000", 1000: "1000", 12345.6: "12346", 8.3333: "8.33", 0.1: "0.1", 0.0000123456: "0.0000123", 0: "0"} {
		if got := Digits(v); got != want {
			t.Errorf("Digits(%g) is %s, want %s", v, got, want)
		}
	}
}
