package job

// Reading is the step in which done and total are bytes of an input.
const Reading = "reading"

// Watch is called with the current step and how much of total is done: a count, bytes,
// or 0, 0 if not known. A nil Watch is not called.
type Watch func(what string, done, total int64)

func (w Watch) Say(what string, done, total int64) {
	if w != nil {
		w(what, done, total)
	}
}
