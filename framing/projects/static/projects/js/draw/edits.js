import { along, far, lies, minus, plus, pt, same, shared, times, whole } from "./geometry.js";
import { formatLength, lengthOf } from "./lengths.js";
import { ENDS, LISTS, readPlan } from "./plan.js";

export function pairOf(p, units, old = null) {
	return [p.x, p.y].map((value, i) => (old && lengthOf(old[i], units) === value ? old[i] : formatLength(value, units)));
}

/** Paths are such as `openings.0.size.1`. */
export function setAt(doc, path, value) {
	const [step, ...rest] = path.split(".");
	const inner = rest.length ? setAt(doc[step] ?? {}, rest.join("."), value) : value;
	return Array.isArray(doc) ? doc.with(Number(step), inner) : { ...doc, [step]: inner };
}

export const getAt = (doc, path) => path.split(".").reduce((value, step) => value?.[step], doc);

export function freeId(list, letter) {
	const taken = new Set(list?.map((entry) => entry.id));
	let number = 1;
	while (taken.has(`${letter}${number}`)) number += 1;
	return `${letter}${number}`;
}

export const add = (doc, list, entry) => ({ ...doc, [list]: [...(doc[list] ?? []), entry] });

/** The fields that put an entry at some points. */
export function placed(list, points, units, old = {}) {
	if (list === "bays") return points.length ? { outline: points.map((p, i) => pairOf(p, units, old.outline?.[i])) } : {};
	const [a, b] = points;
	const box = () => [pt(Math.min(a.x, b.x), Math.min(a.y, b.y)), pt(Math.abs(b.x - a.x), Math.abs(b.y - a.y))];
	const places = list === "openings" ? box() : points;
	return Object.fromEntries(ENDS[list].map((field, i) => [field, pairOf(places[i], units, old[field])]));
}

/** The document with the places of things through `fn`; `goes` says by key which ones. */
export function mapPlaces(doc, fn, goes = () => true) {
	const result = { ...doc };
	for (const { key, list, index, entry, points } of readPlan(doc).things) {
		if (list === "wall" || !goes(key)) continue;
		const moved = points.map(fn);
		result[list] = result[list].with(index, list === "outline" ? pairOf(moved[0], doc.units, entry) : { ...entry, ...placed(list, moved, doc.units, entry) });
	}
	return result;
}

export const setOutline = (doc, points) => ({ ...doc, outline: points.map((p) => pairOf(p, doc.units)), edges: [] });

export function insertCorner(doc, wall, p) {
	const edges = (doc.edges ?? []).flatMap((entry) => {
		const next = { ...entry, edge: entry.edge + 1 };
		return entry.edge < wall ? [entry] : entry.edge > wall ? [next] : [entry, next];
	});
	return { ...doc, outline: doc.outline.toSpliced(wall + 1, 0, pairOf(whole(p), doc.units)), edges };
}

export function removeCorner(doc, index) {
	const edges = (doc.edges ?? []).filter(({ edge }) => edge !== index).map((entry) => ({ ...entry, edge: entry.edge - Number(entry.edge > index) }));
	return { ...doc, outline: doc.outline.toSpliced(index, 1), edges };
}

export function setWall(doc, index, patch) {
	const [own, rest] = [true, false].map((mine) => (doc.edges ?? []).filter(({ edge }) => (edge === index) === mine));
	const entry = { edge: index, kind: null, width: null, ...own[0], ...patch };
	return { ...doc, edges: (entry.kind || entry.width ? [...rest, entry] : rest).sort((a, b) => a.edge - b.edge) };
}

/** What ended on a wall that moves square to itself goes along, `still` things don't. */
function moveCorners(doc, moved, still = new Set()) {
	const shifts = readPlan(doc).walls.flatMap((wall) => {
		const now = { a: moved.get(wall.index) ?? wall.a, b: moved.get(wall.next) ?? wall.b };
		const axis = shared(wall);
		return axis && shared(now) === axis && now.a[axis] !== wall.a[axis] ? [{ wall, by: along(axis, now.a[axis] - wall.a[axis]) }] : [];
	});
	const follow = (p) => shifts.filter(({ wall }) => lies(p, wall)).reduce((q, { by }) => plus(q, by), p);
	const outline = doc.outline.map((pair, i) => (moved.has(i) ? pairOf(moved.get(i), doc.units, pair) : pair));
	return mapPlaces({ ...doc, outline }, follow, (key) => /^(supports|partitions|bays)/.test(key) && !still.has(key));
}

/** `square` keeps level and upright walls beside the corner so, by moving their other ends. */
export function moveCorner(doc, index, to, square = true) {
	const plan = readPlan(doc);
	const from = plan.at(`outline.${index}`);
	if (!from || same(from, to)) return doc;
	const moved = new Map([[index, to]]);
	for (const wall of plan.walls.filter((one) => square && [one.index, one.next].includes(index))) {
		const [other, p] = wall.index === index ? [wall.next, wall.b] : [wall.index, wall.a];
		const axis = shared(wall);
		if (axis) moved.set(other, { ...(moved.get(other) ?? p), [axis]: to[axis] });
	}
	return moveCorners(doc, moved);
}

export function setWallLength(doc, index, length, moveStart = false) {
	const wall = readPlan(doc).at(`wall.${index}`);
	if (!wall) return doc;
	const [still, goes, corner] = moveStart ? [wall.b, wall.a, index] : [wall.a, wall.b, wall.next];
	return moveCorner(doc, corner, stretched(still, goes, length));
}

export const stretched = (a, b, length) => whole(plus(a, times(minus(b, a), length / (far(a, b) || 1))));

export const loose = (keys) => keys.filter((key) => /^(supports|openings|partitions|point_loads)\./.test(key));

/** One corner alone and walls keep their neighbours square. */
export function shift(doc, keys, by) {
	if (!by.x && !by.y) return doc;
	const plan = readPlan(doc);
	const go = (p) => plus(p, by);
	const ring = keys.map(plan.at).filter((thing) => thing?.list === "outline" || thing?.list === "wall");
	if (keys.length === 1 && ring[0]?.list === "outline") return moveCorner(doc, ring[0].index, go(ring[0]));
	const moved = new Map(ring.flatMap(({ index, next, points: [a, b] }) => [[index, go(a)], ...(b ? [[next, go(b)]] : [])]));
	if (moved.size > 2 && moved.size === doc.outline.length) return mapPlaces(doc, go);
	const own = new Set(loose(keys));
	return mapPlaces(moved.size ? moveCorners(doc, moved, own) : doc, go, (key) => own.has(key));
}

export function remove(doc, keys) {
	const gone = new Set(keys);
	const ids = new Set();
	let result = doc;
	for (const list of LISTS) {
		const left = (doc[list] ?? []).filter((_, i) => !gone.has(`${list}.${i}`));
		if (left.length === (doc[list]?.length ?? 0) || (list === "bays" && !left.length)) continue;
		for (const entry of doc[list]) if (!left.includes(entry)) ids.add(entry.id);
		result = { ...result, [list]: left };
	}
	if (result.bays?.length === 1 && doc.bays.length > 1) result = setAt(result, "bays.0.outline", null);
	for (let i = doc.outline.length - 1; i >= 0; i -= 1) if (gone.has(`outline.${i}`)) result = removeCorner(result, i);
	const plies = doc.overrides?.plies ?? [];
	const left = plies.filter((entry) => !ids.has(entry.of));
	return left.length < plies.length ? setAt(result, "overrides.plies", left) : result;
}
