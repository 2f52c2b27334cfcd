package plot

import (
	"bytes"
	"fmt"
	"image/color"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/plot/vg"
)

// encoded writes d to a file as well, for tools to read.
func encoded(t *testing.T, d *PDF) (data []byte, file string) {
	t.Helper()
	var b bytes.Buffer
	if err := d.Encode(&b); err != nil {
		t.Fatal(err)
	}
	file = filepath.Join(t.TempDir(), "pages.pdf")
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), file
}

// tool runs a tool of poppler-utils, which is independent of this package.
func tool(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skip(name + " (poppler-utils) is not installed")
	}
	var diag bytes.Buffer
	c := exec.Command(path, args...)
	c.Stderr = &diag
	out, err := c.Output()
	if err != nil || diag.Len() > 0 {
		t.Fatalf("%s: %v\n%s", name, err, &diag)
	}
	return out
}

func TestWidthIsTheWidthOnThePage(t *testing.T) {
	t.Parallel()
	d := NewPDF("Widths", "pourplane", time.Time{})
	d.Page(600, 400)
	words := []string{"1111", "AVATAR", "½²³é", "−40", "ΔΩθ", `3/8"`, "→", "x\u00a0y"}
	letters := []Lettering{{Size: 10}, {Size: 10, Bold: true}, {Size: 23.5}}
	for i, w := range words {
		for k, l := range letters {
			d.Text(l, vg.Point{X: 30 + 180*vg.Length(k), Y: 370 - 40*vg.Length(i)}, w)
		}
	}
	_, file := encoded(t, d)
	box := regexp.MustCompile(`xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)" yMax="[\d.]+">(.*)</word>`)
	seen := 0
	for _, m := range box.FindAllStringSubmatch(string(tool(t, "pdftotext", "-bbox", file, "-")), -1) {
		from, _ := strconv.ParseFloat(m[1], 64)
		to, _ := strconv.ParseFloat(m[2], 64)
		text := strings.ReplaceAll(m[3], "&quot;", `"`)
		want := letters[int(from-20)/180].Width(text).Points()
		// The document has widths to a thousandth of the size.
		if got := to - from; math.Abs(got-want) > 0.001*23.5*float64(len(text)) {
			t.Errorf("%q is %.3f pt wide, want %.3f", text, got, want)
		}
		seen++
	}
	if seen < (len(words)-1)*len(letters) {
		t.Errorf("%d words found", seen)
	}
}

func TestPlacedDrawingKeepsToItsRectangle(t *testing.T) {
	t.Parallel()
	r := vg.Rectangle{Min: vg.Point{X: 72, Y: 144}, Max: vg.Point{X: 360, Y: 504}}
	t.Run("whole", func(t *testing.T) {
		d := NewPDF("Two pages", "pourplane", time.Time{})
		keepsTo(t, d, func(m Drawing) error { return d.Place(m, r) })
	})
	t.Run("part", func(t *testing.T) {
		d := NewPDF("Two pages", "pourplane", time.Time{})
		whole := vg.Rectangle{Min: vg.Point{X: -300, Y: -200}, Max: vg.Point{X: 700, Y: 1100}}
		keepsTo(t, d, func(m Drawing) error { return d.PlacePart(m, whole, r) })
	})
}

// keepsTo checks that what place draws is visible only from (72, 144) to (360, 504).
func keepsTo(t *testing.T, d *PDF, place func(Drawing) error) {
	t.Helper()
	bar := func() {
		c := d.Canvas()
		c.SetColor(color.Black)
		c.Fill(vg.Rectangle{Min: vg.Point{X: 72, Y: 36}, Max: vg.Point{X: 360, Y: 72}}.Path())
		c.SetLineWidth(10)
		c.SetLineDash(nil, 0)
		var p vg.Path
		p.Move(vg.Point{X: 72, Y: 90})
		p.Line(vg.Point{X: 360, Y: 90})
		c.Stroke(p)
	}
	m := cutHall(1)
	m.Title = strings.Repeat("Far too long a title ", 9)
	for range 2 {
		d.Page(432, 576)
		bar()
		if err := place(m); err != nil {
			t.Fatal(err)
		}
		d.Mark("place ½", 500)
		bar()
		d.Text(Lettering{Size: 12}, vg.Point{X: 72, Y: 520}, "after it")
	}
	data, file := encoded(t, d)
	if !bytes.Contains(data, []byte("/Type /Outlines")) {
		t.Error("no list of contents")
	}
	for page := 1; page <= 2; page++ {
		n := fmt.Sprint(page)
		ppm := tool(t, "pdftoppm", "-r", "36", "-f", n, "-l", n, file)
		var w, h, most int
		if _, err := fmt.Sscanf(string(ppm[:20]), "P6\n%d %d\n%d", &w, &h, &most); err != nil || w != 216 || h != 288 {
			t.Fatalf("%v: %d by %d", err, w, h)
		}
		pix := ppm[len(ppm)-3*w*h:]
		dark := func(x0, y0, x1, y1 int) (n int) { // pt from the upper left corner
			for y := y0 / 2; y < y1/2; y++ {
				for x := x0 / 2; x < x1/2; x++ {
					if pix[3*(y*w+x)] < 250 {
						n++
					}
				}
			}
			return n
		}
		for _, out := range [][4]int{{0, 0, 70, 576}, {362, 0, 432, 576}, {0, 0, 432, 40}, {0, 434, 432, 478}} {
			if n := dark(out[0], out[1], out[2], out[3]); n > 0 {
				t.Errorf("page %d: %d dark pixels from %v", page, n, out)
			}
		}
		if n := dark(72, 72, 360, 432); n < 5000 {
			t.Errorf("page %d: %d dark pixels in the drawing", page, n)
		}
		if n := dark(74, 506, 358, 538); n != 142*16 {
			t.Errorf("page %d: the bar has %d pixels", page, n)
		}
		if n := dark(74, 484, 358, 488); n != 142*2 {
			t.Errorf("page %d: the line has %d pixels", page, n)
		}
	}
}

func TestWrapKeepsEveryLetter(t *testing.T) {
	t.Parallel()
	l := Lettering{Size: 10}
	for _, c := range []struct {
		text  string
		width vg.Length
		want  string
	}{
		{"", 50, ""},
		{" \t ", 50, ""},
		{"one two", 500, "one two"},
		{"one two", 30, "one|two"},
		{"12\u00a0mm deep", 32, "12\u00a0mm|deep"},
		{"a\nb", 500, "a|b"},
		{"abc", 0, "a|b|c"},
		{"e\u0301", 500, "é"},
		{"⌀ \u5e8a \xff", 500, "Ø ? ?"},
		{"\u202eab\u200b\x07", 500, "ab"},
	} {
		if got := strings.Join(l.Wrap(c.text, c.width), "|"); got != c.want {
			t.Errorf("%q in %g pt: %q, want %q", c.text, c.width.Points(), got, c.want)
		}
	}
	word := strings.Repeat("wide", 300)
	lines := l.Wrap("so "+word, 100)
	for _, line := range lines {
		if l.Width(line) > 100.001 {
			t.Errorf("%q is %.1f pt wide", line, l.Width(line).Points())
		}
	}
	if got := strings.Join(lines[1:], ""); lines[0] != "so" || got != word {
		t.Errorf("%q and then %d letters", lines[0], len(got))
	}
}

func TestDocumentWithoutPages(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	if err := NewPDF("Empty", "", time.Time{}).Encode(&b); err == nil || b.Len() > 0 {
		t.Errorf("%v and %d bytes", err, b.Len())
	}
}
