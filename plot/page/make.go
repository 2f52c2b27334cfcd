//go:build !light

package page

import (
	"slices"
	"strings"

	"pourplane/plot/report"
	"pourplane/survey"
)

// forWhole reports whether a file is for the whole engine, which this one is.
func forWhole([]byte) bool { return false }

// make makes files to hand over.
func (q *asked) make() (Reply, [][]byte, error) {
	r, style, err := q.shown()
	if err != nil {
		return Reply{}, nil, err
	}
	h, err := report.NewHandover(r, style)
	if err != nil {
		return Reply{}, nil, err
	}
	var all []report.Output
	if slices.Equal(q.Names, []string{"record.html"}) {
		one, err := h.RecordPage()
		if err != nil {
			return Reply{}, nil, err
		}
		all = append(all, one)
	} else if all, err = h.Everything(q.watch); err != nil {
		return Reply{}, nil, err
	}
	var out Reply
	var parts [][]byte
	for _, o := range all {
		if len(q.Names) > 0 && !slices.Contains(q.Names, o.Name) {
			continue
		}
		out.Made = append(out.Made, Made{o.Name, len(o.Data)})
		parts = append(parts, o.Data)
	}
	for _, name := range q.Names {
		if !slices.ContainsFunc(out.Made, func(m Made) bool { return m.Name == name }) {
			return Reply{}, nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "a file that this job does not make", Want: "one of " + strings.Join(report.Names(all), ", ")}
		}
	}
	return out, parts, nil
}
