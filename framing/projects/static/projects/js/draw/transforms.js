// Copy, mirror and turn, of the whole floor or of what is selected; cutting bays and moving their borders.

import { area, cut, dot, inside, lies, mid, minus, plus, pt, times, whole } from "./geometry.js";
import { add, freeId, loose, mapPlaces, placed, setAt } from "./edits.js";
import { extent, readPlan } from "./plan.js";

// where joists run and stations begin after a change of the whole floor
const MIRRORED = { y: { direction: "y", low: "high", high: "low" }, x: { direction: "x", low: "low", high: "high" } };
const TURNED = { y: { direction: "x", low: "low", high: "high" }, x: { direction: "y", low: "high", high: "low" } };
const OTHER = { header_low: "header_high", header_high: "header_low" };

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

function changed(doc, keys, fnOf, bays, axis) {
  const some = loose(keys);
  const box = extent(readPlan(doc), some.length ? some : null);
  if (!box) return doc;
  const result = mapPlaces(doc, fnOf(box, some.length), some.length ? (key) => some.includes(key) : undefined);
  if (some.length) return result;
  const turned = result.bays.map((bay) => {
    const { direction, ...starts } = bays[bay.direction] ?? bay;
    return { ...bay, direction, start: starts[bay.start ?? "low"] ?? bay.start };
  });
  return swapHeaders({ ...result, bays: turned }, doc, axis);
}

/** Start edges go along, so that stations stay on the same joists. */
export const mirror = (doc, keys) => changed(doc, keys, ({ low, high }) => (p) => pt(low.x + high.x - p.x, p.y), MIRRORED, "x");

/** A quarter turn to the left: of some things about their middle, of a floor about its low corner. */
export const turn = (doc, keys) => changed(doc, keys, ({ low, high }, some) => {
  const c = mid(low, high);
  return some ? (p) => whole(pt(c.x - p.y + c.y, c.y + p.x - c.x)) : (p) => pt(low.x + high.y - p.y, low.y + p.x - low.x);
}, TURNED, "y");

/** Where the joists' own direction turned round, fixed plies of low and high headers change places. */
function swapHeaders(result, doc, axis) {
  const { openings, bays } = readPlan(doc);
  const round = openings.filter((o) => bays.find((bay) => !bay.ring || inside(o.low, bay.ring))?.entry.direction === axis).map((o) => o.entry.id);
  const plies = doc.overrides?.plies?.map((entry) => (round.includes(entry.of) ? { ...entry, part: OTHER[entry.part] ?? entry.part } : entry));
  return plies ? setAt(result, "overrides.plies", plies) : result;
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
