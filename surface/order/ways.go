package order

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// Layer is one layer of a [Build]. A zero field has the default given with it.
type Layer struct {
	Material         // limits, weight and price; those of a listed material of the same name take precedence
	Thick    float64 // m; 0: the depth that the other layers leave
	Step     float64 // m: boards, laid in whole ones; the layer on top fills the remainder. 0: any thickness
	Bagged   bool    // any listed material in bags, by preference; Material if none is listed
	Space    bool    // a frame and the air in it: no volume is bought or weighed, see [Build]
	Dry      bool    // laid without water
	ByMaker  bool    // drying time from the maker, not from thickness
}

// Build is a way to fill a floor: layers from the top down, exactly one of which takes the
// depth that the others leave. If that is less than its min thickness, a layer on top of it
// is made thicker instead, within its own limits.
type Build struct {
	Name     string
	Layers   []Layer
	Weight   float64  // kg/m² for any depth, besides the layers
	Price    float64  // per m² for any depth, besides the layers; required with a Space; 0: unknown
	Needs    []string // requirements
	Engineer []string // questions for an engineer
}

// Builds returns the usual ways to fill a floor surveyed in feet or inches, us, or in metric
// units. Thicknesses and weights are for a
// first comparison; a specification, a maker or an engineer overrides every one.
//
// Sources: concrete down to [ConcreteLeast] where bonded; bond below
// 50 mm (PCA, read); cap of 75 mm, the lower end of the 3–4 in of modern guides to
// unbonded toppings (from memory; 2 1/2 in in ACI 302.1R-80, read); cellular fill 320–800
// kg/m³, here 600 (ACI 523, from memory), min 50 mm (common practice, no source);
// foam of 21.6 kg/m³, 1.35 lb/ft³ (ASTM D6817, from memory) in boards of 25 mm (common
// practice, no source); leveller 3–38 mm, 1/8–1 1/2 in, of 2000 kg/m³, within 110–130 lb/ft³,
// 14 L a bag of 25 kg, workable for 10 min (makers' usual figures, from memory); framing
// 12 lb/ft² with its deck (a wood floor in a table of a US residential guide, as quoted on a web
// page), deck of 18 mm on battens of 38 mm
// at least (common practice, no source).
func Builds(us bool) []Build {
	topping := Layer{Material: Material{Name: "concrete cap", Least: 0.075, UnitWeight: NormalConcrete}, Thick: 0.075}
	capped := "a reinforced cap of full thickness everywhere, separated from the walls, with its own joints"
	return []Build{
		{
			Name:     "full-depth concrete",
			Layers:   []Layer{{Material: Material{Name: "concrete", Least: ConcreteLeast(us), UnitWeight: NormalConcrete}}},
			Needs:    []string{"stone no larger than a third of the min thickness", "bond to a clean, roughened floor where it is thinner than 50 mm (2 in); never half bonded", "joints of the old floor carried through, wet curing for 7 days or more"},
			Engineer: []string{"whether the floor and what is under it carry the weight", "whether it is to be bonded or separate, and how it is reinforced"},
		}, {
			Name:     "light fill with a cap",
			Layers:   []Layer{topping, {Material: Material{Name: "light fill", Least: 0.050, UnitWeight: 600}}},
			Needs:    []string{capped, "a fill of known strength and weight, levelled to an even distance below the target and hard before the cap", "time: without a film between them the fill dries through the cap, which is how the drying is counted"},
			Engineer: []string{"whether the floor and what is under it carry the weight", "strength of the fill, thickness and reinforcement of the cap under point loads"},
		}, {
			Name:     "rigid foam with a cap",
			Layers:   []Layer{topping, {Material: Material{Name: "rigid foam", Least: 0.025, UnitWeight: 21.6}, Step: 0.025, Dry: true}},
			Needs:    []string{capped, "full bearing: boards are bedded on the old floor, as they bridge its hollows", "a film over the boards, and boards held down so that they do not float", "fire and vapour rules for foam, as local codes have them"},
			Engineer: []string{"strength of the foam under lasting load, at about 1 % strain", "thickness and reinforcement of the cap under point loads, and whether the floor carries its weight"},
		}, {
			Name:     "bagged underlayment",
			Layers:   []Layer{{Material: Material{Name: "leveller", Yield: 0.014, BagMass: 25, Least: 0.003, Greatest: 0.038, Working: 10 * time.Minute, UnitWeight: 2000}, Bagged: true, ByMaker: true}},
			Needs:    []string{"bond: a sound, clean, primed floor, and primer between lifts", "the thickness that its maker allows, everywhere", "bags, water and hands at the rate of its working time"},
			Engineer: []string{"whether the floor and what is under it carry the weight"},
		}, {
			Name:     "framing over",
			Layers:   []Layer{{Material: Material{Name: "deck", Least: 0.018, Greatest: 0.018}, Thick: 0.018, Space: true, Dry: true}, {Material: Material{Name: "battens or joists", Least: 0.038}, Space: true, Dry: true}},
			Weight:   12 * pound / (foot * foot),
			Needs:    []string{"packing under each batten to the measured depth", "a dry floor beneath, and a way for damp to get out", "stiffness for the covering: span/360 for tile, span/720 for stone is usual"},
			Engineer: []string{"spans, spacing and bearing of the frame, and point loads on the old floor", "fire, damp and sound as local codes have them"},
		},
	}
}

