package text

import (
	"strings"

	"pourplane/survey"
)

// blank reports whether the row has no name, place, code, remark, part, run, reading or
// height. Other cells, such as a set-up alone, do not make a row.
func (f *dialect) blank(r *row) bool {
	if r.X.text != "" || r.Y.text != "" {
		if strings.TrimSpace(r.X.text) != "" || strings.TrimSpace(r.Y.text) != "" {
			return false
		}
	}
	for _, c := range []*cell{&r.Name, &r.Z, &r.Rod, &r.Code, &r.Remark, &r.Part, &r.Run, &r.BS, &r.IS, &r.FS, &r.Diff, &r.Low, &r.High} {
		if strings.TrimSpace(c.text) != "" {
			return false
		}
	}
	return r.Extra.blank()
}

// repeatsHeader reports whether the row is the header once more.
func (f *cursor) repeatsHeader(r *row) bool {
	if f.form.head == nil || r.X.text != "" && r.X.text[0] >= '0' && r.X.text[0] <= '9' {
		return false
	}
	same := 0
	for _, p := range []struct {
		of   role
		cell *cell
	}{{isX, &r.X}, {isY, &r.Y}, {isZ, &r.Z}, {isRod, &r.Rod}, {isBS, &r.BS}, {isFS, &r.FS}} {
		c := f.of[p.of]
		if c == nil {
			continue
		}
		if len(p.cell.text) == 0 || p.cell.text[0] >= '0' && p.cell.text[0] <= '9' || !strings.EqualFold(strings.TrimSpace(p.cell.text), c.head) {
			return false
		}
		same++
	}
	if same < 2 {
		return false
	}
	f.note(survey.Assumed, f.at(f.line), "header repeated on line %d", f.line)
	return true
}

// short returns a column that the row must reach and does not, nil if it is long enough.
func (f *shots) short(r *row) *column {
	switch {
	case f.x != nil && !r.X.seen:
		return f.x
	case f.y != nil && !r.Y.seen:
		return f.y
	}
	switch f.manner {
	case byElevation:
		if !r.Z.seen && !f.outline && len(f.codes.Own) == 0 && f.code == nil {
			return f.of[isZ]
		}
	case byRod, bySight, byGradeRod:
		if !r.Rod.seen {
			return f.of[isRod]
		}
	}
	return nil
}
