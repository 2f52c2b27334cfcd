//go:build unix

package folder

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// lockFolder waits until no other run exchanges a result in a folder, and locks it until
// unlock is called or the program ends. held is false if the file system has no locks.
func lockFolder(folder string) (unlock func(), held bool, err error) {
	d, err := os.Open(folder)
	if err != nil {
		return nil, false, err
	}
	for {
		err := unix.Flock(int(d.Fd()), unix.LOCK_EX)
		if errors.Is(err, unix.EINTR) {
			continue
		}
		// Without locks the exchange goes on.
		return func() { d.Close() }, err == nil, nil
	}
}
