package text

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// readDescription reads a cell of a description column into t: its text is the code of
// the shot. In a column headed as remarks it is a code only if it is a known code, a
// benchmark or a sight.
func (f *shots) readDescription(text string, t *survey.Tag) survey.Meaning {
	c := f.of[isRemark]
	prose := c != nil && c.prose
	role, known := f.codes.Remark(text, prose)
	code := text
	if lead := f.codes.Lead(text); !known && lead.Certain {
		role, known, code = lead.Role, true, lead.Word
		f.s.Notes = append(f.s.Notes, survey.Notef(survey.Assumed, t.At, "%sremark \"%s\" read as the code %s: not counted as floor%s",
			t.Label(), shortened(text), code, unit.Hintf(". For a floor shot type %s", unit.Ask("code", code+"=floor"))).About(survey.AboutDepth))
	}
	if prose || code != text {
		t.Remark = f.once(text)
	}
	if !prose {
		t.Code = f.once(code)
		return survey.Meaning{Role: role}
	}
	if known || isBenchmarkWord(text) || isSightWord(text) {
		t.Code = f.once(code)
	}
	if role != survey.Floor && code == text {
		if f.coded == nil {
			f.coded, f.codedAt = map[string]int{}, t.At
		}
		f.coded[strings.ToUpper(t.Code)]++
	}
	return survey.Meaning{Role: role}
}

// noteCoded notes which cells of a remarks column were taken as codes.
func (f *shots) noteCoded() {
	if f.outline || len(f.coded) == 0 {
		return
	}
	one := slices.Min(slices.Collect(maps.Keys(f.coded)))
	f.note(survey.Assumed, f.codedAt, "%s holds remarks. A cell with a code alone gives its shot that code: %s%s", f.of[isRemark], counted(f.coded), unit.Hintf(". For a floor shot type %s", unit.Ask("code", one+"=floor")))
}

// codeLike reports whether a remark is or begins with a code, and the options do not say
// that it is floor.
func (f *shots) codeLike(remark string) bool {
	if role, stated := f.codes.Stated(remark); stated && role == survey.Floor {
		return false
	}
	return remark != "" && (survey.IsCode(remark) || f.codes.Lead(remark).Word != "")
}

// leaveUncoded remembers point i, which has no role and no code, if its remark is or
// begins with a code.
func (f *shots) leaveUncoded(remark string, i int) {
	if f.codeLike(remark) {
		f.uncoded = append(f.uncoded, i)
	}
}

// warnUncoded warns of floor shots whose remark is or begins with a code. placed are those
// with x and y alone.
func (f *shots) warnUncoded(drop map[int]bool, placed bool) {
	const most = 5 // max warnings; own choice
	words, first := map[string]int{}, survey.Pos{}
	begun := 0
	for _, i := range f.uncoded {
		p := &f.pts[i]
		if drop[i] || f.role(i) != survey.Floor || placed && math.IsNaN(p.X+p.Y) {
			continue
		}
		text := strings.TrimSpace(cmp.Or(p.Remark(), p.Code()))
		lead := f.codes.Lead(text)
		if survey.IsCode(text) || lead.Word == "" {
			if words[text]++; first == (survey.Pos{}) {
				first = p.At()
			}
			continue
		}
		if begun++; begun > most {
			continue
		}
		f.s.Notes = append(f.s.Notes, survey.By(survey.ByLead, []survey.Note{survey.Notef(survey.Warning, p.At(), "%sremark \"%s\" begins with the code %s: used as floor. If it is %s, write %s alone, or in a column headed code",
			survey.Label(*p), shortened(text), lead.Word, meantBy(lead), written(lead)).About(survey.AboutDepth)})...)
	}
	if begun > most {
		f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, survey.Pos{File: f.name}, "%d more remarks begin with a code: check what each of their shots is", begun-most).About(survey.AboutDepth))
	}
	if len(words) == 0 {
		return
	}
	var each []string
	for _, w := range slices.Sorted(maps.Keys(words)) {
		each = append(each, fmt.Sprintf("\"%s\" (%s)", w, survey.Plural(words[w], "row")))
	}
	f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, first, "%s read as a remark. If it is the code of its shot, write it in capitals", strings.Join(each, ", ")).About(survey.AboutDepth))
}

// meantBy says what the shot of a code is.
func meantBy(l survey.Lead) string {
	switch {
	case l.Role == survey.Finished:
		return "adjoining finished floor"
	case survey.IsDrain(l.Word):
		return "a drain"
	case l.Role == survey.Control:
		return "a benchmark or check"
	}
	return "no floor shot"
}

// written returns the code to write for a shot.
func written(l survey.Lead) string {
	if l.Word == "FINISHED" {
		return "ADJ"
	}
	return l.Word
}

// shortened cuts a remark for a note.
func shortened(text string) string {
	const most = 40 // characters; own choice
	if r := []rune(strings.TrimSpace(text)); len(r) > most {
		return string(r[:most]) + "…"
	}
	return strings.TrimSpace(text)
}

// counted lists words with their counts.
func counted(of map[string]int) string {
	const most = 5 // max listed; own choice
	all := slices.Sorted(maps.Keys(of))
	var words []string
	for _, w := range all[:min(len(all), most)] {
		words = append(words, fmt.Sprintf("%s %d", w, of[w]))
	}
	if n := len(all) - most; n > 0 {
		words = append(words, fmt.Sprintf("and %d more", n))
	}
	return strings.Join(words, ", ")
}

// isSightWord reports whether a code is BS, IS or FS.
func isSightWord(code string) bool {
	return slices.Contains([]string{"BS", "IS", "FS"}, strings.ToUpper(strings.TrimSpace(code)))
}
