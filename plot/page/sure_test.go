package page

import (
	"slices"
	"strings"
	"testing"
)

// How sure the fill is has the words of the command, its causes behind it, the ± of the depths and
// the next shots.
func TestSureOnThePage(t *testing.T) {
	t.Parallel()
	var e Engine
	r, _ := answered(t, &e, sent(t, Request{Ask: "solve", Job: demoJob(t)}, demoFiles...))
	fill := ""
	for _, f := range r.Answer.Facts {
		if f.Head == "Fill" {
			fill = f.Text
		}
		if f.Head == "± by cause" || f.Head == "Next shots" {
			t.Errorf("%s is shown twice", f.Head)
		}
	}
	if !strings.Contains(fill, "90 % sure between") {
		t.Errorf("the fill is %q", fill)
	}
	g := r.Answer.Sure
	if g == nil || len(g.Rows) != 5 || !strings.Contains(strings.Join(g.Notes, " "), "survey.reading-sd") || strings.Contains(strings.Join(g.Notes, " "), "--") {
		t.Errorf("the causes are %+v", g)
	}
	r, parts := answered(t, &e, sent(t, Request{Ask: "sure", Job: demoJob(t)}, demoFiles...))
	s := r.Sure
	if !strings.HasPrefix(fill, strings.TrimPrefix(s.Text, "Fill ")) || len(s.Next) != 3 || !strings.HasPrefix(s.Next[0].Text, "about ") || s.Floor == nil || len(s.Shades) < 2 || len(parts) == 0 {
		t.Errorf("%+v", s)
	}
	// Before there is a target.
	noTarget, _, _ := strings.Cut(demoJob(t), "[target]")
	r, _ = answered(t, &e, sent(t, Request{Ask: "sure", Job: noTarget}, demoFiles[:2]...))
	if s := r.Sure; !strings.Contains(s.Text, "within ±") || len(s.Next) != 3 || s.Floor == nil {
		t.Errorf("%+v", s)
	}
}

// Three shots do not tell how sure the fill is, and nothing says a ±.
func TestSureNotMeasured(t *testing.T) {
	t.Parallel()
	shots := []byte("point,x (m),y (m),z (m)\n1,0,0,9.9\n2,4,0,9.9\n3,0,4,9.9\n")
	for _, target := range []string{"", "[target]\nelevation = \"10m\"\n"} {
		var e Engine
		job := "title = \"a\"\ndate = 2026-11-25\n[survey]\nfiles = [\"a.csv\"]\n" + target
		files := []File{{"a.csv", "a", int64(len(shots))}}
		r, _ := answered(t, &e, pack(Request{Ask: "sure", Job: job, Files: files}, [][]byte{shots}))
		if s := r.Sure; !strings.Contains(s.Text, "± not measured") || !strings.Contains(s.Text, "3 shots, min 4 needed") || s.Floor != nil || s.Shades != nil || len(s.Next) != 3 || !strings.Contains(strings.Join(s.Notes, " "), "farthest from all shots") {
			t.Errorf("%+v", s)
		}
		if target != "" {
			r, _ = answered(t, &e, pack(Request{Ask: "solve", Job: job, Files: files}, [][]byte{shots}))
			if r.Answer.Sure != nil {
				t.Errorf("%+v", r.Answer.Sure)
			}
		}
	}
}

// The keys of how sure the fill is are in the settings with a help text, and take effect.
func TestSureKeys(t *testing.T) {
	t.Parallel()
	var e Engine
	solved := func(job string) *Answer {
		r, _ := answered(t, &e, sent(t, Request{Ask: "solve", Job: job}, demoFiles...))
		return r.Answer
	}
	before := solved(demoJob(t))
	fields, _ := answered(t, &e, pack(Request{Ask: "fields", Job: demoJob(t)}, nil))
	for _, k := range []struct{ key, value, wrong string }{
		{"survey.reading-sd", "4mm", "4"}, {"survey.setup-sd", "3mm", "x"}, {"mix.risk-percent", "0.5", "80"}, {"outputs.next-shots", "5", "-1"}, {"mix.short-load-price", "250", "x"},
	} {
		i := slices.IndexFunc(fields.Fields, func(c Choice) bool { return c.Key == k.key })
		if i < 0 || fields.Fields[i].Help == "" || fields.Fields[i].Metric == "" || strings.Contains(fields.Fields[i].Help, "--") {
			t.Errorf("%s is %+v", k.key, fields.Fields[max(i, 0)])
			continue
		}
		set, _ := answered(t, &e, pack(Request{Ask: "edit", Job: demoJob(t), Key: k.key, Values: []string{k.value}}, nil))
		after := solved(set.Job)
		switch k.key {
		case "survey.reading-sd", "survey.setup-sd":
			if len(after.Sure.Notes) >= len(before.Sure.Notes) || after.Sure.Rows[4][1] == before.Sure.Rows[4][1] {
				t.Errorf("%s: %+v", k.key, after.Sure)
			}
		case "mix.risk-percent":
			if !(after.Order > before.Order) {
				t.Errorf("the order is %v, was %v", after.Order, before.Order)
			}
		case "outputs.next-shots":
			r, _ := answered(t, &e, sent(t, Request{Ask: "sure", Job: set.Job}, demoFiles...))
			if len(r.Sure.Next) != 5 {
				t.Errorf("%d next shots", len(r.Sure.Next))
			}
		}
		r, _ := got(t, e.Answer(t.Context(), pack(Request{Ask: "edit", Job: demoJob(t), Key: k.key, Values: []string{k.wrong}}, nil), nil))
		if r.Refused == nil {
			r, _ = got(t, e.Answer(t.Context(), sent(t, Request{Ask: "solve", Job: r.Job}, demoFiles...), nil))
		}
		if r.Refused == nil || strings.Contains(r.Refused[0].Text, "--") {
			t.Errorf("%s = %s: %+v", k.key, k.wrong, r.Refused)
		}
	}
}
