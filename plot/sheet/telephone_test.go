package sheet

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"codeberg.org/go-fonts/liberation/liberationmonoregular"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"pourplane/plot/table"
	"pourplane/survey/unit"
)

// Without JavaScript all is shown except the depth under the finger and the text about it.
func TestPageWithoutJavaScript(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := demoMap(t, unit.Style{})
	r := demoRecord(m)
	do(ctx, t, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile), chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	}))
	open(ctx, t, htmlOf(t, r, m))
	text, err := chromedp.Run(ctx, chromedp.Text(chromedp.CSS("body")))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range r.Sections {
		for _, want := range slices.Concat([]string{s.Title}, s.Text, s.Cautions, s.Lines) {
			if !strings.Contains(text, want) {
				t.Errorf("the page does not show %q", want)
			}
		}
		for _, p := range s.Pictures {
			if !strings.Contains(text, p.Caption) {
				t.Errorf("the page does not show %q", p.Caption)
			}
		}
	}
	if strings.Contains(text, "Touch the map") {
		t.Error("the page promises what it cannot do")
	}
	photograph(ctx, t, "noscript-390", true)
}

// A wide table takes the window width, the page itself never scrolls sideways, and on a
// phone the boxes to tick are visible.
func TestTablesUseTheWindow(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	wide := table.Table{Title: "Wide", Columns: []table.Column{{Name: "Key"}}}
	row := []table.Cell{table.Text("a")}
	for i := range 9 {
		wide.Columns = append(wide.Columns, table.Column{Name: fmt.Sprint("Column ", i), Right: true})
		row = append(row, table.Text("1234.56 kg/m"))
	}
	wide.Rows = [][]table.Cell{row}
	pins := table.Table{Title: "Pins", Columns: []table.Column{{Name: "Pin"}, {Name: "Room"}, {Name: "x (ft)", Right: true}, {Name: "y (ft)", Right: true}, {Name: "Height", Right: true}, {Name: "Set"}},
		Rows: [][]table.Cell{{table.Text("W12"), table.Text("loading bay by the east wall"), table.Text("135.50"), table.Text("117.50"), table.Text(`3 15/16"`), {Tick: true}}}}
	text := htmlOf(t, Record{Title: "Tables", Sections: []Section{{Title: "Tables", Tables: []table.Table{wide, pins}}}}, nil)
	for _, face := range []struct {
		name string
		ttf  []byte
		wide bool
	}{{"sans", liberationsansregular.TTF, false}, {"mono", liberationmonoregular.TTF, true}} {
		t.Run(face.name, func(t *testing.T) { tablesUseTheWindow(ctx, t, inFace(t, text, face.ttf), face.wide) })
	}
}

// A table with long texts keeps to its column on a desk: the texts wrap.
func TestTablesKeepToTheirColumn(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	bays := table.Table{Title: "Bays", Columns: []table.Column{{Name: "Bay"}, {Name: "Area (ft²)", Right: true}, {Name: "Volume (yd³)", Right: true}, {Name: "Mix by truck (yd³)", Right: true}, {Name: "From truck"}, {Name: "Dams"}, {Name: "Beside"}},
		Rows: [][]table.Cell{{table.Text("1"), table.Text("192.0"), table.Text("2.37"), table.Text("2.70"), table.Text("1"), table.Text(`A: 16'-0" long, 3 7/8" high (min 3 9/16"), along the step; B: 12'-0" long, 3 7/8" high, 4'-0" from the west end`), table.Text("2")}}}
	doors := table.Table{Title: "Doors", Columns: []table.Column{{Name: "Threshold"}, {Name: "Finished", Right: true}, {Name: "Top of fill", Right: true}, {Name: "Covering + bed", Right: true}, {Name: "Bed if flush", Right: true}, {Name: "Change of level"}},
		Rows: [][]table.Cell{{table.Text("C1 SILL"), table.Text(`100.016 ft (100'-0 3/16")`), table.Text(`99.930 ft (99'-11 3/16")`), table.Text(`1"`), table.Text(`5/8", max 1/2"`), table.Text(`1/8" down to the new floor`)}}}
	text := htmlOf(t, Record{Title: "Tables", Sections: []Section{{Title: "Tables", Tables: []table.Table{bays, doors}}}}, nil)
	do(ctx, t, chromedp.EmulateViewport(1000, 844))
	open(ctx, t, inFace(t, text, liberationsansregular.TTF))
	photograph(ctx, t, "column", true)
	column := ask[float64](ctx, t, `document.querySelector('main').getBoundingClientRect().width`)
	for i, wide := range ask[[]float64](ctx, t, `[...document.querySelectorAll('.box')].map(b => Math.max(b.getBoundingClientRect().width, b.scrollWidth))`) {
		if wide > column+1 {
			t.Errorf("table %d is %g pixels wide in a column of %g", i+1, wide, column)
		}
	}
}

