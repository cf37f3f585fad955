// Lengths of what is selected, shown on the plan as fields that can be typed over, also while a drag goes on.

import { el } from "./dom.js";
import { getAt, pairOf, setAt, setWallLength, shift, stretched } from "./edits.js";
import { along, bounds, far, mid, minus, plus, pt, shared, times } from "./geometry.js";
import { formatLength, parseLength } from "./lengths.js";
import { bordersOf, readPlan } from "./plan.js";
import { moveBorder } from "./transforms.js";

const FROM_LOW = { x: "Across from the left wall", y: "Up from the low wall" };
const ROOM = { x: 104, y: 34 }; // px that a field takes

const wallLength = ({ index, a, b }, moveStart) => ({
  name: `Length of wall ${index + 1}`, value: far(a, b), at: mid(a, b), apply: (doc, length) => setWallLength(doc, index, length, moveStart),
});

const walls = (plan, index) => ({ own: plan.at(`wall.${index}`), before: plan.walls.find((wall) => wall.next === index) });

/** How far a thing stands from the floor's low side along an axis; typing another length moves it. */
function offset(plan, thing, axis, at = thing.points[0], move = (doc, by) => shift(doc, [thing.key], by)) {
  const low = bounds(plan.corners)?.low[axis] ?? 0;
  const value = at[axis] - low;
  return { name: FROM_LOW[axis], value, at: { ...at, [axis]: low + value / 2 }, negative: true, apply: (doc, length) => move(doc, along(axis, length - value)) };
}

const FIELDS = {
  outline: (plan, { index }) => [wallLength(walls(plan, index).before, false), wallLength(walls(plan, index).own, true)],
  wall: (plan, { index, next }) => [wallLength(plan.at(`wall.${index}`), false), wallLength(plan.at(`wall.${next}`), true), wallLength(walls(plan, index).before, false)],
  lines(plan, line) {
    const { key, a, b } = line;
    const to = `${key}.to`;
    const length = { name: "Length", value: far(a, b), at: mid(a, b), apply: (doc, long) => setAt(doc, to, pairOf(stretched(a, b, long), doc.units, getAt(doc, to))) };
    return shared(line) ? [length, offset(plan, line, shared(line), plus(a, times(minus(b, a), 0.2)))] : [length];
  },
  openings(plan, box) {
    const { key, low, high, size } = box;
    const side = (i, name, value, at) => ({ name, value, at, apply: (doc, long) => setAt(doc, `${key}.size.${i}`, formatLength(long, doc.units)) });
    const { x, y } = mid(low, high);
    return [side(0, "Width", size.x, pt(x, low.y)), side(1, "Depth", size.y, pt(high.x, y)), offset(plan, box, "x", pt(low.x, high.y)), offset(plan, box, "y")];
  },
  point_loads: (plan, spot) => [offset(plan, spot, "x"), offset(plan, spot, "y")],
  bays: (plan, bay) => bordersOf(plan, bay).filter(shared).map((border) => offset(plan, bay, shared(border), mid(border.a, border.b), (doc, by) => moveBorder(doc, border, by))),
};
FIELDS.supports = FIELDS.partitions = FIELDS.lines;

/** The fields of one selected thing. */
export function fieldsOf(doc, key) {
  const plan = readPlan(doc);
  const thing = plan.at(key);
  const ready = thing && (plan.corners.length > 2 || !/^(outline|wall)/.test(key));
  return ready ? FIELDS[thing.list](plan, thing) : [];
}

export class Dimensions {
  fields = [];
  inputs = [];

  constructor(root, store, view) {
    Object.assign(this, { root, store, view });
    store.on("doc selection", () => this.update());
    store.on("view", () => this.place());
  }

  update() {
    const { store } = this;
    this.fields = store.selection.size === 1 ? fieldsOf(store.doc, store.keys[0]) : [];
    const marks = this.fields.map((field) => field.name).join() + store.keys;
    if (marks !== this.marks) this.#build(marks);
    this.fields.forEach((field, i) => {
      const input = this.inputs[i];
      if (!input.dataset.typed) input.value = formatLength(Math.round(field.value), store.units);
    });
    this.place();
  }

  #build(marks) {
    this.marks = marks;
    this.inputs = this.fields.map((field, i) => el("input", {
      class: "pl-dim", "aria-label": field.name, title: field.name, autocomplete: "off", spellcheck: "false", disabled: !this.store.mayChange,
      oninput: ({ target }) => { target.dataset.typed = "1"; target.removeAttribute("aria-invalid"); },
      onkeydown: (event) => this.#key(event, i),
      onchange: () => this.#apply(i),
    }));
    this.root.replaceChildren(...this.inputs);
  }

  #key(event, i) {
    event.stopPropagation();
    if (event.key === "Escape") delete this.inputs[i].dataset.typed;
    if (event.key === "Escape" || (event.key === "Enter" && this.#apply(i))) {
      event.preventDefault();
      this.store.emit("focus");
      this.update();
    }
  }

  /** Take what was typed; false where it is no length. */
  #apply(i) {
    const [field, input, { store }] = [this.fields[i], this.inputs[i], this];
    if (!input?.dataset.typed) return true;
    try {
      const length = parseLength(input.value, store.units, { negative: Boolean(field.negative) });
      delete input.dataset.typed;
      store.commit(field.apply(store.doc, length), `${field.name}: ${formatLength(length, store.units)}`);
      this.update();
      return true;
    } catch (error) {
      input.setAttribute("aria-invalid", "true");
      store.emit("said", error.message);
      return false;
    }
  }

  /** Type over the first length with what was begun. */
  begin(text) {
    const [input] = this.inputs;
    if (!input || input.disabled) return false;
    input.value = text;
    input.dataset.typed = "1";
    input.focus();
    return true;
  }

  /** Fields stand at their lengths, those that would meet one below the other. */
  place() {
    const taken = [];
    this.fields.forEach((field, i) => {
      const s = this.view.screen(field.at);
      const x = Math.min(Math.max(s.x, 50), this.view.width - 50);
      let y = Math.min(Math.max(s.y, 18), this.view.height - 18);
      while (taken.some((t) => Math.abs(t.x - x) < ROOM.x && Math.abs(t.y - y) < ROOM.y)) y += ROOM.y + 2;
      taken.push({ x, y });
      Object.assign(this.inputs[i].style, { left: `${x}px`, top: `${y}px` });
    });
  }
}
