package level

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/mat"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// adjust distributes the misclosures.
func (l *levelling) adjust() error {
	beyond := l.Beyond()
	var net *network
	if l.Adjust == survey.LeastSquares || len(beyond) > 0 {
		net = l.network()
	}
	if len(beyond) > 0 {
		l.Fault, l.FaultOn = l.fault(net, beyond)
	}
	switch l.Adjust {
	case survey.BySetups, survey.ByDistance:
		return l.spread()
	case survey.LeastSquares:
		return l.leastSquares(net)
	}
	return nil
}

// spread corrects each line that ends on a benchmark by itself. Set-ups tied to a point
// of the line move with it.
func (l *levelling) spread() error {
	given := map[string]float64{} // corrections already given to set-ups
	for _, c := range l.Closures {
		if !c.Closing {
			continue
		}
		if len(c.Path) == 1 {
			e := &survey.Error{Pos: c.At, Element: "adjustment " + l.Adjust.String(), Want: "a line of set-ups to spread it over", Marks: []string{c.On}}
			switch {
			case l.setup[c.Setup].Given:
				e.Found = fmt.Sprintf("a misclosure on %s from a height of instrument that is given", c.On)
				e.Hint = "leave the height of instrument out, and the benchmark gives it"
				return e
			case l.startsOn(c.Setup) == c.On:
				e.Found = fmt.Sprintf("a misclosure on %s from the one set-up that started on it", c.On)
				return e.Hinted("%s takes the mean of its readings", unit.Ask("adjust", "least-squares"))
			}
		}
		total := l.setup[c.Path[len(c.Path)-1]].Run
		for k, name := range c.Path {
			share := float64(k+1) / float64(len(c.Path))
			if l.Adjust == survey.ByDistance {
				if share = l.setup[name].Run / total; math.IsNaN(share) {
					return (&survey.Error{Pos: c.At, Element: "adjustment by distance", Found: "sights without a distance",
						Want: "a column of distances from the level to the rod for every backsight and foresight"}).Hinted("%s", unit.Ask("adjust", "setups"))
				}
			}
			if _, twice := given[name]; twice {
				return (&survey.Error{Pos: c.At, Element: "adjustment " + l.Adjust.String(), Found: fmt.Sprintf("set-up %s in two lines that close", name),
					Want: "lines that share no set-up"}).Hinted("%s", unit.Ask("adjust", "least-squares"))
			}
			given[name] = -c.Misclosure() * share
		}
	}
	// Each set-up comes after the one it is tied to.
	names := slices.Clone(l.order)
	slices.SortStableFunc(names, func(a, b string) int { return cmp.Compare(l.setup[a].Depth, l.setup[b].Depth) })
	for _, name := range names {
		u := l.setup[name]
		shift, ok := given[name]
		if !ok && u.On != "" {
			shift = l.setup[u.On].Correction
		}
		u.Correction = shift
	}
	for _, name := range names {
		l.setup[name].HI += l.setup[name].Correction
	}
	for i := range l.Sights {
		s := &l.Sights[i]
		u := l.setup[s.Setup]
		s.Correction = u.Correction
		if s.Kind == survey.Back {
			s.Correction = 0
			if before, ok := l.from[s.Point]; ok {
				s.Correction = l.setup[before].Correction
			}
		}
		s.Elevation += s.Correction
	}
	return nil
}

// startsOn returns the name of the point that gave a set-up its height of instrument.
func (l *levelling) startsOn(setup string) string {
	for _, i := range l.of[setup] {
		if l.used[i] {
			return l.Sights[i].Name
		}
	}
	return ""
}

// network holds one equation for each sight on a point that is known or seen twice:
// height of instrument minus elevation = reading.
type network struct {
	sights []int // the sights, one for each equation
	weight []float64
	column map[int]int    // column of the elevation of an unknown point
	setup  map[string]int // column of an unknown height of instrument
	n      int            // number of unknowns
	fit    *fit

	byDistance bool // weights are the inverse of the length of sight
}

// weigh returns the weight of a sight. It is NaN if weights go by distance and the sight
// has none.
func (n *network) weigh(s *survey.Sight) float64 {
	switch {
	case !n.byDistance:
		return 1
	case s.Distance > 0:
		return 1 / s.Distance
	}
	return math.NaN()
}

