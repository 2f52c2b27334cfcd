'use strict';

// Depths are worded as the drawings word them, rounded once, in whole picometres, so
// that 1/32 in is a true half of 1/16 in.

function depthText(floor, m) {
	const pm = Math.round(Math.abs(m * 1e12));
	if (!(pm < 2 ** 62)) return '—';
	const parts = floor.denominator || 1;
	const step = floor.denominator ? 25400000000n / BigInt(parts) : 1000000000n;
	const n = (BigInt(pm) + step / 2n) / step; // halves away from zero
	const sign = m < 0 && n > 0n ? '-' : '';
	if (!floor.denominator) return sign + n + ' mm';
	const whole = n / BigInt(parts);
	let over = Number(n % BigInt(parts)), under = parts;
	while (over > 0 && over % 2 === 0) {
		over /= 2;
		under /= 2;
	}
	if (over === 0) return sign + whole + '"';
	return sign + (whole > 0n ? whole + ' ' : '') + over + '/' + under + '"';
}

// fineText writes a departure, which is not negative, to 1/64 in or 0.1 mm.
function fineText(floor, m) {
	if (floor.denominator) return depthText({ denominator: 64 }, m);
	let mm = m * 1e3;
	if (mm % 1 === 0.25) mm -= 0.01; // a true half goes to the even digit
	return mm.toFixed(1) + ' mm';
}

function depthWords(floor, m) {
	if (Number.isNaN(m)) return '—';
	if (floor.departure) {
		const size = fineText(floor, Math.abs(m));
		return size === fineText(floor, 0) ? size : size + (m < 0 ? ' above' : ' below');
	}
	const text = depthText(floor, Math.abs(m));
	return m < 0 && text !== depthText(floor, 0) ? 'cut ' + text : text;
}

function numbers(text, Kind) {
	const bytes = Uint8Array.from(atob(text), c => c.charCodeAt(0));
	return new Kind(bytes.buffer);
}

function insideRings(rings, x, y) {
	let inside = false;
	for (const ring of rings) {
		for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
			const [ax, ay] = ring[i], [bx, by] = ring[j];
			if (ay > y !== by > y && x < (bx - ax) * ((y - ay) / (by - ay)) + ax) inside = !inside;
		}
	}
	return inside;
}

// onTriangles returns the depth at a place on a region's triangles, undefined beside them.
// Two triangles work a common edge out from the same products, so no place falls between.
function onTriangles(region, x, y) {
	const { at, corners } = region;
	x -= region.x;
	y -= region.y;
	const side = (a, b) => (at[a] - x) * (at[b + 1] - y) - (at[a + 1] - y) * (at[b] - x);
	for (let k = 0; k < corners.length; k += 3) {
		const a = 3 * corners[k], b = 3 * corners[k + 1], c = 3 * corners[k + 2];
		const u = side(b, c);
		if (u < 0) continue;
		const v = side(c, a);
		if (v < 0) continue;
		const w = side(a, b);
		if (w < 0 || u + v + w === 0) continue;
		return (u * at[a + 2] + v * at[b + 2] + w * at[c + 2]) / (u + v + w);
	}
}

// onGrid returns the depth at a place of a region from the four nodes round it.
function onGrid(region, x, y) {
	if (!insideRings(region.rings, x, y)) return;
	const { nodes, across, step } = region;
	const u = (x - region.x) / step, v = (y - region.y) / step;
	const i = Math.floor(u), j = Math.floor(v);
	const k = j * across + i;
	const s = u - i, t = v - j;
	return (1 - t) * ((1 - s) * nodes[k] + s * nodes[k + 1]) + t * ((1 - s) * nodes[k + across] + s * nodes[k + across + 1]);
}

// unpack readies the regions of the floor for depthAt.
function unpack(floor) {
	for (const r of floor.regions) {
		if (r.nodes) {
			r.nodes = numbers(r.nodes, Float32Array);
		} else {
			r.at = numbers(r.at, Float64Array);
			r.corners = numbers(r.corners, Uint32Array);
		}
	}
	return floor;
}

// depthAt returns the depth at a place and the region that it is on; the depth is
// undefined off the floor, and poured says whether that is an opening in it.
function depthAt(floor, x, y) {
	for (const r of floor.regions) {
		const depth = r.nodes ? onGrid(r, x, y) : onTriangles(r, x, y);
		if (depth !== undefined) return { depth, name: r.name };
	}
	return { opening: floor.openings.some(o => insideRings([o], x, y)) };
}

