package web

import (
	"io/fs"
	"strings"
	"testing"

	"pourplane/testdata/demo"
)

func demoFile(t *testing.T, name string) string {
	t.Helper()
	b, err := fs.ReadFile(demo.Files, name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// The demo opens by one tap, and each file is on a card.
func TestDemoByOneTap(t *testing.T) {
	t.Parallel()
	for _, s := range screens {
		t.Run(s.name, func(t *testing.T) {
			p := opened(t, s.width, s.height)
			p.picture("empty-" + s.name)
			p.tap("Open the demo floor")
			p.wait(`document.querySelectorAll('#shots .card').length === 3`)
			p.idle()
			p.picture("shots-" + s.name)
			if text := p.text("#shots"); !strings.Contains(text, "88 floor shots") || strings.Count(text, "Suspects") != 2 {
				t.Errorf("the files are shown as\n%s", text)
			}
			for _, tab := range []string{"floor", "target", "papers", "settings", "floors", "more", "after"} {
				ask[bool](p, `(location.hash = '#`+tab+`', true)`)
				p.idle()
				p.picture(tab + "-" + s.name)
				p.clean()
			}
		})
	}
}
