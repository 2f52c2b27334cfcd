package text

import (
	"strings"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// Heads that crews write over a column of heights; common practice, no source.
func TestHeadsAsCrewsWriteThem(t *testing.T) {
	for _, c := range []struct {
		head string
		z    float64 // of the reading 1.25; rods are relative
		note string
	}{
		{"laser", -1.25, ""}, {"Stick", -1.25, ""}, {"rod rdg", -1.25, ""}, {"Rod Rdg.", -1.25, ""}, {"dip", -1.25, ""}, {"Below laser", -1.25, ""}, {"staff", -1.25, ""}, {"Stick down", -1.25, ""}, {"tape down", -1.25, ""},
		{"Red. level", 1.25, ""}, {"elev. above datum", 1.25, ""}, {"Spot level", 1.25, ""}, {"ORTHOMETRIC HEIGHT", 1.25, ""},
		{"existing grade", 1.25, ""},
		{"grade", 1.25, `assumed: column 4 "grade" read as the elevation found`},
		{"ELLIPSOID HEIGHT", 1.25, `warning: column 4 "ELLIPSOID HEIGHT" is above the ellipsoid: differences over a floor hold`},
	} {
		s, err := read(t, "spot,x,y,"+c.head+",Remarks\n1,0,0,1.25,wet\n2,3,0,1.25,dry\n", survey.Options{Unit: unit.Metre})
		if err != nil {
			t.Errorf("%s: %v", c.head, err)
			continue
		}
		check.Points(t, s.Points, points([]at{{"1", 0, 0, c.z}, {"2", 3, 0, c.z}}))
		if s.Points[0].Remark() != "wet" || s.Points[0].Code() != "" {
			t.Errorf("%s: remark %q, code %q", c.head, s.Points[0].Remark(), s.Points[0].Code())
		}
		check.Notes(t, s.Notes, []string{c.note})
	}
	// Beside another height, grade is a target level and the ellipsoid height is not
	// used.
	s, err := read(t, "P,E,N,ELLIPSOID HEIGHT,ORTHOMETRIC HEIGHT,grade\n1,0,0,51.2,9.98,10\n2,1,0,51.2,9.97,10\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"1", 0, 0, 9.98}, {"2", 1, 0, 9.97}}))
	check.Notes(t, s.Notes, []string{`not used: column 4 "ELLIPSOID HEIGHT"`, `column 6 "grade" is a level to reach`})
}

func TestColumnsNotUsedAreListed(t *testing.T) {
	s, err := read(t, "P,E,N,Z,Weather,code,Layer,intensity\n1,0,0,9.98,dry,FLR,3,17\n2,1,0,9.97,wet,FLR,3,18\n", survey.Options{Unit: unit.Metre})
	if err != nil {
		t.Fatal(err)
	}
	check.Notes(t, s.Notes, []string{`assumed: not used: column 5 "Weather", column 7 "Layer", column 8 "intensity"`})
}

func TestWhatIsNoListOfHeightsIsNamed(t *testing.T) {
	for _, c := range []struct{ text, want, hint string }{
		{"spot,x,y,dampness\n1,0,0,1.25\n2,3,0,1.25\n", `f.csv:1: found columns "spot", "x", "y", "dampness", want a column of elevations or rod readings`, "name the column of heights in line 1"},
		{"where,in from west,up from south,how low\n1,0,0,1.25\n2,3,0,1.25\n", `f.csv:1: found columns "where", "in from west", "up from south", "how low", want a column of elevations or rod readings`, "line 1"},
		{"Lat,Long,Elevation\n48.1,11.5,510.2\n48.2,11.5,510.3\n", `column 1 "Lat" and column 2 "Long": found latitude and longitude, which are degrees`, "plane grid"},
		{"Point,Latitude,Longitude,Ellipsoid height\n1,48.1,11.5,510.2\n", "which are degrees", "plane grid"},
		{"NCOLS 3\nNROWS 2\nXLLCORNER 0\nYLLCORNER 0\nCELLSIZE 1\nNODATA_VALUE -9999\n1 2 3\n4 5 6\n", "found an ASCII grid of elevations", "--order XYZ"},
		{"x,y,target\n0,0,1\n1,0,1\n", `"target" is a level to reach`, ""},
	} {
		_, err := read(t, c.text, survey.Options{Unit: unit.Metre})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want it to say %q", c.text, err, c.want)
		}
		if h := strings.Join(survey.Hints(err), "\n"); !strings.Contains(h, c.hint) {
			t.Errorf("%q: hints %q, want %q", c.text, h, c.hint)
		}
	}
	// Beside plan positions, latitude is not needed.
	s, err := read(t, "P,E,N,Z,Lat,Long\n1,0,0,9.98,48.1,11.5\n", survey.Options{Unit: unit.Metre})
	if err != nil || len(s.Points) != 1 {
		t.Errorf("%v", err)
	}
}

// A header of unknown words is still a header. The order gives its columns.
func TestOrderBesideAStrangeHeader(t *testing.T) {
	s, err := read(t, "job 7\nwhere,in from west,up from south,how high,what\n1,0,0,1.25,wet, see note\n2,3,0,1.26,\n", survey.Options{Unit: unit.Metre, Order: "PENZD"})
	if err != nil {
		t.Fatal(err)
	}
	check.Points(t, s.Points, points([]at{{"1", 0, 0, 1.25}, {"2", 3, 0, 1.26}}))
	check.Notes(t, s.Notes, []string{"assumed: skipped title row: where, in from west, up from south, how high, what", "assumed: columns read as PENZD"})
}

func TestUnitsOfTheSameKindAreAccepted(t *testing.T) {
	for _, c := range []struct {
		head string
		u    unit.Length
		ok   bool
	}{
		{"P,E [m],N [m],Z [m]", unit.Millimetre, true},
		{"P,E [m],N [m],Z [mm]", unit.Centimetre, true},
		{"P,E ft,N ft,Z ft", unit.Inch, true},
		{"P,E ft,N ft,Z ft", unit.Metre, false},
		{"P,E [m],N [m],Z [m]", unit.Foot, false},
	} {
		s, err := read(t, c.head+"\n1,0,0,9\n2,1,0,9\n", survey.Options{Unit: c.u})
		if (err == nil) != c.ok {
			t.Errorf("%s in %v: %v", c.head, c.u, err)
		}
		if err == nil && s.Points[1].X != s.Plan.Metres() {
			t.Errorf("%s in %v: x is %g m, want the unit of its head", c.head, c.u, s.Points[1].X)
		}
	}
}

// N beside x and y numbers the shots. N beside x alone is the northing.
func TestNBesideXAndY(t *testing.T) {
	for text, name := range map[string]string{
		"n,x (ft),y (ft),z (ft)\n7,1,2,3\n8,2,2,3\n9,2,3,3\n":   "7",
		"x (ft),n (ft),z (ft)\n1,2,3\n2,2,3\n2,3,3\n":           "",
		"N,E,Elev\n2,1,3\n2,2,3\n3,2,3\n":                       "",
		"n,easting,northing,z\n7,1,2,3\n8,2,2,3\n9,2,3,3.001\n": "7",
	} {
		s, err := read(t, text, survey.Options{Unit: unit.Foot})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if p := s.Points[0]; p.Name() != name || !check.Nearly(p.X, 1*ft) || !check.Nearly(p.Y, 2*ft) || !check.Nearly(p.Z, 3*ft) {
			t.Errorf("%q: %+v", text, p)
		}
	}
}
