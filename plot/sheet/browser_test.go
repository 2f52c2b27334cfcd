package sheet

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"image"
	_ "image/png"
	"math"
	"math/rand/v2"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"pourplane/plot"
	"pourplane/plot/browser"
	"pourplane/surface"
	"pourplane/survey/unit"
)

var keep = flag.String("pictures", "", "folder to keep pictures of the pages in")

func TestMain(m *testing.M) { os.Exit(browser.Main(m)) }

// tab opens a tab for one test; the browser reads the pages independently of this package.
func tab(t *testing.T) context.Context { return browser.Tab(t, 3*time.Minute) }

// console collects the page's messages on its console.
type console struct {
	sync.Mutex
	said []string
}

func listen(ctx context.Context, t *testing.T) *console {
	c := &console{}
	do(ctx, t, chromedp.Navigate("about:blank"))
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			c.Lock()
			c.said = append(c.said, fmt.Sprint(m.Type, ": ", m.Text))
			c.Unlock()
		}
	}()
	return c
}

func do(ctx context.Context, t *testing.T, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

// ask returns the value of an expression in the page.
func ask[T any](ctx context.Context, t *testing.T, expression string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		t.Fatalf("%.200s: %v", expression, err)
	}
	return v
}

// open writes a page to a file and opens the file.
func open(ctx context.Context, t *testing.T, text string) {
	t.Helper()
	name := filepath.Join(t.TempDir(), "record.html")
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	do(ctx, t, chromedp.Navigate((&url.URL{Scheme: "file", Path: name}).String()))
}

func photograph(ctx context.Context, t *testing.T, name string, whole bool) {
	t.Helper()
	if *keep == "" {
		return
	}
	take := chromedp.CaptureScreenshot()
	if whole {
		take = chromedp.FullScreenshot(100)
	}
	b, err := chromedp.Run(ctx, take)
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := image.DecodeConfig(bytes.NewReader(b)); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(*keep, name+".png"), b, 0o600); err != nil {
		t.Fatal(err)
	}
}

// depthOn computes the depth at a place from the plane through the three corners round it,
// in another way than the page does.
func depthOn(f *surface.Floor, target surface.Target, p surface.Vec) (depth float64, on string) {
	for _, r := range f.Regions {
		t := r.TIN
		for k := range t.Len() {
			a, b, c := t.V[3*k], t.V[3*k+1], t.V[3*k+2]
			ux, uy, uz := t.X[b]-t.X[a], t.Y[b]-t.Y[a], t.Z[b]-t.Z[a]
			vx, vy, vz := t.X[c]-t.X[a], t.Y[c]-t.Y[a], t.Z[c]-t.Z[a]
			x, y := p.X-t.Origin.X-t.X[a], p.Y-t.Origin.Y-t.Y[a]
			det := ux*vy - uy*vx
			i, j := (x*vy-y*vx)/det, (ux*y-uy*x)/det
			if i >= 0 && j >= 0 && i+j <= 1 {
				return target.Elevation(p) - (t.Z[a] + i*uz + j*vz), r.Name
			}
		}
	}
	for _, o := range f.Openings {
		// In these floors an opening is a rectangle.
		lo, hi := o[0], o[0]
		for _, v := range o {
			lo, hi = surface.Vec{X: min(lo.X, v.X), Y: min(lo.Y, v.Y)}, surface.Vec{X: max(hi.X, v.X), Y: max(hi.Y, v.Y)}
		}
		if p.X > lo.X && p.X < hi.X && p.Y > lo.Y && p.Y < hi.Y {
			return math.NaN(), "not poured"
		}
	}
	return math.NaN(), "outside the floor"
}

// wanted returns the texts allowed at a place: on a rounding limit, those on either side.
func wanted(m *plot.DepthMap, p surface.Vec) []string {
	d, on := depthOn(m.Floor, m.Target, p)
	if math.IsNaN(d) {
		return []string{on}
	}
	return []string{m.Words(d), m.Words(d - 2e-12), m.Words(d + 2e-12)}
}

var styles = []struct {
	name      string
	units     unit.Style
	departure bool
}{
	{"mm", unit.Style{}, false},
	{"16ths", unit.Style{Imperial: true}, false},
	{"64ths", unit.Style{Imperial: true, Denominator: 64}, false},
	{"halves", unit.Style{Imperial: true, Denominator: 2}, false},
	{"departures, mm", unit.Style{}, true},
	{"departures, in", unit.Style{Imperial: true, Denominator: 8}, true},
}

