package job

import (
	"cmp"
	"errors"
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"pourplane/survey/unit"
)

// Field is one thing that a user can set for a floor: a key of a job file and usually an
// option of commands too. [Fields] has all of them, so that options, job files, help and
// messages agree.
type Field struct {
	Key  string // in a job file, such as "target.elevation"
	Flag string // name of the option, such as "target"; empty: none
	On   string // names of the commands that have the option

	Metric, US string   // an example in each system; US empty: as Metric
	Help       string   // help text, after the name of its argument in back quotes, such as "`FILE` of the walls"
	Comment    string   // in a new job file; empty: Help
	Words      []string // words for completion in the shell

	Length *Length // set for a length; else nil
	Or     string  // key of the same quantity in US units, the next field
	Parse  func(text string) error
}

// ErrEmpty is the error for an option with an empty value. The likely cause is a shell
// variable that is not set, not a wish for the default.
var ErrEmpty = errors.New("found nothing")

// Measure is the kind of a length. It decides the unit in which results show it.
type Measure uint8

const (
	Elevation Measure = iota // shown in m or ft
	Place                    // or a distance in plan: shown in m or ft
	Thickness                // shown in mm or in
)

// Length is the range of a length. The limits are our own choice: wide for floors, and
// narrow enough to refuse a number in the wrong unit.
type Length struct {
	Of      Measure
	Signed  bool    // may be negative
	NotZero bool    // 0 has no meaning
	Most    float64 // max, m; 0: no limit here
	Unit    bool    // a number without a unit is refused, whatever the units of the survey
}

// Fields lists every field, in the order of a job file.
var Fields = slices.Concat(surveyFields, targetFields, siteFields, orderFields, setOutFields, flatnessFields, outputFields, listFields)

// byKey returns the field with a key.
func byKey(key string) (Field, bool) { return find(func(f *Field) bool { return f.Key == key }) }

// ByFlag returns the field of an option, named without its hyphens.
func ByFlag(flag string) (Field, bool) {
	return find(func(f *Field) bool { return f.Flag == flag && flag != "" })
}

func find(is func(*Field) bool) (Field, bool) {
	for i := range Fields {
		if is(&Fields[i]) {
			return Fields[i], true
		}
	}
	return Field{}, false
}

// Example returns the example in the units of a job.
func (f Field) Example(us bool) string {
	if us && f.US != "" {
		return f.US
	}
	return f.Metric
}

// Sample returns one value of the example in the units of a job, in the form of an option.
func (f Field) Sample(us bool) string {
	example := f.Example(us)
	if _, value, named := strings.Cut(example, ` = "`); named {
		return strings.TrimSuffix(value, `"`)
	}
	return strings.TrimSuffix(example, "/setup")
}

// leading is the number that an example begins with.
var leading = regexp.MustCompile(`^[0-9.]+( [0-9]+)?(/[0-9]+)? *`)

// With returns a bare number with the unit of the example in the units of a job, and the example
// itself for any other text. A bare slope is percent.
func (f Field) With(text string, us bool) string {
	sample := f.Sample(us)
	if !bare(text) {
		return sample
	}
	unitOf := leading.ReplaceAllString(sample, "")
	if strings.HasSuffix(f.Metric, "%") || ratio.MatchString(f.Metric) {
		unitOf = "%"
	}
	if unitOf == sample || strings.Contains(unitOf, ",") { // the example is a word, or several numbers
		unitOf = ""
	}
	return strings.TrimSpace(text) + unitOf
}

// Table returns the table of the key, "" if it is in none.
func (f Field) Table() string {
	table, _, ok := strings.Cut(f.Key, ".")
	if !ok {
		return ""
	}
	return table
}

// Name returns the key within its table.
func (f Field) Name() string { return f.Key[strings.LastIndex(f.Key, ".")+1:] }

// Arg returns the name of the argument, "" for a switch.
func (f Field) Arg() string {
	if parts := strings.Split(f.Help, "`"); len(parts) == 3 {
		return parts[1]
	}
	return ""
}

