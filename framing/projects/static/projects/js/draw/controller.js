// Pointer, wheel and fingers on the canvas: which tool gets which place, and what pans and zooms.

import { far, pt } from "./geometry.js";
import { formatLength } from "./lengths.js";
import { extent, readPlan } from "./plan.js";
import { SelectTool } from "./select.js";
import { anchorsOf, snap, tracksOf } from "./snapping.js";
import { drawingTools } from "./tools.js";

const REACH_PX = { mouse: 9, pen: 12, touch: 20 };
const CLICK_PX = 6;

export class Controller {
  constructor({ root, store, view, canvas, dimensions, tip }) {
    Object.assign(this, { root, store, view, canvas, dimensions, tip });
    this.tools = { select: new SelectTool(store), ...drawingTools(store) };
    this.tool = this.tools.select;
    this.fingers = new Map();
    this.listen();
    store.on("tool", (name) => this.use(name));
    store.on("outlined", () => { this.use("select"); this.fit(); });
    store.on("doc selection", () => this.store.emit("prompt"));
  }

  listen() {
    const { root } = this;
    root.addEventListener("pointerdown", (event) => this.down(event));
    root.addEventListener("pointermove", (event) => this.move(event));
    root.addEventListener("pointerup", (event) => this.up(event));
    root.addEventListener("pointercancel", (event) => this.gone(event));
    root.addEventListener("pointerleave", () => { if (!this.pressed) this.hover(null); });
    root.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    // without the mouse events that a browser makes up after a touch: they would press the field that just appeared
    root.addEventListener("touchstart", (event) => { if (!event.target.closest("input")) event.preventDefault(); }, { passive: false });
    root.addEventListener("contextmenu", (event) => event.preventDefault());
    root.addEventListener("dblclick", (event) => this.twice(event));
  }

  use(name) {
    if (!this.tools[name] || (name !== "select" && !this.store.mayChange)) return;
    if (this.tool.name !== name) this.tool.cancel?.();
    this.tool = this.tools[name];
    if (name !== "select") this.store.select([]);
    this.hover(null);
    this.root.dataset.tool = name;
    this.store.emit("using", name);
    this.store.emit("prompt");
  }

  px(event) {
    const box = this.root.getBoundingClientRect();
    return pt(event.clientX - box.left, event.clientY - box.top);
  }

  options(event) {
    const reach = (REACH_PX[event?.pointerType] ?? 9) / this.view.scale;
    return { reach, step: this.view.step(this.store.units), free: Boolean(event?.altKey), touch: event?.pointerType === "touch" };
  }

  /** The place that a drawing tool gets for a pointer place. */
  snapped(p, event) {
    const options = this.options(event);
    if (options.free) return { at: pt(Math.round(p.x), Math.round(p.y)), guides: [], why: "free" };
    const plan = readPlan(this.store.doc);
    return snap(p, { ...options, anchors: anchorsOf(plan), tracks: this.tool.name === "outline" && this.store.unfinished ? [] : tracksOf(plan), last: this.tool.last });
  }

  down(event) {
    if (event.target.closest("input")) return;
    this.root.focus({ preventScroll: true });
    const px = this.px(event);
    this.fingers.set(event.pointerId, px);
    this.root.setPointerCapture?.(event.pointerId);
    if (this.fingers.size === 2) return this.beginPinch();
    if (this.fingers.size > 2) return;
    this.pressed = { px, event };
    if (event.button === 1 || this.space) this.panning = px;
    else if (this.tool.name === "select") {
      const { reach, touch } = this.options(event);
      if (!this.tool.grab(this.view.plan(px), { reach, touch, add: event.shiftKey || this.adding })) this.panning = px;
    }
  }

  beginPinch() {
    this.tools.select.cancel();
    this.store.drop();
    this.panning = this.pressed = null;
    const [a, b] = [...this.fingers.values()];
    this.pinch = { long: far(a, b) || 1, mid: pt((a.x + b.x) / 2, (a.y + b.y) / 2) };
  }

  move(event) {
    const px = this.px(event);
    if (this.fingers.has(event.pointerId)) this.fingers.set(event.pointerId, px);
    if (this.pinch) return this.pinching();
    if (this.panning) {
      this.view.pan(px.x - this.panning.x, px.y - this.panning.y);
      this.panning = px;
      return this.canvas.move();
    }
    if (this.tool.name !== "select") return this.hover(px, event);
    if (this.pressed) this.canvas.tool(this.tool.pull(this.view.plan(px), this.options(event)));
  }

