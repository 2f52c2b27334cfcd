package sheet

import (
	"context"
	"fmt"
	"math"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"pourplane/plot/table"
	"pourplane/surface"
	"pourplane/survey/unit"
)

// A tick stays on the device: the page has it when opened again, and a page with another
// list does not.
func TestTicksSurviveAReload(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := demoMap(t, unit.Style{})
	r := demoRecord(m)
	name := filepath.Join(t.TempDir(), "record.html")
	show := func(r Record) {
		t.Helper()
		if err := os.WriteFile(name, []byte(htmlOf(t, r, nil)), 0o600); err != nil {
			t.Fatal(err)
		}
		do(ctx, t, chromedp.Navigate((&url.URL{Scheme: "file", Path: name}).String()))
	}
	ticked := `[...document.querySelectorAll('td input')].map((b, i) => b.checked ? i : -1).filter(i => i >= 0).join()`
	show(r)
	if got := ask[string](ctx, t, ticked); got != "" {
		t.Fatalf("ticked before anything is: %s", got)
	}
	if note := ask[string](ctx, t, `document.querySelector('.ticks').textContent`); !strings.Contains(note, "kept in this browser") {
		t.Errorf("the page says of its ticks %q", note)
	}
	do(ctx, t, chromedp.Evaluate[chromedp.Void](`document.querySelectorAll('td input')[3].click(); document.querySelectorAll('td input')[5].click()`))
	do(ctx, t, chromedp.Reload())
	if got := ask[string](ctx, t, ticked); got != "3,5" {
		t.Errorf("after a reload ticked: %q, want 3,5", got)
	}
	do(ctx, t, chromedp.Evaluate[chromedp.Void](`document.querySelectorAll('td input')[3].click()`))
	show(r)
	if got := ask[string](ctx, t, ticked); got != "5" {
		t.Errorf("opened again ticked: %q, want 5", got)
	}
	// A mark that has changed is not ticked.
	other := demoRecord(m)
	pins := &other.Sections[3].Tables[0]
	pins.Rows[5][1] = table.Text("changed")
	show(other)
	if got := ask[string](ctx, t, ticked); got != "" {
		t.Errorf("another list is ticked: %q", got)
	}
}

