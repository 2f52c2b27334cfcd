package folder

import (
	"errors"
	"fmt"

	"golang.org/x/sys/unix"
)

// swap exchanges the names of two folders in one step. The error is
// [errors.ErrUnsupported] if the file system cannot do that.
func swap(a, b string) error {
	err := unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE)
	if errors.Is(err, unix.ENOSYS) || errors.Is(err, unix.EINVAL) || errors.Is(err, unix.ENOTSUP) {
		return fmt.Errorf("%w: %w", errors.ErrUnsupported, err)
	}
	return err
}
