package web

import (
	"bytes"
	"context"
	"os"
	"path"
	"path/filepath"
	"testing"
	"testing/fstest"

	"github.com/xuri/excelize/v2"

	"pourplane/surface/job"
)

// workbook is a survey in metres as a spreadsheet.
func workbook(t *testing.T) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for at, v := range map[string]any{
		"A1": "point", "B1": "x (m)", "C1": "y (m)", "D1": "z (m)",
		"A2": 1, "B2": 0, "C2": 0, "D2": 9.99, "A3": 2, "B3": 4.5, "C3": 0, "D3": 9.98,
		"A4": 3, "B4": 4.5, "C4": 3, "D4": 9.965, "A5": 4, "B5": 0, "C5": 3, "D5": 9.97,
	} {
		if err := f.SetCellValue("Sheet1", at, v); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A file of each kind is taken by the page, asks for what it lacks, and gives the volume that
// a job of it gives.
func TestEachKindOfFile(t *testing.T) {
	t.Parallel()
	type input struct{ label, value, button string }
	metres := input{"Units", "m", "Set units"}
	for _, c := range []struct {
		file   string
		settle []input
	}{
		{"floor.xlsx", nil},
		{"scan/slab-1.2.las", nil},
		{"scan/slab-mesh.ply", []input{metres}},
		{"landxml/made/grid-quads.xml", nil},
		{"csv/06-xyz-three-columns.xyz", []input{{"Order", "XYZ", "Set order"}, metres}},
		{"csv/110-grid-sheet.csv", []input{{"Grid numbers", "north", "Set grid numbers"}, metres, {"Grid values", "elevation", "Set grid values"}}},
		{"csv/22-unit-suffix.csv", nil},
	} {
		t.Run(path.Base(c.file), func(t *testing.T) {
			b, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", filepath.FromSlash(c.file)))
			if c.file == "floor.xlsx" {
				b, err = workbook(t), nil
			}
			if err != nil {
				t.Fatal(err)
			}
			name := path.Base(c.file)
			p := opened(t, 360, 740)
			p.give(map[string]string{name: string(b)})
			for _, s := range c.settle {
				inputs := `[...document.querySelectorAll('#shots label')].filter(l => l.textContent === ` + quote(s.label) + `).length`
				p.wait(inputs)
				p.idle()
				if n := ask[int](p, inputs); n != 1 {
					t.Errorf("%d inputs for %s", n, s.label)
				}
				p.enter(s.label, s.value)
				p.tap(s.button)
			}
			p.turn("target")
			p.enter("Top of fill", "11.4m")
			p.tap("Work it out")
			p.wait(`import('./state.js').then(m => m.state.answer)`)
			p.idle()
			j, err := job.Parse([]byte(p.job()), "job.toml")
			if err != nil {
				t.Fatal(err)
			}
			r, err := job.Solve(context.Background(), j, fstest.MapFS{name: {Data: b}}, nil)
			if err != nil {
				t.Fatal(err)
			}
			if got := ask[float64](p, `import('./state.js').then(m => m.state.answer.fill_m3)`); got != r.Fill.Fill || !(got > 1) {
				t.Errorf("the page has %v m³ of fill, the job %v", got, r.Fill.Fill)
			}
			p.picture("kind-" + name)
		})
	}
}
