package plot

import (
	"bytes"
	"testing"

	"pourplane/surface"
)

// Equal drawings are equal files.
func TestWrittenTwiceIsTheSame(t *testing.T) {
	for _, format := range []string{"png", "svg", "pdf"} {
		var files [2]bytes.Buffer
		for i := range files {
			m := &DepthMap{Title: "Hall", Floor: hall(2, surface.Vec{}), Target: surface.Horizontal(99.83 * foot), Finished: doors(surface.Vec{}), Shots: true}
			if err := Write(&files[i], m, Output{Format: format}); err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
			t.Errorf("%s: two runs differ", format)
		}
	}
}
