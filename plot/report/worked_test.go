package report

import (
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// The demo job was worked out by hand, figure by figure, in testdata/demo/worked.md:
// each agrees with the result to the last digit that stands there.
func TestDemoJobWorkedByHand(t *testing.T) {
	data, err := hall(t).JSON()
	if err != nil {
		t.Fatal(err)
	}
	var result any
	if err := json.Unmarshal(data, &result); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../testdata/demo/worked.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.TrimSpace(line), "|")
		if len(cells) != 6 {
			continue
		}
		figure, path := strings.TrimSpace(cells[3]), strings.TrimSpace(cells[4])
		want, err := strconv.ParseFloat(figure, 64)
		if err != nil {
			continue // the head of a table
		}
		rows++
		got, ok := follow(result, path)
		if !ok {
			t.Errorf("%s: no such figure in result.json", path)
			continue
		}
		digits := 0
		if _, after, ok := strings.Cut(figure, "."); ok {
			digits = len(after)
		}
		if !(math.Abs(got-want) <= 0.501*math.Pow10(-digits)) {
			t.Errorf("%s = %.8g, by hand %s", path, got, figure)
		}
	}
	if rows < 40 {
		t.Errorf("%d figures were worked by hand, want at least 40", rows)
	}
	if _, ok := follow(result, "order.lines.99.volume_m3"); ok {
		t.Error("a figure that is not there was found")
	}
}

// follow returns the number at a path such as "order.lines.0.volume_m3".
func follow(v any, path string) (float64, bool) {
	for step := range strings.SplitSeq(path, ".") {
		switch in := v.(type) {
		case map[string]any:
			v = in[step]
		case []any:
			i, err := strconv.Atoi(step)
			if err != nil || i < 0 || i >= len(in) {
				return 0, false
			}
			v = in[i]
		default:
			return 0, false
		}
	}
	f, ok := v.(float64)
	return f, ok
}

// What was ordered is beside what the job takes off: 8.25 yd³ and 7 bags of 0.42 ft³ are 8.25 +
// 7 × 0.42 / 27 = 8.36 yd³. Without a verdict the table says how to get one.
func TestOrderedIsBesideTheTakeOff(t *testing.T) {
	h := hall(t)
	var all []string
	for _, table := range recordSection(t, h, "After the pour").Tables {
		for _, row := range cellsOf(table) {
			all = append(all, strings.Join(row, " "))
		}
		all = append(all, table.Notes...)
	}
	saidIn(t, strings.Join(all, "\n"), "ordered 8.36 yd³, as given in the job; less 7.24 yd³ placed: 1.12 yd³",
		"the take-off of this job: 8.25 yd³ by truck and 7 bags of repair mortar (0.11 yd³), together 8.36 yd³",
		"lay a straightedge of that length by hand and measure the gap under it with a wedge")
}
