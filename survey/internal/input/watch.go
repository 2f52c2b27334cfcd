package input

import (
	"bufio"
	"io"
)

// BufferSize is how much of a scan is read at a time; no line and no record of
// one may be longer.
const BufferSize = 1 << 16

// watched tells progress as bytes go by, at most once a megabyte.
type watched struct {
	r          io.Reader
	done, told int64
	total      int64 // 0 where it is not known
	tell       func(done, total int64)
}

// Watch returns r buffered, and calls tell as it is read. What r holds is known
// where it has a Size, as readers of bytes have.
func Watch(r io.Reader, tell func(done, total int64)) *bufio.Reader {
	if tell != nil {
		w := &watched{r: r, tell: tell}
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
	if w.done-w.told > 1<<20 || err == io.EOF && w.done > w.told {
		w.told = w.done
		w.tell(w.done, w.total)
	}
	return n, err
}
