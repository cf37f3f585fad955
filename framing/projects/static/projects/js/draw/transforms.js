// Copy, mirror and turn, of the whole floor or of what is selected; cutting a bay in two and moving its borders.

import { area, cut, inside, lies, mid, minus, plus, pt, times, whole } from "./geometry.js";
import { add, freeId, loose, mapPlaces, pairOf, placed, setAt } from "./edits.js";
import { extent, readPlan } from "./plan.js";

// where joists run and stations begin after a change of the whole floor
const MIRRORED = { y: { direction: "y", low: "high", high: "low" }, x: { direction: "x", low: "low", high: "high" } };
const TURNED = { y: { direction: "x", low: "low", high: "high" }, x: { direction: "y", low: "high", high: "low" } };
const OTHER = { header_low: "header_high", header_high: "header_low" };

/** Copies of the selected things, shifted by `by`; returns the document and the keys of the copies. */
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

/** The selected things, or the whole floor, with places through `fnOf(box, some)`. */
function changed(doc, keys, fnOf, bays, swapped) {
  const some = loose(keys);
  const box = extent(readPlan(doc), some.length ? some : null);
  if (!box) return doc;
  const result = mapPlaces(doc, fnOf(box, some.length), some.length ? (key) => some.includes(key) : undefined);
  if (some.length) return result;
  const turned = result.bays.map((bay) => {
    const to = bays[bay.direction];
    return to ? { ...bay, direction: to.direction, start: to[bay.start ?? "low"] } : bay;
  });
  return swapHeaders({ ...result, bays: turned }, doc, swapped);
}

/** Left and right change places. Start edges go along, so that stations stay on the same joists. */
export const mirror = (doc, keys) => changed(doc, keys, ({ low, high }) => (p) => pt(low.x + high.x - p.x, p.y), MIRRORED, "x");

/** A quarter turn to the left: of some things about their middle, of a floor about its low corner. */
export const turn = (doc, keys) => changed(doc, keys, ({ low, high }, some) => {
  const c = mid(low, high);
  return some ? (p) => whole(pt(c.x - p.y + c.y, c.y + p.x - c.x)) : (p) => pt(low.x + high.y - p.y, low.y + p.x - low.x);
}, TURNED, "y");

/** Where the joists' own direction turned round, fixed plies of low and high headers change places. */
function swapHeaders(result, doc, axis) {
  const plies = doc.overrides?.plies;
  if (!plies?.length) return result;
  const { openings, bays } = readPlan(doc);
  const round = openings.filter((o) => bays.find((bay) => !bay.ring || inside(o.low, bay.ring))?.entry.direction === axis);
  const ids = new Set(round.map((o) => o.entry.id));
  return setAt(result, "overrides.plies", plies.map((entry) => (ids.has(entry.of) ? { ...entry, part: OTHER[entry.part] ?? entry.part } : entry)));
}

/** Cut the bay under the line's middle in two; the new one takes its joists and loads. Null where it can't be cut. */
export function splitBay(doc, a, b) {
  const { bays, corners } = readPlan(doc);
  const bay = bays.find((one) => one.ring && inside(mid(a, b), one.ring)) ?? bays.find((one) => !one.ring);
  const rings = bay && corners.length === doc.outline.length ? cut(bay.ring ?? corners, a, b) : null;
  if (!rings) return null;
  rings.sort((one, two) => Math.abs(area(two)) - Math.abs(area(one)));
  const [first, second] = rings.map((ring) => ring.map((p) => pairOf(p, doc.units)));
  const ids = new Set(doc.bays.map((entry) => entry.id));
  const id = [..."ABCDEFGHIJKLMNOPQRSTUVWXYZ"].find((letter) => !ids.has(letter)) ?? freeId(doc.bays, "Z");
  return add(setAt(doc, `bays.${bay.index}.outline`, first), "bays", { ...bay.entry, id, outline: second });
}

/** Move a border of bays square to itself by `by`; its ends slide along the sides that meet it. */
export function moveBorder(doc, border, by) {
  const ends = (ring, i) => [ring.at(i - 1), ring[(i + 1) % ring.length]];
  const slid = (p, rail) => {
    const way = rail ? minus(p, rail) : by;
    const share = way.x * by.x + way.y * by.y;
    return share ? whole(plus(p, times(way, (by.x * by.x + by.y * by.y) / share))) : plus(p, by);
  };
  const bays = readPlan(doc).bays.map(({ entry, ring }) => {
    const moved = ring?.map((p, i) => (lies(p, border) ? slid(p, ends(ring, i).find((q) => !lies(q, border))) : p));
    return moved ? { ...entry, ...placed("bays", moved, doc.units, entry) } : entry;
  });
  return { ...doc, bays };
}
