package web

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"pourplane/surface/job"
)

// before runs a script before those of the page, from the next load on.
func (p *tab) before(script string) {
	p.Helper()
	p.do(chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return err
	}))
}

// A device that keeps nothing says so, and the work goes on.
func TestADeviceThatKeepsNothing(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ script, want string }{
		"private window": {`IDBFactory.prototype.open = () => { throw new DOMException('A mutation operation was attempted.', 'InvalidStateError'); }`, "keeps nothing in a private window"},
		"no store":       {`Object.defineProperty(globalThis, 'indexedDB', { value: undefined })`, "it has no store"},
		"no room": {`const put = IDBObjectStore.prototype.put;
			IDBObjectStore.prototype.put = function (v) { if (this.name === 'files') throw new DOMException('', 'QuotaExceededError'); return put.call(this, v); }`, "it has no room left"},
		"no local store": {`Object.defineProperty(globalThis, 'localStorage', { get() { throw new DOMException('denied', 'SecurityError'); } })`, ""},
	} {
		t.Run(name, func(t *testing.T) {
			p := opened(t, 360, 740)
			p.before(c.script)
			p.load()
			p.openDemo("target")
			if p.fact("Fill") == "" {
				t.Errorf("no answer:\n%s", p.text("main"))
			}
			if c.want != "" {
				p.wait(`document.querySelector('#unsaved').textContent !== ''`)
				p.picture("unsaved-" + strings.ReplaceAll(name, " ", "-"))
			}
			if text := p.text("#unsaved"); !strings.Contains(text, c.want) || (c.want == "") != (text == "") {
				t.Errorf("the page says %q, want %q", text, c.want)
			}
			p.clean()
		})
	}
}

// A floor that is changed in two windows is not overwritten: the second window says so.
func TestTwoWindows(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	p.openDemo("settings")
	ask[bool](p, `import('./store.js').then(m => m.settled()).then(() => true)`)
	// As another window does it.
	ask[bool](p, `new Promise(done => {
		const request = indexedDB.open('pourplane', 1);
		request.onsuccess = () => {
			const floors = request.result.transaction('floors', 'readwrite').objectStore('floors');
			floors.getAll().onsuccess = e => {
				const floor = e.target.result[0];
				floors.put({ ...floor, title: 'Changed elsewhere', revision: floor.revision + 1 }).onsuccess = () => { request.result.close(); done(true); };
			};
		};
	})`)
	ask[bool](p, `import('./job.js').then(m => m.edit([['title', ['Changed here']]])).then(() => true)`)
	p.wait(`document.querySelector('#unsaved').textContent.includes('another window')`)
	p.load()
	p.idle()
	if title := ask[string](p, `import('./store.js').then(m => m.list()).then(all => all[0].title)`); title == "Changed here" {
		t.Errorf("the change of the other window is lost: %q", title)
	}
}

// Several surveys at once may be of before and after the pour: what each is, is chosen, and
// nothing is joined by itself.
func TestSeveralSurveysAtOnce(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	give := func() {
		p.Helper()
		ask[bool](p, `(() => {
			const parcel = new DataTransfer();
			for (const [name, text] of [['check.csv', `+quote(demoFile(t, "check.csv"))+`], ['survey.csv', `+quote(demoFile(t, "survey.csv"))+`], ['outline.csv', `+quote(demoFile(t, "outline.csv"))+`]]) parcel.items.add(new File([text], name));
			return dispatchEvent(new DragEvent('drop', { dataTransfer: parcel })) || true;
		})()`)
		p.wait(`document.querySelector('dialog[open]')`)
	}
	give()
	p.tap("Cancel")
	if n := ask[int](p, `import('./state.js').then(m => m.state.files.length)`); n != 0 {
		t.Errorf("%d files were added all the same", n)
	}
	give()
	p.tap("Use them so")
	p.wait(`document.querySelector('dialog .why').textContent === 'Choose for each file.'`)
	p.picture("roles")
	p.enter("check.csv", "after")
	p.enter("survey.csv", "none")
	p.tap("Use them so")
	p.wait(`document.querySelector('dialog .why').textContent.includes('At least one')`)
	p.enter("survey.csv", "survey")
	p.tap("Use them so")
	p.wait(`document.querySelectorAll('#shots .card').length === 3`)
	p.idle()
	j, err := job.Parse([]byte(p.job()), "job.toml")
	if err != nil {
		t.Fatal(err)
	}
	if s := j.Survey; !slices.Equal(s.Files, []string{"survey.csv"}) || !slices.Equal(s.After, []string{"check.csv"}) || s.Outline != "outline.csv" || j.Title != "survey" {
		t.Errorf("the job %q has %+v", j.Title, s)
	}
	p.clean()
}

