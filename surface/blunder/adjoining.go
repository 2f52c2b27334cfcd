package blunder

import (
	"slices"
	"strings"
	"unicode"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// doorWords are what a crew writes at a shot on the finished floor beside the room.
var doorWords = []string{"door", "doorway", "threshold", "sill", "finished", "hall"}

// Adjoining says what to do with a suspect shot whose name or remark speaks of a door or of
// finished floor: it may be right, and no shot of the old floor. It is empty for others.
func Adjoining(p survey.Point) unit.Text {
	words := strings.FieldsFunc(strings.ToLower(p.Name()+" "+p.Remark()+" "+p.Code()), func(r rune) bool { return !unicode.IsLetter(r) })
	i := slices.IndexFunc(words, func(w string) bool { return slices.Contains(doorWords, w) })
	if i < 0 {
		return unit.Text{}
	}
	if p.Name() == "" {
		return unit.Textf(". It says \"%s\": if it is on adjoining finished floor, give it the code ADJ", words[i])
	}
	return unit.Textf(". It says \"%s\": if it is on adjoining finished floor, give it the code ADJ, or fill with %s", words[i], unit.Ask("finish-at", p.Name()))
}
