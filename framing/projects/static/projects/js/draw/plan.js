import { bounds, far, inBox, inside, least, lies, mid, nearest, plus, pt, shared, sides } from "./geometry.js";
import { lengthOf } from "./lengths.js";

export const LISTS = ["supports", "openings", "partitions", "point_loads", "bays"];

/** The fields that hold the places of an entry; a corner is its own place, a bay has a ring. */
export const ENDS = { supports: ["from", "to"], partitions: ["from", "to"], point_loads: ["at"], openings: ["corner", "size"] };

export function pointOf(pair, units) {
	const values = Array.isArray(pair) && pair.length === 2 ? pair.map((value) => lengthOf(value, units)) : [null];
	return values.includes(null) ? null : pt(...values);
}

function shapeOf(list, entry, units) {
	const pairs = list === "outline" ? [entry] : list === "bays" ? entry.outline ?? [] : ENDS[list].map((field) => entry[field]);
	const points = pairs.map((pair) => pointOf(pair, units));
	const [a, b] = points;
	const ready = points.every(Boolean);
	if (list === "bays") return ready && points.length > 2 ? { ring: points, points } : { ring: null, points: [] };
	if (!ready) return null;
	if (list === "outline") return { ...a, points };
	return list === "openings" ? { low: a, high: plus(a, b), size: b, points: [a, plus(a, b)] } : { a, b, points, width: lengthOf(entry.width, units) };
}

function fresh(doc) {
	const [corners, supports, openings, partitions, spots, bays] = ["outline", ...LISTS].map((list) => (doc[list] ?? []).flatMap((entry, index) => {
		const shape = shapeOf(list, entry, doc.units);
		return shape ? [{ key: `${list}.${index}`, list, index, entry, ...shape }] : [];
	}));
	const walls = corners.length < 2 ? [] : sides(corners).map(({ a, b }) => ({
		key: `wall.${a.index}`, list: "wall", index: a.index, next: b.index, a: a.points[0], b: b.points[0], points: [a.points[0], b.points[0]],
	}));
	const things = [...corners, ...walls, ...supports, ...openings, ...partitions, ...spots, ...bays];
	const known = new Map(things.map((thing) => [thing.key, thing]));
	return { corners, walls, supports, openings, partitions, spots, bays, things, lines: [...supports, ...partitions], at: (key) => known.get(key) };
}

const kept = new WeakMap();

export function readPlan(doc) {
	if (!kept.has(doc)) kept.set(doc, fresh(doc));
	return kept.get(doc);
}

export function extent(plan, keys = null) {
	const shown = keys ? keys.map(plan.at).filter(Boolean) : plan.things.filter((thing) => thing.list !== "bays");
	return bounds(shown.flatMap((thing) => thing.points));
}

export const bordersOf = (plan, bay) => sides(bay.ring ?? []).filter(({ a, b }) => !plan.walls.some((wall) => lies(mid(a, b), wall)));

/** Where neither document nor answer says: beside the joists of one bay, else a bearing. */
export function wallKind(doc, plan, index, drawn) {
	const told = doc.edges?.find((entry) => entry.edge === index)?.kind ?? drawn?.edges?.find((edge) => edge.index === index)?.kind;
	const wall = plan.at(`wall.${index}`);
	const across = doc.bays?.length === 1 && { y: "x", x: "y" }[doc.bays[0].direction];
	return told ?? (wall && shared(wall) === across ? "parallel" : "platform");
}

/** What is at `p`, as {key, part}: points before lines before openings before walls; borders of a chosen bay before lines. */
export function pick(plan, p, reach, chosen = new Set()) {
	const to = (line) => nearest(p, line).distance;
	const from = ({ points }) => far(points[0], p);
	const hit = (part, things, distance) => {
		const found = least(things, distance, reach);
		return found && { part, ...found };
	};
	const ends = plan.lines.flatMap(({ key, points }) => points.map((end, i) => ({ key, part: "ab"[i], points: [end] })));
	const borders = plan.bays.flatMap((bay) => bordersOf(plan, bay).map((border) => ({ ...border, key: bay.key, border })));
	return hit("corner", plan.corners, from) ?? hit("spot", plan.spots, (spot) => from(spot) / 1.8) ?? hit("end", ends, from)
		?? hit("border", borders.filter(({ key }) => chosen.has(key)), to) ?? hit("line", plan.lines, (line) => to(line) - (line.width || 0) / 2)
		?? hit("box", plan.openings, (o) => (inBox(p, o) ? 0 : Infinity)) ?? hit("border", borders, to) ?? hit("wall", plan.walls, to);
}

export function bayAt({ bays, corners }, p) {
	return inside(p, corners) ? bays.find((bay) => bay.ring && inside(p, bay.ring)) ?? bays.find((bay) => !bay.ring) : null;
}

export function within(plan, box) {
	return plan.things.filter(({ list, points }) => list !== "wall" && list !== "bays" && points.every((p) => inBox(p, box))).map((thing) => thing.key);
}

export function outside({ things, corners, walls }) {
	const out = (p) => !inside(p, corners) && !walls.some((wall) => lies(p, wall));
	return things.filter(({ list, points }) => LISTS.includes(list) && points.some(out)).map((thing) => thing.key);
}

export function exists(doc, key) {
	const [list, index] = key.split(".");
	return Number(index) < (doc[list === "wall" ? "outline" : list] ?? []).length;
}
