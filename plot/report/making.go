package report

import (
	"io"
	"runtime"
	"slices"
	"sync"

	"pourplane/surface/job"
)

// making is a file to be made, and what a user is shown meanwhile.
type making struct {
	name, doing string
	write       func(w io.Writer) error
}

// made makes files on all processors and returns them in their order. If some cannot be
// made, the error is that of the first of them.
func made(all []making, watch job.Watch) ([]Output, error) {
	out := make([]Output, len(all))
	var saying sync.Mutex
	err := together(len(all), func(i int) error {
		saying.Lock()
		watch.Say(all[i].doing, 0, 0)
		saying.Unlock()
		var c chunks
		if err := all[i].write(&c); err != nil {
			return err
		}
		out[i] = Output{Name: all[i].name, Data: c.joined()}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// chunks holds what is written, in chunks: a buffer that doubles would take up to three times
// as much.
type chunks [][]byte

func (c *chunks) Write(b []byte) (int, error) {
	const largest = 1 << 20
	n := len(b)
	for len(b) > 0 {
		last := len(*c) - 1
		if last < 0 || len((*c)[last]) == cap((*c)[last]) {
			size := 4096
			if last >= 0 {
				size = min(2*cap((*c)[last]), largest)
			}
			*c = append(*c, make([]byte, 0, size))
			last++
		}
		at := (*c)[last]
		k := min(len(b), cap(at)-len(at))
		(*c)[last], b = append(at, b[:k]...), b[k:]
	}
	return n, nil
}

// joined returns all that was written.
func (c chunks) joined() []byte { return slices.Concat(c...) }

// together does n pieces of work on all processors, begun in their order. After an error no
// more are begun; it returns that of the first piece with one. A panic is passed on.
func together(n int, do func(i int) error) error {
	var (
		mu    sync.Mutex
		next  int
		errs  = make([]error, n)
		ended any
		over  bool
		wait  sync.WaitGroup
	)
	take := func() (i int, ok bool) {
		mu.Lock()
		defer mu.Unlock()
		if over || next == n {
			return 0, false
		}
		next++
		return next - 1, true
	}
	one := func(i int) {
		defer func() {
			if p := recover(); p != nil {
				mu.Lock()
				defer mu.Unlock()
				over = true
				if ended == nil {
					ended = p
				}
			}
		}()
		if errs[i] = do(i); errs[i] != nil {
			mu.Lock()
			defer mu.Unlock()
			over = true
		}
	}
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for i, ok := take(); ok; i, ok = take() {
				one(i)
			}
		})
	}
	wait.Wait()
	if ended != nil {
		panic(ended)
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
