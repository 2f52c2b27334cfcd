package job

// UsageError is a call that no input could make right.
type UsageError struct {
	Text, Hint string
}

func (e *UsageError) Error() string { return e.Text }
