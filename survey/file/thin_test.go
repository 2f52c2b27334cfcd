package file

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/landxml"
	"pourplane/survey/scan"
	"pourplane/survey/text"
	"pourplane/survey/unit"
)

func TestThinRefusesNonsense(t *testing.T) {
	for _, c := range []struct {
		thin survey.Thin
		want string
	}{
		{survey.Thin{Cell: -1}, "thinning: found squares of -1 m, want 1 mm to 1 km, or 0 to keep every point"},
		{survey.Thin{Cell: math.NaN()}, "thinning: found squares of NaN m, want 1 mm to 1 km, or 0 to keep every point"},
		{survey.Thin{Cell: 1e-4}, "thinning: found squares of 0.0001 m, want 1 mm to 1 km, or 0 to keep every point"},
		{survey.Thin{Cell: 2000}, "thinning: found squares of 2000 m, want 1 mm to 1 km, or 0 to keep every point"},
		{survey.Thin{Cell: 1, Keep: 3}, "thinning: found rule 3, want mean, lowest or median"},
	} {
		o := survey.Options{Unit: unit.Metre, Order: "XYZ", Thin: c.thin}
		for _, read := range []func() error{
			func() error { _, err := text.Read(strings.NewReader("1 2 3\n4 5 6\n"), "f", o); return err },
			func() error { _, err := scan.ReadPLY(strings.NewReader("ply\n"), "f", o); return err },
			func() error { _, err := scan.ReadLAS(strings.NewReader("LASF"), "f", o); return err },
			func() error { _, err := landxml.Read(strings.NewReader("<LandXML/>"), "f", o); return err },
		} {
			if err := read(); err == nil || err.Error() != c.want {
				t.Errorf("%v: %v, want %s", c.thin, err, c.want)
			}
		}
	}
}

func TestOpenThins(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct{ name, text string }{
		{"a.xyz", "x,y,z\n0.1,0.2,1\n0.3,0.2,3\n2.1,0.2,5\n"},
		{"a.ply", "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nend_header\n0.1 0.2 1\n0.3 0.2 3\n2.1 0.2 5\n"},
		{"a.xml", `<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2" date="2025-01-01" time="00:00:00"><Units><Metric linearUnit="meter" areaUnit="squareMeter" volumeUnit="cubicMeter" temperatureUnit="celsius" pressureUnit="milliBars"/></Units><CgPoints><CgPoint name="1">0.2 0.1 1</CgPoint><CgPoint name="2">0.2 0.3 3</CgPoint><CgPoint name="3">0.2 2.1 5</CgPoint></CgPoints></LandXML>`},
	} {
		file := filepath.Join(dir, c.name)
		if err := os.WriteFile(file, []byte(c.text), 0o666); err != nil {
			t.Fatal(err)
		}
		var done, total int64
		s, err := Open(file, survey.Options{Unit: unit.Metre, Thin: survey.Thin{Cell: 1}, Progress: func(d, n int64) { done, total = d, n }})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(s.Points) != 2 || s.Points[0] != (survey.Point{X: 0.2, Y: 0.2, Z: 2}.With(survey.Tag{At: survey.Pos{File: file}})) || s.Rows != 3 {
			t.Errorf("%s: %d rows, %+v", c.name, s.Rows, s.Points)
		}
		if (c.name == "a.xyz" || c.name == "a.ply") && (done != int64(len(c.text)) || total != done) {
			t.Errorf("%s: progress %d of %d, want %d", c.name, done, total, len(c.text))
		}
		_, err = OpenOutline(file, survey.Options{Unit: unit.Metre, Thin: survey.Thin{Cell: 1}})
		var e *survey.Error
		if c.name == "a.xyz" && err != nil || c.name != "a.xyz" && !errors.As(err, &e) {
			t.Errorf("%s as an outline: %v", c.name, err)
		}
	}
}
