// What may be done to a floor document: each function takes one and returns a new one. Lengths that did not move
// stay as they were typed.

import { far, minus, nearest, plus, pt, same } from "./geometry.js";
import { formatLength, lengthOf } from "./lengths.js";
import { pointOf } from "./plan.js";

const put = (list, index, value) => list.map((old, i) => (i === index ? value : old));

/** A pair for `p`; a coordinate that is where it was keeps its text. */
export function pairOf(p, units, old = null) {
  return [p.x, p.y].map((value, i) => (old && lengthOf(old[i], units) === value ? old[i] : formatLength(value, units)));
}

/** The document with the value at a path such as `openings.0.size.1`. */
export function setAt(doc, path, value) {
  const [step, ...rest] = path.split(".");
  const key = Array.isArray(doc) ? Number(step) : step;
  const inner = rest.length ? setAt(doc[key] ?? {}, rest.join("."), value) : value;
  return Array.isArray(doc) ? put(doc, key, inner) : { ...doc, [key]: inner };
}

export function getAt(doc, path) {
  return path.split(".").reduce((value, step) => value?.[step], doc);
}

/** A short id that no entry of the list has: W1, W2, ... */
export function freeId(list, letter) {
  const taken = new Set((list || []).map((entry) => entry.id));
  let number = 1;
  while (taken.has(`${letter}${number}`)) number += 1;
  return `${letter}${number}`;
}

export function add(doc, list, entry) {
  return { ...doc, [list]: [...(doc[list] || []), entry] };
}

// Outline --------------------------------------------------------------------------------------------

export function setOutline(doc, points) {
  return { ...doc, outline: points.map((p) => pairOf(p, doc.units)), edges: [] };
}

export function addCorner(doc, p) {
  return { ...doc, outline: [...doc.outline, pairOf(p, doc.units)] };
}

/** A new corner on wall `wall`; both halves keep the wall's kind. */
export function insertCorner(doc, wall, p) {
  const outline = [...doc.outline];
  outline.splice(wall + 1, 0, pairOf(p, doc.units));
  const edges = (doc.edges || []).flatMap((entry) => {
    if (entry.edge > wall) return [{ ...entry, edge: entry.edge + 1 }];
    return entry.edge === wall ? [entry, { ...entry, edge: wall + 1 }] : [entry];
  });
  return { ...doc, outline, edges };
}

export function removeCorner(doc, index) {
  const outline = doc.outline.filter((_, i) => i !== index);
  const edges = (doc.edges || []).filter((entry) => entry.edge !== index)
    .map((entry) => (entry.edge > index ? { ...entry, edge: entry.edge - 1 } : entry));
  return { ...doc, outline, edges };
}

export function setWall(doc, index, patch) {
  const old = (doc.edges || []).find((entry) => entry.edge === index) ?? { edge: index, kind: null, width: null };
  const rest = (doc.edges || []).filter((entry) => entry.edge !== index);
  const entry = { ...old, ...patch };
  const kept = entry.kind || entry.width ? [...rest, entry] : rest;
  return { ...doc, edges: kept.sort((a, b) => a.edge - b.edge) };
}

/** Move corners to new places; what ended on a wall that moves square to itself goes along with it. */
function moveCorners(doc, moved) {
  const { units } = doc;
  const before = doc.outline.map((pair) => pointOf(pair, units));
  const after = before.map((p, i) => moved.get(i) ?? p);
  const shifts = before.flatMap((a, i) => {
    const j = (i + 1) % before.length;
    const [b, c, d] = [before[j], after[i], after[j]];
    if (!a || !b || same(a, c) || same(b, d)) return [];
    const level = a.y === b.y && c.y === d.y && a.y !== c.y;
    const upright = a.x === b.x && c.x === d.x && a.x !== c.x;
    return level || upright ? [{ a, b, by: level ? pt(0, c.y - a.y) : pt(c.x - a.x, 0) }] : [];
  });
  const along = (p) => p && shifts.filter((s) => nearest(p, s.a, s.b).distance < 1e-6)
    .reduce((q, s) => plus(q, s.by), p);
  const outline = doc.outline.map((pair, i) => (moved.has(i) ? pairOf(moved.get(i), units, pair) : pair));
  return followWalls({ ...doc, outline }, along);
}

function followWalls(doc, along) {
  const pair = (old) => {
    const p = pointOf(old, doc.units);
    return p ? pairOf(along(p), doc.units, old) : old;
  };
  const lines = (list) => (list || []).map((entry) => ({ ...entry, from: pair(entry.from), to: pair(entry.to) }));
  const bays = (doc.bays || []).map((bay) => (bay.outline ? { ...bay, outline: bay.outline.map(pair) } : bay));
  return { ...doc, supports: lines(doc.supports), partitions: lines(doc.partitions), bays };
}