// Laid is the amount of one material in one layer of a way.
type Laid struct {
	Name            string
	Least, Greatest float64 // m thickness
	Area            float64 // m²
	Volume          float64 // m³; of a space, the space
	Bags            int     // whole bags; 0 if sold by volume
	Lifts           int     // max
	UnitWeight      float64 // kg/m³; 0 of a space, whose frame is in [Way] Weight
	Mass            float64 // kg: Volume × UnitWeight
	Cost            Cost
	layer           int // of the build
}

// Drying is how long a way takes to dry from its top until it can be covered. It is a range
// for planning, not a promise.
type Drying struct {
	Thickness   float64       // m of wet layer, max
	Least, Most time.Duration // 0: nothing was laid wet, or Maker
	Maker       bool          // the maker decides
	How         unit.Text
}

// Way is the result of a [Build] on a floor. Volumes are net. Laid and Problems together are
// the net volume of the floor.
type Way struct {
	Name         string
	Laid         []Laid  // from the top down
	Area, Volume float64 // m², m³ where it works
	Weight       float64 // kg/m² besides the layers, see [Build]
	Load         Load    // where it works: of Laid, and Weight × Area
	Cost         Cost    // where it works
	Drying       Drying
	Problems     []Problem // where it does not
	Needs        []string
	Engineer     []string
	Notes        []survey.Note
}

// Deepest is the max depth of fill for which ways to fill are compared, m: deeper is not a
// floor. Own choice.
const Deepest = 10.0

const deepestWant = "a depth between 0 and 10 m"

// Levels returns the depths, m, ascending, at which to cut bands for [Compare] of builds, up
// to a max depth in m; nil builds are [Builds].
func Levels(builds []Build, materials Materials, greatest float64) ([]float64, error) {
	if err := check(quantity{"max depth", greatest, 0, Deepest, deepestWant}); err != nil {
		return nil, err
	}
	built, err := resolve(builds, materials)
	if err != nil {
		return nil, err
	}
	out := []float64{0}
	for _, b := range built {
		out = append(out, b.cuts(greatest)...)
	}
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b float64) bool { return math.Abs(a-b) <= hair }), nil
}

