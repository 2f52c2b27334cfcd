package flatness

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"pourplane/survey"
)

// Kind is the kind of measurement that a limit is compared with.
type Kind uint8

const (
	ByFF           Kind = iota // F-number of the whole floor, min
	ByFL                       //
	ByLocalFF                  // min F-number of a section, min
	ByLocalFL                  //
	ByStraightedge             // gap under a straightedge of Length, max
	BySupports                 // gap between two supports, limit by their distance
	ByStep                     // difference between two places up to Length apart, max
	ByDatum                    // departure from the required plane, max
	ByPropertyE                // difference between neighbours on a 3 m grid, max
	ByPropertyF                // change of difference over 300 mm steps, max
	ByThreshold                // change of level where the floor meets another, max
)

func (k Kind) String() string {
	return [...]string{"FF overall", "FL overall", "local FF", "local FL", "gap under a straightedge",
		"gap between two supports", "step over a short length", "departure from the required plane",
		"Property E", "Property F", "change of level at a threshold"}[k]
}

// values names the values of a rule about a share, in plain words.
func (k Kind) values() string {
	if k == ByPropertyE {
		return "height differences on the 3 m grid"
	}
	return "changes of slope along the runs"
}

// number reports whether the limit is an F-number, so that more is better.
func (k Kind) number() bool { return k <= ByLocalFL }

// At is a limit at a length.
type At struct{ Length, Limit float64 } // m

// Row is one limit. Rows with one Name are one rule and must all be met. House rules are
// more rows.
type Row struct {
	Name     string // for choosing it, such as din18202-3
	Standard string
	Edition  string
	Class    string
	Wall     bool // for walls and soffits, not for floors
	Kind     Kind
	Length   float64 // m, straightedge or short length; 0: none
	Limit    float64 // m, or an F-number
	Share    float64 // of the readings that must be within; 0: all
	Local    bool    // Limit is the overall one, times [Settings.LocalRatio]
	Spans    []At    // limit by distance between supports, ascending; linear between, whole mm
	PerMetre float64 // m more per metre of length
	CubeRoot float64 // m more times ∛(length in m)
	Bevel    float64 // m; a change of level above it must be bevelled; 0: no bevel rule
	Ramp     float64 // run over rise above Limit; 0: no ramp allowed
	RampTo   float64 // m, max change of level for such a ramp; 0: any
	Instead  string  // what the document measures from, if the straightedge rests on the floor instead; empty: on the floor too
	Source   string
	Known    string // how well the figure is known
}

// LimitAt returns the limit of r at a length in metres, m.
//
// Between two columns of Spans it is linear, rounded to whole millimetres, halves up (a
// block maker's page on DIN 18202; 89 of the 91 cells of an expanded table agree). Beyond
// the ends the last column applies.
func (r Row) LimitAt(length float64) float64 {
	if len(r.Spans) == 0 {
		return r.Limit + r.PerMetre*length + r.CubeRoot*math.Cbrt(length)
	}
	i := slices.IndexFunc(r.Spans, func(a At) bool { return a.Length >= length })
	switch i {
	case -1:
		return r.Spans[len(r.Spans)-1].Limit
	case 0:
		return r.Spans[0].Limit
	}
	a, b := r.Spans[i-1], r.Spans[i]
	limit := a.Limit + (length-a.Length)/(b.Length-a.Length)*(b.Limit-a.Limit)
	return math.Floor(limit*1000+0.5+1e-9) / 1000
}

// unit returns the step that measured values are rounded to before comparison with the
// limit: a whole F-number; a tenth of a millimetre, or 1/64 in if the limit is in inches.
// Whole F-numbers follow the concrete institute's answer when asked (specifications use
// whole ones). The lengths are own choice, one digit finer than limits are written.
func (r Row) unit() (step float64, words string) {
	switch {
	case r.Kind.number():
		return 1, "rounded to a whole number"
	case inInches(r.Limit) && len(r.Spans) == 0 && r.PerMetre == 0 && r.CubeRoot == 0:
		return inch / 64, "rounded to 1/64 in"
	}
	return 0.0001, "rounded to 0.1 mm"
}

