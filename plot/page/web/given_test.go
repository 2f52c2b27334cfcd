package web

import (
	"strings"
	"testing"
)

// tiny is a floor of nine shots without walls.
const tiny = "point,x (m),y (m),z (m)\n1,0,0,9.990\n2,2,0,9.988\n3,4,0,9.991\n4,0,2,9.992\n5,2,2,9.985\n6,4,2,9.989\n7,0,4,9.993\n8,2,4,9.990\n9,4,4,9.994\n"

// photo is the beginning of a picture, which is no list of points.
const photo = "\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00"

// A new floor has no walls to correct.
func TestNewFloorHasNoWallsToCorrect(t *testing.T) {
	t.Parallel()
	p := opened(t, 1280, 900)
	p.give(map[string]string{"shots.csv": tiny})
	p.show("floor")
	p.tap("Draw the walls")
	p.tap("Use these walls")
	p.tap("Use these walls")
	p.wait(`[...document.querySelectorAll('#floor button')].some(b => b.textContent === 'Correct the walls')`)
	p.idle()
	p.turn("floors")
	p.tap("New floor")
	p.idle()
	if text := p.text("#floor"); strings.Contains(text, "the walls") {
		t.Errorf("a floor without shots says\n%s", text)
	}
	p.clean()
}

// A file that cannot be read is no floor and gives it no name; the survey after it is the floor.
func TestAPhotoIsNoFloor(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	p.give(map[string]string{"IMG_1.jpg": photo})
	p.wait(`document.querySelector('#shots .card .refusal')`)
	p.picture("photo-first")
	if job, title := p.job(), ask[string](p, `import('./state.js').then(m => m.state.title)`); job != "" || title != "" {
		t.Errorf("the photo makes the floor %q with the job\n%s", title, job)
	}
	p.give(map[string]string{"shop.csv": tiny})
	p.wait(`document.querySelector('#floor .plan-key li')`)
	if job := p.job(); !strings.Contains(job, `files = ["shop.csv"]`) || !strings.Contains(job, `title = "shop"`) {
		t.Errorf("the job is\n%s", job)
	}
	if said := p.text("#notice"); !strings.Contains(said, "shop.csv: used as “Floor before the pour”.") {
		t.Errorf("the page says %q", said)
	}
	// A file that comes later is shown, with what it is used as.
	p.give(map[string]string{"again.csv": tiny})
	p.wait(`document.querySelector('#notice').textContent.includes('again.csv: left out until you choose what to use it as.')`)
	p.wait(`(r => r.top > 0 && r.bottom < innerHeight)([...document.querySelectorAll('#shots h3')].at(-1).getBoundingClientRect())`)
	p.picture("added")
	// The content of the only survey is replaced by a photo: it can be removed.
	ask[bool](p, `import('./state.js').then(m => import('./job.js').then(j => {
		m.change({ files: m.state.files.map(f => f.name === 'shop.csv' ? { ...f, id: f.id + 'x', bytes: m.state.files.find(f => f.name === 'IMG_1.jpg').bytes } : f) });
		return j.refresh();
	})).then(() => true)`)
	p.idle()
	ask[bool](p, `([...document.querySelectorAll('#shots .card')].find(c => c.querySelector('h3').textContent === 'shop.csv').querySelector('.row:last-child button').click(), true)`)
	p.tap("Remove")
	p.wait(`document.querySelectorAll('#shots .card').length === 2`)
	p.idle()
	if job := p.job(); !strings.Contains(job, `files = ["again.csv"]`) {
		t.Errorf("the job is\n%s", job)
	}
	p.clean()
}

// Walls without a unit come with shots without one: the page asks which is which.
func TestWallsAmongFilesWithoutUnits(t *testing.T) {
	t.Parallel()
	p := opened(t, 360, 740)
	bare := strings.NewReplacer(" (m)", "").Replace(tiny)
	ask[bool](p, `(() => {
		const parcel = new DataTransfer();
		for (const [name, text] of [['shop.csv', `+quote(bare)+`], ['walls.csv', 'x,y\n-0.1,-0.1\n4.1,-0.1\n4.1,4.1\n-0.1,4.1\n']]) parcel.items.add(new File([text], name));
		return dispatchEvent(new DragEvent('drop', { dataTransfer: parcel })) || true;
	})()`)
	p.wait(`document.querySelector('dialog[open]')`)
	p.enter("shop.csv", "walls")
	p.enter("walls.csv", "walls")
	p.tap("Use them so")
	p.wait(`document.querySelector('dialog .why').textContent === 'The walls come from one file.'`)
	p.enter("shop.csv", "survey")
	p.picture("walls-too")
	p.tap("Use them so")
	p.idle()
	p.wait(`import('./state.js').then(m => m.state.job !== '')`)
	if job := p.job(); !strings.Contains(job, `files = ["shop.csv"]`) || !strings.Contains(job, `outline = "walls.csv"`) {
		t.Errorf("the job is\n%s", job)
	}
	p.clean()
}
