import { exists } from "./plan.js";

const PAST_MOST = 500;

export class Store {
	#listeners = new Map();
	#past = [];
	#future = [];

	constructor(start) {
		this.start = start;
		this.doc = this.settled = start.document;
		this.mayChange = start.may_change;
		this.baseVersion = start.base_version;
		this.selection = new Set();
		this.answer = null;
		this.frame = null; // the last answer that drew members
		this.ghost = null; // a version shown beside this one
		this.light();
	}

	on(names, fn) {
		for (const name of names.split(" ")) this.#listeners.set(name, [...(this.#listeners.get(name) ?? []), fn]);
	}

	emit(name, detail) {
		for (const fn of this.#listeners.get(name) ?? []) fn(detail);
	}

	show(doc) {
		if (doc === this.doc) return;
		this.doc = doc;
		this.emit("doc");
	}

	/** Take a document into the history. `words` say what was done; steps of equal `run` become one. */
	commit(doc, words, run = "") {
		if (!this.mayChange || doc === this.settled) return this.show(this.settled);
		const last = this.#past.at(-1);
		if (!run || last?.run !== run || this.#future.length) this.#past.push({ doc: this.settled, words, run });
		if (this.#past.length > PAST_MOST) this.#past.shift();
		this.#future = [];
		this.#settle(doc);
		this.emit("said", `${words}.`);
	}

	drop() { this.show(this.settled); }
	undo() { return this.#step(this.#past, this.#future, "Undone"); }
	redo() { return this.#step(this.#future, this.#past, "Done again"); }

	#step(from, to, word) {
		const step = from.pop();
		if (!step) return false;
		to.push({ ...step, doc: this.settled, run: "" });
		this.#settle(step.doc);
		this.emit("said", `${word}: ${step.words}.`);
		return true;
	}

	get canUndo() { return this.#past.length > 0; }
	get canRedo() { return this.#future.length > 0; }
	get keys() { return [...this.selection]; }
	get units() { return this.doc.units ?? this.start.units; }

	#settle(doc) {
		this.doc = this.settled = doc;
		const kept = this.keys.filter((key) => exists(doc, key));
		if (kept.length !== this.selection.size) this.select(kept);
		this.emit("doc");
		this.emit("settled");
	}

	compare(version) {
		this.ghost = version;
		this.emit("ghost");
	}

	select(keys) {
		this.selection = new Set(keys);
		this.emit("selection");
	}

	/** Light a bill line's `code` with its `places`, or a `member` or `key` with the `codes` of the lines that count there. */
	light(lit) {
		this.lit = { code: "", places: [], member: "", key: "", codes: [], ...lit };
		this.emit("lit");
	}
}
