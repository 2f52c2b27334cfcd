package report_test

import (
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"

	"pourplane/plot/report"
	"pourplane/surface/job"
)

// demo solves the demo job and returns its result as JSON, the same as run writes.
func demo(ctx context.Context) ([]byte, error) {
	files := os.DirFS("../../testdata/demo")
	text, err := fs.ReadFile(files, "job.toml")
	if err != nil {
		return nil, err
	}
	j, err := job.Parse(text, "job.toml")
	if err != nil {
		return nil, err
	}
	done, err := job.Solve(ctx, j, files, nil) // reads and computes; prints and writes nothing
	if err != nil {
		return nil, err
	}
	h, err := report.NewHandover(done, report.StyleOf(done))
	if err != nil {
		return nil, err
	}
	return h.JSON()
}

func Example() {
	data, err := demo(context.Background())
	var r report.JobResult
	fmt.Println(err, json.Unmarshal(data, &r))
	fmt.Printf("%.2f m³ of fill, %d pins\n", r.Fill, r.Pins.Count)
	// Output:
	// <nil> <nil>
	// 5.60 m³ of fill, 60 pins
}
