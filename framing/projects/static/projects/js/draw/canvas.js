// The plan as drawn by the person: outline, walls, bearings, openings, partitions, bays; what is selected and lit.
// The engine's members come from framing.js. Plan inches lie under one matrix; words and handles keep their size.

import { byId, el, svg } from "./dom.js";
import { mid, minus, pt } from "./geometry.js";
import { formatLength } from "./lengths.js";
import { nameOf, readPlan, wallKind } from "./plan.js";
import { drawFrame, drawGhost, drawPlaces } from "./framing.js";

const IN = 16;
const MARK_PX = 9;
export const d = (points, close = false) =>
  points.map((p, i) => `${i ? "L" : "M"}${p.x / IN} ${p.y / IN}`).join("") + (close ? "Z" : "");

export class Canvas {
  constructor(root, store, view) {
    Object.assign(this, { root, store, view, ghostShapes: [] });
    this.layers = {};
    this.plan = svg("g", { class: "pl-plan" });
    for (const name of ["under", "grid", "floor", "ghost", "frame", "things", "lit", "tool"]) {
      this.plan.append((this.layers[name] = svg("g", { class: `pl-${name}` })));
    }
    this.layers.over = svg("g", { class: "pl-over" });
    this.layers.labels = svg("g", { class: "pl-labels" });
    root.append(svg("defs", {}, hatch()), this.plan, this.layers.labels, this.layers.over);
    store.on("doc selection", () => this.later());
    store.on("answer ghost", () => { this.frameOld = true; this.later(); });
    store.on("lit", () => this.later());
  }