// A touched pin shows its name and mark, and the depth there.
func TestPinsAreTouched(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := demoMap(t, unit.Style{})
	r := demoRecord(m)
	lo, hi := m.Floor.Bounds()
	at := surface.Vec{X: lo.X + 0.3*(hi.X-lo.X), Y: lo.Y + 0.25*(hi.Y-lo.Y)}
	r.Pins = []Pin{{At: at, Name: "P7", Text: "mark 42 mm"}}
	do(ctx, t, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile, chromedp.EmulateTouch))
	open(ctx, t, htmlOf(t, r, m))
	do(ctx, t, chromedp.ScrollIntoView(chromedp.CSS("#map")))
	// At first the figures of the map are clear of rings, and the rings do not react to a
	// touch.
	seen := `[...document.querySelectorAll('.pin')].filter(p => p.getClientRects().length > 0).length`
	if n := ask[int](ctx, t, seen); n != 0 {
		t.Errorf("%d pins are shown before they are asked for", n)
	}
	if text := ask[string](ctx, t, `document.querySelector('.pins').innerText`); !strings.Contains(text, "Show the pins") || !strings.Contains(text, "mark") {
		t.Errorf("the pins are explained by %q", text)
	}
	depth, _ := depthOn(m.Floor, m.Target, at)
	do(ctx, t, chromedp.Click(chromedp.CSS("#pins")), chromedp.ScrollIntoView(chromedp.CSS("#map")))
	if n := ask[int](ctx, t, seen); n != 1 {
		t.Errorf("%d pins are shown where one is asked for", n)
	}
	pin := ask[rect](ctx, t, `(() => { const r = document.querySelector('.pin').getBoundingClientRect(); return {X: r.x + r.width / 2, Y: r.y + r.height / 2, Width: r.width, Height: r.height}; })()`)
	// The mark is at its place on the picture.
	frame, err := m.Frame(narrowWidth)
	if err != nil {
		t.Fatal(err)
	}
	picture := ask[rect](ctx, t, shownPictureRect)
	p := frame.Place((pin.X-picture.X)/picture.Width*frame.Width, (pin.Y-picture.Y)/picture.Width*frame.Width)
	if d := math.Hypot(p.X-at.X, p.Y-at.Y); d > 0.02 {
		t.Errorf("the pin is drawn %g m from its place", d)
	}
	do(ctx, t, chromedp.TapXY(pin.X+8, pin.Y-5)) // a finger is not exact
	got := ask[string](ctx, t, readingText)
	if want := "P7: mark 42 mm|depth " + m.Words(depth); !strings.HasPrefix(got, want) {
		t.Errorf("touched, the page shows %q, want %q", got, want)
	}
	do(ctx, t, chromedp.TapXY(pin.X+60, pin.Y-60))
	if got := ask[string](ctx, t, readingText); strings.Contains(got, "P7") {
		t.Errorf("touched elsewhere, the page shows %q", got)
	}
	do(ctx, t, chromedp.Click(chromedp.CSS("#pins")))
	for ask[int](ctx, t, seen) != 0 {
		laidOut(ctx, t)
	}
	do(ctx, t, chromedp.ScrollIntoView(chromedp.CSS("#map")), chromedp.TapXY(pin.X, pin.Y))
	if got := ask[string](ctx, t, readingText); strings.Contains(got, "P7") {
		t.Errorf("touched while no pins are shown, the page shows %q", got)
	}
}

// laidOut waits for the next frame: a page hears before it that its window has changed.
func laidOut(ctx context.Context, t *testing.T) {
	t.Helper()
	if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`new Promise(done => requestAnimationFrame(() => done(true)))`, chromedp.EvalAwaitPromise)); err != nil {
		t.Fatal(err)
	}
}

// Rings of pins cover no lettering of the map, at any window width.
func TestPinsLeaveTheFiguresInSight(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := demoMap(t, unit.Style{Imperial: true})
	r := demoRecord(m)
	for x := 0.5; x < 36; x += 5 {
		for y := 0.5; y < 18; y += 5 {
			r.Pins = append(r.Pins, Pin{At: surface.Vec{X: x * 0.3048, Y: y * 0.3048}, Name: "P", Text: "mark"})
		}
	}
	do(ctx, t, chromedp.EmulateViewport(320, 740))
	open(ctx, t, htmlOf(t, r, m))
	do(ctx, t, chromedp.Click(chromedp.CSS("#pins")))
	for _, wide := range []int64{320, 360, 561, 1200} {
		do(ctx, t, chromedp.EmulateViewport(wide, 740))
		laidOut(ctx, t)
		// A line of text is as high as its font: figures fill it from 0.2 to 0.75.
		covered := ask[[]string](ctx, t, `(() => {
			const out = [], pins = [...document.querySelectorAll('.pin')].map(p => p.getBoundingClientRect());
			for (const e of document.querySelectorAll('#map text')) {
				const r = e.getBoundingClientRect(), top = r.top + 0.2 * r.height, bottom = r.top + 0.75 * r.height;
				if (r.width > 0 && pins.some(p => p.left < r.right && p.right > r.left && p.top < bottom && p.bottom > top)) out.push(e.textContent);
			}
			return out;
		})()`)
		if len(covered) > 0 {
			t.Errorf("%d px wide: pins cover %q", wide, covered)
		}
	}
}

