import { STRING_PX } from "./canvas.js";
import { el } from "./dom.js";
import { getAt, pairOf, setAt, setWallLength, shift, stretched } from "./edits.js";
import { along, bounds, far, mid, minus, plus, pt, shared, times } from "./geometry.js";
import { formatLength, parseLength } from "./lengths.js";
import { bordersOf, readPlan } from "./plan.js";
import { moveBorder } from "./transforms.js";

const FROM_LOW = { x: "Across from the left wall", y: "Up from the low wall" };
const ROOM = { x: 104, y: 34 }; // px that a field takes

const wallLength = ({ index, a, b }, moveStart = false) => ({
	name: `Length of wall ${index + 1}`, value: far(a, b), at: mid(a, b), off: times(pt(b.y - a.y, b.x - a.x), STRING_PX / (far(a, b) || 1)),
	apply: (doc, length) => setWallLength(doc, index, length, moveStart),
});
const before = (plan, index) => wallLength(plan.walls.find((wall) => wall.next === index));
const after = (plan, index) => wallLength(plan.at(`wall.${index}`), true);

function offset(plan, thing, axis, at = thing.points[0], move = (doc, by) => shift(doc, [thing.key], by)) {
	const low = bounds(plan.corners)?.low[axis] ?? 0;
	const value = at[axis] - low;
	return { name: FROM_LOW[axis], value, at: { ...at, [axis]: low + value / 2 }, negative: true, apply: (doc, length) => move(doc, along(axis, length - value)) };
}

const FIELDS = {
	outline: (plan, { index }) => [before(plan, index), after(plan, index)],
	wall: (plan, wall) => [wallLength(wall), after(plan, wall.next), before(plan, wall.index)],
	lines(plan, line) {
		const { key, a, b } = line;
		const to = `${key}.to`;
		const length = { name: "Length", value: far(a, b), at: mid(a, b), apply: (doc, long) => setAt(doc, to, pairOf(stretched(a, b, long), doc.units, getAt(doc, to))) };
		return shared(line) ? [length, offset(plan, line, shared(line), plus(a, times(minus(b, a), 0.2)))] : [length];
	},
	openings(plan, box) {
		const { key, low, high, size } = box;
		const side = (i, name, value, at) => ({ name, value, at, apply: (doc, long) => setAt(doc, `${key}.size.${i}`, formatLength(long, doc.units)) });
		const { x, y } = mid(low, high);
		return [side(0, "Width", size.x, pt(x, low.y)), side(1, "Depth", size.y, pt(high.x, y)), offset(plan, box, "x", pt(low.x, high.y)), offset(plan, box, "y")];
	},
	point_loads: (plan, spot) => [offset(plan, spot, "x"), offset(plan, spot, "y")],
	bays: (plan, bay) => bordersOf(plan, bay).filter(shared).map((border) => offset(plan, bay, shared(border), mid(border.a, border.b), (doc, by) => moveBorder(doc, border, by))),
};
FIELDS.supports = FIELDS.partitions = FIELDS.lines;

export function fieldsOf(doc, key) {
	const plan = readPlan(doc);
	const thing = plan.at(key);
	const ready = thing && (plan.corners.length > 2 || !/^(outline|wall)/.test(key));
	return ready ? FIELDS[thing.list](plan, thing) : [];
}

export class Dimensions {
	inputs = [];

	constructor(root, store, view) {
		Object.assign(this, { root, store, view });
		store.on("doc selection", () => this.update());
		store.on("view", () => this.place());
		root.addEventListener("input", ({ target }) => { target.dataset.typed = "1"; target.ariaInvalid = null; });
		root.addEventListener("change", ({ target }) => this.#apply(target));
		root.addEventListener("keydown", (event) => this.#key(event));
	}

	update() {
		const { store } = this;
		const fields = store.selection.size === 1 ? fieldsOf(store.doc, store.keys[0]) : [];
		const marks = fields.map((field) => field.name).join() + store.keys;
		if (marks !== this.marks) {
			this.marks = marks;
			this.inputs = fields.map(({ name }) => el("input", { class: "pl-dim", "aria-label": name, title: name, autocomplete: "off", spellcheck: "false", disabled: !store.mayChange }));
			this.root.replaceChildren(...this.inputs);
		}
		this.inputs.forEach((input, i) => {
			input.field = fields[i];
			if (!input.dataset.typed) input.value = formatLength(Math.round(fields[i].value), store.units);
		});
		this.place();
	}

	#key(event) {
		const { key, target } = event;
		event.stopPropagation();
		if (key === "Escape") delete target.dataset.typed;
		if (key !== "Escape" && (key !== "Enter" || !this.#apply(target))) return;
		event.preventDefault();
		this.store.emit("focus");
		this.update();
	}

	#apply(input) {
		const { store } = this;
		const { name, negative, apply } = input.field;
		if (!input.dataset.typed) return true;
		try {
			const length = parseLength(input.value, store.units, { negative });
			delete input.dataset.typed;
			store.commit(apply(store.doc, length), `${name}: ${formatLength(length, store.units)}`);
			return true;
		} catch (error) {
			input.ariaInvalid = true;
			store.emit("said", error.message);
			return false;
		}
	}

	begin(text) {
		const [input] = this.inputs;
		if (!input || input.disabled) return false;
		Object.assign(input, { value: text }).dataset.typed = "1";
		input.focus();
		return true;
	}

	place() {
		const taken = [];
		const kept = (value, edge, most) => Math.min(Math.max(value, edge), most - edge);
		for (const { field, style } of this.inputs) {
			const s = plus(this.view.screen(field.at), field.off ?? pt(0, 0));
			const at = pt(kept(s.x, 50, this.view.width), kept(s.y, 18, this.view.height));
			while (taken.some((t) => Math.abs(t.x - at.x) < ROOM.x && Math.abs(t.y - at.y) < ROOM.y)) at.y += ROOM.y + 2;
			taken.push(at);
			Object.assign(style, { left: `${at.x}px`, top: `${at.y}px` });
		}
	}
}
