package report

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"
)

// twoRooms are rooms of 24 and 6 m² that are 50 and 20 mm below 0, shot at 16 places each.
func twoRooms() fstest.MapFS {
	var shots, walls strings.Builder
	shots.WriteString("x (m),y (m),z (m)\n")
	walls.WriteString("part,ring,x_m,y_m\n")
	for k, room := range []struct{ x, w, h, z float64 }{{0, 6, 4, -0.050}, {8, 3, 2, -0.020}} {
		for i := range 16 {
			fmt.Fprintf(&shots, "%g,%g,%g\n", room.x+room.w*float64(i%4)/3, room.h*float64(i/4)/3, room.z)
		}
		for _, at := range [][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
			fmt.Fprintf(&walls, "room %d,outer,%g,%g\n", k+1, room.x+room.w*at[0], room.h*at[1])
		}
	}
	return fstest.MapFS{"floor.csv": {Data: []byte(shots.String())}, "walls.csv": {Data: []byte(walls.String())}}
}

// By hand, 1.20 and 0.12 m³. An error of the set-up of 5 mm moves all of a room, 9 times in 10 by less than
// 1.645 × 5 mm × its area: ±0.20 and ±0.05 m³, beside which the rest is small.
func TestRegionsShowHowSureTheyAre(t *testing.T) {
	t.Parallel()
	r := ranOn(t, strings.Replace(ramp, "[target]", "reading-sd = \"0.01mm\"\nsetup-sd = \"5mm\"\n[target]", 1), twoRooms())
	regions := regionTable(r.h.Filled, r.h.Style)
	if got, want := fmt.Sprint(cellsOf(regions)), "[[room 1 24.00 m² 1.20 m³ 0.20 m³] [room 2 6.00 m² 0.12 m³ 0.05 m³]]"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	if !strings.Contains(r.terminal, "\n"+plainNotes(regions)) {
		t.Errorf("the terminal does not show\n%s", plainNotes(regions))
	}
	saidIn(t, r.page(t), ">± fill<", ">± area<", ">± volume<")
	rows, err := r.book(t).GetRows("Regions")
	if err != nil || !strings.Contains(fmt.Sprint(rows), "[Region Area (m²) Fill (m³) ± fill (m³)] [room 1 24.00 1.200 0.19") {
		t.Errorf("the workbook has %q, %v", rows, err)
	}
	// Paper stays as short as it is: the ± of the whole is a line of the take-off.
	for _, s := range r.h.record(true).Sections {
		for _, of := range s.Tables {
			if heads := strings.Join(headsOf(of), " "); s.Title == "Depths" && strings.Contains(heads, "±") || of.Title == "Regions" {
				t.Errorf("%s on paper: %s", s.Title, heads)
			}
		}
	}
	// One room is the whole.
	if of := regionTable(runText(t, ramp).h.Filled, metric); of.Rows != nil {
		t.Errorf("regions of one room: %v", cellsOf(of))
	}
}

// By hand: a floor that falls 80 mm over 6 m has 0.3 m² in a millimetre of depth. Where it is lower than
// found, the first band, to 30 mm, loses so much at its deep end for each; where it is higher it gains
// that, as what is then less deep than the floor as found is in it too; so has the last. An error of the set-up of 1 mm is
// within 1.645 mm 9 times in 10. A band in the middle loses at one end what it gains at the other.
func TestBandsShowHowSureTheyAre(t *testing.T) {
	t.Parallel()
	r := ranOn(t, strings.Replace(ramp, "[target]", "reading-sd = \"0.01mm\"\nsetup-sd = \"1mm\"\n[target]", 1), rampFiles())
	sure := r.h.Sure().Bands(r.h.BandsIn(false))
	rows := sureBandTable(r.h.Filled, r.h.Style).Rows
	if len(rows) != 8 || len(sure) != 8 {
		t.Fatalf("%d rows, %d bands", len(rows), len(sure))
	}
	if first, middle := rows[0][3].Value, rows[3][3].Value; math.Abs(first-0.3*1.645) > 0.05 || middle > first/4 {
		t.Errorf("± of the areas %.3f and %.3f m²", first, middle)
	}
	if last := rows[7][3].Value; math.Abs(last-0.3*1.645) > 0.05 {
		t.Errorf("± of the last area %.3f m²", last)
	}
	for i, row := range rows {
		if row[3].Value != sure[i].Area.Within || row[5].Value != sure[i].Volume.Within {
			t.Errorf("band %d: %v, want %+v", i, row, sure[i])
		}
	}
}

// Above the target and next to it nothing is measured, and the table tells so; so does the JSON, by null.
func TestBandsNextToFloorAboveTheTarget(t *testing.T) {
	t.Parallel()
	r := ranOn(t, strings.Replace(ramp, `"0m"`, `"-60mm"`, 1), rampFiles())
	of := sureBandTable(r.h.Filled, r.h.Style)
	for i, row := range cellsOf(of) {
		if none := r.h.BandsIn(false)[i].From <= 0; (row[3] == "—") != none || (row[5] == "—") != none {
			t.Errorf("%v", row)
		}
	}
	saidIn(t, strings.Join(of.Notes, " "), "± not measured above the target, nor in the band next to it")
	out := numbersOf(t, r.h)
	for _, b := range out.Bands {
		if none := b.From <= 0; (b.AreaSD == nil) != none || (b.VolumeSD == nil) != none || (b.Area90 == nil) != none || (b.Volume90 == nil) != none {
			t.Errorf("from %g m: %v %v %v %v", b.From, b.AreaSD, b.VolumeSD, b.Area90, b.Volume90)
		}
	}
}