func (l *levelling) network() *network {
	seen := map[int]int{}
	n := &network{column: map[int]int{}, setup: map[string]int{}, byDistance: true}
	for i := range l.Sights {
		s := &l.Sights[i]
		if s.Name != "" {
			seen[s.Point]++
		}
	}
	for i, name := range l.order {
		if i == 0 && l.Relative || l.setup[name].Given {
			continue // its line of sight is elevation 0, or its height is given
		}
		n.setup[name] = n.n
		n.n++
	}
	for i := range l.Sights {
		s := &l.Sights[i]
		_, given := l.benchmark[s.Point]
		if !given && seen[s.Point] < 2 {
			continue
		}
		if _, ok := n.column[s.Point]; !given && !ok {
			n.column[s.Point] = n.n
			n.n++
		}
		n.sights = append(n.sights, i)
		n.byDistance = n.byDistance && s.Distance > 0
	}
	for _, i := range n.sights {
		n.weight = append(n.weight, n.weigh(&l.Sights[i]))
	}
	// The unknowns are corrections to the reduced elevations, so that no large numbers
	// are subtracted.
	rows := len(n.sights)
	if rows < n.n || rows == 0 || n.n == 0 {
		return n
	}
	a, b := mat.NewDense(rows, n.n, nil), make([]float64, rows)
	for r, i := range n.sights {
		s := &l.Sights[i]
		if k, ok := n.setup[s.Setup]; ok {
			a.Set(r, k, 1)
		}
		z := l.known[s.Point]
		if k, ok := n.column[s.Point]; ok {
			a.Set(r, k, -1)
		}
		b[r] = s.Reading + z - l.setup[s.Setup].HI
	}
	n.fit = leastSquares(a, b, n.weight)
	return n
}

// leastSquares adjusts all sights together. All sights have equal weight, or the inverse
// of their distance if all have one.
func (l *levelling) leastSquares(n *network) error {
	l.Redundancy = len(n.sights) - n.n
	if n.fit == nil || l.Redundancy <= 0 {
		l.note(survey.Warning, survey.Pos{File: l.Sights[0].At.File}, "least squares: no sight is over and above what the elevations need, so that nothing is adjusted and nothing checked")
		l.Redundancy = max(0, l.Redundancy)
		return nil
	}
	l.UnitWeight = n.fit.s0
	f := n.fit
	for name, k := range n.setup {
		l.setup[name].Correction = f.x[k]
		l.setup[name].HI += f.x[k]
	}
	for i := range l.Sights {
		s := &l.Sights[i]
		k, tied := n.column[s.Point]
		_, given := l.benchmark[s.Point]
		before := s.Elevation
		switch {
		case given:
			s.Elevation, s.SD = l.known[s.Point], 0
		case tied:
			s.Elevation = l.known[s.Point] + f.x[k]
			s.SD = f.s0 * math.Sqrt(f.q.At(k, k))
		default:
			w := n.weigh(s)
			if math.IsNaN(w) { // floor shots are often booked without a distance
				w = 0
				for _, other := range n.weight {
					w += other / float64(len(n.weight))
				}
			}
			q := 1 / w
			if h, ok := n.setup[s.Setup]; ok {
				q += f.q.At(h, h)
			}
			s.Elevation = l.setup[s.Setup].HI - s.Reading
			s.SD = f.s0 * math.Sqrt(q)
		}
		s.Correction = s.Elevation - before
	}
	return nil
}

// fit is the result of a weighted least squares adjustment.
type fit struct {
	x  []float64
	q  *mat.SymDense // cofactors of x
	v  []float64     // residuals, fitted minus observed
	s0 float64       // standard deviation of unit weight; NaN without redundancy
}

// leastSquares solves a·x = b with weights w. It returns nil if a does not have full
// rank. It uses the QR decomposition of a, since forming aᵀa would lose half the digits.
// Source: any textbook of adjustment, such as Ghilani, Adjustment Computations (from
// memory); certified data in the tests.
func leastSquares(a *mat.Dense, b, w []float64) *fit {
	rows, cols := a.Dims()
	wa, wb := mat.NewDense(rows, cols, nil), mat.NewVecDense(rows, nil)
	for r := range rows {
		root := math.Sqrt(w[r])
		for c := range cols {
			wa.Set(r, c, root*a.At(r, c))
		}
		wb.SetVec(r, root*b[r])
	}
	var qr mat.QR
	qr.Factorize(wa)
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, wb); err != nil && math.IsInf(qr.Cond(), 1) {
		return nil
	}
	f := &fit{x: x.RawVector().Data, s0: math.NaN()}
	var ax mat.VecDense
	ax.MulVec(a, &x)
	squares := 0.0
	for r := range rows {
		v := ax.AtVec(r) - b[r]
		f.v = append(f.v, v)
		squares += w[r] * v * v
	}
	if rows > cols {
		f.s0 = math.Sqrt(squares / float64(rows-cols))
	}
	var r, inverse mat.Dense
	qr.RTo(&r)
	upper := mat.NewTriDense(cols, mat.Upper, nil)
	for i := range cols {
		for j := i; j < cols; j++ {
			upper.SetTri(i, j, r.At(i, j))
		}
	}
	if err := inverse.Inverse(upper); err != nil && math.IsInf(qr.Cond(), 1) {
		return nil
	}
	f.q = mat.NewSymDense(cols, nil)
	for i := range cols {
		for j := i; j < cols; j++ {
			sum := 0.0
			for k := j; k < cols; k++ {
				sum += inverse.At(i, k) * inverse.At(j, k)
			}
			f.q.SetSym(i, j, sum)
		}
	}
	return f
}

