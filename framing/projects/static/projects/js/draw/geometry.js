// Plain plane geometry; points are {x, y}, x to the right and y up.

export const pt = (x, y) => ({ x, y });
export const plus = (a, b) => pt(a.x + b.x, a.y + b.y);
export const minus = (a, b) => pt(a.x - b.x, a.y - b.y);
export const times = (a, by) => pt(a.x * by, a.y * by);
export const same = (a, b) => a.x === b.x && a.y === b.y;
export const mid = (a, b) => pt((a.x + b.x) / 2, (a.y + b.y) / 2);
export const far = (a, b) => Math.hypot(a.x - b.x, a.y - b.y);
export const whole = (p) => pt(Math.round(p.x), Math.round(p.y));

/** A way along one axis, "x" or "y". */
export const along = (axis, by) => (axis === "x" ? pt(by, 0) : pt(0, by));

/** The axis whose value both points share: "y" of a level line, "x" of an upright one, "" of a skewed one. */
export const shared = (a, b) => (a.y === b.y ? "y" : a.x === b.x ? "x" : "");

/** The nearest place to `p` on the segment from `a` to `b`, and how far it is. */
export function nearest(p, a, b) {
  const d = minus(b, a);
  const square = d.x * d.x + d.y * d.y;
  const t = square ? Math.max(0, Math.min(1, ((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square)) : 0;
  const at = plus(a, times(d, t));
  return { at, distance: far(p, at) };
}

/** Whether `p` lies on the line from a to b, to half a sixteenth for skewed ones. */
export const lies = (p, { a, b }) => nearest(p, a, b).distance < (shared(a, b) ? 1e-6 : 0.75);

/** Low and high corner of some points, or null. */
export function bounds(points) {
  if (!points.length) return null;
  const [xs, ys] = [points.map((p) => p.x), points.map((p) => p.y)];
  return { low: pt(Math.min(...xs), Math.min(...ys)), high: pt(Math.max(...xs), Math.max(...ys)) };
}

/** The four corners of a box, from its low one to the left. */
export const boxRing = ({ low, high }) => [low, pt(high.x, low.y), high, pt(low.x, high.y)];

/** The sides of a ring as {a, b}. */
export const sides = (ring) => ring.map((a, i) => ({ a, b: ring[(i + 1) % ring.length] }));

export function inside(p, ring) {
  const crossed = ({ a, b }) => a.y > p.y !== b.y > p.y && p.x < ((b.x - a.x) * (p.y - a.y)) / (b.y - a.y) + a.x;
  return sides(ring).filter(crossed).length % 2 === 1;
}

export const inBox = (p, { low, high }) => p.x >= low.x && p.x <= high.x && p.y >= low.y && p.y <= high.y;

export const area = (ring) => sides(ring).reduce((sum, { a, b }) => sum + a.x * b.y - b.x * a.y, 0) / 2;

/**
 * Cut a ring along the line through `a` and `b`: at the crossings next to their middle on either side.
 * Returns the two rings, or null where the line does not cross it so.
 */
export function cut(ring, a, b) {
  const d = minus(b, a);
  const hits = sides(ring).flatMap(({ a: p, b: q }, i) => {
    const [e, w] = [minus(q, p), minus(p, a)];
    const across = d.x * e.y - d.y * e.x;
    const t = (w.x * e.y - w.y * e.x) / across;
    const s = (w.x * d.y - w.y * d.x) / across;
    return across && s >= 0 && s < 1 ? [{ t, i, at: whole(plus(a, times(d, t))) }] : [];
  });
  const low = hits.filter((h) => h.t <= 0.5).sort((m, n) => n.t - m.t)[0];
  const high = hits.filter((h) => h.t > 0.5).sort((m, n) => m.t - n.t)[0];
  if (!low || !high || low.i === high.i) return null;
  const [first, second] = low.i < high.i ? [low, high] : [high, low];
  const one = [first.at, ...ring.slice(first.i + 1, second.i + 1), second.at];
  const two = [second.at, ...ring.slice(second.i + 1), ...ring.slice(0, first.i + 1), first.at];
  const rings = [one, two].map((r) => r.filter((p, i) => !same(p, r[(i + 1) % r.length])));
  return rings.every((r) => r.length > 2 && area(r)) ? rings : null;
}
