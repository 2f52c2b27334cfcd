package text

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// readDescription reads a cell of a description column into p: its text is the code of
// the shot. In a column headed as remarks it is a code only if it is a known code, a
// benchmark or a sight.
func (f *shots) readDescription(text string, p *survey.Point) survey.Meaning {
	c := f.of[isRemark]
	prose := c != nil && c.prose
	role, known := f.codes.Remark(text, prose)
	if prose && !known && survey.IsCode(text) {
		if f.uncoded == nil {
			f.uncoded, f.uncodedAt = map[string]int{}, p.At
		}
		f.uncoded[strings.TrimSpace(text)]++
	}
	if !prose {
		p.Code = f.once(text)
		return survey.Meaning{Role: role}
	}
	p.Remark = f.once(text)
	if known || isBenchmarkWord(text) || isSightWord(text) {
		p.Code = f.once(text)
	}
	if role != survey.Floor {
		if f.coded == nil {
			f.coded, f.codedAt = map[string]int{}, p.At
		}
		f.coded[strings.ToUpper(p.Code)]++
	}
	return survey.Meaning{Role: role}
}

// noteCoded notes which cells of a remarks column were taken as codes, and warns of codes
// that were not taken.
func (f *shots) noteCoded() {
	if f.outline {
		return
	}
	if len(f.uncoded) > 0 {
		f.s.Notes = append(f.s.Notes, survey.Notef(survey.Warning, f.uncodedAt, "%s: %s read as a remark. If it is the code of its shot, write it in capitals", f.of[isRemark], counted(f.uncoded)).About(survey.AboutDepth))
	}
	if len(f.coded) > 0 {
		one := slices.Min(slices.Collect(maps.Keys(f.coded)))
		f.note(survey.Assumed, f.codedAt, "%s holds remarks. A cell with a code alone gives its shot that code: %s. For a floor shot type %s", f.of[isRemark], counted(f.coded), unit.Ask("code", one+"=floor"))
	}
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
