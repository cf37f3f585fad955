const LONGEST = 10000n * 192n;
const LONGEST_TEXT = 40;
const PLAIN = [[/[½¼¾⅛⅜⅝⅞]/g, (sign) => ` ${sign.normalize("NFKC")}`], [/[′’‘´`ʹ]/g, "'"], [/[″”“„ʺ]/g, '"'], [/[‐‑–—−]/g, "-"], [/[⁄∕]/g, "/"], [/[\u00a0\u2009\u202f\t ]+/g, " "], [/- /g, "-"]];
const NUMBER = "(?:[0-9]+(?:\\.[0-9]+)?|\\.[0-9]+)";
const PART = "[0-9]+ ?/ ?[0-9]+";
const FOOT = "(?:'|feet|foot|ft\\.?)";
const INCH = "(?:\"|''|inches|inch|in\\.?)";
const INCHES = `(?:(?<whole>${NUMBER})(?:[ -] ?(?<part>${PART}))?|(?<only>${PART}))`;
const form = (source, flags = "i") => new RegExp(`^(?:${source})$`, flags);
const METRIC = form(`(?<value>${NUMBER}) ?(?<unit>mm|m)`);
const FEET = form(`(?<feet>${NUMBER}) ?${FOOT}(?: ?-? ?${INCHES} ?${INCH}?)?`);
const DASHED = form(`(?<feet>[0-9]+)-(?<whole>[0-9]+)(?:[ -](?<part>${PART}))?${INCH}?`, "");
const MARKED = form(`${INCHES} ?${INCH}`);
const BARE = form(INCHES);
const TAPE = [2n, 4n, 8n, 16n, 32n, 64n];
const WHY = [
	[/(?![0-9])[\p{Nd}²³¹⁰-⁹₀-₉]/u, "use the digits 0 to 9."],
	[/,/, "write decimals with a point and thousands without a sign."],
	[/^-/, "it has two minus signs."],
	[/^[^0-9]*$/, "it has no number."],
	[/[^0-9 ./'"\-a-zA-Z]/, "it has a sign that lengths don't use."],
	[/[a-zA-Z]/, "units are ', ft, \", in, mm and m."],
	[/^/, "write it like 12' 6 3/8\", 12-6-3/8, 150.375, 3.81 m or 3810 mm."],
];

export class Unreadable extends Error {}

const refuse = (why) => { throw new Unreadable(why); };

/** Read a length as whole sixteenths; throws Unreadable. `units` decide only what a bare number means. */
export function parseLength(text, units, { negative = false } = {}) {
	const signs = [...text];
	if (signs.length > LONGEST_TEXT) refuse(`“${signs.slice(0, LONGEST_TEXT).join("")}…” is not a length: it is longer than ${LONGEST_TEXT} signs.`);
	const plain = PLAIN.reduce((said, [from, to]) => said.replace(from, to), text).trim();
	const minus = plain.startsWith("-");
	try {
		if (minus && !negative) refuse("a length can't be negative.");
		const [n, d] = read(minus ? plain.slice(1).trimStart() : plain, units);
		if (n > LONGEST * d) refuse("it is longer than 10,000 ft.");
		// Halves go up, so of negative lengths towards zero; BigInt drops what is over, so the bounds are told apart.
		return Number(minus ? -((2n * n + d - 1n) / (2n * d)) : (2n * n + d) / (2n * d)) + 0;
	} catch (error) {
		if (error instanceof Unreadable) error.message = `“${text}” is not a length: ${error.message}`;
		throw error;
	}
}

/** What a document holds (a text or a number) as sixteenths, or null where it can't be read. */
export function lengthOf(value, units) {
	if (value === null || value === undefined) return null;
	const text = typeof value === "number" ? value.toFixed(12).replace(/\.?0+$/, "") : String(value);
	try {
		return parseLength(text, units, { negative: true });
	} catch {
		return null;
	}
}

/** Write sixteenths for people: 12'-6 3/8", under a foot 3/8"; metric as whole millimetres. */
export function formatLength(length, units) {
	if (units === "metric") return `${Math.floor((length * 254) / 160 + 0.5)} mm`;
	const size = Math.abs(length);
	const [feet, inches] = [Math.floor(size / 192), Math.floor(size / 16) % 12];
	let [over, under] = [size % 16, 16];
	while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
	const part = over ? `${over}/${under}` : "";
	const said = inches || feet || !part ? `${inches}${part && ` ${part}`}` : part;
	return `${length < 0 ? "-" : ""}${feet ? `${feet}'-` : ""}${said}"`;
}

/** A plain text as sixteenths, exactly: [numerator, denominator]. */
function read(body, units) {
	if (!body) refuse("nothing was typed.");
	const [metric, feet, dashed, marked, bare] = [METRIC, FEET, DASHED, MARKED, BARE].map((one) => one.exec(body)?.groups);
	if (metric) {
		const [n, d] = decimal(metric.value);
		return [n * 160n * (metric.unit.toLowerCase() === "m" ? 1000n : 1n), d * 254n];
	}
	if (feet) return feetAndInches(feet);
	if (dashed) {
		if (units === "metric" && !dashed.part) refuse("two numbers with a dash mean feet and inches; write 3810 mm, 3.81 m or 12' 6\".");
		return feetAndInches(dashed);
	}
	if (marked) return sixteenths(marked);
	if (!bare) refuse(WHY.find(([form]) => form.test(body))[1]);
	if (units !== "metric") {
		if (bare.part && body.includes("-")) refuse("it could be feet or inches; write 12' 0 3/8\" or 12 3/8\".");
		return sixteenths(bare);
	}
	if (bare.part || bare.only) refuse('a bare number is in millimetres, which take no fraction; add " for inches.');
	const [n, d] = decimal(bare.whole);
	return [n * 160n, d * 254n];
}

function decimal(text) {
	const [before, after = ""] = text.split(".");
	return [BigInt(before + after || "0"), 10n ** BigInt(after.length)];
}

function feetAndInches(groups) {
	const [feet, part] = decimal(groups.feet);
	const [n, d] = sixteenths(groups);
	if (n && feet % part) refuse("feet beside inches must be a whole number.");
	if (n >= 192n * d) refuse("inches beside feet must be under 12.");
	return [feet * 192n * d + n * part, d * part];
}

function sixteenths({ whole = "0", part, only = part }) {
	const [n, d] = decimal(whole);
	if (!only) return [16n * n, d];
	if (whole.includes(".")) refuse("a decimal and a fraction don't go together.");
	const [over, under] = only.replaceAll(" ", "").split("/").map(BigInt);
	if (!TAPE.includes(under)) refuse(`a tape has halves to sixty-fourths, no ${over}/${under}.`);
	if (over >= under) refuse(`${over}/${under} is no fraction under 1.`);
	return [16n * (n * under + over), under];
}

// --- moves, as they are typed while drawing ---

const WAYS = { "→": [1, 0], "←": [-1, 0], "↑": [0, 1], "↓": [0, -1], r: [1, 0], l: [-1, 0], u: [0, 1], d: [0, -1] }; // by first sign
const WAY = "(?<way>→|←|↑|↓|right|left|up|down|[rlud])";
const DIRECTED = [`(?<words>.*?)\\s*${WAY}`, `${WAY}\\s*(?<words>.+)`].map((form) => new RegExp(`^${form}$`, "i"));
const ANGLE = /^(.*?)\s*(?:at|@)\s*(-?[0-9]+(?:\.[0-9]+)?)\s*°?$/i;
const BY = /^(.+?)\s*(?:[x×]|by)\s*(.+)$/i;

/**
 * Read a move. Returns {dx, dy, size} in sixteenths (`size` where it was written as one length by another), or
 * {length} where no direction was typed. Throws Unreadable.
 */
export function readMove(text, units) {
	const said = text.trim();
	const size = BY.exec(said);
	if (size) return { dx: parseLength(size[1], units), dy: parseLength(size[2], units), size: true };
	const angle = ANGLE.exec(said);
	if (angle) {
		const [length, turn] = [parseLength(angle[1], units), (Number(angle[2]) * Math.PI) / 180];
		return { dx: Math.round(length * Math.cos(turn)), dy: Math.round(length * Math.sin(turn)) };
	}
	const parts = said.split(/[,;]/).map((part) => part.trim());
	if (parts.length > 2) throw new Unreadable(`“${said}” has more than two parts.`);
	const ways = parts.map((part) => (DIRECTED[0].exec(part) ?? DIRECTED[1].exec(part))?.groups);
	if (!ways.some(Boolean)) {
		if (parts.length === 1) return { length: parseLength(said, units) };
		const [dx, dy] = parts.map((part) => parseLength(part, units, { negative: true }));
		return { dx, dy };
	}
	const sum = { dx: 0, dy: 0 };
	ways.forEach((found, i) => {
		if (!found) throw new Unreadable(`“${parts[i]}” has no direction; add right, left, up or down.`);
		const [x, y] = WAYS[found.way[0].toLowerCase()];
		const length = parseLength(found.words, units);
		sum.dx += x * length;
		sum.dy += y * length;
	});
	return sum;
}
