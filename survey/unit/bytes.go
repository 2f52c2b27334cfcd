package unit

import (
	"fmt"
)

// Bytes writes a number of bytes, such as "256 MB".
func Bytes(n int64) string {
	for _, u := range []struct {
		size int64
		name string
	}{{1e9, "GB"}, {1e6, "MB"}, {1e3, "kB"}} {
		if n >= u.size {
			return fmt.Sprintf("%.4g %s", float64(n)/float64(u.size), u.name)
		}
	}
	return fmt.Sprintf("%d bytes", n)
}
