package page

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
)

// basin is a level floor of 4 × 3 m at 9.9 m, falling 2 % from walls at 10 m or below to a drain
// in its middle. As poured it is 3 mm below that.
const basin = "title = \"Basin\"\ndate = 2026-11-25\n[survey]\nfiles = [\"room.csv\"]\noutline = \"walls.csv\"\n[target]\nelevation = \"10m\"\nfall = \"2%\"\ndrains = [\"2m,1.5m\"]\n"

func basinFiles() ([]File, [][]byte) {
	bodies := [][]byte{
		[]byte("point,x (m),y (m),z (m)\n1,0,0,9.9\n2,4,0,9.9\n3,4,3,9.9\n4,0,3,9.9\n5,2,1,9.9\n"),
		[]byte("x_m,y_m\n0,0\n4,0\n4,3\n0,3\n"),
	}
	return []File{{"room.csv", "room", int64(len(bodies[0]))}, {"walls.csv", "walls", int64(len(bodies[1]))}}, bodies
}

// tops reads a floor with the elevations of its target out of a parcel: x, y, floor and target of
// each vertex, and the volume between both by prisms.
func tops(t *testing.T, f *Floor, up float64, rest []byte) (at [][4]float64, fill float64, left []byte) {
	t.Helper()
	if !f.Tops {
		t.Fatal("the parcel has no target")
	}
	for _, g := range f.Regions {
		xyz, corners, top := make([]float64, 3*g.Vertices), make([]uint32, 3*g.Triangles), make([]float64, g.Vertices)
		rest = taken(t, rest, xyz)
		rest = taken(t, rest, corners)
		rest = taken(t, rest, top)
		from := uint32(len(at))
		for v := range top {
			at = append(at, [4]float64{g.X + xyz[3*v], g.Y + xyz[3*v+1], xyz[3*v+2], top[v] + up})
		}
		for k := 0; k < len(corners); k += 3 {
			a, b, c := at[from+corners[k]], at[from+corners[k+1]], at[from+corners[k+2]]
			area := ((b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])) / 2
			fill += area * (a[3] + b[3] + c[3] - a[2] - b[2] - c[2]) / 3
		}
	}
	return at, fill, rest
}

// A target that falls to a drain comes with its elevation at every vertex: a cone, 2 % of the way
// to the drain below the corners at 2.5 m from it. Raised it is the same surface higher up.
func TestFallsInTheParcel(t *testing.T) {
	t.Parallel()
	var e Engine
	files, bodies := basinFiles()
	ask := Request{Ask: "solve", Job: basin, Files: files}
	r, rest := answered(t, &e, pack(ask, bodies))
	a := r.Answer
	at, fill, rest := tops(t, a.Floor, 0, rest)
	for _, v := range at {
		if cone := 10 - 0.02*(2.5-math.Hypot(v[0]-2, v[1]-1.5)); v[3] > cone+1e-9 || v[3] < cone-0.00005 {
			t.Errorf("at %v, %v the target is at %v, the cone at %v", v[0], v[1], v[3], cone)
		}
	}
	if len(rest) != 0 || math.Abs(fill-a.Fill) > 1e-9 {
		t.Errorf("prisms have %v m³, the answer %v; %d bytes left", fill, a.Fill, len(rest))
	}
	if got := a.Target; !got.Bends || got.Up != 0 || math.Abs(got.Z-10) > 1e-9 || got.Text != "highest 10.000 m" || len(got.Drains) != 1 || got.Drains[0].Text != "9.950 m" || got.Drains[0].Ends[0] != [2]float64{2, 1.5} {
		t.Errorf("the target is %+v", got)
	}
	table := a.Falls
	if row := strings.Join(table.Rows[0], "|"); table.Title != "Falls to drains" || !strings.HasPrefix(row, "drain 1|9.950 m|12.00 m²|2.500 m|2.00 %|") || !strings.Contains(table.Notes[0], "from 9.980 m at") || !strings.Contains(table.Notes[0], "to 10.000 m at") {
		t.Errorf("the table of falls is %+v", table)
	}

	for i := range files {
		files[i].Size = -1
	}
	ask.Ask, ask.Raise, ask.Show = "raise", 0.004, "feet"
	up, _ := answered(t, &e, pack(ask, nil))
	b := up.Answer
	if math.Abs(b.Fill-a.Fill-0.004*12) > 1e-9 || math.Abs(b.Target.Up-0.004) > 1e-12 || math.Abs(b.Target.Z-10.004) > 1e-9 || b.Target.Drains[0].Text != "32.657 ft (32'-7 7/8\")" {
		t.Errorf("raised the fill is %v of %v, the target %+v", b.Fill, a.Fill, b.Target)
	}
}

