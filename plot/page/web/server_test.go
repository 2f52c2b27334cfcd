package web

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"go/parser"
	"go/token"
	"io"
	"net"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pourplane/plot/page"
	"pourplane/testdata/demo"
)

// listening serves s at a free port of this machine and returns its host and port.
func listening(t *testing.T, s *Server) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	go s.Serve(l)
	return l.Addr().String()
}

// said sends bytes as they are, with AT for the address, and returns the reply.
func said(t *testing.T, at, text string) (*http.Response, string) {
	t.Helper()
	c, err := net.Dial("tcp", at)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if _, err := io.WriteString(c, strings.ReplaceAll(strings.ReplaceAll(text, "\n", "\r\n"), "AT", at)); err != nil {
		t.Fatal(err)
	}
	r, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		t.Fatalf("%.60q: %v", text, err)
	}
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r, string(body)
}

const (
	oneSession   = "00112233445566778899aabbccddeeff"
	otherSession = "ffeeddccbbaa99887766554433221100"
)

// parcel is a request with its files.
func parcel(t *testing.T, q page.Request, bodies ...[]byte) []byte {
	t.Helper()
	head, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	for (4+len(head))%8 != 0 {
		head = append(head, ' ')
	}
	out := append(binary.LittleEndian.AppendUint32(nil, uint32(len(head))), head...)
	return append(out, bytes.Join(bodies, nil)...)
}

// demoParcel asks for the answer to the demo floor.
func demoParcel(t *testing.T) []byte {
	t.Helper()
	q := page.Request{Ask: "solve"}
	var bodies [][]byte
	for i, name := range []string{"job.toml", "survey.csv", "outline.csv", "check.csv"} {
		b, err := demo.Files.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if i == 0 {
			q.Job = string(b)
			continue
		}
		q.Files = append(q.Files, page.File{Name: name, ID: name, Size: int64(len(b))})
		bodies = append(bodies, b)
	}
	return parcel(t, q, bodies...)
}

