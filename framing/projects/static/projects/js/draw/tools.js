import { add, freeId, placed, setOutline } from "./edits.js";
import { bounds, boxRing, minus, plus, pt, same, times, whole } from "./geometry.js";
import { Unreadable, readMove } from "./lengths.js";
import { PARTS, nameOf } from "./parts.js";
import { outside, readPlan } from "./plan.js";
import { splitBay } from "./transforms.js";

const NEEDS = { spot: 1, line: 2, box: 2, ring: Infinity };

export class Tool {
	points = [];
	dropped = [];
	cursor = null;

	/**
	 * `asks` are the prompts for the first place and the next ones. `make(doc, ...points)` returns {doc, words} with the
	 * `key` of what was made or `whole` for a new outline, else {said}.
	 */
	constructor(store, { name, shape, asks, make }) {
		Object.assign(this, { store, name, shape, asks, make });
	}

	get last() { return this.points.at(-1) ?? null; }
	get prompt() { return this.asks[this.points.length] ?? this.asks.at(-1); }

	place(p) {
		const { points, shape } = this;
		if (points.length > 2 && same(p, points[0])) return void this.finish();
		if (points.some((q) => (shape === "box" ? q.x === p.x || q.y === p.y : same(p, q)))) return;
		this.dropped = [];
		points.push(p);
		if (points.length === NEEDS[shape]) this.#make();
		else if (shape === "ring") this.store.emit("said", `Corner ${points.length} drawn.`);
	}

	#make() {
		const { store } = this;
		const made = this.make(store.doc, ...this.points);
		this.cancel();
		if (!made?.doc) return void (made && store.emit("said", made.said));
		store.commit(made.doc, made.words);
		if (made.key) store.select([made.key]);
		if (!made.whole) return;
		store.emit("outlined");
		const out = outside(readPlan(made.doc));
		if (!out.length) return;
		store.select(out);
		store.emit("said", `${made.words}. Not inside it: ${out.map((key) => nameOf(made.doc, key)).join(", ")}.`);
	}

	typed(text) {
		const move = readMove(text, this.store.units);
		const long = move.dx === undefined;
		if (!this.last) {
			const begins = move.size ? this.shape !== "spot" : long && this.shape === "ring";
			if (!begins) return this.place(absolute(move));
			this.place((this.store.doc.outline.length && this.cursor) || pt(0, 0));
			this.cursor = null;
		}
		const to = plus(this.last, this.#way(move, long));
		if (!move.size || this.shape !== "ring") return this.place(to);
		this.points = boxRing(bounds([this.last, to]));
		return this.#make();
	}

	/** A bare length goes where the cursor stands from the last place, a size towards it. */
	#way(move, long) {
		const way = minus(this.cursor ?? plus(this.last, pt(1, 1)), this.last);
		if (move.size) return pt(way.x < 0 ? -move.dx : move.dx, way.y < 0 ? -move.dy : move.dy);
		if (!long) return pt(move.dx, move.dy);
		if (this.shape === "box") throw new Unreadable("Type both sizes, as 12' x 4'.");
		const size = Math.hypot(way.x, way.y);
		return this.cursor && size ? whole(times(way, move.length / size)) : pt(move.length, 0);
	}

	preview(p) {
		const { points, last, shape } = this;
		if (!last) return {};
		const ring = boxRing(bounds([last, p]));
		if (shape === "box") return { lines: [[...ring, ring[0]]], drawn: ring.slice(0, 3) };
		return { lines: [[...points, p]], drawn: [...points, p], guides: points.length > 2 ? [{ from: p, to: points[0] }] : [] };
	}

	finish() {
		if (this.shape !== "ring" || !this.last) return false;
		if (this.points.length < 3) this.store.emit("said", "An outline needs three corners or more.");
		else this.#make();
		return true;
	}

	cancel() {
		const had = this.points.length > 0;
		this.points = [];
		this.dropped = [];
		return had;
	}

	step(back) {
		const [from, to] = back ? [this.points, this.dropped] : [this.dropped, this.points];
		if (!from.length) return false;
		to.push(from.pop());
		this.store.emit("said", back ? "The last place is taken back." : "The place is there again.");
		return true;
	}
}

function absolute(move) {
	if (move.dx === undefined) throw new Unreadable("Type the first place as two lengths, as 12', 5' from the zero point.");
	return pt(move.dx, move.dy);
}

const MAKE = {
	outline: (doc, ...points) => ({ doc: setOutline(doc, points), words: "Outline drawn", whole: true }),
	rectangle: (doc, a, b) => ({ doc: setOutline(doc, boxRing(bounds([a, b]))), words: "Rectangle drawn", whole: true }),
	border(doc, a, b) {
		const made = splitBay(doc, a, b);
		if (!made) return { said: "Bay border: that line does not cross a bay from side to side." };
		return { doc: made, key: `bays.${made.bays.length - 1}`, words: `Bay ${made.bays.at(-1).id} parted off` };
	},
};

const adding = (words, { list, letter, more = "{}" }) => (doc, ...points) => {
	const count = doc[list]?.length ?? 0;
	const named = list === "openings" && !count ? { name: "Stair" } : {};
	const entry = { id: freeId(doc[list], letter), ...PARTS[list].usual, ...JSON.parse(more), ...named, ...placed(list, points, doc.units) };
	return { doc: add(doc, list, entry), key: `${list}.${count}`, words: `${words} ${entry.id} drawn` };
};

export function drawingTools(store) {
	return Object.fromEntries([...document.querySelectorAll("[data-shape]")].map(({ dataset, textContent }) => {
		const { toolName: name, shape, asks } = dataset;
		const words = textContent.trim();
		return [name, new Tool(store, { name, shape, asks: asks.split("|"), make: MAKE[name] ?? adding(words, dataset) })];
	}));
}
