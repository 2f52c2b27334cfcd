package thin

import (
	"unsafe"

	"golang.org/x/sys/unix"
)

// inLargePages asks for large pages of memory for a long array that is not yet used: a
// point anywhere in it then costs one look into memory and none into the tables of pages.
func inLargePages[T any](array []T) {
	const page = 1 << 21
	if len(array) == 0 {
		return
	}
	size := len(array) * int(unsafe.Sizeof(array[0]))
	if size < 2*page {
		return
	}
	unix.Madvise(unsafe.Slice((*byte)(unsafe.Pointer(&array[0])), size), unix.MADV_HUGEPAGE) // a refusal changes nothing
}
