import { far, least, mid, minus, nearest, plus, pt, shared, whole } from "./geometry.js";
import { bordersOf } from "./plan.js";

const RANK = ["corner", "wall", "line", "square", "grid"];

/** What a place may snap to, and middles that it only lines up with. */
export function targets(plan, without = new Set()) {
	const things = plan.things.filter(({ key }) => !without.has(key));
	const of = (...lists) => things.filter(({ list }) => lists.includes(list));
	return {
		anchors: things.filter(({ list }) => list !== "wall").flatMap(({ points }) => points),
		tracks: [...of("wall", "supports"), ...of("bays").flatMap((bay) => bordersOf(plan, bay))],
		middles: of("wall", "openings").map(({ points }) => whole(mid(...points))),
	};
}

/** `last` is the place that a line comes from; `reach` and `step` are in sixteenths. */
export function snap(p, { anchors, tracks, middles = [], last = null, reach, step }) {
	const corner = least(anchors, (a) => far(a, p), reach);
	if (corner) return { at: corner, why: "corner", guides: [] };
	const ruled = byRules(p, [...anchors, ...middles], last, reach, step);
	const track = least(tracks, (line) => nearest(p, line).distance, reach);
	if (!track) return ruled;
	const axis = shared(track);
	if (axis) return { ...ruled, at: { ...ruled.at, [axis]: track.a[axis] }, why: "wall" };
	return { at: whole(nearest(ruled.at, track).at), why: "wall", guides: [] };
}

function byRules(p, anchors, last, reach, step) {
	const lined = (axis) => {
		const apart = (a) => Math.abs(a[axis] - p[axis]);
		if (last && apart(last) <= reach * 1.5) return { from: last, why: "square" };
		const from = least(anchors, apart, reach * 0.75);
		return from && { from, why: "line" };
	};
	const hits = { x: lined("x"), y: lined("y") };
	const [x, y] = ["x", "y"].map((axis) => hits[axis]?.from[axis] ?? Math.round(Math.round(p[axis] / step) * step));
	const at = pt(x, y);
	return { at, why: (hits.x ?? hits.y)?.why ?? "grid", guides: Object.values(hits).filter(Boolean).map(({ from }) => ({ from, to: at })) };
}

/** How far a moved thing goes so that one of its points lands well. */
export function snapShift(by, points, options) {
	const tries = points.map((p) => {
		const goal = plus(p, by);
		const { at, why, guides } = snap(goal, options);
		return { by: minus(at, p), guides, rank: RANK.indexOf(why === "square" ? "line" : why), d: far(at, goal) };
	});
	return tries.sort((m, n) => m.rank - n.rank || m.d - n.d)[0] ?? { by: whole(by), guides: [] };
}
