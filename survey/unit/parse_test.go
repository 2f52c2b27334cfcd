package unit

import (
	"errors"
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The figures follow from 1 in = 25.4 mm and 1 ft = 0.3048 m exactly; the
// decimal constants are converted by the compiler, which rounds them once.
func TestParseReadsLengthsAsCrewsWriteThem(t *testing.T) {
	const rod = 1.609725 // 63.375 in
	for _, c := range []struct {
		text string
		def  Length
		want float64
	}{
		{`5'-3 3/8"`, None, rod},
		{`5' 3-3/8"`, None, rod},
		{`5'3 3/8"`, None, rod},
		{`5' 3 3/8`, None, rod},
		{`63 3/8"`, None, rod},
		{`63-3/8 in`, None, rod},
		{`63 3/8`, Inch, rod},
		{`5.28125'`, None, rod},
		{`5.28125`, Foot, rod},
		{`5 ft 3.375 in`, None, rod},
		{`5FT 3.375IN.`, None, rod},
		{`5 feet 3 3/8 inches`, None, rod},
		{"5' 3⅜″", None, rod},
		{"5’ 3-3/8”", None, rod},
		{"5′ 3 3⁄8″", None, rod},
		{"5` 3-3/8''", None, rod},
		{`5' 3"`, None, 1.6002},
		{`5'`, None, 1.524},
		{`5'-3/8"`, None, 1.533525},
		{`3/4in`, None, 0.01905},
		{"4-5 3/8", Foot, 1.355725}, // feet, inches and a fraction, recognised by the form alone
		{`4-5 3/8"`, None, 1.355725},
		{"-4-5 3/8", Metre, -1.355725},
		{`5 3/8 +`, Inch, 0.13731875}, // 5 13/32 in; common practice, no source
		{`5 3/8" light`, None, 0.13573125},
		{`4'-5 3/8" heavy`, None, 1.35651875},
		{`5 3/8 -`, Inch, 0.13573125},
		{`-3/8 +`, Inch, -0.01031875},
		{`3/4`, Inch, 0.01905},
		{`½"`, None, 0.0127},
		// Each fraction character means the fraction in its Unicode name.
		{`¼"`, None, 0.00635}, {`¾"`, None, 0.01905},
		{`1⅛"`, None, 0.028575}, {`1⅜"`, None, 0.034925}, {`1⅝"`, None, 0.041275}, {`1⅞"`, None, 0.047625},
		{`4-5⅞`, None, 1.368425}, // 53 7/8 in
		{`1-1/4`, Inch, 0.03175},
		{`1 1/8`, Inch, 0.028575},
		{`1/64"`, None, 0.000396875},
		{`5 1/2 ft`, None, 1.6764},
		{`-0' 0-1/4"`, None, -0.00635},
		{`-1' 6"`, None, -0.4572},
		{`+1' 6"`, None, 0.4572},
		{"−0.002", Metre, -0.002},
		{"–0.001", Metre, -0.001},
		{`20mm`, None, 0.020},
		{`20 mm`, Foot, 0.020},
		{`150 cm`, None, 1.5},
		{`9990 mm`, None, 9.990},
		{`9.985 m`, None, 9.985},
		{`.5`, Metre, 0.5},
		{`9.9900E+00`, Metre, 9.99},
		{`1.5D1`, Metre, 15},
		{`99.91`, Foot, 30.452568},
		{`0`, None, 0},
		{`3937`, SurveyFoot, 1200},
		{`3937 us ft`, None, 1200},
		{`3937'`, SurveyFoot, 1200},
		{`3937' 0"`, SurveyFoot, 1200},
		{`6783020064`, Millimetre, 6783020.064},
		{`9007199254740993 mm`, None, 9007199254740.993},
	} {
		got, err := Parse(c.text, c.def)
		if err != nil || got != c.want {
			t.Errorf("Parse(%q, %v) = %.12g, %v; want %.12g", c.text, c.def, got, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		def  Length
		want string // part of the message
	}{
		{"", Metre, "a length"},
		{"1.5", None, "unit"},
		{"3/8", None, "inch mark"},
		{"3/8", Foot, "inch mark"},
		{"3/8", Metre, "inch mark"},
		{"3/8 m", None, "decimals with a metric unit"},
		{"NaN", Metre, "a length"},
		{"Inf", Metre, "a length"},
		{"-inf", Metre, "a length"},
		{"0x10", Metre, "a length"},
		{"1_5", Metre, "a length"},
		{"1,5", Metre, "a length"},
		{"1.2.3", Metre, "a length"},
		{"1e400", Metre, "bounds"},
		{"O.125", Metre, "a length"},
		{"SL", Metre, "a length"},
		{"5 3", Inch, "a length"},
		{`5' 12"`, None, "below 12"},
		{`5' 12.0"`, None, "below 12"},
		{`5' 3 8/8"`, None, "below 1"},
		{`5' 3 3/7"`, None, "halves"},
		{`⅓"`, None, "halves"},
		{`5.5' 3"`, None, "whole feet"},
		{`5' 3 mm`, None, "a length"},
		{`5 m 3`, None, "a length"},
		{"5-3-6", Inch, "eighths or sixteenths"},
		{"4-5", Foot, "with their marks"},
		{"5 3/8 lo", Inch, ""},
		{"5.3\" +", None, "before a word for a hair"},
		{"heavy", Inch, ""},
		{"4-6", Inch, "with their marks"},
		{"99999999999999999999", Metre, "a length"},
		{`5' 3" 2`, None, "a length"},
		{`1'000`, Millimetre, "thousands"},
		{`1'011`, None, "thousands"},
		{`1’006.5`, Foot, "thousands"},
		{`1'-006"`, None, "thousands"},
		{`5'-`, None, "a length"},
		{"--5", Metre, "a length"},
	} {
		got, err := Parse(c.text, c.def)
		if err == nil {
			t.Errorf("Parse(%q, %v) = %g, want an error", c.text, c.def, got)
		} else if !strings.Contains(err.Error(), c.want) {
			t.Errorf("Parse(%q, %v): %q, want it to say %q", c.text, c.def, err, c.want)
		}
	}
	if _, err := Parse("1.5", None); !errors.Is(err, ErrNoUnit) {
		t.Errorf("a bare number: %v, want ErrNoUnit", err)
	}
}

func TestParseFeetInches(t *testing.T) {
	for _, c := range []struct {
		text string
		last int
		want float64 // inches
	}{
		{"4-5 3/8", 0, 53.375},
		{"4-6", 0, 54},
		{"4-5 13/16", 0, 53.8125},
		{"4 5 13/16", 0, 53.8125},
		{`4'-5 3/8"`, 0, 53.375},
		{`4-5 3/8"`, 0, 53.375},
		{"4-5⅜", 0, 53.375},
		{`53 3/8"`, 0, 53.375},
		{"-0-3", 0, -3},
		{"4-5.5", 0, 53.5},
		{"4.5'", 0, 54},
		{"4-0 3/8", 0, 48.375},
		{"5-3-6", 8, 63.75},
		{"5-3-6", 16, 63.375},
		{"5-03-0", 8, 63},
	} {
		got, err := ParseFeetInches(c.text, c.last)
		if want := c.want * 254 / 1e4; err != nil || math.Abs(got-want) > 1e-15 {
			t.Errorf("ParseFeetInches(%q, %d) = %.12g, %v; want %.12g", c.text, c.last, got, err, want)
		}
	}
	for _, c := range []struct {
		text string
		last int
		want string
	}{
		{"4.32", 0, "a number with ' or \""},
		{"52", 0, "a number with ' or \""},
		{"53 3/8", 0, "a number with ' or"},
		{"4-3/8", 0, "a number with ' or"},
		{"4-12", 0, "below 12"},
		{"4-5 9/8", 0, "below 1"},
		{"5-3-6", 0, "eighths or sixteenths"},
		{"5-3-8", 8, "below 8"},
		{"5-12-1", 8, "below 12"},
		{"08-Mar", 0, "a length"},
		{"x", 0, "a length"},
		{"4-5 3/8 lo", 0, ""},
	} {
		got, err := ParseFeetInches(c.text, c.last)
		if err == nil {
			t.Errorf("ParseFeetInches(%q, %d) = %g, want an error", c.text, c.last, got)
		} else if !strings.Contains(err.Error(), c.want) {
			t.Errorf("ParseFeetInches(%q, %d): %q, want it to say %q", c.text, c.last, err, c.want)
		}
	}
}

func TestParseLengthKnowsUnitWords(t *testing.T) {
	for word, want := range map[string]Length{
		"m": Metre, "Metres": Metre, "meter": Metre, "cm": Centimetre, "MM": Millimetre, "ft": Foot, "ft.": Foot,
		"feet": Foot, "'": Foot, "’": Foot, "ift": Foot, "ftUS": SurveyFoot, "US ft": SurveyFoot, "us_ft": SurveyFoot,
		"usft": SurveyFoot, "sft": SurveyFoot, "in": Inch, "inches": Inch, `"`: Inch, "''": Inch, "″": Inch,
	} {
		if got, ok := ParseLength(word); !ok || got != want {
			t.Errorf("ParseLength(%q) = %v, %v; want %v", word, got, ok, want)
		}
	}
	for _, word := range []string{"", "yard", "mil", "mmm", "-"} {
		if got, ok := ParseLength(word); ok {
			t.Errorf("ParseLength(%q) = %v, want none", word, got)
		}
	}
}

// A decimal with a unit gives the float64 nearest to the written number, compared with
// rational arithmetic.
func TestDecimalsAreRoundedOnce(t *testing.T) {
	in := map[Length]*big.Rat{
		Metre: big.NewRat(1, 1), Centimetre: big.NewRat(1, 100), Millimetre: big.NewRat(1, 1000),
		Foot: big.NewRat(3048, 10000), SurveyFoot: big.NewRat(1200, 3937), Inch: big.NewRat(254, 10000),
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`-?[0-9]{1,12}(\.[0-9]{0,9})?(e-?[0-9])?`).Draw(t, "text")
		u := rapid.SampledFrom([]Length{Metre, Centimetre, Millimetre, Foot, SurveyFoot, Inch}).Draw(t, "unit")
		x, ok := new(big.Rat).SetString(text)
		if !ok {
			t.Fatalf("big.Rat does not read %q", text)
		}
		want, _ := x.Mul(x, in[u]).Float64()
		if got, err := Parse(text, u); err != nil || got != want {
			t.Fatalf("Parse(%q, %v) = %v, %v; want %v", text, u, got, err, want)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{`5'-3 3/8"`, "63 3/8", "4-5 13/16", "5-3-6", "1.5D1", "20mm", "−0' 0-1/4\"", "3⅜″", "1e400", "us"} {
		f.Add(s, byte(0), byte(0))
		f.Add(s, byte(6), byte(8))
	}
	f.Fuzz(func(t *testing.T, text string, def, last byte) {
		u := Length(def % 7)
		for _, read := range []func() (float64, error){
			func() (float64, error) { return Parse(text, u) },
			func() (float64, error) { return ParseFeetInches(text, int(last)) },
		} {
			v, err := read()
			if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
				t.Errorf("%q in %v gives %v", text, u, v)
			}
			if err != nil && v != 0 {
				t.Errorf("%q in %v gives %v beside %v", text, u, v, err)
			}
		}
	})
}

func BenchmarkParse(b *testing.B) {
	for _, text := range []string{"12.4031", `5'-3 3/8"`} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse(text, Metre); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// ParsePlain must agree with Parse to the bit, and so must ToMetres for numbers of few
// digits.
func TestPlainNumbersAreReadAlike(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[+-]?[0-9]{0,12}\.?[0-9]{0,8}`).Draw(t, "text")
		u := Length(rapid.IntRange(1, 6).Draw(t, "unit"))
		v, ok := ParsePlain([]byte(text), u)
		want, err := Parse(text, u)
		if digits := len(strings.Trim(strings.ReplaceAll(text, ".", ""), "+-")); ok != (err == nil && digits <= 18) {
			t.Fatalf("%q: read plainly %v, else %v", text, ok, err)
		}
		if ok && math.Float64bits(v) != math.Float64bits(want) {
			t.Fatalf("%q in %v is %v, want %v", text, u, v, want)
		}
	})
	for _, text := range []string{"", "-", ".", "1e3", "1,5", "0x1", "1_0", " 1", "1 ", "1m", "1.2.3", "+-1", "NaN", "Inf", "1234567890123456789"} {
		if v, ok := ParsePlain([]byte(text), Metre); ok {
			t.Errorf("%q is read as %v", text, v)
		}
	}
	if v, ok := ParsePlain([]byte("1"), None); ok {
		t.Errorf("1 of no unit is read as %v", v)
	}
	for u := Metre; u <= Inch; u++ {
		for i := range 1000 {
			v := float64(i*7919%4096) / 64
			want, err := Parse(strconv.FormatFloat(v, 'f', -1, 64), u)
			if err != nil {
				t.Fatal(err)
			}
			if got := u.ToMetres(v); got != want {
				t.Errorf("%v %v is %v m, want %v", v, u, got, want)
			}
		}
	}
}