/** Move corner `index` to `to`; `square` keeps level and upright walls beside it so, by moving their other ends. */
export function moveCorner(doc, index, to, square = true) {
  const count = doc.outline.length;
  const points = doc.outline.map((pair) => pointOf(pair, doc.units));
  const from = points[index];
  const moved = new Map([[index, to]]);
  if (!from || same(from, to)) return doc;
  for (const other of square ? [(index + count - 1) % count, (index + 1) % count] : []) {
    const p = points[other];
    if (p && p.y === from.y && p.x !== from.x) moved.set(other, pt(moved.get(other)?.x ?? p.x, to.y));
    else if (p && p.x === from.x && p.y !== from.y) moved.set(other, pt(to.x, moved.get(other)?.y ?? p.y));
  }
  return moveCorners(doc, moved);
}

/** Move a wall as a whole. */
export function moveWall(doc, index, by) {
  const next = (index + 1) % doc.outline.length;
  const ends = [index, next].map((i) => [i, pointOf(doc.outline[i], doc.units)]);
  if (ends.some(([, p]) => !p) || (!by.x && !by.y)) return doc;
  return moveCorners(doc, new Map(ends.map(([i, p]) => [i, plus(p, by)])));
}

/** Give a wall a length by moving its end (or its start), and the walls beside it as a corner drag would. */
export function setWallLength(doc, index, length, moveStart = false) {
  const next = (index + 1) % doc.outline.length;
  const [still, goes] = moveStart ? [next, index] : [index, next];
  const [a, b] = [still, goes].map((i) => pointOf(doc.outline[i], doc.units));
  return a && b ? moveCorner(doc, goes, stretched(a, b, length)) : doc;
}

export function stretched(a, b, length) {
  const now = far(a, b) || 1;
  const d = minus(b, a);
  return pt(Math.round(a.x + (d.x / now) * length), Math.round(a.y + (d.y / now) * length));
}

// Everything else ------------------------------------------------------------------------------------

/** Each point of an entry through `fn`. */
export function mapEntry(list, entry, fn, units) {
  const pair = (old) => {
    const p = pointOf(old, units);
    return p ? pairOf(fn(p), units, old) : old;
  };
  if (list === "bays") return entry.outline ? { ...entry, outline: entry.outline.map(pair) } : entry;
  if (list !== "openings") return { ...entry, from: pair(entry.from), to: pair(entry.to) };
  const [low, size] = [pointOf(entry.corner, units), pointOf(entry.size, units)];
  if (!low || !size) return entry;
  const [a, b] = [fn(low), fn(plus(low, size))];
  const [x, y] = [Math.min(a.x, b.x), Math.min(a.y, b.y)];
  const corner = pairOf(pt(x, y), units, entry.corner);
  return { ...entry, corner, size: pairOf(pt(Math.abs(b.x - a.x), Math.abs(b.y - a.y)), units, entry.size) };
}

/** Move the things of `keys` by the same way; walls and corners keep their neighbours square. */
export function shift(doc, keys, by) {
  if (!by.x && !by.y) return doc;
  const corners = keys.filter((key) => key.startsWith("outline."));
  if (corners.length === doc.outline.length && corners.length > 2) return mapAll(doc, (p) => plus(p, by));
  let result = doc;
  for (const key of keys) {
    const [list, text] = key.split(".");
    const index = Number(text);
    if (list === "outline") {
      const p = pointOf(result.outline[index], doc.units);
      if (p) result = moveCorner(result, index, plus(p, by), keys.length === 1);
    } else if (list === "wall") result = moveWall(result, index, by);
    else result = setAt(result, key, mapEntry(list, result[list][index], (p) => plus(p, by), doc.units));
  }
  return result;
}

/** The whole floor through `fn`. */
export function mapAll(doc, fn) {
  const outline = doc.outline.map((old) => {
    const p = pointOf(old, doc.units);
    return p ? pairOf(fn(p), doc.units, old) : old;
  });
  const lists = ["supports", "openings", "partitions", "bays"].map((list) => [
    list, (doc[list] || []).map((entry) => mapEntry(list, entry, fn, doc.units)),
  ]);
  return { ...doc, outline, ...Object.fromEntries(lists) };
}

/** Take things away. A bay that is left alone becomes the whole floor; fixed plies of what goes, go too. */
export function remove(doc, keys) {
  const gone = (list) => new Set(keys.filter((k) => k.startsWith(`${list}.`)).map((k) => Number(k.split(".")[1])));
  let result = doc;
  const ids = new Set();
  for (const list of ["supports", "openings", "partitions", "bays"]) {
    const out = gone(list);
    if (!out.size || (list === "bays" && out.size >= doc.bays.length)) continue;
    for (const index of out) ids.add(doc[list][index]?.id);
    result = { ...result, [list]: doc[list].filter((_, i) => !out.has(i)) };
  }
  if (result.bays?.length === 1 && doc.bays.length > 1) result = setAt(result, "bays.0.outline", null);
  for (const index of [...gone("outline")].sort((a, b) => b - a)) result = removeCorner(result, index);
  const plies = doc.overrides?.plies?.filter((entry) => !ids.has(entry.of));
  return plies && plies.length !== doc.overrides.plies.length ? setAt(result, "overrides.plies", plies) : result;
}
