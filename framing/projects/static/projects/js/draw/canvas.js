// The plan as drawn by the person: outline, walls, bearings, openings, partitions, loads, bays; what is selected and lit.
// The engine's members come from framing.js. Plan inches lie under one matrix; words and handles keep their size.

import { byId, el, svg } from "./dom.js";
import { framePaths, ghostPaths, litPaths } from "./framing.js";
import { boxRing, mid, minus, plus, pt, sides, times } from "./geometry.js";
import { formatLength } from "./lengths.js";
import { nameOf } from "./parts.js";
import { bordersOf, readPlan, wallKind } from "./plan.js";

const IN = 16;
const HANDLE_PX = matchMedia("(pointer: coarse)").matches ? 14 : 9;
const SHORT_PX = 46; // a wall that is shorter on the screen shows no length
const d = (points, close = false) => points.map((p, i) => `${i ? "L" : "M"}${p.x / IN} ${p.y / IN}`).join("") + (close ? "Z" : "");
const square = ({ x, y }, half) => `M${x - half} ${y - half}h${2 * half}v${2 * half}h${-2 * half}Z`;

/** Make the children of `root` paths of these [class, path, attributes]; only what changed is written. */
function paths(root, wanted) {
  const nodes = [...root.children];
  wanted.forEach(([name, line, more = {}], i) => {
    const node = nodes[i] ?? root.appendChild(svg("path"));
    const now = { class: name, d: line, fill: more.fill };
    for (const [key, value] of Object.entries(now)) {
      if (node[`_${key}`] === value) continue;
      node[`_${key}`] = value;
      if (value === undefined) node.removeAttribute(key);
      else node.setAttribute(key, value);
    }
  });
  for (const node of nodes.slice(wanted.length)) node.remove();
}

export class Canvas {
  layers = {};
  old = true; // the members on the sheet are not those of the last answer

  constructor(root, store, view) {
    Object.assign(this, { root, store, view });
    this.plan = svg("g", { class: "pl-plan" });
    for (const name of ["under", "grid", "floor", "ghost", "frame", "things", "lit", "tool", "labels", "over", "made"]) {
      this.layers[name] = svg("g", { class: `pl-${name}` });
      (["labels", "over", "made"].includes(name) ? root : this.plan).append(this.layers[name]);
    }
    const dots = svg("pattern", { id: "pl-screen", width: 3, height: 3, patternUnits: "userSpaceOnUse" }, svg("circle", { cx: 1.5, cy: 1.5, r: 0.5, class: "pl-dot" }));
    root.prepend(svg("defs", {}, dots), this.plan);
    store.on("doc selection lit", () => this.later());
    store.on("answer ghost", () => { this.old = true; this.later(); });
  }

  /** Draw once before the next frame, however much changed. */
  later() {
    this.waiting ||= requestAnimationFrame(() => { this.waiting = 0; this.draw(); });
  }

