//go:build unix

package main

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// lockFolder waits until no other run exchanges a result in a folder, and keeps others
// out until the lock is given back or the program ends. Held is false where the file
// system has no locks.
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
		// A file system without locks has the exchange all the same.
		return func() { d.Close() }, err == nil, nil
	}
}
