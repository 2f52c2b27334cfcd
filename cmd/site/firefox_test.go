package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// firefox is a Firefox that is driven by its own protocol, Marionette.
type firefox struct {
	testing.TB
	conn net.Conn
	from *bufio.Reader
	last int
}

// openFirefox starts a Firefox with a profile of its own.
func openFirefox(t testing.TB) *firefox {
	t.Helper()
	name, err := exec.LookPath("firefox-esr")
	if err != nil {
		t.Skip("found no firefox-esr on the path: what the page does in Firefox is not checked")
	}
	profile := t.TempDir()
	if err := os.WriteFile(filepath.Join(profile, "user.js"), []byte("user_pref(\"marionette.port\", 0);\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	c := exec.Command(name, "--headless", "--marionette", "--no-remote", "--profile", profile)
	c.Env = append(os.Environ(), "HOME="+profile)
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = c.Process.Kill()
		_ = c.Wait()
	})
	f := &firefox{TB: t}
	for began := time.Now(); f.conn == nil; time.Sleep(100 * time.Millisecond) {
		port, _ := os.ReadFile(filepath.Join(profile, "MarionetteActivePort"))
		if len(port) > 0 {
			f.conn, _ = net.Dial("tcp", net.JoinHostPort("127.0.0.1", strings.TrimSpace(string(port))))
		}
		if time.Since(began) > time.Minute {
			t.Fatal("Firefox does not begin")
		}
	}
	t.Cleanup(func() { f.conn.Close() })
	f.from = bufio.NewReader(f.conn)
	f.message() // its greeting
	f.do("WebDriver:NewSession", map[string]any{"capabilities": map[string]any{"alwaysMatch": map[string]any{"timeouts": map[string]int{"script": 120_000}}}})
	return f
}

// message returns the next message: its length, a colon and JSON.
func (f *firefox) message() []byte {
	f.Helper()
	long, err := f.from.ReadString(':')
	if err != nil {
		f.Fatal(err)
	}
	n, err := strconv.Atoi(strings.TrimSuffix(long, ":"))
	if err != nil {
		f.Fatal(err)
	}
	b := make([]byte, n)
	if _, err := io.ReadFull(f.from, b); err != nil {
		f.Fatal(err)
	}
	return b
}

// do runs a command and returns its value.
func (f *firefox) do(command string, with map[string]any) json.RawMessage {
	f.Helper()
	f.last++
	b, err := json.Marshal([]any{0, f.last, command, with})
	if err != nil {
		f.Fatal(err)
	}
	if _, err := fmt.Fprintf(f.conn, "%d:%s", len(b), b); err != nil {
		f.Fatal(err)
	}
	var reply []json.RawMessage
	if err := json.Unmarshal(f.message(), &reply); err != nil || len(reply) != 4 {
		f.Fatal(reply, err)
	}
	if string(reply[2]) != "null" {
		f.Fatalf("%s: %s", command, reply[2])
	}
	var value struct{ Value json.RawMessage }
	_ = json.Unmarshal(reply[3], &value) // some commands have none
	return value.Value
}

// wait waits until an expression of the page is true.
func (f *firefox) wait(expression string) {
	f.Helper()
	for began := time.Now(); ; time.Sleep(50 * time.Millisecond) {
		if string(f.do("WebDriver:ExecuteScript", map[string]any{"script": "return Boolean(" + expression + ")"})) == "true" {
			return
		}
		if time.Since(began) > 2*time.Minute {
			f.Fatalf("never true: %s; the page shows\n%s", expression, f.do("WebDriver:ExecuteScript", map[string]any{"script": "return document.body.innerText"}))
		}
	}
}

// In Firefox the page opens, answers the demo floor with the engine in the browser, keeps it
// over a reload, and makes the papers.
func TestFirefox(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "site")
	if err := replace(dir, siteFiles(t)); err != nil {
		t.Fatal(err)
	}
	f := openFirefox(t)
	server := httptest.NewServer(http.FileServer(http.Dir(dir)))
	defer server.Close()
	f.do("WebDriver:Navigate", map[string]any{"url": server.URL + "/"})
	const button = `[...document.querySelectorAll('button')].find(b => b.textContent.trim() === 'Open the demo floor')`
	f.wait(button)
	f.do("WebDriver:ExecuteScript", map[string]any{"script": button + ".click()"})
	const answered = `/8\.25/.test(document.querySelector('#target').textContent)` // yd³ to order, as the README has it
	f.wait(answered)
	f.do("WebDriver:Navigate", map[string]any{"url": server.URL + "/#papers"})
	f.do("WebDriver:Refresh", nil)
	f.wait(answered)
	f.wait(`document.querySelector('#papers iframe.record')?.contentDocument?.getElementById('map')?.tabIndex === 0`)
	// The floor is drawn, in more colours than a few.
	f.do("WebDriver:ExecuteScript", map[string]any{"script": "location.hash = '#floor'"})
	f.wait(`(c => new Set(new Uint32Array(c.getContext('2d').getImageData(0, 0, c.width, c.height).data.buffer)).size > 20)(document.querySelector('#floor canvas'))`)
}
