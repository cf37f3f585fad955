// A move as it is typed while drawing: `24' →`, `12' left, 3' up`, `24' at 30`, `36' x 26'`, `12', 5'` or a bare length.

import { Unreadable, parseLength } from "./lengths.js";

const WAYS = { "→": [1, 0], "←": [-1, 0], "↑": [0, 1], "↓": [0, -1], r: [1, 0], l: [-1, 0], u: [0, 1], d: [0, -1] }; // by first sign
const WAY = "(?<way>→|←|↑|↓|right|left|up|down|[rlud])";
const DIRECTED = [`(?<words>.*?)\\s*${WAY}`, `${WAY}\\s*(?<words>.+)`].map((form) => new RegExp(`^${form}$`, "i"));
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
  if (angle) {
    const [length, turn] = [parseLength(angle[1], units), (Number(angle[2]) * Math.PI) / 180];
    return { dx: Math.round(length * Math.cos(turn)), dy: Math.round(length * Math.sin(turn)) };
  }
  const parts = said.split(/[,;]/).map((part) => part.trim());
  if (parts.length > 2) throw new Unreadable(`“${said}” has more than two parts.`);
  const ways = parts.map((part) => (DIRECTED[0].exec(part) ?? DIRECTED[1].exec(part))?.groups);
  if (!ways.some(Boolean)) {
    if (parts.length === 1) return { length: parseLength(said, units) };
    const [dx, dy] = parts.map((part) => parseLength(part, units, { negative: true }));
    return { dx, dy };
  }
  const sum = { dx: 0, dy: 0 };
  ways.forEach((found, i) => {
    if (!found) throw new Unreadable(`“${parts[i]}” has no direction; add right, left, up or down.`);
    const [x, y] = WAYS[found.way[0].toLowerCase()];
    const length = parseLength(found.words, units);
    sum.dx += x * length;
    sum.dy += y * length;
  });
  return sum;
}
