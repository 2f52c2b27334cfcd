package main

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"pourplane/plot/browser"
	"pourplane/plot/page"
	"pourplane/testdata/demo"
)

// mostFirst is the max size of the engine that comes first, packed. A page on a phone waits
// for it.
const mostFirst = 5_000_000 // 4.93 MB on 2026-11-30; how sure the fill is, in every answer, took 0.26 of it

// built is the folder as the command writes it, made once.
var built = sync.OnceValues(func() (map[string][]byte, error) {
	dir, err := os.MkdirTemp("", "site")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	if err := write(dir); err != nil {
		return nil, err
	}
	files := map[string][]byte{}
	return files, fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			files[name], err = os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
		}
		return err
	})
})

func siteFiles(t testing.TB) map[string][]byte {
	t.Helper()
	if testing.Short() {
		t.Skip("builds the engines")
	}
	files, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// engines are the names of the engines in version.js.
func engines(t *testing.T, files map[string][]byte) (first, whole string) {
	t.Helper()
	var v struct {
		Files   []string
		Engines map[string]string
	}
	text, _ := strings.CutPrefix(string(files["version.js"]), "self.pourplane = ")
	if err := json.Unmarshal([]byte(strings.TrimSuffix(text, ";\n")), &v); err != nil {
		t.Fatal(err)
	}
	for _, name := range v.Files {
		if name != "./" && files[name] == nil && name != "version.js" {
			t.Errorf("a device keeps %s, which is not there", name)
		}
	}
	return v.Engines["first"], v.Engines["whole"]
}

// The folder is complete, and the engine that comes first is small.
func TestFolder(t *testing.T) {
	t.Parallel()
	files := siteFiles(t)
	first, whole := engines(t, files)
	if n := len(files[first+".gz"]); n < 1_000_000 || n > mostFirst {
		t.Errorf("the first engine has %d bytes packed, want at most %d", n, mostFirst)
	}
	if len(files[whole+".gz"]) < len(files[first+".gz"]) {
		t.Error("the whole engine is smaller than the first")
	}
	page := string(files["index.html"])
	if !strings.Contains(page, `<meta name="engine" content="worker">`) || !strings.Contains(page, `"default-src 'none'; script-src 'self' 'wasm-unsafe-eval' 'sha256-`) || strings.Contains(page, `content="server"`) {
		t.Errorf("the page is\n%s", page)
	}
	dir := filepath.Join(t.TempDir(), "a", "site")
	for range 2 { // the second replaces the first
		if err := replace(dir, files); err != nil {
			t.Fatal(err)
		}
		if err := ours(dir); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "old.js"), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if left, err := os.ReadDir(filepath.Dir(dir)); err != nil || len(left) != 1 {
		t.Errorf("beside the folder are %v, %v", left, err)
	}
	other := t.TempDir()
	if err := os.WriteFile(filepath.Join(other, "letter.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := ours(other); err == nil {
		t.Error("a folder with other files would be replaced")
	}
}

func TestMain(m *testing.M) { os.Exit(browser.Main(m)) }

// tab opens a tab for one test.
func tab(t testing.TB) context.Context { return browser.Tab(t, 5*time.Minute) }

// ask returns the value of an expression in the page.
func ask[T any](ctx context.Context, t testing.TB, expression string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatalf("%.200s: %v", expression, err)
	}
	return v
}

func open(ctx context.Context, t testing.TB, address string) {
	t.Helper()
	if err := chromedp.Do(ctx, chromedp.Navigate(address)); err != nil {
		t.Fatal(err)
	}
}

// wait waits until an expression is true; two minutes mean never.
func wait(ctx context.Context, t testing.TB, expression string) {
	t.Helper()
	never := time.After(2 * time.Minute)
	for {
		v, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`(async () => Boolean(`+expression+`))()`, chromedp.EvalAwaitPromise))
		if err == nil && v {
			return
		}
		select { // not yet, or the page is being loaded anew
		case <-never:
			t.Fatalf("never true: %s; the page shows\n%s", expression, ask[string](ctx, t, `document.body.innerText`))
		case <-time.After(50 * time.Millisecond):
		}
	}
}

