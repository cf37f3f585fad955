import { moveCorner, pairOf, setAt, shift } from "./edits.js";
import { memberAt } from "./framing.js";
import { along, bounds, dot, far, minus, pt, shared, times, whole } from "./geometry.js";
import { bayAt, bordersOf, pick, readPlan, within } from "./plan.js";
import { snap, snapShift, targets } from "./snapping.js";
import { moveBorder } from "./transforms.js";

const IN = 16;

function squared(line, by) {
	const axis = shared(line);
	const normal = axis ? along(axis, 1) : pt(line.a.y - line.b.y, line.b.x - line.a.x);
	return whole(times(normal, dot(by, normal) / dot(normal, normal)));
}

export class SelectTool {
	name = "select";
	drag = null;
	box = null;
	moved = false;

	constructor(store) {
		this.store = store;
	}

	get prompt() {
		const { size } = this.store.selection;
		if (!size) return "Point at a corner, wall or anything drawn; drag to move it, or drag a box around several.";
		return size === 1 ? "Drag it, or type over a length that is shown." : `${size} things selected: drag one and all go along.`;
	}

	/** Pointer down at `p`; false where there is nothing, so that the page may pan instead. */
	grab(p, { reach, more, touch }) {
		const { store } = this;
		const plan = readPlan(store.doc);
		const hit = pick(plan, p, reach, store.selection);
		Object.assign(this, { from: p, start: store.doc });
		if (!hit) return this.#empty(plan, p, reach, more, touch);
		const chosen = store.selection.has(hit.key);
		if (more) store.select(chosen ? store.keys.filter((key) => key !== hit.key) : [...store.keys, hit.key]);
		else if (!chosen) store.select([hit.key]);
		if (store.mayChange) this.drag = { ...hit, plan, keys: store.keys, ...this.#targets(plan, hit) };
		return true;
	}

	#empty(plan, p, reach, more, touch) {
		const { store } = this;
		const member = memberAt(store.frame, p.x / IN, p.y / IN, reach / IN / 2);
		const bay = !member && !more && plan.bays.length > 1 ? bayAt(plan, p) : null;
		if (!more) store.select(bay ? [bay.key] : []);
		if (member) store.emit("member", member);
		else store.light({});
		if (touch && !more) return false;
		this.box = { low: p, high: p };
		return true;
	}

	/** What a dragged thing may snap to: everything that stays; and the line that moves only square to itself. */
	#targets(plan, { key, part, border }) {
		const wall = plan.at(key).list === "wall" ? plan.at(key) : null;
		const found = targets(plan, new Set([...this.store.keys, `outline.${wall?.index}`, `outline.${wall?.next}`]));
		return { options: part === "corner" ? { ...found, tracks: [] } : found, square: border ?? (wall && shared(wall) ? wall : null) };
	}

	pull(p, { reach, step, free }) {
		if (this.box) return { box: (this.box = bounds([this.from, p])) };
		const { drag, start } = this;
		this.moved ||= Boolean(drag) && far(p, this.from) > reach / 3;
		if (!this.moved) return {};
		const { part, key, keys, plan } = drag;
		const options = { ...drag.options, reach, step };
		const ends = { a: ["from", "b"], b: ["to", "a"] }[part];
		if (keys.length > 1 || !(ends || part === "corner")) return this.#whole(minus(p, this.from), free, options);
		const { index, entry, ...line } = plan.at(key);
		const last = ends && line[ends[1]];
		const { at, guides } = free ? { at: whole(p) } : snap(p, { ...options, last });
		const field = ends?.[0];
		this.store.show(ends ? setAt(start, `${key}.${field}`, pairOf(at, start.units, entry[field])) : moveCorner(start, index, at, !free));
		return { at, guides };
	}

	#whole(way, free, options) {
		const { plan, keys, square, border } = this.drag;
		const points = border ? [border.a, border.b] : keys.map(plan.at).flatMap((thing) => (thing.list === "bays" ? [] : thing.points));
		const { by, guides } = free ? { by: way } : snapShift(way, points, options);
		const to = square ? squared(square, by) : whole(by);
		this.store.show(shift(border && (to.x || to.y) ? moveBorder(this.start, border, to) : this.start, keys, to));
		return { guides };
	}

	drop() {
		const { store, box, moved } = this;
		if (box && far(box.low, box.high)) store.select([...store.selection, ...within(readPlan(store.doc), box)]);
		if (moved) store.commit(store.doc, store.keys.length > 1 ? `${store.keys.length} things moved` : "Moved");
		this.#rest();
	}

	#rest() {
		Object.assign(this, { drag: null, box: null, moved: false });
	}

	nudge(by) {
		const { store } = this;
		if (!store.selection.size || !store.mayChange) return false;
		const plan = readPlan(store.doc);
		const bay = store.keys.length === 1 ? plan.at(store.keys[0]) : null;
		const border = bay?.list === "bays" && bordersOf(plan, bay).find((line) => shared(line) === (by.x ? "x" : "y"));
		const doc = border ? moveBorder(store.doc, border, by) : shift(store.doc, store.keys, by);
		if (doc !== store.doc) store.commit(doc, "Moved", `nudge ${store.keys}`);
		return true;
	}

	cancel() {
		const { store } = this;
		if (this.drag || this.box) {
			store.drop();
			this.#rest();
			return true;
		}
		if (!store.selection.size && !store.lit.member && !store.lit.code) return false;
		store.select([]);
		store.light({});
		return true;
	}
}
