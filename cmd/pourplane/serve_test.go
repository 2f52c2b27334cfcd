//go:build unix

package main

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The page is at the address that is shown, at a free port if the usual one is taken, and
// ends at once when it is stopped. On a network it asks for the code that is shown.
func TestServe(t *testing.T) {
	if l, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", usualPort)); err == nil {
		defer l.Close()
	}
	calls := [][]string{{"serve"}, {"serve", "--port", "0"}}
	for _, own := range ownAddresses() {
		calls = append(calls, []string{"serve", "--port", "0", "--listen", own.String()})
	}
	for _, args := range calls {
		c := exec.Command("pourplane", args...)
		out, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		shown, seen := map[string]string{}, ""
		for lines := bufio.NewScanner(out); shown["Ctrl-C"] == "" && lines.Scan(); {
			seen += lines.Text() + "\n"
			for _, head := range []string{"This computer ", "Other devices ", "Code for the next device:", "Ctrl-C"} {
				if rest, ok := strings.CutPrefix(lines.Text(), head); ok {
					shown[head] = strings.TrimSpace(rest)
				}
			}
		}
		got := func(address string) (int, string) {
			t.Helper()
			r, err := http.Get(address)
			if err != nil {
				t.Fatalf("%v: %v\n%s", args, err, seen)
			}
			defer r.Body.Close()
			b, err := io.ReadAll(r.Body)
			if err != nil {
				t.Fatal(err)
			}
			return r.StatusCode, string(b)
		}
		if status, page := got(shown["This computer "]); status != http.StatusOK || !strings.Contains(page, "<html") || strings.Contains(shown["This computer "], fmt.Sprint(":", usualPort)) {
			t.Errorf("%v: status %d, %.80q\n%s", args, status, page, seen)
		}
		if len(args) > 3 {
			if status, page := got(shown["Other devices "]); status != http.StatusUnauthorized || !strings.Contains(page, "Code for this device") || len(shown["Code for the next device:"]) != 9 || !strings.Contains(seen, "not encrypted") {
				t.Errorf("%v: status %d, %.80q\n%s", args, status, page, seen)
			}
		}
		asked := time.Now()
		if err := c.Process.Signal(syscall.SIGINT); err != nil {
			t.Fatal(err)
		}
		c.Wait() // the status is checked below
		if took := time.Since(asked); took > time.Second {
			t.Errorf("stopped after %v", took)
		}
		if code := c.ProcessState.ExitCode(); code != 128+int(syscall.SIGINT) {
			t.Errorf("status %d", code)
		}
	}
	// A port that was asked for is used, or refused.
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	_, port, _ := net.SplitHostPort(l.Addr().String())
	refusedCall, err := exec.Command("pourplane", "serve", "--port", port).CombinedOutput()
	if err == nil || string(refusedCall) != "pourplane: port "+port+" of 127.0.0.1 is taken by another program\nhint: --port 0 takes any that is free\n" {
		t.Errorf("%v: %s", err, refusedCall)
	}
}
