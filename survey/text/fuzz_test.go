package text

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"

	"pourplane/survey"
	"pourplane/survey/internal/check"
	"pourplane/survey/unit"
)

// FuzzReadText checks that no text makes the reader panic, that every position it names
// is inside the file, and that its results are finite and complete.
func FuzzReadText(f *testing.F) {
	for _, dir := range []string{samples, "../../testdata/demo"} {
		files, err := os.ReadDir(dir)
		if err != nil {
			f.Fatal(err)
		}
		for _, e := range files {
			if ext := filepath.Ext(e.Name()); ext == ".md" || e.Name()[0] == '.' {
				continue
			}
			b, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				f.Fatal(err)
			}
			f.Add(b, byte(1), "")
			f.Add(b, byte(4), "PNEZD")
			f.Add(b, byte(129+24), "")
		}
	}
	f.Add([]byte("P;E;N;Z\n\"1\n2;3;4;5\"\n"), byte(3), "XYZ")
	f.Add([]byte("x,y,ring\n0,0,hole\n"), byte(1), "XY")
	f.Add([]byte("setup,sight,point,x,y,rod,code\n1,BS,BM,0,0,1.5,BM\n1,IS,a,,1,1.5,\n1,IS,b,2,1,1.5,\n1,IS,c,3,1,1.5,\n"), byte(1), "")
	f.Add([]byte("Station,BS,FS,e,RL\nBM,1.500,,1,10\nTP,1,1.2,2,\n"), byte(1), "")
	f.Add([]byte("run,station,rod\nA,0,1.500\nA,0.3,1.502\nA,0.6,1.499\n"), byte(1), "")
	f.Add([]byte("run,order,elevation,x0,y0,bearing\nA,1,9.5,0,0,45\nA,2,9.6,0,0,45\n"), byte(1), "")
	f.Add([]byte("rod,A,B,C,D,E,F,G,H\nBM,1.5,10\n1,1,2,3,4,5,6,7,8\n"), byte(130), "")
	f.Add([]byte("m,1,2,3\nA,1.5,1.6,1.7\nB,x,1.5,1.4\n"), byte(130), "")
	f.Add([]byte("setup,sight,point,x,y,rod,elev,distance\n1,BS,BM,0,0,1.5,10,20\n1,FS,TP,2,0,1.531,,20\n2,BS,TP,2,0,1.438,,21\n2,FS,BM,0,0,1.405,,19\n"), byte(17), "")
	f.Add([]byte("x,y,z\n0,0,1\nafter lunch\nmoved laser\n"), byte(1), "")
	f.Fuzz(func(t *testing.T, b []byte, u byte, order string) {
		if len(b) > 1<<16 || len(order) > 20 {
			t.Skip("longer than any field book: mutations of it are slow and find no more")
		}
		o := survey.Options{Unit: unit.Length(u % 7), Order: order, Adjust: survey.Adjust(u / 8 % 4)}
		if u >= 128 {
			o.Grid = survey.Grid{LetterStep: 3, NumberStep: 2, Bearings: &survey.GridBearings{Letters: 90, Numbers: 180}, Values: survey.Rod, HasValues: true}
			o.Benchmarks = map[string]float64{"BM": 10}
		}
		for _, outline := range []bool{false, true} {
			whole, decodeErr := decode("f", bytes.Clone(b))
			s, err := readText(bytes.Clone(b), "f", o, outline)
			if (s == nil) == (err == nil) {
				t.Fatalf("survey %v with error %v", s, err)
			}
			if decodeErr == nil {
				inside := check.Inside(whole.body)
				for _, p := range check.Positions(err) {
					if !inside(p) {
						t.Errorf("%v is outside the file: %v", p, err)
					}
				}
				if s != nil {
					for _, n := range s.Notes {
						if !inside(n.Pos) {
							t.Errorf("%v is outside the file: %v", n.Pos, n)
						}
					}
				}
			}
			if s == nil {
				continue
			}
			for _, p := range s.Points {
				if !check.Finite(p.X) || !check.Finite(p.Y) || !check.Finite(p.Z) {
					t.Errorf("point %+v", p)
				}
			}
			for _, r := range s.Rings {
				for _, p := range r.Points {
					if !check.Finite(p.X) || !check.Finite(p.Y) || math.IsInf(p.Z, 0) {
						t.Errorf("corner %+v", p)
					}
				}
			}
			for _, r := range s.Runs {
				for _, v := range r.Stations {
					if math.IsInf(v.Z, 0) {
						t.Errorf("station %+v", v)
					}
				}
			}
			if b := s.Book; b != nil {
				for i := range b.Sights {
					if !check.Finite(b.Sights[i].Elevation) {
						t.Errorf("sight %+v", b.Sights[i])
					}
				}
				b.Err(false)
				s.Unplaced()
			}
			if used := len(s.Points) + len(s.LeftOut()); used > s.Rows {
				t.Errorf("%d points and rows left out of %d rows", used, s.Rows)
			}
		}
	})
}
