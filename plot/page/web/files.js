// Shots: the files of a floor, how each was understood, and what it is used as.

import { button, choose, el, facts, id, remarks, say, warning } from './dom.js';
import { ask } from './engine.js';
import { fresh } from './floors.js';
import { files as filesOf, writes } from './book.js';
import { bookFile, bookOf } from './bookfile.js';
import { drawWalls } from './floor.js';
import { doubt, inBook, redraw, refusal, refusals } from './form.js';
import { attempt, current, designOf, edit, first, refresh, use, withTitle } from './job.js';
import { newPlanner } from './planner.js';
import { newNext } from './sure.js';
import { change, on, seen, state } from './state.js';
import { newId } from './store.js';
import { unzip } from './zip.js';

const isJob = name => /\.toml$/i.test(name);
const base = name => name.slice(name.lastIndexOf('/') + 1);

// The demo floor is our own invention.
const demo = ['job.toml', 'survey.csv', 'outline.csv', 'check.csv'];

// add takes files that the user gives, {name, bytes} each: shots, walls, a job with its
// files, or an archive of them.
export async function add(given) {
	const all = [];
	for (const f of given) {
		if (!/\.zip$/i.test(f.name)) all.push({ name: base(f.name), bytes: f.bytes });
		else for (const inner of await unzip(f.bytes).catch(e => { throw new Error(`${f.name} cannot be opened: ${e.message}.`); })) all.push({ name: base(inner.name), bytes: inner.bytes });
	}
	const twice = all.find((f, k) => all.findIndex(g => g.name === f.name) !== k);
	if (twice) throw new Error(`Two of these files have the name ${twice.name}. Give one of them another name.`);
	const place = all.findIndex(f => f.name === bookFile);
	const book = place < 0 ? null : bookOf(all.splice(place, 1)[0].bytes);
	const jobs = all.filter(f => isJob(f.name));
	if (book && !jobs.length) throw new Error(`${bookFile} comes back with its job and files: drop the archive of Papers whole.`);
	if (jobs.length > 1) throw new Error(`Found ${jobs.length} job files: ${jobs.map(f => f.name).join(', ')}. Drop one of them with its files.`);
	if (jobs.length) await addJob(jobs[0], all.filter(f => f !== jobs[0]), book);
	else await addFiles(all);
}

async function addFiles(all) {
	const same = all.filter(f => state.files.some(g => g.name === f.name));
	if (same.length && await choose(`${same.map(f => f.name).join(', ')} ${same.length > 1 ? 'are' : 'is'} here already. Use the new content?`, ['Replace', 'Cancel']) !== 0) return;
	const files = [...state.files], had = files.length > 0;
	for (const f of all) {
		const k = files.findIndex(g => g.name === f.name);
		files.splice(k < 0 ? files.length : k, k < 0 ? 0 : 1, { ...f, id: newId() });
	}
	if (!state.job) {
		const r = await ask({ ask: 'read', job: '', files });
		const of = key => r.fields?.find(f => f.key === key)?.current ?? [], shots = of('survey.files');
		if (shots.length > 1) {
			// Shots before and after a pour, taken for one floor, would give a wrong volume.
			const text = await sorted(r.job, shots, of('survey.outline').length === 0);
			if (!text) return;
			change({ files });
			await use(text);
			return;
		}
	}
	change({ files });
	await refresh();
	if (had) addedTo(all.map(f => f.name));
}

// addedTo says what files are used as that came to others, and shows the first of them.
function addedTo(names) {
	const used = name => {
		const role = roleOf(name), held = state.read.find(h => h.name === name);
		if (role) return `${name}: used as “${roles.find(([value]) => value === role)[1]}”.`;
		return held?.kind ? `${name}: left out until you choose what to use it as.` : `${name}: left out, it cannot be read as it is.`;
	};
	say(names.map(used).join(' '));
	[...document.querySelectorAll('#shots .card h3')].find(h => h.textContent === names[0])?.scrollIntoView({ block: 'center' });
}

// sorted is a new job of files with shots, once the user has chosen what each is; nothing if
// the user leaves.
async function sorted(job, names, walls) {
	const chosen = await eachRole(names, walls);
	if (!chosen) return null;
	let text = job;
	const of = role => names.filter((_, k) => chosen[k] === role);
	for (const [key, values] of [['survey.files', of('survey')], ['survey.after', of('after')], ...of('walls').map(name => ['survey.outline', [name]]), ['title', [of('survey')[0].replace(/[.][^.]*$/, '')]]]) {
		const r = await ask({ ask: 'edit', job: text, key, values });
		if (r.refused) throw new Error(r.refused.map(one => one.text).join('\n'));
		text = r.job;
	}
	return text;
}

