package order

import (
	"slices"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// over lays b on bands, which are in order of depth.
func (b built) over(bands []Band, listed Materials) (Way, error) {
	w := Way{Name: b.Name, Weight: b.Weight, Needs: slices.Clone(b.Needs), Engineer: slices.Clone(b.Engineer)}
	fine, across := b.cutBands(bands)
	if across > 0 {
		w.Notes = append(w.Notes, survey.Notef(survey.Assumed, survey.Pos{}, "bands: %s is in bands across a limit of this way, where depths are taken to be spread by their mean; finer bands are more exact", unit.Area(across)))
	}
	t := layerTally{built: b, lines: map[[2]int]*Laid{}}
	for _, d := range fine {
		if d.Area <= 0 {
			continue
		}
		how := b.at(d.From, d.To)
		if !how.ok {
			w.Problems = failed(w.Problems, d, how.why)
			continue
		}
		w.Area, w.Volume = w.Area+d.Area, w.Volume+d.Volume
		t.band(d, how)
	}
	if err := b.sum(&w, t.lines, t.most); err != nil {
		return Way{}, err
	}
	w.Drying = drying(t.wet, t.byMaker, w.Area > 0)
	b.explain(&w, listed)
	return w, nil
}

// cutBands cuts bands at the depths at which b is laid in another manner. across is the
// area, m², of those that were cut.
func (b built) cutBands(bands []Band) (fine []Band, across float64) {
	greatest := 0.0
	for _, d := range bands {
		greatest = max(greatest, d.To)
	}
	cuts := b.cuts(greatest)
	slices.Sort(cuts)
	for _, d := range bands {
		whole := d
		for _, at := range cuts {
			if at > d.From+hair && at < d.To-hair {
				lower, upper := split(d, at)
				fine, d = append(fine, lower), upper
			}
		}
		if fine = append(fine, d); d != whole {
			across += whole.Area
		}
	}
	return fine, across
}

// layerTally adds up the layers of a way band by band.
type layerTally struct {
	built
	lines   map[[2]int]*Laid // by layer and material
	wet     float64          // m, the max thickness of layers that dry
	most    float64          // kg/m², the max load
	byMaker bool             // a layer dries as its maker states
}

// course is one layer in one band.
type course struct {
	material, lifts int
	volume          float64 // m³
	from, to        float64 // m thickness
}

// band takes a band and how it is laid, from the top layer down.
func (t *layerTally) band(d Band, how laying) {
	load, damp := t.Weight, 0.0
	// What the layers of fixed thickness leave.
	left := course{volume: d.Volume - t.fixed*d.Area, from: d.From - t.fixed, to: d.To - t.fixed}
	for k := len(t.Layers) - 1; k >= 0; k-- {
		if k == t.rest && how.material < 0 {
			continue
		}
		c := t.course(k, d, how, left)
		if k == t.rest {
			left.volume, left.from, left.to = left.volume-c.volume, left.from-c.from, left.to-c.to
		}
		t.add(k, d.Area, c)
		if !t.Layers[k].Space {
			load += c.to * t.materials[c.material].weight()
		}
		if !t.Layers[k].Dry {
			damp += c.to
			t.byMaker = t.byMaker || t.Layers[k].ByMaker
		}
	}
	t.most, t.wet = max(t.most, load), max(t.wet, damp)
}

// course returns layer k of a band, of which left is what other layers leave.
func (b built) course(k int, d Band, how laying, left course) course {
	l := b.Layers[k]
	c := course{material: b.ours[k], lifts: 1, volume: l.Thick * d.Area, from: l.Thick, to: l.Thick}
	switch {
	case k == b.rest && l.Step > 0:
		return course{how.material, how.lifts, how.boards * d.Area, how.boards, how.boards}
	case k == b.rest:
		return course{how.material, how.lifts, left.volume, left.from, left.to}
	case k == 0: // and the rest is lower, and was laid before
		c.volume, c.from, c.to = c.volume+left.volume, c.from+left.from, c.to+left.to
		c.lifts = b.materials[c.material].lifts(c.from, c.to, b.materials[c.material].layers())
	}
	return c
}

// add adds a course of layer k, over an area in m², to the line of its material.
func (t *layerTally) add(k int, area float64, c course) {
	key := [2]int{k, c.material}
	line := t.lines[key]
	if line == nil {
		line = &Laid{Name: t.materials[c.material].Name, Least: c.from, layer: k}
		t.lines[key] = line
	}
	line.Least, line.Greatest, line.Lifts = min(line.Least, c.from), max(line.Greatest, c.to), max(line.Lifts, c.lifts)
	line.Area, line.Volume = line.Area+area, line.Volume+c.volume
}

// sum turns the lines of w into its list, load and cost.
func (b built) sum(w *Way, lines map[[2]int]*Laid, most float64) error {
	for k, l := range b.Layers {
		for m := range b.materials {
			line := lines[[2]int{k, m}]
			if line == nil {
				continue
			}
			if !l.Space {
				u, err := b.materials.use(m, line.Area, line.Volume)
				if err != nil {
					return err
				}
				line.Bags, line.UnitWeight, line.Mass, line.Cost = u.Bags, b.materials[m].weight(), u.Mass, u.Cost
			}
			w.Laid = append(w.Laid, *line)
			w.Load.Mass += line.Mass
			w.Cost = w.Cost.Plus(line.Cost)
		}
	}
	w.Load.Mass += b.Weight * w.Area
	w.Load.Most = most
	if w.Area > 0 {
		w.Load.Mean = w.Load.Mass / w.Area
	}
	w.Cost.Amount = Money(w.Cost.Amount + b.Price*w.Area)
	if b.Price == 0 && w.Area > 0 && slices.ContainsFunc(b.Layers, func(l Layer) bool { return l.Space }) {
		w.Cost = w.Cost.Plus(Cost{Lacking: []string{b.Name}})
	}
	return nil
}
