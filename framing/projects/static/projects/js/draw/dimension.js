// Lengths of what is selected, shown on the plan as fields that can be typed over, also while a drag goes on.

import { el } from "./dom.js";
import { getAt, pairOf, setAt, setWallLength, shift, stretched } from "./edits.js";
import { along, bounds, far, mid, pt, shared } from "./geometry.js";
import { formatLength, parseLength } from "./lengths.js";
import { bordersOf, readPlan } from "./plan.js";
import { moveBorder } from "./transforms.js";

const FROM_LOW = { x: "Across from the left wall", y: "Up from the low wall" };
const ROOM = { x: 104, y: 34 }; // px that a field takes

const wallLength = ({ index, a, b }, moveStart) => ({
  name: `Length of wall ${index + 1}`, value: far(a, b), at: mid(a, b),
  apply: (doc, length) => setWallLength(doc, index, length, moveStart),
});

/** How far a thing stands from the floor's low side along an axis; typing another length moves it. */
function offset(plan, key, axis, from, at, move = (doc, by) => shift(doc, [key], by)) {
  const value = from - (bounds(plan.corners)?.low[axis] ?? 0);
  return { name: FROM_LOW[axis], value, at, negative: true, apply: (doc, length) => move(doc, along(axis, length - value)) };
}

function line(plan, { key, a, b }) {
  const { low } = bounds([...plan.corners, a]);
  const axis = shared(a, b);
  const length = {
    name: "Length", value: far(a, b), at: mid(a, b),
    apply: (doc, long) => setAt(doc, `${key}.to`, pairOf(stretched(a, b, long), doc.units, getAt(doc, `${key}.to`))),
  };
  const near = pt(a.x + (b.x - a.x) * 0.2, a.y + (b.y - a.y) * 0.2);
  return axis ? [length, offset(plan, key, axis, a[axis], { ...near, [axis]: (a[axis] + low[axis]) / 2 })] : [length];
}

function box(plan, { key, low, high, size }) {
  const zero = bounds([...plan.corners, low]).low;
  const side = (i, name, axis, at) => ({ name, value: size[axis], at, apply: (doc, long) => setAt(doc, `${key}.size.${i}`, formatLength(long, doc.units)) });
  return [
    side(0, "Width", "x", pt((low.x + high.x) / 2, low.y)), side(1, "Depth", "y", pt(high.x, (low.y + high.y) / 2)),
    offset(plan, key, "x", low.x, pt((zero.x + low.x) / 2, high.y)), offset(plan, key, "y", low.y, pt(low.x, (zero.y + low.y) / 2)),
  ];
}

const FIELDS = {
  outline: (plan, { index }) => [...plan.walls.filter((wall) => wall.next === index).map((wall) => wallLength(wall, false)), wallLength(plan.at(`wall.${index}`), true)],
  wall: (plan, wall) => [wallLength(wall, false), wallLength(plan.at(`wall.${wall.next}`), true), ...plan.walls.filter((one) => one.next === wall.index).map((one) => wallLength(one, false))],
  supports: line, partitions: line, openings: box,
  point_loads: (plan, { key, a }) => ["x", "y"].map((axis) => offset(plan, key, axis, a[axis], a)),
  bays: (plan, bay) => bordersOf(plan, bay).filter(({ a, b }) => shared(a, b)).map((border) => {
    const axis = shared(border.a, border.b);
    return offset(plan, bay.key, axis, border.a[axis], mid(border.a, border.b), (doc, by) => moveBorder(doc, border, by));
  }),
};

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