  /** Draw once before the next frame, however much changed. */
  later() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => { this.waiting = false; this.draw(); });
  }

  draw() {
    const { store, layers } = this;
    this.read = readPlan(store.doc);
    this.move();
    layers.floor.replaceChildren(...this.floor());
    layers.things.replaceChildren(...this.things());
    if (this.frameOld !== false) {
      layers.frame.replaceChildren(...drawFrame(store.frame));
      layers.ghost.replaceChildren(...drawGhost(store.ghost));
      this.frameOld = false;
      store.emit("drawn");
    }
    layers.frame.classList.toggle("pl-old", Boolean(store.answer && store.answer.state !== "drawn"));
    layers.lit.replaceChildren(...drawPlaces(store.lit, store.frame));
  }

  /** What changes with pan and zoom alone. */
  move() {
    const { view, layers, store } = this;
    this.plan.setAttribute("transform", view.matrix);
    const px = 1 / (view.scale * IN);
    this.plan.setAttribute("stroke-width", px);
    this.read ??= readPlan(store.doc);
    layers.grid.replaceChildren(...this.grid());
    layers.labels.replaceChildren(...this.labels(), ...this.problems());
    layers.over.replaceChildren(...this.handles());
    this.store.emit("view");
  }

  grid() {
    const step = this.view.step(this.store.units, 24);
    const [a, b] = [this.view.plan(pt(0, this.view.height)), this.view.plan(pt(this.view.width, 0))];
    const lines = [];
    for (let x = Math.ceil(a.x / step) * step; x < b.x; x += step) lines.push(`M${x / IN} ${a.y / IN}V${b.y / IN}`);
    for (let y = Math.ceil(a.y / step) * step; y < b.y; y += step) lines.push(`M${a.x / IN} ${y / IN}H${b.x / IN}`);
    return [svg("path", { d: lines.join(""), class: "pl-grid-line" })];
  }

  has(key) {
    return this.store.selection.has(key);
  }

  floor() {
    const { corners, walls, bays } = this.read;
    if (!corners.length) return [];
    const shapes = [svg("path", { class: "pl-ground", d: d(corners, !this.store.unfinished) })];
    for (const bay of bays) {
      if (bay.ring) shapes.push(svg("path", { class: `pl-bay${this.has(bay.key) ? " pl-chosen" : ""}`, d: d(bay.ring, true) }));
    }
    const shown = this.store.unfinished ? walls.slice(0, -1) : walls;
    const drawn = this.store.answer?.doc === this.store.doc ? this.store.answer.drawn : null;
    for (const wall of shown) {
      const kind = wallKind(this.store.doc, this.read, wall.index, drawn);
      const chosen = this.has(wall.key) ? " pl-chosen" : "";
      shapes.push(svg("path", { class: `pl-wall pl-${kind}${chosen}`, d: d([wall.a, wall.b]) }));
    }
    return shapes;
  }

  things() {
    const { supports, openings, partitions } = this.read;
    return [
      ...supports.flatMap((line) => this.support(line)),
      ...partitions.map((line) => svg("path", { class: this.look(line, `pl-partition${line.entry.bearing ? " pl-bearing" : ""}`), d: d([line.a, line.b]) })),
      ...openings.flatMap((o) => this.opening(o)),
    ];
  }

  look(thing, name) {
    return `${name}${this.has(thing.key) ? " pl-chosen" : ""}`;
  }

  support(line) {
    const kind = line.entry.kind ?? "wall";
    if (kind === "flush_beam") return [svg("path", { class: this.look(line, "pl-flush"), d: d([line.a, line.b]) })];
    const wide = (line.width ?? 56) / IN;
    return [
      svg("path", { class: this.look(line, `pl-support pl-on-${kind}`), d: d([line.a, line.b]), "stroke-width": wide }),
      svg("path", { class: "pl-centre", d: d([line.a, line.b]) }),
    ];
  }

  opening(o) {
    const [a, c] = [o.low, o.high];
    return [
      svg("path", { class: this.look(o, "pl-opening"), d: d([a, pt(c.x, a.y), c, pt(a.x, c.y)], true) }),
      svg("path", { class: "pl-diagonal", d: d([a, c]) }),
    ];
  }

  labels() {
    const { walls, openings, supports, bays } = this.read;
    const shown = this.store.unfinished ? walls.slice(0, -1) : walls;
    const at = (p, words, name, dx = 0, dy = 0) => {
      const s = this.view.screen(p);
      return svg("text", { class: name, x: s.x + dx, y: s.y + dy }, words);
    };
    return [
      ...shown.map((wall) => this.wallLength(wall)).filter(Boolean),
      ...openings.map((o) => at(mid(o.low, o.high), o.entry.name || o.entry.id, "pl-name")),
      ...supports.map((line) => at(mid(line.a, line.b), line.entry.id, "pl-name", 0, -10)),
      ...bays.filter((bay) => bay.ring).map((bay) => at(middle(bay.ring), `Bay ${bay.entry.id}`, "pl-name pl-bay-name")),
    ];
  }

  wallLength(wall) {
    const [a, b] = [this.view.screen(wall.a), this.view.screen(wall.b)];
    const way = minus(b, a);
    const long = Math.hypot(way.x, way.y);
    if (long < 46) return null;
    const turned = this.turned ?? 1;
    const off = pt((-way.y / long) * 16 * turned, (way.x / long) * 16 * turned);
    let angle = (Math.atan2(way.y, way.x) * 180) / Math.PI;
    if (angle > 90 || angle <= -90) angle += 180;
    const m = mid(a, b);
    const length = Math.round(Math.hypot(wall.b.x - wall.a.x, wall.b.y - wall.a.y));
    const [x, y] = [m.x + off.x, m.y + off.y];
    return svg("text", { class: "pl-length", x, y, transform: `rotate(${angle} ${x} ${y})` }, formatLength(length, this.store.units));
  }

  problems() {
    const answer = this.store.answer;
    if (!answer || answer.doc !== this.store.settled) {
      this.calls([]);
      return [];
    }
    const spots = [...answer.problems.map((p) => [p, "bad"]), ...answer.warnings.map((p) => [p, "care"])];
    this.calls(answer.problems);
    return spots.filter(([p]) => p.x !== null && p.x !== undefined).map(([p, tone]) => {
      const s = this.view.screen(pt(p.x * IN, p.y * IN));
      const shape = tone === "bad" ? octagon(s) : `M${s.x} ${s.y - 10}L${s.x + 10} ${s.y + 8}H${s.x - 10}Z`;
      return svg("g", { class: `pl-mark pl-mark-${tone}` }, svg("title", {}, p.message), svg("path", { d: shape }),
        svg("text", { x: s.x, y: s.y + 5 }, "!"));
    });
  }

  /** The words of the first problems beside their marks; the panel tells all of them. */
  calls(problems) {
    const shown = problems.filter((p) => p.x !== null && p.x !== undefined).slice(0, 3);
    byId("draw-calls").replaceChildren(...shown.map((p) => {
      const s = this.view.screen(pt(p.x * IN, p.y * IN));
      const call = el("p", { class: "pl-call" }, p.message);
      call.style.left = `${Math.max(4, Math.min(s.x + 14, this.view.width - 230))}px`;
      call.style.top = `${Math.max(4, Math.min(s.y + 10, this.view.height - 70))}px`;
      return call;
    }));
  }

  /** Squares at corners and ends that can be dragged. */
  handles() {
    if (!this.store.mayChange) return [];
    const { corners, supports, partitions } = this.read;
    const lines = [...supports, ...partitions].filter((line) => this.has(line.key));
    const spots = [...corners.map((c) => [c, this.has(c.key)]), ...lines.flatMap((l) => [[l.a, true], [l.b, true]])];
    return spots.map(([p, chosen]) => {
      const s = this.view.screen(p);
      const half = MARK_PX / 2;
      return svg("rect", { class: `pl-handle${chosen ? " pl-chosen" : ""}`, x: s.x - half, y: s.y - half, width: MARK_PX, height: MARK_PX });
    });
  }

  /** What the tool shows while it is used; `shapes` are in sixteenths. */
  tool({ lines = [], guides = [], at = null, box = null } = {}) {
    const shapes = guides.map((g) => svg("path", { class: "pl-guide", d: d([g.from, g.to]) }));
    if (box) shapes.push(svg("path", { class: "pl-marquee", d: d([box.low, pt(box.high.x, box.low.y), box.high, pt(box.low.x, box.high.y)], true) }));
    shapes.push(...lines.map((points) => svg("path", { class: "pl-rubber", d: d(points) })));
    if (at) {
      const r = 7 / (this.view.scale * IN);
      const [x, y] = [at.x / IN, at.y / IN];
      shapes.push(svg("path", { class: "pl-cursor", d: `M${x - r} ${y}H${x + r}M${x} ${y - r}V${y + r}` }));
    }
    this.layers.tool.replaceChildren(...shapes);
  }

  name(key) {
    return nameOf(this.store.doc, key);
  }
}

function middle(ring) {
  return pt(ring.reduce((s, p) => s + p.x, 0) / ring.length, ring.reduce((s, p) => s + p.y, 0) / ring.length);
}

function octagon({ x, y }) {
  const [a, b] = [4, 10];
  return `M${x - a} ${y - b}H${x + a}L${x + b} ${y - a}V${y + a}L${x + a} ${y + b}H${x - a}L${x - b} ${y + a}V${y - a}Z`;
}

function hatch() {
  return svg("pattern", { id: "pl-screen", width: 3, height: 3, patternUnits: "userSpaceOnUse" }, svg("circle", { cx: 1.5, cy: 1.5, r: 0.45, class: "pl-dot" }));
}
