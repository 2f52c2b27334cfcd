//go:build !light

package sheet

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"gonum.org/v1/plot/vg"

	"pourplane/plot"
	"pourplane/plot/table"
)

var (
	//go:embed record.html
	recordText string
	//go:embed record.css
	recordStyle string
	//go:embed record.js
	recordScript string
)

// recordPage parses the page where it is written: a program that writes none leaves the
// templates out.
func recordPage() *template.Template {
	return template.Must(template.New("record").Funcs(template.FuncMap{
		"headClass": columnClass,
	}).Parse(recordText))
}

// Pictures are drawn twice, unless their scale is fixed: lettering that suits a desk is too
// small on a phone.
const (
	wideWidth   = plot.DefaultWidth
	narrowWidth = 236 * vg.Length(1) // lettering of 8 pt is 11 pixels high on a phone 360 pixels wide
)

const (
	manyRows = 25 // a longer table scrolls in a box, under its heads
	shortKey = 10 // letters of a first column that stays on one line
	wordy    = 30 // letters of a cell that wraps

	fewColumns = 3 // stay a table on the narrowest phone

	shortPlace = 20 // letters of file:line that stays on one line
)

// WriteHTML writes r as one HTML file that needs no other file and no network: it contains
// styles, pictures and script, and its policy forbids it to load anything. In the picture
// that draws depth it shows the depth under a finger, a mouse or a cross moved by keys. If
// no picture of r draws depth, one is added at the end; with a nil depth this is left out.
// Without JavaScript everything else is shown. Equal records give equal bytes.
//
// A picture without a drawing, a row with more cells than columns and a number that is not
// finite are refused with a [*survey.Error].
func WriteHTML(w io.Writer, r Record, depth *plot.DepthMap) error {
	p := htmlPage{Title: cmp.Or(r.Title, "Record"), Date: r.Date, Program: r.Program, Style: template.CSS(recordStyle)}
	if depth != nil && !r.draws(depth) {
		r.Sections = append(slices.Clone(r.Sections), Section{Title: "Depth map", Pictures: []Picture{{Drawing: depth}}})
	}
	for i, s := range r.Sections {
		where := sectionName(i, s)
		if err := s.check(where); err != nil {
			return err
		}
		part := htmlSection{Section: s, Number: i + 1}
		for _, t := range s.Tables {
			part.Tables = append(part.Tables, newHTMLTable(t))
		}
		for k, d := range s.Pictures {
			live := p.Live == nil && depth != nil && d.Drawing == plot.Drawing(depth)
			if live {
				d.Drawing = r.underPins(depth)
			}
			shown, err := showPicture(d, live)
			if err != nil {
				return fmt.Errorf("%s, picture %d: %w", where, k+1, err)
			}
			if shown.Live {
				if p.Live, err = newLive(depth); err != nil {
					return fmt.Errorf("%s, picture %d: %w", where, k+1, err)
				}
				shown.Grid = p.Live.note
				shown.Pins = len(r.Pins) > 0
				for _, pin := range r.Pins {
					p.Live.Pins = append(p.Live.Pins, livePin{pin.At.X, pin.At.Y, pin.Name, pin.Text})
				}
			}
			part.Pictures = append(part.Pictures, shown)
		}
		p.Parts = append(p.Parts, part)
		if s.Title != "" {
			p.Contents = append(p.Contents, part)
		}
	}
	if len(p.Contents) < 2 {
		p.Contents = nil
	}
	p.Policy = "default-src 'none'; base-uri 'none'; form-action 'none'; img-src data:; style-src " + Hash(recordStyle)
	ticks := slices.ContainsFunc(p.Parts, func(s htmlSection) bool {
		return slices.ContainsFunc(s.Tables, func(t htmlTable) bool { return t.Ticks })
	})
	if ticks {
		p.Key = keyOf(r)
	}
	if p.Live != nil || ticks {
		p.Script = template.JS(recordScript)
		p.Policy += "; script-src " + Hash(recordScript)
	}
	var b bytes.Buffer
	if err := recordPage().Execute(&b, p); err != nil {
		return err
	}
	_, err := b.WriteTo(w)
	return err
}

// keyOf returns the name that ticks are stored under on a device. It differs for a record
// with any other content, so that no tick of an old list appears in a new one.
func keyOf(r Record) string {
	h := sha256.New()
	fmt.Fprintf(h, "%q %q\n", r.Title, r.Date)
	for _, s := range r.Sections {
		for _, t := range s.Tables {
			fmt.Fprintf(h, "%q %q\n", s.Title, t.Title)
			for _, row := range t.Rows {
				for i, c := range row {
					fmt.Fprintf(h, "%q %v\t", t.Columns[i].Show(c), c.Tick)
				}
				fmt.Fprintln(h)
			}
		}
	}
	return base64.RawURLEncoding.EncodeToString(h.Sum(nil)[:12])
}

