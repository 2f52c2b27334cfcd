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
	role, known := f.codes.Remark(text)
	if c := f.of[isRemark]; c == nil || !c.prose {
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

// noteCoded notes which cells of a remarks column were taken as codes.
func (f *shots) noteCoded() {
	if len(f.coded) == 0 || f.outline {
		return
	}
	const most = 5 // max listed; own choice
	all := slices.Sorted(maps.Keys(f.coded))
	var words []string
	for _, w := range all[:min(len(all), most)] {
		words = append(words, fmt.Sprintf("%s %d", w, f.coded[w]))
	}
	if n := len(all) - most; n > 0 {
		words = append(words, fmt.Sprintf("and %d more", n))
	}
	f.note(survey.Assumed, f.codedAt, "%s holds remarks. A cell with a code alone gives its shot that code: %s. For a floor shot type %s", f.of[isRemark], strings.Join(words, ", "), unit.Ask("code", all[0]+"=floor"))
}

// isSightWord reports whether a code is BS, IS or FS.
func isSightWord(code string) bool {
	return slices.Contains([]string{"BS", "IS", "FS"}, strings.ToUpper(strings.TrimSpace(code)))
}
