// Tools that take places one after another, by click, drag, arrow keys or typing. Each gets snapped places in
// sixteenths and turns them into one change of the document.

import { bounds, far, minus, plus, pt, same } from "./geometry.js";
import { Unreadable } from "./lengths.js";
import { add, addCorner, freeId, insertCorner, pairOf, setOutline } from "./edits.js";
import { readMove } from "./moves.js";
import { pick, readPlan } from "./plan.js";
import { splitBay } from "./transforms.js";

/** A tool that is done once it has two places (a line or a box). */
export class PairTool {
  constructor(store, { name, words, box = false, make }) {
    Object.assign(this, { store, name, words, box, make, first: null, cursor: null });
  }

  get last() { return this.first; }
  get prompt() {
    const what = this.box ? ["one corner", "the opposite corner, or type its size as 12' x 4'"] : ["where it starts", "where it ends, or type a length and direction as 24' →"];
    return `${this.words}: point at ${what[this.first ? 1 : 0]}.`;
  }

  place(p) {
    if (!this.first) { this.first = p; return; }
    if (same(this.first, p)) return;
    const made = this.make(this.store.doc, this.first, p);
    this.first = null;
    if (!made) return this.store.emit("said", `${this.words}: that line does not cross a bay from side to side.`);
    this.store.commit(made.doc, made.words ?? `${this.words} drawn`);
    if (made.key) this.store.select([made.key]);
    if (made.once) this.store.emit("outlined");
  }

  typed(text) {
    const move = readMove(text, this.store.units);
    if (!this.first && move.size) this.place(this.startOfSize());
    else if (!this.first) return this.place(absolute(move));
    this.place(plus(this.first, wayOf(move, this.first, this.cursor, this.box)));
  }

  startOfSize() {
    return this.cursor ?? pt(0, 0);
  }

  preview(p) {
    if (!this.first) return {};
    return this.box ? { lines: [frame(this.first, p)] } : { lines: [[this.first, p]] };
  }

  /** Lengths that are shown beside the cursor, in sixteenths. */
  lengths(p) {
    if (!this.first) return [];
    return this.box ? [Math.abs(p.x - this.first.x), Math.abs(p.y - this.first.y)] : [Math.round(far(p, this.first))];
  }

  finish() { return false; }
  cancel() {
    const had = Boolean(this.first);
    this.first = null;
    return had;
  }
}

const frame = (a, b) => [a, pt(b.x, a.y), b, pt(a.x, b.y), a];

function absolute(move) {
  if (move.dx === undefined) throw new Unreadable("Type the first place as two lengths, as 12', 5' from the zero point.");
  return pt(move.dx, move.dy);
}

/** The way that was typed; a bare length goes where the cursor stands from the last place, square if nearly so. */
function wayOf(move, last, cursor, box) {
  if (move.dx !== undefined) return move.size ? pt(signed(move.dx, last, cursor, "x"), signed(move.dy, last, cursor, "y")) : pt(move.dx, move.dy);
  if (box) throw new Unreadable("Type both sizes, as 12' x 4'.");
  const way = minus(cursor ?? plus(last, pt(1, 0)), last);
  const long = Math.hypot(way.x, way.y);
  if (!long) return pt(move.length, 0);
  return pt(Math.round((way.x / long) * move.length), Math.round((way.y / long) * move.length));
}

const signed = (size, last, cursor, axis) => (cursor && cursor[axis] < last[axis] ? -size : size);

/** The outline, corner after corner; each corner is a step that can be undone. */
export class OutlineTool {
  constructor(store) {
    Object.assign(this, { store, name: "outline", words: "Outline", cursor: null });
  }

  get points() { return this.store.unfinished ? readPlan(this.store.doc).corners.map((c) => pt(c.x, c.y)) : []; }
  get last() { return this.points.at(-1) ?? null; }
  get prompt() {
    const count = this.points.length;
    if (!count && this.store.doc.outline.length) return "Outline: there is one already. Point at a wall to give it a corner more.";
    if (!count) return "Outline: point at its first corner.";
    return count < 3 ? "Outline: point at the next corner, or type a length and direction as 24' →." : "Outline: next corner; the first corner or Enter closes it.";
  }

  place(p) {
    const { store, points } = this;
    if (!store.unfinished && store.doc.outline.length > 2) return this.insert(p);
    if (points.length > 2 && same(p, points[0])) return this.finish();
    if (points.some((q) => same(p, q))) return;
    const start = store.unfinished ? store.doc : { ...store.doc, outline: [], edges: [] };
    store.unfinished = true;
    store.commit(addCorner(start, p), `Corner ${points.length + 1} drawn`);
  }

