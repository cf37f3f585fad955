// A move as it is typed while drawing: `24' →`, `12' left, 3' up`, `24' at 30`, `36' x 26'`, `12', 5'` or a bare length.

import { Unreadable, parseLength } from "./lengths.js";

const WAYS = {
  "→": [1, 0], right: [1, 0], r: [1, 0], "←": [-1, 0], left: [-1, 0], l: [-1, 0],
  "↑": [0, 1], up: [0, 1], u: [0, 1], "↓": [0, -1], down: [0, -1], d: [0, -1],
};
const WAY = /^(.*?)\s*(→|←|↑|↓|right|left|up|down|[rlud])$/i;
const WAY_FIRST = /^(→|←|↑|↓|right|left|up|down|[rlud])\s*(.+)$/i;
const ANGLE = /^(.*?)\s*(?:at|@)\s*(-?[0-9]+(?:\.[0-9]+)?)\s*°?$/i;
const BY = /^(.+?)\s*(?:[x×]|by)\s*(.+)$/i;

/**
 * Read a move. Returns {dx, dy, size} in sixteenths (`size` where it was written as one length by another), or
 * {length} where no direction was typed. Throws Unreadable.
 */
export function readMove(text, units) {
  const said = text.trim();
  const size = BY.exec(said);
  if (size) return { dx: parseLength(size[1], units), dy: parseLength(size[2], units), size: true };
  const angle = ANGLE.exec(said);
  if (angle) return atAngle(parseLength(angle[1], units), Number(angle[2]));
  const parts = said.split(/[,;]/).map((part) => part.trim());
  if (parts.length === 2 && !parts.some(directed)) {
    const [dx, dy] = parts.map((part) => parseLength(part, units, { negative: true }));
    return { dx, dy };
  }
  if (parts.length > 2) throw new Unreadable(`“${said}” has more than two parts.`);
  if (!parts.some(directed)) return { length: parseLength(said, units) };
  return parts.map((part) => oneWay(part, units)).reduce((a, b) => ({ dx: a.dx + b.dx, dy: a.dy + b.dy }));
}

function directed(part) {
  return WAY.test(part) || WAY_FIRST.test(part);
}

function oneWay(part, units) {
  const after = WAY.exec(part);
  const before = after ? null : WAY_FIRST.exec(part);
  if (!after && !before) throw new Unreadable(`“${part}” has no direction; add right, left, up or down.`);
  const [words, way] = after ? [after[1], after[2]] : [before[2], before[1]];
  const length = parseLength(words, units);
  const [x, y] = WAYS[way.toLowerCase()];
  return { dx: x * length, dy: y * length };
}

function atAngle(length, degrees) {
  const turn = (degrees * Math.PI) / 180;
  return { dx: Math.round(length * Math.cos(turn)), dy: Math.round(length * Math.sin(turn)) };
}
