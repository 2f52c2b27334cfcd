// Papers: the record, and the files to hand over.

import { button, download, el } from './dom.js';
import { bookBytes, bookFile } from './bookfile.js';
import { ask } from './engine.js';
import { noAnswer, refusals } from './form.js';
import { change, on, state } from './state.js';
import { aboutPaper, rank } from './paperswords.js';
import { zip } from './zip.js';

const types = { pdf: 'application/pdf', html: 'text/html', csv: 'text/csv', json: 'application/json', geojson: 'application/geo+json', xml: 'application/xml', dxf: 'image/vnd.dxf', png: 'image/png', svg: 'image/svg+xml', toml: 'text/plain', zip: 'application/zip', xlsx: 'application/vnd.openxmlformats-officedocument.spreadsheetml.sheet' };
const typeOf = name => types[name.slice(name.lastIndexOf('.') + 1).toLowerCase()] ?? 'application/octet-stream';

// Groups of files by who reads them.
const groups = [
	['To read and print', /\.(pdf|html)$/],
	['Tables', /\.(xlsx|csv)$/],
	['Drawings and models', /\.(dxf|xml|geojson)$/],
	['Pictures', /\.(png|svg)$/],
	['Figures for programs', /./],
];

// atOnce is the number of papers made between two chances to answer something else.
const atOnce = 2;

export function start(host) {
	const none = el('div');
	const why = el('div', { 'aria-live': 'polite' });
	const tools = el('div', { class: 'row' });
	const list = el('div'), record = el('div');
	const kept = el('div', { class: 'card' });
	host.append(none, tools, why, list, kept, record);
	let made = null, url = '', shown = null, asking = false;

	// files are in the archive: the job, what it names, and the field book.
	const files = () => {
		const book = bookBytes(state);
		return [{ name: 'job.toml', bytes: new TextEncoder().encode(state.job) }, ...state.files, ...book ? [{ name: bookFile, bytes: book }] : []];
	};
	const name = () => (state.title || 'floor').replace(/[^\p{L}\p{N} _-]+/gu, ' ').trim() || 'floor';

	// make makes the papers a few at a time, so that another height is answered between them.
	async function make() {
		const of = state.answer, out = [];
		change({ busy: 'making the papers' });
		try {
			let r = await ask({ ask: 'papers' });
			const names = r.papers ?? [];
			for (let k = 0; k < names.length && !r.refused && state.answer === of; k += atOnce) {
				change({ busy: `making the papers, ${k} of ${names.length}` });
				r = await ask({ ask: 'make', names: names.slice(k, k + atOnce) });
				if (r.made) out.push(...cut(r));
			}
			if (state.answer !== of) return; // changed meanwhile
			why.replaceChildren(...refusals(r.refused));
			made = r.refused ? null : out;
		} catch (e) {
			why.replaceChildren(el('p', { class: 'why' }, e.message));
		} finally {
			change({ busy: '' });
		}
		draw();
	}

	function cut(r) {
		let at = 0;
		return r.made.map(m => ({ name: m.name, bytes: r.parts.slice(at, at += m.size) }));
	}

	// showRecord makes the record once its tab is looked at.
	async function showRecord() {
		if (host.hidden || !state.answer || shown === state.answer || asking) return;
		asking = true;
		const of = state.answer;
		change({ busy: 'making the record' });
		try {
			const r = await ask({ ask: 'make', names: ['record.html'] });
			if (state.answer !== of) return;
			shown = of;
			why.replaceChildren(...refusals(r.refused));
			if (!r.made) return;
			if (url) URL.revokeObjectURL(url);
			url = URL.createObjectURL(new Blob([r.parts.slice(0, r.made[0].size)], { type: 'text/html' }));
			record.replaceChildren(el('h3', {}, 'Record'), el('p', { class: 'row' }, el('a', { class: 'button', href: url, target: '_blank' }, 'Open the record alone')), el('iframe', { src: url, title: 'Record', class: 'record' }));
		} catch (e) {
			why.replaceChildren(el('p', { class: 'why' }, e.message));
		} finally {
			asking = false;
			change({ busy: '' });
			if (state.answer !== of) showRecord();
		}
	}

	const one = f => el('li', {}, el('span', { class: 'about' }, aboutPaper(f.name)), button(f.name, () => download(f.name, f.bytes, typeOf(f.name))), el('span', { class: 'small' }, size(f.bytes.length)));

	function draw() {
		const a = state.answer;
		none.hidden = a !== null;
		none.replaceChildren(...noAnswer('The papers are made from the answer: first the shots and the target.'));
		tools.replaceChildren(...(a && !made ? [button('Make all papers', make, { class: 'main' })] : []));
		list.replaceChildren();
		if (a && made) {
			const rest = [...made];
			list.append(el('div', { class: 'row' }, button('Download all in one archive', () => download(`${name()}.zip`, zip([...files(), ...made.map(f => ({ name: 'papers/' + f.name, bytes: f.bytes }))]), types.zip), { class: 'main' })));
			for (const [head, of] of groups) {
				const own = rest.filter(f => of.test(f.name)).sort((a, b) => rank(a.name) - rank(b.name));
				own.forEach(f => rest.splice(rest.indexOf(f), 1));
				if (own.length) list.append(el('details', { class: 'card', open: head === groups[0][0] }, el('summary', {}, `${head} (${own.length})`), el('ul', { class: 'downloads' }, own.map(one))));
			}
		}
		kept.hidden = !state.job;
		kept.replaceChildren(el('h3', {}, 'Job and its files'),
			el('p', { class: 'small' }, 'Keep these: dropped under Shots again, here or on another device, they give this answer again.'),
			el('div', { class: 'row' },
				button('Job with its files (.zip)', () => download(`${name()} job.zip`, zip(files()), types.zip)),
				button('job.toml', () => download('job.toml', files()[0].bytes, types.toml))));
	}

	function answered() {
		made = null;
		if (!state.answer) {
			record.replaceChildren();
			shown = null;
		}
		why.replaceChildren();
		draw();
		showRecord();
	}

	new MutationObserver(showRecord).observe(host, { attributeFilter: ['hidden'] });
	on(['answer'], answered);
	on(['job', 'files', 'title', 'refused'], draw);
	draw();
}

const size = n => n < 1000 ? `${n} bytes` : n < 1e6 ? `${Math.round(n / 1e3)} kB` : `${(n / 1e6).toFixed(1)} MB`;
