package report_test

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"os"

	"pourplane/plot/report"
	"pourplane/surface/job"
)

// The demo job, solved without a command: reading and computing is one call, and the JSON
// that run writes begins with what another gives.
func Example() {
	files := os.DirFS("../../testdata/demo")
	text, err := fs.ReadFile(files, "job.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	j, err := job.Read(text, "job.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	done, err := job.Solve(j, files, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	data, err := json.Marshal(report.NewResult(done.Filled))
	fmt.Printf("%.2f m³ of fill, %d pins, JSON: %t, %v\n", done.Filled.Fill.Fill, len(done.Pins.Pins), json.Valid(data), err)
	// Output: 5.60 m³ of fill, 60 pins, JSON: true, <nil>
}
