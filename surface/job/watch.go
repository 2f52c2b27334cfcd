package job

// Watch is called with what is being done, and how much of total, or how many bytes, or
// nothing but that when neither is known. A nil Watch is not called.
type Watch func(what string, done, total int64)

func (w Watch) Say(what string, done, total int64) {
	if w != nil {
		w(what, done, total)
	}
}
