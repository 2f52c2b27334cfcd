package main

import (
	"errors"
	"fmt"

	"golang.org/x/sys/unix"
)

// swap exchanges the names of two folders in one step. Its error is
// [errors.ErrUnsupported] where the file system has no such step.
func swap(a, b string) error {
	err := unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE)
	if errors.Is(err, unix.ENOSYS) || errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOTSUP) {
		return fmt.Errorf("%w: %w", errors.ErrUnsupported, err)
	}
	return err
}
