package survey

import (
	"unsafe"

	"golang.org/x/sys/unix"
)

// InLargePages asks for large pages of memory for a long array that is not yet used: a new page
// costs more than what is written to it, and a place anywhere in the array then costs one look
// into memory and none into the tables of pages.
func InLargePages[T any](array []T) {
	const page = 1 << 21
	array = array[:cap(array)]
	if len(array) == 0 {
		return
	}
	size := len(array) * int(unsafe.Sizeof(array[0]))
	if size < 2*page {
		return
	}
	unix.Madvise(unsafe.Slice((*byte)(unsafe.Pointer(&array[0])), size), unix.MADV_HUGEPAGE) // a refusal changes nothing
}
