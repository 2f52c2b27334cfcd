package text

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// A row that is parsed into whole nanometres is the row as it is read number by number, to
// the last bit; and any row may be parsed so or not.
func TestWholeRows(t *testing.T) {
	parsed := 0
	rapid.Check(t, func(t *rapid.T) {
		sep := rapid.SampledFrom([]string{",", ";", "\t", " "}).Draw(t, "separator")
		u := rapid.SampledFrom([]unit.Length{unit.Metre, unit.Centimetre, unit.Millimetre, unit.Foot, unit.SurveyFoot}).Draw(t, "unit")
		order := rapid.SampledFrom([]string{"XYZ", "PNEZ", "ZXY", "XYZD"}).Draw(t, "order")
		var head strings.Builder
		for range 30 { // by which the file is understood
			head.WriteString(strings.Join([]string{"1.5", "2.5", "3.5", "4.5"}[:len(order)], sep) + "\n")
		}
		f, err := understand([]byte(head.String()), "f.xyz", survey.Options{Unit: u, Order: order, Thin: survey.Thin{Cell: 0.05}}, false, nil)
		if err != nil || !f.streams([]byte(head.String())) {
			t.Skip(err)
		}
		s := newXYZ(f)
		number := rapid.Custom(func(t *rapid.T) string {
			return rapid.SampledFrom([]string{"", "", "-", "+"}).Draw(t, "sign") + rapid.SampledFrom([]string{"2", "0.25", "4.031", "17.5", "1.002", "6.75", "3.25", "10.5", "8.9", "0.004", "25.4", "7.62", "0", "1", "9.98", ".5", "7.", "12.3456", "400040.1234", "5000012.12345", "8388607.999999999", "8388608.1", "0.0000000001", "1234567.", "99999999", "100000000000000000", "1e3", "x", "", "1.2.3", "0.123456789", "000.5", "0.30480"}).Draw(t, "number")
		})
		var row strings.Builder
		for k := range rapid.SampledFrom([]int{len(order), len(order), len(order), len(order), 1, 2, 3, 4, 5}).Draw(t, "fields") { // mostly whole rows
			if k > 0 {
				row.WriteString(rapid.SampledFrom([]string{sep, sep, sep, sep + " ", " " + sep, "\t"}).Draw(t, "gap"))
			}
			row.WriteString(number.Draw(t, "field"))
		}
		row.WriteString(rapid.SampledFrom([]string{"", "", " ", sep, "\t"}).Draw(t, "end"))
		line := row.String()
		p, n, ok := s.whole([]byte(line + "\nnext"))
		if !ok {
			return
		}
		parsed++
		want, _, plain := s.decimals(1, []byte(line))
		if got := [3]float64{float64(p.X) / 1e9, float64(p.Y) / 1e9, float64(p.Z) / 1e9}; !plain || n != len(line)+1 || got != [3]float64{want.X, want.Y, want.Z} {
			t.Fatalf("%q: %v to byte %d, want %v, %v", line, got, n, want, plain)
		}
	})
	if parsed == 0 {
		t.Error("no row was parsed into whole nanometres")
	}
}
