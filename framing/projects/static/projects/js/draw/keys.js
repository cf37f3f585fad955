import { along, same } from "./geometry.js";

const ARROWS = { ArrowLeft: ["←", "x", -1], ArrowRight: ["→", "x", 1], ArrowUp: ["↑", "y", 1], ArrowDown: ["↓", "y", -1] };
const STEPS_16 = { imperial: [16, 192], metric: [6, 63] }; // 1 in and 1 ft, 10 mm and 100 mm
const PRESS_MS = 300;

function named({ key, ctrlKey, metaKey, shiftKey }) {
	const control = ctrlKey || metaKey;
	const shift = shiftKey && (control || /^[a-z]$/i.test(key));
	return `${control ? "Control+" : ""}${shift ? "Shift+" : ""}${key === "+" ? "Plus" : key.length === 1 ? key.toUpperCase() : key}`;
}

export class Keys {
	/** `press(node)` does what a button or row of the sheet stands for. */
	constructor({ root, controller, store, typed, press }) {
		Object.assign(this, { root, controller, store, typed, press });
		const nodes = [...document.querySelectorAll("[aria-keyshortcuts]")];
		this.nodes = new Map(nodes.flatMap((node) => node.getAttribute("aria-keyshortcuts").split(" ").map((key) => [key, node])));
		root.addEventListener("keydown", (event) => { if (event.target === root && !event.altKey && this.canvas(event)) event.preventDefault(); });
		root.addEventListener("keyup", (event) => { if (event.key === " ") this.#space(); });
		root.addEventListener("blur", () => { controller.space = false; });
		document.addEventListener("keydown", (event) => this.page(event));
		typed.addEventListener("keydown", (event) => this.inField(event));
	}

	page(event) {
		const node = this.nodes.get(named(event));
		const here = node?.matches("[data-anywhere]") || (node?.matches("button") && !event.target.matches("input:not([type=checkbox]), textarea"));
		if (!here || event.defaultPrevented || !(event.ctrlKey || event.metaKey) || event.altKey) return;
		event.preventDefault();
		this.press(node);
	}

	canvas(event) {
		const { controller, controller: { drawing, tool } } = this;
		const { key } = event;
		const node = this.nodes.get(named(event));
		if (ARROWS[key]) return this.#arrow(ARROWS[key], event.shiftKey);
		if (key === " ") {
			controller.space = true;
			if (!event.repeat) this.spaced = performance.now();
		} else if (key === "Enter" && drawing) {
			if (tool.cursor && !(tool.last && same(tool.cursor, tool.last))) controller.place(tool.cursor);
			else tool.finish();
		} else if (/^[0-9.'"½¼¾⅛⅜⅝⅞]$/.test(key) && (drawing || !node)) return this.#begin(key);
		else if (node) this.press(node);
		else return false;
		return true;
	}

	/** A short press of the space bar places a point; a long one with the mouse moves the sheet. */
	#space() {
		const { controller } = this;
		const quick = performance.now() - this.spaced < PRESS_MS && !controller.panning;
		controller.space = false;
		if (quick && controller.tool.cursor) controller.place(controller.tool.cursor);
	}

	#arrow([, axis, sign], shifted) {
		const { controller, store } = this;
		const by = along(axis, sign * STEPS_16[store.units][Number(controller.drawing !== shifted)]);
		if (!controller.drawing) return controller.tool.nudge(by);
		controller.step(by);
		return true;
	}

	#begin(text) {
		const { controller, typed } = this;
		if (!controller.drawing) {
			controller.tool.drop();
			return controller.dimensions.begin(text);
		}
		typed.value = text;
		typed.focus();
		return true;
	}

	inField(event) {
		const { typed } = this;
		const arrow = !event.shiftKey && typed.selectionStart === typed.value.length && typed.value.trim() && ARROWS[event.key];
		if (event.key === "Escape") {
			typed.value = "";
			this.root.focus();
		} else if (event.key === "Enter" || arrow) {
			event.preventDefault();
			this.send(arrow ? `${typed.value} ${arrow[0]}` : typed.value);
		}
	}

	send(text) {
		const { controller, typed, store } = this;
		try {
			if (text.trim()) controller.tool.typed(text);
			else controller.tool.finish();
			typed.value = "";
			typed.ariaInvalid = null;
			controller.reach();
			controller.hover(null);
			this.root.focus();
		} catch (error) {
			typed.ariaInvalid = true;
			store.emit("said", error.message);
		}
		store.emit("prompt");
	}
}