// eachRole asks what each of several files is used as, as walls too where no other file has
// them. It proposes nothing.
function eachRole(names, walls) {
	return new Promise(done => {
		const selects = names.map(() => el('select', { id: id('role'), required: true }, el('option', { value: '' }, '— choose —'),
			[...roles.slice(0, -1).filter(([value]) => value !== 'design' && (walls || value !== 'walls')), ['none', 'Leave out']].map(([value, text]) => el('option', { value }, text))));
		const failed = el('p', { class: 'why', 'aria-live': 'assertive' }), head = id('roles');
		let chosen = null;
		const submit = e => {
			e.preventDefault();
			const all = selects.map(s => s.value);
			const open = selects.find(s => !s.value);
			const twice = all.indexOf('walls') !== all.lastIndexOf('walls');
			if (open || twice || !all.includes('survey')) {
				failed.textContent = open ? 'Choose for each file.' : twice ? 'The walls come from one file.' : 'At least one is the floor before the pour.';
				(open ?? selects[0]).focus();
				return;
			}
			chosen = all;
			dialog.close();
		};
		const dialog = el('dialog', { 'aria-labelledby': head }, el('form', { onsubmit: submit, noValidate: true },
			el('p', { id: head }, `What is each of these ${names.length} files? Those before the pour are joined into one floor.`),
			names.map((n, k) => el('div', { class: 'field' }, el('label', { htmlFor: selects[k].id }, n), selects[k])),
			failed, el('div', { class: 'row' }, el('button', { class: 'main' }, 'Use them so'), button('Cancel', () => dialog.close()))));
		dialog.addEventListener('close', () => {
			dialog.remove();
			done(chosen);
		});
		document.body.append(dialog);
		dialog.showModal();
	});
}

// addJob opens a job with the files that it names; others that come with it are results.
async function addJob(job, others, kept) {
	const text = new TextDecoder().decode(job.bytes);
	const r = await ask({ ask: 'fields', job: text });
	if (r.refused) throw new Error(r.refused.map(one => one.text).join('\n'));
	const named = new Set(['survey.files', 'survey.after', 'survey.outline', 'target.surface'].flatMap(key => r.fields.find(f => f.key === key)?.current ?? []).map(designOf));
	let keep = [];
	if (state.job || state.files.length) {
		const answer = state.job === text ? 1 : await choose(`Open ${job.name} as a new floor, or use it for this one in place of its job?`, ['New floor', 'This floor', 'Cancel']);
		if (answer < 0 || answer === 2) return;
		if (answer === 0) fresh();
		else keep = state.files;
	}
	const files = [], aside = [];
	for (const f of others) {
		const name = [...named].find(n => n === f.name) ?? [...named].find(n => base(n) === f.name);
		if (name && writes(name)) continue; // the field book of this floor has it
		if (name) files.push({ name, bytes: f.bytes, id: newId() });
		else aside.push(f.name);
	}
	files.unshift(...keep.filter(f => !files.some(g => g.name === f.name)));
	const { part, why } = kept ? broughtBack(kept, files) : {};
	change({ files, ...part, ...withTitle(r.fields) });
	await use(text);
	const lacking = [...named].filter(n => !files.some(f => f.name === n));
	say([
		lacking.length && `${job.name} names ${lacking.join(', ')}: add ${lacking.length > 1 ? 'them' : 'it'} too.`,
		why,
		aside.length && `Left aside, as ${job.name} does not name ${aside.length > 1 ? 'them' : 'it'}: ${aside.join(', ')}.`,
	].filter(Boolean).join(' '));
}

// broughtBack is what an archive brings of the field book and the ticks: {part, why}. A book of
// the floor's own stays, and so do files that the book would write otherwise.
function broughtBack({ book, ticks }, files) {
	const part = Object.keys(state.ticks ?? {}).length ? {} : { ticks };
	if (!book) return { part };
	if (state.book) return { part, why: 'The field book of the archive and its files are left aside: this floor has one of its own.' };
	const other = filesOf(book).find(([name, text]) => new TextDecoder().decode(files.find(f => f.name === name)?.bytes ?? new Uint8Array()) !== text);
	if (other) return { part, why: `The field book of the archive is left aside: it would write another ${other[0]} than the archive has.` };
	return { part: { ...part, book } };
}

async function openDemo() {
	const all = await Promise.all(demo.map(async name => {
		const r = await fetch('demo/' + name);
		if (!r.ok) throw new Error(`The demo floor cannot be loaded: ${name}, ${r.status}.`);
		return { name, bytes: new Uint8Array(await r.arrayBuffer()) };
	}));
	if (state.job || state.files.length) fresh();
	await add(all);
}

// roleOf is what the job uses a file as.
function roleOf(name) {
	if (current('survey.files').includes(name)) return 'survey';
	if (current('survey.after').includes(name)) return 'after';
	if (designOf(first('target.surface')) === name) return 'design';
	return first('survey.outline') === name ? 'walls' : '';
}