// fault returns the sights that are most likely wrong: those with the largest residual
// relative to its standard deviation (Baarda's w-test). In a single line all sights are
// equal in this test. Then it looks for two figures that close the book when they are
// swapped, and otherwise finds nothing.
func (l *levelling) fault(n *network, beyond []survey.Closure) (text string, on []string) {
	var worst []int
	most := 0.0
	if n.fit != nil && len(n.sights) > n.n {
		w := make([]float64, len(n.sights))
		for r, i := range n.sights {
			q := 1 / n.weight[r] // cofactor of the residual: cofactor of the observation minus cofactor of its adjusted value
			s := &l.Sights[i]
			h, hangs := n.setup[s.Setup]
			if hangs {
				q -= n.fit.q.At(h, h)
			}
			if k, ok := n.column[s.Point]; ok {
				q -= n.fit.q.At(k, k)
				if hangs {
					q += 2 * n.fit.q.At(h, k)
				}
			}
			if q > 1e-9/n.weight[r] {
				w[r] = math.Abs(n.fit.v[r]) / math.Sqrt(q)
			}
			most = max(most, w[r])
		}
		for r, i := range n.sights {
			if w[r] > 0.999*most && most > 0 {
				worst = append(worst, i)
			}
		}
	}
	var swapped []string
	for _, i := range l.candidates(worst, beyond[0]) {
		if text := l.swap(i, beyond[0]); text != "" {
			swapped, on = append(swapped, text), append(on, l.Sights[i].Name)
		}
	}
	var setups, sights []string
	for _, i := range worst {
		s := &l.Sights[i]
		if len(swapped) == 0 {
			on = append(on, s.Name)
		}
		from := ""
		if slices.ContainsFunc(worst, func(k int) bool { return l.Sights[k].Setup != s.Setup }) {
			from = " from set-up " + s.Setup
		}
		sights = append(sights, fmt.Sprintf("the %s on %s%s (%s)", sightName[s.Kind], s.Name, from, s.At))
		if !slices.Contains(setups, s.Setup) {
			setups = append(setups, s.Setup)
		}
	}
	switch {
	case len(swapped) > 0:
		return strings.Join(swapped, ", or "), on
	case len(sights) == 0:
		return "", nil
	case len(setups) == 1:
		return fmt.Sprintf("set-up %s: %s", setups[0], strings.Join(sights, ", ")), on
	case len(sights) <= 3:
		return fmt.Sprintf("set-ups %s: %s", strings.Join(setups, " or "), strings.Join(sights, ", ")), on
	}
	return fmt.Sprintf("one of set-ups %s; a line that closes once cannot tell which", strings.Join(setups, ", ")), nil
}

var sightName = map[survey.SightKind]string{survey.Back: "backsight", survey.Fore: "foresight", survey.Intermediate: "sight"}

// candidates returns the sights that may contain the wrong figure of a closure.
func (l *levelling) candidates(worst []int, c survey.Closure) []int {
	if len(worst) > 0 {
		return worst
	}
	var out []int
	for i := range l.Sights {
		if s := &l.Sights[i]; slices.Contains(c.Path, s.Setup) && s.Kind != survey.Intermediate {
			out = append(out, i)
		}
	}
	return out
}

// swap looks for two neighbouring digits in a decimal reading that close c when they are
// swapped.
func (l *levelling) swap(i int, c survey.Closure) string {
	s := &l.Sights[i]
	read, err := strconv.ParseFloat(s.Text, 64)
	if err != nil || read == 0 {
		return ""
	}
	scale := s.Reading / read // m per unit of the text
	for k := 0; k+1 < len(s.Text); k++ {
		a, b := s.Text[k], s.Text[k+1]
		if a < '0' || a > '9' || b < '0' || b > '9' || a == b {
			continue
		}
		other := s.Text[:k] + string(b) + string(a) + s.Text[k+2:]
		v, err := strconv.ParseFloat(other, 64)
		if err != nil {
			continue
		}
		change := (v - read) * scale // change of the height of instrument for a backsight, negative change of the elevation otherwise
		if s.Kind != survey.Back {
			change = -change
		}
		if math.Abs(c.Misclosure()+change) <= c.Allowable {
			return fmt.Sprintf("set-up %s: the %s on %s reads %s; %s would close the book (%s)", s.Setup, sightName[s.Kind], s.Name, s.Text, other, s.At)
		}
	}
	return ""
}
