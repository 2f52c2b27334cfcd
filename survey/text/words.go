package text

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
)

var (
	digitRun = regexp.MustCompile(`\d+`)
	// ofBelow matches words that may change the meaning of the rows below them.
	ofBelow = regexp.MustCompile(`(?i)\b(?:add|subtract|deduct|minus|plus|higher|lower|feet|foot|ft|inch|inches|mm|cm|met(?:er|re)s?|rod|staff|datum|bench ?mark|b\.?m|h\.?i|zero(?:ed)?)\b`)
)

// wordsOnly returns the text of a row without numbers, which is a remark. One number may
// be among its words, as in "row 3 starts here". It must not begin the row or be a cell
// of its own: such a row may be a shot cut short.
//
// A row of words in an outline may head the next ring, and in runs the next run. There,
// and where its words may change the rows below, wordsOnly reports false and the row is
// refused later.
func (f *shots) wordsOnly(r *row) (string, bool) {
	drawn := isDrawn(r.Name.text) || isDrawn(r.X.text) || isDrawn(r.Y.text)
	for _, c := range []*cell{&r.X, &r.Y, &r.Z, &r.Rod, &r.BS, &r.IS, &r.FS, &r.Diff, &r.Low, &r.High, &r.HI} {
		if !drawn && strings.ContainsAny(c.text, "0123456789") {
			return "", false
		}
	}
	if f.outline || f.manner == byRun {
		return "", false
	}
	if f.short(r) == nil && missing(r.X.text) && missing(r.Y.text) && missing(r.Z.text) && missing(r.Rod.text) {
		return "", false // a place without a reading
	}
	text := string(bytes.Trim(lineAt(f.text.body, f.line-f.bodyBefore), ", ;\t\r"))
	if first, _, _ := strings.Cut(text, " "); digitRun.MatchString(first) {
		return "", false // the name of a shot
	}
	if text == "" || len(digitRun.FindAllString(text, 2)) > 1 || ofBelow.MatchString(text) {
		return "", false
	}
	sep := f.form.sep
	if sep == blanks && drawn {
		sep = 0 // a line in a drawn rule is one cell
	}
	if slices.ContainsFunc(split(text, sep), looksNumeric) {
		return "", false
	}
	return strings.ReplaceAll(text, "\t", " "), true
}

// isDrawn reports whether a cell begins with a rule, as in "--- row 3 ---".
func isDrawn(cell string) bool {
	return strings.HasPrefix(cell, "---") || strings.HasPrefix(cell, "===")
}
