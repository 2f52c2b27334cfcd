// The engine answers requests: behind a server that the page comes from, or in a worker of
// this browser where there is none. One request is under way at a time.

import { change, state } from './state.js';
import { newId } from './store.js';

const encoder = new TextEncoder(), decoder = new TextDecoder();
const session = newId(); // of this window
const sent = new Set(); // ids of files that the engine has
let queue = Promise.resolve();
const newest = { raise: 0, sure: 0 }; // numbers of the newest of each

// ask sends a request and returns the head of the reply, with its bytes after the head as
// parts. The job, its files and the units shown are those of the state unless the request has
// its own. It returns null for a "raise" or a "sure" that a newer one has overtaken.
export function ask(request) {
	const number = request.ask in newest ? ++newest[request.ask] : 0;
	const overtaken = () => number > 0 && number < newest[request.ask];
	const reply = queue.then(async () => {
		if (overtaken()) return null;
		const got = await answered({ job: state.job, files: state.files, show: state.show, date: today(), ...request });
		return overtaken() ? null : got;
	});
	queue = reply.catch(() => {});
	return reply;
}

async function answered(request) {
	let reply = await once(request);
	if (reply.lacks) { // the engine has been started anew
		for (const id of reply.lacks) sent.delete(id);
		reply = await once(request);
	}
	return reply;
}

async function once(request) {
	const files = request.files.map(f => ({ name: f.name, id: f.id, size: sent.has(f.id) ? -1 : f.bytes.length }));
	const bodies = request.files.filter(f => !sent.has(f.id)).map(f => f.bytes);
	const reply = unpack(await (await way()).send(pack({ ...request, files }, bodies)));
	if (!reply.lacks) {
		sent.clear(); // it keeps the files of the last request alone
		for (const f of request.files) sent.add(f.id);
	}
	return reply;
}

// pack makes a parcel: the length of the head in four bytes, the head, padding to a multiple
// of eight bytes, and the files.
export function pack(head, bodies) {
	let text = JSON.stringify(head);
	let bytes = encoder.encode(text);
	while ((4 + bytes.length) % 8) {
		text += ' ';
		bytes = encoder.encode(text);
	}
	const out = new Uint8Array(bodies.reduce((n, b) => n + b.length, 4 + bytes.length));
	new DataView(out.buffer).setUint32(0, bytes.length, true);
	out.set(bytes, 4);
	let at = 4 + bytes.length;
	for (const b of bodies) {
		out.set(b, at);
		at += b.length;
	}
	return out;
}

function unpack(buffer) {
	const length = new DataView(buffer).getUint32(0, true);
	const head = JSON.parse(decoder.decode(new Uint8Array(buffer, 4, length)));
	return { ...head, parts: new Uint8Array(buffer, 4 + length) };
}

function today() {
	const d = new Date();
	return `${d.getFullYear()}-${String(d.getMonth() + 1).padStart(2, '0')}-${String(d.getDate()).padStart(2, '0')}`;
}

let chosen = null;

// warm loads the engine before the first request, where it is in this browser.
export const warm = () => { way(); };

// way is how requests reach the engine. A server that has it marks its pages.
function way() {
	chosen ??= document.querySelector('meta[name="engine"]')?.content === 'worker' ? byWorker() : byServer;
	return chosen;
}

const byServer = {
	async send(parcel) {
		let reply;
		try {
			reply = await fetch('ask', { method: 'POST', body: parcel, headers: { 'Content-Type': 'application/octet-stream', Session: session } });
		} catch {
			throw new Error('The program that answers this page has ended. Start it again; your floor is kept on this device.');
		}
		if (!reply.ok) throw new Error((await reply.text()).slice(0, 500) || `The program answers with ${reply.status}.`);
		return reply.arrayBuffer();
	},
};

function byWorker() {
	const worker = new Worker('worker.js');
	const waiting = new Map();
	let next = 0, step = '', before = '';
	worker.onmessage = ({ data }) => {
		const one = waiting.get(data.id);
		if (!one) return;
		if (data.progress) {
			if (!step) before = state.busy;
			change({ busy: step = data.progress });
			return;
		}
		waiting.delete(data.id);
		if (step && state.busy === step) change({ busy: before });
		step = '';
		if (data.error) one.fail(new Error(data.error));
		else one.done(data.reply);
	};
	worker.onerror = e => {
		for (const one of waiting.values()) one.fail(new Error(`The engine cannot be started here: ${e.message || 'it could not be loaded'}.`));
		waiting.clear();
		sent.clear();
		chosen = null; // the next request starts it anew
	};
	return {
		send(parcel) {
			return new Promise((done, fail) => {
				const id = ++next;
				waiting.set(id, { done, fail });
				worker.postMessage({ id, parcel: parcel.buffer }, [parcel.buffer]);
			});
		},
	};
}