// After the first visit the page works with no network, and answers with the whole engine.
// A later version is offered and taken by one tap.
func TestWithoutNetwork(t *testing.T) {
	t.Parallel()
	files := siteFiles(t)
	dir := filepath.Join(t.TempDir(), "site")
	if err := replace(dir, files); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(dir)))
	address := server.Listener.Addr().String()
	ctx := tab(t)
	const button = `[...document.querySelectorAll('button')].find(b => b.textContent.trim() === 'Open the demo floor')`
	open(ctx, t, "http://"+address+"/")
	begun := time.Now()
	wait(ctx, t, button)
	ask[bool](ctx, t, `(`+button+`.click(), true)`)
	wait(ctx, t, `document.querySelectorAll('#shots .card').length === 3`)
	t.Logf("files of the demo read %v after the page began", time.Since(begun).Round(time.Millisecond))
	wait(ctx, t, `(await navigator.serviceWorker.getRegistration())?.active && navigator.serviceWorker.controller`)
	t.Logf("kept on the device after %v", time.Since(begun).Round(time.Millisecond))

	server.Close()
	open(ctx, t, "http://"+address+"/")
	begun = time.Now()
	wait(ctx, t, `document.querySelectorAll('#shots .card').length === 3`)
	ask[bool](ctx, t, `(location.hash = '#target', true)`)
	wait(ctx, t, `/8\.25/.test(document.querySelector('#target').innerText)`) // yd³ to order, as the README has it
	t.Logf("answered with no network after %v", time.Since(begun).Round(time.Millisecond))
	ask[bool](ctx, t, `(location.hash = '#papers', true)`)
	// The record keeps its style and its script under the policy of the page.
	wait(ctx, t, `document.querySelector('#papers iframe.record')?.contentDocument?.getElementById('map')?.tabIndex === 0`)
	if style := ask[string](ctx, t, `getComputedStyle(document.querySelector('#papers iframe.record').contentDocument.querySelector('.cross')).position`); style != "absolute" {
		t.Errorf("the cross on the record's map is %q: its style is not used", style)
	}
}

// A later version is offered on the next visit, and taken by one tap.
func TestNewerVersion(t *testing.T) {
	t.Parallel()
	files := siteFiles(t)
	var mu sync.Mutex
	now := files
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		mu.Lock()
		defer mu.Unlock()
		give(w, r, now)
	}))
	defer server.Close()
	ctx := tab(t)
	open(ctx, t, server.URL+"/")
	wait(ctx, t, `(await navigator.serviceWorker.getRegistration())?.active && navigator.serviceWorker.controller`)
	newer := maps.Clone(files)
	newer["index.html"] = bytes.Replace(newer["index.html"], []byte("<title>pourplane"), []byte("<title>pourplane, later"), 1)
	first, whole := engines(t, files)
	var err error
	delete(newer, "version.js")
	newer["keep.js"] = bytes.TrimSuffix(newer["keep.js"], []byte("\n"))
	if newer["version.js"], err = versionOf(newer, map[string]string{"first": first, "whole": whole}); err != nil || bytes.Equal(newer["version.js"], files["version.js"]) {
		t.Fatal(err)
	}
	mu.Lock()
	now = newer
	mu.Unlock()
	open(ctx, t, server.URL+"/")
	wait(ctx, t, `document.querySelector('#newer button')`)
	if title := ask[string](ctx, t, `document.title`); strings.Contains(title, "later") {
		t.Errorf("the page is %q before it was taken", title)
	}
	// Requests in a row would keep the worker before busy.
	ask[bool](ctx, t, `(globalThis.before = true, document.querySelector('#newer button').click(), true)`)
	wait(ctx, t, `!globalThis.before && document.body?.dataset.ready === ''`)
	if page := ask[string](ctx, t, `fetch('./').then(r => r.text())`); !strings.Contains(page, "pourplane, later") {
		t.Errorf("after the change the page is\n%s", page)
	}
	wait(ctx, t, `(await caches.keys()).length === 1`)
}

