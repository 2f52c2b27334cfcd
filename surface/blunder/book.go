package blunder

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// book is the readings of a survey as written.
type book struct {
	survey   *survey.Survey
	readings []survey.Reading
	at       map[survey.Pos]int
	setup    []int // of each reading
	setups   int
	style    map[column]style
}

// column groups readings that are written in one way.
type column struct {
	file       string
	measure    survey.Measure
	unit       unit.Length
	feetInches bool
}

func columnOf(r survey.Reading) column {
	return column{r.At.File, r.Measure, r.Unit, r.FeetInches}
}

func newBook(s *survey.Survey) *book {
	b := &book{survey: s, readings: s.Readings, at: map[survey.Pos]int{}, style: map[column]style{}}
	setups := map[string]int{}
	count := map[column]map[style]int{}
	finest := map[column]int64{}
	for i, r := range s.Readings {
		b.at[r.At] = i
		key := r.At.File + "\x00" + r.Setup
		if _, ok := setups[key]; !ok {
			setups[key] = len(setups)
		}
		b.setup = append(b.setup, setups[key])
		c := columnOf(r)
		if count[c] == nil {
			count[c] = map[style]int{}
		}
		st := styleOf(r)
		count[c][st]++
		finest[c] = max(finest[c], denominator(r.Text))
	}
	b.setups = len(setups)
	for c, styles := range count {
		var usual style
		for st, n := range styles {
			if m := styles[usual]; n > m || n == m && st.less(usual) {
				usual = st
			}
		}
		usual.finest = max(finest[c], 8)
		b.style[c] = usual
	}
	return b
}

// style is how a column writes lengths: a decimal with a number of digits, or feet, inches
// and a fraction in one of the forms.
type style struct {
	form   string // for feet and inches; empty for decimals
	last   int    // 8 or 16 if the last figure counts eighths or sixteenths of an inch
	unit   unit.Length
	digits int
	comma  bool
	suffix string
	finest int64 // denominator of the finest fraction
}

func (s style) less(t style) bool { return fmt.Sprint(s) < fmt.Sprint(t) }

// forms are the ways to write feet and inches with a fraction, and inches alone.
var forms = []string{
	`%d-%s`, `%d'-%s"`, `%d' %s"`, `%d'%s"`, `%d'-%s`, `%d' %s`, `%d'%s`, `%d ft %s in`, `%d %s`,
}

var inchForms = []string{`%s"`, `%s`, `%s in`, `%s in.`}

var decimalText = regexp.MustCompile(`^[-+−]?(\d*)(?:([.,])(\d+))?(\s*[a-zA-Z'"]*)$`)

var fractionText = regexp.MustCompile(`/\s*(\d+)`)

func denominator(text string) int64 {
	if m := fractionText.FindStringSubmatch(text); m != nil {
		n, _ := strconv.ParseInt(m[1], 10, 64) // absurdly many digits give 0, which is not a denominator
		return n
	}
	return 0
}

// styleOf returns how one reading is written.
func styleOf(r survey.Reading) style {
	if m := decimalText.FindStringSubmatch(r.Text); m != nil && !r.FeetInches {
		s := style{unit: r.Unit, digits: len(m[3]), comma: m[2] == ",", suffix: m[4]}
		if u, ok := unit.ParseLength(m[4]); ok {
			s.unit = u
		}
		if s.unit != unit.None {
			return s
		}
	}
	for _, list := range [][]string{forms, inchForms} {
		for _, f := range list {
			s := style{form: f, finest: max(denominator(r.Text), 8)}
			if s.write(r.Value) == r.Text {
				s.finest = 0
				return s
			}
		}
	}
	for _, last := range []int{16, 8} {
		s := style{form: `%d-%s`, last: last}
		if s.write(r.Value) == r.Text {
			return s
		}
	}
	return style{form: `%d-%s`}
}

// step is the smallest difference that s can write, m.
func (s style) step() float64 {
	switch {
	case s.last > 0:
		return unit.Inch.Metres() / float64(s.last)
	case s.form != "":
		return unit.Inch.Metres() / float64(s.finest)
	}
	return s.unit.Metres() / math.Pow10(s.digits)
}

// write returns v, m, as the column writes it, rounded to its step.
func (s style) write(v float64) string {
	if s.form == "" {
		text := strconv.FormatFloat(v/s.unit.Metres(), 'f', s.digits, 64)
		if s.comma {
			text = strings.Replace(text, ".", ",", 1)
		}
		return text + s.suffix
	}
	sign := ""
	if v < 0 {
		sign, v = "-", -v
	}
	n, per := int64(math.Round(v/s.step())), int64(math.Round(unit.Inch.Metres()/s.step()))
	feet, part := n/(12*per), n%per
	whole := n / per
	if strings.Contains(s.form, "%d") {
		whole %= 12
	}
	if s.last > 0 {
		return fmt.Sprintf("%s%d-%d-%d", sign, feet, whole, part)
	}
	inches := strconv.FormatInt(whole, 10)
	if part > 0 {
		for part%2 == 0 {
			part, per = part/2, per/2
		}
		inches = fmt.Sprintf("%s %d/%d", inches, part, per)
	}
	if strings.Contains(s.form, "%d") {
		return sign + fmt.Sprintf(s.form, feet, inches)
	}
	return sign + fmt.Sprintf(s.form, inches)
}

