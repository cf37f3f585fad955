import { least, nearest, pt } from "./geometry.js";

const KINDS = { J: "joist", T: "trimmer", H: "header", B: "beam" };
const seg = ([x1, y1, x2, y2]) => `M${x1} ${y1}L${x2} ${y2}`;
const segs = (lines) => lines.map(seg).join("");

/** One path for each member, a line for each ply; failing ones have crossbars too, so that they show without colour. */
export function framePaths(answer) {
	if (!answer) return [];
	const { members, bridging, blocks } = answer;
	return [
		["pl-bridging", segs(bridging.flatMap((line) => line.runs))],
		["pl-blocks", segs(blocks)],
		...members.map((one) => [`pl-member pl-${KINDS[one.kind] ?? one.kind}${one.fails ? " pl-fails" : ""}`, plies(one)]),
		["pl-fail-bars", segs(members.filter((one) => one.fails).map((one) => one.line))],
		["pl-holes", members.flatMap((one) => one.holes.map(([x, y]) => `M${x - 1} ${y - 1}h2v2h-2Z`)).join("")],
	];
}

function plies({ line: [x1, y1, x2, y2], plies: count, width }) {
	const long = Math.hypot(x2 - x1, y2 - y1) || 1;
	return segs(Array.from({ length: count }, (_, i) => {
		const off = ((i - (count - 1) / 2) * width) / count / long;
		const [dx, dy] = [(y1 - y2) * off, (x2 - x1) * off];
		return [x1 + dx, y1 + dy, x2 + dx, y2 + dy];
	}));
}

export function litPaths({ member, places }, answer) {
	const one = member && answer?.members.find((m) => m.id === member);
	const lines = [...(one ? [one.line] : []), ...places.filter((place) => place.to).map((place) => [...place.at, ...place.to])];
	const spots = places.filter((place) => !place.to).map(({ at: [x, y] }) => ["pl-lit-spot", `M${x} ${y}h0`]);
	return lines.length ? [["pl-lit-line", segs(lines)], ...spots] : spots;
}

export function ghostPaths(ghost) {
	if (!ghost?.drawn) return [];
	const { outline, supports, openings, partitions } = ghost.drawn;
	const ring = `M${outline.map((p) => p.join(" ")).join("L")}Z`;
	const lines = segs([...supports, ...partitions].map((line) => [...line.from, ...line.to]));
	const boxes = openings.map(({ low: [a, b], high: [c, e] }) => `M${a} ${b}H${c}V${e}H${a}ZL${c} ${e}`).join("");
	return [["pl-ghost-member", segs((ghost.members ?? []).map((m) => m.line))], ["pl-ghost-line", ring + lines + boxes]];
}

export const memberAt = (answer, x, y, reach) => least(answer?.members ?? [], ({ line, width }) => apart(x, y, line) - width / 2, reach);

export const apart = (x, y, [x1, y1, x2, y2]) => nearest(pt(x, y), { a: pt(x1, y1), b: pt(x2, y2) }).distance;
