// The plan editor: puts the parts of the page together.

import { Canvas } from "./canvas.js";
import { Clash } from "./clash.js";
import { Controller } from "./controller.js";
import { Dimensions } from "./dimension.js";
import { byId } from "./dom.js";
import { remove } from "./edits.js";
import { bounds, mid, pt } from "./geometry.js";
import { Keeping, LOST } from "./keeping.js";
import { Keys } from "./keys.js";
import { Live } from "./live.js";
import { Panel } from "./panel.js";
import { Places } from "./places.js";
import { extent, readPlan } from "./plan.js";
import { setToken } from "./send.js";
import { Store } from "./store.js";
import { Table } from "./table.js";
import { copy, loose, mirror, turn } from "./transforms.js";
import { Versions } from "./versions.js";
import { View } from "./view.js";

const LISTS = { outline: [], edges: [], supports: [], openings: [], partitions: [], bays: [] };
const USUAL = { format: "spanyard.floor", version: 1, name: "", level: "1", units: "imperial", repeat: 1, load_case: { occupancy: "", live_psf: 40, layers: [], partition_psf: 0 }, overrides: { plies: [] } };

/** A document with every part there, so that a broken draft can still be drawn and mended. */
function whole(document) {
  const lists = Object.entries(LISTS).map(([name, empty]) => [name, Array.isArray(document[name]) ? document[name] : empty]);
  const result = { ...USUAL, ...document, ...Object.fromEntries(lists) };
  if (!result.bays.length) result.bays = [{ id: "A", direction: "y", spacing: "16" }];
  return result;
}

function begin() {
  const start = JSON.parse(byId("draw-start").content.textContent);
  start.document = whole(start.document);
  setToken(document.querySelector("#draw-token input")?.value ?? "");
  const store = new Store(start);
  const root = byId("draw-canvas");
  const view = new View(root.clientWidth, root.clientHeight);
  const canvas = new Canvas(byId("draw-svg"), store, view);
  const dimensions = new Dimensions(byId("draw-dims"), store, view);
  const controller = new Controller({ root, store, view, canvas, dimensions, tip: byId("draw-tip") });
  const table = new Table(byId("draw-table"), store);
  new Panel(store, new Places(store));
  new Versions(store);
  const keeping = new Keeping(store, new Clash(store));
  const live = new Live(store);
  const actions = makeActions({ store, controller, canvas, keeping, table, root });
  new Keys({ root, controller, store, actions, typed: byId("draw-typed") });
  wire({ store, controller, actions, keeping, live, root, view, canvas });
  controller.fit();
  canvas.draw();
  if (store.doc.outline.length > 2) live.change();
  else controller.use(store.mayChange ? "rectangle" : "select");
  prompt(store, controller);
  recall(store, keeping);
  if (start.urls.presence) keeping.presence();
  if (start.under !== undefined) {
    const parts = { store, canvas, view, controller, root, under: start.under, plansUrl: start.plans_url };
    import("./underlay.js").then(({ Underlay }) => new Underlay(parts));
  }
}

/** Bring back what an earlier visit could not send. */
function recall(store, keeping) {
  const kept = store.mayChange ? keeping.recall() : null;
  if (!kept || JSON.stringify(kept.document) === JSON.stringify(store.settled)) return;
  store.baseVersion = kept.base; // where somebody saved since, saving asks what to do
  store.commit(whole(kept.document), "What was kept in this browser is back");
}