// asked sends a parcel as the page does.
func asked(t *testing.T, at, session string, body []byte, change func(*http.Request)) (int, []byte) {
	t.Helper()
	r, err := http.NewRequest(http.MethodPost, "http://"+at+"/ask", bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	r.Header = http.Header{"Origin": {"http://" + at}, "Content-Type": {"application/octet-stream"}, "Session": {session}}
	if change != nil {
		change(r)
	}
	reply, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer reply.Body.Close()
	b, err := io.ReadAll(reply.Body)
	if err != nil {
		t.Fatal(err)
	}
	return reply.StatusCode, b
}

// headOf is the head of a reply of the engine.
func headOf(t *testing.T, b []byte) page.Reply {
	t.Helper()
	var r page.Reply
	if len(b) < 4 || json.Unmarshal(b[4:4+binary.LittleEndian.Uint32(b)], &r) != nil {
		t.Fatalf("no reply of the engine: %.100q", b)
	}
	return r
}

// The page, its files and those of the demo come with their types and the policy, and are
// not sent again if they are the same.
func TestFilesOfThePage(t *testing.T) {
	t.Parallel()
	at := listening(t, NewServer(nil))
	for path, kind := range map[string]string{"/": "text/html", "/index.html": "text/html", "/demo/job.toml": "text/plain", "/demo/survey.csv": "text/csv", "/?x=1": "text/html"} {
		r, body := said(t, at, "GET "+path+" HTTP/1.1\nHost: AT\nConnection: close\n\n")
		if r.StatusCode != 200 || !strings.HasPrefix(r.Header.Get("Content-Type"), kind) || len(body) < 100 {
			t.Errorf("%s: %s, %s, %d bytes", path, r.Status, r.Header.Get("Content-Type"), len(body))
		}
		for name, want := range map[string]string{
			"Content-Security-Policy": "frame-ancestors 'none'", "X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin",
			"Cross-Origin-Opener-Policy": "same-origin", "Cross-Origin-Resource-Policy": "same-origin",
		} {
			if !strings.Contains(r.Header.Get(name), want) {
				t.Errorf("%s: %s is %q, want %q", path, name, r.Header.Get(name), want)
			}
		}
		again, body := said(t, at, "GET "+path+" HTTP/1.1\nHost: AT\nConnection: close\nIf-None-Match: "+r.Header.Get("ETag")+"\n\n")
		if again.StatusCode != http.StatusNotModified || body != "" {
			t.Errorf("%s asked again: %s, %d bytes", path, again.Status, len(body))
		}
	}
	if _, page := said(t, at, "GET / HTTP/1.1\nHost: AT\nConnection: close\n\n"); strings.Count(page, EngineMark) != 1 {
		t.Errorf("the page has no %s", EngineMark)
	}
}

// Only the address that the connection arrived at is answered. A name that is made to point
// here, as in DNS rebinding, gets nothing.
func TestOtherNamesForThisMachine(t *testing.T) {
	t.Parallel()
	at := listening(t, NewServer(nil))
	_, port, _ := net.SplitHostPort(at)
	for host, ok := range map[string]bool{
		at: true, "localhost:" + port: true, "LOCALHOST:" + port: true, "[::ffff:127.0.0.1]:" + port: true,
		"site.example:" + port: false, "localhost": false, "127.0.0.1": false, "127.0.0.1:1": false, "127.0.0.2:" + port: false, "0.0.0.0:" + port: false,
		"[::1]:" + port: false, "localhost.site.example:" + port: false, "127.0.0.1." + port: false, "localhost.:" + port: false, "2130706433:" + port: false, "127.1:" + port: false, "": false,
	} {
		for _, request := range []string{"GET / HTTP/1.1\nHost: " + host + "\nConnection: close\n\n", "GET http://" + host + "/ HTTP/1.1\nHost: AT\nConnection: close\n\n"} {
			if host == "" && strings.HasPrefix(request, "GET http") {
				continue
			}
			r, body := said(t, at, request)
			if got := r.StatusCode == 200; got != ok || !ok && strings.Contains(body, "<html") {
				t.Errorf("%q: %s", request, r.Status)
			}
		}
	}
}

// A path is the name of a file exactly as it is written, or nothing.
func TestPathsThatAreNoFiles(t *testing.T) {
	t.Parallel()
	at := listening(t, NewServer(nil))
	for _, path := range []string{
		"/..", "/../index.html", "/demo/../index.html", "/./index.html", "//index.html", "/demo//job.toml", "/demo", "/demo/", "/index.html/",
		"/%2e%2e/index.html", "/%2e/index.html", "/demo%2fjob.toml", "/%69ndex.html", "/index.html%00", "/..%5cindex.html", `/..\index.html`, `/demo\job.toml`,
		"/server.go", "/web.go", "/demo/demo.go", "/demo/README.md", "/ask", "/code", "/INDEX.HTML", "/etc/passwd", "//etc/passwd", "/~root", "/index.html;x", "/.git/config",
	} {
		r, body := said(t, at, "GET "+path+" HTTP/1.1\nHost: AT\nConnection: close\n\n")
		if r.StatusCode != http.StatusNotFound && r.StatusCode != http.StatusBadRequest || strings.Contains(body, "<html") || strings.Contains(body, "package") {
			t.Errorf("%s: %s, %.60q", path, r.Status, body)
		}
	}
}

// What another page, a form or another program would send is refused before the engine.
func TestRequestsThatAreNotThePages(t *testing.T) {
	t.Parallel()
	s := NewServer(nil)
	at := listening(t, s)
	body := demoParcel(t)
	set := func(name string, values ...string) func(*http.Request) {
		return func(r *http.Request) { r.Header[name] = values }
	}
	for _, c := range []struct {
		name   string
		change func(*http.Request)
		want   int
	}{
		{"no origin", set("Origin"), 403},
		{"another page", set("Origin", "http://site.example"), 403},
		{"another port", set("Origin", "http://127.0.0.1:1"), 403},
		{"a frame or a file", set("Origin", "null"), 403},
		{"the other name of this machine", set("Origin", "http://localhost:"+at[strings.LastIndexByte(at, ':')+1:]), 403},
		{"encrypted", set("Origin", "https://"+at), 403},
		{"two origins", set("Origin", "http://"+at, "http://site.example"), 403},
		{"what the browser says", set("Sec-Fetch-Site", "cross-site"), 403},
		{"another port, as the browser says", set("Sec-Fetch-Site", "same-site"), 403},
		{"a form", set("Content-Type", "application/x-www-form-urlencoded"), 415},
		{"a form as text", set("Content-Type", "text/plain"), 415},
		{"no type", set("Content-Type"), 415},
		{"compressed", set("Content-Encoding", "gzip"), 415},
		{"no session", set("Session"), 400},
		{"a short session", set("Session", "0011"), 400},
		{"a session of other letters", set("Session", strings.ToUpper(oneSession)), 400},
		{"another path", func(r *http.Request) { r.URL.Path = "/index.html" }, 404},
		{"PUT", func(r *http.Request) { r.Method = "PUT" }, 405},
		{"OPTIONS", func(r *http.Request) { r.Method = "OPTIONS" }, 405},
		{"DELETE", func(r *http.Request) { r.Method = "DELETE" }, 405},
		{"GET with a body", func(r *http.Request) { r.Method = "GET" }, 400},
	} {
		if status, got := asked(t, at, oneSession, body, c.change); status != c.want || len(got) < 10 {
			t.Errorf("%s: status %d, want %d: %q", c.name, status, c.want, got)
		}
	}
	if len(s.sessions.all) > 0 {
		t.Errorf("%d sessions were opened", len(s.sessions.all))
	}
	if status, got := asked(t, at, oneSession, body, nil); status != 200 || headOf(t, got).Answer == nil {
		t.Errorf("the page itself: status %d, %.200q", status, got)
	}
}

// A request that is too large is refused in words that the page shows, whether its length is
// known before or not.
func TestTooLarge(t *testing.T) {
	t.Parallel()
	s := NewServer(nil)
	s.most = 1 << 20
	at := listening(t, s)
	for name, change := range map[string]func(*http.Request){
		"length known":   nil,
		"length unknown": func(r *http.Request) { r.ContentLength, r.Body = -1, io.NopCloser(io.LimitReader(neverEnds{}, 3<<20)) },
	} {
		status, got := asked(t, at, oneSession, make([]byte, 1<<20+1), change)
		if status != http.StatusRequestEntityTooLarge || !strings.Contains(string(got), "1 MB. A longer survey is for the command") {
			t.Errorf("%s: status %d, %q", name, status, got)
		}
	}
	if r, body := said(t, at, "POST /ask HTTP/1.1\nHost: AT\nOrigin: http://AT\nSession: "+oneSession+"\nContent-Type: application/octet-stream\nContent-Length: 99999999999999\n\n"); r.StatusCode != 413 || !strings.Contains(body, "95367432 MB, want at most 1 MB") {
		t.Errorf("%s: %q", r.Status, body)
	}
	if r, _ := said(t, at, "GET / HTTP/1.1\nHost: AT\nX: "+strings.Repeat("x", 64<<10)+"\n\n"); r.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
		t.Errorf("a long head: %s", r.Status)
	}
}

