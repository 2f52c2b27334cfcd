package page

import (
	"bytes"
	"cmp"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"pourplane/plot/report"
	"pourplane/surface/job"
	"pourplane/survey"
	"pourplane/survey/unit"
)

// Held is how a file was understood.
type Held struct {
	Name    string           `json:"name"`
	Kind    string           `json:"kind"` // survey, walls, design, job, or "" if it cannot be read
	Facts   []report.Fact    `json:"facts,omitempty"`
	Remarks []report.Remarks `json:"remarks,omitempty"`
	Doubts  []Refusal        `json:"doubts,omitempty"` // rows that may be misread, and why
	Refused []Refusal        `json:"refused,omitempty"`
}

// read reports how each file is understood, and returns a job for them, with its keys: the one
// among the files, or the one of the request, or else a new one.
func (q *asked) read() (Reply, [][]byte, error) {
	r := Reply{Job: q.Job}
	for _, f := range q.Files {
		if strings.EqualFold(path.Ext(f.Name), ".toml") {
			r.Job = string(q.in[f.Name])
			r.Read = append(r.Read, Held{Name: f.Name, Kind: "job"})
		}
	}
	given := &job.Job{}
	if r.Job != "" {
		j, err := job.Parse([]byte(r.Job), jobName)
		if err != nil {
			return r, nil, err
		}
		given, q.parsed = j, j
	}
	for _, f := range q.Files {
		if !strings.EqualFold(path.Ext(f.Name), ".toml") {
			r.Read = append(r.Read, q.held(f.Name, given))
		}
	}
	var err error
	if r.Job == "" && len(r.Read) > 0 {
		if r.Job, err = q.newJob(r.Read); err != nil {
			return r, nil, err
		}
	}
	r.Fields, err = fieldsOf(r.Job)
	return r, nil, err
}

const jobName = "job.toml"

// held reads one file in the role that the job gives it. Keys of the job may be for another of
// its files: a file that is not the only survey is read without them where it is refused with
// them. What does not fit together is refused when the job is solved.
func (q *asked) held(name string, given *job.Job) Held {
	j := q.inRole(name, given)
	h, err := job.Hold(&j, job.HoldOptions{}, q.in, q.in.again, q.watch)
	if s := &j.Survey; err != nil && (s.Outline != "" || !slices.Equal(given.Survey.Files, s.Files)) {
		alone := job.Job{Units: given.Units, Show: q.Show, Survey: job.Survey{Files: s.Files, Sheet: s.Sheet, MaxSize: s.MaxSize}}
		if other, err2 := job.Hold(&alone, job.HoldOptions{}, q.in, q.in.again, q.watch); err2 == nil {
			h, err = other, nil
		}
	}
	if err != nil {
		return Held{Name: name, Refused: q.refusals(err)}
	}
	kind := "survey"
	if h.Outline {
		kind = "walls"
	}
	if name == given.DesignFile() {
		kind = "design"
	}
	h.InKeys(given)
	out, style := Held{Name: name, Kind: kind}, job.StyleOf(h.S, q.Show)
	out.Facts, out.Remarks = report.HeldFacts(h, style)
	for _, v := range h.Suspects {
		at := v.Shot.At()
		out.Doubts = append(out.Doubts, Refusal{Text: job.BlunderText(v).In(style), File: at.File, Line: at.Line, Row: q.in.row(at)})
	}
	return out
}

// inRole is a job of one file, within the walls if there are any, with the keys of its role in
// another job.
func (q *asked) inRole(name string, given *job.Job) job.Job {
	j := *given
	j.Show = q.Show
	s := &j.Survey
	switch {
	case name == j.DesignFile():
		s.Surface, s.Sheet, s.Outline, s.OutlineSheet, s.LeaveOut = j.DesignName(), "", "", "", nil
	case name == s.Outline:
		s.Sheet, s.Outline, s.OutlineSheet = s.OutlineSheet, "", ""
	case slices.Contains(s.After, name):
		s.InstrumentHeight, s.LeaveOut = s.AfterInstrument, nil
		s.Sheet = cmp.Or(s.AfterSheet, s.Sheet)
	}
	if _, ok := q.in[s.Outline]; !ok {
		s.Outline, s.OutlineSheet = "", ""
	}
	s.Files, s.After, s.AfterSheet, s.AfterInstrument = []string{name}, nil, "", ""
	return j
}