// On a phone the lettering of every picture is at least 11 pixels high and whole inside the
// picture, in any font of the phone.
func TestPicturesCanBeReadOnATelephone(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := demoMap(t, unit.Style{})
	text := htmlOf(t, demoRecord(m), m)
	do(ctx, t, chromedp.EmulateViewport(360, 740))
	for _, face := range [][]byte{liberationsansregular.TTF, liberationmonoregular.TTF} {
		open(ctx, t, inFace(t, text, face))
		photograph(ctx, t, "telephone", true)
		type lettering struct {
			Text                                     string
			Size, Left, Right, From, To, Top, Bottom float64
		}
		all := ask[[]lettering](ctx, t, `[...document.querySelectorAll('.picture > svg text')].filter(e => e.closest('svg').getBoundingClientRect().width > 0 && !e.closest('svg').classList.contains('only')).map(e => {
			const b = e.getBoundingClientRect(), p = e.closest('svg').getBoundingClientRect(), k = p.width / e.closest('svg').viewBox.baseVal.width;
			return {Text: e.textContent, Size: parseFloat(e.getAttribute('font-size')) * k, Left: b.left, Right: b.right, From: p.left, To: p.right, Top: b.top, Bottom: b.bottom};
		})`)
		if len(all) < 50 {
			t.Fatalf("%d letterings in pictures", len(all))
		}
		for _, l := range all {
			if l.Size < 11 {
				t.Errorf("%q is %.1f pixels high", l.Text, l.Size)
			}
			if l.Left < l.From-0.5 || l.Right > l.To+0.5 {
				t.Errorf("%q from %.1f to %.1f is cut off: the picture reaches from %.1f to %.1f", l.Text, l.Left, l.Right, l.From, l.To)
			}
		}
	}
}

// On a phone three warnings are whole, as on a desk: the end of one says what to do. The map
// begins on the first screen.
func TestWarningsAreWhole(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := demoMap(t, unit.Style{})
	warnings := []string{
		"order 2 trucks: 2.75 yd³ for bay 1, then 5.50 yd³ for bay 2, on site 21 min later. 1 truck of 8.25 yd³ would be up to 3 min past the 1 h 30 min limit",
		"working time: placing takes 1 h 3 min and the mix can be worked for 45 min: place it in the 2 bays laid out (max 5.89 yd³ each), or place faster",
		"total price: without film along the walls, foam along the walls, filler of joints, chairs, as no price is given",
	}
	r := Record{Title: "Hall", Sections: []Section{{Title: "Summary", Lead: true, Figures: []Figure{{"8.25 yd³", "to order"}, {"7.32 yd³", "fill"}, {"2 3/4\"", "mean depth"}},
		Warnings: warnings, Pictures: []Picture{{Drawing: m}}}}}
	text := htmlOf(t, r, m)
	for _, width := range []int64{320, 360, 1200} {
		do(ctx, t, chromedp.EmulateViewport(width, 740))
		open(ctx, t, inFace(t, text, liberationsansregular.TTF))
		photograph(ctx, t, fmt.Sprint("warnings-", width), false)
		if n := ask[int](ctx, t, `[...document.querySelectorAll('.warning p')].filter(p => p.scrollHeight <= p.clientHeight + 1 && p.scrollWidth <= p.clientWidth + 1).length`); n != len(warnings) {
			t.Errorf("%d pixels wide: %d warnings are whole, want %d", width, n, len(warnings))
		}
		if top := ask[float64](ctx, t, `document.getElementById('map').getBoundingClientRect().top`); top > 0.75*740 {
			t.Errorf("%d pixels wide: the map begins %g pixels down a screen of 740", width, top)
		}
	}
}

