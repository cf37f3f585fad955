import { Later, sent } from "./send.js";

const SETTLED_MS = 200;

export class Places {
	#kept = new Map();
	#turn = 0;
	#rest = {};
	#wait = new Later(() => this.#find("key", this.store.keys[0]));
	pinned = "";

	constructor(store) {
		this.store = store;
		store.on("member", ({ id }) => this.#find("member", id));
		store.on("selection", () => {
			const [key, ...more] = store.keys;
			this.#turn += 1;
			if (store.frame && key && !more.length && !/^(outline|bays)/.test(key)) this.#wait.in(SETTLED_MS);
			else if (store.lit.key) this.#stay({});
		});
		store.on("answer", () => (this.pinned ? this.#show(this.pinned, true) : store.lit.member && this.#stay({})));
		store.on("lit", () => { if (!store.lit.code && !store.lit.member && !store.lit.key) this.pinned = ""; });
	}

	#ask(more) {
		const { frame, start } = this.store;
		return frame && sent(start.urls.places, { document: frame.doc, ...more });
	}

	point(code) {
		if (!this.pinned) this.#show(code);
	}

	leave() {
		if (this.pinned) return;
		this.#turn += 1;
		this.store.light(this.#rest);
	}

	async pin(code) {
		this.pinned = this.pinned === code ? "" : code;
		if (this.pinned) return this.#show(code, true);
		this.#stay({});
		return null;
	}

	async #show(code, stay = false) {
		const turn = ++this.#turn;
		const { frame } = this.store;
		if (this.frame !== frame) this.#kept.clear();
		this.frame = frame;
		if (!this.#kept.has(code)) this.#kept.set(code, this.#ask({ code }));
		const answer = await this.#kept.get(code);
		if (!answer) this.#kept.delete(code);
		const places = answer?.body.places ?? [];
		if (turn === this.#turn) this.#stay({ code, places }, stay);
		return places;
	}

	#stay(lit, stay = true) {
		if (stay) this.#rest = lit;
		this.store.light(lit);
	}

	async #find(what, near) {
		if (!near) return;
		const turn = ++this.#turn;
		if (what === "member") this.#stay({ member: near });
		const answer = await this.#ask({ near });
		if (turn !== this.#turn) return;
		this.pinned = "";
		this.#stay({ [what]: near, codes: answer?.body.codes ?? [] });
	}
}
