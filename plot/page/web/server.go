package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"mime"
	"net"
	"net/http"
	"net/netip"
	"strconv"
	"strings"
	"time"

	"pourplane/plot/page"
)

// Server gives out the page and answers its requests. It writes nothing to the disk. It
// answers only under the address that it is reached at, so that a name which somebody points
// at this machine opens nothing, and only what its own page asks.
type Server struct {
	door     *Door
	sessions sessions
	most     int64         // bytes of a request
	patience time.Duration // for each step of stepBytes
}

// NewServer returns a server for this machine. With a door it is for other devices too, each
// let in with a code.
func NewServer(door *Door) *Server {
	return &Server{door: door, most: page.MostRequest, patience: 20 * time.Second}
}

const (
	headerTime = 10 * time.Second // for the head of a request
	idleTime   = 2 * time.Minute
	fileTime   = 2 * time.Minute // for a reader to take a file of the page
	mostHeader = 16 << 10
)

// Serve answers the connections of l until l is closed.
func (s *Server) Serve(l net.Listener) error {
	h := &http.Server{Handler: s, ReadHeaderTimeout: headerTime, WriteTimeout: fileTime, IdleTimeout: idleTime,
		MaxHeaderBytes: mostHeader, ErrorLog: log.New(io.Discard, "", 0)}
	return h.Serve(l)
}

// refusal is a request that is not answered.
type refusal struct {
	status int
	text   string
}

func (e *refusal) Error() string { return e.text }

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	protect(w.Header())
	if r.ContentLength != 0 {
		// What is left of a refused body must not hold the connection.
		if err := s.patient(http.NewResponseController(w).SetReadDeadline); err != nil {
			return
		}
	}
	err := s.answer(w, r)
	var no *refusal
	if errors.As(err, &no) {
		refuse(w, no)
	}
}

// protect sets the headers of every reply.
func protect(h http.Header) {
	h.Set("Content-Security-Policy", Policy()+"; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
	h.Set("Cache-Control", "no-cache")
}

func refuse(w http.ResponseWriter, no *refusal) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(no.status)
	io.WriteString(w, no.text+"\n") // a reader that has gone needs no text
}

func (s *Server) answer(w http.ResponseWriter, r *http.Request) error {
	post := r.Method == http.MethodPost
	switch {
	case !atOurAddress(r):
		return &refusal{http.StatusMisdirectedRequest, "This page answers only at the address that pourplane shows on its terminal."}
	case !post && r.Method != http.MethodGet && r.Method != http.MethodHead:
		w.Header().Set("Allow", "GET, HEAD, POST")
		return &refusal{http.StatusMethodNotAllowed, "found the method " + strconv.Quote(r.Method) + ", want GET, HEAD or POST"}
	case !post && r.ContentLength != 0:
		return &refusal{http.StatusBadRequest, "found a body, want none with " + r.Method}
	case post && !ofOurPage(r):
		return &refusal{http.StatusForbidden, "This request comes from another page. Open the address that pourplane shows on its terminal."}
	}
	device := ""
	if s.door != nil {
		var in bool
		if device, in = s.door.knows(r); !in {
			return s.door.answer(w, r)
		}
	}
	if post {
		if r.URL.Path != "/ask" {
			return &refusal{http.StatusNotFound, "There is nothing to send to at this address."}
		}
		return s.ask(w, r, device)
	}
	f, ok := servedFiles()[r.URL.Path]
	if !ok || strings.ContainsAny(r.RequestURI, "%\\") {
		return &refusal{http.StatusNotFound, "There is no such file."}
	}
	w.Header().Set("Content-Type", f.kind)
	w.Header().Set("ETag", f.tag)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(f.body))
	return nil
}

// atOurAddress reports whether a request names the address that it arrived at.
func atOurAddress(r *http.Request) bool {
	local, ok := r.Context().Value(http.LocalAddrContextKey).(*net.TCPAddr)
	if !ok {
		return false
	}
	host, port, err := net.SplitHostPort(r.Host)
	if err != nil {
		host, port = strings.Trim(r.Host, "[]"), "80"
	}
	if port != strconv.Itoa(local.Port) {
		return false
	}
	if strings.EqualFold(host, "localhost") {
		return local.IP.IsLoopback()
	}
	ip, err := netip.ParseAddr(host)
	return err == nil && ip.Unmap() == local.AddrPort().Addr().Unmap()
}

