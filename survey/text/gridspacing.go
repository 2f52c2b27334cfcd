package text

import (
	"regexp"
	"strings"

	"pourplane/survey/unit"
)

// A spacing in words: "grid 3 ft", "lines every 1.5 m", "1 m apart", "500 mm centres".
var (
	spacingBefore = regexp.MustCompile(`(?i)\b(?:grid|spacing|step|every|lines|spots)\b[^\d]{0,12}(\d+(?:[.,]\d+)?)\s*-?\s*([a-z]+|['"])`)
	spacingAfter  = regexp.MustCompile(`(?i)(\d+(?:[.,]\d+)?)\s*-?\s*([a-z]+|['"])\s*(?:grid|spacing|apart|cent(?:er|re)s?|c/c|o\.?c\.?)`)
)

// spacingHint proposes a grid spacing: the first that texts give in words, else a common
// one in the system of u, the unit of the readings.
func spacingHint(texts []string, u unit.Length) unit.Option {
	for _, t := range texts {
		for _, form := range []*regexp.Regexp{spacingBefore, spacingAfter} {
			if m := form.FindStringSubmatch(t); m != nil {
				if in, ok := unit.ParseLength(m[2]); ok {
					return unit.Ask("grid-spacing", strings.Replace(m[1], ",", ".", 1)+in.String())
				}
			}
		}
	}
	if u.Imperial() {
		return unit.Ask("grid-spacing", "10ft")
	}
	return unit.Ask("grid-spacing", "3m")
}

// askSpacing returns the error for a sheet without a distance between its lines.
func (f *dialect) askSpacing(s *sheet, value *column) error {
	var texts []string
	for n, text := range enumerate(f.text.body) {
		if n > s.head.n {
			break
		}
		texts = append(texts, text)
	}
	return askGrid(f.at(s.head.n), "no spacing", "the distance between the lines of the grid",
		unit.Textf("%s, or %s where the two differ", spacingHint(texts, value.unit), unit.Ask("grid-spacing", "LETTERS,NUMBERS")))
}