// Compare computes each of builds over f; nil builds are [Builds]. A listed material
// replaces a layer's material of the same name; its zero fields stay as in the layer. It
// compares and does not decide.
//
// Bands of f that are cut at [Levels] give exact volumes. A band across a level is split
// there by a depth distribution that keeps its area and volume, and a floor without bands is
// one band from min to max depth; both are noted.
func Compare(f Floor, builds []Build, materials Materials) ([]Way, error) {
	f, err := f.checked()
	if err != nil {
		return nil, err
	}
	if err := check(quantity{"max depth", f.Greatest, 0, Deepest, deepestWant}); err != nil {
		return nil, err
	}
	built, err := resolve(builds, materials)
	if err != nil {
		return nil, err
	}
	var notes []survey.Note
	if f.Bands == nil && f.Area > 0 {
		f.Bands = []Band{{min(max(f.Least, 0), f.Mean()), f.Greatest, f.Area, f.Net}}
		notes = append(notes, survey.Notef(survey.Assumed, survey.Pos{}, "depths: spread between %s and %s with a mean of %s, as no bands of depth were given",
			unit.Depth(f.Bands[0].From), unit.Depth(f.Greatest), unit.Depth(f.Mean())))
	}
	bands := slices.Clone(f.Bands)
	slices.SortFunc(bands, byDepth)
	for i, b := range bands { // the outermost bands may extend beyond the measured depths
		mean := min(max(b.Volume/b.Area, b.From), b.To)
		bands[i].From = min(max(b.From, f.Least), mean)
		bands[i].To = max(min(b.To, f.Greatest), mean)
		if mean >= bands[i].To-slack*(bands[i].To-bands[i].From) { // an even layer
			bands[i].From = bands[i].To
		}
	}
	var out []Way
	for _, b := range built {
		w, err := b.over(bands, materials.with(b.Layers))
		if err != nil {
			return nil, err
		}
		w.Notes = append(slices.Clone(notes), w.Notes...)
		out = append(out, w)
	}
	return out, nil
}

// built is a build ready to lay.
type built struct {
	Build
	rest      int     // index of the layer that takes the depth the others leave
	fixed     float64 // m of the others
	materials Materials
	ours      []int // index into materials of each layer, except the rest
	serve     []int // indices into materials allowed for the rest
}

// resolve refuses impossible builds, and replaces the usual materials by listed ones.
func resolve(builds []Build, materials Materials) ([]built, error) {
	if builds == nil {
		builds = Builds(false)
	}
	if err := materials.checked(); err != nil {
		return nil, err
	}
	var out []built
	for i, b := range builds {
		if b.Name == "" {
			return nil, refuse(fmt.Sprintf("way %d", i+1), "no name", "a name to tell it by")
		}
		r := built{Build: b, rest: -1}
		if err := check(amount(b.Name+", weight", b.Weight, "a weight in kg/m²"), amount(b.Name+", price", b.Price, "a price a m²")); err != nil {
			return nil, err
		}
		listed := materials.with(b.Layers)
		for k, l := range b.Layers {
			if err := (Materials{l.Material}).checked(); err != nil {
				return nil, err
			}
			name := b.Name + ", " + l.Name
			if err := check(quantity{name + ", thickness", l.Thick, 0, 10, "a thickness between 0 and 10 m"}); err != nil {
				return nil, err
			}
			if l.Step != 0 {
				if err := check(quantity{name + ", step", l.Step, 0.001, 1, "a thickness of boards between 0.001 and 1 m"}); err != nil {
					return nil, err
				}
			}
			m := l.Material
			if at := slices.IndexFunc(listed, func(o Material) bool { return o.Name == m.Name }); at >= 0 {
				m = listed[at]
			}
			r.ours = append(r.ours, len(r.materials))
			r.materials = append(r.materials, m)
			if l.Thick == 0 {
				if r.rest >= 0 {
					return nil, refuse(b.Name, fmt.Sprintf("%q and %q without a thickness", b.Layers[r.rest].Name, l.Name), "one layer that takes the depth the others leave")
				}
				r.rest, r.serve = k, []int{r.ours[k]}
				continue
			}
			if l.Step != 0 || l.Bagged {
				return nil, refuse(name, "a thickness", "none: boards and bags take the depth that the others leave")
			}
			if m.lifts(l.Thick, l.Thick, m.layers()) == 0 {
				return nil, refuse(name+", thickness", fmt.Sprintf("%g m", l.Thick), fmt.Sprintf("what %s may be laid in, %s", m.Name, m.limits()))
			}
			r.fixed += l.Thick
		}
		if r.rest < 0 {
			return nil, refuse(b.Name, "no such layer", "one layer that takes the depth the others leave")
		}
		if l := b.Layers[r.rest]; l.Step > 0 && len(b.Layers) == 1 || l.Step > 0 && r.rest == 0 {
			return nil, refuse(b.Name+", "+l.Name, "boards on top", "a layer on top of them that fills what whole boards leave")
		}
		if b.Layers[r.rest].Bagged {
			var bagged []int
			for _, m := range listed {
				if m.Yield > 0 {
					bagged = append(bagged, len(r.materials))
					r.materials = append(r.materials, m)
				}
			}
			if bagged != nil {
				r.serve = bagged
			}
		}
		out = append(out, r)
	}
	return out, nil
}