// inFace returns a page with text in one font, whatever the machine has.
func inFace(t *testing.T, text string, ttf []byte) string {
	t.Helper()
	policy := regexp.MustCompile(`style-src [^";]*`)
	if !policy.MatchString(text) || !strings.Contains(text, "</head>") {
		t.Fatal("found no policy for styles")
	}
	text = policy.ReplaceAllString(text, "style-src 'unsafe-inline'; font-src data:")
	return strings.Replace(text, "</head>", `<style>@font-face { font-family: Pinned; src: url(data:font/ttf;base64,`+base64.StdEncoding.EncodeToString(ttf)+`); } * { font-family: Pinned !important; }</style></head>`, 1)
}

// tablesUseTheWindow checks a page whose first table is wide and whose second has boxes to
// tick. In a wide font the first may scroll.
func tablesUseTheWindow(ctx context.Context, t *testing.T, text string, wideFace bool) {
	for _, width := range []int{390, 800, 1200, 1600} {
		do(ctx, t, chromedp.EmulateViewport(int64(width), 844))
		open(ctx, t, text)
		if !ask[bool](ctx, t, `document.fonts.check('16px Pinned')`) {
			t.Fatal("the face is not used")
		}
		photograph(ctx, t, fmt.Sprint("tables-", width), true)
		if over := ask[float64](ctx, t, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
			t.Errorf("%d pixels wide: the page scrolls sideways by %g", width, over)
		}
		boxes := ask[[][]float64](ctx, t, `[...document.querySelectorAll('.box')].map(b => [b.getBoundingClientRect().left, b.getBoundingClientRect().right, b.scrollWidth - b.clientWidth])`)
		for _, b := range boxes {
			if b[0] < 0 || b[1] > float64(width) {
				t.Errorf("%d pixels wide: a table from %g to %g", width, b[0], b[1])
			}
		}
		if width >= 1200 && (boxes[0][2] > 0 && !wideFace || boxes[0][1]-boxes[0][0] <= 860) {
			t.Errorf("%d pixels wide: the wide table has %g and scrolls by %g", width, boxes[0][1]-boxes[0][0], boxes[0][2])
		}
		if x := ask[float64](ctx, t, `document.querySelector('td input').getBoundingClientRect().right`); x > float64(width) || x > boxes[1][1] {
			t.Errorf("%d pixels wide: the box to tick ends at %g", width, x)
		}
	}
}

// On paper the pictures are whole and sections with NewPage begin a page.
func TestPagePrints(t *testing.T) {
	t.Parallel()
	ctx := tab(t)
	m := demoMap(t, unit.Style{})
	open(ctx, t, htmlOf(t, demoRecord(m), m))
	b, err := chromedp.Run(ctx, chromedp.PrintToPDF())
	if err != nil {
		t.Fatal(err)
	}
	// Four sections begin a page; the pins take three, about 30 per page.
	if n := bytes.Count(b, []byte("/Type /Page\n")) + bytes.Count(b, []byte("/Type /Page ")); n != 6 && n != 7 {
		t.Errorf("printed on %d pages, want 6 or 7", n)
	}
	do(ctx, t, chromedp.EmulateViewport(690, 900), chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
		return err
	}))
	if cut := ask[[]string](ctx, t, `[...document.querySelectorAll('.box')].filter(b => b.clientHeight < b.scrollHeight || b.clientWidth < b.scrollWidth || getComputedStyle(b).overflow !== 'visible').map(b => b.textContent.slice(0, 40))`); len(cut) > 0 {
		t.Errorf("tables that paper cuts off: %q", cut)
	}
	if *keep != "" {
		if err := os.WriteFile(filepath.Join(*keep, "record.pdf"), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}