// Hashes returns the hashes by which a policy allows the style and the script of a record.
func Hashes() (style, script string) { return Hash(recordStyle), Hash(recordScript) }

// Hash returns the hash by which a policy allows one style or script.
func Hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// underPins returns the map with the places of the pins, which its lettering keeps clear of.
func (r Record) underPins(m *plot.DepthMap) *plot.DepthMap {
	under := *m
	for _, p := range r.Pins {
		under.Pins = append(under.Pins, p.At)
	}
	return &under
}

func (r Record) draws(m *plot.DepthMap) bool {
	return slices.ContainsFunc(r.Sections, func(s Section) bool {
		return slices.ContainsFunc(s.Pictures, func(p Picture) bool { return p.Drawing == plot.Drawing(m) })
	})
}

type htmlPage struct {
	Title, Date, Program, Policy string
	Key                          string // of the stored ticks
	Style                        template.CSS
	Script                       template.JS
	Contents, Parts              []htmlSection
	Live                         *live
}

// htmlSection is a section with its tables and pictures as HTML.
type htmlSection struct {
	Section
	Number   int
	Tables   []htmlTable
	Pictures []htmlPicture
}

type htmlPicture struct {
	Wide, Narrow template.HTML
	Caption      string
	Live         bool
	Pins         bool   // shown on it
	Grid         string // source of the depths shown, if not the triangles
}

func showPicture(p Picture, live bool) (htmlPicture, error) {
	out := htmlPicture{Caption: p.Caption, Live: live}
	var err error
	if d, ok := p.Drawing.(toScale); ok {
		if width, _ := d.PlanSize(); width != wideWidth { // its scale fixes its width
			out.Wide, err = inline(p.Drawing, width, "only")
			return out, err
		}
	}
	if out.Wide, err = inline(p.Drawing, wideWidth, "wide"); err != nil {
		return htmlPicture{}, err
	}
	out.Narrow, err = inline(p.Drawing, narrowWidth, "narrow")
	return out, err
}

// toScale is a drawing that may have a fixed size; without a scale it has the default width.
type toScale interface {
	PlanSize() (width, height vg.Length)
}

const (
	heavy    = 400_000 // bytes of a line drawing that makes a phone slow: it becomes a bitmap
	heavyDPI = 220
)

// inline returns a drawing as an element of the page. Its name becomes a label, because a
// title would pop up over the picture.
func inline(d plot.Drawing, width vg.Length, class string) (template.HTML, error) {
	var b bytes.Buffer
	if err := plot.Write(&b, d, plot.Output{Format: "svg", Width: width}); err != nil {
		return "", err
	}
	_, svg, found := strings.Cut(b.String(), "<svg ")
	head, rest, titled := strings.Cut(svg, "<title>")
	name, body, closed := strings.Cut(rest, "</title>\n")
	if !found || !titled || !closed {
		return "", errors.New("found a drawing without a title, want SVG with one")
	}
	head = strings.Replace(head, `xmlns="http://www.w3.org/2000/svg" `, "", 1)
	head = strings.TrimSuffix(strings.TrimSpace(head), ">")
	if len(body) > heavy {
		var png bytes.Buffer
		if err := plot.Write(&png, d, plot.Output{Format: "png", Width: width, DPI: heavyDPI}); err != nil {
			return "", err
		}
		body = `<image width="100%" height="100%" href="data:image/png;base64,` + base64.StdEncoding.EncodeToString(png.Bytes()) + "\"/>\n</svg>\n"
	}
	// The drawing has escaped its name and all its text.
	return template.HTML(`<svg class="` + class + `" ` + head + ` aria-label="` + name + "\">\n" + body), nil
}

// htmlTable is a table as HTML.
type htmlTable struct {
	table.Table
	Rows  [][]htmlCell
	Long  bool
	Key   bool // the first column stays visible
	Ticks bool
	Class string
}

type htmlCell struct {
	Text, Label, Class string
	Name               string // of its column, on a phone that shows each row as a block
	Under              string // a second line on a phone, in place of columns
	Tail, UnderTail    string // end of either that is not broken
	Tick               bool
}

// unbroken divides file:line for a narrow column: tail stays on one line.
func unbroken(text string) (head, tail string) {
	i := max(0, strings.LastIndexByte(text, '.'))
	if utf8.RuneCountInString(text) <= shortPlace {
		i = 0
	}
	return text[:i], text[i:]
}

// columnClass returns the classes of a head and of the cells under it.
func columnClass(c table.Column) string {
	var class []string
	if c.Right {
		class = append(class, "right")
	}
	if c.Under != "" {
		class = append(class, "aside")
	}
	return strings.Join(class, " ")
}

