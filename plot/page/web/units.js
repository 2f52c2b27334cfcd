// Numbers as text, in the units of an answer, rounded as the engine rounds them: once, in
// whole picometres, so that 1/32 in is a true half of 1/16 in.

const none = '—';

function picometres(m) {
	const p = Math.round(Math.abs(m) * 1e12);
	return p < 2 ** 62 ? BigInt(p) : null;
}

const stepOf = denominator => denominator ? 25400000000n / BigInt(denominator) : 1000000000n;

function inches(n, denominator) {
	const whole = n / BigInt(denominator);
	let over = Number(n % BigInt(denominator)), under = denominator;
	while (over > 0 && over % 2 === 0) {
		over /= 2;
		under /= 2;
	}
	if (over === 0) return String(whole);
	return (whole > 0n ? whole + ' ' : '') + over + '/' + under;
}

// depth writes a depth in millimetres or inches: 68 mm, 2 11/16", -1/4".
export function depth(units, m) {
	const p = picometres(m);
	if (p === null) return none;
	const step = stepOf(units.denominator);
	const n = (p + step / 2n) / step; // halves away from zero
	const sign = m < 0 && n > 0n ? '-' : '';
	return sign + (units.denominator ? inches(n, units.denominator) + '"' : n + ' mm');
}

// plusMinus writes a ±: a small one to 0.1 mm or 1/64 in.
export function plusMinus(units, m) {
	if (m > 0.005) return '±' + depth({ ...units, denominator: units.denominator && 16 }, m);
	return '±' + (units.denominator ? depth({ ...units, denominator: 64 }, m) : fixed(1000 * m, 1).replace(/[.]0$/, '') + ' mm');
}

// signed writes a depth with its sign: +3 mm, -1/16", 0 mm.
export function signed(units, m) {
	const text = depth(units, m);
	return m > 0 && text !== depth(units, 0) ? '+' + text : text;
}

// length writes a distance: 10.973 m, 36'-0", 4".
export function length(units, m) {
	if (!units.denominator) return fixed(m, 3) + ' m';
	const feet = m / units.size;
	if (Math.abs(feet) > 1000 - 0.5 / 12 / units.denominator) return fixed(feet, 2) + ' ' + units.unit;
	return feetAndInches(units, m);
}

function feetAndInches(units, m) {
	const p = picometres(m / units.size * 0.3048);
	if (p === null) return none;
	const step = stepOf(units.denominator);
	const n = (p + step / 2n) / step, foot = 12n * BigInt(units.denominator);
	const sign = m < 0 && n > 0n ? '-' : '';
	const rest = n % foot;
	let text = inches(rest, units.denominator);
	if (n < foot) return sign + text + '"';
	if (rest > 0n && rest < BigInt(units.denominator)) text = '0 ' + text; // 18'-0 11/16", not 18'-11/16"
	return `${sign}${n / foot}'-${text}"`;
}

// elevation writes an elevation: 10.012 m, 99.930 ft.
export const elevation = (units, m) => fixed(m / units.size, 3) + ' ' + units.unit;

// levelDown writes an elevation of the target for the crew, in feet with its inches and rounded
// down, because nothing is finished above it: 99.930 ft (99'-11 1/8"). The inches come first
// where they alone are exact.
export function levelDown(units, m) {
	if (!Number.isFinite(m)) return none;
	const hair = 1e-7; // m: a sum of exact lengths keeps its step
	const down = step => Math.floor((m + hair) / step) * step;
	const feet = down(units.size / 1000), decimal = elevation(units, feet);
	if (!units.denominator) return decimal;
	const tape = down(units.size / 12 / units.denominator), inches = feetAndInches(units, tape);
	const exact = units.unit === 'ft' && Math.abs(tape - m) <= hair && Math.abs(feet - m) > hair;
	return exact ? `${inches} (${decimal})` : `${decimal} (${inches})`;
}

// exact writes an elevation for a job file, in full: 99.930ft, 10.0125m.
export function exact(units, m) {
	return String(Number((m / units.size).toFixed(9))) + units.unit;
}

// fixed rounds to a number of decimals, a true half to the even digit.
export function fixed(v, decimals) {
	if (!Number.isFinite(v)) return none;
	const halves = Math.abs(v) * 2 ** (decimals + 1); // odd only for a true half
	if (halves % 2 !== 1) return v.toFixed(decimals).replace(/^-(?=0[.0]*$)/, '');
	const below = (BigInt(halves) * 5n ** BigInt(decimals) - 1n) / 2n;
	const digits = String(below + below % 2n).padStart(decimals + 1, '0');
	return (v < 0 && /[1-9]/.test(digits) ? '-' : '') + digits.slice(0, digits.length - decimals) + '.' + digits.slice(digits.length - decimals);
}
