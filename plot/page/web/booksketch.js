// The sketch of a room in the field book: walls, places, what was read, and where to go next.

const space = 'http://www.w3.org/2000/svg';

function draw(tag, properties, text) {
	const e = document.createElementNS(space, tag);
	for (const [key, value] of Object.entries(properties)) e.setAttribute(key, value);
	if (text !== undefined) e.textContent = text;
	return e;
}

// sketch draws a room.
//   walls    [{a, b, name}], closed or not, in steps
//   columns  rings of what is not poured
//   ahead    [from, to]: the wall that is being typed
//   places   [{at, kind: 'left', 'read', 'skipped', 'door', 'doubt', 'next', 'plan', 'worth', text}]
//   pick(at) is called with the place of a tap
export function sketch({ walls, columns = [], ahead, places = [], width, height, label, pick }) {
	const svg = draw('svg', { class: 'sketch', viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': label });
	const points = [...walls.flatMap(w => [w.a, w.b]), ...ahead ?? [], ...places.map(p => p.at)];
	if (points.length === 0) return svg;
	const lo = [0, 1].map(k => Math.min(...points.map(p => p[k]))), hi = [0, 1].map(k => Math.max(...points.map(p => p[k])));
	const edge = 26;
	const scale = Math.min((width - 2 * edge) / Math.max(hi[0] - lo[0], 1), (height - 2 * edge) / Math.max(hi[1] - lo[1], 1));
	const left = (width - (hi[0] - lo[0]) * scale) / 2, top = (height - (hi[1] - lo[1]) * scale) / 2;
	const px = ([x, y]) => [left + (x - lo[0]) * scale, top + (hi[1] - y) * scale];
	const path = ring => 'M' + ring.map(p => px(p).map(v => v.toFixed(1)).join(' ')).join('L');

	const closed = walls.length > 2 && String(walls.at(-1).b) === String(walls[0].a);
	if (closed) svg.append(draw('path', { class: 'floor', d: path(walls.map(w => w.a)) + 'Z' + columns.map(c => path(c) + 'Z').join(''), 'fill-rule': 'evenodd' }));
	if (walls.length > 0) svg.append(draw('path', { class: 'walls', d: closed ? path(walls.map(w => w.a)) + 'Z' : path([walls[0].a, ...walls.map(w => w.b)]) }));
	for (const c of columns) svg.append(draw('path', { class: 'walls', d: path(c) + 'Z' }));
	if (ahead) svg.append(draw('path', { class: 'ahead', d: path(ahead) }));
	const area = walls.reduce((sum, { a, b }) => sum + a[0] * b[1] - b[0] * a[1], 0);
	const spot = ([x, y], r) => [x - r, y - r, x + r, y + r];
	const marks = places.filter(p => p.kind === 'door' || p.kind === 'next').map(p => spot(px(p.at), p.kind === 'next' ? 9 : 5)), letters = [];
	const over = (a, b) => a[0] < b[2] && a[2] > b[0] && a[1] < b[3] && a[3] > b[1];
	// letter writes a text at the first of some places where it is over no other text, and over no
	// door and not the next place if there is such a place. Without any, forced writes it at the first.
	const letter = (text, kind, at, forced) => {
		const half = 4 + 4 * text.length;
		const all = at.map(([x, y]) => ({ x, y, box: [x - half, y - 8, x + half, y + 8] })).filter(({ box }) => box[0] >= 0 && box[1] >= 0 && box[2] <= width && box[3] <= height && !letters.some(b => over(b, box)));
		const best = all.find(({ box }) => !marks.some(b => over(b, box))) ?? (forced ? all[0] ?? { x: at[0][0], y: at[0][1], box: [0, 0, 0, 0] } : undefined);
		if (!best) return;
		letters.push(best.box);
		svg.append(draw('text', { class: kind, x: best.x.toFixed(1), y: (best.y + 5).toFixed(1) }, text));
	};
	for (const { a, b, name } of walls) {
		const long = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1, out = Math.sign(area) || 1;
		const beside = (part, side, away = 13) => {
			const [x, y] = px([a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part]);
			return [x + (b[1] - a[1]) / long * side * away, y + (b[0] - a[0]) / long * side * away];
		};
		letter(name.replace(/^wall (\d+)$/, '$1'), 'wallname', [...[0.5, 0.25, 0.75].flatMap(part => [beside(part, out), beside(part, -out)]), beside(0.5, out, 50)], true);
	}
	for (const p of places) {
		const [x, y] = px(p.at);
		if (p.kind === 'door') svg.append(draw('rect', { class: 'door', x: x - 5, y: y - 5, width: 10, height: 10 }));
		else if (p.kind === 'skipped') svg.append(draw('path', { class: 'skipped', d: `M${x - 4} ${y - 4}l8 8m0 -8l-8 8` }));
		else svg.append(draw('circle', { class: p.kind, cx: x.toFixed(1), cy: y.toFixed(1), r: { next: 9, doubt: 7, worth: 6, read: 4 }[p.kind] ?? 3 }));
	}
	for (const p of places.filter(p => p.text)) {
		const [x, y] = px(p.at), side = (10 + 4 * p.text.length) * (x < width / 2 ? -1 : 1);
		letter(p.text, 'doorname', [[x + side, y], [x + side, y + 6], [x + side, y - 6], [x, y - 14], [x, y + 14], [x - side, y], [x - side, y + 6], [x - side, y - 6]]);
	}
	if (pick) {
		svg.addEventListener('click', e => {
			const box = svg.getBoundingClientRect();
			const k = Math.min(box.width / width, box.height / height);
			const x = (e.clientX - box.left - (box.width - width * k) / 2) / k, y = (e.clientY - box.top - (box.height - height * k) / 2) / k;
			pick([lo[0] + (x - left) / scale, hi[1] - (y - top) / scale], 24 / scale);
		});
	}
	return svg;
}