type neverEnds struct{}

func (neverEnds) Read(b []byte) (int, error) { return len(b), nil }

// A body that stops on its way ends, wherever it is refused. A body that comes slowly, but
// comes, is answered.
func TestSlowBodies(t *testing.T) {
	t.Parallel()
	s := NewServer(nil)
	s.patience = 300 * time.Millisecond
	at := listening(t, s)
	head := "POST /ask HTTP/1.1\nHost: AT\nOrigin: http://AT\nSession: " + oneSession + "\nContent-Type: application/octet-stream\nContent-Length: 1000\n\nabc"
	for name, c := range map[string]struct {
		text string
		want int
	}{
		"stalled":             {head, http.StatusRequestTimeout},
		"stalled and refused": {strings.Replace(head, "http://AT", "http://site.example", 1), http.StatusForbidden},
		"with GET":            {strings.Replace(head, "POST /ask", "GET /", 1), http.StatusBadRequest},
		"without a length":    {strings.Replace(strings.Replace(head, "Content-Length: 1000", "Transfer-Encoding: chunked", 1), "abc", "3\nabc\n", 1), http.StatusRequestTimeout},
	} {
		if r, body := said(t, at, c.text); r.StatusCode != c.want {
			t.Errorf("%s: %s, %q", name, r.Status, body)
		}
	}
	slow, give := io.Pipe()
	long := parcel(t, page.Request{Ask: "read", Date: "2026-11-25", Files: []page.File{{Name: "a.csv", ID: "1", Size: 8 * stepBytes}}}, make([]byte, 8*stepBytes))
	go func() {
		for part := range slices.Chunk(long, stepBytes) {
			time.Sleep(s.patience / 4) // in all more than the patience
			give.Write(part)
		}
		give.Close()
	}()
	status, got := asked(t, at, oneSession, nil, func(r *http.Request) { r.Body, r.ContentLength = slow, int64(len(long)) })
	if status != 200 || len(headOf(t, got).Read) != 1 {
		t.Errorf("a slow network: status %d, %.100q", status, got)
	}
}