// give gives out a file of the folder, with its media type.
func give(w http.ResponseWriter, r *http.Request, files map[string][]byte) {
	name := strings.TrimPrefix(r.URL.Path, "/")
	if name == "" {
		name = "index.html"
	}
	b, ok := files[name]
	if !ok {
		http.NotFound(w, r)
		return
	}
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(b))
}

// request is a question to the engine, in a parcel.
type request struct {
	name   string
	parcel []byte
}

// newRequest packs a question with its files.
func newRequest(t *testing.T, name string, q page.Request, files map[string][]byte) request {
	t.Helper()
	var bodies []byte
	for _, name := range slices.Sorted(maps.Keys(files)) {
		q.Files = append(q.Files, page.File{Name: name, ID: name, Size: int64(len(files[name]))})
		bodies = append(bodies, files[name]...)
	}
	head, err := json.Marshal(q)
	if err != nil {
		t.Fatal(err)
	}
	for (4+len(head))%8 != 0 {
		head = append(head, ' ')
	}
	return request{name, slices.Concat(binary.LittleEndian.AppendUint32(nil, uint32(len(head))), head, bodies)}
}

// leastCost is the demo job for the plane of least cost.
func leastCost(t *testing.T) string {
	t.Helper()
	job, err := demo.Files.ReadFile("job.toml")
	if err != nil {
		t.Fatal(err)
	}
	plain, _, _ := strings.Cut(string(job), "[[materials]]") // theirs are too thick for it
	return strings.Replace(plain, "elevation = \"99.930ft\"", "best = true\nmax-fall = \"0.3%\"\nmin-depth = \"1/4in\"", 1)
}

// The plane of least cost waits for the whole engine, which says that it is being loaded.
func TestLeastCost(t *testing.T) {
	t.Parallel()
	files := siteFiles(t)
	_, whole := engines(t, files)
	come := make(chan struct{})
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/"+whole) {
			<-come
		}
		give(w, r, files)
	}))
	defer server.Close()
	ctx := tab(t)
	open(ctx, t, server.URL+"/")
	const button = `[...document.querySelectorAll('button')].find(b => b.textContent.trim() === 'Open the demo floor')`
	wait(ctx, t, button)
	ask[bool](ctx, t, `(`+button+`.click(), true)`)
	wait(ctx, t, `document.querySelectorAll('#shots .card').length === 3 && !document.body.hasAttribute('data-busy')`)
	ask[bool](ctx, t, `import('./job.js').then(m => { m.use(`+strconv.Quote(leastCost(t))+`); return true; })`)
	wait(ctx, t, `document.querySelector('#busy').textContent.includes('Loading the rest of the program')`)
	close(come)
	wait(ctx, t, `(await import('./state.js')).state.answer?.trade?.points.length === 7`)
}

