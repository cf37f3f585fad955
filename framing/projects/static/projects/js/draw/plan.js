// The floor document read for drawing: positions in whole sixteenths, what can't be read left out.

import { bounds, far, inBox, inside, nearest, pt } from "./geometry.js";
import { lengthOf } from "./lengths.js";

export const LISTS = ["supports", "openings", "partitions", "bays"];

/** A pair of the document as a point, or null. */
export function pointOf(pair, units) {
  if (!Array.isArray(pair) || pair.length !== 2) return null;
  const [x, y] = pair.map((value) => lengthOf(value, units));
  return x === null || y === null ? null : pt(x, y);
}

function lines(list, name, units) {
  return (list || []).flatMap((entry, index) => {
    const [a, b] = [pointOf(entry.from, units), pointOf(entry.to, units)];
    return a && b ? [{ key: `${name}.${index}`, index, entry, a, b, width: lengthOf(entry.width, units) }] : [];
  });
}

function boxes(list, units) {
  return (list || []).flatMap((entry, index) => {
    const [low, size] = [pointOf(entry.corner, units), pointOf(entry.size, units)];
    if (!low || !size) return [];
    return [{ key: `openings.${index}`, index, entry, low, high: pt(low.x + size.x, low.y + size.y), size }];
  });
}

/** Everything that can be drawn of a document. Corners keep their index; an unreadable one is left out. */
export function readPlan(doc) {
  const units = doc.units;
  const corners = (doc.outline || []).flatMap((pair, index) => {
    const at = pointOf(pair, units);
    return at ? [{ key: `outline.${index}`, index, ...at }] : [];
  });
  const walls = corners.length < 2 ? [] : corners.map((a, i) => {
    const b = corners[(i + 1) % corners.length];
    return { key: `wall.${a.index}`, index: a.index, a: pt(a.x, a.y), b: pt(b.x, b.y) };
  });
  const bays = (doc.bays || []).flatMap((entry, index) => {
    const ring = (entry.outline || []).map((pair) => pointOf(pair, units)).filter(Boolean);
    return [{ key: `bays.${index}`, index, entry, ring: ring.length > 2 ? ring : null }];
  });
  return {
    units, corners, walls, bays,
    supports: lines(doc.supports, "supports", units),
    partitions: lines(doc.partitions, "partitions", units),
    openings: boxes(doc.openings, units),
  };
}

/** Low and high corner of all that is drawn, or null on an empty sheet. */
export function extent(plan) {
  const ends = [...plan.supports, ...plan.partitions].flatMap((line) => [line.a, line.b]);
  return bounds([...plan.corners, ...ends, ...plan.openings.flatMap((o) => [o.low, o.high])]);
}

/** What edge `index` does where the document does not say: beside the joists of one bay, else a bearing. */
export function wallKind(doc, plan, index, drawn) {
  const given = (doc.edges || []).find((entry) => entry.edge === index)?.kind;
  if (given) return given;
  const told = drawn?.edges?.find((edge) => edge.index === index)?.kind;
  if (told) return told;
  const wall = plan.walls.find((w) => w.index === index);
  const upright = wall && wall.a.x === wall.b.x;
  const level = wall && wall.a.y === wall.b.y;
  const direction = doc.bays?.length === 1 ? doc.bays[0].direction : "";
  return (direction === "y" && upright) || (direction === "x" && level) ? "parallel" : "platform";
}

/** The thing at `p` within `reach`: corners and ends first, then lines, openings, walls, bays. */
export function pick(plan, p, reach) {
  const corner = plan.corners.map((c) => ({ key: c.key, d: far(c, p) })).sort((a, b) => a.d - b.d)[0];
  if (corner && corner.d <= reach) return { key: corner.key, part: "corner" };
  for (const line of [...plan.supports, ...plan.partitions]) {
    for (const part of ["a", "b"]) if (far(line[part], p) <= reach) return { key: line.key, part };
  }
  const near = [...plan.supports, ...plan.partitions]
    .map((line) => ({ key: line.key, d: nearest(p, line.a, line.b).distance - (line.width || 0) / 2 }))
    .filter((hit) => hit.d <= reach).sort((a, b) => a.d - b.d)[0];
  if (near) return { key: near.key, part: "line" };
  const opening = plan.openings.find((o) => inBox(p, o));
  if (opening) return { key: opening.key, part: "box" };
  const wall = plan.walls.map((w) => ({ key: w.key, d: nearest(p, w.a, w.b).distance })).sort((a, b) => a.d - b.d)[0];
  return wall && wall.d <= reach ? { key: wall.key, part: "wall" } : null;
}

/** The bay whose drawn ring holds `p`, or the one that is the whole floor. */
export function bayAt(plan, p) {
  if (!inside(p, plan.corners)) return null;
  return plan.bays.find((bay) => bay.ring && inside(p, bay.ring)) ?? plan.bays.find((bay) => !bay.ring) ?? null;
}

/** Keys of all things that lie wholly in a box. */
export function within(plan, box) {
  const held = [
    ...plan.corners.filter((c) => inBox(c, box)),
    ...[...plan.supports, ...plan.partitions].filter((line) => inBox(line.a, box) && inBox(line.b, box)),
    ...plan.openings.filter((o) => inBox(o.low, box) && inBox(o.high, box)),
  ];
  return held.map((thing) => thing.key);
}

/** Words for a key, as people call the thing. */
export function nameOf(doc, key) {
  const [list, number] = key.split(".");
  const index = Number(number);
  const entry = doc[list]?.[index];
  if (list === "outline") return `Corner ${index + 1}`;
  if (list === "wall") return `Wall ${index + 1}`;
  if (!entry) return "";
  const kinds = { wall: "Bearing wall", beam: "Beam", flush_beam: "Flush beam" };
  if (list === "supports") return `${kinds[entry.kind ?? "wall"] ?? "Bearing"} ${entry.id}`;
  if (list === "openings") return `Opening ${entry.name || entry.id}`;
  if (list === "partitions") return `Partition ${entry.id}`;
  return `Bay ${entry.id}`;
}

/** Whether a key still names something. */
export function exists(doc, key) {
  const [list, index] = key.split(".");
  return Number(index) < (list === "wall" ? doc.outline : doc[list] || []).length;
}

