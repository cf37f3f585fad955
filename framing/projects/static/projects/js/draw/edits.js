// What may be done to a floor document: each function takes one and returns a new one. Lengths that did not move
// stay as they were typed.

import { along, far, lies, minus, plus, pt, same, shared, times, whole } from "./geometry.js";
import { formatLength, lengthOf } from "./lengths.js";
import { ENDS, LISTS, pointOf, readPlan } from "./plan.js";

/** A pair for `p`; a coordinate that is where it was keeps its text. */
export function pairOf(p, units, old = null) {
  return [p.x, p.y].map((value, i) => (old && lengthOf(old[i], units) === value ? old[i] : formatLength(value, units)));
}

/** The document with the value at a path such as `openings.0.size.1`. */
export function setAt(doc, path, value) {
  const [step, ...rest] = path.split(".");
  const inner = rest.length ? setAt(doc[step] ?? {}, rest.join("."), value) : value;
  return Array.isArray(doc) ? doc.with(Number(step), inner) : { ...doc, [step]: inner };
}

export const getAt = (doc, path) => path.split(".").reduce((value, step) => value?.[step], doc);

/** A short id that no entry of the list has: W1, W2, ... */
export function freeId(list, letter) {
  const taken = new Set((list || []).map((entry) => entry.id));
  let number = 1;
  while (taken.has(`${letter}${number}`)) number += 1;
  return `${letter}${number}`;
}

export const add = (doc, list, entry) => ({ ...doc, [list]: [...(doc[list] || []), entry] });

// Places: one way to move, mirror and turn whatever there is -------------------------------------------

/** The fields that put an entry of a list at some points. */
export function placed(list, points, units, old = {}) {
  if (list === "openings") {
    const [a, b] = points;
    const corner = pt(Math.min(a.x, b.x), Math.min(a.y, b.y));
    const size = pt(Math.abs(b.x - a.x), Math.abs(b.y - a.y));
    return { corner: pairOf(corner, units, old.corner), size: pairOf(size, units, old.size) };
  }
  if (list === "bays") return points.length ? { outline: points.map((p, i) => pairOf(p, units, old.outline?.[i])) } : {};
  return Object.fromEntries(ENDS[list].map((field, i) => [field, pairOf(points[i], units, old[field])]));
}

/** The document with the places of things through `fn`; `goes` says by key which ones. */
export function mapPlaces(doc, fn, goes = () => true) {
  const { units } = doc;
  const result = { ...doc };
  for (const { key, list, index, entry, points } of readPlan(doc).things) {
    if (list === "wall" || !goes(key)) continue;
    const moved = points.map(fn);
    const value = list === "outline" ? pairOf(moved[0], units, entry) : { ...entry, ...placed(list, moved, units, entry) };
    result[list] = result[list].with(index, value);
  }
  return result;
}

// Outline --------------------------------------------------------------------------------------------

export const setOutline = (doc, points) => ({ ...doc, outline: points.map((p) => pairOf(p, doc.units)), edges: [] });

/** A new corner on wall `wall`; both halves keep the wall's kind. */
export function insertCorner(doc, wall, p) {
  const edges = (doc.edges || []).flatMap((entry) => {
    if (entry.edge > wall) return [{ ...entry, edge: entry.edge + 1 }];
    return entry.edge === wall ? [entry, { ...entry, edge: wall + 1 }] : [entry];
  });
  return { ...doc, outline: doc.outline.toSpliced(wall + 1, 0, pairOf(p, doc.units)), edges };
}

export function removeCorner(doc, index) {
  const edges = (doc.edges || []).filter((entry) => entry.edge !== index)
    .map((entry) => (entry.edge > index ? { ...entry, edge: entry.edge - 1 } : entry));
  return { ...doc, outline: doc.outline.toSpliced(index, 1), edges };
}

export function setWall(doc, index, patch) {
  const old = (doc.edges || []).find((entry) => entry.edge === index) ?? { edge: index, kind: null, width: null };
  const rest = (doc.edges || []).filter((entry) => entry.edge !== index);
  const entry = { ...old, ...patch };
  const kept = entry.kind || entry.width ? [...rest, entry] : rest;
  return { ...doc, edges: kept.sort((a, b) => a.edge - b.edge) };
}

