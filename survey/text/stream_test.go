package text

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"

	"pourplane/survey"
	"pourplane/survey/unit"
)

// A long list gives the same survey, or the same error, whether its text is held or not. The
// lists that can be streamed are.
func TestStream(t *testing.T) {
	defer func(most, size int) { mostReadings, chunkSize = most, size }(mostReadings, chunkSize)
	mostReadings = 1000
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	r := rand.New(rand.NewPCG(7, 8))
	const rows = 26_000
	plain := make([]string, rows)
	for i := range plain {
		plain[i] = fmt.Sprintf("%d.%04d,%.4f,%.4f", i%40, i, 25*r.Float64(), 0.02*r.NormFloat64())
	}
	coded := make([]string, rows)
	for i := range coded {
		coded[i] = fmt.Sprintf("%d,%s,%s", i+1, plain[i], []string{"SL", "SL", "", "JT", "BM"}[min(i%7, 4)])
	}
	at := func(rows []string, what string) string {
		i := 20_000 + r.IntN(5000)
		return strings.Join(rows[:i], "\n") + "\n" + what + "\n" + strings.Join(rows[i:], "\n") + "\n"
	}
	all3 := strings.Join(plain, "\n")
	for name, c := range map[string]struct {
		text    string
		streams bool
	}{
		"plain":             {all3 + "\n", true},
		"no last line end":  {all3, true},
		"CR LF":             {strings.ReplaceAll(all3, "\n", "\r\n") + "\r\n", true},
		"head":              {"x,y,z\n" + all3, true},
		"UTF-8 mark":        {"\xef\xbb\xbfx,y,z\r\n" + strings.ReplaceAll(all3, "\n", "\r\n"), true},
		"comments":          {"# a scan\n\n" + at(plain, "# a comment\n\n-----"), true},
		"repeats and zeros": {at(plain, plain[5]+"\n1.5,1.5,0\n1.5,1.5,0\n1.5,1.5,-9999"), true},
		"blanks":            {strings.ReplaceAll(all3, ",", "  "), true},
		"long numbers":      {at(plain, "1.2345678901,2.000000001,.5\n -1,2 ,3"), true},
		"codes":             {"id,x,y,z,code\n" + strings.Join(coded, "\n"), true},
		"remarks":           {"id,x,y,z,remarks\n" + strings.Join(coded, "\n"), true},
		"count":             {"26001\n" + all3, true},

		"odd row":          {at(plain, "1.5,2.5,"), false},
		"word":             {at(plain, "1.5,x,2.5"), false},
		"another field":    {at(plain, "1.5,2.5,2.5,4"), false},
		"quote":            {at(plain, `"1.5",2.5,3.5`), false},
		"open quote":       {at(plain, `"1.5,2.5,3.5`), false},
		"byte 0":           {at(plain, "1.5,2.5,3.5\x00"), false},
		"byte 1A":          {all3 + "\n\x1a", false},
		"CR":               {at(plain, "1.5,2.5,3.5\r1.5,2.5,3.5"), false},
		"CR at the end":    {all3 + "\r", false},
		"other encoding":   {"id,x,y,z,code\n" + at(coded, "A,1,2,3,T\xfcr"), false},
		"far out":          {at(plain, "1.5,200000000,3.5"), false},
		"long line":        {at(plain, "# "+strings.Repeat("x", 2_000_000)), false},
		"long last line":   {all3 + "\n# " + strings.Repeat("x", 2_000_000), false},
		"shorter rows":     {all3 + "\n" + strings.Repeat("1,2,3\n", 3*rows), false},
		"rod":              {"x,y,rod\n" + all3, false},
		"code and remarks": {"remarks,x,y,z,code\n" + strings.Join(coded, "\n"), false},
	} {
		for _, procs := range []int{1, 3} {
			runtime.GOMAXPROCS(procs)
			chunkSize = []int{1 << 19, 1 << 16}[procs/2]
			o := survey.Options{Unit: unit.Metre, Order: "XYZ"}
			if strings.HasPrefix(c.text, "id") || strings.HasPrefix(c.text, "remarks") {
				o.Order = ""
			}
			s, err := readText([]byte(c.text), "f", o, false)
			want := all(s) + fmt.Sprint(err)
			f, err := Stream(iotest.HalfReader(strings.NewReader(c.text)), int64(len(c.text)), "f", o)
			if (f != nil) != c.streams || f == nil && err != nil {
				t.Errorf("%s on %d processors: streamed %t, %v", name, procs, f != nil, err)
			}
			if f == nil {
				continue
			}
			s, err = f.Alone()
			if got := all(s) + fmt.Sprint(err); got != want {
				t.Errorf("%s on %d processors:\n%.2000s\nheld:\n%.2000s", name, procs, got, want)
			}
		}
	}

	// What cannot be read, and what is stopped, is an error.
	broken := errors.New("broken")
	read := func(n int, o survey.Options) error {
		o.Unit, o.Order = unit.Metre, "XYZ"
		_, err := Stream(io.MultiReader(strings.NewReader(all3[:n]), iotest.ErrReader(broken)), int64(len(all3)), "f", o)
		return err
	}
	for _, n := range []int{0, 1000, headSize, headSize + 1, 400_000} {
		if err := read(n, survey.Options{}); !errors.Is(err, broken) || !strings.Contains(err.Error(), "f: ") {
			t.Errorf("after %d bytes: %v", n, err)
		}
	}
	if err := read(400_000, survey.Options{Stop: func() error { return io.ErrClosedPipe }}); err != io.ErrClosedPipe {
		t.Errorf("stopped: %v", err)
	}
	last := int64(0)
	o := survey.Options{Unit: unit.Metre, Order: "XYZ", Progress: func(done, total int64) {
		if done < last || total != int64(len(all3)) {
			t.Errorf("progress %d of %d after %d", done, total, last)
		}
		last = done
	}}
	if f, err := Stream(bytes.NewReader([]byte(all3)), int64(len(all3)), "f", o); f == nil || err != nil || last != int64(len(all3)) {
		t.Errorf("%v, progress up to %d of %d", err, last, len(all3))
	}
}
