// Floors kept on this device, in IndexedDB: a record for each floor, and the content of each
// file beside it, written once. What cannot be kept is reported, never passed over.

const asked = request => new Promise((done, fail) => {
	request.onsuccess = () => done(request.result);
	request.onerror = () => fail(request.error);
});

const finished = work => new Promise((done, fail) => {
	work.oncomplete = () => done();
	work.onabort = work.onerror = () => fail(work.error);
});

let opened = null;

function open() {
	opened ??= new Promise((done, fail) => {
		if (!globalThis.indexedDB) {
			fail(new Error('it has no store'));
			return;
		}
		const request = indexedDB.open('pourplane', 1);
		request.onupgradeneeded = () => {
			request.result.createObjectStore('floors', { keyPath: 'id' });
			request.result.createObjectStore('files', { keyPath: ['floor', 'id'] });
		};
		request.onsuccess = () => {
			const base = request.result;
			base.onversionchange = () => { base.close(); opened = null; };
			base.onclose = () => { opened = null; };
			done(base);
		};
		request.onerror = () => fail(request.error);
	});
	opened.catch(() => { opened = null; });
	return opened;
}

const revisions = new Map(); // of each floor, as this window has it
const waiting = new Map(); // floors to write, by id
let writing = Promise.resolve();

// save writes a floor as soon as the write before it is done; a newer state of it takes its
// place meanwhile. report is called with the reason why it is not kept, empty if it is.
export function save(floor, report) {
	const queued = waiting.has(floor.id);
	waiting.set(floor.id, floor);
	if (queued) return;
	writing = writing.then(async () => {
		const newest = waiting.get(floor.id);
		waiting.delete(floor.id);
		if (!newest) return; // deleted meanwhile
		try {
			await write(newest);
			report('');
		} catch (e) {
			report(reason(e));
		}
	});
}

// settled is done when everything is written.
export const settled = () => writing;

class Changed extends Error {}

async function write(floor) {
	const work = (await open()).transaction(['floors', 'files'], 'readwrite');
	const floors = work.objectStore('floors'), files = work.objectStore('files');
	const done = finished(work);
	done.catch(() => {}); // it is awaited below
	const before = await asked(floors.get(floor.id));
	if ((before?.revision ?? 0) !== (revisions.get(floor.id) ?? 0)) {
		work.abort();
		throw new Changed();
	}
	const revision = (before?.revision ?? 0) + 1;
	const had = new Set((before?.files ?? []).map(f => f.id));
	for (const f of floor.files) {
		if (!had.delete(f.id)) files.put({ floor: floor.id, id: f.id, bytes: f.bytes });
	}
	for (const id of had) files.delete([floor.id, id]);
	floors.put({ ...floor, files: floor.files.map(({ bytes, ...rest }) => rest), revision, changed: Date.now() });
	await done;
	revisions.set(floor.id, revision);
}

function reason(e) {
	if (e instanceof Changed) return 'This floor was changed in another window. Close one of the two windows, and reload the page to see what is kept.';
	const why = e?.name === 'QuotaExceededError' ? 'it has no room left' : e?.name === 'InvalidStateError' || e?.name === 'SecurityError' ? 'the browser keeps nothing in a private window' : e?.message || String(e);
	return `This device does not keep your floor: ${why}. Download the job and its files on Papers before you close this page.`;
}

// list returns the floors without their files, the last changed first.
export async function list() {
	const all = await asked((await open()).transaction('floors').objectStore('floors').getAll());
	return all.sort((a, b) => b.changed - a.changed);
}

// load returns a floor with its files, undefined if it is not kept.
export async function load(id) {
	await writing;
	const work = (await open()).transaction(['floors', 'files']);
	const floor = await asked(work.objectStore('floors').get(id));
	if (!floor) return undefined;
	const files = work.objectStore('files');
	const found = await Promise.all(floor.files.map(async f => ({ ...f, bytes: (await asked(files.get([id, f.id])))?.bytes })));
	const lost = found.find(f => !f.bytes);
	if (lost) throw new Error(`the content of ${lost.name} is lost`);
	revisions.set(id, floor.revision);
	return { ...floor, files: found };
}

// remove deletes a floor and its files.
export async function remove(id) {
	waiting.delete(id);
	await writing;
	const work = (await open()).transaction(['floors', 'files'], 'readwrite');
	const done = finished(work);
	work.objectStore('floors').delete(id);
	work.objectStore('files').delete(IDBKeyRange.bound([id], [id, []]));
	await done;
	revisions.delete(id);
}

// newId returns a name that nothing else has. It works without a secure context, as on a
// phone that reads the page from a laptop.
export function newId() {
	return Array.from(crypto.getRandomValues(new Uint8Array(16)), b => b.toString(16).padStart(2, '0')).join('');
}

// persist asks the browser, once on this device, not to clear the floors when it needs room.
export async function persist() {
	try {
		if (!navigator.storage?.persist || localStorage.getItem('pourplane asked') || await navigator.storage.persisted()) return;
		localStorage.setItem('pourplane asked', 'yes');
		await navigator.storage.persist();
	} catch {
		// The floors are kept all the same, as long as there is room.
	}
}

// last remembers which floor is open on this device; remember keeps it, if the device can.
export function last() {
	try {
		return localStorage.getItem('pourplane floor') ?? '';
	} catch {
		return '';
	}
}

export function remember(id) {
	try {
		localStorage.setItem('pourplane floor', id);
	} catch {
		// Then the page begins with the floor that was changed last.
	}
}
