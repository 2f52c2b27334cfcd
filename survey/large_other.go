//go:build !linux

package survey

// InLargePages does nothing on this system.
func InLargePages[T any]([]T) {}
