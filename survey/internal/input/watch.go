package input

import (
	"bufio"
	"io"
)

// BufferSize is the size of the buffer for a scan, in bytes. No line and no record may
// be longer.
const BufferSize = 1 << 16

// watched reports progress, once per megabyte max.
type watched struct {
	r              io.Reader
	done, reported int64
	total          int64 // 0 if not known
	report         func(done, total int64)
}

// Watch returns r buffered and calls report as it is read. The total is known if r has a
// Size method, as readers of bytes have.
func Watch(r io.Reader, report func(done, total int64)) *bufio.Reader {
	if report != nil {
		w := &watched{r: r, report: report}
		if known, ok := r.(interface{ Size() int64 }); ok {
			w.total = known.Size()
		}
		r = w
	}
	return bufio.NewReaderSize(r, BufferSize)
}

func (w *watched) Read(p []byte) (int, error) {
	n, err := w.r.Read(p)
	w.done += int64(n)
	if w.done-w.reported > 1<<20 || err == io.EOF && w.done > w.reported {
		w.reported = w.done
		w.report(w.done, w.total)
	}
	return n, err
}
