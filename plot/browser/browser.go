// Package browser opens pages in Chromium for the tests of other packages. Only tests import
// it.
package browser

import (
	"context"
	"os/exec"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// names are those that systems give the program.
var names = []string{"chromium", "chromium-browser", "google-chrome"}

var end = func() {}

// started is the browser of all tests of a package, started once. It is nil where there is none.
var started = sync.OnceValues(func() (context.Context, error) {
	path := ""
	for _, name := range names {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		return nil, nil
	}
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]), chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, quit := chromedp.NewContext(ctx)
	end = func() {
		quit()
		cancel()
	}
	return ctx, chromedp.Do(ctx, chromedp.Navigate("about:blank"))
})

// Tab opens an empty tab for one test, in a profile of its own. It ends with the test, or after
// most. Without a browser on the path the test is skipped.
func Tab(t testing.TB, most time.Duration) context.Context {
	t.Helper()
	all, err := started()
	if err != nil {
		t.Fatal(err)
	}
	if all == nil {
		t.Skip("found no chromium on the path: what the page does in a browser is not checked")
	}
	ctx, quit := chromedp.NewContext(all, chromedp.WithNewBrowserContext())
	t.Cleanup(quit)
	ctx, stop := context.WithTimeout(ctx, most)
	t.Cleanup(stop)
	return ctx
}

// Main runs the tests of a package, and ends the browser after them. The package's TestMain
// exits with its result.
func Main(m *testing.M) int {
	defer func() { end() }()
	return m.Run()
}
