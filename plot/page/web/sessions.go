package web

import (
	"slices"
	"strings"
	"sync"

	"pourplane/plot/page"
)

// mostSessions is the max number of pages whose files are kept. A page whose session was
// dropped sends its files again.
const mostSessions = 8

// session is one page, open somewhere.
type session struct {
	key    string
	engine page.Engine
	turn   chan struct{} // holds one while it answers
}

// sessions are the pages that asked last, the latest at the end.
type sessions struct {
	mu  sync.Mutex
	all []*session
}

// of returns a session, new if there is none, and drops the one not used for longest.
func (s *sessions) of(key string) *session {
	s.mu.Lock()
	defer s.mu.Unlock()
	i := slices.IndexFunc(s.all, func(one *session) bool { return one.key == key })
	if i < 0 {
		s.all = append(s.all, &session{key: key, turn: make(chan struct{}, 1)})
		i = len(s.all) - 1
	}
	one := s.all[i]
	s.all = append(slices.Delete(s.all, i, i+1), one)
	if n := len(s.all) - mostSessions; n > 0 {
		s.all = slices.Delete(s.all, 0, n)
	}
	return one
}

// isSession reports whether a text is the name of a session: 32 hexadecimal digits.
func isSession(text string) bool {
	return len(text) == 32 && strings.Trim(text, "0123456789abcdef") == ""
}
