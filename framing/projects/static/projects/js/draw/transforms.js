// Copy, mirror and turn, of the whole floor or of what is selected; and cutting a bay in two.

import { area, bounds, cut, inside, pt } from "./geometry.js";
import { freeId, mapAll, mapEntry, pairOf, setAt } from "./edits.js";
import { extent, pointOf, readPlan } from "./plan.js";

const LETTERS = { supports: "W", openings: "O", partitions: "P" };
const TURNED = { "y,low": ["x", "low"], "y,high": ["x", "high"], "x,low": ["y", "high"], "x,high": ["y", "low"] };

/** Keys of the entries that can be copied or turned by themselves. */
export const loose = (keys) => keys.filter((key) => /^(supports|openings|partitions)\./.test(key));

/** Copies of the selected things, shifted by `by`; returns the document and the keys of the copies. */
export function copy(doc, keys, by) {
  let result = doc;
  const made = [];
  for (const key of loose(keys)) {
    const [list, index] = key.split(".");
    const entry = mapEntry(list, doc[list][index], (p) => pt(p.x + by.x, p.y + by.y), doc.units);
    const letter = list === "supports" && entry.kind !== "wall" ? "B" : LETTERS[list];
    made.push(`${list}.${result[list].length}`);
    result = { ...result, [list]: [...result[list], { ...entry, id: freeId(result[list], letter) }] };
  }
  return { doc: result, keys: made };
}

function boxOf(doc, keys) {
  const plan = readPlan(doc);
  if (!keys.length) return extent(plan);
  const lines = [...plan.supports, ...plan.partitions].filter((l) => keys.includes(l.key)).flatMap((l) => [l.a, l.b]);
  return bounds([...lines, ...plan.openings.filter((o) => keys.includes(o.key)).flatMap((o) => [o.low, o.high])]);
}

function mapSome(doc, keys, fn) {
  return keys.reduce((result, key) => {
    const [list, index] = key.split(".");
    return setAt(result, key, mapEntry(list, result[list][index], fn, doc.units));
  }, doc);
}

/** Left and right change places. Start edges go along, so that stations stay on the same joists. */
export function mirror(doc, keys) {
  const some = loose(keys);
  const box = boxOf(doc, some);
  if (!box) return doc;
  const fn = (p) => pt(box.low.x + box.high.x - p.x, p.y);
  if (some.length) return mapSome(doc, some, fn);
  const result = mapAll(doc, fn);
  const other = { low: "high", high: "low" };
  const bays = result.bays.map((bay) => (bay.direction === "y" ? { ...bay, start: other[bay.start ?? "low"] } : bay));
  return swapHeaders({ ...result, bays }, doc, "x");
}

/** A quarter turn to the left. */
export function turn(doc, keys) {
  const some = loose(keys);
  const box = boxOf(doc, some);
  if (!box) return doc;
  if (some.length) {
    const [cx, cy] = [(box.low.x + box.high.x) / 2, (box.low.y + box.high.y) / 2];
    return mapSome(doc, some, (p) => pt(Math.round(cx - (p.y - cy)), Math.round(cy + (p.x - cx))));
  }
  const result = mapAll(doc, (p) => pt(box.low.x + box.high.y - p.y, box.low.y + p.x - box.low.x));
  const bays = result.bays.map((bay) => {
    const [direction, start] = TURNED[`${bay.direction},${bay.start ?? "low"}`];
    return { ...bay, direction, start };
  });
  return swapHeaders({ ...result, bays }, doc, "y");
}

/** Where the joists' own direction turned round, fixed plies of low and high headers change places. */
function swapHeaders(result, doc, axis) {
  const plies = doc.overrides?.plies;
  if (!plies?.length) return result;
  const plan = readPlan(doc);
  const turned = new Set(plan.openings.filter((o) => {
    const bay = plan.bays.find((b) => !b.ring || inside(o.low, b.ring));
    return bay?.entry.direction === axis;
  }).map((o) => o.entry.id));
  const other = { header_low: "header_high", header_high: "header_low" };
  const swapped = plies.map((entry) => (turned.has(entry.of) ? { ...entry, part: other[entry.part] ?? entry.part } : entry));
  return setAt(result, "overrides.plies", swapped);
}

/** Cut the bay under the line's middle in two; the new one takes its joists and loads. Null where it can't be cut. */
export function splitBay(doc, a, b) {
  const plan = readPlan(doc);
  const middle = pt((a.x + b.x) / 2, (a.y + b.y) / 2);
  const bay = plan.bays.find((one) => one.ring && inside(middle, one.ring)) ?? plan.bays.find((one) => !one.ring);
  if (!bay) return null;
  const ring = bay.ring ?? doc.outline.map((pair) => pointOf(pair, doc.units));
  const rings = ring.every(Boolean) ? cut(ring, a, b) : null;
  if (!rings) return null;
  rings.sort((one, two) => Math.abs(area(two)) - Math.abs(area(one)));
  const [first, second] = rings.map((corners) => corners.map((p) => pairOf(p, doc.units)));
  const ids = new Set(doc.bays.map((entry) => entry.id));
  const id = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((letter) => !ids.has(letter)) ?? freeId(doc.bays, "Z");
  const kept = setAt(doc, `bays.${bay.index}.outline`, first);
  return { ...kept, bays: [...kept.bays, { ...bay.entry, id, outline: second }] };
}