// The script writes depths as the drawings do, and the same depths as the triangles.
func TestScriptAgreesWithTheDrawings(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	random := rand.New(rand.NewPCG(7, 11))
	for _, s := range styles {
		m := demoMap(t, s.units)
		m.Departure = s.departure
		m.Target = surface.Plane{Z: m.Target.(surface.Plane).Z - 0.03, SlopeX: 0.002, SlopeY: -0.001} // with cut
		open(ctx, t, htmlOf(t, Record{}, m))
		ask[bool](ctx, t, `globalThis.floor = unpack(JSON.parse(document.getElementById('floor').textContent)); true`)

		depths := []float64{0, math.Copysign(0, -1), 0.0005, -0.0005, 0.0015, 0.00025, 0.00075, 0.00125, -0.00125, 1e-13, -1e-13, 0.0254 / 32, -0.0254 / 32, 3 * 0.0254 / 32, 0.0254 / 128, 0.0254 / 4, 0.3048, 12.5, 9999, 4.7e6}
		for range 4000 {
			depths = append(depths, random.NormFloat64()*0.05)
		}
		for k := range 400 {
			depths = append(depths, float64(k-200)*0.0254/128, float64(k-200)*0.0005, float64(k-200)*0.00005)
		}
		given, _ := json.Marshal(depths)
		for i, got := range ask[[]string](ctx, t, `(`+string(given)+`).map(d => depthWords(floor, d))`) {
			if want := m.Words(depths[i]); got != want {
				t.Errorf("%s: depth %g is worded %q, want %q", s.name, depths[i], got, want)
			}
		}
		if got := ask[[]string](ctx, t, `[NaN, Infinity, -Infinity].map(d => depthText(floor, d))`); got[0] != "—" || got[1] != "—" || got[2] != "—" {
			t.Errorf("%s: what is no depth is worded %q", s.name, got)
		}

		lo, hi := m.Floor.Bounds()
		var at [][2]float64
		for range 3000 {
			at = append(at, [2]float64{lo.X - 0.3 + random.Float64()*(hi.X-lo.X+0.6), lo.Y - 0.3 + random.Float64()*(hi.Y-lo.Y+0.6)})
		}
		given, _ = json.Marshal(at)
		seen := map[string]int{}
		for i, got := range ask[[]string](ctx, t, `(`+string(given)+`).map(p => wordsAt(floor, p[0], p[1]))`) {
			want := wanted(m, surface.Vec{X: at[i][0], Y: at[i][1]})
			if !slices.Contains(want, got) {
				t.Errorf("%s: at %.4f, %.4f the page has %q, want %q", s.name, at[i][0], at[i][1], got, want)
			}
			if len(want) == 1 {
				seen[want[0]]++
			} else {
				seen["poured"]++
			}
		}
		if seen["poured"] < 1000 || seen["not poured"] < 1 || seen["outside the floor"] < 100 {
			t.Errorf("%s: the places were %v", s.name, seen)
		}
	}
}

// On a grid the page shows the depths of the grid, and its note about them is true.
func TestScriptReadsAGrid(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := &plot.DepthMap{Title: "Wave", Floor: wave(40, 30, 240, 180), Target: surface.Horizontal(10.05)}
	open(ctx, t, htmlOf(t, Record{}, m))
	ask[bool](ctx, t, `globalThis.floor = unpack(JSON.parse(document.getElementById('floor').textContent)); true`)
	random := rand.New(rand.NewPCG(3, 5))
	var at [][2]float64
	for range 2000 {
		at = append(at, [2]float64{4999.5 + 41*random.Float64(), 2999.5 + 31*random.Float64()})
	}
	given, _ := json.Marshal(at)
	got := ask[[]float64](ctx, t, `(`+string(given)+`).map(p => { const f = depthAt(floor, p[0], p[1]); return f.depth ?? (f.opening ? -1 : -2); })`)
	for i, p := range at {
		d, on := depthOn(m.Floor, m.Target, surface.Vec{X: p[0], Y: p[1]})
		switch {
		case on == "not poured" && got[i] != -1, on == "outside the floor" && got[i] != -2:
			t.Errorf("at %v the page has %g, want %s", p, got[i], on)
		case !math.IsNaN(d) && math.Abs(got[i]-d) > 0.002:
			t.Errorf("at %v the page has depth %g, want %g", p, got[i], d)
		}
	}
}

type rect struct{ X, Y, Width, Height float64 }

const (
	shownPictureRect = `(() => { const r = [...document.querySelectorAll('#map > svg')].find(p => p.getClientRects().length).getBoundingClientRect(); return {X: r.x, Y: r.y, Width: r.width, Height: r.height}; })()`
	readingText      = `document.querySelector('.reading').hidden ? '' : [...document.querySelector('.reading').children].map(e => e.textContent).join('|')`
)