// questions are about the demo floor and about every file of the readers' tests.
func questions(t *testing.T) (all []request) {
	t.Helper()
	floor := map[string][]byte{}
	for _, name := range []string{"survey.csv", "outline.csv", "check.csv"} {
		floor[name], _ = demo.Files.ReadFile(name)
	}
	job, err := demo.Files.ReadFile("job.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []page.Request{{Ask: "read"}, {Ask: "solve"}, {Ask: "solve", Show: "metric"}, {Ask: "raise", Raise: 0.004}, {Ask: "edge", From: [2]float64{1, 1}, To: [2]float64{3, 1.5}}, {Ask: "fields"}, {Ask: "ground"}, {Ask: "papers"},
		{Ask: "edit", Key: "target.elevation", Values: []string{"99.9ft"}}, {Ask: "edit", Key: "target.elevation", Values: []string{"high"}}, {Ask: "make", Names: []string{"record.html"}}, {Ask: "dance"}} {
		q.Job = string(job)
		all = append(all, newRequest(t, "demo: "+q.Ask, q, floor))
	}
	all = append(all, newRequest(t, "demo: least cost", page.Request{Ask: "solve", Job: leastCost(t)}, floor))
	for _, pattern := range []string{"csv/[0-9]*.*", "landxml/made/*.xml", "landxml/samples/*.xml", "landxml/traps/*.xml"} {
		names, err := filepath.Glob(filepath.Join("..", "..", "testdata", filepath.FromSlash(pattern)))
		if err != nil || len(names) == 0 {
			t.Fatal(pattern, err)
		}
		const share = 8 // of the files: all take a minute
		for i := 0; i < len(names); i += share {
			name := names[i]
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			base := filepath.Base(name)
			all = append(all, newRequest(t, base, page.Request{Ask: "read", Date: "2026-11-25"}, map[string][]byte{base: b}))
			text := fmt.Sprintf("title = \"%s\"\ndate = 2026-11-25\n[survey]\nfiles = [%q]\n[target]\nfinish = \"10m\"\n", base, base)
			all = append(all, newRequest(t, base+", solved", page.Request{Ask: "solve", Job: text}, map[string][]byte{base: b}))
		}
	}
	all = append(all, newRequest(t, "an archive", page.Request{Ask: "read", Date: "2026-11-25"}, map[string][]byte{"a.xlsx": []byte("PK\x03\x04 and no more")}))
	return append(all, request{"nothing", nil}, request{"cut short", []byte{200, 0, 0, 0, '{'}})
}

// Both engines in a browser reply with the bytes of the program, whatever they are asked;
// the first one leaves to the whole one what it cannot answer.
func TestEnginesAgree(t *testing.T) {
	t.Parallel()
	files := siteFiles(t)
	first, whole := engines(t, files)
	files = maps.Clone(files)
	files["blank.html"] = []byte(`<!doctype html><title>engines</title><script src="wasm_exec.js"></script>`)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { give(w, r, files) }))
	defer server.Close()
	ctx := tab(t)
	open(ctx, t, server.URL+"/blank.html")
	for role, name := range map[string]string{"first": first, "whole": whole} {
		ask[bool](ctx, t, `(async () => {
			const go = new Go();
			const { instance } = await WebAssembly.instantiate(await (await fetch('`+name+`')).arrayBuffer(), go.importObject);
			go.run(instance);
			(globalThis.engines ??= {})['`+role+`'] = globalThis.answerParcel;
			return true;
		})()`)
	}
	var native page.Engine
	left, same := 0, 0
	for _, q := range questions(t) {
		want := native.Answer(t.Context(), q.parcel, nil)
		for _, role := range []string{"first", "whole"} {
			text := ask[string](ctx, t, `(async () => {
				const reply = await engines['`+role+`'](Uint8Array.from(atob('`+base64.StdEncoding.EncodeToString(q.parcel)+`'), c => c.charCodeAt(0)));
				if (reply === null) return 'whole';
				let text = '';
				for (const b of reply) text += String.fromCharCode(b);
				return btoa(text);
			})()`)
			if text == "whole" {
				if left++; role == "whole" {
					t.Errorf("%s: the whole engine leaves it", q.name)
				}
				continue
			}
			got, err := base64.StdEncoding.DecodeString(text)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Errorf("%s: the %s engine replies\n%.600q\nwant\n%.600q", q.name, role, got, want)
			}
			same++
		}
	}
	t.Logf("%d replies are the same, %d requests are for the whole engine", same, left)
	if same < 80 || left < 2 || left > 10 {
		t.Errorf("%d replies compared, %d left to the whole engine", same, left)
	}
}