  insert(p) {
    const hit = pick({ ...readPlan(this.store.doc), corners: [], supports: [], partitions: [], openings: [] }, p, 8);
    if (!hit) return this.store.emit("said", "There is no wall at that place.");
    this.store.commit(insertCorner(this.store.doc, Number(hit.key.split(".")[1]), p), "Corner added to the wall");
  }

  typed(text) {
    const move = readMove(text, this.store.units);
    if (!this.last && move.size) {
      this.store.commit(setOutline(this.store.doc, [pt(0, 0), pt(move.dx, 0), pt(move.dx, move.dy), pt(0, move.dy)]), "Rectangle drawn");
      return this.store.emit("outlined");
    }
    if (!this.last) this.place(move.dx === undefined ? pt(0, 0) : absolute(move));
    if (move.dx === undefined || this.points.length > 1 || !same(this.last, pt(move.dx, move.dy))) {
      this.place(plus(this.last, wayOf(move, this.last, this.cursor, false)));
    }
  }

  preview(p) {
    return this.last ? { lines: [[this.last, p]], guides: this.points.length > 2 ? [{ from: p, to: this.points[0] }] : [] } : {};
  }

  lengths(p) {
    return this.last ? [Math.round(far(p, this.last))] : [];
  }

  finish() {
    if (!this.store.unfinished) return false;
    if (this.points.length < 3) {
      this.store.emit("said", "An outline needs three corners or more.");
      return true;
    }
    this.store.unfinished = false;
    this.store.emit("doc");
    this.store.emit("settled");
    this.store.emit("said", "Outline closed.");
    this.store.emit("outlined");
    return true;
  }

  cancel() {
    if (!this.store.unfinished) return false;
    this.store.unfinished = false;
    this.store.commit({ ...this.store.doc, outline: [], edges: [] }, "Outline begun anew");
    return true;
  }
}

function line(store, name, words, list, letter, extra) {
  return new PairTool(store, {
    name, words,
    make(doc, a, b) {
      const entry = { id: freeId(doc[list], letter), ...extra, from: pairOf(a, doc.units), to: pairOf(b, doc.units) };
      return { doc: add(doc, list, entry), key: `${list}.${(doc[list] || []).length}`, words: `${words} ${entry.id} drawn` };
    },
  });
}

function opening(store) {
  return new PairTool(store, {
    name: "opening", words: "Opening", box: true,
    make(doc, a, b) {
      const { low, high } = bounds([a, b]);
      if (low.x === high.x || low.y === high.y) return { doc, words: "" };
      const entry = {
        id: freeId(doc.openings, "O"), name: (doc.openings || []).length ? "" : "Stair", kind: "stair",
        corner: pairOf(low, doc.units), size: pairOf(pt(high.x - low.x, high.y - low.y), doc.units),
      };
      return { doc: add(doc, "openings", entry), key: `openings.${(doc.openings || []).length}`, words: `Opening ${entry.id} drawn` };
    },
  });
}

function rectangle(store) {
  return new PairTool(store, {
    name: "rectangle", words: "Rectangle", box: true,
    make(doc, a, b) {
      const { low, high } = bounds([a, b]);
      if (low.x === high.x || low.y === high.y) return { doc, words: "" };
      store.unfinished = false;
      return { doc: setOutline(doc, [low, pt(high.x, low.y), high, pt(low.x, high.y)]), words: "Rectangle drawn", once: true };
    },
  });
}

function border(store) {
  return new PairTool(store, {
    name: "border", words: "Bay border",
    make(doc, a, b) {
      const made = splitBay(doc, a, b);
      return made && { doc: made, key: `bays.${made.bays.length - 1}`, words: `Bay ${made.bays.at(-1).id} parted off` };
    },
  });
}

/** All drawing tools by name, in the order of the tool bar. */
export function drawingTools(store) {
  const flat = { bearing: false, load_plf: 0 };
  const tools = [
    new OutlineTool(store), rectangle(store),
    line(store, "wall", "Bearing wall", "supports", "W", { kind: "wall", width: null, joint: "lap" }),
    line(store, "beam", "Beam", "supports", "B", { kind: "beam", width: null, joint: "lap" }),
    line(store, "flush", "Flush beam", "supports", "B", { kind: "flush_beam", width: null, joint: "butt" }),
    opening(store), border(store),
    line(store, "partition", "Partition", "partitions", "P", flat),
    line(store, "load", "Line load", "partitions", "L", { ...flat, load_plf: 100 }),
  ];
  return Object.fromEntries(tools.map((tool) => [tool.name, tool]));
}

