// What the engine put into the floor, drawn in place: members, holes, bridging, blocks; lit places; a version beside.
// Each function returns [class, path] pairs in plan inches.

import { nearest, pt } from "./geometry.js";

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
    ["pl-fail-bars", members.filter((one) => one.fails).map(bars).join("")],
    ["pl-holes", members.flatMap((one) => one.holes.map(([x, y]) => `M${x - 1} ${y - 1}h2v2h-2Z`)).join("")],
  ];
}

function way([x1, y1, x2, y2]) {
  const long = Math.hypot(x2 - x1, y2 - y1) || 1;
  return [(x2 - x1) / long, (y2 - y1) / long, long];
}

function plies({ line, plies: count, width }) {
  if (count === 1) return seg(line);
  const [ux, uy] = way(line);
  const [x1, y1, x2, y2] = line;
  return segs(Array.from({ length: count }, (_, i) => {
    const off = ((i - (count - 1) / 2) * width) / count;
    return [x1 - uy * off, y1 + ux * off, x2 - uy * off, y2 + ux * off];
  }));
}

function bars({ line }) {
  const [ux, uy, long] = way(line);
  const [dx, dy] = [3 * (ux - uy), 3 * (uy + ux)];
  return segs(Array.from({ length: Math.ceil((long - 6) / 12) }, (_, i) => {
    const [x, y] = [line[0] + ux * (6 + 12 * i), line[1] + uy * (6 + 12 * i)];
    return [x - dx, y - dy, x + dx, y + dy];
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

export function memberAt(answer, x, y, reach) {
  let best = null;
  for (const one of answer?.members ?? []) {
    const distance = apart(x, y, one.line) - one.width / 2;
    if (distance <= reach && (!best || distance < best.distance)) best = { distance, one };
  }
  return best?.one ?? null;
}

export const apart = (x, y, [x1, y1, x2, y2]) => nearest(pt(x, y), { a: pt(x1, y1), b: pt(x2, y2) }).distance;
