package main

// usageError is a call that is wrong whatever the files hold.
type usageError struct {
	text, hint string
}

func (e *usageError) Error() string { return e.text }