// The depth under a mouse, a finger and the cross is the depth of the floor, on a phone and
// on a desk.
func TestDepthUnderThePointer(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	said := listen(ctx, t)
	for _, screen := range []struct {
		width, height int64
		frame         int
		style         unit.Style
	}{
		{390, 844, 1, unit.Style{}},
		{1200, 900, 0, unit.Style{Imperial: true}},
	} {
		m := demoMap(t, screen.style)
		size, shortUnit := 1.0, "m"
		if screen.style.Imperial {
			size, shortUnit = 0.3048, "ft"
		}
		options := []chromedp.EmulateViewportOption{chromedp.EmulateScale(2)}
		if screen.width < 500 {
			options = append(options, chromedp.EmulateMobile, chromedp.EmulateTouch)
		}
		do(ctx, t, chromedp.EmulateViewport(screen.width, screen.height, options...))
		open(ctx, t, htmlOf(t, demoRecord(m), m))
		name := strconv.Itoa(int(screen.width))
		photograph(ctx, t, "record-"+name, true)
		if w := ask[float64](ctx, t, `Math.max(document.documentElement.scrollWidth, document.body.scrollWidth)`); w > float64(screen.width) {
			t.Errorf("%s: the page is %g pixels wide", name, w)
		}
		if n := ask[int](ctx, t, `performance.getEntriesByType('resource').filter(e => !e.name.startsWith('data:')).length`); n != 0 {
			t.Errorf("%s: the page loaded %d things", name, n)
		}
		if s := ask[float64](ctx, t, `parseFloat(getComputedStyle(document.querySelector('main p')).fontSize)`); s != 16 {
			t.Errorf("%s: text is %g pixels high, want 16", name, s)
		}
		legible(ctx, t, name)

		// The heads of a long table stay while its rows scroll.
		if off := ask[float64](ctx, t, `(() => { const b = document.querySelector('.box.long'); b.scrollTop = 500; return b.scrollTop < 400 ? -1 : b.querySelector('th').getBoundingClientRect().top - b.getBoundingClientRect().top; })()`); off < 0 || off > 2 {
			t.Errorf("%s: the heads of a scrolled table are %g pixels off its top", name, off)
		}

		width := []float64{float64(wideWidth), float64(narrowWidth)}[screen.frame]
		frame, err := m.Frame(wideWidth)
		if screen.frame == 1 {
			frame, err = m.Frame(narrowWidth)
		}
		if err != nil || frame.Width != width {
			t.Fatal(err, frame)
		}
		do(ctx, t, chromedp.ScrollIntoView(chromedp.CSS("#map")))
		r := ask[rect](ctx, t, shownPictureRect)
		if math.Abs(r.Height/r.Width-frame.Height/frame.Width) > 0.005 {
			t.Errorf("%s: the picture is %g by %g pixels, want the shape of %g by %g", name, r.Width, r.Height, frame.Width, frame.Height)
		}
		place := func(x, y float64) surface.Vec {
			return frame.Place((x-r.X)/r.Width*frame.Width, (y-r.Y)/r.Width*frame.Width)
		}
		check := func(how, got string, p surface.Vec) {
			t.Helper()
			parts := strings.Split(got, "|")
			if !slices.Contains(wanted(m, p), parts[0]) {
				t.Errorf("%s, %s: at %.3f, %.3f the page shows %q, want %q", name, how, p.X, p.Y, got, wanted(m, p))
			}
			var x, y float64
			last := parts[len(parts)-1]
			if _, err := fmt.Sscanf(last, "x %f, y %f "+shortUnit, &x, &y); err != nil || math.Hypot(x-p.X/size, y-p.Y/size) > 0.0072 {
				t.Errorf("%s, %s: at %.3f, %.3f the page tells the place %q", name, how, p.X/size, p.Y/size, last)
			}
			if _, on := depthOn(m.Floor, m.Target, p); on != parts[0] && (len(parts) != 3 || parts[1] != on) {
				t.Errorf("%s, %s: the page shows %q, want the region %q", name, how, got, on)
			}
		}

		// A mouse.
		random := rand.New(rand.NewPCG(uint64(screen.width), 1))
		lo, hi := m.Floor.Bounds()
		seen := map[string]int{}
		for n := 0; n < 80; {
			x, y := math.Floor(r.X+random.Float64()*r.Width), math.Floor(r.Y+random.Float64()*r.Height)
			p := place(x, y)
			if p.X < lo.X || p.X > hi.X || p.Y < lo.Y || p.Y > hi.Y || y < 0 || y >= float64(screen.height) {
				continue
			}
			n++
			do(ctx, t, chromedp.MouseEvent(chromedp.MouseMoved, x, y))
			got := ask[string](ctx, t, readingText)
			check("mouse", got, p)
			seen[strings.Split(got, "|")[0]]++
		}
		if len(seen) < 10 {
			t.Errorf("%s: few depths were seen: %v", name, seen)
		}
		photograph(ctx, t, "mouse-"+name, false)

		// A finger: the text is clear of it and on the screen.
		if screen.width < 500 {
			for _, share := range [][2]float64{{0.35, 0.45}, {0.25, 0.4}, {0.85, 0.45}} {
				x, y := math.Floor(r.X+share[0]*r.Width), math.Floor(r.Y+share[1]*r.Height)
				do(ctx, t, chromedp.TapXY(x, y))
				check("finger", ask[string](ctx, t, readingText), place(x, y))
				plate := ask[rect](ctx, t, `(() => { const r = document.querySelector('.reading').getBoundingClientRect(); return {X: r.x, Y: r.y, Width: r.width, Height: r.height}; })()`)
				if y-(plate.Y+plate.Height) < 40 || plate.X < 0 || plate.X+plate.Width > float64(screen.width) || plate.Y < 0 {
					t.Errorf("%s: touched at %g, %g the words stand at %v", name, x, y, plate)
				}
			}
			photograph(ctx, t, "finger-"+name, false)

			// Dragged by the cross, it follows the finger and the page stays. A finger
			// elsewhere on the map scrolls the page.
			x, y := math.Floor(r.X+0.4*r.Width), math.Floor(r.Y+0.4*r.Height)
			top := `document.scrollingElement.scrollTop`
			before := ask[float64](ctx, t, top)
			do(ctx, t, chromedp.TapXY(x, y))
			slide(ctx, t, x, y, x+35, y+30)
			check("dragging", ask[string](ctx, t, readingText), place(x+35, y+30))
			if after := ask[float64](ctx, t, top); after != before {
				t.Errorf("%s: dragging the cross scrolled the page from %g to %g", name, before, after)
			}
			slide(ctx, t, x+150, y+40, x+150, y-120)
			do(ctx, t, chromedp.Sleep(200*time.Millisecond))
			if after := ask[float64](ctx, t, top); after < before+50 {
				t.Errorf("%s: a finger that slid up the map scrolled the page from %g to %g", name, before, after)
			}
			ask[bool](ctx, t, fmt.Sprintf(`document.scrollingElement.scrollTop = %g, true`, before))
			zoom(ctx, t, 3)
			if a := ask[string](ctx, t, `getComputedStyle(document.getElementById('map')).touchAction`); a != "auto" {
				t.Errorf("%s: while the page is zoomed a finger on the map can %q, want it to move the page every way", name, a)
			}
			if w := ask[float64](ctx, t, `document.querySelector('.reading').offsetWidth * visualViewport.scale`); w > 262 {
				t.Errorf("%s: while the page is zoomed the words are %g pixels wide as seen", name, w)
			}
			photograph(ctx, t, "zoomed-"+name, false)
			zoom(ctx, t, 1)
			if a := ask[string](ctx, t, `getComputedStyle(document.getElementById('map')).touchAction`); a != "pan-y pinch-zoom" {
				t.Errorf("%s: a finger on the map can %q, want it to scroll and zoom", name, a)
			}
		}

		// Keys. The first shows the cross in the middle; Shift moves ten steps.
		do(ctx, t, chromedp.MouseEvent(chromedp.MouseMoved, 1, 1), chromedp.Focus(chromedp.CSS("#map")), chromedp.KeyEvent(kb.Escape))
		if got := ask[string](ctx, t, readingText); got != "" {
			t.Errorf("%s: after Esc the page shows %q", name, got)
		}
		at := surface.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2}
		stride := map[string]float64{"m": 0.1, "ft": 0.3048 / 4}[shortUnit]
		do(ctx, t, chromedp.KeyEvent(kb.ArrowLeft))
		check("keys", ask[string](ctx, t, readingText), at)
		for range 3 {
			for _, k := range []struct {
				key    string
				dx, dy float64
				shift  bool
			}{{kb.ArrowLeft, -1, 0, true}, {kb.ArrowDown, 0, -1, false}, {kb.ArrowRight, 1, 0, false}, {kb.ArrowUp, 0, 1, true}, {kb.ArrowDown, 0, -1, true}} {
				step := stride
				key := chromedp.KeyEvent(k.key)
				if k.shift {
					step *= 10
					key = chromedp.KeyEvent(k.key, chromedp.KeyModifiers(chromedp.ModifierShift))
				}
				next := surface.Vec{X: at.X + k.dx*step, Y: at.Y + k.dy*step}
				if next.X > lo.X && next.Y > lo.Y && next.X < hi.X && next.Y < hi.Y {
					at = next
				} else {
					continue
				}
				do(ctx, t, key)
				check("keys", ask[string](ctx, t, readingText), at)
			}
		}
		do(ctx, t, chromedp.Sleep(300*time.Millisecond))
		live := ask[string](ctx, t, `document.querySelector('[aria-live]').textContent`)
		if want := wanted(m, at)[0]; !strings.HasPrefix(live, want+"; ") {
			t.Errorf("%s: a screen reader is told %q, want %q first", name, live, want)
		}
		photograph(ctx, t, "keys-"+name, false)
	}
	said.Lock()
	defer said.Unlock()
	if len(said.said) > 0 {
		t.Errorf("the page says to its console: %q", said.said)
	}
}