// The only survey of a floor cannot go: why not is seen where the page is.
func TestTheOnlySurveyStays(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.openDemo("shots")
	p.enter("Use survey.csv as", "")
	p.wait(`document.querySelector('#shots .card .refusal')?.textContent.includes('found no survey') && document.querySelector('#shots .card select').value === 'survey'`)
	ask[bool](p, `(scrollTo(0, 900), true)`)
	p.tap("Remove this file")
	p.tap("Remove")
	p.wait(`(() => {
		const r = document.querySelector('#notice p')?.getBoundingClientRect();
		return r && document.querySelector('#notice').textContent.includes('found no survey') && r.top >= 0 && r.bottom <= innerHeight;
	})()`)
	p.picture("only-survey")
	if n := ask[int](p, `document.querySelectorAll('#shots .card').length`); n != 3 {
		t.Errorf("%d files are left", n)
	}
	p.clean()
}

// Files are dropped on the page, and a job with them opens as a new floor when asked.
func TestDroppedFiles(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	drop := func(files map[string]string) {
		p.Helper()
		ask[bool](p, `(globalThis.parcel = new DataTransfer(), true)`)
		for name, text := range files {
			ask[bool](p, `(parcel.items.add(new File([`+quote(text)+`], `+quote(name)+`)), true)`)
		}
		ask[bool](p, `(dispatchEvent(new DragEvent('drop', { dataTransfer: parcel, cancelable: true })), true)`)
	}
	drop(map[string]string{"outline.csv": demoFile(t, "outline.csv")})
	p.wait(`document.querySelector('#shots .refusal')?.textContent.includes('the survey of the floor as well')`)
	p.picture("walls-alone")
	drop(map[string]string{"survey.csv": demoFile(t, "survey.csv")})
	p.wait(`document.querySelectorAll('#shots .card').length === 2 && !document.querySelector('#shots .refusal')`)
	p.idle()
	// A file that comes later is used as nothing until it is given a role.
	drop(map[string]string{"check.csv": demoFile(t, "check.csv")})
	p.wait(`document.querySelectorAll('#shots .card').length === 3`)
	p.idle()
	if strings.Contains(p.job(), "\nafter = ") {
		t.Errorf("check.csv is in the job by itself:\n%s", p.job())
	}
	p.enter("Use check.csv as", "after")
	p.wait(`import('./state.js').then(m => m.state.job.includes('after = ["check.csv"]'))`)
	p.idle()
	// The same name again is questioned.
	drop(map[string]string{"check.csv": "point,x (m),y (m),z (m)\n1,0,0,9.99\n"})
	p.tap("Cancel")
	drop(map[string]string{"job.toml": demoFile(t, "job.toml"), "survey.csv": demoFile(t, "survey.csv"), "outline.csv": demoFile(t, "outline.csv"), "other.csv": "1,2,3\n"})
	p.tap("New floor")
	p.wait(`document.querySelector('#notice').textContent.includes('check.csv: add it too') && document.querySelector('#notice').textContent.includes('other.csv')`)
	p.idle()
	p.picture("lacks")
	p.wait(`document.querySelector('#shots').textContent.includes('check.csv')`)
	drop(map[string]string{"a.toml": "title = 1", "b.toml": ""})
	p.wait(`document.querySelector('#notice').textContent.includes('Found 2 job files')`)
	drop(map[string]string{"a.zip": "not an archive"})
	p.wait(`document.querySelector('#notice').textContent.includes('a.zip cannot be opened')`)
	p.clean()
}
