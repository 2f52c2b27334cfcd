package input

import (
	"math"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync"
)

// Expected is memory that a long list is about to take and keep. The garbage collector waits
// until the heap has grown by it: looking through points while they are read finds nothing to
// free, and touches each page of their memory before it is written. The zero value expects
// nothing.
type Expected struct{ end func() }

// waiting is locked while the collector waits for one reader. Others do without.
var waiting sync.Mutex

// Bytes expects n bytes until [Expected.End], or until the heap has grown by more.
func (e *Expected) Bytes(n int64) {
	if e.end != nil || !waiting.TryLock() {
		return
	}
	const least = 4 << 20 // heap that the collector counts at least
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}, {Name: "/gc/gogc:percent"}}
	metrics.Read(live)
	percent := float64(live[1].Value.Uint64()) + 100*float64(n)/float64(max(live[0].Value.Uint64(), least))
	before := debug.SetGCPercent(int(min(percent, math.MaxInt32)))
	e.end = sync.OnceFunc(func() {
		debug.SetGCPercent(before)
		waiting.Unlock()
	})
	runtime.AddCleanup(new([16]byte), func(end func()) { end() }, e.end) // freed as soon as the collector runs
}

// End ends the wait.
func (e *Expected) End() {
	if e.end != nil {
		e.end()
		e.end = nil
	}
}