// parse reads text as the file reader would in the column of r.
func parse(r survey.Reading) func(text string) (float64, bool) {
	point := strings.NewReplacer(",", ".")
	for _, read := range []func(string) (float64, error){
		func(t string) (float64, error) { return unit.Parse(t, r.Unit) },
		func(t string) (float64, error) { return unit.ParseFeetInches(t, 0) },
		func(t string) (float64, error) { return unit.ParseFeetInches(t, 16) },
		func(t string) (float64, error) { return unit.ParseFeetInches(t, 8) },
		func(t string) (float64, error) { return unit.Parse(point.Replace(t), r.Unit) },
	} {
		if v, err := read(r.Text); err == nil && v == r.Value {
			return func(text string) (float64, bool) {
				v, err := read(text)
				return v, err == nil
			}
		}
	}
	return func(string) (float64, bool) { return 0, false }
}

// upward is +1 where a larger reading is a higher floor, -1 where it is a lower
// one.
func upward(m survey.Measure) float64 {
	if m == survey.Rod || m == survey.Drop {
		return -1
	}
	return 1
}

// candidate is a reading that may have been meant.
type candidate struct {
	kind  Kind
	value float64 // m, of the reading
	text  string  // as it would be written; empty if that follows from the elevation meant
	share float64 // of its kind: 1 / number of such slips that give the written text
	other int     // the second reading, for points swapped and reading copied
}

// candidates returns the readings that may have been meant by reading i, from its text and
// number alone.
func (b *book) candidates(i int) []candidate {
	r := b.readings[i]
	st := b.style[columnOf(r)]
	var out []candidate
	add := func(kind Kind, values ...float64) {
		for _, v := range values {
			out = append(out, candidate{kind: kind, value: v, text: st.write(v), share: 1 / float64(len(values))})
		}
	}
	units := []struct {
		kind Kind
		size float64
		ok   bool
	}{
		{OneFoot, unit.Foot.Metres(), st.form != "" || st.unit.Imperial()},
		{OneInch, unit.Inch.Metres(), st.form != "" || st.unit == unit.Inch},
		{Hundred, 0.1, st.form == "" && !st.unit.Imperial()},
		{OneMetre, 1, st.form == "" && !st.unit.Imperial()},
	}
	for _, u := range units {
		if u.ok {
			add(u.kind, r.Value-u.size, r.Value+u.size)
		}
	}
	if r.Measure == survey.Deviation || r.Measure == survey.Drop {
		add(SignTurned, -r.Value)
	}
	if st.form == "" && st.suffix == "" {
		var other []float64
		for _, u := range []unit.Length{unit.Metre, unit.Centimetre, unit.Millimetre, unit.Foot, unit.Inch} {
			if u != st.unit && !(u == unit.Foot && st.unit == unit.SurveyFoot) {
				other = append(other, r.Value/st.unit.Metres()*u.Metres())
			}
		}
		add(OtherUnit, other...)
	}
	read := parse(r)
	usual := st.write(r.Value) == r.Text
	for _, slip := range []struct {
		kind  Kind
		texts []string
	}{{Transposed, transposed(r.Text)}, {Dropped, dropped(r.Text)}, {Misread, misread(r.Text)}} {
		var some []candidate
		for _, t := range slip.texts {
			v, ok := read(t)
			if !ok || v == r.Value || math.Abs(v-r.Value) > 2 ||
				usual && st.write(v) != t || // nobody would write it like that
				slices.ContainsFunc(some, func(c candidate) bool { return c.value == v }) {
				continue
			}
			some = append(some, candidate{kind: slip.kind, value: v, text: t})
		}
		for _, c := range some {
			c.share = 1 / float64(len(some))
			out = append(out, c)
		}
	}
	return out
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// transposed returns text with each pair of neighbouring digits exchanged, also across a
// decimal sign.
func transposed(text string) []string {
	var out []string
	for i := range len(text) {
		j := i + 1
		if j < len(text) && (text[j] == '.' || text[j] == ',') {
			j++
		}
		if j < len(text) && isDigit(text[i]) && isDigit(text[j]) && text[i] != text[j] {
			t := []byte(text)
			t[i], t[j] = t[j], t[i]
			out = append(out, string(t))
		}
	}
	return out
}

// dropped returns text with one more digit, at every place.
func dropped(text string) []string {
	var out []string
	for i := range len(text) + 1 {
		for d := '0'; d <= '9'; d++ {
			out = append(out, text[:i]+string(d)+text[i:])
		}
	}
	return out
}

// misread returns text with 6 and 9 exchanged, and with each other denominator under a
// fraction.
func misread(text string) []string {
	var out []string
	for i := range len(text) {
		if text[i] == '6' || text[i] == '9' {
			out = append(out, text[:i]+string('6'+'9'-text[i])+text[i+1:])
		}
	}
	if m := fractionText.FindStringSubmatchIndex(text); m != nil {
		for _, d := range []string{"2", "4", "8", "16"} {
			out = append(out, text[:m[2]]+d+text[m[3]:])
		}
	}
	return out
}
