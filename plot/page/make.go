//go:build !light

package page

import (
	"slices"
	"strings"

	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
)

// forWhole reports whether a file is for the whole engine, which this one is.
func forWhole([]byte) bool { return false }

// jobForWhole reports whether a job is for the whole engine, which this one is.
func jobForWhole(*job.Job) bool { return false }

// papers lists the files to hand over, without making them.
func (q *asked) papers() (Reply, [][]byte, error) {
	h, err := q.handover()
	if err != nil {
		return Reply{}, nil, err
	}
	return Reply{Papers: h.FileNames()}, nil, nil
}

// make makes files to hand over: those that are named, or all.
func (q *asked) make() (Reply, [][]byte, error) {
	h, err := q.handover()
	if err != nil {
		return Reply{}, nil, err
	}
	var all []report.Output
	switch known := h.FileNames(); {
	case slices.Equal(q.Names, []string{"record.html"}):
		one, err := h.RecordPage()
		if err != nil {
			return Reply{}, nil, err
		}
		all = append(all, one)
	case len(q.Names) == 0:
		all, err = h.Everything(q.watch)
	default:
		for _, name := range q.Names {
			if !slices.Contains(known, name) {
				return Reply{}, nil, &survey.Error{Pos: survey.Pos{File: name}, Found: "a file that this job does not make", Want: "one of " + strings.Join(known, ", ")}
			}
		}
		all, err = h.Some(q.Names, q.watch)
	}
	if err != nil {
		return Reply{}, nil, err
	}
	out, parts := madeOf(all)
	return out, parts, nil
}

// madeOf is a reply with files.
func madeOf(all []report.Output) (out Reply, parts [][]byte) {
	for _, o := range all {
		out.Made = append(out.Made, Made{o.Name, len(o.Data)})
		parts = append(parts, o.Data)
	}
	return out, parts
}
