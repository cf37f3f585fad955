import { byId, on, svg } from "./dom.js";
import { far, minus, plus, pt, same, times } from "./geometry.js";
import { formatLength, parseLength, Unreadable } from "./lengths.js";
import { Later, sent } from "./send.js";
import { Tool } from "./tools.js";

const IN = 16;
const FIRST_LONG_IN = 720; // how long a page is taken to be until its scale is set
const KEEP_MS = 300;

class Scale extends Tool {
	free = true; // places are where they were pointed at, on no grid

	get fresh() { return !this.store.doc.outline.length; }

	get prompt() {
		const first = `point at one end of a length that you know${this.fresh ? "; it becomes the zero point" : ""}`;
		return `Scale: ${[first, "point at its other end", "type the true length between the two places, as 24' 6\", then Enter"][this.points.length]}.`;
	}

	place(p) {
		if (this.points.length > 1) this.points = [];
		if (this.points.some((q) => same(p, q))) return;
		this.points.push(p);
		if (this.points.length > 1) byId("draw-typed").focus({ preventScroll: true });
	}

	typed(text) {
		const [a, b] = this.points;
		const length = b && parseLength(text, this.store.units);
		if (!length) throw new Unreadable("Point at two places of the plan, then type the length between them; it is more than 0.");
		this.make(a, b, length);
	}

	preview(p) { return { lines: [this.points.length > 1 ? this.points : [...this.points, p]] }; }
	lengths() { return []; }
}

class Move extends Tool {
	get free() { return !this.last; }
	get prompt() { return `Move the plan: point at ${this.last ? "where that place belongs" : "a place on it, such as a corner"}.`; }
}

export class Underlay {
	hidden = false;
	waiting = {}; // what of the placement is not told yet
	wait = new Later(() => this.tell());

	constructor({ store, canvas, view, controller, under }) {
		Object.assign(this, { store, canvas, view, controller, under, layer: canvas.layers.under });
		if (!under) return;
		this.bar = byId("draw-under");
		on(this.bar, "click", "button[data-under]", ({ dataset }) => this[dataset.under]());
		on(this.bar, "input", "input", ({ value }) => this.set({ dim: Number(value) }));
		if (store.mayChange) this.#tools();
		this.draw();
		if (store.doc.outline.length) return;
		this.show();
		if (store.mayChange && !under.inches_per_px) controller.use("plan-scale");
	}

	#tools() {
		const { store, controller } = this;
		const tool = (Kind, name, make) => { controller.tools[name] = new Kind(store, { name, words: "", shape: "line", make }); };
		tool(Scale, "plan-scale", (a, b, length) => this.scale(a, b, length));
		tool(Move, "plan-move", (doc, from, to) => this.move(minus(to, from)));
	}

	get inches() { return this.under.inches_per_px ?? FIRST_LONG_IN / Math.max(this.under.width_px, this.under.height_px); }
	get low() { return pt(this.under.x_16, this.under.y_16); }

	get size() {
		const { width_px: w, height_px: h, quarter_turns: turns } = this.under;
		return times(turns % 2 ? pt(h, w) : pt(w, h), this.inches * IN);
	}

	get matrix() {
		const { inches: s, low, size } = this;
		const { x, y } = times(low, 1 / IN);
		const { x: right, y: top } = times(plus(low, size), 1 / IN);
		return [[s, 0, 0, -s, x, top], [0, s, s, 0, x, y], [-s, 0, 0, s, right, y], [0, -s, -s, 0, right, top]][this.under.quarter_turns];
	}

	draw() {
		this.layer.replaceChildren();
		this.strip();
		if (this.hidden) return;
		const { picture: href, width_px: width, height_px: height, dim: opacity } = this.under;
		this.layer.append(svg("image", { href, width, height, opacity, transform: `matrix(${this.matrix.join(" ")})` }));
	}

	show() {
		this.view.fit({ low: this.low, high: plus(this.low, this.size) });
		this.canvas.move();
	}

	strip() {
		const { under: { locked }, hidden, bar } = this;
		for (const button of bar.querySelectorAll("button")) {
			const { under: act, toolName } = button.dataset;
			if (toolName || act === "turn") button.disabled = locked;
			if (act === "hide" || act === "lock") button.setAttribute("aria-pressed", String(act === "lock" ? locked : hidden));
		}
	}

	say(words) { this.store.emit("said", words); }

	set(values) {
		Object.assign(this.under, values);
		if (values.dim) this.layer.firstChild?.setAttribute("opacity", values.dim);
		else this.draw();
		Object.assign(this.waiting, values);
		if (this.store.mayChange) this.wait.in(KEEP_MS);
	}

	async tell() {
		const values = this.waiting;
		if (!Object.keys(values).length) return;
		this.waiting = {};
		const answer = await sent(this.under.place_url, values);
		if (!answer) {
			this.waiting = { ...values, ...this.waiting };
			return this.wait.again();
		}
		this.wait.tries = 0;
		if (answer.status === 200) return;
		const { message, ...placed } = answer.body;
		this.say(message);
		Object.assign(this.under, placed);
		this.draw();
	}

	scale(a, b, length) {
		const { controller, inches, low } = this;
		const { fresh } = controller.tool;
		const by = length / far(a, b);
		const to = plus(fresh ? pt(0, 0) : a, times(minus(low, a), by));
		this.set({ inches_per_px: inches * by, x_16: Math.round(to.x), y_16: Math.round(to.y) });
		controller.use(fresh ? "outline" : "select");
		if (fresh) this.show();
		this.say(`The scale is set: that length is ${formatLength(length, this.store.units)}.`);
	}

	move(by) {
		const { x, y } = plus(this.low, by);
		this.set({ x_16: x, y_16: y });
		return { said: "The plan is moved." };
	}

	turn() {
		const { size, low, under } = this;
		const { x, y } = plus(low, times(minus(size, pt(size.y, size.x)), 0.5));
		this.set({ x_16: Math.round(x), y_16: Math.round(y), quarter_turns: (under.quarter_turns + 1) % 4 });
		this.say("The plan is turned a quarter to the left.");
	}

	lock() {
		const locked = !this.under.locked;
		this.controller.use("select");
		this.set({ locked });
		this.say(locked ? "The plan is locked." : "The plan can be moved, turned and scaled.");
	}

	hide() {
		this.hidden = !this.hidden;
		this.draw();
	}

	async away() {
		const { start } = this.store;
		await this.tell();
		const answer = start.under_url ? await sent(start.under_url, { page: null }) : { status: 200 };
		if (answer?.status !== 200) return this.say(answer?.body.message ?? "Not connected. The plan lies there still.");
		start.urls.save = start.urls.save.split("?")[0];
		this.controller.use("select");
		this.layer.replaceChildren();
		this.bar.remove();
		this.store.emit("focus");
		this.say("The plan lies under this floor no more; it stays with the project.");
	}
}