// legible checks text and touch targets against W3C, Web Content Accessibility Guidelines
// 2.2: contrast of text at least 4.5 to 1 (criterion 1.4.3, with the relative luminance
// defined there), targets at least 24 by 24 pixels (criterion 2.5.8). Values and formula
// from memory.
func legible(ctx context.Context, t *testing.T, name string) {
	t.Helper()
	faint := ask[[]string](ctx, t, `(() => {
		const numbers = c => c.match(/[\d.]+/g).map(Number);
		const luminance = c => {
			const [r, g, b] = numbers(c).map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
			return 0.2126 * r + 0.7152 * g + 0.0722 * b;
		};
		const ground = e => {
			for (; e; e = e.parentElement) {
				const c = getComputedStyle(e).backgroundColor;
				if ((numbers(c)[3] ?? 1) === 1) return c;
			}
			return 'rgb(255, 255, 255)';
		};
		const out = [];
		let seen = 0;
		for (const e of document.body.querySelectorAll('*')) {
			const text = [...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data).join('').trim();
			if (!text || e.closest('svg, script') || !e.getClientRects().length) continue;
			seen++;
			const [a, b] = [luminance(getComputedStyle(e).color), luminance(ground(e))].sort((p, q) => q - p);
			const ratio = (a + 0.05) / (b + 0.05);
			if (ratio < 4.5) out.push(ratio.toFixed(1) + ': ' + text);
		}
		if (seen < 100) out.push('only ' + seen + ' texts');
		return out;
	})()`)
	if len(faint) > 0 {
		t.Errorf("%s: faint texts: %q", name, faint)
	}
	small := ask[[]string](ctx, t, `[...document.querySelectorAll('a, input')].filter(e => { const r = e.getBoundingClientRect(); return r.width < 24 || r.height < 24; }).map(e => e.outerHTML)`)
	if len(small) > 0 {
		t.Errorf("%s: targets too small for a finger: %q", name, small)
	}
}

