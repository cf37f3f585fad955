// The tool that takes hold of things: select, drag corners, walls, ends and whole things, or a box around many.

import { far, minus, pt } from "./geometry.js";
import { moveCorner, pairOf, setAt, shift } from "./edits.js";
import { memberAt } from "./framing.js";
import { bayAt, pick, readPlan, within } from "./plan.js";
import { anchorsOf, snap, snapShift, tracksOf } from "./snapping.js";

const IN = 16;

export class SelectTool {
  constructor(store) {
    Object.assign(this, { store, name: "select", words: "Select", drag: null, last: null, box: null });
  }

  get prompt() {
    const count = this.store.selection.size;
    if (!count) return "Select: point at a corner, wall or anything drawn; drag to move it.";
    return count === 1 ? "Drag it, or type a length over the one that is shown." : `${count} things selected.`;
  }

  /** Pointer down at `p` (not snapped). Returns false where there is nothing, so that the page may pan instead. */
  grab(p, { reach, add, touch }) {
    const plan = readPlan(this.store.doc);
    const hit = pick(plan, p, reach);
    this.from = p;
    this.start = this.store.doc;
    if (!hit) return this.#empty(plan, p, reach, add, touch);
    const { store } = this;
    if (add) {
      const keys = new Set(store.selection);
      if (!keys.delete(hit.key)) keys.add(hit.key);
      store.select(keys);
    } else if (!store.selection.has(hit.key)) store.select([hit.key]);
    if (store.mayChange && !store.unfinished) this.drag = { ...hit, plan, keys: store.keys };
    return true;
  }

  #empty(plan, p, reach, add, touch) {
    const { store } = this;
    const member = memberAt(store.frame, p.x / IN, p.y / IN, reach / IN / 2);
    if (!add) store.select([]);
    if (member) store.emit("member", member);
    else store.light({});
    if (!member && !add && plan.bays.length > 1) {
      const bay = bayAt(plan, p);
      if (bay) store.select([bay.key]);
    }
    if (touch) return false;
    this.box = { low: p, high: p };
    return true;
  }

  /** Pointer moved to `p`; `free` leaves snapping out. Returns what to show. */
  pull(p, { reach, step, free }) {
    if (this.box) {
      const [x, y] = [[this.from.x, p.x], [this.from.y, p.y]].map((pair) => pair.sort((a, b) => a - b));
      this.box = { low: pt(x[0], y[0]), high: pt(x[1], y[1]) };
      return { box: this.box };
    }
    if (!this.drag) return {};
    const { key, part, plan } = this.drag;
    const others = this.#options(plan, reach, step);
    this.moved ||= far(p, this.from) > reach / 3;
    if (!this.moved) return {};
    if (part === "corner") return this.#corner(p, others, free);
    if (part === "a" || part === "b") return this.#end(key, part, p, others, free);
    return this.#whole(p, others, free);
  }

  #options(plan, reach, step) {
    const without = new Set(this.drag.keys);
    if (this.drag.key.startsWith("wall.")) {
      const index = Number(this.drag.key.split(".")[1]);
      [index, (index + 1) % plan.corners.length].forEach((i) => without.add(`outline.${i}`));
    }
    return { anchors: anchorsOf(plan, without), tracks: [], lines: tracksOf(plan, without), reach, step };
  }

  #corner(p, options, free) {
    const index = Number(this.drag.key.split(".")[1]);
    const found = snap(p, options);
    const at = free ? pt(Math.round(p.x), Math.round(p.y)) : found.at;
    this.store.show(moveCorner(this.start, index, at, !free));
    return { at, guides: free ? [] : found.guides };
  }

  #end(key, part, p, options, free) {
    const entry = this.start[key.split(".")[0]][Number(key.split(".")[1])];
    const other = this.drag.plan.supports.concat(this.drag.plan.partitions).find((l) => l.key === key)[part === "a" ? "b" : "a"];
    const found = snap(p, { ...options, tracks: options.lines, last: other });
    const at = free ? pt(Math.round(p.x), Math.round(p.y)) : found.at;
    const field = part === "a" ? "from" : "to";
    this.store.show(setAt(this.start, `${key}.${field}`, pairOf(at, this.start.units, entry[field])));
    return { at, guides: found.guides };
  }

  #whole(p, options, free) {
    const { plan, keys, key } = this.drag;
    const points = this.#points(plan, keys);
    const found = free ? { by: minus(p, this.from), found: null } : snapShift(minus(p, this.from), points, { ...options, tracks: options.lines });
    const by = this.#square(plan, key, pt(Math.round(found.by.x), Math.round(found.by.y)));
    this.store.show(shift(this.start, keys, by));
    return { guides: found.found?.guides ?? [] };
  }

  #points(plan, keys) {
    const lines = [...plan.supports, ...plan.partitions, ...plan.walls].filter((l) => keys.includes(l.key));
    const boxes = plan.openings.filter((o) => keys.includes(o.key));
    return [...lines.flatMap((l) => [l.a, l.b]), ...boxes.flatMap((o) => [o.low, o.high]), ...plan.corners.filter((c) => keys.includes(c.key))];
  }

  /** A wall moves only square to itself. */
  #square(plan, key, by) {
    const wall = plan.walls.find((w) => w.key === key);
    if (!wall) return by;
    if (wall.a.y === wall.b.y) return pt(0, by.y);
    return wall.a.x === wall.b.x ? pt(by.x, 0) : by;
  }

  /** Pointer up. */
  drop() {
    const { store } = this;
    if (this.box && (this.box.low.x !== this.box.high.x || this.box.low.y !== this.box.high.y)) {
      store.select([...store.selection, ...within(readPlan(store.doc), this.box)]);
    }
    if (this.drag && this.moved) {
      const keys = store.keys;
      store.commit(store.doc, keys.length > 1 ? `${keys.length} things moved` : "Moved");
    }
    this.#end0();
  }

  #end0() {
    Object.assign(this, { drag: null, box: null, moved: false });
  }

  get dragging() { return Boolean(this.drag && this.moved); }

  /** Arrow keys move what is selected. */
  nudge(by) {
    const { store } = this;
    if (!store.selection.size || !store.mayChange) return false;
    store.commit(shift(store.doc, store.keys, by), "Moved", `nudge ${store.keys}`);
    return true;
  }

  finish() { return false; }
  preview() { return {}; }
  lengths() { return []; }

  cancel() {
    if (this.drag || this.box) {
      this.store.drop();
      this.#end0();
      return true;
    }
    if (!this.store.selection.size && !this.store.lit.member && !this.store.lit.code) return false;
    this.store.select([]);
    this.store.light({});
    return true;
  }
}

