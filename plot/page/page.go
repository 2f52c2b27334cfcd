// Package page answers what a page on a screen asks about a job: how its files are
// understood, what the answer is, what a target a little higher would take, and the files to
// hand over. A request and its reply are each one [Parcel] of bytes, so that the same engine
// answers behind a server and inside a browser. The package only passes on: the work is done
// by surface/job and the words come from plot/report.
package page

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"runtime/debug"
	"slices"
	"sync"

	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
)

// MostRequest is the max size of a request, bytes. A longer survey is for the command.
const MostRequest = 256 << 20

// Engine answers the requests of one user. It keeps the files that the page has sent, so that
// each is sent once, and the job that it has solved last, so that another target or other
// units do not read the survey again. It may be used by several goroutines; it answers one
// request at a time.
type Engine struct {
	mu    sync.Mutex
	files map[string][]byte // by the id that the page gives them
	last  *solution
}

// Request is the head of a request. The parcel carries the content of files that the engine
// does not have yet.
type Request struct {
	// Ask is what to do: "read", "ground", "solve", "raise", "edge", "water", "sure", "plan", "edit", "papers", "make" or "fields".
	Ask   string `json:"ask"`
	Job   string `json:"job"`   // text of the job file
	Files []File `json:"files"` // that the job may name

	Show   string     `json:"show"`  // system of units shown: metric or feet; empty: as the job has it
	Date   string     `json:"date"`  // of today, for a new job
	Raise  float64    `json:"raise"` // m, of the target
	From   [2]float64 `json:"from"`  // of a straightedge, m on the grid of the survey
	To     [2]float64 `json:"to"`
	Key    string     `json:"key"`    // to edit
	Values []string   `json:"values"` // of the key; none takes it out
	Names  []string   `json:"names"`  // of the files to make; none: all
	Plan   PlanAsk    `json:"plan"`   // of "plan"
}

// File is a file of a request. If Size is not negative its content is in the parcel, in the
// order of the request; otherwise it was sent before under the same ID.
type File struct {
	Name string `json:"name"`
	ID   string `json:"id"`
	Size int64  `json:"size"`
}

// Reply is the head of a reply. Exactly one of Lacks, Refused and the answer is set.
type Reply struct {
	Lacks   []string  `json:"lacks,omitempty"` // ids of files to send again
	Refused []Refusal `json:"refused,omitempty"`

	Job    string             `json:"job,omitempty"`  // its text after the request
	Read   []Held             `json:"read,omitempty"` // how each file was understood
	Ground *Ground            `json:"ground,omitempty"`
	Answer *Answer            `json:"answer,omitempty"` // of "solve" and "raise"
	Edge   *report.EdgeMark   `json:"edge,omitempty"`
	Water  []report.WaterMark `json:"water,omitempty"` // on the floor as surveyed and on the target
	Sure   *Sure              `json:"sure,omitempty"`  // of "sure", with its map in the parcel
	Plan   *Plan              `json:"plan,omitempty"`
	Papers []string           `json:"papers,omitempty"` // names of the files that "make" makes
	Made   []Made             `json:"made,omitempty"`   // files in the parcel, in order
	Fields []Choice           `json:"fields,omitempty"` // keys of the job, of "read" and "fields"
}

// Made is a file that comes in the parcel of a reply.
type Made struct {
	Name string `json:"name"`
	Size int    `json:"size"`
}

// Refusal is a reason why there is no answer, and what would settle it.
type Refusal struct {
	Text string `json:"text"`
	File string `json:"file,omitempty"`
	Line int    `json:"line,omitempty"`
	Row  string `json:"row,omitempty"` // the line of the file
	Asks []Ask  `json:"asks,omitempty"`
}

// Ask is a key of the job that would settle a refusal, with an example.
type Ask struct {
	Key     string `json:"key"`
	Example string `json:"example,omitempty"`
	Leave   bool   `json:"leave,omitempty"` // by taking it out
}

// errWhole means that the light engine leaves a request to the whole one.
var errWhole = errors.New("this is for the whole engine")

// errLacks means that the engine does not have a file any more.
type errLacks []string

func (e errLacks) Error() string { return fmt.Sprintf("the content of %d files is needed", len(e)) }