// inInches reports whether m is a whole number of 32nds of an inch.
func inInches(m float64) bool {
	n := m / inch * 32
	return math.Abs(n-math.Round(n)) < 1e-6
}

// aci lists F-number classes. Source: ACI 117-10 sections 4.8.5.1–4.8.5.3, read as
// reproduced; gaps of ACI 117-10 table 4.8.6.1 from memory 75 %.
var aci = []struct {
	name, class string
	ff, fl      float64
	most, all   float64 // in under 10 ft, for 90 % and for all; 0: not used
}{
	{"aci117-conventional", "conventional", 20, 15, 1. / 2, 3. / 4},
	{"aci117-moderate", "moderately flat", 25, 20, 3. / 8, 5. / 8},
	{"aci117-flat", "flat", 35, 25, 1. / 4, 3. / 8},
	{"aci117-very-flat", "very flat", 45, 35, 0, 0},
	{"aci117-super-flat", "super flat", 60, 40, 0, 0},
}

// din lists DIN 18202 table 3, mm at 0.1, 1, 4, 10 and 15 m between supports. Source:
// German screed trade handbook; row 3 also two other pages, one of which prints 2 at
// 1 m in row 4.
var din = [][5]float64{
	{10, 15, 20, 25, 30},
	{5, 8, 12, 15, 20},
	{2, 4, 10, 12, 15},
	{1, 3, 9, 12, 15},
	{5, 10, 15, 25, 30},
	{3, 5, 10, 20, 25},
	{2, 3, 8, 15, 20},
}

var dinRows = [...]string{
	"row 1, unfinished tops of slabs", "row 2, unfinished, raised requirement",
	"row 3, finished floors", "row 4, finished floors, raised requirement",
	"row 5, unfinished walls and soffits", "row 6, finished walls and soffits", "row 7, finished walls, raised requirement",
}

// fm lists TR 34 free-movement classes: Property E and F, mm. Source: a survey firm's page
// that reproduces table 3.1, from memory 90 %. The share of 95 % is from memory 75 %.
var fm = []struct {
	class string
	e, f  float64
}{{"FM1", 4.5, 1.8}, {"FM2", 6.5, 2.0}, {"FM3", 8, 2.2}, {"FM4", 10, 2.4}}

const (
	seen      = "read"
	NotStated = "not stated by the source" // edition
	mm        = 0.001
)