// In dark mode the page is dark and readable: text has at least the contrast of WCAG 2.1,
// success criterion 1.4.3 (4.5 to 1, by its formula of relative luminance). On paper and in
// light mode it is black on white.
func TestDarkAndLight(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := demoMap(t, unit.Style{})
	open(ctx, t, htmlOf(t, demoRecord(m), m))
	for _, c := range []struct {
		scheme string
		dark   bool
	}{{"light", false}, {"dark", true}} {
		do(ctx, t, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
			_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: c.scheme}}})
			return err
		}))
		ground := ask[string](ctx, t, `getComputedStyle(document.body).backgroundColor`)
		if dark := luminance(t, ground) < 0.1; dark != c.dark {
			t.Errorf("%s: the ground is %s", c.scheme, ground)
		}
		for _, what := range []string{"main p", "h2", ".date", ".figures dd", ".figures dt", "th", "td", ".caution p", "nav summary", "nav a", ".note", "figcaption", ".sign span", "footer p"} {
			pair := ask[string](ctx, t, fmt.Sprintf(`(() => {
				const e = document.querySelector(%q);
				let g = e;
				while (g && getComputedStyle(g).backgroundColor === 'rgba(0, 0, 0, 0)') g = g.parentElement;
				return getComputedStyle(e).color + '|' + getComputedStyle(g || document.body).backgroundColor;
			})()`, what))
			ink, paper, _ := strings.Cut(pair, "|")
			a, b := luminance(t, ink), luminance(t, paper)
			if ratio := (max(a, b) + 0.05) / (min(a, b) + 0.05); ratio < 4.5 {
				t.Errorf("%s: %s has a contrast of %.2f (%s)", c.scheme, what, ratio, pair)
			}
		}
	}
}

// luminance is the relative luminance of WCAG 2.1 of a color in a browser's notation.
func luminance(t *testing.T, color string) float64 {
	t.Helper()
	var c [3]float64
	if _, err := fmt.Sscanf(strings.TrimPrefix(color, "rgb"), "(%f, %f, %f)", &c[0], &c[1], &c[2]); err != nil {
		t.Fatalf("%q: %v", color, err)
	}
	for i, v := range c {
		if v /= 255; v <= 0.03928 {
			c[i] = v / 12.92
		} else {
			c[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
}

// The key column of a table stays visible however far the table is scrolled, and leaves room
// for the rest.
func TestKeyColumnsStayInSight(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	long := table.Table{Title: "T", Columns: []table.Column{{Name: "Thing"}, {Name: "Why"}, {Name: "More"}, {Name: "Rest"}, {Name: "End"}}}
	short := table.Table{Title: "U", Columns: []table.Column{{Name: "Key"}, {Name: "What"}}}
	words := strings.Repeat("unbreakable_word_", 3)
	for i := range 4 {
		long.Rows = append(long.Rows, []table.Cell{table.Text(fmt.Sprintf("a rather long name of thing %d", i)), table.Text(words), table.Text(words), table.Text(words), table.Text(words)})
		short.Rows = append(short.Rows, []table.Cell{table.Text(fmt.Sprint("K", i)), table.Text(words + words + words)})
	}
	do(ctx, t, chromedp.EmulateViewport(600, 740, chromedp.EmulateMobile))
	open(ctx, t, htmlOf(t, Record{Title: "R", Sections: []Section{{Title: "S", Tables: []table.Table{long, short}}}}, nil))
	for i := range 2 {
		got := ask[rect](ctx, t, fmt.Sprintf(`(() => { const b = document.querySelectorAll('.box')[%d]; b.scrollLeft = 1e4; const k = b.querySelector('td').getBoundingClientRect(), o = b.getBoundingClientRect(); return {X: k.left - o.left, Y: b.scrollLeft, Width: k.width, Height: o.width}; })()`, i))
		if got.X < 0 || got.X > 3 || got.Width > 0.5*got.Height {
			t.Errorf("table %d, scrolled by %g: its key column begins at %g and is %g of %g wide", i+1, got.Y, got.X, got.Width, got.Height)
		}
	}
}