// Answer answers a request. It never fails: what is wrong with a request is in the reply, and
// so is a defect of the program. watch is called with the current step; it may be nil. Built
// with the tag light, the engine makes no files and reads no workbooks: for a request of that
// kind the reply is nil, and the whole engine answers it.
func (e *Engine) Answer(ctx context.Context, parcel []byte, watch job.Watch) (reply []byte) {
	e.mu.Lock()
	defer e.mu.Unlock()
	defer func() {
		if v := recover(); v != nil {
			e.last = nil
			reply = pack(Reply{Refused: []Refusal{{Text: fmt.Sprintf("a defect of the program, not of your files: %v. Please report it with the job and its files.\n%s", v, debug.Stack())}}}, nil)
		}
	}()
	head, files, err := e.answer(ctx, parcel, watch)
	if err != nil {
		return nil
	}
	return pack(head, files)
}

// answer fails with errWhole only.
func (e *Engine) answer(ctx context.Context, parcel []byte, watch job.Watch) (Reply, [][]byte, error) {
	q := &asked{engine: e, ctx: ctx, watch: watch, parsed: &job.Job{}}
	bodies, err := unpack(parcel, &q.Request)
	if err == nil {
		q.in, err = e.folder(q.Files, bodies)
	}
	var head Reply
	var files [][]byte
	if err == nil {
		ask, known := map[string]func() (Reply, [][]byte, error){
			"read": q.read, "ground": q.ground, "solve": q.solve, "raise": q.raise, "edge": q.edge, "water": q.water, "sure": q.sure, "plan": q.plan, "edit": q.edit, "papers": q.papers, "make": q.make, "fields": q.fields,
		}[q.Ask]
		if !known {
			ask = func() (Reply, [][]byte, error) {
				return Reply{}, nil, fmt.Errorf("found request %q, want one that this engine answers", q.Ask)
			}
		}
		head, files, err = ask()
	}
	var lacks errLacks
	switch {
	case errors.Is(err, errWhole):
		return Reply{}, nil, errWhole
	case errors.As(err, &lacks):
		return Reply{Lacks: lacks}, nil, nil
	case err != nil:
		return Reply{Job: head.Job, Read: head.Read, Refused: q.refusals(err)}, nil, nil
	}
	return head, files, nil
}

// asked is a request while it is answered.
type asked struct {
	Request
	engine *Engine
	parsed *job.Job // its job
	in     folder
	ctx    context.Context
	watch  job.Watch
}

// folder keeps the files that come with a request and returns those that it names.
func (e *Engine) folder(files []File, bodies [][]byte) (folder, error) {
	if e.files == nil {
		e.files = map[string][]byte{}
	}
	in, kept, lacks := folder{}, map[string][]byte{}, errLacks(nil)
	for _, f := range files {
		if !fs.ValidPath(f.Name) || f.Name == "." {
			return nil, &survey.Error{Pos: survey.Pos{File: f.Name}, Found: "a name that is no file of a folder", Want: "a plain name"}
		}
		if _, twice := in[f.Name]; twice {
			return nil, &survey.Error{Pos: survey.Pos{File: f.Name}, Found: "two files of this name", Want: "one"}
		}
		b, ok := e.files[f.ID]
		if f.Size >= 0 {
			if len(bodies) == 0 || int64(len(bodies[0])) != f.Size {
				return nil, fmt.Errorf("%s is cut short on its way", f.Name)
			}
			if forWhole(bodies[0]) {
				return nil, errWhole
			}
			b, bodies, ok = bodies[0], bodies[1:], true
		}
		if !ok {
			lacks = append(lacks, f.ID)
		}
		in[f.Name], kept[f.ID] = b, b
	}
	if lacks != nil {
		return nil, lacks
	}
	e.files = kept // others are not part of the job any more
	return in, nil
}

// refusals words an error with the keys of the job, and adds the rows and keys that it is about.
func (q *asked) refusals(err error) []Refusal {
	all := survey.Errors(err)
	if len(all) == 0 {
		return []Refusal{{Text: err.Error()}}
	}
	var out []Refusal
	for _, one := range all {
		r := Refusal{Text: job.InJob(q.parsed, one).Error(), File: one.File, Line: one.Line, Row: q.in.row(one.Pos)}
		for _, o := range one.Asks() {
			if f, ok := job.ByFlag(o.Name); ok && !slices.ContainsFunc(r.Asks, func(a Ask) bool { return a.Key == f.Key }) {
				r.Asks = append(r.Asks, Ask{Key: f.Key, Example: o.Value, Leave: o.Leave})
			}
		}
		out = append(out, r)
	}
	return out
}