const (
	phoneRoom = 330.0 // px that a table has on a phone 360 pixels wide; on a narrower one it is set smaller
	phoneSize = 16.0  // px of lettering there
	phonePad  = 14.0  // px beside the text of a cell
	firstRoom = 6     // sizes: min of a first column with a second line
	wordyRoom = 7     // sizes: min of a column with long texts
)

// foldColumns moves columns of t to a second line under the first one, each with its name,
// until the rest fits a phone: those on the left first, as results are on the right. It
// returns which.
func foldColumns(t table.Table) []bool {
	all := measures(t)
	width := func(i int) float64 {
		size := all[i].least
		for _, row := range t.Rows {
			if i < len(row) && utf8.RuneCountInString(t.Columns[i].Show(row[i])) > wordy {
				size = max(size, wordyRoom)
			}
		}
		return size*phoneSize + phonePad
	}
	out := make([]bool, len(t.Columns))
	sum := 0.0
	for i, c := range t.Columns {
		if c.Under == "" {
			sum += width(i)
		}
	}
	for i := 1; i < len(t.Columns) && sum > phoneRoom; i++ {
		c := &t.Columns[i]
		ticked := slices.ContainsFunc(t.Rows, func(row []table.Cell) bool { return i < len(row) && row[i].Tick })
		if c.Under != "" || ticked {
			continue
		}
		if sum -= width(i); !slices.Contains(out, true) {
			sum += max(0, firstRoom*phoneSize+phonePad-width(0))
		}
		out[i] = true
		c.Under = strings.ReplaceAll(c.Name, "%", "%%") + ": %s"
	}
	return out
}

// asItem returns an item of a second line, on one line if it is short, after others if more
// is true.
func asItem(item string, more bool) string {
	const short = 13 // letters, as many as the narrowest second line has
	if utf8.RuneCountInString(item) <= short {
		item = strings.ReplaceAll(item, " ", "\u00a0")
	}
	if more {
		return "; " + item
	}
	return item
}

// newHTMLTable converts a table that passed [check].
func newHTMLTable(t table.Table) htmlTable {
	t = t.Headed()
	folded := foldColumns(t)
	cards := len(t.Columns) > fewColumns && slices.Contains(folded, true)
	g := htmlTable{Table: t, Long: len(t.Rows) > manyRows, Key: len(t.Columns) > 1}
	wide := false // the first column wraps to stay visible
	for _, row := range t.Rows {
		out := make([]htmlCell, len(t.Columns))
		for i, c := range row {
			column := t.Columns[i]
			class := strings.Fields(columnClass(column))
			out[i].Text, out[i].Tick = column.Show(c), c.Tick
			letters := utf8.RuneCountInString(out[i].Text)
			if column.Under != "" && out[i].Text != "" {
				under := fmt.Sprintf(column.Under, out[i].Text)
				switch behind := slices.Contains(folded[:i], true); {
				case folded[i]:
					under = asItem(under, out[0].Under != "")
				case behind && strings.HasPrefix(column.Under, "%s"): // a line of its own, but for what was folded before it
					under = asItem(column.Name+": "+under, out[0].Under != "")
				}
				out[0].Under += under
				if column.Whole {
					out[0].Under, out[0].UnderTail = unbroken(out[0].Under)
				}
			}
			if column.Whole {
				out[i].Text, out[i].Tail = unbroken(out[i].Text)
			}
			if letters > wordy {
				class = append(class, "wordy")
			}
			if c.Bold {
				class = append(class, "bold")
			}
			switch {
			case cards && letters == 0 && !c.Tick:
				class = append(class, "blank")
			case cards && !(i == 0 && c.Bold): // a total is no mark or bay
				out[i].Name = column.Name
			}
			out[i].Class = strings.Join(class, " ")
			if c.Tick {
				g.Ticks = true
				out[i].Label = strings.TrimSpace(column.Name + " " + out[0].Text)
			}
			wide = wide || i == 0 && letters > shortKey
		}
		g.Rows = append(g.Rows, out)
	}
	var class []string
	if g.Key {
		class = append(class, "key")
	}
	if g.Key && wide {
		class = append(class, "folded")
	}
	if slices.ContainsFunc(t.Columns, func(c table.Column) bool { return c.Under != "" }) {
		class = append(class, "stacked")
	}
	if cards {
		class = append(class, "cards")
	}
	last := len(t.Columns) - 1
	if last > 0 && slices.ContainsFunc(t.Rows, func(row []table.Cell) bool { return len(row) > last && row[last].Tick }) {
		class = append(class, "ticked") // the boxes stay visible
	}
	g.Class = strings.Join(class, " ")
	return g
}