// ofOurPage reports whether a browser sends a request for the page itself.
func ofOurPage(r *http.Request) bool {
	origins := r.Header.Values("Origin")
	site := r.Header.Get("Sec-Fetch-Site")
	return len(origins) == 1 && origins[0] == "http://"+r.Host && (site == "" || site == "same-origin")
}

const parcelKind = "application/octet-stream"

// ask answers a request of the page to its engine.
func (s *Server) ask(w http.ResponseWriter, r *http.Request, device string) error {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != parcelKind || r.Header.Get("Content-Encoding") != "" {
		return &refusal{http.StatusUnsupportedMediaType, "found the type " + strconv.Quote(r.Header.Get("Content-Type")) + ", want " + parcelKind}
	}
	id := r.Header.Get("Session")
	if !isSession(id) {
		return &refusal{http.StatusBadRequest, "found no session of the page, want 32 hexadecimal digits"}
	}
	parcel, err := s.readBody(w, r)
	if err != nil {
		return err
	}
	one := s.sessions.of(device + " " + id)
	reply, ok := one.answer(r.Context(), parcel)
	if !ok {
		return nil // nobody waits for it
	}
	w.Header().Set("Content-Type", parcelKind)
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("Content-Length", strconv.Itoa(len(reply)))
	return s.writeBody(w, reply)
}

// tooLarge refuses a request of n bytes; 0 means that its length is not known.
func (s *Server) tooLarge(n int64) error {
	found := "more than"
	if n > s.most {
		found = fmt.Sprintf("%d MB, want at most", (n+1<<20-1)>>20)
	}
	return &refusal{http.StatusRequestEntityTooLarge,
		fmt.Sprintf("These files are too large for a page: found %s %d MB. A longer survey is for the command: pourplane run JOB.", found, s.most>>20)}
}

// stepBytes are the bytes for which a deadline moves on, so that a slow network gets through
// and a stalled one ends.
const stepBytes = 64 << 10

// patient moves a deadline.
func (s *Server) patient(set func(time.Time) error) error {
	return set(time.Now().Add(s.patience))
}

// readBody reads the body of a request.
func (s *Server) readBody(w http.ResponseWriter, r *http.Request) ([]byte, error) {
	if r.ContentLength > s.most {
		return nil, s.tooLarge(r.ContentLength)
	}
	control := http.NewResponseController(w)
	body := http.MaxBytesReader(w, r.Body, s.most)
	var b bytes.Buffer
	b.Grow(int(min(max(r.ContentLength, 0)+1, 1<<20)))
	for {
		if err := s.patient(control.SetReadDeadline); err != nil {
			return nil, err
		}
		_, err := io.CopyN(&b, body, stepBytes)
		var most *http.MaxBytesError
		switch {
		case err == io.EOF:
			// The connection is now only watched for its end, however long the answer takes.
			return b.Bytes(), control.SetReadDeadline(time.Time{})
		case errors.As(err, &most):
			return nil, s.tooLarge(0)
		case err != nil:
			return nil, &refusal{http.StatusRequestTimeout, "The request stopped on its way: the network is too slow or was cut. Try again."}
		}
	}
}

// writeBody writes a reply. Its time to be written begins now, not with the request.
func (s *Server) writeBody(w http.ResponseWriter, b []byte) error {
	control := http.NewResponseController(w)
	for len(b) > 0 {
		if err := s.patient(control.SetWriteDeadline); err != nil {
			return err
		}
		n := min(len(b), stepBytes)
		if _, err := w.Write(b[:n]); err != nil {
			return err
		}
		b = b[n:]
	}
	return nil
}

// answer answers a request when those before it in its session are answered. It reports
// false if ctx ends first.
func (s *session) answer(ctx context.Context, parcel []byte) ([]byte, bool) {
	select {
	case s.turn <- struct{}{}:
	case <-ctx.Done():
		return nil, false
	}
	defer func() { <-s.turn }()
	reply := s.engine.Answer(ctx, parcel, nil)
	return reply, ctx.Err() == nil
}
