//go:build !unix

package main

// lockFolder does nothing: this system has no locks of folders.
func lockFolder(string) (unlock func(), held bool, err error) { return func() {}, false, nil }
