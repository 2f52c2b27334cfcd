package job

import (
	"math"
	"slices"

	"pourplane/surface"
	"pourplane/surface/flatness"
	"pourplane/surface/settlement"
	"pourplane/surface/uncertainty"
	"pourplane/survey"
)

// bySurface is how surveys are compared that have too few places in common: the shots of one
// with the surfaces of the others.
type bySurface struct {
	of    int       // the survey whose shots are the places: the one with the fewest
	means []meanErr // by survey
}

// meanErr is how far the mean elevation of a floor is known, without the error of the set-up: by
// its readings, and by what is between its shots and along its walls, m.
type meanErr struct{ reading, between, freedom float64 }

// commonPlaces counts the places read in the first survey, in the last, and in both.
func (r *Settled) commonPlaces() (first, latest, both int) {
	last := len(r.Visits) - 1
	for _, p := range r.Places {
		a, b := !math.IsNaN(p.Z[0]), !math.IsNaN(p.Z[last])
		if a {
			first++
		}
		if b {
			latest++
		}
		if a && b {
			both++
		}
	}
	return first, latest, both
}

// onSurfaces takes the shots of the survey with the fewest as the places, and the surfaces of
// the other surveys there, each with how far it is known. It returns the shots, nil if a survey
// has too few shots to say, or if fewer than [settlement.Fewest] are on the floors of the first
// and the last.
func (r *Settled) onSurfaces(m *matcher, watch Watch) []survey.Point {
	way := &bySurface{}
	for k, v := range r.Visits {
		if v.Shots < r.Visits[way.of].Shots {
			way.of = k
		}
	}
	var places []settlement.Place
	var names []string
	var shots []survey.Point
	for i, p := range m.places {
		if !math.IsNaN(p.Z[way.of]) {
			p.Z, p.SD = slices.Clone(p.Z), make([]float64, len(r.Visits))
			places, names, shots = append(places, p), append(names, m.names[i]), append(shots, m.shots[i])
		}
	}
	e := r.errors()
	for k, v := range r.Visits {
		watch.Say("weighing what is between the shots", int64(k), int64(len(r.Visits)))
		above := overAll(v.Floor)
		model := uncertainty.New(uncertainty.Input{Floor: v.Floor, Split: v.Floor, Target: above, Errors: uncertainty.Errors{Reading: e[k].Reading}})
		volume := model.Volume(0)
		if !volume.Known {
			return nil
		}
		area := v.Floor.FillTo(above, nil).Area
		way.means = append(way.means, meanErr{volume.Parts.Reading / area, math.Hypot(volume.Parts.Sampling, volume.Parts.Walls) / area, model.Freedom()})
		readSurface(places, k, v.Floor, model, e[k].Reading)
	}
	both, last := 0, len(r.Visits)-1
	for _, p := range places {
		if !math.IsNaN(p.Z[0] + p.Z[last]) {
			both++
		}
	}
	if both < settlement.Fewest {
		return nil
	}
	r.surfaces, r.Places, r.Names = way, places, names
	return shots
}

// overAll returns a level plane above all of a floor, so that all of it counts.
func overAll(f *surface.Floor) surface.Plane {
	least, _ := f.Depths(surface.Horizontal(0))
	return surface.Horizontal(1 - least)
}

// readSurface gives the places without a reading in survey k the elevation of its floor.
func readSurface(places []settlement.Place, k int, floor *surface.Floor, model *uncertainty.Model, reading float64) {
	locate := floor.Locators()
	asked, of := make([][]surface.Vec, len(floor.Regions)), make([][]int, len(floor.Regions))
	for i := range places {
		p := &places[i]
		p.SD[k] = reading
		if !math.IsNaN(p.Z[k]) {
			continue
		}
		if z, region, ok := locate.At(surface.Vec{X: p.X, Y: p.Y}); ok {
			p.Z[k] = z
			asked[region], of[region] = append(asked[region], surface.Vec{X: p.X, Y: p.Y}), append(of[region], i)
		}
	}
	for region, at := range asked {
		if len(at) == 0 {
			continue
		}
		for j, d := range model.Depths(region, at) {
			places[of[region][j]].SD[k] = d.SD
		}
	}
}

// compareVisits compares two surveys.
func (r *Settled) compareVisits(from, to int) (*settlement.Comparison, error) {
	over := settlement.Area{Between: r.apart, Freedom: r.freedom}
	if s := r.surfaces; s != nil {
		placed, err := flatness.Placed(r.Visits[from].Floor, r.Visits[to].Floor, 0)
		if err != nil {
			return nil, err
		}
		a, b := s.means[from], s.means[to]
		over = settlement.Area{Measured: true, Mean: placed.Mean, Reading: math.Hypot(a.reading, b.reading), Between: math.Hypot(a.between, b.between),
			Freedom: settlement.FreedomOf(0, []float64{a.between, b.between}, []float64{a.freedom, b.freedom})}
	}
	return settlement.Compare(r.Places, from, to, r.errors(), over)
}

// BySurface returns the survey whose shots are compared with the surfaces of the others; false
// if places that are read in several surveys are compared.
func (r *Settled) BySurface() (Visit, bool) {
	if r.surfaces == nil {
		return Visit{}, false
	}
	return r.Visits[r.surfaces.of], true
}