// The floor as poured is compared with the target where it is: 3 mm low everywhere.
func TestPouredUnderFalls(t *testing.T) {
	t.Parallel()
	var e Engine
	files, bodies := basinFiles()
	var poured bytes.Buffer
	poured.WriteString("point,x (m),y (m),z (m)\n")
	for i := range 5 {
		for k := range 4 {
			x, y := float64(i), float64(k)
			poured.WriteString(csvRow(x, y, 10-0.02*(2.5-math.Hypot(x-2, y-1.5))-0.003))
		}
	}
	bodies = append(bodies, poured.Bytes())
	files = append(files, File{"after.csv", "after", int64(poured.Len())})
	job := strings.Replace(basin, "[target]", "after = [\"after.csv\"]\n[target]", 1)
	r, rest := answered(t, &e, pack(Request{Ask: "solve", Job: job, Files: files}, bodies))
	_, _, rest = tops(t, r.Answer.Floor, 0, rest)
	at, _, rest := tops(t, r.Answer.After.Floor, 0, rest)
	n := 0
	for _, v := range at {
		if v[0] == math.Trunc(v[0]) && v[1] == math.Trunc(v[1]) && v[2] != 0 { // a shot
			if off := v[3] - v[2]; math.Abs(off-0.003) > 0.00006 {
				t.Errorf("at %v, %v the floor is %v below the target", v[0], v[1], off)
			}
			n++
		}
	}
	if len(rest) != 0 || n < 20 || !r.Answer.After.Target.Bends {
		t.Errorf("%d bytes left of %+v", len(rest), r.Answer.After.Target)
	}
	// A straightedge over the drain lies on the heights above the target, and finds no basin.
	for i := range files {
		files[i].Size = -1
	}
	edge, _ := answered(t, &e, pack(Request{Ask: "edge", Job: job, Files: files, From: [2]float64{1, 1.5}, To: [2]float64{3, 1.5}}, nil))
	if edge.Edge.Gap > 0.0015 {
		t.Errorf("the gap under an edge over the drain is %+v", edge.Edge)
	}
}

func csvRow(x, y, z float64) string { return fmt.Sprintf("%g-%g,%g,%g,%.6f\n", x, y, x, y, z) }

// A ramp is in the parcel: by hand 0.360 m at 1:12 below a target of 10.05 m, in front of a sill. No
// one height moves such a target, nor one of parts.
func TestRampInTheParcel(t *testing.T) {
	t.Parallel()
	bodies := [][]byte{
		[]byte("point,x (m),y (m),z (m),code\n1,0,0,10,\n2,6,0,10,\n3,6,4,10,\n4,0,4,10,\n5,3,2,10,\nD1,2,-0.1,10.02,SILL\n"),
		[]byte("x_m,y_m\n0,0\n6,0\n6,4\n0,4\n"),
	}
	files := []File{{"room.csv", "room", int64(len(bodies[0]))}, {"walls.csv", "walls", int64(len(bodies[1]))}}
	job := strings.Replace(strings.SplitN(basin, "elevation", 2)[0], "[target]", "codes = { SILL = \"finished\" }\n[target]\nelevation = \"10.05m\"\nramps = [\"D1=1:12\"]", 1)
	var e Engine
	r, rest := answered(t, &e, pack(Request{Ask: "solve", Job: job, Files: files}, bodies))
	at, fill, rest := tops(t, r.Answer.Floor, 0, rest)
	least := math.Inf(1)
	for _, v := range at {
		least = min(least, v[3])
	}
	if len(rest) != 0 || math.Abs(fill-r.Answer.Fill) > 1e-9 || math.Abs(least-10.02) > 1e-9 {
		t.Errorf("prisms have %v m³, the answer %v; the lowest place of the target is %v", fill, r.Answer.Fill, least)
	}
	if got := r.Answer.Target; !got.Fixed || !got.Bends || math.Abs(got.Z-10.05) > 1e-9 {
		t.Errorf("the target is %+v", got)
	}
}

// Parts with targets of their own are in the parcel too: by hand 4 m² × 0.1 m and 6 m² × 0.05 m.
func TestPartsInTheParcel(t *testing.T) {
	t.Parallel()
	bodies := [][]byte{
		[]byte("name,x (m),y (m),z (m),part\na,0,0,10,A\nb,2,0,10,A\nc,2,2,10,A\nd,0,2,10,A\ne,3,1,10,B\nf,5,0,10,B\ng,5,2,10,B\nh,4,1,10,B\n"),
		[]byte("part,ring,x (m),y (m)\nA,outer,0,0\nA,outer,2,0\nA,outer,2,2\nA,outer,0,2\nB,outer,2,0\nB,outer,5,0\nB,outer,5,2\nB,outer,2,2\n"),
	}
	files := []File{{"room.csv", "room", int64(len(bodies[0]))}, {"walls.csv", "walls", int64(len(bodies[1]))}}
	job := strings.SplitN(basin, "elevation", 2)[0] + "parts = [\"A=10.1m\", \"B=10.05m\"]\n"
	var e Engine
	r, rest := answered(t, &e, pack(Request{Ask: "solve", Job: job, Files: files}, bodies))
	_, fill, rest := tops(t, r.Answer.Floor, 0, rest)
	if len(rest) != 0 || math.Abs(fill-0.7) > 1e-9 || math.Abs(r.Answer.Fill-0.7) > 1e-9 || !r.Answer.Target.Fixed || strings.Join(r.Answer.Floor.Parts, " ") != "A B" {
		t.Errorf("prisms have %v m³, the answer %v; %+v of %v", fill, r.Answer.Fill, r.Answer.Target, r.Answer.Floor.Parts)
	}
}
