package report

import (
	"bytes"
	"testing"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// The sums and the closing of a book on the page, by the exercise of example 1 in worked-examples.md: 25.42 ft
// of backsights, 30.47 of foresights, 5.49 of rises and 10.54 of falls, −5.05 each way, and 94.95 found where 94.91
// is known: 0.04 high. Allowed are 0.03 ft: beyond.
func TestChecksOfABookByHand(t *testing.T) {
	const ft = 0.3048
	checks := survey.Checks{SumBS: 25.42 * ft, SumFS: 30.47 * ft, SumRise: 5.49 * ft, SumFall: 10.54 * ft, LastMinusFirst: -5.05 * ft, Line: true}
	closure := survey.Closure{On: "BM B", Setup: "4", Closing: true, Observed: 94.95 * ft, Known: 94.91 * ft, Allowable: 0.03 * ft}
	for _, c := range []struct {
		change func(b *survey.Book)
		style  levelStyle
		want   []string
	}{
		{func(*survey.Book) {}, levelStyle{Style: unit.Style{Imperial: true}, digits: 2}, []string{"sum of backsights 25.42, of foresights 30.47: difference -5.05", "sum of rises 5.49, of falls 10.54: difference -5.05", "last elevation less the first: -5.05", "the three agree; that proves the arithmetic, not the readings",
			"misclosure on BM B from set-up 4: observed 94.95, known 94.91, 0.04 ft; BEYOND the 0.03 ft allowed", " not adjusted ("}},
		// 25.42 ft are 7.748 m and 5.05 ft 1.539; 0.04 ft are 12.192 mm and 0.03 ft 9.144.
		{func(*survey.Book) {}, levelStyle{digits: 3}, []string{"sum of backsights 7.748, of foresights 9.287: difference -1.539", "observed 28.941, known 28.929, 12.2 mm; BEYOND the 9.1 mm allowed"}},
		{func(b *survey.Book) { b.Closures[0].Allowable = 0.05 * ft }, levelStyle{digits: 3}, []string{"12.2 mm; within the 15.2 mm allowed"}},
		{func(b *survey.Book) { b.Closures[0].Closing = false }, levelStyle{digits: 3}, []string{"seen again on BM B"}},
		{func(b *survey.Book) { b.Checks.LastMinusFirst = -5.04 * ft }, levelStyle{digits: 3}, []string{"the three do not agree"}},
		{func(b *survey.Book) { b.Checks.SumRise = 5.48 * ft }, levelStyle{digits: 3}, []string{"the three do not agree"}},
		{func(b *survey.Book) { b.Checks.Line = false }, levelStyle{digits: 3}, []string{"the three need not agree"}},
		{func(b *survey.Book) { b.Closures = nil }, levelStyle{digits: 3}, []string{"no closing shot on a known benchmark", "not misclosure"}},
	} {
		b := &survey.Book{Checks: checks, Closures: []survey.Closure{closure}}
		c.change(b)
		var out bytes.Buffer
		p := &BookPage{B: b, Style: c.style}
		p.checks(&out)
		p.closures(&out)
		saidIn(t, out.String(), c.want...)
	}
}
