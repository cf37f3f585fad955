// Plain plane geometry; points are {x, y}, x to the right and y up.

export const pt = (x, y) => ({ x, y });
export const plus = (a, b) => pt(a.x + b.x, a.y + b.y);
export const minus = (a, b) => pt(a.x - b.x, a.y - b.y);
export const same = (a, b) => a.x === b.x && a.y === b.y;
export const mid = (a, b) => pt((a.x + b.x) / 2, (a.y + b.y) / 2);
export const far = (a, b) => Math.hypot(a.x - b.x, a.y - b.y);
export const whole = (p) => pt(Math.round(p.x), Math.round(p.y));

/** The nearest place to `p` on the segment from `a` to `b`, with its share `t` of the way. */
export function nearest(p, a, b) {
  const d = minus(b, a);
  const square = d.x * d.x + d.y * d.y;
  const t = square ? Math.max(0, Math.min(1, ((p.x - a.x) * d.x + (p.y - a.y) * d.y) / square)) : 0;
  const at = pt(a.x + t * d.x, a.y + t * d.y);
  return { at, t, distance: far(p, at) };
}

/** Low and high corner of some points, or null. */
export function bounds(points) {
  if (!points.length) return null;
  const xs = points.map((p) => p.x);
  const ys = points.map((p) => p.y);
  return { low: pt(Math.min(...xs), Math.min(...ys)), high: pt(Math.max(...xs), Math.max(...ys)) };
}

export function inside(p, ring) {
  let odd = false;
  ring.forEach((a, i) => {
    const b = ring[(i + 1) % ring.length];
    if (a.y > p.y !== b.y > p.y && p.x < ((b.x - a.x) * (p.y - a.y)) / (b.y - a.y) + a.x) odd = !odd;
  });
  return odd;
}

export function inBox(p, box) {
  return p.x >= box.low.x && p.x <= box.high.x && p.y >= box.low.y && p.y <= box.high.y;
}

export function area(ring) {
  return ring.reduce((sum, a, i) => {
    const b = ring[(i + 1) % ring.length];
    return sum + a.x * b.y - b.x * a.y;
  }, 0) / 2;
}

/**
 * Cut a ring along the line through `a` and `b`: at the crossings next to their middle on either side.
 * Returns the two rings, or null where the line does not cross it so.
 */
export function cut(ring, a, b) {
  const d = minus(b, a);
  const hits = [];
  ring.forEach((p, i) => {
    const q = ring[(i + 1) % ring.length];
    const e = minus(q, p);
    const across = d.x * e.y - d.y * e.x;
    if (!across) return;
    const w = minus(p, a);
    const t = (w.x * e.y - w.y * e.x) / across;
    const s = (w.x * d.y - w.y * d.x) / across;
    if (s >= 0 && s < 1) hits.push({ t, i, at: whole(pt(a.x + t * d.x, a.y + t * d.y)) });
  });
  const low = hits.filter((h) => h.t <= 0.5).sort((m, n) => n.t - m.t)[0];
  const high = hits.filter((h) => h.t > 0.5).sort((m, n) => m.t - n.t)[0];
  if (!low || !high || low.i === high.i) return null;
  const [first, second] = low.i < high.i ? [low, high] : [high, low];
  const one = [first.at, ...ring.slice(first.i + 1, second.i + 1), second.at];
  const two = [second.at, ...ring.slice(second.i + 1), ...ring.slice(0, first.i + 1), first.at];
  const tidy = (r) => r.filter((p, i) => !same(p, r[(i + 1) % r.length]));
  const rings = [tidy(one), tidy(two)];
  return rings.every((r) => r.length > 2 && area(r) !== 0) ? rings : null;
}