function wordsAt(floor, x, y) {
	const found = depthAt(floor, x, y);
	if (found.depth !== undefined) return depthWords(floor, found.depth);
	return found.opening ? 'not poured' : 'outside the floor';
}

// Ticks are kept on the device, under a key that the lists on the page make.
(function () {
	const key = document.body.dataset.ticks;
	if (!key) return;
	const boxes = [...document.querySelectorAll('td input[type=checkbox]')];
	const name = 'ticks ' + key;
	const save = () => localStorage.setItem(name, JSON.stringify(boxes.map(b => b.checked ? 1 : 0)));
	try {
		const kept = JSON.parse(localStorage.getItem(name) || '[]');
		boxes.forEach((b, i) => { b.checked = kept[i] === 1; });
		save();
	} catch {
		return; // no store here: the page says that ticks are lost
	}
	for (const b of boxes) b.addEventListener('change', () => {
		try {
			save();
		} catch {
			say('This device keeps no more ticks: print the page to keep them.');
		}
	});
	const say = words => { for (const p of document.querySelectorAll('.ticks')) p.textContent = words; };
	say('Ticks are kept in this browser on this device. A list that changes begins without ticks.');
})();

(function () {
	const source = document.getElementById('floor');
	if (!source) return;
	const floor = unpack(JSON.parse(source.textContent));
	const box = document.getElementById('map');
	const about = document.getElementById('about');
	const here = about.querySelector('.here');
	const cross = box.querySelector('.cross');
	const reading = box.querySelector('.reading');
	const pictures = [...box.querySelectorAll('svg')];
	const air = 0.03 * Math.max(floor.hi[0] - floor.lo[0], floor.hi[1] - floor.lo[1]);
	let at = null; // the place shown, m
	let how = 'key'; // what it was shown with
	let telling = 0;
	const hint = here.textContent;

	about.hidden = false;
	box.classList.add('touchable');
	box.tabIndex = 0;
	box.setAttribute('role', 'application');
	box.setAttribute('aria-label', 'Map with the depth under a cross. The arrow keys move the cross.');

	// view returns the picture that is shown, where it stands on the screen, and how it maps.
	function view() {
		const n = pictures.findIndex(p => p.getClientRects().length > 0);
		if (n < 0) return null;
		const rect = pictures[n].getBoundingClientRect(), frame = floor.frames[n];
		return { rect, frame, size: rect.width / frame.width };
	}

	function hide() {
		at = null;
		cross.hidden = reading.hidden = true;
		tell(hint);
	}

	// tell says the words to a screen reader once the cross rests.
	function tell(words) {
		clearTimeout(telling);
		telling = setTimeout(() => { here.textContent = words; }, 150);
	}

	function near(x, y) {
		return x >= floor.lo[0] - air && x <= floor.hi[0] + air && y >= floor.lo[1] - air && y <= floor.hi[1] + air;
	}

	// Pins are marks over the map, in place for the picture that is shown.
	const pins = (floor.pins || []).map(p => {
		const mark = document.createElement('i');
		mark.className = 'pin';
		mark.title = p.name + ': ' + p.text;
		box.append(mark);
		return { ...p, mark };
	});

	// They are over shots and lines of the map, and so are shown only where they are asked for.
	const choice = document.getElementById('pins');
	if (choice) {
		choice.checked = false; // some browsers keep a tick over a reload
		choice.addEventListener('change', () => {
			box.classList.toggle('pinned', choice.checked);
			hide();
			setPins();
		});
	}

	function setPins() {
		const v = view();
		if (!v || !pins.length) return;
		const outer = box.getBoundingClientRect();
		for (const p of pins) {
			p.mark.style.left = v.rect.left - outer.left + (p.x - v.frame.x) / v.frame.metres * v.size + 'px';
			p.mark.style.top = v.rect.top - outer.top + (v.frame.y - p.y) / v.frame.metres * v.size + 'px';
		}
	}

	// pinAt returns the pin that a finger or a click at a place means: the nearest within reach.
	function pinAt(x, y, by) {
		if (!choice || !choice.checked) return null;
		const v = view();
		let best = null, least = (by === 'touch' ? 18 : 10) / screen().scale;
		for (const p of pins) {
			const away = Math.hypot(p.x - x, p.y - y) / v.frame.metres * v.size;
			if (away <= least) {
				least = away;
				best = p;
			}
		}
		return best;
	}

	function show(x, y, by, pin) {
		const v = view();
		if (!v) return;
		at = { x, y, pin };
		how = by;
		const found = depthAt(floor, x, y);
		const words = wordsAt(floor, x, y);
		const round = v => (Math.round(v / floor.size * 100) / 100 + 0).toFixed(2); // + 0: no "-0"
		const place = 'x ' + round(x) + ', y ' + round(y) + ' ' + floor.unit;
		const name = floor.regions.length > 1 && found.name || '';
		const line = (kind, text) => {
			const e = document.createElement(kind);
			e.textContent = text;
			return e;
		};
		const head = pin ? [line('strong', pin.name + ': ' + pin.text), line('span', 'depth ' + words)] : [line('strong', words)];
		reading.replaceChildren(...head, ...(name ? [line('span', name)] : []), line('span', place));
		tell([...head.map(e => e.textContent), name, place].filter(Boolean).join('; '));
		for (const p of pins) p.mark.classList.toggle('chosen', p === pin);
		cross.hidden = reading.hidden = false;
		cross.classList.toggle('handle', by === 'touch');

		const outer = box.getBoundingClientRect();
		const left = v.rect.left - outer.left + (x - v.frame.x) / v.frame.metres * v.size;
		const top = v.rect.top - outer.top + (v.frame.y - y) / v.frame.metres * v.size;
		cross.style.left = left + 'px';
		cross.style.top = top + 'px';
		// Above the cross, clear of the finger; beside it where the screen ends.
		const seen = screen();
		box.style.setProperty('--one', 1 / seen.scale + 'px');
		const gap = (by === 'touch' ? 60 : 20) / seen.scale;
		const w = reading.offsetWidth, h = reading.offsetHeight;
		const west = Math.max(0, seen.left - outer.left), east = Math.min(outer.width, seen.left + seen.width - outer.left);
		const ceiling = seen.top - outer.top;
		let rx = left - w / 2, ry = top - gap - h;
		if (ry < ceiling) {
			ry = Math.max(top - h / 2, ceiling);
			rx = left > (west + east) / 2 ? left - gap - w : left + gap;
		}
		reading.style.left = Math.max(west, Math.min(rx, east - w)) + 'px';
		reading.style.top = ry + 'px';
	}

	// screen returns the part of the page that is seen, which is less than the window while
	// it is zoomed by hand.
	function screen() {
		const v = window.visualViewport;
		return v ? { scale: v.scale, left: v.offsetLeft, top: v.offsetTop, width: v.width } : { scale: 1, left: 0, top: 0, width: innerWidth };
	}

	function point(e) {
		const v = view();
		if (!v || !e.isPrimary) return;
		const x = v.frame.x + (e.clientX - v.rect.left) / v.size * v.frame.metres;
		const y = v.frame.y - (e.clientY - v.rect.top) / v.size * v.frame.metres;
		const by = e.pointerType === 'mouse' ? 'mouse' : 'touch';
		const pin = e.type === 'pointerdown' && pinAt(x, y, by);
		if (pin) show(pin.x, pin.y, by, pin);
		else if (near(x, y) && !(e.type === 'pointermove' && by === 'mouse' && at && at.pin === pinAt(x, y, by) && at.pin)) show(x, y, by);
		else if (by === 'mouse' || e.type === 'pointerdown') hide();
	}

	box.addEventListener('pointerdown', point);
	box.addEventListener('pointermove', point);
	box.addEventListener('pointerleave', e => { if (e.pointerType === 'mouse') hide(); });

	box.addEventListener('keydown', e => {
		const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[e.key];
		if (e.key === 'Escape') hide();
		if (!way || e.altKey || e.ctrlKey || e.metaKey) return;
		e.preventDefault();
		if (!at) {
			show((floor.lo[0] + floor.hi[0]) / 2, (floor.lo[1] + floor.hi[1]) / 2, 'key');
			return;
		}
		const step = floor.stride * (e.shiftKey ? 10 : 1);
		const x = at.x + way[0] * step, y = at.y + way[1] * step;
		if (near(x, y)) show(x, y, 'key');
	});

	const again = () => {
		setPins();
		if (at) show(at.x, at.y, how, at.pin);
	};
	setPins();
	addEventListener('resize', again);
	if (window.visualViewport) {
		visualViewport.addEventListener('resize', () => {
			// While the page is zoomed a finger has to move it sideways too.
			box.classList.toggle('zoomed', visualViewport.scale > 1.01);
			again();
		});
	}
})();
