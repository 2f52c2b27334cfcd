package text

// zipMagic is how zip archives begin. XLSX workbooks are zip archives.
const zipMagic = "PK\x03\x04"

// workbookSheet is the sheet that a text was made from, one line for each row.
type workbookSheet struct {
	name string
	left int // number of empty columns left out before the first
}
