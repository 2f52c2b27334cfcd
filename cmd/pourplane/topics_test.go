package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pourplane/survey"
)

// fence is a part of a page between two lines of three backticks: its language, a file
// name after it, and its lines.
type fence struct {
	language, file string
	lines          []string
}

func fencesOf(t *testing.T, page string) (all []fence) {
	t.Helper()
	open := false
	for line := range strings.Lines(page) {
		line = strings.TrimSuffix(line, "\n")
		switch head, found := strings.CutPrefix(line, "```"); {
		case found && !open:
			f := fence{}
			f.language, f.file, _ = strings.Cut(head, " ")
			all, open = append(all, f), true
		case found:
			open = false
		case open:
			all[len(all)-1].lines = append(all[len(all)-1].lines, line)
		}
	}
	if open {
		t.Fatal("a fence is not closed")
	}
	return all
}

// words splits a command at blanks outside quotes.
func words(t *testing.T, command string) []string {
	t.Helper()
	r := csv.NewReader(strings.NewReader(command))
	r.Comma = ' '
	all, err := r.Read()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// runPage follows a page: it writes the files that the page shows, runs its commands,
// and compares the printed output line by line. It returns how many commands ran.
func runPage(t *testing.T, page string) (ran int) {
	t.Helper()
	data, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if err := os.Symlink(data, "testdata"); err != nil {
		t.Fatal(err)
	}
	var printed []string
	for _, f := range fencesOf(t, page) {
		switch f.language {
		case "csv", "toml":
			if err := os.WriteFile(f.file, []byte(strings.Join(f.lines, "\n")+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		case "sh":
			for _, command := range f.lines {
				ours, found := strings.CutPrefix(strings.TrimPrefix(command, "go run ./cmd/"), "pourplane ")
				if !found {
					continue
				}
				var out, diag bytes.Buffer
				if status := run(words(t, ours), strings.NewReader(""), &out, &diag); status != done {
					t.Errorf("%s: status %d, %s", command, status, diag.String())
				}
				printed = strings.Split(out.String(), "\n")
				ran++
			}
		case "":
			if err := shows(f.lines, printed); err != nil {
				t.Errorf("%v\nof\n%s", err, strings.Join(printed, "\n"))
			}
		case "go", "text":
		default:
			t.Errorf("a fence of %q: neither run nor compared", f.language)
		}
	}
	return ran
}

// cut is the line of a block that stands for one or more printed lines.
const cut = "…"

// shows reports whether a block is what was printed: line by line from the first to the last,
// but for one or more lines where it has a line of dots.
func shows(block, printed []string) error {
	for len(printed) > 0 && printed[len(printed)-1] == "" {
		printed = printed[:len(printed)-1]
	}
	at, skip := 0, false
	for i, line := range block {
		if line == cut {
			at, skip = at+1, true // dots stand for a line at least
			continue
		}
		n := slices.Index(printed[min(at, len(printed)):], line)
		switch {
		case n < 0:
			return fmt.Errorf("line %d of the block is not printed, or not in this order: %s", i+1, line)
		case n > 0 && !skip:
			return fmt.Errorf("line %d of the block: %s before %q is left out without a line of %s", i+1, survey.Plural(n, "line"), line, cut)
		}
		at, skip = at+n+1, false
	}
	if n := len(printed) - at; n > 0 && !skip {
		return fmt.Errorf("%s at the end are left out without a line of %s", survey.Plural(n, "line"), cut)
	} else if n < 0 {
		return fmt.Errorf("the block has a line of %s where nothing is left out", cut)
	}
	return nil
}

func TestBlocksShowWhatIsLeftOut(t *testing.T) {
	printed := []string{"one", "two", "three", "four", ""}
	for _, c := range []struct {
		block string
		want  bool
	}{
		{"one two three four", true},
		{"one … four", true},
		{"… two …", true},
		{"one two …", true},
		{"one four", false},
		{"one two", false},
		{"two three four", false},
		{"one … two three four", false},
		{"one two three four …", false},
		{"… one two three four", false},
		{"one … five", false},
		{"two … one", false},
	} {
		if err := shows(strings.Fields(c.block), printed); err == nil != c.want {
			t.Errorf("%s: %v", c.block, err)
		}
	}
}

// Every command of the README and of the pages succeeds and prints what they show.
func TestPagesRun(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]string{"README": string(readme)}
	least := map[string]int{"README": 2, "your-floor": 4, "csv": 4, "grid-sheets": 2, "level-books": 1, "targets": 12, "water": 1, "how-sure": 1, "orders": 2, "flatness": 4, "settlement": 1, "job-files": 2, "json": 1}
	for _, topic := range topics {
		all[topic] = pageOf(topic)
	}
	for name, page := range all {
		t.Run(name, func(t *testing.T) {
			if ran := runPage(t, page); ran != least[name] {
				t.Errorf("%d commands ran, want %d", ran, least[name])
			}
		})
	}
}

// The Go code in the page about JSON is the example that is compiled and run.
func TestGoOfThePageIsTheExample(t *testing.T) {
	example, err := os.ReadFile("../../plot/report/example_test.go")
	if err != nil {
		t.Fatal(err)
	}
	rest, n := strings.ReplaceAll(string(example), "../../testdata", "testdata"), 0
	for _, f := range fencesOf(t, pageOf("json")) {
		for _, line := range f.lines {
			if f.language != "go" {
				continue
			}
			n++
			_, after, found := strings.Cut(rest, line)
			if !found {
				t.Fatalf("not in the example, or not in this order: %s", line)
			}
			rest = after
		}
	}
	if n < 5 {
		t.Errorf("%d lines of Go, want 5", n)
	}
}

// Each page has a title, is listed, is linked from the README, and fits a terminal
// except for copied output.
func TestEveryTopicIsFound(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	var list bytes.Buffer
	if status := run([]string{"help"}, nil, &list, &list); status != done {
		t.Fatal(list.String())
	}
	files, err := pages.ReadDir("topics")
	if err != nil {
		t.Fatal(err)
	}
	if len(files) != len(topics) {
		t.Errorf("%d pages, %d listed", len(files), len(topics))
	}
	for _, topic := range topics {
		if !strings.HasPrefix(pageOf(topic), "# "+titleOf(topic)+"\n\n") {
			t.Errorf("%s: no title", topic)
		}
		if !strings.Contains(string(readme), "["+topic+"](cmd/pourplane/topics/"+topic+".md)") {
			t.Errorf("%s: no link in the README", topic)
		}
		if !strings.Contains(list.String(), "  "+topic+" ") {
			t.Errorf("%s: help does not list it", topic)
		}
		var out, diag bytes.Buffer
		if status := run([]string{"help", topic}, nil, &out, &diag); status != done || diag.Len() > 0 {
			t.Fatalf("%s: status %d, %s", topic, status, diag.String())
		}
		if text := out.String(); !strings.HasPrefix(text, titleOf(topic)+"\n==") || strings.Contains(text, "`") || strings.Contains(text, "\n## ") {
			t.Errorf("%s: marks of Markdown are printed:\n%s", topic, text)
		}
		for line := range strings.Lines(out.String()) {
			if n := utf8.RuneCountInString(strings.TrimSuffix(line, "\n")); n > wideHelp && !strings.HasPrefix(line, "    ") {
				t.Errorf("%s: a line of %d characters: %s", topic, n, line)
			}
		}
	}
	for wrong, want := range map[string]string{"unit": "did you mean pourplane help units?", "flatnes": "did you mean pourplane help flatness?", "zzzzzz": "pourplane help lists topics and commands"} {
		var out, diag bytes.Buffer
		if status := run([]string{"help", wrong}, nil, &out, &diag); status != wrongUsage || !strings.Contains(diag.String(), want) {
			t.Errorf("help %s: status %d, %s; want %s", wrong, status, diag.String(), want)
		}
	}
}

// A Go program gets from a job exactly what run writes, byte for byte.
func TestSolvedInGoIsWhatRunWrites(t *testing.T) {
	out := filepath.Join(t.TempDir(), "hall")
	var printed, diag bytes.Buffer
	if status := run([]string{"run", "../../testdata/demo/job.toml", "--out", out}, nil, &printed, &diag); status != done {
		t.Fatal(diag.String())
	}
	want, err := os.ReadFile(filepath.Join(out, "result.json"))
	if err != nil {
		t.Fatal(err)
	}
	got, err := demoHandover(t).JSON()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%d bytes from Go, %d from run, or others", len(got), len(want))
	}
}

// In the trade a first floor is a storey: no page is named or headed so.
func TestNoTopicReadsAsAStorey(t *testing.T) {
	for _, topic := range topics {
		if name := strings.ToLower(topic + " " + titleOf(topic)); strings.Contains(strings.ReplaceAll(name, "-", " "), "first floor") {
			t.Errorf("%s: %s", topic, titleOf(topic))
		}
	}
}