  pinching() {
    const [a, b] = [...this.fingers.values()];
    if (!b) return;
    const [long, mid] = [far(a, b) || 1, pt((a.x + b.x) / 2, (a.y + b.y) / 2)];
    this.view.pan(mid.x - this.pinch.mid.x, mid.y - this.pinch.mid.y);
    this.view.zoom(long / this.pinch.long, mid);
    this.pinch = { long, mid };
    this.canvas.move();
  }

  up(event) {
    const px = this.px(event);
    this.fingers.delete(event.pointerId);
    if (this.pinch) {
      if (!this.fingers.size) this.pinch = null;
      this.pressed = null;
      return;
    }
    const { pressed, panning } = this;
    this.pressed = this.panning = null;
    if (!pressed) return;
    if (this.tool.name === "select") {
      if (!panning) this.tool.drop();
      this.canvas.tool();
    } else if (!panning) this.click(pressed, px, event);
  }

  /** A click places one point; a drag of a line or box places two. */
  click(pressed, px, event) {
    const far2 = far(pressed.px, px) > CLICK_PX;
    if (far2 && this.tool.name !== "outline" && !this.tool.last) this.place(this.snapped(this.view.plan(pressed.px), pressed.event).at);
    this.place(this.snapped(this.view.plan(px), event).at);
    if (this.tool.name !== "select") this.hover(event.pointerType === "touch" ? null : px, event);
  }

  place(p) {
    this.tool.cursor = p;
    this.tool.place(p);
    this.store.emit("prompt");
    this.canvas.later();
  }

  gone(event) {
    this.fingers.delete(event.pointerId);
    this.pressed = this.panning = this.pinch = null;
    this.tool.cancel();
    this.canvas.tool();
  }

  hover(px, event) {
    if (!px || this.tool.name === "select") {
      this.canvas.tool();
      this.tip.hidden = true;
      return;
    }
    this.show(this.snapped(this.view.plan(px), event));
  }

  /** The cursor of a drawing tool, with the lengths so far beside it. */
  show(found) {
    this.tool.cursor = found.at;
    const preview = this.tool.preview(found.at);
    this.canvas.tool({ ...preview, guides: [...found.guides, ...(preview.guides ?? [])], at: found.at });
    const lengths = this.tool.lengths(found.at).map((length) => formatLength(length, this.store.units));
    const s = this.view.screen(found.at);
    this.tip.hidden = !lengths.length;
    this.tip.textContent = lengths.join(" × ");
    this.tip.style.left = `${Math.min(s.x + 14, this.view.width - 130)}px`;
    this.tip.style.top = `${Math.max(s.y - 34, 4)}px`;
  }

  /** Arrow keys with a drawing tool move its cursor by one step. */
  step(dx, dy, size) {
    const from = this.tool.cursor ?? this.tool.last ?? this.middle();
    this.show({ at: pt(from.x + dx * size, from.y + dy * size), guides: [] });
    this.store.emit("said", `${formatLength(this.tool.cursor.x, this.store.units)} across, ${formatLength(this.tool.cursor.y, this.store.units)} up`);
  }

  middle() {
    const box = extent(readPlan(this.store.doc));
    return box ? box.low : pt(0, 0);
  }

  wheel(event) {
    if (!event.ctrlKey && document.activeElement !== this.root) return;
    event.preventDefault();
    this.view.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0016)), this.px(event));
    this.canvas.move();
  }

  twice(event) {
    if (this.tool.name === "outline" && this.store.unfinished) return void this.tool.finish();
    if (this.tool.name !== "select" || !this.store.mayChange) return;
    const hit = this.store.keys[0];
    if (hit?.startsWith("wall.")) {
      this.tools.outline.insert(snapTo(this, event));
      this.store.select([]);
    }
  }

  fit() {
    this.view.fit(extent(readPlan(this.store.doc)));
    this.canvas.move();
  }

  zoom(factor) {
    this.view.zoom(factor);
    this.canvas.move();
  }
}

function snapTo(controller, event) {
  return controller.snapped(controller.view.plan(controller.px(event)), event).at;
}
