package job

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"
)

// The set-up error of a floor of 12 m², by hand: 1 mm for each height of instrument from one point,
// 1/√2 mm from two; a set-up that is tied to another has a share of its error for each point from it. A
// benchmark read again at the end closes the book, whatever column it is booked in.
func TestSetupErrorOfALevelBook(t *testing.T) {
	const (
		list   = "point,x (m),y (m),rod (m)\n"
		shots  = "1,0.1,0.1,1.512\n2,3.9,0.1,1.515\n3,3.9,2.9,1.521\n4,0.1,2.9,1.519\n5,2,1.5,1.526\n"
		book   = "point,BS (m),IS (m),FS (m),x_m,y_m\nBM1,1.500,,,,\n"
		booked = "1,,1.512,,0.1,0.1\n2,,1.515,,3.9,0.1\n3,,1.521,,3.9,2.9\n4,,1.519,,0.1,2.9\n5,,1.526,,2,1.5\n"
		turn   = "TP1,,,1.300,,\nTP1,1.300,,,,\n"
		named  = "setup,point,x (m),y (m),rod (m)\nS1,BM1,,,1.500\nS1,TP1,,,1.300\nS1,TP2,,,1.200\n"
		second = "S2,1,0.1,0.1,1.512\nS2,2,3.9,0.1,1.515\nS2,3,3.9,2.9,1.521\nS2,4,0.1,2.9,1.519\nS2,5,2,1.5,1.526\n"
	)
	for name, c := range map[string]struct {
		text   string
		mm     float64
		closes string
	}{
		"one benchmark":                        {list + "BM1,,,1.500\n" + shots, 1, ""},
		"closed on the same":                   {list + "BM1,,,1.500\n" + shots + "BM1,,,1.501\n", 1, "BM1"},
		"closed on another":                    {list + "BM1,,,1.500\n" + shots + "BM2,,,1.401\n", 1, "BM2"},
		"two benchmarks":                       {list + "BM1,,,1.500\nBM2,,,1.401\n" + shots, math.Sqrt(0.5), ""},
		"two benchmarks, closed":               {list + "BM1,,,1.500\nBM2,,,1.401\n" + shots + "BM1,,,1.501\n", math.Sqrt(0.5), "BM1"},
		"two benchmarks, both after the floor": {list + shots + "BM1,,,1.500\nBM2,,,1.401\n", 1, ""},
		"booked among the sights":              {book + booked + "BM1,,1.501,,,\n", 1, "BM1"},
		"another booked among the sights":      {book + booked + "BM2,,1.401,,,\n", 1, "BM2"},
		"a turning point":                      {book + turn + booked, math.Sqrt2, ""},
		"a turning point, closed":              {book + turn + booked + "BM2,,1.401,,,\n", math.Sqrt2, "BM2"},
		"two turning points":                   {named + "S2,TP1,,,1.300\nS2,TP2,,,1.200\n" + second, math.Sqrt(1.5), ""},
		"a turning point and a benchmark":      {named + "S2,TP1,,,1.300\nS2,BM2,,,1.401\n" + second, math.Sqrt(0.5 + 0.25), ""},
	} {
		t.Run(name, func(t *testing.T) {
			j := &Job{Survey: Survey{Files: []string{"b.csv"}, Outline: "w.csv", Benchmarks: map[string]string{"BM1": "10m"}, SetupSD: "1mm"}}
			j.Target.Elevation = "10.1m"
			if strings.Contains(c.text, "BM2") {
				j.Survey.Benchmarks["BM2"] = "10.1m"
			}
			w, err := Fill(j, nil, fstest.MapFS{"b.csv": {Data: []byte(c.text)}, "w.csv": {Data: []byte("x_m,y_m\n0,0\n4,0\n4,3\n0,3\n")}}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if got := 1000 * w.Sure().Parts.Setup / 12; math.Abs(got-c.mm) > 1e-5 {
				t.Errorf("set-up %.6f mm, want %.6f", got, c.mm)
			}
			closes := ""
			if m := w.Survey.Book.Main(); m != nil {
				closes = m.On
			}
			if closes != c.closes {
				t.Errorf("closes on %q, want %q", closes, c.closes)
			}
		})
	}
}