// candidates returns the materials allowed for the rest.
func (b built) candidates() Materials {
	var out Materials
	for _, i := range b.serve {
		out = append(out, b.materials[i])
	}
	return out
}

// cuts returns the depths at which the laying of b changes, not sorted, up to greatest.
func (b built) cuts(greatest float64) []float64 {
	out := []float64{b.fixed}
	add := func(d float64) {
		if d <= greatest {
			out = append(out, d)
		}
	}
	for _, l := range Limits(b.candidates()) {
		add(b.fixed + l)
	}
	boards := 0.0
	if step := b.Layers[b.rest].Step; step > 0 {
		for k := 1.0; b.fixed+k*step <= greatest; k++ {
			add(b.fixed + k*step)
		}
		boards = step
	}
	if b.rest > 0 { // the top layer may be thicker, up to its limit
		top := b.materials[b.ours[0]]
		for n := 1; n <= top.layers() && top.Greatest > 0; n++ {
			at := b.fixed - b.Layers[0].Thick + float64(n)*top.Greatest
			add(at)
			for ; boards > 0 && at <= greatest; at += boards {
				add(at)
			}
		}
	}
	return out
}

// laying is how a range of depths is laid: the material of the rest, its thickness if it is
// in boards, and the addition to the top.
type laying struct {
	ok       bool
	why      Misfit
	material int     // of the rest; -1: there is none
	lifts    int     // of it
	boards   float64 // m, if it is in boards
}

// at returns how depths between from and to, where nothing changes, are laid.
func (b built) at(from, to float64) laying {
	mid := (from + to) / 2
	if to <= b.fixed+hair && from < b.fixed-hair {
		return laying{why: Thin}
	}
	all := b.candidates()
	l := laying{ok: true, material: -1}
	lo, hi := from-b.fixed, to-b.fixed
	if step := b.Layers[b.rest].Step; step > 0 {
		l.boards = math.Floor((mid-b.fixed)/step+hair) * step
		lo, hi = l.boards, l.boards
	}
	if k, n := all.pick(lo, hi); k >= 0 && hi > hair {
		l.material, l.lifts = b.serve[k], n
	} else if why := all.misfit(lo, hi); why != Thin && hi > hair || !b.grows() && hi > hair {
		return laying{why: why}
	} else {
		l.boards = 0
	}
	if b.rest > 0 {
		thick := b.Layers[0].Thick
		lo, hi := thick, thick
		switch {
		case l.material < 0:
			lo, hi = lo+from-b.fixed, hi+to-b.fixed
		case l.boards > 0:
			lo, hi = lo+from-b.fixed-l.boards, hi+to-b.fixed-l.boards
		}
		top := b.materials[b.ours[0]]
		if top.lifts(lo, hi, top.layers()) == 0 {
			return laying{why: Between}
		}
	}
	return l
}

// split cuts b at a depth inside it. The area below a depth is taken as a power of the depth
// above the min; or, if the mean is in the lower half, the area beyond it as a power of the
// distance to the max. There is one power that keeps both area and volume. It is exact for a
// straight ramp, and for a cone, dish or hump.
func split(b Band, at float64) (lower, upper Band) {
	mean := min(max(b.Volume/b.Area, b.From), b.To)
	if mean < (b.From+b.To)/2 { // turned upside down
		upper, lower = split(Band{-b.To, -b.From, b.Area, -b.Volume}, -at)
		return Band{-lower.To, -lower.From, lower.Area, -lower.Volume}, Band{-upper.To, -upper.From, upper.Area, -upper.Volume}
	}
	lower = Band{From: b.From, To: at}
	if mean < b.To {
		// Area × t^p is below the share t of the depth, and p/(p + 1) is the share of the
		// mean.
		t, p := (at-b.From)/(b.To-b.From), (mean-b.From)/(b.To-mean)
		lower.Area = b.Area * math.Pow(t, p)
		lower.Volume = lower.Area * (b.From + (at-b.From)*p/(p+1))
	}
	return lower, Band{at, b.To, b.Area - lower.Area, b.Volume - lower.Volume}
}

