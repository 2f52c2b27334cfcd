// Package table describes a table once, so that a terminal, a page and a spreadsheet
// show the same rows.
package table

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey/unit"
)

// Table is rows under a heading.
type Table struct {
	Title   string
	Sheet   string // name of its sheet in a workbook; empty: Title
	Columns []Column
	Rows    [][]Cell // as many cells in a row as columns, or fewer
	Notes   []string // below
}

// Column is the head of a column.
type Column struct {
	Name     string // "Area"
	Unit     string // of its numbers, if any: "m²"
	Right    bool   // right-aligned, for numbers
	Decimals int    // of its numbers; -1 for all their digits
	Grouped  bool   // its numbers are money: two decimals, with commas between the thousands
	Whole    bool   // its texts are file:line and are not broken before the number
	Under    string // format of a cell on a narrow page, where it moves to a second line under the first column; empty: it does not move
}

// Cell is a text or a number.
type Cell struct {
	Text    string  // as shown, for a text or a number shown as a text
	Value   float64 // if Number, in the unit of the column's head
	Number  bool
	Name    string // its name in formulas; unique among the tables of a book
	Formula string // how a spreadsheet calculates Value: +, −, *, /, ROUNDUP and the like over names in braces, "{volume}*{price}"
	Input   bool   // a figure that the user may change in a spreadsheet
	Whole   bool   // a count, written without the decimals of its column
	Bold    bool
	Tick    bool // an empty box to tick by hand
}

// NotKnown is the text of a number, 0, that the user has not given.
const NotKnown = "not known"

// Headed returns t for readers: with "Area (m²)" for a head whose numbers are shown without
// their unit, else "Area".
func (t Table) Headed() Table {
	bare := make([]bool, len(t.Columns))
	for _, row := range t.Rows {
		for j, cell := range row[:min(len(row), len(bare))] {
			bare[j] = bare[j] || cell.Number && cell.Text == ""
		}
	}
	return t.heads(func(j int) bool { return bare[j] || len(t.Rows) == 0 })
}

// Figures returns t for programs, which take the numbers: with the unit of a column in its
// head.
func (t Table) Figures() Table { return t.heads(func(int) bool { return true }) }

// heads returns t with the units of some columns in their heads.
func (t Table) heads(with func(j int) bool) Table {
	t.Columns = slices.Clone(t.Columns)
	for j := range t.Columns {
		if c := &t.Columns[j]; c.Unit != "" && with(j) {
			c.Name += " (" + c.Unit + ")"
		}
		t.Columns[j].Unit = ""
	}
	return t
}

// Pick returns t with the columns of some names, in their order. A name that t lacks is left
// out, because some columns are only there where they are needed.
func (t Table) Pick(names ...string) Table {
	out := t
	out.Columns, out.Rows = nil, make([][]Cell, len(t.Rows))
	for _, name := range names {
		j := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Name == name })
		if j < 0 {
			continue
		}
		out.Columns = append(out.Columns, t.Columns[j])
		for i, row := range t.Rows {
			var cell Cell // a row may be short
			if j < len(row) {
				cell = row[j]
			}
			out.Rows[i] = append(out.Rows[i], cell)
		}
	}
	return out
}

// Text returns a cell of text.
func Text(s string) Cell { return Cell{Text: s} }

// Number returns a cell of a number.
func Number(v float64) Cell { return Cell{Value: v, Number: true} }

// Quantity returns a cell of a number that readers see as text, with its unit: "12 mm".
func Quantity(text string, v float64) Cell { return Cell{Text: text, Value: v, Number: true} }

// Show returns the text of a cell in column c. A number that rounds to zero has no sign.
func (c Column) Show(cell Cell) string {
	if cell.Text != "" || !cell.Number {
		return cell.Text
	}
	if cell.Whole {
		c.Decimals = 0
	}
	v := cell.Value
	if c.Grouped {
		return unit.Money(v)
	}
	if c.Decimals >= 0 {
		v = unit.HalfUp(v, c.Decimals)
	}
	s := strconv.FormatFloat(v, 'f', c.Decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// mostDecimals is the max that a spreadsheet's number format holds, and more than a float64
// can use.
const mostDecimals = 30

// Check returns an error for the first item in t that no writer can write: a row longer than
// the heads, a number that is not finite, a formula without a number, decimals out of range.
func (t Table) Check() error {
	for _, c := range t.Columns {
		if c.Decimals < -1 || c.Decimals > mostDecimals {
			return fmt.Errorf("table %q, column %q: found %d decimals, want -1 to %d", t.Title, c.Name, c.Decimals, mostDecimals)
		}
	}
	for i, row := range t.Rows {
		if len(row) > len(t.Columns) {
			return fmt.Errorf("table %q, row %d: found %d cells, want at most one for each of the %d columns", t.Title, i+1, len(row), len(t.Columns))
		}
		for j, cell := range row {
			where := fmt.Sprintf("table %q, row %d, column %q", t.Title, i+1, t.Columns[j].Name)
			if cell.Number && (math.IsNaN(cell.Value) || math.IsInf(cell.Value, 0)) {
				return fmt.Errorf("%s: found %v, want a finite number", where, cell.Value)
			}
			if cell.Formula != "" && !cell.Number {
				return fmt.Errorf("%s: found the formula %q without a value, want the number it gives beside it", where, cell.Formula)
			}
		}
	}
	return nil
}
