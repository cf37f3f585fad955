import { byId } from "./dom.js";
import { insertCorner, loose, remove } from "./edits.js";
import { mid, nearest, pt } from "./geometry.js";
import { nameOf } from "./parts.js";
import { readPlan } from "./plan.js";
import { copy, mirror, turn, wholly } from "./transforms.js";

const COPY_16 = { metric: pt(378, 378), imperial: pt(384, 384) }; // how far a copy stands from its first

export function makeActions({ store, controller, canvas, keeping, table }) {
	const things = () => readPlan(store.doc).things;
	const say = (words) => store.emit("said", words);
	const many = (word) => (store.selection.size > 1 ? `${store.selection.size} things ${word}` : `Selected thing ${word}`);
	const changed = (change, word) => async () => {
		const { doc, keys, start } = store;
		if (loose(keys).length) return store.commit(change(doc, keys), many(word));
		const whole = await wholly(start, doc, change.name).catch(({ message }) => say(message));
		if (whole) store.doc === doc ? store.commit(whole, `Floor ${word}`) : say("You drew meanwhile; ask again.");
	};
	const history = (back, none) => () => {
		if (controller.tool.step?.(back)) controller.hover(null);
		else if (!(back ? store.undo() : store.redo())) say(none);
		store.emit("prompt");
	};
	const next = (by) => () => {
		const keys = things().map((thing) => thing.key);
		const at = keys.indexOf(store.keys[0]);
		const key = keys.at(at < 0 ? Math.min(by, 0) : (at + by) % keys.length);
		if (!key) return;
		controller.use("select");
		store.select([key]);
		say(`${nameOf(store.doc, key)} selected`);
	};
	return {
		save: () => keeping.save(),
		undo: history(true, "Nothing to undo."),
		redo: history(false, "Nothing to do again."),
		remove() {
			const keys = store.keys.filter((key) => !key.startsWith("wall."));
			if (!keys.length) return void (store.selection.size && say("A wall goes with its corners; select a corner to take it away."));
			const words = many("taken away");
			const result = remove(store.doc, keys);
			store.select([]);
			store.commit(result, words);
		},
		copy() {
			if (!loose(store.keys).length) return say("Select bearings, openings, partitions or loads to copy.");
			const made = copy(store.doc, store.keys, COPY_16[store.units]);
			store.commit(made.doc, many("copied"));
			store.select(made.keys);
		},
		mirror: changed(mirror, "mirrored"),
		turn: changed(turn, "turned"),
		corner(at) {
			const wall = things().find((thing) => thing.list === "wall" && thing.key === store.keys[0]);
			if (!wall) return say("Select a wall to give it a corner.");
			store.commit(insertCorner(store.doc, wall.index, at ? nearest(at, wall).at : mid(wall.a, wall.b)), "Corner added to the wall");
			store.select([`outline.${wall.index + 1}`]);
		},
		all: () => store.select(things().filter(({ list }) => list !== "wall" && list !== "bays").map((thing) => thing.key)),
		fit: () => controller.fit(), nearer: () => controller.zoom(1.25), farther: () => controller.zoom(0.8),
		before: next(-1), after: next(1),
		finish: () => controller.tool.finish?.(),
		escape() {
			if (!controller.tool.cancel()) controller.use("select");
			controller.hover(null);
			store.emit("prompt");
		},
		add: () => {
			byId("draw-add").ariaPressed = controller.adding = !controller.adding;
		},
		sheet: () => byId("draw-sheet").showModal(),
		swap() {
			const shown = !table.shown;
			table.show(shown);
			byId("draw-page").dataset.view = shown ? "table" : "drawing";
			byId("draw-swap").textContent = shown ? "Show the drawing" : "Show as tables";
			if (!shown) canvas.later();
		},
	};
}