const roles = [['survey', 'Floor before the pour'], ['walls', 'Walls'], ['after', 'Floor after the pour'], ['design', 'Design of the top of fill'], ['', 'Leave out']];

// setRole edits the keys that name the file. It returns why not, or nothing.
function setRole(name, role) {
	const lists = { survey: current('survey.files'), after: current('survey.after'), walls: current('survey.outline') };
	const keys = { survey: 'survey.files', after: 'survey.after', walls: 'survey.outline' };
	const pairs = [], designed = roleOf(name) === 'design';
	if (designed !== (role === 'design')) pairs.push(['target.surface', designed ? [] : [name]]);
	for (const [of, list] of Object.entries(lists)) {
		const others = list.filter(n => n !== name);
		const now = of !== role ? others : of === 'walls' ? [name] : list.includes(name) ? list : [...list, name];
		if (now.join('\n') !== list.join('\n')) pairs.push([keys[of], now]);
	}
	return pairs.length ? edit(pairs) : null;
}

// factsOf are the facts about a file, without the doubtful shots where they have their rows.
function factsOf(held, doubted) {
	const k = held.facts.findIndex(f => f.head === 'Suspects');
	return held.facts.slice(0, doubted && k >= 0 ? k : undefined).filter(f => f.head !== 'File');
}

// leaving leaves shots out of the floor, each with the reason that the papers show.
function leaving(card) {
	const out = current('survey.leave-out'), shot = id('shot'), reason = id('reason');
	const failed = el('div', { 'aria-live': 'assertive' });
	const set = async values => {
		const why = await attempt([['survey.leave-out', values]]);
		failed.replaceChildren(...(why ?? []).map(r => refusal({ ...r, asks: [] })));
	};
	const which = el('input', { type: 'text', id: shot, autocomplete: 'off', autocapitalize: 'off', spellcheck: false });
	const because = el('input', { type: 'text', id: reason, autocomplete: 'off' });
	const submit = e => {
		e.preventDefault();
		const empty = [which, because].find(i => !i.value.trim());
		if (!empty) {
			set([...out, `${which.value.trim()}=${because.value.trim()}`]);
			return;
		}
		failed.replaceChildren(el('p', { class: 'why' }, empty === which ? 'Which shot?' : 'Why is it left out? The papers show the reason.'));
		empty.focus();
	};
	const list = el('ul', { class: 'left' }, out.map(v => {
		const name = v.slice(0, v.indexOf('='));
		return el('li', {}, `${name}: ${v.slice(v.indexOf('=') + 1)} `, button('Use it again', () => set(out.filter(o => o !== v)), { 'aria-label': `Use it again: ${name}` }));
	}));
	const file = first('survey.files');
	if (writes(file)) return el('div', {}, out.length > 0 && el('p', {}, 'Left out:'), list, failed, el('p', {}, 'This file is from the field book: readings are changed and taken out there.'), inBook(file));
	const host = el('details', { open: out.length > 0 }, el('summary', {}, `Leave shots out${out.length ? ` (${out.length})` : ''}`), list,
		el('form', { onsubmit: submit, noValidate: true },
			el('div', { class: 'field' }, el('label', { htmlFor: shot }, 'Shot'), which, el('p', { class: 'help' }, 'Its name, or file and line such as survey.csv:78.')),
			el('div', { class: 'field' }, el('label', { htmlFor: reason }, 'Reason'), because, el('p', { class: 'help' }, 'Such as: rod on rubble.')),
			failed, el('button', {}, 'Leave it out')));
	// A doubtful row fills the form in.
	card.addEventListener('leave', e => {
		host.open = true;
		which.value = e.detail;
		because.focus();
	});
	return host;
}

async function taken(files) {
	try {
		await add(await Promise.all([...files].map(async f => ({ name: f.name, bytes: new Uint8Array(await f.arrayBuffer()) }))));
	} catch (e) {
		say(e.message);
	}
}

