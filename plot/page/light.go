//go:build light

package page

import (
	"bytes"
	"regexp"
	"slices"

	"pourplane/surface/job"
)

// xmlEncoding finds the encoding that an XML file declares.
var xmlEncoding = regexp.MustCompile(`^[^>]*\bencoding\s*=\s*["']([^"']*)`)

// forWhole reports whether the light engine leaves a file to the whole one: a workbook or
// another archive, and XML that declares an encoding which the light one does not have.
func forWhole(b []byte) bool {
	if bytes.HasPrefix(b, []byte("PK")) {
		return true
	}
	head := b[:min(len(b), 1024)]
	found := xmlEncoding.FindSubmatch(head)
	return found != nil && bytes.Contains(head, []byte("<?xml")) && !slices.Contains([]string{"utf-8", "utf-16", "us-ascii"}, string(bytes.ToLower(found[1])))
}

// jobForWhole reports whether the light engine leaves a job to the whole one: it does not search the
// plane of least cost.
func jobForWhole(j *job.Job) bool { return j.Target.Best }

func (q *asked) make() (Reply, [][]byte, error) { return Reply{}, nil, errWhole }

func (q *asked) papers() (Reply, [][]byte, error) { return Reply{}, nil, errWhole }

func (q *asked) plan() (Reply, [][]byte, error) { return Reply{}, nil, errWhole }
