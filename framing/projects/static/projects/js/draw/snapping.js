// Where a pointed place goes: to corners and ends, to walls, in line with earlier corners, square to the last one, or
// to the grid. The nearest firm thing wins; guides of both directions may join.

import { far, nearest, pt, whole } from "./geometry.js";

/** Points that others line up with. */
export function anchorsOf(plan, without = new Set()) {
  const lines = [...plan.supports, ...plan.partitions].filter((line) => !without.has(line.key));
  const boxes = plan.openings.filter((o) => !without.has(o.key));
  return [
    ...plan.corners.filter((c) => !without.has(c.key)).map((c) => pt(c.x, c.y)),
    ...lines.flatMap((line) => [line.a, line.b]),
    ...boxes.flatMap((o) => [o.low, o.high]),
  ];
}

/** Lines that a place may lie on. */
export function tracksOf(plan, without = new Set()) {
  const walls = plan.walls.filter((w) => !without.has(w.key));
  return [...walls, ...plan.supports.filter((s) => !without.has(s.key))];
}

const onGrid = (value, step) => Math.round(Math.round(value / step) * step);

/**
 * Snap `p`. `last` is the place that a line comes from, `reach` and `step` are in sixteenths.
 * Returns {at, why, guides}: `why` is "corner", "wall", "line", "square" or "grid".
 */
export function snap(p, { anchors, tracks, last = null, reach, step }) {
  const near = anchors.map((a) => ({ a, d: far(a, p) })).sort((m, n) => m.d - n.d)[0];
  if (near && near.d <= reach) return { at: near.a, why: "corner", guides: [] };
  const ruled = byRules(p, anchors, last, reach, step);
  const track = tracks.map((line) => ({ line, ...nearest(p, line.a, line.b) })).sort((m, n) => m.distance - n.distance)[0];
  if (track && track.distance <= reach) return onTrack(track.line, ruled);
  return ruled;
}

/** A place on a wall: level and upright ones keep what the other direction was snapped to. */
function onTrack(track, ruled) {
  const { a, b } = track;
  if (a.x === b.x) return { ...ruled, at: pt(a.x, ruled.at.y), why: "wall" };
  if (a.y === b.y) return { ...ruled, at: pt(ruled.at.x, a.y), why: "wall" };
  return { at: whole(nearest(ruled.at, a, b).at), why: "wall", guides: [] };
}

function byRules(p, anchors, last, reach, step) {
  const lined = (axis) => {
    const firm = last && Math.abs(last[axis] - p[axis]) <= reach * 1.5 ? { from: last, why: "square" } : null;
    if (firm) return firm;
    const best = anchors.map((a) => ({ from: a, d: Math.abs(a[axis] - p[axis]) })).sort((m, n) => m.d - n.d)[0];
    return best && best.d <= reach * 0.75 ? { from: best.from, why: "line" } : null;
  };
  const [x, y] = [lined("x"), lined("y")];
  const at = pt(x ? x.from.x : onGrid(p.x, step), y ? y.from.y : onGrid(p.y, step));
  const guides = [x, y].filter(Boolean).map((hit) => ({ from: hit.from, to: at }));
  return { at, why: x?.why ?? y?.why ?? "grid", guides };
}

/** How far a moved thing goes so that it, or one of its own points, lands well; `points` are where it was. */
export function snapShift(by, points, options) {
  const tries = points.map((p) => {
    const goal = pt(p.x + by.x, p.y + by.y);
    const found = snap(goal, options);
    return { found, by: pt(found.at.x - p.x, found.at.y - p.y), d: far(found.at, goal) };
  });
  const rank = { corner: 0, wall: 1, line: 2, square: 2, grid: 3 };
  return tries.sort((m, n) => rank[m.found.why] - rank[n.found.why] || m.d - n.d)[0] ?? { by: whole(by), found: null };
}
