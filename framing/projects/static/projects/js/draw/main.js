import { makeActions } from "./actions.js";
import { Canvas } from "./canvas.js";
import { Clash } from "./clash.js";
import { Controller } from "./controller.js";
import { Dimensions } from "./dimension.js";
import { byId } from "./dom.js";
import { loose } from "./edits.js";
import { Keeping, LOST } from "./keeping.js";
import { Keys } from "./keys.js";
import { Live } from "./live.js";
import { Panel } from "./panel.js";
import { Places } from "./places.js";
import { setToken } from "./send.js";
import { Store } from "./store.js";
import { Table } from "./table.js";
import { Versions } from "./versions.js";
import { View } from "./view.js";

/** A document with every list there, so that a broken draft can still be drawn and mended. */
function whole(doc) {
	const lists = ["outline", "edges", "supports", "openings", "partitions", "bays"].map((name) => [name, Array.isArray(doc[name]) ? doc[name] : []]);
	const result = { units: "imperial", load_case: {}, ...doc, ...Object.fromEntries(lists) };
	return result.bays.length ? result : { ...result, bays: [{ id: "A", direction: "y", spacing: "16" }] };
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
	const controller = new Controller({ root, store, view, canvas, dimensions });
	const table = new Table(byId("draw-table"), store);
	new Panel(store, new Places(store));
	new Versions(store);
	const keeping = new Keeping(store, new Clash(store));
	const live = new Live(store);
	const page = { store, controller, canvas, keeping, table, root, view };
	wire({ ...page, actions: makeActions(page) });
	controller.fit();
	canvas.draw();
	if (store.doc.outline.length > 2) live.change();
	else controller.use("rectangle");
	store.emit("prompt");
	recall(store, keeping);
	if (start.urls.presence) keeping.presence();
	if (start.under) import("./underlay.js").then(({ Underlay }) => new Underlay({ ...page, under: start.under, plansUrl: start.plans_url }));
}

function recall(store, keeping) {
	const kept = store.mayChange ? keeping.recall() : null;
	if (!kept || JSON.stringify(kept.document) === JSON.stringify(store.settled)) return;
	store.baseVersion = kept.base; // where somebody saved since, saving asks what to do
	store.commit(whole(kept.document), "What was kept in this browser is back");
}

function wire({ store, controller, actions, keeping, root, view, canvas }) {
	const press = ({ disabled, dataset: { act, toolName } }) => {
		if (disabled) return;
		if (toolName) controller.use(toolName);
		else actions[act]?.();
	};
	document.addEventListener("click", ({ target }) => {
		const button = target.closest("button:is([data-act], [data-tool-name])");
		if (button) press(button);
		if (button?.matches("[data-tool-name], .pl-line > *")) store.emit("focus");
	});
	new Keys({ root, controller, store, typed: byId("draw-typed"), press });
	store.on("said", (text) => { byId("draw-said").textContent = text; });
	store.on("focus", () => root.focus({ preventScroll: true }));
	store.on("save", () => keeping.save());
	store.on("corner", (at) => actions.corner(at));
	store.on("refused", (text) => keeping.say(text, "bad"));
	store.on("line", (up) => {
		keeping.say(up ? "" : LOST, "care");
		if (up) store.emit("said", "Connected again.");
	});
	store.on("show", (key) => {
		controller.use("select");
		store.select([key]);
		controller.reach([key]);
		store.emit("focus");
	});
	store.on("prompt", () => prompt(store, controller));
	new ResizeObserver(() => {
		if (!root.clientWidth) return;
		view.resize(root.clientWidth, root.clientHeight);
		canvas.move();
	}).observe(root);
}

function prompt(store, controller) {
	const { tool } = controller;
	byId("draw-prompt").textContent = store.mayChange ? tool.prompt : "Point at a joist or a bill line to see what belongs together.";
	byId("draw-typed").placeholder = { box: "36' x 26'", spot: "12', 5'" }[tool.shape] ?? "24' →";
	byId("draw-finish").hidden = tool.shape !== "ring" || tool.points.length < 3;
	for (const button of document.querySelectorAll("[data-tool-name]")) button.ariaPressed = button.dataset.toolName === tool.name;
	const off = { undo: !store.canUndo && !tool.last, redo: !store.canRedo && !tool.dropped?.length, remove: !store.selection.size, copy: !loose(store.keys).length };
	for (const button of document.querySelectorAll("button[data-act]")) button.disabled = Boolean(off[button.dataset.act]);
}

begin();
