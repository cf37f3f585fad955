// The floor document read for drawing: positions in whole sixteenths, what can't be read left out. Everything that is
// drawn is a thing: {key, list, index, entry, points} and what its kind has besides.

import { bounds, far, inBox, inside, lies, mid, nearest, plus, pt, shared, sides } from "./geometry.js";
import { lengthOf } from "./lengths.js";

export const LISTS = ["supports", "openings", "partitions", "point_loads", "bays"];

/** Where the places of an entry stand; openings have a corner and a size, bays a ring. */
export const ENDS = { supports: ["from", "to"], partitions: ["from", "to"], point_loads: ["at"] };

/** A pair of the document as a point, or null. */
export function pointOf(pair, units) {
  if (!Array.isArray(pair) || pair.length !== 2) return null;
  const [x, y] = pair.map((value) => lengthOf(value, units));
  return x === null || y === null ? null : pt(x, y);
}

/** What the places of an entry come to for drawing, or null where one can't be read. */
function shapeOf(list, entry, units) {
  const at = (pair) => pointOf(pair, units);
  if (list === "bays") {
    const ring = (entry.outline || []).map(at);
    return ring.length > 2 && ring.every(Boolean) ? { ring, points: ring } : { ring: null, points: [] };
  }
  const pairs = { outline: [entry], openings: [entry.corner, entry.size] }[list] ?? ENDS[list].map((field) => entry[field]);
  const points = pairs.map(at);
  if (!points.every(Boolean)) return null;
  const [a, b] = points;
  if (list === "outline") return { ...a, points };
  if (list !== "openings") return { a, b, points, width: lengthOf(entry.width, units) };
  const high = plus(a, b);
  return { low: a, high, size: b, points: [a, high] };
}

const read = (doc, list) => (doc[list] || []).flatMap((entry, index) => {
  const shape = shapeOf(list, entry, doc.units);
  return shape ? [{ key: `${list}.${index}`, list, index, entry, ...shape }] : [];
});

const kept = new WeakMap();

/** Everything that can be drawn of a document. Corners keep their index; an unreadable one is left out. */
export function readPlan(doc) {
  if (!kept.has(doc)) kept.set(doc, fresh(doc));
  return kept.get(doc);
}

function fresh(doc) {
  const [corners, supports, openings, partitions, spots, bays] = ["outline", ...LISTS].map((list) => read(doc, list));
  const walls = corners.length < 2 ? [] : sides(corners).map(({ a, b }) => ({
    key: `wall.${a.index}`, list: "wall", index: a.index, next: b.index, a: pt(a.x, a.y), b: pt(b.x, b.y), points: [a, b],
  }));
  const things = [...corners, ...walls, ...supports, ...openings, ...partitions, ...spots, ...bays];
  const known = new Map(things.map((thing) => [thing.key, thing]));
  return { units: doc.units, corners, walls, supports, openings, partitions, spots, bays, things, lines: [...supports, ...partitions], at: (key) => known.get(key) };
}

/** Low and high corner of all that is drawn, or of the things of `keys`; null where there is nothing. */
export function extent(plan, keys = null) {
  const shown = keys ? keys.map(plan.at).filter(Boolean) : plan.things.filter((thing) => thing.list !== "bays");
  return bounds(shown.flatMap((thing) => thing.points));
}

/** Sides of a bay that lie inside the floor. */
export function bordersOf(plan, bay) {
  return sides(bay.ring ?? []).filter(({ a, b }) => !plan.walls.some((wall) => lies(mid(a, b), wall)));
}

/** What edge `index` does where the document does not say: beside the joists of one bay, else a bearing. */
export function wallKind(doc, plan, index, drawn) {
  const told = (doc.edges || []).find((entry) => entry.edge === index)?.kind ?? drawn?.edges?.find((edge) => edge.index === index)?.kind;
  if (told) return told;
  const wall = plan.at(`wall.${index}`);
  const beside = { y: "x", x: "y" }[doc.bays?.length === 1 ? doc.bays[0].direction : ""];
  return wall && beside && shared(wall.a, wall.b) === beside ? "parallel" : "platform";
}

/** The nearest of some things within `reach`, with how far each is. */
function closest(things, reach, distance) {
  const found = things.map((thing) => ({ thing, d: distance(thing) })).sort((a, b) => a.d - b.d)[0];
  return found && found.d <= reach ? found.thing : null;
}

/** The thing at `p` within `reach`: corners and ends first, then lines, openings, walls; borders of a chosen bay before lines. */
export function pick(plan, p, reach, chosen = new Set()) {
  const to = (line) => nearest(p, line.a, line.b).distance;
  const hit = (thing, part, more) => thing && { key: thing.key, part, ...more };
  const ends = plan.lines.flatMap((line) => ["a", "b"].map((part) => ({ key: line.key, part, at: line[part] })));
  const borders = plan.bays.flatMap((bay) => bordersOf(plan, bay).map((border) => ({ key: bay.key, border, ...border })));
  const border = (some) => {
    const found = closest(some, reach, to);
    return hit(found, "border", { border: found?.border });
  };
  const end = closest(ends, reach, (one) => far(one.at, p));
  return hit(closest(plan.corners, reach, (c) => far(c, p)), "corner")
    ?? hit(closest(plan.spots, reach, (spot) => far(spot.a, p)), "spot")
    ?? hit(end, end?.part)
    ?? border(borders.filter((one) => chosen.has(one.key)))
    ?? hit(closest(plan.lines, reach, (line) => to(line) - (line.width || 0) / 2), "line")
    ?? hit(plan.openings.find((o) => inBox(p, o)), "box")
    ?? border(borders)
    ?? hit(closest(plan.walls, reach, to), "wall");
}

/** The bay whose drawn ring holds `p`, or the one that is the whole floor. */
export function bayAt(plan, p) {
  if (!inside(p, plan.corners)) return null;
  return plan.bays.find((bay) => bay.ring && inside(p, bay.ring)) ?? plan.bays.find((bay) => !bay.ring) ?? null;
}

/** Keys of all things that lie wholly in a box; walls go by their corners. */
export function within(plan, box) {
  const held = plan.things.filter(({ list, points }) => !["wall", "bays"].includes(list) && points.every((p) => inBox(p, box)));
  return held.map((thing) => thing.key);
}

/** Keys of things that reach out of the outline. */
export function outside(plan) {
  const out = (p) => !inside(p, plan.corners) && !plan.walls.some((wall) => lies(p, wall));
  return plan.things.filter((thing) => LISTS.includes(thing.list) && thing.points.some(out)).map((thing) => thing.key);
}

/** Whether a key still names something. */
export function exists(doc, key) {
  const [list, index] = key.split(".");
  return Number(index) < (list === "wall" ? doc.outline : doc[list] || []).length;
}