/** Move corners to new places; what ended on a wall that moves square to itself goes along, `still` things don't. */
function moveCorners(doc, moved, still = new Set()) {
  const { units } = doc;
  const shifts = readPlan(doc).walls.flatMap(({ a, b, index, next }) => {
    const [c, d] = [moved.get(index) ?? a, moved.get(next) ?? b];
    const axis = shared(a, b);
    return axis && shared(c, d) === axis && a[axis] !== c[axis] ? [{ a, b, by: along(axis, c[axis] - a[axis]) }] : [];
  });
  const follow = (p) => shifts.filter((wall) => lies(p, wall)).reduce((q, wall) => plus(q, wall.by), p);
  const outline = doc.outline.map((pair, i) => (moved.has(i) ? pairOf(moved.get(i), units, pair) : pair));
  return mapPlaces({ ...doc, outline }, follow, (key) => /^(supports|partitions|bays)/.test(key) && !still.has(key));
}

/** Move corner `index` to `to`; `square` keeps level and upright walls beside it so, by moving their other ends. */
export function moveCorner(doc, index, to, square = true) {
  const plan = readPlan(doc);
  const from = plan.at(`outline.${index}`);
  if (!from || same(from, to)) return doc;
  const moved = new Map([[index, to]]);
  for (const wall of square ? plan.walls : []) {
    if (wall.index !== index && wall.next !== index) continue;
    const [other, p] = wall.index === index ? [wall.next, wall.b] : [wall.index, wall.a];
    const axis = shared(wall.a, wall.b);
    if (axis && !same(wall.a, wall.b)) moved.set(other, { ...(moved.get(other) ?? p), [axis]: to[axis] });
  }
  return moveCorners(doc, moved);
}

/** Give a wall a length by moving its end (or its start), and the walls beside it as a corner drag would. */
export function setWallLength(doc, index, length, moveStart = false) {
  const wall = readPlan(doc).at(`wall.${index}`);
  if (!wall) return doc;
  return moveStart ? moveCorner(doc, index, stretched(wall.b, wall.a, length)) : moveCorner(doc, wall.next, stretched(wall.a, wall.b, length));
}

/** The place that lies `length` from a towards b. */
export const stretched = (a, b, length) => whole(plus(a, times(minus(b, a), length / (far(a, b) || 1))));

// Everything else ------------------------------------------------------------------------------------

/** Keys of the things that can be moved, copied or turned by themselves. */
export const loose = (keys) => keys.filter((key) => /^(supports|openings|partitions|point_loads)\./.test(key));

/** Move the things of `keys` by the same way; one corner alone and walls keep their neighbours square. */
export function shift(doc, keys, by) {
  if (!by.x && !by.y) return doc;
  const plan = readPlan(doc);
  const go = (p) => plus(p, by);
  const ring = keys.map(plan.at).filter((thing) => thing?.list === "outline" || thing?.list === "wall");
  if (keys.length === 1 && ring[0]?.list === "outline") return moveCorner(doc, ring[0].index, go(ring[0]));
  const ends = ring.flatMap((thing) => (thing.list === "wall" ? [thing.index, thing.next] : [thing.index]));
  const moved = new Map(ends.map((i) => [i, go(plan.at(`outline.${i}`))]));
  if (moved.size > 2 && moved.size === doc.outline.length) return mapPlaces(doc, go);
  const own = new Set(loose(keys));
  return mapPlaces(moved.size ? moveCorners(doc, moved, own) : doc, go, (key) => own.has(key));
}

/** Take things away. A bay that is left alone becomes the whole floor; fixed plies of what goes, go too. */
export function remove(doc, keys) {
  const gone = (list) => keys.filter((key) => key.startsWith(`${list}.`)).map((key) => Number(key.split(".")[1]));
  let result = doc;
  const ids = new Set();
  for (const list of LISTS) {
    const out = new Set(gone(list));
    if (!out.size || (list === "bays" && out.size >= doc.bays.length)) continue;
    for (const index of out) ids.add(doc[list][index]?.id);
    result = { ...result, [list]: doc[list].filter((_, i) => !out.has(i)) };
  }
  if (result.bays?.length === 1 && doc.bays.length > 1) result = setAt(result, "bays.0.outline", null);
  for (const index of gone("outline").sort((a, b) => b - a)) result = removeCorner(result, index);
  const plies = doc.overrides?.plies ?? [];
  const left = plies.filter((entry) => !ids.has(entry.of));
  return left.length < plies.length ? setAt(result, "overrides.plies", left) : result;
}
