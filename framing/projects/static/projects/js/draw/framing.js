// What the engine put into the floor, drawn in place: members, holes, bridging, blocks; lit places; a version beside.

import { svg } from "./dom.js";

const seg = ([x1, y1, x2, y2]) => `M${x1} ${y1}L${x2} ${y2}`;

/** Shapes of an answer that drew members; all coordinates are plan inches. */
export function drawFrame(answer) {
  if (!answer) return [];
  const holes = answer.members.flatMap((member) => member.holes.map(([x, y]) => square(x, y))).join("");
  return [
    svg("path", { class: "pl-bridging", d: answer.bridging.flatMap((line) => line.runs.map(seg)).join("") }),
    svg("path", { class: "pl-blocks", d: answer.blocks.map(seg).join("") }),
    ...answer.members.map(member),
    svg("path", { class: "pl-holes", d: holes }),
  ];
}

function square(x, y) {
  return `M${x - 1} ${y - 1}h2v2h-2Z`;
}

/** One line for each ply; a failing one has crossbars too, so that it shows without colour. */
function member(one) {
  const kind = { J: "joist", T: "trimmer", H: "header", B: "beam" }[one.kind] ?? one.kind;
  const shapes = [svg("path", { class: "pl-steel", d: plies(one) })];
  if (one.fails) shapes.push(svg("path", { class: "pl-fail-bars", d: bars(one.line) }));
  return svg("g", { class: `pl-member pl-${kind}${one.fails ? " pl-fails" : ""}`, "data-id": one.id }, ...shapes);
}

function plies({ line: [x1, y1, x2, y2], plies: count, width }) {
  const long = Math.hypot(x2 - x1, y2 - y1) || 1;
  const [nx, ny] = [-(y2 - y1) / long, (x2 - x1) / long];
  const each = width / count;
  return Array.from({ length: count }, (_, i) => {
    const off = (i - (count - 1) / 2) * each;
    return seg([x1 + nx * off, y1 + ny * off, x2 + nx * off, y2 + ny * off]);
  }).join("");
}

function bars([x1, y1, x2, y2]) {
  const long = Math.hypot(x2 - x1, y2 - y1) || 1;
  const [ux, uy] = [(x2 - x1) / long, (y2 - y1) / long];
  const found = [];
  for (let at = 6; at < long; at += 12) {
    const [x, y] = [x1 + ux * at, y1 + uy * at];
    found.push(seg([x - 3 * ux + 3 * uy, y - 3 * uy - 3 * ux, x + 3 * ux - 3 * uy, y + 3 * uy + 3 * ux]));
  }
  return found.join("");
}

/** Places of a bill line, and the member that was pointed at. */
export function drawPlaces(lit, answer) {
  const one = lit.member && answer?.members.find((m) => m.id === lit.member);
  const shapes = one ? [svg("path", { class: "pl-lit-line", d: seg(one.line) })] : [];
  const dots = lit.places.filter((place) => !place.to);
  const lines = lit.places.filter((place) => place.to);
  if (lines.length) shapes.push(svg("path", { class: "pl-lit-line", d: lines.map((p) => seg([...p.at, ...p.to])).join("") }));
  return [...shapes, ...dots.map(({ at: [x, y] }) => svg("path", { class: "pl-lit-spot", d: `M${x} ${y}h0` }))];
}

/** Another version under this one, dashed. */
export function drawGhost(ghost) {
  if (!ghost?.drawn) return [];
  const { outline, supports, openings, partitions } = ghost.drawn;
  const ring = outline.map(([x, y], i) => `${i ? "L" : "M"}${x} ${y}`).join("") + "Z";
  const lines = [...supports, ...partitions].map((line) => seg([...line.from, ...line.to])).join("");
  const boxes = openings.map(({ low: [a, b], high: [c, e] }) => `M${a} ${b}H${c}V${e}H${a}ZL${c} ${e}`).join("");
  return [
    svg("path", { class: "pl-ghost-member", d: (ghost.members ?? []).map((m) => seg(m.line)).join("") }),
    svg("path", { class: "pl-ghost-line", d: ring + lines + boxes }),
  ];
}

/** The member nearest to a plan place in inches, within `reach`. */
export function memberAt(answer, x, y, reach) {
  let best = null;
  for (const one of answer?.members ?? []) {
    const distance = apart(x, y, one.line) - one.width / 2;
    if (distance <= reach && (!best || distance < best.distance)) best = { distance, one };
  }
  return best?.one ?? null;
}

/** How far a place lies from a line. */
export function apart(px, py, [x1, y1, x2, y2]) {
  const [dx, dy] = [x2 - x1, y2 - y1];
  const t = Math.max(0, Math.min(1, ((px - x1) * dx + (py - y1) * dy) / (dx * dx + dy * dy || 1)));
  return Math.hypot(px - x1 - t * dx, py - y1 - t * dy);
}