// unreadable reports whether a file is no survey at all, such as a photo: neither a key of the
// job nor another text in one of its rows would settle that.
func (h *Held) unreadable() bool {
	return h.Kind == "" && !slices.ContainsFunc(h.Refused, func(r Refusal) bool { return r.Line > 0 || len(r.Asks) > 0 })
}

// newJob is the text of a new job of files, empty where none of them can be read.
func (q *asked) newJob(files []Held) (string, error) {
	j := &job.Job{}
	for _, f := range files {
		if f.Kind == "walls" && j.Survey.Outline == "" {
			j.Survey.Outline = f.Name
			continue
		}
		if !f.unreadable() {
			j.Survey.Files = append(j.Survey.Files, f.Name)
		}
	}
	if len(j.Survey.Files) == 0 && j.Survey.Outline == "" {
		return "", nil
	}
	if len(j.Survey.Files) == 0 {
		return "", &survey.Error{Pos: survey.Pos{File: j.Survey.Outline}, Found: "the corners of walls and no shots", Want: "the survey of the floor as well"}
	}
	j.Title = strings.TrimSuffix(j.Survey.Files[0], path.Ext(j.Survey.Files[0]))
	var day toml.LocalDate
	if err := day.UnmarshalText([]byte(q.Date)); err != nil {
		return "", fmt.Errorf("found the date %q, want one such as 2026-11-25", q.Date)
	}
	j.Date = day
	text := j.Text(q.Show == "feet")
	_, err := job.Parse([]byte(text), jobName) // a title too long for a page
	return text, err
}

// solution is a solved job, with all it depends on.
type solution struct {
	job   string
	files folder
	*job.Result
	papers *report.Handover // in the style that was shown last
}

// is reports whether the solution answers a request.
func (s *solution) is(q *asked) bool {
	if s == nil || s.job != q.Job || len(s.files) != len(q.in) {
		return false
	}
	for name, b := range q.in {
		if was, ok := s.files[name]; !ok || !bytes.Equal(was, b) {
			return false
		}
	}
	return true
}

// solved is the job of the request, solved once for all requests about it.
func (q *asked) solved() (*job.Result, error) {
	if q.engine.last.is(q) {
		return q.engine.last.Result, nil
	}
	q.engine.last = nil // before the next one takes memory
	j, err := job.Parse([]byte(q.Job), jobName)
	if err != nil {
		return nil, err
	}
	q.parsed = j
	if jobForWhole(j) {
		return nil, errWhole
	}
	// The keys are named by refusals, which needs the options that they stand for.
	r, err := job.SolveNamed(q.ctx, j, q.in, q.watch, func(err error) error { return err })
	if err != nil {
		return nil, err
	}
	q.engine.last = &solution{job: q.Job, files: q.in, Result: r}
	return r, nil
}

// shown is the solved job and the style of the units that the page shows.
func (q *asked) shown() (*job.Result, unit.Style, error) {
	r, err := q.solved()
	if err != nil {
		return nil, unit.Style{}, err
	}
	if q.Show == "" {
		return r, report.StyleOf(r), nil
	}
	style, err := q.styleOf(r.Survey, "")
	return r, style, err
}

// styleOf is the style of a survey in the units that the page shows, or else in those that the
// job shows.
func (q *asked) styleOf(s *survey.Survey, show string) (unit.Style, error) {
	switch q.Show {
	case "":
		return job.StyleOf(s, show), nil
	case "metric", "feet":
		return job.StyleOf(s, q.Show), nil
	}
	return unit.Style{}, fmt.Errorf("found units %q, want metric or feet", q.Show)
}

