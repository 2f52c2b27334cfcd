//go:build !linux

package folder

import "errors"

// swap exchanges the names of two folders in one step, which this system does not offer.
func swap(_, _ string) error { return errors.ErrUnsupported }
