export const pt = (x, y) => ({ x, y });
export const plus = (a, b) => pt(a.x + b.x, a.y + b.y);
export const minus = (a, b) => pt(a.x - b.x, a.y - b.y);
export const times = (a, by) => pt(a.x * by, a.y * by);
export const dot = (a, b) => a.x * b.x + a.y * b.y;
export const same = (a, b) => a.x === b.x && a.y === b.y;
export const mid = (a, b) => times(plus(a, b), 0.5);
export const far = (a, b) => Math.hypot(a.x - b.x, a.y - b.y);
export const whole = (p) => pt(Math.round(p.x), Math.round(p.y));

export const along = (axis, by) => ({ x: 0, y: 0, [axis]: by });

/** The axis whose value a line keeps: "y" of a level one, "x" of an upright one, "" of a skewed one. */
export const shared = ({ a, b }) => (a.y === b.y ? "y" : a.x === b.x ? "x" : "");

export function nearest(p, { a, b }) {
	const d = minus(b, a);
	const at = plus(a, times(d, Math.max(0, Math.min(1, dot(minus(p, a), d) / dot(d, d) || 0))));
	return { at, distance: far(p, at) };
}

/** The one of a list that is least far, if at most `most`. */
export function least(list, distance, most) {
	let best = { d: most };
	for (const one of list) {
		const d = distance(one);
		if (best.one ? d < best.d : d <= most) best = { one, d };
	}
	return best.one;
}

/** Whether `p` lies on a line; on skewed ones whole sixteenths lie a little beside. */
export const lies = (p, line) => nearest(p, line).distance < (shared(line) ? 1e-6 : 0.75);

export function bounds(points) {
	const edge = (most) => pt(most(...points.map((p) => p.x)), most(...points.map((p) => p.y)));
	return points.length ? { low: edge(Math.min), high: edge(Math.max) } : null;
}

export const boxRing = ({ low, high }) => [low, pt(high.x, low.y), high, pt(low.x, high.y)];
export const sides = (ring) => ring.map((a, i) => ({ a, b: ring[(i + 1) % ring.length] }));

export function inside(p, ring) {
	const crossed = ({ a, b }) => a.y > p.y !== b.y > p.y && p.x < ((b.x - a.x) * (p.y - a.y)) / (b.y - a.y) + a.x;
	return sides(ring).filter(crossed).length % 2 === 1;
}

export const inBox = (p, { low, high }) => p.x >= low.x && p.x <= high.x && p.y >= low.y && p.y <= high.y;

const cross = (a, b) => a.x * b.y - b.x * a.y;
export const area = (ring) => sides(ring).reduce((sum, { a, b }) => sum + cross(a, b), 0) / 2;

/** A ring cut at the line's crossings next to its middle on either side: two rings, or null. */
export function cut(ring, a, b) {
	const d = minus(b, a);
	const hits = sides(ring).flatMap((side, i) => {
		const [e, w] = [minus(side.b, side.a), minus(side.a, a)];
		const [t, s] = [e, d].map((way) => cross(w, way) / cross(d, e));
		return s >= 0 && s < 1 ? [{ t, i, at: whole(plus(a, times(d, t))) }] : [];
	}).sort((m, n) => m.t - n.t);
	const ends = [hits.findLast((hit) => hit.t <= 0.5), hits.find((hit) => hit.t > 0.5)];
	if (!ends.every(Boolean) || ends[0].i === ends[1].i) return null;
	const [first, second] = ends.sort((m, n) => m.i - n.i);
	const one = [first.at, ...ring.slice(first.i + 1, second.i + 1), second.at];
	const two = [second.at, ...ring.slice(second.i + 1), ...ring.slice(0, first.i + 1), first.at];
	const rings = [one, two].map((r) => r.filter((p, i) => !same(p, r[(i + 1) % r.length])));
	return rings.every((r) => r.length > 2 && area(r)) ? rings : null;
}
