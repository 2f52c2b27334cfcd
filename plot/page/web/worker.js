// The engine in this browser. A smaller engine comes first and answers what needs no drawing;
// the whole one is fetched behind it and answers from then on. A message {id, parcel} is
// answered with {id, reply} or {id, error}, and {id, progress} before it.
importScripts('version.js', 'wasm_exec.js');

const { engines } = self.pourplane; // names of the files: first and whole
const often = 200; // ms between two words of progress
let first = null, whole = null; // promises of the engines
let ready = null; // the whole engine when it is there

// inflated returns the bytes of an engine: packed if this browser can unpack them, or as they
// are. Some servers unpack a file on the way.
async function inflated(name) {
	const packed = typeof DecompressionStream === 'function';
	const got = await fetch(packed ? name + '.gz' : name);
	if (!got.ok) throw new Error(`The engine cannot be loaded: ${name} is not there (${got.status}).`);
	const bytes = await got.arrayBuffer();
	const [a, b] = new Uint8Array(bytes, 0, 2);
	if (a !== 0x1f || b !== 0x8b) return bytes;
	return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer();
}

// started loads an engine. If it ends, its requests fail and the next one loads it again.
async function started(name) {
	const go = new Go();
	const { instance } = await WebAssembly.instantiate(await inflated(name), go.importObject);
	let end;
	const ended = new Promise((_, fail) => { end = fail; });
	ended.catch(() => {});
	const fail = () => {
		first = whole = ready = null;
		end(new Error('The engine has ended: this floor may take more memory than this device has. Your floor is kept; try again, or use the program on a computer.'));
	};
	go.run(instance).then(fail, fail);
	const answer = self.answerParcel;
	delete self.answerParcel;
	return (parcel, watch) => Promise.race([answer(parcel, watch), ended]);
}

function wholeEngine() {
	whole ??= started(engines.whole).then(engine => {
		first = null;
		return ready = engine;
	}, e => {
		whole = null;
		throw e;
	});
	return whole;
}

function firstEngine() {
	if (!first) {
		first = started(engines.first);
		first.then(() => wholeEngine(), () => { first = null; }).catch(() => {}); // it is asked for again when it is needed
	}
	return first;
}

function watcher(id) {
	let last = 0;
	return (what, done, total) => {
		const now = Date.now();
		if (now - last < often) return;
		last = now;
		postMessage({ id, progress: total > 0 ? `${what} ${Math.floor(100 * done / total)} %` : what });
	};
}

async function answered(id, parcel) {
	const watch = watcher(id);
	if (!ready) {
		if (!first) postMessage({ id, progress: 'loading the program' });
		const reply = await (await firstEngine())(parcel, watch);
		if (reply) return reply;
		if (!ready) postMessage({ id, progress: 'loading the rest of the program' });
	}
	return (await wholeEngine())(parcel, watch);
}

onmessage = async ({ data: { id, parcel } }) => {
	try {
		const reply = await answered(id, new Uint8Array(parcel));
		postMessage({ id, reply: reply.buffer }, [reply.buffer]);
	} catch (e) {
		postMessage({ id, error: e.message });
	}
};
