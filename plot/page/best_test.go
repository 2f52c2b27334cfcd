package page

import (
	"math"
	"strings"
	"testing"
)

// slant is a floor of 4 × 3 m that rises 40 mm to the east, for a level plane of least cost.
const slant = "title = \"Slant\"\ndate = 2026-11-25\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nbest = true\nmax-fall = \"0\"\n"

func slantFiles() ([]File, [][]byte) {
	bodies := [][]byte{
		[]byte("point,x (m),y (m),z (m)\n1,0,0,9.9\n2,4,0,9.94\n3,4,3,9.94\n4,0,3,9.9\n5,2,1,9.92\n"),
		[]byte("x_m,y_m\n0,0\n4,0\n4,3\n0,3\n"),
	}
	return []File{{"floor.csv", "floor", int64(len(bodies[0]))}, {"walls.csv", "walls", int64(len(bodies[1]))}}, bodies
}

// The plane of least cost is found. By hand: at equal prices it is at half of the rise, with 4 × 3 m
// × 40 mm / 8 of fill and as much ground off.
func TestPlaneOfLeastCost(t *testing.T) {
	t.Parallel()
	var e Engine
	files, bodies := slantFiles()
	r, _ := answered(t, &e, pack(Request{Ask: "solve", Job: slant, Files: files}, bodies))
	a := r.Answer
	if math.Abs(a.Target.Z-9.92) > 1e-6 || math.Abs(a.Fill-0.06) > 1e-6 || math.Abs(a.Cut-0.06) > 1e-6 {
		t.Errorf("the target is at %v, with %v m³ of fill and %v m³ ground off", a.Target.Z, a.Fill, a.Cut)
	}
	said := ""
	for _, f := range a.Facts {
		said += f.Head + ": " + f.Text + "\n"
	}
	for _, n := range a.Remarks {
		said += strings.Join(n.Notes, "\n") + "\n"
	}
	for _, want := range []string{"Least cost: 60 L of fill, 60 L ground off. Limited by the level target (0.1 % more fall saves", "a volume ground is taken to cost as much as one filled"} {
		if !strings.Contains(said, want) {
			t.Errorf("the answer lacks %q:\n%s", want, said)
		}
	}
}

// The curve has the plane of each price of grinding, and its price in the job gives that plane. By
// hand: at k times the fill a share 1/(1+k) of the rise is ground, so 4 × leaves the plane at 4/5 of it.
func TestTradeOff(t *testing.T) {
	t.Parallel()
	var e Engine
	files, bodies := slantFiles()
	r, _ := answered(t, &e, pack(Request{Ask: "solve", Job: slant, Files: files}, bodies))
	trade := r.Answer.Trade
	if trade == nil || len(trade.Points) != 7 || len(trade.Planes) != 7 || len(trade.Table.Rows) != 7 {
		t.Fatalf("the trade-off is %+v", trade)
	}
	for i, k := range []float64{0.5, 1, 2, 4, 8, 16, math.Inf(1)} {
		p := trade.Points[i]
		z, fill := 9.94-0.04/(1+k), 12*0.04/2*math.Pow(1-1/(1+k), 2)
		if got := trade.Planes[i]; math.Abs(got.Z-z) > 1e-6 || got.SlopeX != 0 || p.Here != (k == 1) {
			t.Errorf("%s: the plane is %+v, want it at %v", p.Head, got, z)
		}
		r, _ := answered(t, &e, pack(Request{Ask: "solve", Job: slant + "grind-price = \"" + p.Price + "\"\n", Files: files}, bodies))
		if a := r.Answer; math.Abs(a.Target.Z-z) > 1e-6 || math.Abs(a.Fill-fill) > 1e-6 {
			t.Errorf("%s: kept, the target is at %v with %v m³, want %v and %v", p.Price, a.Target.Z, a.Fill, z, fill)
		}
	}
	if p := trade.Points[3]; p.Head != "4 × fill" || p.Price != "4x" || p.Text != "0.15 m³ of fill, 9.6 L ground off" {
		t.Errorf("%+v", p)
	}
	r, _ = answered(t, &e, pack(Request{Ask: "solve", Job: slant + "fill-price = \"100\"\ngrind-price = \"400\"\n", Files: files}, bodies))
	if p := r.Answer.Trade.Points[3]; !p.Here || p.Text != "0.15 m³ of fill, 9.6 L ground off: 19.20 at the prices of the job" {
		t.Errorf("%+v", p)
	}
}

// A target raised from a plane of least cost needs the fill over what is ground first too: by hand
// 1 mm of 12 m² more than the plane itself.
func TestRaisedOverGroundParts(t *testing.T) {
	t.Parallel()
	var e Engine
	files, bodies := slantFiles()
	ask := Request{Ask: "solve", Job: slant + "min-depth = \"5mm\"\n[mix]\norder-step = \"0.0001m3\"\nallowance-percent = 0\n[plant]\ntruck = \"6m3\"\n", Files: files}
	r, _ := answered(t, &e, pack(ask, bodies))
	ask.Ask, ask.Raise = "raise", 0.001
	up, _ := answered(t, &e, pack(ask, bodies))
	if was, now := r.Answer.Order, up.Answer.Order; !(was > 0.1) || math.Abs(now-was-0.012) > 2e-4 {
		t.Errorf("the order is %v m³, raised %v", was, now)
	}
}

// A design file is solved like another target, and read as a design. By hand: a ridge from 10.1 m at
// both ends to 10.25 m in the middle over 6 × 4 m at 10 m is 24 m² × (0.1 + 0.15/2) m.
func TestDesignSurface(t *testing.T) {
	t.Parallel()
	var e Engine
	bodies := [][]byte{
		[]byte("point,x (m),y (m),z (m)\n1,0,0,10\n2,6,0,10\n3,6,4,10\n4,0,4,10\n5,3,2,10\n"),
		[]byte("x_m,y_m\n0,0\n6,0\n6,4\n0,4\n"),
		[]byte("x (m),y (m),z (m)\n0,0,10.1\n0,4,10.1\n3,0,10.25\n3,4,10.25\n6,0,10.1\n6,4,10.1\n"),
	}
	var files []File
	for i, name := range []string{"floor.csv", "walls.csv", "design.csv"} {
		files = append(files, File{name, name, int64(len(bodies[i]))})
	}
	job := "title = \"Ridge\"\ndate = 2026-11-25\n[survey]\nfiles = [\"floor.csv\"]\noutline = \"walls.csv\"\n[target]\nsurface = \"design.csv\"\n"
	r, rest := answered(t, &e, pack(Request{Ask: "solve", Job: job, Files: files}, bodies))
	a := r.Answer
	at, fill, _ := tops(t, a.Floor, 0, rest)
	if math.Abs(a.Fill-4.2) > 1e-9 || math.Abs(fill-4.2) > 1e-9 || !a.Target.Bends {
		t.Errorf("%v m³ of fill, %v by prisms, the target is %+v", a.Fill, fill, a.Target)
	}
	for _, v := range at {
		if want := 10.25 - 0.05*math.Abs(v[0]-3); math.Abs(v[3]-want) > 1e-9 {
			t.Errorf("at %v, %v the target is at %v, want %v", v[0], v[1], v[3], want)
		}
	}
	r, _ = answered(t, &e, pack(Request{Ask: "read", Job: job, Files: files}, bodies))
	if got := r.Read[2]; got.Kind != "design" || len(got.Refused) > 0 {
		t.Errorf("the design is read as %+v", got)
	}
}
