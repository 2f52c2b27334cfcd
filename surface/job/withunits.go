package job

import (
	"maps"
	"reflect"
	"slices"
	"strings"
)

// WithUnits returns a copy of a job in which stated has written every length, with a
// unit added to a bare number. stated is called with the short name of the field,
// followed by the name of one of several: "benchmark BM1".
func (j *Job) WithUnits(stated func(field, text string) (string, error)) (Job, error) {
	out := *j
	for _, f := range Fields {
		if f.Flag == "" && f.Key != "target.parts" {
			continue
		}
		// The copy must not share maps and slices with j.
		switch v := f.Value(&out).Addr().Interface().(type) {
		case *[]string:
			*v = slices.Clone(*v)
		case *[]Drain:
			*v = slices.Clone(*v)
		case *map[string]string:
			*v = maps.Clone(*v)
		}
		if f.Length == nil || f.Key == "target.toward" && !strings.Contains(j.Target.Toward, ",") { // a direction, or the name of a shot
			continue
		}
		if err := f.restate(&out, stated); err != nil {
			return out, err
		}
	}
	return out, nil
}

func (f Field) restate(j *Job, stated func(field, text string) (string, error)) (err error) {
	name := f.Flag
	switch v := f.Value(j).Addr().Interface().(type) {
	case *string:
		*v, err = stated(name, *v)
	case *[]string:
		for i, text := range *v {
			if f.Key == "target.parts" {
				if (*v)[i], err = restatePart(text, stated); err != nil {
					return err
				}
				continue
			}
			if (*v)[i], err = stated(name, text); err != nil {
				return err
			}
		}
	case *[]Drain: // options are texts
		for i, d := range *v {
			if !d.isPlace() {
				continue
			}
			if (*v)[i].text, err = stated(name, d.text); err != nil {
				return err
			}
		}
	case *map[string]string:
		for _, of := range slices.Sorted(maps.Keys(*v)) {
			one := strings.TrimSuffix(name+" "+of, " ")
			if (*v)[of], err = stated(one, (*v)[of]); err != nil {
				return err
			}
		}
	default:
		panic("pourplane: a length that is no text: " + reflect.TypeOf(v).String())
	}
	return err
}

// restatePart writes the elevation in the target of a part with its unit.
func restatePart(text string, stated func(field, text string) (string, error)) (string, error) {
	name, z, ok := ofPart(text)
	if !ok || z == notFilled {
		return text, nil
	}
	z, err := stated("target "+name, z)
	return name + "=" + z, err
}
