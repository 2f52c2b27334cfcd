//go:build !light

package exchange

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/xuri/excelize/v2"

	"pourplane/plot/table"
	"pourplane/survey"
)

// writeSheet writes table k.
func (b *book) writeSheet(k int) error {
	w, err := b.newSheetWriter(k)
	if err != nil {
		return err
	}
	// Anything before the rows in the file is set before the first row is written.
	if err := w.setUp(); err != nil {
		return err
	}
	if err := w.across(1, w.Title, style{size: 14, bold: true, wrap: true}); err != nil {
		return err
	}
	if err := w.heads(); err != nil {
		return err
	}
	if err := w.rows(); err != nil {
		return err
	}
	for i, n := range w.notes {
		if err := w.across(firstRow+len(w.Rows)+1+i, n, style{wrap: true}); err != nil {
			return err
		}
	}
	return w.stream.Flush()
}

// sheetWriter writes one table on its sheet.
type sheetWriter struct {
	table.Table
	book    *book
	sheet   string
	stream  *excelize.StreamWriter
	notes   []string
	wide    []float64 // of the columns, in characters
	columns int       // that titles and notes extend over
	total   float64   // width of these columns
}

// newSheetWriter adds the sheet of table k to the workbook.
func (b *book) newSheetWriter(k int) (*sheetWriter, error) {
	w := &sheetWriter{Table: b.tables[k], book: b, sheet: b.sheets[k]}
	w.notes = w.Notes
	if hasInput(w.Table) && slices.ContainsFunc(b.tables, calculates) {
		w.notes = append(slices.Clone(w.notes), inputNote)
	}
	w.wide, w.total = widths(w.Table)
	// Title and notes extend over empty columns if the table is narrow.
	for w.columns = len(w.Columns); w.columns < 1 || w.total < leastAcross; w.columns++ {
		w.total += usualColumn
	}
	if k == 0 { // a new workbook has one sheet
		return w, b.file.SetSheetName(b.file.GetSheetName(0), w.sheet)
	}
	_, err := b.file.NewSheet(w.sheet)
	return w, err
}

// corner returns the last cell of the sheet.
func (w *sheetWriter) corner() (string, error) {
	last := headRow + len(w.Rows)
	if len(w.notes) > 0 {
		last += 1 + len(w.notes)
	}
	corner, err := excelize.CoordinatesToCellName(w.columns, last)
	if err != nil {
		return "", &survey.Error{Element: fmt.Sprintf("table %q", w.Title), Want: err.Error(), Err: err}
	}
	return corner, nil
}

// setUp sets how the sheet is printed, the rows that stay in view, and the widths of the
// columns.
func (w *sheetWriter) setUp() error {
	corner, err := w.corner()
	if err != nil {
		return err
	}
	if err := w.setPrinting(corner); err != nil {
		return err
	}
	if w.stream, err = w.book.file.NewStreamWriter(w.sheet); err != nil {
		return err
	}
	if err := w.stream.SetPanes(&excelize.Panes{Freeze: true, YSplit: headRow, TopLeftCell: fmt.Sprintf("A%d", firstRow), ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	for j, n := range slices.Backward(w.wide) { // the library puts each before the earlier ones
		if err := w.stream.SetColWidth(j+1, j+1, n); err != nil {
			return err
		}
	}
	return nil
}

// setPrinting sets a page one sheet wide, upright or across, with numbers and with the heads
// on every page.
func (w *sheetWriter) setPrinting(corner string) error {
	yes, one, none, orientation := true, 1, 0, "portrait"
	if w.total > portrait {
		orientation = "landscape"
	}
	f := w.book.file
	if err := f.SetSheetDimension(w.sheet, "A1:"+corner); err != nil {
		return err
	}
	if err := f.SetSheetProps(w.sheet, &excelize.SheetPropsOptions{FitToPage: &yes}); err != nil {
		return err
	}
	if err := f.SetPageLayout(w.sheet, &excelize.PageLayoutOptions{Orientation: &orientation, FitToWidth: &one, FitToHeight: &none}); err != nil {
		return err
	}
	if err := f.SetHeaderFooter(w.sheet, &excelize.HeaderFooterOptions{OddFooter: "&C&P / &N"}); err != nil {
		return err
	}
	return f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", Scope: w.sheet,
		RefersTo: fmt.Sprintf("%s!$%d:$%d", quoted(w.sheet), headRow, headRow)})
}

// across writes a text over all columns.
func (w *sheetWriter) across(row int, text string, look style) error {
	id, err := w.book.look(look)
	if err != nil {
		return err
	}
	size := cmp.Or(look.size, usualSize) / usualSize
	if err := w.setRow(row, []any{excelize.Cell{StyleID: id, Value: text}}, min(float64(folded(text, w.total/size))*lineHeight*size, excelize.MaxRowHeight)); err != nil {
		return err
	}
	end, err := excelize.CoordinatesToCellName(w.columns, row)
	if err != nil || w.columns == 1 {
		return err
	}
	return w.stream.MergeCell(fmt.Sprintf("A%d", row), end)
}

// setRow writes a row of a height in points.
func (w *sheetWriter) setRow(row int, cells []any, height float64) error {
	return w.stream.SetRow(fmt.Sprintf("A%d", row), cells, excelize.RowOpts{Height: height})
}

// heads writes the names of the columns.
func (w *sheetWriter) heads() error {
	heads, names := make([]any, len(w.Columns)), make([]string, len(w.Columns))
	for j, c := range w.Columns {
		id, err := w.book.look(style{bold: true, ruled: true, wrap: true, right: c.Right})
		if err != nil {
			return err
		}
		heads[j], names[j] = excelize.Cell{StyleID: id, Value: c.Name}, c.Name
	}
	return w.setRow(headRow, heads, rowHeight(names, w.wide))
}

// rows writes the rows of the table.
func (w *sheetWriter) rows() error {
	for i, row := range w.Rows {
		cells, texts := make([]any, len(row)), make([]string, len(row))
		for j, cell := range row {
			if !cell.Number {
				texts[j] = cell.Text
			}
			var err error
			if cells[j], err = w.book.cell(w.Columns[j], cell, where(w.Table, i, j)); err != nil {
				return err
			}
		}
		if err := w.setRow(firstRow+i, cells, rowHeight(texts, w.wide)); err != nil {
			return err
		}
	}
	return nil
}
