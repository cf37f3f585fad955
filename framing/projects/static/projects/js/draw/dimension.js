// Lengths of what is selected, shown on the plan as fields that can be typed over, also while a drag goes on.

import { el } from "./dom.js";
import { bounds, far, mid, pt } from "./geometry.js";
import { formatLength, parseLength } from "./lengths.js";
import { getAt, mapEntry, pairOf, setAt, setWallLength, stretched } from "./edits.js";
import { readPlan } from "./plan.js";

const whole = (value) => Math.round(value);

function wallField(plan, index, moveStart, name) {
  const wall = plan.walls.find((w) => w.index === index);
  if (!wall) return [];
  return [{
    id: `wall.${index}.${moveStart}`, name: name ?? `Length of wall ${index + 1}`, value: whole(far(wall.a, wall.b)), at: mid(wall.a, wall.b),
    apply: (doc, length) => setWallLength(doc, index, length, moveStart),
  }];
}

function lineFields(plan, line) {
  const [list, index] = line.key.split(".");
  const box = bounds(plan.corners);
  const fields = [{
    id: `${line.key}.length`, name: "Length", value: whole(far(line.a, line.b)), at: mid(line.a, line.b),
    apply: (doc, length) => setAt(doc, `${line.key}.to`, pairOf(stretched(line.a, line.b, length), doc.units, getAt(doc, `${line.key}.to`))),
  }];
  const level = line.a.y === line.b.y;
  if (box && (level || line.a.x === line.b.x)) {
    const axis = level ? "y" : "x";
    const from = line.a[axis] - box.low[axis];
    const at = level ? pt(line.a.x + (line.b.x - line.a.x) * 0.2, (line.a.y + box.low.y) / 2) : pt((line.a.x + box.low.x) / 2, line.a.y + (line.b.y - line.a.y) * 0.2);
    fields.push(offset(`${line.key}.${axis}`, level ? "Up from the low wall" : "Across from the left wall", list, index, axis, from, at));
  }
  return fields;
}

function offset(id, name, list, index, axis, value, at) {
  return {
    id, name, value, at, negative: true,
    apply: (doc, length) => {
      const by = length - value;
      const fn = (p) => (axis === "x" ? pt(p.x + by, p.y) : pt(p.x, p.y + by));
      return setAt(doc, `${list}.${index}`, mapEntry(list, doc[list][index], fn, doc.units));
    },
  };
}

function boxFields(plan, o) {
  const [list, index] = o.key.split(".");
  const box = bounds(plan.corners) ?? { low: pt(0, 0) };
  const size = (i, name, at) => ({
    id: `${o.key}.size.${i}`, name, value: i ? o.size.y : o.size.x, at,
    apply: (doc, length) => setAt(doc, `${o.key}.size.${i}`, formatLength(length, doc.units)),
  });
  return [
    size(0, "Width", pt((o.low.x + o.high.x) / 2, o.low.y)),
    size(1, "Depth", pt(o.high.x, (o.low.y + o.high.y) / 2)),
    offset(`${o.key}.x`, "Across from the left wall", list, index, "x", o.low.x - box.low.x, pt((box.low.x + o.low.x) / 2, o.high.y)),
    offset(`${o.key}.y`, "Up from the low wall", list, index, "y", o.low.y - box.low.y, pt(o.low.x, (box.low.y + o.low.y) / 2)),
  ];
}

/** The fields of one selected thing. */
export function fieldsOf(doc, key) {
  const plan = readPlan(doc);
  const [list, text] = key.split(".");
  const index = Number(text);
  const count = doc.outline.length;
  if (list === "outline" && count > 2) return [...wallField(plan, (index + count - 1) % count, false), ...wallField(plan, index, true)];
  if (list === "wall" && count > 2) return [...wallField(plan, index, false), ...wallField(plan, (index + 1) % count, true), ...wallField(plan, (index + count - 1) % count, false)];
  const line = [...plan.supports, ...plan.partitions].find((l) => l.key === key);
  if (line) return lineFields(plan, line);
  const box = plan.openings.find((o) => o.key === key);
  return box ? boxFields(plan, box) : [];
}

export class Dimensions {
  constructor(root, store, view) {
    Object.assign(this, { root, store, view, fields: [], inputs: [] });
    store.on("doc selection", () => this.update());
    store.on("view", () => this.place());
  }

  update() {
    const { store } = this;
    const keys = store.keys;
    this.fields = keys.length === 1 && !store.unfinished ? fieldsOf(store.doc, keys[0]) : [];
    const ids = this.fields.map((field) => field.id).join();
    if (ids !== this.ids) this.#build(ids);
    this.fields.forEach((field, i) => {
      const input = this.inputs[i];
      if (input !== document.activeElement || !input.dataset.typed) input.value = formatLength(field.value, store.units);
    });
    this.place();
  }

  #build(ids) {
    this.ids = ids;
    const disabled = !this.store.mayChange;
    this.inputs = this.fields.map((field, i) => el("input", {
      class: "pl-dim", "aria-label": field.name, title: field.name, autocomplete: "off", spellcheck: "false", disabled,
      oninput: (event) => { event.target.dataset.typed = "1"; event.target.removeAttribute("aria-invalid"); },
      onkeydown: (event) => this.#key(event, i),
      onchange: () => this.#apply(i),
    }));
    this.root.replaceChildren(...this.inputs);
  }

  #key(event, i) {
    event.stopPropagation();
    if (event.key === "Enter") { event.preventDefault(); if (this.#apply(i)) this.store.emit("focus"); }
    if (event.key === "Escape") {
      delete this.inputs[i].dataset.typed;
      this.store.emit("focus");
      this.update();
    }
  }

  #apply(i) {
    const [field, input] = [this.fields[i], this.inputs[i]];
    if (!input?.dataset.typed) return true;
    try {
      const length = parseLength(input.value, this.store.units, { negative: Boolean(field.negative) });
      delete input.dataset.typed;
      this.store.commit(field.apply(this.store.doc, length), `${field.name}: ${formatLength(length, this.store.units)}`);
      this.update();
      return true;
    } catch (error) {
      input.setAttribute("aria-invalid", "true");
      this.store.emit("said", error.message);
      return false;
    }
  }

  /** Type over the first length with what was begun. */
  begin(text) {
    const input = this.inputs[0];
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
      let [x, y] = [Math.min(Math.max(s.x, 50), this.view.width - 50), Math.min(Math.max(s.y, 18), this.view.height - 18)];
      while (taken.some((t) => Math.abs(t.x - x) < 104 && Math.abs(t.y - y) < 34)) y += 36;
      taken.push({ x, y });
      this.inputs[i].style.left = `${x}px`;
      this.inputs[i].style.top = `${y}px`;
    });
  }
}