func (f Field) comment() string {
	if f.Comment != "" {
		return f.Comment
	}
	if _, text, named := strings.Cut(f.Help, "` "); named {
		return text
	}
	return f.Help
}

// Value returns the addressable value of the field in j. It panics for a field of a
// table that may occur several times; no option sets those.
func (f Field) Value(j *Job) reflect.Value {
	v := reflect.ValueOf(j).Elem()
	for _, name := range strings.Split(f.Key, ".") {
		of, k := v.Type(), 0
		for of.Field(k).Tag.Get("toml") != name {
			k++
		}
		v = v.Field(k)
	}
	return v
}

// Set sets the field from the text of an option; lists and tables grow with each call.
// Its errors are [ErrEmpty] and [unit.Wanted].
func (f Field) Set(j *Job, text string) error {
	if strings.TrimSpace(text) == "" {
		return ErrEmpty
	}
	if f.Parse != nil {
		if err := f.Parse(text); err != nil {
			return err
		}
	}
	if f.Key == "target.elevation" {
		if strings.Contains(text, "=") {
			f, _ = byKey("target.parts")
		} else if z := j.Target.Elevation; z != "" && z != text {
			return unit.Wanted{Want: fmt.Sprintf("one target: %s is given too; that of a part is PART=Z", z)}
		}
	}
	switch v := f.Value(j).Addr().Interface().(type) {
	case *string:
		*v = text
	case *bool:
		b, err := strconv.ParseBool(text)
		if err != nil {
			return unit.Wanted{Want: "true or false"}
		}
		*v = b
	case **float64:
		p, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(text), "%"), 64)
		if err != nil {
			return unit.Wanted{Want: "a number of percent, such as 5 or 1.5%"}
		}
		*v = &p
	case *float64: // a plain number, such as a unit weight
		w, err := unit.ParseUnitWeight(text)
		if err != nil {
			return err
		}
		if w == 0 {
			return unit.Wanted{Want: "more than 0; without it it is as usual"}
		}
		*v = w
	case *[]string:
		*v = append(*v, text)
	case *[]Drain:
		*v = append(*v, Drain{text: text})
	case *map[string]string:
		name, is, ok := strings.Cut(text, "=")
		if !ok && f.Key == "survey.grid-origins" {
			name, is, ok = "", text, true // any sheet
		}
		if !ok || name == "" && f.Key != "survey.grid-origins" || strings.TrimSpace(is) == "" {
			return unit.Wanted{Want: f.want(name)}
		}
		if before, twice := (*v)[name]; twice && before != is {
			return unit.Wanted{Want: fmt.Sprintf("one for %s: %s is given too", strconv.Quote(name), before)}
		}
		if *v == nil {
			*v = map[string]string{}
		}
		(*v)[name] = is
	default:
		panic("pourplane: no option can fill " + f.Key)
	}
	return nil
}

// want returns the form of an option with a name and a value. name is what was typed of it.
func (f Field) want(name string) string {
	switch f.Key {
	case "survey.benchmarks":
		return "NAME=ELEV such as BM1=100.00ft"
	case "survey.codes":
		return "CODE=ROLE with ROLE floor, outline, void, breakline, finished or control"
	case "survey.leave-out":
		return fmt.Sprintf(`WHICH=REASON, such as "%s=rod on rubble": the reason is shown in the result`, cmp.Or(name, "9"))
	}
	return f.Arg()
}

// Text returns the value as an option shows it; "" if not set.
func (f Field) Text(j *Job) string {
	switch v := f.Value(j).Addr().Interface().(type) {
	case **float64:
		if *v == nil {
			return ""
		}
		return strconv.FormatFloat(**v, 'g', -1, 64)
	case *float64:
		if *v == 0 {
			return ""
		}
		return strconv.FormatFloat(*v, 'g', -1, 64)
	case *bool:
		return strconv.FormatBool(*v)
	default:
		return fmt.Sprint(f.Value(j).Interface())
	}
}
