package text

import "sync"

// each calls do with 0 to n-1, each on a goroutine of its own, and waits for all.
func each(n int, do func(k int)) {
	var wait sync.WaitGroup
	for k := range n {
		wait.Add(1)
		go func() { defer wait.Done(); do(k) }()
	}
	wait.Wait()
}
