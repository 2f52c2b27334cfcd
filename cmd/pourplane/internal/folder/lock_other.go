//go:build !unix

package folder

// lockFolder does nothing: this system has no locks of folders.
func lockFolder(string) (unlock func(), held bool, err error) { return func() {}, false, nil }
