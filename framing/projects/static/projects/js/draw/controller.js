import { far, inBox, mid, minus, plus, pt, whole } from "./geometry.js";
import { formatLength } from "./lengths.js";
import { extent, readPlan } from "./plan.js";
import { SelectTool } from "./select.js";
import { snap, targets } from "./snapping.js";
import { drawingTools } from "./tools.js";

const REACH_PX = { mouse: 9, pen: 12, touch: 20 };
const CLICK_PX = 6;

export class Controller {
	fingers = new Map();
	adding = false; // what is pointed at joins the selection

	constructor(parts) {
		Object.assign(this, parts);
		const { root, store } = this;
		this.tools = { select: new SelectTool(store), ...drawingTools(store) };
		this.tool = this.tools.select;
		const on = (name, act) => root.addEventListener(name, act, { passive: false });
		for (const name of ["down", "move", "up", "cancel"]) on(`pointer${name}`, (event) => this[name](event));
		on("pointerleave", () => { if (!this.pressed) this.hover(null); });
		on("wheel", (event) => this.wheel(event));
		// without the mouse events that a browser makes up after a touch: they would press the field that just appeared
		on("touchstart", (event) => { if (!event.target.closest("input, button")) event.preventDefault(); });
		on("contextmenu", (event) => event.preventDefault());
		on("dblclick", (event) => this.twice(event));
		store.on("outlined", () => { this.use("select"); this.fit(); });
		store.on("doc selection", () => store.emit("prompt"));
	}

	get drawing() { return this.tool.name !== "select"; }

	use(name) {
		if (!this.tools[name] || (name !== "select" && !this.store.mayChange)) return;
		if (this.tool.name !== name) this.tool.cancel();
		this.tool = this.tools[name];
		if (this.drawing) this.store.select([]);
		this.hover(null);
		this.root.parentElement.dataset.tool = name;
		this.store.emit("prompt");
	}

	px(event) {
		const box = this.root.getBoundingClientRect();
		return pt(event.clientX - box.left - this.root.clientLeft, event.clientY - box.top - this.root.clientTop);
	}

	options(event) {
		const { pointerType: kind, altKey, shiftKey } = event;
		return { reach: (REACH_PX[kind] ?? REACH_PX.mouse) / this.view.scale, step: this.view.step(this.store.units), free: altKey || Boolean(this.tool.free), touch: kind === "touch", more: shiftKey || this.adding };
	}

	snapped(px, event) {
		const options = this.options(event);
		const p = this.view.plan(px);
		if (options.free) return { at: whole(p) };
		const { points = [], last } = this.tool;
		const found = targets(readPlan(this.store.doc));
		return snap(p, { ...options, ...found, anchors: [...found.anchors, ...points], last });
	}

	down(event) {
		if (event.target.closest("input, button")) return;
		this.root.focus({ preventScroll: true });
		const px = this.px(event);
		this.fingers.set(event.pointerId, px);
		this.root.setPointerCapture(event.pointerId);
		if (this.fingers.size > 1) {
			this.tools.select.cancel();
			this.panning = this.pressed = null;
			this.pinch = this.#spread();
			return;
		}
		this.pressed = { px, event };
		const held = event.button === 1 || this.space;
		if (held || (!this.drawing && !this.tool.grab(this.view.plan(px), this.options(event)))) this.panning = px;
	}

	#spread() {
		const [a, b] = this.fingers.values();
		return b && { middle: mid(a, b), long: far(a, b) || 1 };
	}

	move(event) {
		const px = this.px(event);
		if (this.fingers.has(event.pointerId)) this.fingers.set(event.pointerId, px);
		const now = this.pinch && this.#spread();
		if (now) {
			this.#pan(minus(now.middle, this.pinch.middle), now.long / this.pinch.long, now.middle);
			this.pinch = now;
		}
		if (this.pinch) return;
		if (this.panning) {
			this.#pan(minus(px, this.panning));
			this.panning = px;
		} else if (this.drawing) this.hover(px, event);
		else if (this.pressed) this.canvas.tool(this.tool.pull(this.view.plan(px), this.options(event)));
	}

	#pan(by, factor = 1, at = undefined) {
		this.view.pan(by.x, by.y);
		this.view.zoom(factor, at);
		this.canvas.move();
	}

	up(event) {
		this.fingers.delete(event.pointerId);
		const { pressed, panning, pinch } = this;
		this.pressed = this.panning = null;
		if (pinch && !this.fingers.size) this.pinch = null;
		if (pinch || !pressed) return;
		if (this.drawing) {
			if (!panning) this.click(pressed, this.px(event), event);
			return;
		}
		if (!panning) this.tool.drop();
		this.canvas.tool();
	}

	click(pressed, px, event) {
		const dragged = far(pressed.px, px) > CLICK_PX && ["line", "box"].includes(this.tool.shape);
		if (dragged && !this.tool.last) this.place(this.snapped(pressed.px, pressed.event).at);
		this.place(this.snapped(px, event).at);
		if (this.drawing) this.hover(event.pointerType === "touch" ? null : px, event);
	}

	place(p) {
		this.tool.cursor = p;
		this.tool.place(p);
		this.store.emit("prompt");
	}

	cancel(event) {
		this.fingers.delete(event.pointerId);
		this.pressed = this.panning = this.pinch = null;
		this.tool.cancel();
		this.canvas.tool();
	}

	hover(px, event) {
		if (px && this.drawing) return this.show(this.snapped(px, event));
		this.canvas.tool(this.tool.last ? this.tool.preview(this.tool.last) : {});
	}

	show({ at, guides = [] }) {
		this.tool.cursor = at;
		const preview = this.tool.preview(at);
		this.canvas.tool({ ...preview, guides: [...guides, ...(preview.guides ?? [])], at });
	}

	step(by) {
		const at = plus(this.tool.cursor ?? this.tool.last ?? extent(readPlan(this.store.doc))?.low ?? pt(0, 0), by);
		this.show({ at });
		const [across, up] = [at.x, at.y].map((value) => formatLength(value, this.store.units));
		this.store.emit("said", `${across} across, ${up} up`);
	}

	wheel(event) {
		if (!event.ctrlKey && document.activeElement !== this.root) return;
		event.preventDefault();
		this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0016)), this.px(event));
	}

	twice(event) {
		if (this.drawing) this.tool.finish();
		else if (this.store.keys[0]?.startsWith("wall.")) this.store.emit("corner", this.snapped(this.px(event), event).at);
	}

	fit() {
		this.view.fit(extent(readPlan(this.store.doc)));
		this.canvas.move();
	}

	reach(keys = null) {
		const { view, store } = this;
		const ends = Object.values(extent(readPlan(store.doc), keys) ?? {});
		const sheet = { low: pt(0, 0), high: pt(view.width, view.height) };
		if (!ends.every((p) => inBox(view.screen(p), sheet))) this.fit();
	}

	zoom(factor, at) {
		this.#pan(pt(0, 0), factor, at);
	}
}