// The files of one page are never those of another, and the page not used for longest is
// asked for its files again.
func TestSessionsDoNotMix(t *testing.T) {
	t.Parallel()
	at := listening(t, NewServer(nil))
	with := func(session string, sizes int64, bodies ...[]byte) page.Reply {
		t.Helper()
		status, got := asked(t, at, session, parcel(t, page.Request{Ask: "read", Date: "2026-11-25", Files: []page.File{{Name: "a.csv", ID: "1", Size: sizes}}}, bodies...), nil)
		if status != 200 {
			t.Fatalf("status %d, %q", status, got)
		}
		return headOf(t, got)
	}
	mine := []byte("point,x (m),y (m),z (m)\n1,0,0,9.99\n2,4,0,9.98\n3,4,3,9.97\n4,0,3,9.97\n")
	if r := with(oneSession, int64(len(mine)), mine); len(r.Read) != 1 || r.Read[0].Kind != "survey" {
		t.Fatalf("%+v", r)
	}
	if r := with(otherSession, -1); !slices.Equal(r.Lacks, []string{"1"}) || len(r.Read) > 0 {
		t.Errorf("another page got %+v", r)
	}
	for i := range mostSessions - 2 {
		with(fmt.Sprintf("%032x", i), -1)
	}
	if r := with(oneSession, -1); len(r.Read) != 1 {
		t.Errorf("with %d pages, the first got %+v", mostSessions, r)
	}
	for i := range mostSessions {
		with(fmt.Sprintf("%032x", 100+i), -1)
	}
	if r := with(oneSession, -1); !slices.Equal(r.Lacks, []string{"1"}) {
		t.Errorf("after %d others the first got %+v", mostSessions, r)
	}
}

// A request whose page has gone does not wait for its turn.
func TestPageThatHasGone(t *testing.T) {
	t.Parallel()
	s := NewServer(nil)
	ended := make(chan struct{})
	s.sessions.of(" " + oneSession).turn <- struct{}{} // an answer that takes long
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	go http.Serve(l, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.ServeHTTP(w, r)
		close(ended)
	}))
	at := l.Addr().String()
	c, err := net.Dial("tcp", at)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintf(c, "POST /ask HTTP/1.1\r\nHost: %s\r\nOrigin: http://%s\r\nSession: %s\r\nContent-Type: application/octet-stream\r\nContent-Length: 4\r\n\r\nabcd", at, at, oneSession)
	select {
	case <-ended:
		t.Fatal("answered out of turn")
	case <-time.After(50 * time.Millisecond):
	}
	c.Close()
	<-ended
}

// The server has no way to write to the disk: it does not import one.
func TestServerWritesNoFiles(t *testing.T) {
	t.Parallel()
	names, err := filepath.Glob("*.go")
	if err != nil || len(names) < 4 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range file.Imports {
			if slices.Contains([]string{`"os"`, `"syscall"`, `"os/exec"`, `"io/ioutil"`}, i.Path.Value) {
				t.Errorf("%s imports %s", name, i.Path.Value)
			}
		}
	}
}
