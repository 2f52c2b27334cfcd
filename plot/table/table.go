// Package table describes a table once, so that a terminal, a page and a spreadsheet
// show the same rows.
package table

import "strconv"

// Table is rows under a heading.
type Table struct {
	Title   string
	Columns []Column
	Rows    [][]Cell // as many cells a row as there are columns, or fewer
	Notes   []string // beneath
}

// Column is the head of a column.
type Column struct {
	Name     string // with its unit in brackets where it has one: "Area (m²)"
	Right    bool   // numbers stand to the right
	Decimals int    // of the numbers in it; -1 as many as they have
}

// Cell is a text or a number.
type Cell struct {
	Text    string  // as shown, where it is no number or a number that is shown otherwise
	Value   float64 // where Number
	Number  bool
	Name    string // what formulas call it by; unique among the tables of a book
	Formula string // how a spreadsheet works Value out anew: +, −, *, /, ROUNDUP and the like over names in braces, "{volume}*{price}"
	Input   bool   // a figure of the user's own, to be changed in a spreadsheet
	Bold    bool
	Tick    bool // an empty box to tick by hand
}

// Text returns a cell of text.
func Text(s string) Cell { return Cell{Text: s} }

// Number returns a cell of a number.
func Number(v float64) Cell { return Cell{Value: v, Number: true} }

// Show returns what stands in a cell under the column c.
func (c Column) Show(cell Cell) string {
	if cell.Text != "" || !cell.Number {
		return cell.Text
	}
	return strconv.FormatFloat(cell.Value, 'f', c.Decimals, 64)
}