export function start(host) {
	const pick = el('input', { type: 'file', multiple: true, id: 'pick', onchange: async () => { await taken(pick.files); pick.value = ''; } });
	const label = el('label', { htmlFor: 'pick' }, 'Choose files');
	const zone = el('div', { class: 'drop' },
		label, pick,
		el('p', {}, 'or drop them here: the shots, the walls, or a job with its files. CSV, LandXML, XLSX, LAS, PLY.'));
	const begin = el('p', { class: 'row' }, el('a', { class: 'button', href: '#book' }, 'Shoot a floor with tape and rod'), button('Open the demo floor', () => openDemo().catch(e => say(e.message))));
	const why = el('div', { 'aria-live': 'polite' }), whole = el('div', { 'aria-live': 'polite' }), list = el('ul', { class: 'cards' });
	const look = el('a', { class: 'button look', href: '#floor' }, 'See the floor');
	const next = el('p', { class: 'row' }, el('a', { class: 'button main', href: '#target' }, 'Next: target'), look);
	host.append(zone, begin, why, whole, list, newPlanner().host, newNext(), next);

	for (const kind of ['dragover', 'drop']) {
		addEventListener(kind, e => {
			if (![...e.dataTransfer.types].includes('Files')) return;
			e.preventDefault(); // the browser would leave the page for the file
			zone.classList.toggle('over', kind === 'dragover');
			if (kind === 'drop') {
				location.hash = '#shots';
				taken(e.dataTransfer.files);
			}
		});
	}
	addEventListener('dragleave', () => zone.classList.remove('over'));

	function show() {
		begin.hidden = state.files.length > 0;
		zone.classList.toggle('small', state.files.length > 0);
		label.textContent = state.files.length ? 'Add files' : 'Choose files';
		next.hidden = !state.job;
		look.hidden = !seen();
		const known = new Set(state.read.flatMap(h => h.remarks?.flatMap(r => r.notes) ?? [])); // on the card of a file
		whole.replaceChildren(...(state.ground?.warnings ?? []).filter(w => !known.has(w)).map(warning));
		redraw(list, ...state.files.map(card));
		// What is refused of one file is on its card.
		const own = new Set(state.read.flatMap(h => (h.refused ?? []).map(r => r.text)));
		redraw(why, ...refusals(state.answer ? [] : state.refused.filter(r => !own.has(r.text) && !r.asks?.some(a => a.key.startsWith('target.')))));
	}

	function card(file) {
		const held = state.read.find(h => h.name === file.name);
		const head = id('file'), select = id('role'), role = roleOf(file.name), failed = el('div', { 'aria-live': 'assertive' });
		const chosen = el('select', {
			id: select, onchange: async () => {
				const why = await setRole(file.name, chosen.value);
				failed.replaceChildren(...refusals(why));
				if (why) chosen.value = role;
			},
		}, roles.map(([value, text]) => el('option', { value, selected: value === role }, text)));
		const card = el('li', { class: 'card' });
		const doubts = (role === 'survey' && held?.doubts || []).map(r => doubt(r, () => card.dispatchEvent(new CustomEvent('leave', { detail: `${r.file}:${r.line}` }))));
		card.append(...[
			el('h3', { id: head }, file.name),
			file.corrected && el('p', { class: 'small' }, `Corrected on this device: line ${file.corrected.join(', ')}`),
			state.job && el('div', { class: 'field' }, el('label', { htmlFor: select }, `Use ${file.name} as`), chosen, failed),
			state.job && !role && held?.kind === 'walls' && button('Use as walls', () => setRole(file.name, 'walls'), { class: 'main' }),
			...refusals(held?.refused),
			...remarks(held?.remarks?.filter(r => r.head === 'Warnings')),
			...doubts,
			...role === 'survey' && file.name === first('survey.files') && seen()?.floor.hull ? [el('p', {}, 'No walls are given: the floor ends at the outer shots.'), drawWalls()] : [],
			held?.facts && facts(factsOf(held, doubts.length > 0)),
			...remarks(held?.remarks?.filter(r => r.head !== 'Warnings')),
			role === 'survey' && file.name === first('survey.files') && held?.facts && leaving(card),
			el('div', { class: 'row' }, button('Remove this file', () => remove(file, role), { 'aria-describedby': head }))].filter(Boolean));
		return card;
	}

	async function remove(file, role) {
		if (await choose(`Remove ${file.name} from this floor?`, ['Remove', 'Keep it']) !== 0) return;
		const files = state.files.filter(f => f !== file);
		if (!files.length) {
			change({ files, job: '' });
			await refresh();
			return;
		}
		const only = role === 'survey' && current('survey.files').length === 1;
		if (only && !state.read.find(h => h.name === file.name)?.kind) {
			await removeUnread(file, files);
			return;
		}
		const why = role ? await setRole(file.name, '') : null;
		if (why) {
			say(why.map(r => r.text).join('\n'));
			return;
		}
		change({ files });
		await refresh();
	}

	// removeUnread removes the only survey, which cannot be read. Another one takes its place, or
	// the floor begins anew with the files that are left.
	async function removeUnread(file, files) {
		const next = state.read.find(h => h.kind === 'survey' && !roleOf(h.name));
		const why = next ? await edit([['survey.files', [next.name]]]) : null;
		if (why) say(why.map(r => r.text).join('\n'));
		else {
			change(next ? { files } : { files, job: '' });
			await refresh();
		}
	}

	on(['files', 'read', 'fields', 'job', 'answer', 'ground', 'refused'], show);
	show();
}
