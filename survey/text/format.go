package text

import (
	"bytes"

	"pourplane/survey/internal/thin"
	"pourplane/survey/unit"
)

// Format is a file format that has its own reader. [Other] is every other file.
type Format uint8

const (
	Other Format = iota // delimited text, or not read
	Workbook
	LandXML
	LAS
	PLY
	Cells
)

// Kind is the kind of a file, by its first bytes.
type Kind struct {
	Format Format

	what   string // for messages; empty if it may be text
	saveAs string // hint; a format string for with
	with   []any
}

// Sniff returns the kind of a file by its first bytes. It looks at up to 1024 bytes of
// head.
func Sniff(head []byte) Kind {
	head = head[:min(len(head), 1024)]
	const asText = "save it as delimited text (CSV)"
	for _, k := range []struct {
		magic string
		Kind
	}{
		{zipMagic, Kind{what: "a zipped spreadsheet or archive", saveAs: asText, Format: Workbook}},
		{"\xd0\xcf\x11\xe0", Kind{what: "an old spreadsheet, or one that is locked with a password", saveAs: "save it as XLSX without a password, or as delimited text (CSV)"}},
		{"%PDF", Kind{what: "a PDF", saveAs: "get the point list itself as delimited text (CSV)"}},
		{"LASF", Kind{what: "a LAS scan", saveAs: "save it as x y z text", Format: LAS}},
		{thin.Magic, Kind{what: "cells of a thinned scan", saveAs: "give it as a survey", Format: Cells}},
		{"\x1f\x8b", Kind{what: "a compressed file", saveAs: "unpack it first"}},
		{"\x89PNG", Kind{what: "a picture", saveAs: "get the point list itself as delimited text (CSV)"}},
		{"\xff\xd8\xff", Kind{what: "a picture", saveAs: "get the point list itself as delimited text (CSV)"}},
		{"AC10", Kind{what: "a binary drawing", saveAs: "save the points as delimited text (CSV)"}},
		{"SQLite format 3", Kind{what: "a database", saveAs: asText}},
		{"{", Kind{what: "JSON", saveAs: asText}},
		{"ISO-10303-21", Kind{what: "a building model", saveAs: "save the surface as LandXML or the points as delimited text (CSV)"}},
	} {
		if bytes.HasPrefix(head, []byte(k.magic)) {
			return k.Kind
		}
	}
	if rest, ok := bytes.CutPrefix(head, []byte("ply")); ok && bytes.HasPrefix(bytes.TrimLeft(rest, " \t\r"), []byte("\n")) {
		return Kind{what: "a PLY file", saveAs: "save it as x y z text", Format: PLY}
	}
	t := bytes.TrimLeft(bytes.TrimPrefix(head, []byte("\xef\xbb\xbf")), " \t\r\n")
	if f := bytes.Fields(t); len(f) > 1 && string(f[0]) == "0" && string(f[1]) == "SECTION" {
		return Kind{what: "a drawing exchange file", saveAs: "save the points as delimited text (CSV)"}
	}
	if f := bytes.Fields(bytes.ToLower(t)); len(f) > 3 && string(f[0]) == "ncols" && string(f[2]) == "nrows" {
		return Kind{what: "an ASCII grid of elevations (ncols, nrows, cellsize)", saveAs: "save it as text with one x y z a line, and read that with %s and %s", with: []any{unit.Ask("order", "XYZ"), unit.Ask("units", "")}}
	}
	// In UTF-16 each letter of XML has a zero byte beside it.
	letters := bytes.ReplaceAll(bytes.TrimLeft(head, "\xff\xfe"), []byte{0}, nil)
	if bytes.HasPrefix(t, []byte("<")) || bytes.HasPrefix(letters, []byte("<?xml")) {
		return Kind{what: "XML", saveAs: "LandXML is read; other XML has to be saved as delimited text (CSV)", Format: LandXML}
	}
	return Kind{}
}

// IsText returns an error if head, the first bytes of a file, is not text. name is used
// in the message only.
func IsText(name string, head []byte) error {
	_, err := decode(name, bytes.Clone(head))
	return err
}