// drying returns the range of days that thickness m of cement-bound material takes to dry
// from its top.
//
// Sources: 1 day per mm for the first 50 mm and then slower, 75 mm in 75–100 days, 150 mm
// often over a year (UK screed guidance, read); 30 days per inch (US maxim, read, an
// approximation only). The min is 1 day per mm. The max is the US maxim or, if larger, the
// square law of drying by diffusion through 100 days at 75 mm, which reaches a year at 143
// mm (own curve). No rule covers more than a year, and no figure is given.
func drying(thickness float64, maker, works bool) Drying {
	d := Drying{Thickness: thickness, Maker: maker}
	const day = 24 * time.Hour
	mm := thickness * 1000
	switch {
	case !works:
		d.How = unit.Textf("it works nowhere")
	case maker:
		d.How = unit.Textf("as its maker says for %s: from hours to weeks, by product and thickness. Test before covering", unit.Depth(thickness))
	case thickness == 0:
		d.How = unit.Textf("nothing is laid wet")
	default:
		rules := unit.Either{Metric: "1 day a mm, and 30 days for 25 mm", US: "25 to 30 days an inch"}
		const year = 365
		few, many := min(mm, year), min(max(30*mm/25.4, 100*(mm/75)*(mm/75)), year)
		d.Least, d.Most = time.Duration(math.Round(few))*day, time.Duration(math.Round(many))*day
		if many == year {
			d.How = unit.Textf("over a year for %s drying from its top: do not wait for it; ask the maker of the covering for a moisture barrier, or lay a mix that dries as its maker says. Test before covering", unit.Depth(thickness))
			break
		}
		d.How = unit.Textf("%.0f to %.0f days for %s drying from its top, by the usual rules of %s, slower beyond %s. Test before covering", few, many, unit.Depth(thickness), rules, unit.Depth(0.05))
	}
	return d
}

// explain adds the notes on w.
func (b built) explain(w *Way, listed Materials) {
	for i := range w.Problems {
		p := &w.Problems[i]
		if len(b.Layers) == 1 {
			alone := Service{Materials: b.candidates()}
			alone.explain(p)
		} else if p.say(); p.Misfit == Thin {
			p.Text = unit.Textf("%s of this way, %s", p.Text, unit.Depth(b.least()))
			p.Ways = []unit.Text{tooThin(p.Band, b.least())}
		}
		for _, m := range listed {
			if from, to := max(p.From, m.Least), min(p.To, m.over()); to > from+hair || to >= from-hair && p.To == p.From {
				p.Ways = append(p.Ways, unit.Textf("use %s where it is %s to %s deep", m.Name, unit.Depth(from), unit.Depth(to)))
			}
		}
		p.Ways = append(p.Ways, unit.Textf("fill these depths in another way"))
	}
	if w.Area > 0 && b.rest > 0 && !slices.ContainsFunc(w.Laid, func(l Laid) bool { return l.layer == b.rest }) {
		w.Notes = append(w.Notes, warning("%s: nowhere deep enough, so that it is %s alone", b.Layers[b.rest].Name, w.Laid[0].Name))
	}
	if !w.Cost.Known() {
		w.Notes = append(w.Notes, NoPrice(w.Cost))
	}
	if w.Load.Mass > 0 {
		w.Notes = append(w.Notes, survey.Notef(survey.Caution, survey.Pos{}, "weight: adds %s on average and %s at the deepest. On any suspended, framed or settled floor a licensed engineer must check that before anything is ordered",
			unit.Load(w.Load.Mean), unit.Load(w.Load.Most)))
	}
}

// grows reports whether a layer on top takes depths too small for the rest.
func (b built) grows() bool {
	if b.rest == 0 {
		return false
	}
	top := b.materials[b.ours[0]]
	return float64(top.layers())*top.over() > b.Layers[0].Thick+hair
}

// least returns the min depth in which b can be laid, m.
func (b built) least() float64 {
	if b.grows() {
		return b.fixed
	}
	out := math.Inf(1)
	for _, m := range b.candidates() {
		out = min(out, b.fixed+m.Least)
	}
	return out
}

// list writes names as "a, b and c".
func list(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}
