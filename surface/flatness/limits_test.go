package flatness

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// Every limit as written in its document, in the unit of the document, copied from our notes
// on the documents and not from the table. The last column is how each is known: "read" (in
// the source beside it), or from memory and how sure.
func TestLimitsAgainstTheirDocuments(t *testing.T) {
	const (
		in    = 25.4 // mm
		ft    = 304.8
		plain = 1.0 // mm, or an F-number
		m     = 1000.0
	)
	type row struct {
		name, document string
		kind           Kind
		length, unit   float64 // of the straightedge; 0: none
		limit, in      float64
		share          float64
		known          string // part of the text in the table
	}
	aci, gaps := "ACI 117-10 4.8.5.1 to 4.8.5.3", "ACI 117-10 table 4.8.6.1"
	ufgs := "UFGS 03 30 00 section 3.8.2"
	tile := "trade column of a tile education foundation"
	access := "U.S. Access Board, dimensional tolerances, 2011, part III"
	want := []row{
		{"tile", tile, ByStraightedge, 10, ft, 1. / 4, in, 0, "read"},
		{"tile", tile, ByStraightedge, 12, in, 1. / 16, in, 0, "read"},
		{"tile-large", tile, ByStraightedge, 10, ft, 1. / 8, in, 0, "read"},
		{"tile-large", tile, ByStraightedge, 24, in, 1. / 16, in, 0, "read"},
		{"resilient", "summary by a flooring maker", ByStraightedge, 10, ft, 3. / 16, in, 0, "read"},
		{"resilient", "summary by a flooring maker", ByStraightedge, 12, in, 1. / 32, in, 0, "read"},
		{"wood-10ft", "page on floor levelness", ByStraightedge, 10, ft, 3. / 16, in, 0, "memory 90 %"},
		{"wood-6ft", "page on floor levelness", ByStraightedge, 6, ft, 1. / 8, in, 0, "memory 90 %"},
		{"wood-builders", "quoted by a flooring maker", ByStraightedge, 32, in, 1. / 4, in, 0, "read"},
		{"wood-builders", "quoted by a flooring maker", ByStraightedge, 20, ft, 1. / 2, in, 0, "read"},
		{"bs8204-sr1", "Concrete Society, fingertips 1006 and 1009", ByStraightedge, 2, m, 3, plain, 0, "read"},
		{"bs8204-sr2", "Concrete Society, fingertips 1006 and 1009", ByStraightedge, 2, m, 5, plain, 0, "read"},
		{"bs8204-sr3", "Concrete Society, fingertips 1006 and 1009", ByStraightedge, 2, m, 10, plain, 0, "read"},
		{"bs8204-datum", "page of a screed firm", ByDatum, 0, 0, 15, plain, 0, "read"},
		{"bs5385", "BS 5385", ByStraightedge, 2, m, 3, plain, 0, "memory 85 %"},
		{"as3958", "guide to standards and tolerances", ByStraightedge, 2, m, 4, plain, 0, "read"},
		{"dtu52.1", "French building federation", ByStraightedge, 2, m, 3, plain, 0, "read"},
		{"dtu52.1", "French building federation", ByDatum, 0, 0, 5, plain, 0, "read"}, // and 1 mm a metre
		{"dtu13.3", "NF DTU 13.3 P1-1-2 clause 17", ByStraightedge, 2, m, 7, plain, 0, "read"},
		{"dtu13.3", "NF DTU 13.3 P1-1-2 clause 17", ByStraightedge, 0.20, m, 2, plain, 0, "read"},
		{"dtu13.3", "NF DTU 13.3 P1-1-2 clause 17", ByDatum, 0, 0, 0, plain, 0, "read"}, // 10 mm × ∛L
		{"dtu52.2", "NF DTU 52.2", ByStraightedge, 2, m, 5, plain, 0, "memory 75 %"},
		{"dtu52.2", "NF DTU 52.2", ByStraightedge, 0.20, m, 1, plain, 0, "memory 75 %"},
		{"dtu52.2-large", "NF DTU 52.2", ByStraightedge, 2, m, 3, plain, 0, "memory 75 %"},
		{"natspec-a", access, ByStraightedge, 3, m, 3, plain, 0, "read"},
		{"natspec-b", access, ByStraightedge, 3, m, 6, plain, 0, "read"},
		{"natspec-c", access, ByStraightedge, 600, plain, 6, plain, 0, "read"},
		{"nzs3114", access, ByStraightedge, 3, m, 5, plain, 0, "read"},
		{"nzs3114", access, ByStep, 200, plain, 3, plain, 0, "read"},
		{"nzs3109", access, ByDatum, 0, 0, 5, plain, 0, "read"},
		{"aci117-elevation", "UFGS 03700 page 26", ByDatum, 0, 0, 3. / 4, in, 0, "not in ACI 117"},
		{"ada", "ADA 303.2 to 303.4, 405.2", ByThreshold, 0, 0, 1. / 2, in, 0, "read"},
		{"uk-threshold", "UK practice", ByThreshold, 0, 0, 15, plain, 0, "15 mm read, the chamfer above 5 mm from memory"},
		{"au-threshold", "Australian practice", ByThreshold, 0, 0, 5, plain, 0, "ramp 1:8 to 35 mm read, small steps from memory"},
	}
	for _, c := range []struct {
		name     string
		ff, fl   float64
		most, of float64 // in under 10 ft: 90 % of the readings, all
	}{
		{"aci117-conventional", 20, 15, 1. / 2, 3. / 4},
		{"aci117-moderate", 25, 20, 3. / 8, 5. / 8},
		{"aci117-flat", 35, 25, 1. / 4, 3. / 8},
		{"aci117-very-flat", 45, 35, 0, 0},
		{"aci117-super-flat", 60, 40, 0, 0},
	} {
		// Local values are 3/5 of these; see Settings.
		for i, f := range []float64{c.ff, c.fl, c.ff, c.fl} {
			want = append(want, row{c.name, aci, Kind(i), 0, 0, f, plain, 0, "read, reproduced"})
		}
		if c.of > 0 {
			want = append(want, row{c.name + "-gap", gaps, ByStraightedge, 10, ft, c.most, in, 0.9, "memory 75 %"},
				row{c.name + "-gap", gaps, ByStraightedge, 10, ft, c.of, in, 0, "memory 75 %"})
		}
	}
	for name, four := range map[string][4]float64{"ufgs-conventional": {20, 15, 13, 10}, "ufgs-industrial": {30, 20, 15, 10}} {
		for i, f := range four {
			want = append(want, row{name, ufgs, Kind(i), 0, 0, f, plain, 0, "read"})
		}
	}
	for name, two := range map[string][2]float64{"tr34-fm1": {4.5, 1.8}, "tr34-fm2": {6.5, 2.0}, "tr34-fm3": {8.0, 2.2}, "tr34-fm4": {10, 2.4}} {
		const page = "Concrete Society TR 34 table 3.1, survey firm's page"
		want = append(want, row{name, page, ByPropertyE, 0, 0, two[0], plain, 0.95, "memory 90 %"}, row{name, page, ByPropertyF, 0, 0, two[1], plain, 0.95, "memory 90 %"})
	}

	rows := Limits()
	for _, w := range want {
		length, limit := w.length*w.unit/1000, w.limit*w.in/1000
		if w.kind.number() {
			limit = w.limit
		}
		i := slices.IndexFunc(rows, func(r Row) bool {
			return r.Name == w.name && r.Kind == w.kind && math.Abs(r.Length-length) < 1e-9 && math.Abs(r.Limit-limit) < 1e-9 && math.Abs(r.Share-w.share) < 1e-9
		})
		if i < 0 {
			t.Errorf("%s, %s: no limit of %g at %g m for a share of %g", w.name, w.kind, limit, length, w.share)
			continue
		}
		r := rows[i]
		if !strings.Contains(r.Source, w.document) || !strings.Contains(r.Known, w.known) {
			t.Errorf("%s: from %q, known by %q; want %q, %q", r.Name, r.Source, r.Known, w.document, w.known)
		}
		if r.Local != (strings.HasPrefix(r.Name, "aci117") && (r.Kind == ByLocalFF || r.Kind == ByLocalFL)) {
			t.Errorf("%s: local %v", r.Name, r.Local)
		}
		rows = slices.Delete(rows, i, i+1)
	}
	// The rest is DIN 18202 table 3, row by row: TestPublishedInterpolation checks its
	// columns against a handbook.
	for i, r := range rows {
		if r.Kind != BySupports || r.Name != "din18202-"+string(rune('1'+i)) || r.Known[:4] != "read" {
			t.Errorf("a limit that no document has: %+v", r)
		}
	}
	if len(rows) != 7 {
		t.Errorf("%d rows of DIN 18202", len(rows))
	}

	// Other figures in these documents.
	find := func(name string, kind Kind) Row {
		all := Limits()
		return all[slices.IndexFunc(all, func(r Row) bool { return r.Name == name && r.Kind == kind })]
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"DTU 52.1, mm a metre to the nearest reference", 1000 * find("dtu52.1", ByDatum).PerMetre, 1},
		{"DTU 13.3, mm by the cube root of the length", 1000 * find("dtu13.3", ByDatum).CubeRoot, 10},
		{"ADA 303.3, in above which a change of level is bevelled", find("ada", ByThreshold).Bevel / inch, 1. / 4},
		{"ADA 405.2, ramp", find("ada", ByThreshold).Ramp, 12},
		{"UK, mm above which an upstand is chamfered", 1000 * find("uk-threshold", ByThreshold).Bevel, 5},
		{"UK, ramp", find("uk-threshold", ByThreshold).Ramp, 0},
		{"Australia, mm above which a step is bevelled", 1000 * find("au-threshold", ByThreshold).Bevel, 3},
		{"Australia, ramp", find("au-threshold", ByThreshold).Ramp, 8},
		{"Australia, mm that a ramp may take", 1000 * find("au-threshold", ByThreshold).RampTo, 35},
		{"ADA, mm that a ramp may take", 1000 * find("ada", ByThreshold).RampTo, 0},
		{"ACI 117-10, least local over overall", Settings{}.filled(inches).LocalRatio, 0.6},
	} {
		near(t, c.what, c.got, c.want, 1e-9)
	}
	// These measure from the required plane; a straightedge rests on the floor.
	for _, r := range Limits() {
		from := slices.Contains([]string{"tile", "tile-large", "as3958"}, r.Name)
		if (r.Instead == "the plane required") != from || strings.Contains(r.Class, "plane required") {
			t.Errorf("%s: %q, measures from %q", r.Name, r.Class, r.Instead)
		}
		if r.Name == "aci117-elevation" && r.Edition != NotStated {
			t.Errorf("%s: edition %s of what was not read", r.Name, r.Edition)
		}
	}
}
