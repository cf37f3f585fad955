import { area, cut, dot, inside, lies, mid, minus, plus, pt, times, whole } from "./geometry.js";
import { add, freeId, loose, mapPlaces, placed, setAt } from "./edits.js";
import { extent, readPlan } from "./plan.js";
import { sent } from "./send.js";

export function copy(doc, keys, by) {
	const made = [];
	let result = doc;
	for (const { list, entry, points } of loose(keys).map(readPlan(doc).at).filter(Boolean)) {
		const id = freeId(result[list], /^\D*/.exec(entry.id)[0] || "N");
		made.push(`${list}.${result[list].length}`);
		result = add(result, list, { ...entry, ...placed(list, points.map((p) => plus(p, by)), doc.units), id });
	}
	return { doc: result, keys: made };
}

function changed(doc, keys, fnOf) {
	const some = loose(keys);
	const { low, high } = extent(readPlan(doc), some);
	return mapPlaces(doc, fnOf(low, high), (key) => some.includes(key));
}

export const mirror = (doc, keys) => changed(doc, keys, (low, high) => (p) => pt(low.x + high.x - p.x, p.y));

/** A quarter to the left about their middle. */
export const turn = (doc, keys) => changed(doc, keys, (low, high) => {
	const c = mid(low, high);
	return (p) => whole(pt(c.x - p.y + c.y, c.y + p.x - c.x));
});

/** The whole floor after a "mirror", a "turn" or in other units, which the server works out. Throws in words. */
export async function wholly({ urls }, document, change) {
	const answer = await sent(urls.change, { document, change });
	if (answer?.status === 200) return answer.body.document;
	throw new Error(answer?.body.message ?? "Not connected; try again when the line is back.");
}

/** Cut the bay under the line's middle in two, alike but for their rings; null where it can't be cut. */
export function splitBay(doc, a, b) {
	const { bays, corners } = readPlan(doc);
	const bay = bays.find(({ ring }) => ring && inside(mid(a, b), ring)) ?? bays.find(({ ring }) => !ring);
	const rings = bay && corners.length === doc.outline.length ? cut(bay.ring ?? corners, a, b) : null;
	if (!rings) return null;
	const [first, second] = rings.sort((one, two) => Math.abs(area(two)) - Math.abs(area(one))).map((ring) => placed("bays", ring, doc.units));
	const ids = doc.bays.map((entry) => entry.id);
	const id = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((letter) => !ids.includes(letter)) ?? freeId(doc.bays, "Z");
	return add(setAt(doc, `bays.${bay.index}`, { ...bay.entry, ...first }), "bays", { ...bay.entry, id, ...second });
}

/** Move a border of bays square to itself by `by`; its ends slide along the sides that meet it. */
export function moveBorder(doc, border, by) {
	const slid = (p, rail) => {
		const way = rail ? minus(p, rail) : by;
		return dot(way, by) ? whole(plus(p, times(way, dot(by, by) / dot(way, by)))) : plus(p, by);
	};
	const bays = readPlan(doc).bays.map(({ entry, points }) => {
		const beside = (i) => [points.at(i - 1), points[(i + 1) % points.length]].find((q) => !lies(q, border));
		return { ...entry, ...placed("bays", points.map((p, i) => (lies(p, border) ? slid(p, beside(i)) : p)), doc.units, entry) };
	});
	return { ...doc, bays };
}
