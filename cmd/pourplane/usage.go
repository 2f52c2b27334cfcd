package main

// usageError is a call that no input could make right.
type usageError struct {
	text, hint string
}

func (e *usageError) Error() string { return e.text }