// Limits returns the table of published limits, in a fixed order.
func Limits() []Row {
	var out []Row
	f := func(name, standard, edition, class string, kind Kind, limit float64, local bool, source, known string) {
		out = append(out, Row{Name: name, Standard: standard, Edition: edition, Class: class, Kind: kind, Limit: limit, Local: local, Source: source, Known: known})
	}
	for _, c := range aci {
		const source, known = "ACI 117-10 4.8.5.1 to 4.8.5.3", "read, reproduced"
		f(c.name, "ACI 117", "2010", c.class, ByFF, c.ff, false, source, known)
		f(c.name, "ACI 117", "2010", c.class, ByFL, c.fl, false, source, known)
		f(c.name, "ACI 117", "2010", c.class, ByLocalFF, c.ff, true, source, known)
		f(c.name, "ACI 117", "2010", c.class, ByLocalFL, c.fl, true, source, known)
	}
	for _, c := range aci {
		if c.all == 0 {
			continue
		}
		const source, known = "ACI 117-10 table 4.8.6.1", "from memory 75 %"
		row := Row{Name: c.name + "-gap", Standard: "ACI 117", Edition: "2010", Class: c.class + ", straightedge", Kind: ByStraightedge, Length: 10 * foot, Source: source, Known: known}
		row.Limit, row.Share = c.most*inch, 0.9
		out = append(out, row)
		row.Limit, row.Share = c.all*inch, 0
		out = append(out, row)
	}
	for _, c := range []struct {
		name, class    string
		ff, fl, lf, ll float64
	}{{"ufgs-conventional", "conventional", 20, 15, 13, 10}, {"ufgs-industrial", "industrial", 30, 20, 15, 10}} {
		for i, limit := range [...]float64{c.ff, c.fl, c.lf, c.ll} {
			f(c.name, "UFGS 03 30 00", NotStated, c.class, Kind(i), limit, false, "UFGS 03 30 00 section 3.8.2", seen)
		}
	}
	gap := func(name, standard, edition, class string, length, limit float64, source, known string) {
		out = append(out, Row{Name: name, Standard: standard, Edition: edition, Class: class, Kind: ByStraightedge, Length: length, Limit: limit, Source: source, Known: known})
	}
	const ansi, column = "ANSI A108.01/.02", "trade column of a tile education foundation"
	gap("tile", ansi, NotStated, "tile, all edges below 15 in", 10*foot, inch/4, column, seen)
	gap("tile", ansi, NotStated, "tile, all edges below 15 in", foot, inch/16, column, seen)
	gap("tile-large", ansi, NotStated, "tile, any edge 15 in or more", 10*foot, inch/8, column, seen)
	gap("tile-large", ansi, NotStated, "tile, any edge 15 in or more", 2*foot, inch/16, column, seen)
	gap("resilient", "ASTM F710", NotStated, "resilient", 10*foot, 3*inch/16, "summary by a flooring maker; a white paper", seen)
	gap("resilient", "ASTM F710", NotStated, "resilient", foot, inch/32, "summary by a flooring maker; a white paper", seen)
	gap("wood-10ft", "wood flooring association guidelines", NotStated, "wood, 10 ft", 10*foot, 3*inch/16, "page on floor levelness, weak", "from memory 90 %")
	gap("wood-6ft", "wood flooring association guidelines", NotStated, "wood, 6 ft", 6*foot, inch/8, "page on floor levelness, weak", "from memory 90 %")
	gap("wood-builders", "home builders' performance guidelines", NotStated, "wood", 32*inch, inch/4, "quoted by a flooring maker", seen)
	gap("wood-builders", "home builders' performance guidelines", NotStated, "wood", 20*foot, inch/2, "quoted by a flooring maker", seen)
	for i, r := range din {
		row := Row{Name: fmt.Sprintf("din18202-%d", i+1), Standard: "DIN 18202 table 3", Edition: NotStated, Class: dinRows[i], Kind: BySupports,
			Source: "German screed trade handbook", Known: seen, Wall: i >= 4}
		for j, length := range [...]float64{0.1, 1, 4, 10, 15} {
			row.Spans = append(row.Spans, At{length, r[j] * mm})
		}
		if i == 3 {
			row.Known = "read; one page prints 2 mm at 1 m, 3 mm is right to 95 %"
		}
		out = append(out, row)
	}
	for i, limit := range [...]float64{3, 5, 10} {
		gap(fmt.Sprintf("bs8204-sr%d", i+1), "BS 8204", NotStated, fmt.Sprintf("SR%d", i+1), 2, limit*mm, "Concrete Society, fingertips 1006 and 1009", seen)
	}
	level := func(name, standard, edition, class string, r Row) {
		r.Name, r.Standard, r.Edition, r.Class, r.Kind = name, standard, edition, class, ByDatum
		out = append(out, r)
	}
	level("bs8204-datum", "BS 8204", NotStated, "departure from datum, large areas", Row{Limit: 15 * mm, Source: "page of a screed firm", Known: seen})
	gap("bs5385", "BS 5385", NotStated, "substrate for tile in adhesive", 2, 3*mm, "BS 5385", "from memory 85 %")
	for _, c := range fm {
		name, source := "tr34-"+strings.ToLower(c.class), "Concrete Society TR 34 table 3.1, survey firm's page"
		row := Row{Name: name, Standard: "TR 34", Edition: "4th", Class: c.class, Kind: ByPropertyE, Limit: c.e * mm, Share: 0.95, Source: source, Known: "from memory 90 %, the share of 95 % from memory 75 %"}
		out = append(out, row)
		row.Kind, row.Limit = ByPropertyF, c.f*mm
		out = append(out, row)
	}
	gap("as3958", "AS 3958.1", "2007", "finished tiling", 2, 4*mm, "guide to standards and tolerances, quoted", seen)
	gap("dtu52.1", "NF DTU 52.1", NotStated, "finished tile on mortar, without the tile's own tolerance", 2, 3*mm, "page of the French building federation", seen)
	level("dtu52.1", "NF DTU 52.1", NotStated, "level, by the distance to the nearest reference", Row{Limit: 5 * mm, PerMetre: 1 * mm, Source: "page of the French building federation", Known: seen})
	const dtu13 = "NF DTU 13.3 P1-1-2 clause 17"
	gap("dtu13.3", "NF DTU 13.3", "2021", "slab to take a covering", 2, 7*mm, dtu13, seen)
	gap("dtu13.3", "NF DTU 13.3", "2021", "slab to take a covering", 0.2, 2*mm, dtu13, seen)
	level("dtu13.3", "NF DTU 13.3", "2021", "level or fall, by the length", Row{CubeRoot: 10 * mm, Source: dtu13, Known: seen})
	gap("dtu52.2", "NF DTU 52.2", NotStated, "substrate for bonded tile", 2, 5*mm, "NF DTU 52.2", "from memory 75 %")
	gap("dtu52.2", "NF DTU 52.2", NotStated, "substrate for bonded tile", 0.2, 1*mm, "NF DTU 52.2", "from memory 75 %")
	gap("dtu52.2-large", "NF DTU 52.2", NotStated, "substrate for large bonded tile", 2, 3*mm, "NF DTU 52.2", "from memory 75 %")
	const access = "U.S. Access Board, dimensional tolerances, 2011, part III"
	gap("natspec-a", "NATSPEC", NotStated, "A", 3, 3*mm, access, seen)
	gap("natspec-b", "NATSPEC", NotStated, "B", 3, 6*mm, access, seen)
	gap("natspec-c", "NATSPEC", NotStated, "C", 0.6, 6*mm, access, seen)
	gap("nzs3114", "NZS 3114", NotStated, "gradual", 3, 5*mm, access, seen)
	out = append(out, Row{Name: "nzs3114", Standard: "NZS 3114", Edition: NotStated, Class: "abrupt", Kind: ByStep, Length: 0.2, Limit: 3 * mm, Source: access, Known: seen})
	level("nzs3109", "NZS 3109", NotStated, "slab level", Row{Limit: 5 * mm, Source: access, Known: seen})
	level("aci117-elevation", "ACI 117", NotStated, "top of slab on ground", Row{Limit: 3 * inch / 4, Source: "UFGS 03700 page 26", Known: "read in UFGS 03700, not in ACI 117"})
	out = append(out,
		Row{Name: "ada", Standard: "ADA standards", Edition: "2010", Class: "sections 303 and 405.2", Kind: ByThreshold, Limit: inch / 2, Bevel: inch / 4, Ramp: 12, Source: "ADA 303.2 to 303.4, 405.2", Known: seen},
		Row{Name: "uk-threshold", Standard: "UK access guidance", Edition: NotStated, Class: "upstand", Kind: ByThreshold, Limit: 15 * mm, Bevel: 5 * mm, Source: "UK practice", Known: "15 mm read, the chamfer above 5 mm from memory"},
		Row{Name: "au-threshold", Standard: "Australian access practice", Edition: NotStated, Class: "small steps", Kind: ByThreshold, Limit: 5 * mm, Bevel: 3 * mm, Ramp: 8, RampTo: 35 * mm, Source: "Australian practice", Known: "ramp 1:8 to 35 mm read, small steps from memory"},
	)
	for i := range out {
		switch out[i].Name {
		case "tile", "tile-large", "as3958":
			out[i].Instead = "the plane required"
		}
	}
	return out
}

// Choose returns the rows of the named rules, in the order of the names, from rows: [Limits]
// plus any house rules. An unknown name is an error that lists the others.
func Choose(rows []Row, names ...string) ([]Row, error) {
	var out []Row
	for _, name := range names {
		n := len(out)
		for _, r := range rows {
			if r.Name == name {
				out = append(out, r)
			}
		}
		if len(out) > n {
			continue
		}
		var known []string
		for _, r := range rows {
			if !slices.Contains(known, r.Name) {
				known = append(known, r.Name)
			}
		}
		return nil, &survey.Error{Found: fmt.Sprintf("%q", name), Want: "one of " + strings.Join(known, ", ")}
	}
	return out, nil
}
