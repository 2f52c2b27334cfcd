package job

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"pourplane/surface"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// fewCoded is the max number of shots whose code may be a slip of another: a code of the
// crew's own is on more. Own choice.
const fewCoded = 3

// slipped lists the floor shots whose code, or the code at the start of a remark, is one slip
// from one of codes, ADJ, BM, TP or DRAIN, is on few shots, and has no role in the options:
// they may be no floor.
func (f *input) slipped(s *survey.Survey, floor *surface.Floor, codes []string) ([]begun, error) {
	own, err := f.codeRoles()
	if err != nil {
		return nil, err
	}
	book := survey.NewCodebook(own)
	known := slices.Clip(slices.Concat(codes, []string{"ADJ", "BM", "TP", "DRAIN"}))
	count := map[string]int{}
	var out []begun
	last, word, meant := "", "", ""
	for i := range s.Points {
		p := &s.Points[i]
		text := cmp.Or(p.Code(), s.RemarkOn(*p))
		if text == "" {
			continue
		}
		if text != last { // codes come in runs
			last, word, meant = text, codeWord(text, p.Code() != ""), ""
			_, stated := own[word]
			if _, whole := book.Stated(text); word != "" && !stated && !whole && !survey.IsCode(word) {
				meant = oneSlip(word, known)
			}
		}
		if meant == "" {
			continue
		}
		if count[word]++; count[word] <= fewCoded {
			out = append(out, begun{shot: *p, text: strings.TrimSpace(text), lead: survey.Lead{Word: word}, meant: meant, off: outside(floor, p)})
		}
	}
	return slices.DeleteFunc(out, func(b begun) bool {
		n := count[b.lead.Word]
		return n > fewCoded || 4*n > len(s.Points)
	}), nil
}

// codeWord returns the word, in upper case, at the start of a cell that may be a code: the
// whole cell, or capitals before a mark or before small letters.
func codeWord(cell string, coded bool) string {
	t := strings.TrimRight(strings.TrimSpace(cell), ".,;: ")
	end := strings.IndexFunc(t, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if end < 0 {
		end = len(t)
	}
	word, rest := t[:end], strings.TrimSpace(t[end:])
	switch up := strings.ToUpper(word); {
	case rest == "" && coded,
		word == up && (rest == "" || strings.ContainsAny(rest[:1], "-_:/,;.–")),
		word == up && rest != strings.ToUpper(rest) && (coded || len(word) > 2): // AJD store
		return up
	}
	return ""
}

// oneSlip returns the code that a word is one slip from: a letter changed, missing, added or
// swapped with the next, or a digit behind it. A code of two letters has too many neighbours
// that crews use, such as TOP: there an added letter must be one of its own.
func oneSlip(word string, codes []string) string {
	const floor = "FLR" // the code that a drain to be filled over gets
	if word == floor || len(word) < 2 {
		return ""
	}
	for _, c := range codes {
		up := strings.ToUpper(c)
		if up == word {
			return ""
		}
	}
	for _, c := range codes {
		up := strings.ToUpper(c)
		digit := strings.ContainsFunc(word, unicode.IsDigit) && !strings.ContainsFunc(up, unicode.IsDigit)
		switch rest, behind := strings.CutPrefix(word, up); {
		case digit:
			if behind && len(rest) == 1 {
				return up
			}
		case len(up) == 2 && len(word) == 3:
			if strings.Trim(word, up) == "" && oneEdit(word, up) {
				return up
			}
		case oneEdit(word, up):
			return up
		}
	}
	return ""
}

// oneEdit reports whether two words differ by one letter changed, added or missing, or by two
// neighbours swapped.
func oneEdit(a, b string) bool {
	if len(a) < len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(b) && a[i] == b[i] {
		i++
	}
	switch len(a) - len(b) {
	case 1:
		return a[i+1:] == b[i:]
	case 0:
		return i < len(a) && (a[i+1:] == b[i+1:] || i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:])
	}
	return false
}

// codeSlip is what was found where a code looks mistyped.
func (b begun) codeSlip() unit.Text {
	what := "the code"
	if b.shot.Code() == "" {
		what = "the remark"
	}
	where := unit.Text{}
	if b.off > 0 {
		where = unit.Textf(" on a shot %s outside the walls", unit.Distance(b.off))
	}
	return unit.Textf("%s %s%s: %s is one slip from %s", what, unit.Quote(b.text), where, b.lead.Word, b.meant)
}

// slipSettled says how to tell what a shot with a code that looks mistyped is. A remark that
// is not in the tag of its shot is beside a column of codes.
func (b begun) slipSettled() unit.Text {
	is := "finished floor"
	switch b.meant {
	case "BM":
		is = "a benchmark"
	case "TP":
		is = "a turning point"
	case "DRAIN":
		is = "a drain"
	}
	switch {
	case b.shot.Code() != "":
		return unit.Textf("If it is %s, correct the code to %s. If it is old floor, %s", is, b.meant, unit.Ask("code", b.lead.Word+"=floor"))
	case b.shot.Remark() == "":
		return unit.Textf("If it is %s, put %s in its code column. If it is old floor, put FLR there", is, b.meant)
	}
	write := b.meant
	if rest := strings.TrimLeft(b.text[len(b.lead.Word):], " .,;:/_-–"); rest != "" {
		write += " - " + rest
	}
	return unit.Textf("If it is %s, write the remark as %s. If it is old floor, %s", is, unit.Quote(write), unit.Ask("code", strings.ToUpper(strings.TrimRight(b.text, ".,;:"))+"=floor"))
}
