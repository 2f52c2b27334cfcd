package input

import (
	"runtime"
	"runtime/debug"
	"testing"
	"time"
)

var kept [][]byte // on the heap

// The collector does not run while expected memory is taken, runs where more is, and is as before
// afterwards.
func TestExpected(t *testing.T) {
	defer debug.SetGCPercent(debug.SetGCPercent(70))
	percent := func() int {
		p := debug.SetGCPercent(100)
		debug.SetGCPercent(p)
		return p
	}
	runs := func() uint32 {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.NumGC
	}
	take := func(megabytes int) {
		for range megabytes {
			kept = append(kept, make([]byte, 1<<20))
		}
	}
	defer func() { kept = nil }()

	runtime.GC()
	var e, other Expected
	e.Bytes(64 << 20)
	from := runs()
	take(60)
	if n := runs() - from; n != 0 {
		t.Errorf("the collector ran %d times", n)
	}
	other.Bytes(1 << 40)
	other.End()
	if p := percent(); p <= 70 {
		t.Errorf("GC percent %d while one reader of two is at work", p)
	}
	e.End()
	e.End()
	if p := percent(); p != 70 {
		t.Errorf("GC percent %d after the end, want 70", p)
	}

	kept = nil
	runtime.GC()
	e.Bytes(8 << 20)
	for until := time.Now().Add(20 * time.Second); percent() != 70; {
		if take(20); time.Now().After(until) || len(kept) > 2000 {
			t.Fatalf("GC percent %d with %d MB where 8 were expected", percent(), len(kept))
		}
		time.Sleep(time.Millisecond)
	}
	e.End()
	if p := percent(); p != 70 {
		t.Errorf("GC percent %d after the end, want 70", p)
	}
}
