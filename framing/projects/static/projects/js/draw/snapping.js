// Where a pointed place goes: to corners and ends, to walls, in line with other things, square to the last place, or
// to the grid. The nearest firm thing wins; guides of both directions may join.

import { far, mid, minus, nearest, plus, pt, shared, whole } from "./geometry.js";
import { bordersOf } from "./plan.js";

const RANK = { corner: 0, wall: 1, line: 2, square: 2, grid: 3 };

/** Points that others snap to and line up with. */
export function anchorsOf(plan, without = new Set()) {
  return plan.things.filter((thing) => thing.list !== "wall" && !without.has(thing.key)).flatMap((thing) => thing.points);
}

/** Lines that a place may lie on. */
export function tracksOf(plan, without = new Set()) {
  const lines = [...plan.walls, ...plan.supports].filter((line) => !without.has(line.key));
  return [...lines, ...plan.bays.filter((bay) => !without.has(bay.key)).flatMap((bay) => bordersOf(plan, bay))];
}

/** Middles of walls and openings, which others only line up with. */
export function middlesOf(plan, without = new Set()) {
  return [...plan.walls, ...plan.openings].filter((thing) => !without.has(thing.key)).map(({ points }) => whole(mid(...points)));
}

/**
 * Snap `p`. `last` is the place that a line comes from, `reach` and `step` are in sixteenths.
 * Returns {at, why, guides}: `why` is "corner", "wall", "line", "square" or "grid".
 */
export function snap(p, { anchors, tracks, middles = [], last = null, reach, step }) {
  const near = least(anchors, (a) => far(a, p));
  if (near && near.d <= reach) return { at: near.one, why: "corner", guides: [] };
  const ruled = byRules(p, [...anchors, ...middles], last, reach, step);
  const track = least(tracks, ({ a, b }) => nearest(p, a, b).distance);
  return track && track.d <= reach ? onTrack(track.one, ruled) : ruled;
}

function least(list, distance) {
  let best = null;
  for (const one of list) {
    const d = distance(one);
    if (!best || d < best.d) best = { one, d };
  }
  return best;
}

/** A place on a wall: level and upright ones keep what the other direction was snapped to. */
function onTrack({ a, b }, ruled) {
  const axis = shared(a, b);
  if (axis) return { ...ruled, at: { ...ruled.at, [axis]: a[axis] }, why: "wall" };
  return { at: whole(nearest(ruled.at, a, b).at), why: "wall", guides: [] };
}

function byRules(p, anchors, last, reach, step) {
  const lined = (axis) => {
    if (last && Math.abs(last[axis] - p[axis]) <= reach * 1.5) return { from: last, why: "square" };
    const best = least(anchors, (a) => Math.abs(a[axis] - p[axis]));
    return best && best.d <= reach * 0.75 ? { from: best.one, why: "line" } : null;
  };
  const [x, y] = [lined("x"), lined("y")];
  const onGrid = (value) => Math.round(Math.round(value / step) * step);
  const at = pt(x ? x.from.x : onGrid(p.x), y ? y.from.y : onGrid(p.y));
  return { at, why: x?.why ?? y?.why ?? "grid", guides: [x, y].filter(Boolean).map((hit) => ({ from: hit.from, to: at })) };
}

/** How far a moved thing goes so that one of its points lands well; `points` are where it was. */
export function snapShift(by, points, options) {
  const tries = points.map((p) => {
    const goal = plus(p, by);
    const { at, why, guides } = snap(goal, options);
    return { by: minus(at, p), guides, rank: RANK[why], d: far(at, goal) };
  });
  return tries.sort((m, n) => m.rank - n.rank || m.d - n.d)[0] ?? { by: whole(by), guides: [] };
}
