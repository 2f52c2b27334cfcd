//go:build !linux

package thin

func inLargePages[T any]([]T) {}
