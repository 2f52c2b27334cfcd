package web

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"pourplane/plot/browser"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

var keep = flag.String("pictures", "", "folder to keep pictures of the page in")

// longest is how long a page may take before a test of it fails, on a busy machine too.
const longest = 60 * time.Second

// tab is the page in a browser, and what it writes to its console.
type tab struct {
	*testing.T
	ctx  context.Context
	home string // its address
	stop func() // ends its server

	mu   sync.Mutex
	said []string
}

type screen struct {
	name          string
	width, height int64
}

// screens are a phone and a desk.
var screens = []screen{{"phone", 360, 740}, {"desk", 1280, 900}}

func TestMain(m *testing.M) { os.Exit(browser.Main(m)) }

// opened opens the page in a new profile of the browser.
func opened(t *testing.T, width, height int64) *tab {
	t.Helper()
	ctx := browser.Tab(t, 3*time.Minute)
	server := httptest.NewServer(NewServer(nil))
	t.Cleanup(server.Close)
	p := &tab{T: t, ctx: ctx, home: server.URL, stop: server.Close}
	phone := []chromedp.EmulateViewportOption{}
	if width < 500 {
		phone = append(phone, chromedp.EmulateMobile, chromedp.EmulateTouch)
	}
	p.do(chromedp.Navigate("about:blank"), chromedp.EmulateViewport(width, height, phone...))
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			p.mu.Lock()
			p.said = append(p.said, fmt.Sprint(m.Type, ": ", m.Text))
			p.mu.Unlock()
		}
	}()
	p.start()
	return p
}

// load loads the page anew, when what was entered is kept: nobody reloads in the
// milliseconds that this takes.
func (p *tab) load() {
	p.Helper()
	p.wait(`import('./store.js').then(m => m.settled()).then(() => true)`)
	p.start()
}

func (p *tab) start() {
	p.Helper()
	p.do(chromedp.Navigate(p.home + "/"))
	p.wait(`document.body.dataset.ready === ''`)
}

func (p *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	p.Helper()
	if err := chromedp.Do(p.ctx, steps...); err != nil {
		p.Fatal(err)
	}
}

// ask returns the value of an expression in the page.
func ask[T any](p *tab, expression string) T {
	p.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		p.Fatalf("%.200s: %v", expression, err)
	}
	return v
}

// wait waits until an expression is true.
func (p *tab) wait(expression string) {
	p.Helper()
	for began := time.Now(); !ask[bool](p, `Promise.resolve(`+expression+`).then(Boolean)`); time.Sleep(30 * time.Millisecond) {
		if time.Since(began) > longest {
			p.picture("stuck")
			p.Fatalf("never true: %s; the page shows\n%s", expression, p.text("body"))
		}
	}
}

// idle waits until nothing is under way.
func (p *tab) idle() {
	p.Helper()
	p.wait(`document.body.dataset.ready === '' && !document.body.hasAttribute('data-busy')`)
}

// quote writes a text as one of the page's scripts.
func quote(text string) string {
	b, err := json.Marshal(text)
	if err != nil {
		panic(err) // every text can be written
	}
	return string(b)
}

// tap clicks the button, link or summary with a text that can be seen, as a finger does.
func (p *tab) tap(text string) {
	p.Helper()
	quoted, _ := json.Marshal(text)
	p.wait(`(() => {
		const all = [...document.querySelectorAll('dialog[open] button')];
		const of = all.length ? all : [...document.querySelectorAll('button, a, summary, label')];
		const e = of.find(e => e.checkVisibility() && !e.disabled && e.textContent.trim() === ` + string(quoted) + `);
		if (!e) return false;
		e.click();
		return true;
	})()`)
}

// text is the text of an element as it is seen.
func (p *tab) text(selector string) string {
	p.Helper()
	quoted, _ := json.Marshal(selector)
	return ask[string](p, `document.querySelector(`+string(quoted)+`)?.innerText ?? ''`)
}

// enter types into the input with a label.
func (p *tab) enter(label, value string) {
	p.Helper()
	l, _ := json.Marshal(label)
	v, _ := json.Marshal(value)
	p.wait(`(() => {
		const l = [...document.querySelectorAll('label')].find(l => l.checkVisibility() && l.textContent.trim() === ` + string(l) + `);
		const e = l && document.getElementById(l.htmlFor);
		if (!e) return false;
		e.value = ` + string(v) + `;
		e.dispatchEvent(new Event('input', {bubbles: true}));
		e.dispatchEvent(new Event('change', {bubbles: true}));
		return true;
	})()`)
}

// give gives files to the page.
func (p *tab) give(files map[string]string) {
	p.Helper()
	folder := p.TempDir()
	var names []string
	for name, text := range files {
		name = filepath.Join(folder, name)
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			p.Fatal(err)
		}
		names = append(names, name)
	}
	slices.Sort(names)
	p.do(chromedp.SetUploadFiles(chromedp.CSS("#pick"), names))
	p.wait(`!document.querySelector('#pick').value`) // all of them are taken
	p.idle()
}

// dark shows the page as on a device that is set to dark.
func (p *tab) dark(on bool) {
	p.Helper()
	scheme := "light"
	if on {
		scheme = "dark"
	}
	p.do(chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		return err
	}))
}

// clean checks what holds on every page: nothing on the console, nothing from another host,
// and no scrolling to the side.
func (p *tab) clean() {
	p.Helper()
	p.mu.Lock()
	for _, s := range p.said {
		p.Errorf("console: %s", s)
	}
	p.mu.Unlock()
	for _, address := range ask[[]string](p, `performance.getEntriesByType('resource').map(e => e.name)`) {
		if u, err := url.Parse(address); err != nil || u.Scheme != "blob" && u.Scheme != "data" && !strings.HasPrefix(address, p.home+"/") {
			p.Errorf("the page loaded %s", address)
		}
	}
	if over := ask[float64](p, `Math.max(document.documentElement.scrollWidth, document.body.scrollWidth) - document.documentElement.clientWidth`); over > 0 {
		p.Errorf("the page scrolls %g pixels to the side at %s", over, ask[string](p, `location.hash`))
	}
}

// picture keeps a picture of what is on the screen, for looking at; whole keeps all of the page.
func (p *tab) picture(name string) { p.photograph(name, chromedp.CaptureScreenshot()) }

func (p *tab) whole(name string) { p.photograph(name, chromedp.FullScreenshot(100)) }

func (p *tab) photograph(name string, take chromedp.Action[[]byte]) {
	p.Helper()
	if *keep == "" {
		return
	}
	b, err := chromedp.Run(p.ctx, take)
	if err == nil {
		err = os.WriteFile(filepath.Join(*keep, name+".png"), b, 0o600)
	}
	if err != nil {
		p.Fatal(err)
	}
}