  draw() {
    const { store, layers } = this;
    this.read = readPlan(store.doc);
    this.move();
    paths(layers.floor, this.#floor());
    paths(layers.things, this.#things());
    if (this.old) {
      paths(layers.frame, framePaths(store.frame));
      paths(layers.ghost, ghostPaths(store.ghost));
      this.old = false;
      store.emit("drawn");
    }
    layers.frame.classList.toggle("pl-old", Boolean(store.answer && store.answer.state !== "drawn"));
    paths(layers.lit, litPaths(store.lit, store.frame));
  }

  /** What changes with pan and zoom alone. */
  move() {
    const { view, layers } = this;
    this.plan.setAttribute("transform", view.matrix);
    this.read ??= readPlan(this.store.doc);
    paths(layers.grid, [["pl-grid-line", this.#grid(24)], ["pl-grid-line pl-major", this.#grid(110)]]);
    layers.labels.replaceChildren(...this.#labels(), ...this.#problems());
    paths(layers.over, this.#handles());
    this.store.emit("view");
  }

  #grid(least) {
    const step = this.view.step(this.store.units, least);
    const [a, b] = [this.view.plan(pt(0, this.view.height)), this.view.plan(pt(this.view.width, 0))];
    const lines = [];
    for (let x = Math.ceil(a.x / step) * step; x < b.x; x += step) lines.push(`M${x / IN} ${a.y / IN}V${b.y / IN}`);
    for (let y = Math.ceil(a.y / step) * step; y < b.y; y += step) lines.push(`M${a.x / IN} ${y / IN}H${b.x / IN}`);
    return lines.join("");
  }

  #look({ key }, name) {
    return `${name}${this.store.selection.has(key) ? " pl-chosen" : ""}`;
  }

  #floor() {
    const { store, read: { corners, walls, bays } } = this;
    if (!corners.length) return [];
    const drawn = store.answer?.doc === store.doc ? store.answer.drawn : null;
    return [
      ["pl-ground", d(corners, true)],
      ...bays.filter((bay) => bay.ring).map((bay) => [this.#look(bay, "pl-bay"), d(bay.ring, true)]),
      ...walls.map((wall) => [this.#look(wall, `pl-wall pl-${wallKind(store.doc, this.read, wall.index, drawn)}`), d([wall.a, wall.b])]),
      ...walls.map((wall) => [wallKind(store.doc, this.read, wall.index, drawn) === "platform" ? "pl-between" : "pl-none", d([wall.a, wall.b])]),
    ];
  }

  #things() {
    const { supports, openings, partitions } = this.read;
    return [
      ...supports.flatMap((line) => this.#support(line)),
      ...partitions.map((line) => [this.#look(line, `pl-partition${line.entry.bearing ? " pl-bearing" : ""}`), d([line.a, line.b])]),
      ...openings.flatMap((o) => [[this.#look(o, "pl-opening"), d(boxRing(o), true)], ["pl-diagonal", d([o.low, o.high])]]),
    ];
  }

  /** A wall as two lines with a screen of dots between, a beam the same with a dash-dot line, a flush beam as one. */
  #support(line) {
    const kind = line.entry.kind ?? "wall";
    const { a, b } = line;
    if (kind === "flush_beam") return [[this.#look(line, "pl-flush"), d([a, b])]];
    const way = minus(b, a);
    const off = times(pt(-way.y, way.x), (line.width ?? 56) / 2 / (Math.hypot(way.x, way.y) || 1));
    const band = d([plus(a, off), plus(b, off), minus(b, off), minus(a, off)], true);
    return [[this.#look(line, `pl-support pl-on-${kind}`), band, { fill: "url(#pl-screen)" }], ...(kind === "beam" ? [["pl-centre", d([a, b])]] : [])];
  }

  #labels() {
    const { walls, openings, lines, spots, bays } = this.read;
    return [
      ...walls.flatMap((wall) => this.#length(wall)),
      ...openings.map((o) => this.#text(mid(o.low, o.high), o.entry.name || o.entry.id)),
      ...lines.filter(({ list, entry }) => list === "supports" || entry.load_plf).map((line) => this.#text(mid(line.a, line.b), `${line.entry.id}${line.entry.load_plf ? ` ${line.entry.load_plf} plf` : ""}`, "pl-name", -12)),
      ...spots.flatMap((spot) => this.#spot(spot)),
      ...bays.filter((bay) => bay.ring).map((bay) => this.#text(times(bay.ring.reduce(plus), 1 / bay.ring.length), `Bay ${bay.entry.id}`, "pl-name pl-bay-name")),
    ];
  }

  #text(p, words, name = "pl-name", up = 0) {
    const s = this.view.screen(p);
    return svg("text", { class: name, x: s.x, y: s.y + up }, words);
  }

  /** A point load: a triangle that stands on its place, with its name and load. */
  #spot(spot) {
    const { name, id, dead_lb: dead, live_lb: live } = spot.entry;
    const { x, y } = this.view.screen(spot.a);
    return [svg("path", { class: this.#look(spot, "pl-spot"), d: `M${x} ${y}l-7 -12h14Z` }), this.#text(spot.a, `${name || id} ${(dead || 0) + (live || 0)} lb`, "pl-name", -22)];
  }

  /** The length of a wall on a line beside it, ticked at both ends. */
  #length({ a: from, b: to }) {
    const [a, b] = [from, to].map((p) => this.view.screen(p));
    const way = minus(b, a);
    const long = Math.hypot(way.x, way.y);
    if (long < SHORT_PX) return [];
    const u = times(way, 1 / long);
    const off = pt(-u.y * 22, u.x * 22);
    const [p, q] = [plus(a, off), plus(b, off)];
    const tick = (at) => `M${at.x - 4 * (u.x - u.y)} ${at.y - 4 * (u.x + u.y)}L${at.x + 4 * (u.x - u.y)} ${at.y + 4 * (u.x + u.y)}`;
    const { x, y } = mid(p, q);
    const turned = (Math.atan2(way.y, way.x) * 180) / Math.PI;
    const angle = turned > 90 || turned <= -90 ? turned + 180 : turned;
    const words = formatLength(Math.round(Math.hypot(to.x - from.x, to.y - from.y)), this.store.units);
    return [svg("path", { class: "pl-string", d: `M${p.x} ${p.y}L${q.x} ${q.y}${tick(p)}${tick(q)}` }), svg("text", { class: "pl-length", x, y, transform: `rotate(${angle} ${x} ${y})` }, words)];
  }

  #problems() {
    const { answer, settled } = this.store;
    const { problems, warnings } = answer?.doc === settled ? answer : { problems: [], warnings: [] };
    const placed = (list, tone) => list.filter((p) => Number.isFinite(p.x)).map((p) => ({ ...p, tone, at: this.view.screen(pt(p.x * IN, p.y * IN)) }));
    const [bad, care] = [placed(problems, "bad"), placed(warnings, "care")];
    this.#calls(bad.slice(0, 3));
    return [...care, ...bad].map(({ message, tone, at: { x, y } }) => svg("g", { class: `pl-mark pl-mark-${tone}`, transform: `translate(${x} ${y})` },
      svg("title", {}, message), svg("path", { d: tone === "bad" ? "M-4-10H4L10-4V4L4 10H-4L-10 4V-4Z" : "M0-10L10 8H-10Z" }), svg("text", { y: 5 }, "!")));
  }

  /** The words of the first problems beside their marks; the panel tells all of them. */
  #calls(shown) {
    byId("draw-calls").replaceChildren(...shown.map(({ message, at }) => {
      const call = el("p", { class: "pl-call" }, message);
      call.style.left = `${Math.max(4, Math.min(at.x + 14, this.view.width - 230))}px`;
      call.style.top = `${Math.max(4, Math.min(at.y + 10, this.view.height - 70))}px`;
      return call;
    }));
  }

  /** Squares at what can be dragged: corners, ends of the selected lines, borders of the selected bays. */
  #handles() {
    if (!this.store.mayChange) return [];
    const { corners, lines, bays } = this.read;
    const mine = (things) => things.filter(({ key }) => this.store.selection.has(key));
    const chosen = [...mine(lines).flatMap((line) => [line.a, line.b]), ...mine(bays).flatMap((bay) => bordersOf(this.read, bay).map(({ a, b }) => mid(a, b)))];
    const handle = (p, name) => [name, square(this.view.screen(p), HANDLE_PX / 2)];
    return [...corners.map((corner) => handle(corner, this.#look(corner, "pl-handle"))), ...chosen.map((p) => handle(p, "pl-handle pl-chosen"))];
  }

  /** What the tool shows while it is used, in sixteenths; `drawn` are the places that it has got so far. */
  tool({ lines = [], guides = [], at = null, box = null, drawn = [] } = {}) {
    const r = 7 / (this.view.scale * IN);
    paths(this.layers.tool, [
      ...guides.map(({ from, to }) => ["pl-guide", d([from, to])]),
      ...(box ? [["pl-marquee", d(boxRing(box), true)]] : []),
      ...lines.map((points) => ["pl-rubber", d(points)]),
      ...(at ? [["pl-cursor", `M${at.x / IN - r} ${at.y / IN}h${2 * r}m${-r} ${-r}v${2 * r}`]] : []),
    ]);
    const marks = drawn.map((p) => svg("path", { class: "pl-handle", d: square(this.view.screen(p), HANDLE_PX / 2) }));
    this.layers.made.replaceChildren(...sides(drawn).slice(0, -1).flatMap((side) => this.#length(side)), ...marks);
  }

  name(key) {
    return nameOf(this.store.doc, key);
  }
}
