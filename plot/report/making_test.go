package report

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"testing"
)

// Files are made on several processors, and are the same on one.
func TestFilesAreTheSameOnOneProcessor(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first []Output
	for _, k := range []int{1, 4} {
		runtime.GOMAXPROCS(k)
		var said []string
		all, err := hall(t).Everything(func(what string, _, _ int64) { said = append(said, what) })
		if err != nil {
			t.Fatal(err)
		}
		if len(said) != len(all) {
			t.Errorf("%d steps were said of %d files", len(said), len(all))
		}
		if first == nil {
			first = all
			continue
		}
		for i, o := range all {
			if o.Name != first[i].Name || !bytes.Equal(o.Data, first[i].Data) {
				t.Errorf("file %d, %s, is another than %s on one processor", i, o.Name, first[i].Name)
			}
		}
	}
}

// The first file in the list that cannot be made gives the error, and a panic reaches the
// caller.
func TestFilesThatCannotBeMade(t *testing.T) {
	t.Parallel()
	first := errors.New("no room")
	second := make(chan bool)
	write := func(err error, then func()) making {
		return making{"a", "making a", func(io.Writer) error {
			then()
			return err
		}}
	}
	last := func() {}
	if runtime.GOMAXPROCS(0) > 1 {
		last = func() { close(second) }
	} else {
		close(second)
	}
	_, err := made([]making{write(first, func() { <-second }), write(errors.New("later"), last)}, nil)
	if err != first {
		t.Errorf("got %v, want %v", err, first)
	}
	defer func() {
		if p := recover(); fmt.Sprint(p) != "a mistake" {
			t.Errorf("got %v, want the panic", p)
		}
	}()
	made([]making{write(nil, func() { panic("a mistake") })}, nil)
	t.Error("a panic was lost")
}

func TestChunksJoin(t *testing.T) {
	t.Parallel()
	var c chunks
	var want []byte
	for i := range 3000 {
		b := bytes.Repeat([]byte{byte(i)}, i%1777)
		if n, err := c.Write(b); n != len(b) || err != nil {
			t.Fatalf("%d, %v", n, err)
		}
		want = append(want, b...)
	}
	if !bytes.Equal(c.joined(), want) {
		t.Error("other bytes than were written")
	}
}