// zoom zooms the page as two fingers do.
func zoom(ctx context.Context, t *testing.T, scale float64) {
	t.Helper()
	do(ctx, t, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetPageScaleFactor, emulation.SetPageScaleFactorParams{PageScaleFactor: scale})
		return err
	}), chromedp.Sleep(200*time.Millisecond))
}

// slide moves a finger over the screen in ten steps.
func slide(ctx context.Context, t *testing.T, x0, y0, x1, y1 float64) {
	t.Helper()
	touch := func(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
		t.Helper()
		do(ctx, t, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
			_, err := cdp.Call(ctx, target, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
			return err
		}))
	}
	touch(input.DispatchTouchEventTypeTouchStart, &input.TouchPoint{X: x0, Y: y0})
	for k := 1.0; k <= 10; k++ {
		touch(input.DispatchTouchEventTypeTouchMove, &input.TouchPoint{X: x0 + (x1-x0)*k/10, Y: y0 + (y1-y0)*k/10})
	}
	touch(input.DispatchTouchEventTypeTouchEnd, []*input.TouchPoint{}...)
}

// A page with a script injected by a name does not run it: the policy allows one script
// only.
func TestPolicyStopsOtherScripts(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := demoMap(t, unit.Style{})
	text := htmlOf(t, demoRecord(m), m)
	text = strings.Replace(text, "</main>", `<script>document.title = "slipped in"</script></main>`, 1)
	open(ctx, t, text)
	if title := ask[string](ctx, t, `document.title`); title == "slipped in" {
		t.Error("a script ran that the policy does not name")
	}
	if !ask[bool](ctx, t, `document.getElementById('map').tabIndex === 0`) {
		t.Error("the page's own script did not run")
	}
}