// handover is what is handed over of the solved job, in the style of the request: made once, as
// its drawings share what they are made from.
func (q *asked) handover() (*report.Handover, error) {
	r, style, err := q.shown()
	if err != nil {
		return nil, err
	}
	last := q.engine.last
	if last.papers == nil || last.papers.Style != style {
		if last.papers, err = report.NewHandover(r, style); err != nil {
			last.papers = nil
			return nil, err
		}
	}
	return last.papers, nil
}

// solve works the job out.
func (q *asked) solve() (Reply, [][]byte, error) {
	h, err := q.handover()
	if err != nil {
		return Reply{}, nil, err
	}
	r, style := h.Result, h.Style
	sum := &report.Summary{Filled: r.Filled, Style: style, InJob: true, SureApart: true}
	if text := h.TotalText(); text != "" {
		sum.Extra = append(sum.Extra, report.AnswerRow{Head: "Price", Text: text})
	}
	if r.Judged != nil {
		sum.After, sum.AfterNotes = report.Verdict(r.Judged, style), r.Judged.Notes
	}
	a := newAnswer(r, style, sum)
	a.Trade = tradeOf(sum)
	floor, parts := newFloor(h)
	a.Floor, a.Takeoff, a.Heights = floor, h.TakeoffParts(), h.OtherHeights()
	if r.Judged != nil {
		var more [][]byte
		if a.After, more, err = newAfter(r.Judged, style); err != nil {
			return Reply{}, nil, err
		}
		parts = append(parts, more...)
	}
	return Reply{Answer: a}, parts, nil
}

// raise works out another height of the target.
func (q *asked) raise() (Reply, [][]byte, error) {
	r, style, err := q.shown()
	if err != nil {
		return Reply{}, nil, err
	}
	raised, err := r.Raised(q.Raise)
	if err != nil {
		return Reply{}, nil, err
	}
	return Reply{Answer: newAnswer(raised, style, &report.Summary{Filled: raised.Filled, Style: style, InJob: true, SureApart: true})}, nil, nil
}

// edit sets a key of the job.
func (q *asked) edit() (Reply, [][]byte, error) {
	text, err := job.Edited([]byte(q.Job), q.Key, q.Values...)
	if err == nil {
		_, err = job.Parse(text, jobName)
	}
	if err != nil {
		return Reply{}, nil, err
	}
	return Reply{Job: string(text)}, nil, nil
}

// Choice is a key of a job, for a form.
type Choice struct {
	Key     string   `json:"key"`
	Kind    string   `json:"kind"` // text, number, switch, list or names
	Help    string   `json:"help"`
	Metric  string   `json:"metric"` // example
	US      string   `json:"us"`
	Words   []string `json:"words,omitempty"` // the only values
	Length  bool     `json:"length,omitempty"`
	Or      string   `json:"or,omitempty"`      // key of the same quantity in US units: only one of the two is set
	Current []string `json:"current,omitempty"` // values in the job
}

// fields lists the keys of a job that a form can set, with their values in the job of the
// request.
func (q *asked) fields() (Reply, [][]byte, error) {
	var out Reply
	var err error
	out.Fields, err = fieldsOf(q.Job)
	return out, nil, err
}

func fieldsOf(text string) (fields []Choice, err error) {
	j := &job.Job{}
	if text != "" {
		if j, err = job.Parse([]byte(text), jobName); err != nil {
			return nil, err
		}
	}
	for _, c := range j.Choices() {
		help, words := toTopic.ReplaceAllString(c.About(), ""), c.Words
		if c.Key == "flatness.rules" {
			help, words = "tolerances to check (default all)", job.RuleNames()
		}
		or := ""
		if c.Or != "" {
			or = c.Key[:strings.LastIndex(c.Key, ".")] + c.Or[strings.LastIndex(c.Or, "."):]
		}
		fields = append(fields, Choice{c.Key, c.Kind, help, c.Metric, c.Sample(true), words, c.Length != nil, or, c.Values})
	}
	return fields, nil
}

// toTopic is the end of a help text that leads to a command: a page has none.
var toTopic = regexp.MustCompile(`; see pourplane help [a-z-]+`)
