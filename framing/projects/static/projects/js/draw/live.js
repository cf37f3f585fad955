import { Later, sent } from "./send.js";

const SLOW_MS = 400;
const OUT_MOST = 3;

export class Live {
	#sequence = 0;
	#shown = 0;
	#out = new Map();
	#asked = null;
	#wait = new Later(() => this.change());

	constructor(store, ask = (body) => sent(store.start.urls.answer, body)) {
		Object.assign(this, { store, ask });
		store.on("doc", () => this.change());
	}

	change() {
		if (this.store.doc === this.#asked) return;
		const waits = Math.min(...this.#out.values()) + SLOW_MS - performance.now();
		if (this.#out.size >= OUT_MOST) return;
		if (this.#out.size && waits > 0) this.#wait.in(waits);
		else this.#go();
	}

	async #go() {
		const sequence = ++this.#sequence;
		const { doc } = this.store;
		this.#asked = doc;
		this.#out.set(sequence, performance.now());
		const answer = await this.ask({ sequence, document: doc });
		this.#out.delete(sequence);
		if (answer) this.#take(sequence, doc, answer);
		else if (sequence === this.#sequence) return this.#lost();
		this.change();
	}

	#take(sequence, doc, { status, body }) {
		if (sequence <= this.#shown) return;
		this.#shown = sequence;
		const { store } = this;
		if (this.#wait.tries) store.emit("line", true);
		this.#wait.tries = 0;
		if (status !== 200) return store.emit("refused", body.message || `The server answered with an error (${status}). What is drawn is kept here.`);
		store.answer = Object.assign(body, { doc });
		if (body.state === "drawn") store.frame = body;
		store.emit("answer");
	}

	#lost() {
		this.#asked = null;
		this.store.emit("line", false);
		this.#wait.again();
	}
}
