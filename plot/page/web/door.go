package web

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"fmt"
	"html/template"
	"io"
	"math/big"
	"mime"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"

	"pourplane/plot/sheet"
)

const (
	mostWrong = 5               // wrong codes before a new one
	pause     = 1 * time.Minute // after them
	mostForm  = 1 << 10         // bytes
	cookie    = "pourplane-device"
)

// Door lets devices of the network in. Each needs a code that is shown at the computer and
// used up by one device.
type Door struct {
	show func(code string)
	now  func() time.Time

	mu      sync.Mutex
	code    string
	wrong   int
	shut    time.Time // until then no code is taken
	devices map[[sha256.Size]byte]bool
}

// NewDoor returns a door that shows each new code with show.
func NewDoor(show func(code string)) *Door {
	d := &Door{show: show, now: time.Now, devices: map[[sha256.Size]byte]bool{}}
	d.renew()
	return d
}

// renew chooses and shows a new code.
func (d *Door) renew() {
	n, err := rand.Int(rand.Reader, big.NewInt(1e8))
	if err != nil {
		panic(err) // crypto/rand ends the program before it fails
	}
	d.code, d.wrong = fmt.Sprintf("%08d", n), 0
	d.show(d.code[:4] + " " + d.code[4:])
}

// knows returns the device that sends a request, if it was let in.
func (d *Door) knows(r *http.Request) (device string, in bool) {
	c, err := r.Cookie(cookie)
	if err != nil {
		return "", false
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	return c.Value, d.devices[sha256.Sum256([]byte(c.Value))]
}

// answer answers a device that was not let in: with the page for the code.
func (d *Door) answer(w http.ResponseWriter, r *http.Request) error {
	switch {
	case r.Method != http.MethodPost:
		return codePage(w, r, "")
	case r.URL.Path != "/code":
		return &refusal{http.StatusUnauthorized, "This device was not let in, or pourplane was started again. Load the page again and enter the code."}
	}
	text, err := codeSent(w, r)
	if err != nil {
		return err
	}
	device, problem := d.try(text)
	if problem != "" {
		return codePage(w, r, problem)
	}
	http.SetCookie(w, &http.Cookie{Name: cookie, Value: device, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	w.Header().Set("Location", "/")
	w.WriteHeader(http.StatusSeeOther)
	return nil
}

// codeSent reads the code that a device sends.
func codeSent(w http.ResponseWriter, r *http.Request) (string, error) {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "application/x-www-form-urlencoded" {
		return "", &refusal{http.StatusUnsupportedMediaType, "found no form with a code"}
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, mostForm))
	if err != nil {
		return "", &refusal{http.StatusBadRequest, "The form with the code cannot be read."}
	}
	form, err := url.ParseQuery(string(body))
	if err != nil {
		return "", &refusal{http.StatusBadRequest, "The form with the code cannot be read."}
	}
	return strings.NewReplacer(" ", "", "-", "").Replace(form.Get("code")), nil
}

// try returns a new device if text is the code, or else what to do.
func (d *Door) try(text string) (device, problem string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if left := d.shut.Sub(d.now()); left > 0 {
		return "", fmt.Sprintf("%d wrong codes. Wait %d seconds, then enter the new code.", mostWrong, int(left/time.Second)+1)
	}
	if subtle.ConstantTimeCompare([]byte(text), []byte(d.code)) == 1 {
		key := make([]byte, 32)
		if _, err := rand.Read(key); err != nil {
			panic(err) // as in renew
		}
		device = hex.EncodeToString(key)
		d.devices[sha256.Sum256([]byte(device))] = true
		d.renew()
		return device, ""
	}
	if d.wrong++; d.wrong == mostWrong {
		d.shut = d.now().Add(pause)
		d.renew()
		return "", fmt.Sprintf("%d wrong codes. Wait %d seconds, then enter the new code.", mostWrong, int(pause/time.Second))
	}
	return "", "That is not the code. Each code is for one device: use the last one shown."
}

const codeStyle = `:root{color-scheme:light dark}
body{font:18px/1.5 system-ui,sans-serif;max-width:26em;margin:2em auto;padding:0 1em}
label,input,button{display:block;width:100%;box-sizing:border-box}
input{font:inherit;font-size:28px;letter-spacing:.1em;padding:.4em;margin:.3em 0 .8em}
button{font:inherit;font-weight:600;min-height:3em}
[role=alert]{border:2px solid;padding:.6em .8em}`

var codeForm = template.Must(template.New("code").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Code for this device</title>
<style>` + codeStyle + `</style>
</head>
<body>
<main>
<h1>Code for this device</h1>
{{with .}}<p role="alert">{{.}}</p>
{{end}}<p>The computer that runs pourplane shows a code of 8 digits on its terminal.</p>
<form method="post" action="/code">
<label for="code">Code</label>
<input id="code" name="code" inputmode="numeric" autocomplete="off" maxlength="12" required autofocus>
<button>Open the floor</button>
</form>
</main>
</body>
</html>
`))

// codePage asks for the code.
func codePage(w http.ResponseWriter, r *http.Request, problem string) error {
	h := w.Header()
	h.Set("Content-Security-Policy", "default-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; style-src "+sheet.Hash(codeStyle))
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(http.StatusUnauthorized)
	if r.Method == http.MethodHead {
		return nil
	}
	return codeForm.Execute(w, problem)
}
