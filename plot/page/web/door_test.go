package web

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
)

// shownCodes keeps the codes that a door shows.
type shownCodes struct{ all []string }

func (s *shownCodes) last() string { return s.all[len(s.all)-1] }

func newTestDoor() (*Door, *shownCodes) {
	var s shownCodes
	return NewDoor(func(code string) { s.all = append(s.all, code) }), &s
}

// entered sends a code as the form does. It returns the status and the cookie.
func entered(t *testing.T, at, code string) (int, *http.Cookie) {
	t.Helper()
	r, err := http.NewRequest(http.MethodPost, "http://"+at+"/code", strings.NewReader(url.Values{"code": {code}}.Encode()))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Origin", "http://"+at)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	reply, err := (&http.Transport{DisableKeepAlives: true}).RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	defer reply.Body.Close()
	for _, c := range reply.Cookies() {
		return reply.StatusCode, c
	}
	return reply.StatusCode, nil
}

// wrongOf is another code of eight digits.
func wrongOf(code string) string {
	if strings.HasPrefix(code, "0") {
		return "1" + code[1:]
	}
	return "0" + code[1:]
}

// A device gets the page for the code and nothing else until it has entered one. A code is
// for one device.
func TestDoor(t *testing.T) {
	t.Parallel()
	door, shown := newTestDoor()
	at := listening(t, NewServer(door))
	closed := func(cookie string) {
		t.Helper()
		for _, path := range []string{"/", "/index.html", "/demo/survey.csv", "/nothing"} {
			r, body := said(t, at, "GET "+path+" HTTP/1.1\nHost: AT\nConnection: close\nCookie: "+cookie+"\n\n")
			if r.StatusCode != http.StatusUnauthorized || !strings.Contains(body, "Code for this device") || strings.Contains(body, "point,") || strings.Contains(body, EngineMark) {
				t.Errorf("%s: %s, %.100q", path, r.Status, body)
			}
		}
		status, got := asked(t, at, oneSession, demoParcel(t), func(r *http.Request) { r.Header.Set("Cookie", cookie) })
		if status != http.StatusUnauthorized || !strings.Contains(string(got), "enter the code") {
			t.Errorf("asked: status %d, %.100q", status, got)
		}
	}
	closed("")
	closed(cookie + "=")
	closed(cookie + "=" + strings.Repeat("0", 64))
	first := shown.last()
	if len(first) != 9 || strings.Trim(first, "0123456789") != " " {
		t.Fatalf("code %q", first)
	}
	status, device := entered(t, at, first)
	if status != http.StatusSeeOther || device == nil || !device.HttpOnly || device.SameSite != http.SameSiteStrictMode || len(device.Value) != 64 || len(shown.all) != 2 {
		t.Fatalf("status %d, %+v, codes %v", status, device, shown.all)
	}
	r, body := said(t, at, "GET / HTTP/1.1\nHost: AT\nConnection: close\nCookie: "+device.Name+"="+device.Value+"\n\n")
	if r.StatusCode != 200 || !strings.Contains(body, EngineMark) {
		t.Errorf("let in: %s, %.100q", r.Status, body)
	}
	if status, got := asked(t, at, oneSession, demoParcel(t), func(r *http.Request) { r.AddCookie(device) }); status != 200 || headOf(t, got).Answer == nil {
		t.Errorf("let in and asked: status %d, %.100q", status, got)
	}
	if status, again := entered(t, at, first); status != http.StatusUnauthorized || again != nil {
		t.Errorf("a used code: status %d", status)
	}
	if status, second := entered(t, at, strings.ReplaceAll(shown.last(), " ", "")); status != http.StatusSeeOther || second == nil || second.Value == device.Value {
		t.Errorf("the next code: status %d, %+v", status, second)
	}
	closed("")
}

// After five wrong codes there is a new one, and for a while none is taken, not even it.
func TestGuessing(t *testing.T) {
	t.Parallel()
	door, shown := newTestDoor()
	now := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	door.now = func() time.Time { return now }
	at := listening(t, NewServer(door))
	first := shown.last()
	for range mostWrong {
		if len(shown.all) != 1 {
			t.Fatal("a new code too early")
		}
		if status, c := entered(t, at, wrongOf(first)); status != http.StatusUnauthorized || c != nil {
			t.Errorf("a wrong code: status %d", status)
		}
	}
	if len(shown.all) != 2 || shown.last() == first {
		t.Fatalf("codes %v", shown.all)
	}
	for _, code := range []string{first, shown.last()} {
		if status, c := entered(t, at, code); status != http.StatusUnauthorized || c != nil {
			t.Errorf("during the pause: status %d", status)
		}
	}
	now = now.Add(pause + time.Second)
	for _, code := range []string{first, "", strings.Repeat("1", 900)} {
		if status, c := entered(t, at, code); status != http.StatusUnauthorized || c != nil {
			t.Errorf("%.20q: status %d", code, status)
		}
	}
	if status, c := entered(t, at, shown.last()); status != http.StatusSeeOther || c == nil {
		t.Errorf("after the pause: status %d", status)
	}
}

// A form of another page cannot guess, nor can a large or a broken one.
func TestFormsThatAreNotTheDoors(t *testing.T) {
	t.Parallel()
	door, shown := newTestDoor()
	at := listening(t, NewServer(door))
	code := strings.ReplaceAll(shown.last(), " ", "")
	form := "Content-Type: application/x-www-form-urlencoded\nConnection: close\nContent-Length: "
	for name, c := range map[string]struct {
		text string
		want int
	}{
		"of another page": {"Origin: http://site.example\n" + form + "13\n\ncode=" + code, 403},
		"of no page":      {form + "13\n\ncode=" + code, 403},
		"not a form":      {"Origin: http://AT\nContent-Type: text/plain\nConnection: close\nContent-Length: 13\n\ncode=" + code, 415},
		"too large":       {"Origin: http://AT\n" + form + "5000\n\n" + strings.Repeat("x", 5000), 400},
		"broken":          {"Origin: http://AT\n" + form + "7\n\ncode=%z", 400},
	} {
		if r, body := said(t, at, "POST /code HTTP/1.1\nHost: AT\n"+c.text); r.StatusCode != c.want {
			t.Errorf("%s: %s, %q", name, r.Status, body)
		}
	}
	if status, _ := entered(t, at, code); status != http.StatusSeeOther {
		t.Errorf("the door itself: status %d", status)
	}
}
