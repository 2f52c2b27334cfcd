package blunder

import (
	"slices"
	"strings"
	"unicode"

	"pourplane/survey/unit"
)

// doorWords are what a crew writes at a shot on the finished floor beside the room.
var doorWords = []string{"door", "doorway", "threshold", "sill", "adjoining", "finished", "hall"}

// DoorWord returns the first whole word of a text, in any case, that speaks of a door or of
// finished floor; empty without one.
func DoorWord(text string) string {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) })
	i := slices.IndexFunc(words, func(w string) bool { return slices.Contains(doorWords, w) })
	if i < 0 {
		return ""
	}
	return words[i]
}

// reveal is how far from the nearest wall, m, a shot on the finished floor beside the room may
// be: a door jamb. Own choice.
const reveal = 0.3

// Adjoining quotes the code and the remark of a suspect shot, and says what to do with one at
// a wall, or whose words speak of a door or of finished floor: it may be right, and no shot of
// the old floor. It is empty for others.
func Adjoining(b Finding) unit.Text {
	p := b.Shot
	code, remark := strings.TrimSpace(p.Code()), strings.TrimSpace(b.Remark)
	if remark == "" {
		remark = strings.TrimSpace(p.Remark())
	}
	said := unit.Text{}
	switch {
	case code != "" && remark != "" && code != remark:
		said = unit.Textf(". Its code is %s, its remark is %s", unit.Quote(code), unit.Quote(remark))
	case remark != "":
		said = unit.Textf(". Its remark is %s", unit.Quote(remark))
	case code != "":
		said = unit.Textf(". Its code is %s", unit.Quote(code))
	}
	const ask = "%s. If it is on adjoining finished floor, give it the code ADJ"
	switch word := DoorWord(p.Name() + " " + remark + " " + code); {
	case word != "" && p.Name() != "":
		return unit.Textf(ask+", or fill with %s", said, unit.Ask("finish-at", p.Name()))
	case word != "" || b.AtWall:
		return unit.Textf(ask, said)
	}
	return said
}
