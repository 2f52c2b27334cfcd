package main

import (
	"pourplane/surface"
	"pourplane/surface/order"
	"pourplane/survey"
)

// result is what fill --json prints. Other tools rely on it: fields are added,
// never renamed. Everything is SI; depth is positive where fill is needed.
type result struct {
	Area       float64   `json:"area_m2"`
	Perimeter  float64   `json:"perimeter_m"`
	StepLength float64   `json:"step_length_m"`
	Sloped     float64   `json:"sloped_area_m2"`
	Fill       float64   `json:"fill_m3"`
	Cut        float64   `json:"cut_m3"`
	FillArea   float64   `json:"fill_area_m2"`
	CutArea    float64   `json:"cut_area_m2"`
	Depth      depthJSON `json:"depth_m"`
	Target     target    `json:"target"`
	TIN        tinJSON   `json:"tin"`
	Points     pointJSON `json:"points"`
	Bands      []band    `json:"bands"`
	Fitted     float64   `json:"extrapolated_area_m2"`
	FittedFill float64   `json:"extrapolated_fill_m3"`
	Regions    []region  `json:"regions"`
	Order      orderJSON `json:"order"`
	Level      *levels   `json:"level_book,omitempty"`
	Assumed    []string  `json:"assumed"`
	Warnings   []string  `json:"warnings"`
	Cautions   []string  `json:"cautions"`
}

type depthJSON struct {
	Min   float64    `json:"min"`
	Mean  float64    `json:"mean"`
	Max   float64    `json:"max"`
	MinAt [2]float64 `json:"min_at"`
	MaxAt [2]float64 `json:"max_at"`
}

type target struct {
	Z      float64    `json:"z_m"`
	At     [2]float64 `json:"at"`
	SlopeX float64    `json:"slope_x"`
	SlopeY float64    `json:"slope_y"`
}

type tinJSON struct {
	Vertices  int `json:"vertices"`
	Triangles int `json:"triangles"`
}

type pointJSON struct {
	Read     int        `json:"read"`
	Used     int        `json:"used"`
	Finished int        `json:"finished"`
	Control  int        `json:"control"`
	Outline  int        `json:"outline"`
	Rejected []rejected `json:"rejected"`
}

type rejected struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Reason string `json:"reason"`
}

type band struct {
	From   float64 `json:"from_m"`
	To     float64 `json:"to_m"`
	Area   float64 `json:"area_m2"`
	Volume float64 `json:"volume_m3"`
}

type region struct {
	Name  string    `json:"name"`
	Area  float64   `json:"area_m2"`
	Fill  float64   `json:"fill_m3"`
	Cut   float64   `json:"cut_m3"`
	Depth depthJSON `json:"depth_m"`
}

type orderJSON struct {
	Net        float64 `json:"net_m3"`
	Allowance  float64 `json:"allowance"` // a share: 0.05 is 5 %
	Step       float64 `json:"step_m3"`
	Order      float64 `json:"order_m3"`
	OrderYards float64 `json:"order_yd3"`
	UnitWeight float64 `json:"unit_weight_kg_m3"`
	Mass       float64 `json:"mass_kg"` // of the net volume in place
	MeanLoad   float64 `json:"mean_load_kg_m2"`
	MostLoad   float64 `json:"greatest_load_kg_m2"`
}

type levels struct {
	Setups     []setup  `json:"setups"`
	Benchmark  string   `json:"benchmark"`
	Elevation  float64  `json:"elevation_m"`
	SumBS      float64  `json:"sum_bs_m"`
	SumFS      float64  `json:"sum_fs_m"`
	Misclosure *float64 `json:"misclosure_m"` // observed less known; null when the book does not close
	Closing    string   `json:"closing"`
}

type setup struct {
	Name string  `json:"name"`
	HI   float64 `json:"hi_m"`
}

func depthOf(f surface.Fill) depthJSON {
	return depthJSON{f.Least, f.Mean, f.Greatest, [2]float64{f.LeastAt.X, f.LeastAt.Y}, [2]float64{f.GreatestAt.X, f.GreatestAt.Y}}
}

func newResult(s *survey.Survey, floor *surface.Floor, f surface.Fill, m order.Mix, notes []survey.Note) result {
	r := result{
		Area: f.Area, Perimeter: floor.Perimeter, StepLength: floor.StepLength, Sloped: f.Sloped,
		Fill: f.Fill, Cut: f.Cut, FillArea: f.FillArea, CutArea: f.CutArea,
		Depth:  depthOf(f),
		Target: target{f.Target.Z, [2]float64{f.Target.At.X, f.Target.At.Y}, f.Target.SlopeX, f.Target.SlopeY},
		TIN:    tinJSON{f.Vertices, f.Triangles},
		Points: pointJSON{Read: s.Rows, Used: floor.Used, Finished: len(s.Finished), Control: len(s.Control), Rejected: []rejected{}},
		Fitted: f.FittedArea, FittedFill: f.FittedFill,
		Regions: []region{},
		Order: orderJSON{m.Net, m.Allowance, m.Step, m.Order, m.Order / order.CubicYard, m.UnitWeight,
			m.Mass, m.MeanLoad, m.MostLoad},
		Assumed: []string{}, Warnings: []string{}, Cautions: []string{},
	}
	for _, ring := range s.Rings {
		r.Points.Outline += len(ring.Points)
	}
	for _, b := range f.Bands {
		r.Bands = append(r.Bands, band(b))
	}
	for i, p := range f.Regions {
		r.Regions = append(r.Regions, region{floor.Regions[i].Name, p.Area, p.Fill, p.Cut, depthOf(p)})
	}
	if b := s.Book; b != nil {
		r.Level = &levels{Benchmark: b.Benchmark, Elevation: b.Elevation, SumBS: b.SumBS, SumFS: b.SumFS, Closing: b.Closing, Setups: []setup{}}
		if b.Misclosure == b.Misclosure {
			r.Level.Misclosure = &b.Misclosure
		}
		for _, u := range b.Setups {
			r.Level.Setups = append(r.Level.Setups, setup(u))
		}
	}
	for _, n := range notes {
		switch n.Kind {
		case survey.Assumed:
			r.Assumed = append(r.Assumed, n.String())
		case survey.Warning:
			r.Warnings = append(r.Warnings, n.String())
		case survey.Caution:
			r.Cautions = append(r.Cautions, n.String())
		case survey.LeftOut:
			r.Points.Rejected = append(r.Points.Rejected, rejected{n.Pos.File, n.Pos.Line, n.Text})
		}
	}
	return r
}