function makeActions({ store, controller, keeping, table, root }) {
  const act = (fn) => () => { if (store.mayChange && !store.unfinished) fn(); };
  const many = (word) => (store.selection.size > 1 ? `${store.selection.size} things ${word}` : `Selected thing ${word}`);
  const step = (by) => {
    const plan = readPlan(store.doc);
    const all = [...plan.corners, ...plan.walls, ...plan.supports, ...plan.openings, ...plan.partitions, ...plan.bays].map((thing) => thing.key);
    if (!all.length) return;
    const at = all.indexOf(store.keys[0]);
    const key = all[(at + by + all.length + (at < 0 && by < 0 ? 1 : 0)) % all.length];
    controller.use("select");
    store.select([key]);
    store.emit("said", `${controller.canvas.name(key)} selected`);
  };
  return {
    save: () => keeping.save(),
    undo: () => store.undo() || store.emit("said", "Nothing to undo."),
    redo: () => store.redo() || store.emit("said", "Nothing to do again."),
    remove: act(() => {
      if (!store.selection.size) return;
      const keys = store.keys.filter((key) => !key.startsWith("wall."));
      if (!keys.length) return store.emit("said", "A wall goes with its corners; select a corner to take it away.");
      const result = remove(store.doc, keys);
      const words = many("taken away");
      store.select([]);
      store.commit(result, words);
    }),
    copy: act(() => {
      if (!loose(store.keys).length) return store.emit("said", "Select bearings, openings or partitions to copy.");
      const by = store.units === "metric" ? 378 : 384;
      const made = copy(store.doc, store.keys, pt(by, by));
      store.commit(made.doc, many("copied"));
      store.select(made.keys);
    }),
    mirror: act(() => store.commit(mirror(store.doc, store.keys), loose(store.keys).length ? many("mirrored") : "Floor mirrored")),
    turn: act(() => store.commit(turn(store.doc, store.keys), loose(store.keys).length ? many("turned") : "Floor turned")),
    all: () => {
      const plan = readPlan(store.doc);
      store.select([...plan.corners, ...plan.supports, ...plan.openings, ...plan.partitions].map((thing) => thing.key));
    },
    fit: () => controller.fit(), nearer: () => controller.zoom(1.25), farther: () => controller.zoom(0.8),
    before: () => step(-1), after: () => step(1),
    finish: () => controller.tool.finish(),
    escape: () => { if (!controller.tool.cancel()) controller.use("select"); controller.canvas.tool(); controller.tip.hidden = true; store.emit("prompt"); },
    add: () => {
      controller.adding = !controller.adding;
      byId("draw-add").setAttribute("aria-pressed", String(controller.adding));
    },
    sheet: () => byId("draw-sheet").showModal(),
    swap: () => {
      const shown = !table.shown;
      table.show(shown);
      byId("draw-page").dataset.view = shown ? "table" : "drawing";
      byId("draw-table").hidden = !shown;
      byId("draw-work").hidden = shown;
      byId("draw-swap").textContent = shown ? "Show the drawing" : "Show as tables";
      if (!shown) controller.canvas.later();
    },
    reached: () => {
      const box = extent(readPlan(store.doc));
      const [a, b] = box ? [controller.view.screen(box.low), controller.view.screen(box.high)] : [];
      if (box && (a.x < 0 || b.y < 0 || b.x > controller.view.width || a.y > controller.view.height)) controller.fit();
    },
    root,
  };
}

function wire({ store, controller, actions, keeping, live, root, view, canvas }) {
  const said = byId("draw-said");
  store.on("said", (text) => { said.textContent = text; });
  store.on("answered", (text) => { byId("draw-answered").textContent = text; });
  store.on("focus", () => root.focus({ preventScroll: true }));
  store.on("save", () => keeping.save());
  store.on("settled", () => live.change());
  store.on("refused", (text) => keeping.say(text, "bad"));
  store.on("line", (up) => {
    keeping.say(up ? "" : LOST, "care");
    if (up) store.emit("said", "Connected again.");
  });
  store.on("show", (key) => show(store, controller, key));
  store.on("prompt", () => prompt(store, controller));
  store.on("using", (name) => {
    for (const button of document.querySelectorAll("[data-tool-name]")) button.setAttribute("aria-pressed", String(button.dataset.toolName === name));
  });
  for (const button of document.querySelectorAll("[data-tool-name]")) {
    button.addEventListener("click", () => { controller.use(button.dataset.toolName); root.focus({ preventScroll: true }); });
  }
  for (const button of document.querySelectorAll("[data-act]")) {
    if (actions[button.dataset.act]) button.addEventListener("click", () => actions[button.dataset.act]());
  }
  store.on("doc selection settled", () => buttons(store));
  buttons(store);
  new ResizeObserver(() => {
    if (!root.clientWidth) return;
    view.resize(root.clientWidth, root.clientHeight);
    canvas.move();
    dimensionsFit(store);
  }).observe(root);
}

const dimensionsFit = (store) => store.emit("view");

function prompt(store, controller) {
  const { tool } = controller;
  const drawing = tool.name !== "select";
  byId("draw-prompt").textContent = store.mayChange ? tool.prompt : "Point at a joist or a bill line to see what belongs together.";
  byId("draw-typed-box").hidden = !drawing;
  byId("draw-finish").hidden = !store.unfinished;
  byId("draw-escape").hidden = !drawing;
}

function buttons(store) {
  const set = (act, off) => document.querySelectorAll(`[data-act="${act}"]`).forEach((button) => { button.disabled = off; });
  set("undo", !store.canUndo);
  set("redo", !store.canRedo);
  set("remove", !store.selection.size);
  set("copy", !loose(store.keys).length);
}

/** Bring a thing into sight and select it. */
function show(store, controller, key) {
  controller.use("select");
  store.select([key]);
  const plan = readPlan(store.doc);
  const line = [...plan.supports, ...plan.partitions].find((one) => one.key === key);
  const box = plan.openings.find((one) => one.key === key) ?? (line && bounds([line.a, line.b]));
  const at = box ? mid(box.low, box.high) : plan.corners.find((corner) => corner.key === key);
  if (!at) return;
  const s = controller.view.screen(at);
  if (s.x < 20 || s.y < 20 || s.x > controller.view.width - 20 || s.y > controller.view.height - 20) controller.fit();
  controller.root.focus({ preventScroll: true });
}

begin();
