package job

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"pourplane/surface/order"
)

// Nine depths on squares of 10 m: 1 115 m³ (surveying textbook, example 10.18, through its Scilab
// companion, which gives data and formula: once 10.0, twice 22.2 and four times 12.4, × 100/4).
// Either diagonal of its squares gives the same.
func TestPublishedGridVolume(t *testing.T) {
	t.Parallel()
	depths := [3][3]float64{{2.8, 3.2, 2.6}, {2.6, 3.1, 2.4}, {2.4, 2.9, 2.2}}
	var shots [][3]float64
	for row, d := range depths {
		for column, v := range d {
			shots = append(shots, [3]float64{float64(10 * column), float64(20 - 10*row), 10 - v})
		}
	}
	r := solved(t, tenMetres, floorOfShots(shots, outlineOf(rectangle(0, 0, 20, 20))))
	near(t, "volume", r.Filled.Fill.Fill, 1115)
}

// A square of 30 m in four triangles from its centre: 2 685 m³ (the same, example 10.20:
// the average of three heights times 225 m²; the four corners alone would give 2 700).
// Here with a tenth of the heights, in the range of a floor.
func TestPublishedPrisms(t *testing.T) {
	t.Parallel()
	shots := [][3]float64{{0, 30, 10 - 0.285}, {30, 30, 10 - 0.245}, {30, 0, 10 - 0.315}, {0, 0, 10 - 0.355}, {15, 15, 10 - 0.295}}
	r := solved(t, tenMetres, floorOfShots(shots, outlineOf(rectangle(0, 0, 30, 30))))
	near(t, "volume", r.Filled.Fill.Fill, 268.5)
}

// A cell of 50 by 50 ft with corners at 87.6, 87.6, 87.6 and 88.6 ft, raised to 90.0:
// 199 yd³ (an estimating text; 2.15 × 2500/27 = 199.07). A square has two diagonals. The
// halves have a mean of 2.1333 and 2.3 ft with one, and 2.0667 ft with the other; the
// south-west rule picks one.
func TestPublishedCell(t *testing.T) {
	t.Parallel()
	for high, want := range map[int]float64{0: 0, 1: 0, 2: 0, 3: 0} {
		z := [4]float64{87.6, 87.6, 87.6, 87.6}
		z[high] = 88.6
		text := "point,x (ft),y (ft),z (ft)\n"
		for i, c := range rectangle(0, 0, 50, 50) {
			text += fmt.Sprintf("%d,%g,%g,%g\n", i+1, c[0], c[1], z[i])
		}
		files := fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": {Data: []byte("x (ft),y (ft)\n0,0\n50,0\n50,50\n0,50\n")}}
		got := solved(t, strings.Replace(rampJob, `"0m"`, `"90ft"`, 1), files).Filled.Fill.Fill / order.CubicYard
		// The high corner is in one triangle or in two: 2.4 ft less a sixth or a third of a foot.
		want = (2.4 - 1.0/6) * 2500 / 27
		if high == 0 || high == 2 {
			want = (2.4 - 1.0/3) * 2500 / 27
		}
		isWithin(t, fmt.Sprintf("corner %d high, yd³", high), got, want, 1e-6)
		// The mean of the two is the published value.
		isWithin(t, "published", ((2.4-1.0/6)+(2.4-1.0/3))/2*2500/27, 199.07, 0.005)
	}
}

// A slab of 420 ft² at 4 in: 5.18 yd³, 5.44 with 5 % (2018 National Home Improvement Estimator,
// p. 42), 5.50 in quarters; and its weight, 50 lb/ft² at 150 lb/ft³ (by hand).
func TestPublishedSlabOrder(t *testing.T) {
	t.Parallel()
	text := "point,x (ft),y (ft),z (ft)\n"
	n := 0
	for x := 0.0; x <= 30; x += 5 {
		for y := 0.0; y <= 14; y += 3.5 {
			n++
			text += fmt.Sprintf("%d,%g,%g,%.9f\n", n, x, y, 100-4.0/12)
		}
	}
	files := fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": {Data: []byte("x (ft),y (ft)\n0,0\n30,0\n30,14\n0,14\n")}}
	r := solved(t, strings.Replace(rampJob, `"0m"`, `"100ft"`, 1)+"[mix]\nunit-weight-lbft3 = 150\n", files)
	isWithin(t, "net, yd³", r.Filled.Fill.Fill/order.CubicYard, 5.185, 0.0005)
	isWithin(t, "with 5 %, yd³", r.Takeoff.Need/order.CubicYard, 5.444, 0.0005)
	near(t, "order, yd³", r.Delivery.Volume/order.CubicYard, 5.5)
	isWithin(t, "weight, lb/ft²", r.Mix.Load.Mean/(0.45359237/(0.3048*0.3048)), 50, 1e-6)
}

