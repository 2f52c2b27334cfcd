// Archives of files. They are written without compression; those that are read may have any.

const table = Uint32Array.from({ length: 256 }, (_, n) => {
	for (let k = 0; k < 8; k++) n = n & 1 ? 0xedb88320 ^ n >>> 1 : n >>> 1;
	return n;
});

function crc32(bytes) {
	let c = 0xffffffff;
	for (const b of bytes) c = table[(c ^ b) & 255] ^ c >>> 8;
	return (c ^ 0xffffffff) >>> 0;
}

// zip packs files, {name, bytes} each.
export function zip(files, when = new Date()) {
	const encoder = new TextEncoder();
	const time = when.getHours() << 11 | when.getMinutes() << 5 | when.getSeconds() >> 1;
	const date = Math.max(0, when.getFullYear() - 1980) << 9 | when.getMonth() + 1 << 5 | when.getDate();
	const parts = [], listed = [];
	let at = 0;
	for (const f of files) {
		const name = encoder.encode(f.name), crc = crc32(f.bytes), size = f.bytes.length;
		const common = [[20, 2], [0x0800, 2], [0, 2], [time, 2], [date, 2], [crc, 4], [size, 4], [size, 4], [name.length, 2], [0, 2]]; // 0x0800: the name is in UTF-8
		listed.push(record([[0x02014b50, 4], [20, 2], ...common, [0, 2], [0, 2], [0, 2], [0, 4], [at, 4]]), name);
		parts.push(record([[0x04034b50, 4], ...common]), name, f.bytes);
		at += 30 + name.length + size;
	}
	const size = listed.reduce((n, b) => n + b.length, 0);
	const end = record([[0x06054b50, 4], [0, 2], [0, 2], [files.length, 2], [files.length, 2], [size, 4], [at, 4], [0, 2]]);
	return joined([...parts, ...listed, end]);
}

function record(numbers) {
	const out = new Uint8Array(numbers.reduce((n, [, size]) => n + size, 0)), view = new DataView(out.buffer);
	let at = 0;
	for (const [v, size] of numbers) {
		if (size === 2) view.setUint16(at, v, true);
		else view.setUint32(at, v, true);
		at += size;
	}
	return out;
}

function joined(all) {
	const out = new Uint8Array(all.reduce((n, b) => n + b.length, 0));
	let at = 0;
	for (const b of all) {
		out.set(b, at);
		at += b.length;
	}
	return out;
}

const most = 256 << 20; // bytes in all; a longer survey is for the command

// unzip reads the files of an archive, {name, bytes} each.
export async function unzip(bytes) {
	const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
	let end = bytes.length - 22;
	while (end >= 0 && view.getUint32(end, true) !== 0x06054b50) end--;
	if (end < 0) throw new Error('it is no archive, or cut short');
	const out = [];
	let at = view.getUint32(end + 16, true), all = 0;
	for (let n = view.getUint16(end + 10, true); n > 0; n--) {
		if (at + 46 > bytes.length || view.getUint32(at, true) !== 0x02014b50) throw new Error('its list of files is damaged');
		const how = view.getUint16(at + 10, true), crc = view.getUint32(at + 16, true), packed = view.getUint32(at + 20, true), size = view.getUint32(at + 24, true);
		const length = view.getUint16(at + 28, true), from = view.getUint32(at + 42, true);
		const name = new TextDecoder().decode(bytes.subarray(at + 46, at + 46 + length));
		at += 46 + length + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
		if (name.endsWith('/')) continue;
		all += size;
		if (all > most) throw new Error('it holds more than 256 MB');
		if (from + 30 > bytes.length) throw new Error(`${name} is cut short`);
		const start = from + 30 + view.getUint16(from + 26, true) + view.getUint16(from + 28, true);
		const body = bytes.subarray(start, start + packed);
		const content = how === 0 ? body : how === 8 ? await inflated(body, size) : null;
		if (!content) throw new Error(`${name} is packed in a way that this page does not read`);
		if (content.length !== size || crc32(content) !== crc) throw new Error(`${name} is damaged`);
		out.push({ name, bytes: content.slice() });
	}
	return out;
}

// inflated reads no more than one byte over the size, so that a false size is noticed.
async function inflated(body, size) {
	const reader = new Blob([body]).stream().pipeThrough(new DecompressionStream('deflate-raw')).getReader();
	const parts = [];
	for (let got = 0; got <= size;) {
		const { done, value } = await reader.read();
		if (done) break;
		parts.push(value);
		got += value.length;
	}
	reader.cancel().catch(() => {}); // a damaged end shows in the checksum
	return joined(parts);
}
