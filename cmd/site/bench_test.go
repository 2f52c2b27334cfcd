package main

import (
	"context"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// BenchmarkFirstAnswer is how long a device that never had the page waits for the answer of
// the demo floor, with the page's thread slowed down four times: from the address to the
// figures.
func BenchmarkFirstAnswer(b *testing.B) {
	dir := filepath.Join(b.TempDir(), "site")
	if err := replace(dir, siteFiles(b)); err != nil {
		b.Fatal(err)
	}
	server := httptest.NewServer(http.FileServer(http.Dir(dir)))
	defer server.Close()
	const button = `[...document.querySelectorAll('button')].find(b => b.textContent.trim() === 'Open the demo floor')`
	var page, answer time.Duration
	runs := 0
	for b.Loop() {
		runs++
		ctx := tab(b)
		if err := chromedp.Do(ctx, chromedp.Navigate("about:blank"), chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
			_, err := cdp.Call(ctx, target, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: 4})
			return err
		})); err != nil {
			b.Fatal(err)
		}
		open(ctx, b, server.URL+"/")
		begun := time.Now()
		wait(ctx, b, button)
		page += time.Since(begun)
		ask[bool](ctx, b, `(`+button+`.click(), true)`)
		wait(ctx, b, `/8\.25/.test(document.querySelector('#target').textContent)`)
		answer += time.Since(begun)
		if err := chromedp.Cancel(ctx); err != nil { // it would load the whole engine beside the next
			b.Fatal(err)
		}
	}
	b.ReportMetric(page.Seconds()/float64(runs), "s/page")
	b.ReportMetric(answer.Seconds()/float64(runs), "s/answer")
}