// A room of 240 by 180 in, a plane fill of 1.5 in at one end and 3.5 in at the other: 108 000 in³,
// 2.3148 yd³, with 10 % 2.5463, ordered as 2.75 (by hand).
func TestRoomInInches(t *testing.T) {
	t.Parallel()
	text := "point,x (in),y (in),z (in)\n"
	n := 0
	for x := 0; x <= 240; x += 40 {
		for y := 0; y <= 180; y += 45 {
			n++
			text += fmt.Sprintf("%d,%d,%d,%.9f\n", n, x, y, 100-1.5-2*float64(x)/240)
		}
	}
	files := fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": {Data: []byte("x (in),y (in)\n0,0\n240,0\n240,180\n0,180\n")}}
	r := solved(t, strings.Replace(rampJob, `"0m"`, `"100in"`, 1)+"[mix]\nallowance-percent = 10\n", files)
	isWithin(t, "net, yd³", r.Filled.Fill.Fill/order.CubicYard, 2.314815, 1e-5)
	isWithin(t, "need, yd³", r.Takeoff.Need/order.CubicYard, 2.546296, 1e-5)
	near(t, "order, yd³", r.Delivery.Volume/order.CubicYard, 2.75)
}

// A level book in feet (university exercise with solution, askfilo.com question
// 3430383238313239): BM A 100.00, HI 103.10, 99.72, 101.52 and 105.37. With floor shots of one
// rod from each set-up the floor is at 95.37 ft.
func TestPublishedLevelBook(t *testing.T) {
	t.Parallel()
	text := "setup,sight,point,x (ft),y (ft),rod (ft)\n"
	n := 0
	for i, s := range []struct {
		name   string
		bs, hi float64
		next   string
		fs     float64
	}{{"BM A", 3.10, 103.10, "TP1", 9.82}, {"TP1", 6.44, 99.72, "TP2", 6.96}, {"TP2", 8.76, 101.52, "TP3", 3.27}, {"TP3", 7.12, 105.37, "BM B", 10.42}} {
		text += fmt.Sprintf("%d,BS,%s,,,%.2f\n", i+1, s.name, s.bs)
		for y := range 4 {
			n++
			text += fmt.Sprintf("%d,IS,%d,%d,%d,%.2f\n", i+1, 200+n, 4*i, 4*y, s.hi-95.37)
		}
		text += fmt.Sprintf("%d,FS,%s,,,%.2f\n", i+1, s.next, s.fs)
	}
	files := fstest.MapFS{"floor.csv": {Data: []byte(text)}, "walls.csv": {Data: []byte("x (ft),y (ft)\n0,0\n12,0\n12,12\n0,12\n")}}
	job := strings.Replace(with(rampJob, "benchmarks = { \"BM A\" = \"100ft\" }\n"), `"0m"`, `"95.5ft"`, 1)
	r := solved(t, job, files)
	b := r.Survey.Book
	if len(b.Setups) != 4 {
		t.Fatalf("%d set-ups", len(b.Setups))
	}
	for i, hi := range []float64{103.10, 99.72, 101.52, 105.37} {
		isWithin(t, fmt.Sprintf("HI %d, ft", i+1), b.Setups[i].HI/0.3048, hi, 1e-9)
	}
	isWithin(t, "fill, ft³", r.Filled.Fill.Fill/math.Pow(0.3048, 3), 144*0.13, 1e-6)
	// BM B is known at 94.91 and observed at 94.95: 0.04 ft, more than a book of four
	// set-ups may close by at 1/16 in each.
	job = strings.Replace(job, `{ "BM A" = "100ft" }`, `{ "BM A" = "100ft", "BM B" = "94.91ft" }`, 1)
	if err := hinted(refused(t, job, files)); !strings.Contains(err, "BM B") || !strings.Contains(err, "accept-misclosure") {
		t.Errorf("%s", err)
	}
}
