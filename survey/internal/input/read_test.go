package input

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"pourplane/survey"
)

// A pipe is read in pieces, byte for byte.
func TestInPieces(t *testing.T) {
	for _, n := range []int{0, 1, 1<<16 - 1, 1 << 16, 1<<16 + 1, 5 << 20} {
		want := bytes.Repeat([]byte("a1\n"), n/3+1)[:n]
		got, err := inPieces(io.MultiReader(bytes.NewReader(want)))
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("%d bytes: %d read, %v", n, len(got), err)
		}
	}
	if _, err := inPieces(&limited{strings.NewReader("0123456789"), "pipe", 9, 9}); err == nil || !strings.Contains(err.Error(), "more than 9 bytes") {
		t.Errorf("past the limit: %v", err)
	}
}

// The largest limit there is limits nothing.
func TestLargestLimit(t *testing.T) {
	for _, most := range []int64{math.MaxInt64, math.MaxInt64 - 1} {
		if got, err := ReadAll(strings.NewReader("0123456789"), "pipe", survey.Options{MaxSize: most}); err != nil || string(got) != "0123456789" {
			t.Errorf("up to %d bytes: %q, %v", most, got, err)
		}
		if err := TooLarge("pipe", most); strings.Contains(fmt.Sprint(survey.Hints(err)), "size -") {
			t.Errorf("%v, hints %q", err, survey.Hints(err))
		}
	}
}
