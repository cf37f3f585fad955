import { byId, copyOf, el, on } from "./dom.js";
import { sent } from "./send.js";

const moment = (iso) => new Date(iso).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });

export class Versions {
	constructor(store) {
		Object.assign(this, { store, list: byId("draw-versions"), open: null });
		const details = byId("draw-versions-box");
		if (!details) return;
		[this.words, this.found, this.back] = byId("draw-version-told").children;
		details.addEventListener("toggle", () => (details.open ? this.load() : this.show(null)));
		on(this.list, "click", "button", ({ dataset }) => this.look(Number(dataset.number)));
		this.back.addEventListener("click", () => this.restore());
		store.on("saved", () => { if (details.open) this.load(); });
		store.on("settled", () => { if (this.open) this.show(this.open); });
	}

	async load() {
		const found = await this.#ask("");
		if (!found) return;
		this.list.replaceChildren(...found.versions.map(({ number, saved_at, saved_by }) => {
			const node = copyOf("draw-version-row", { words: `Version ${number}`, by: `${moment(saved_at)}, ${saved_by}` });
			node.firstChild.dataset.number = number;
			return node;
		}));
		this.#mark();
	}

	#mark() {
		for (const { firstChild } of this.list.children) firstChild.setAttribute("aria-pressed", Number(firstChild.dataset.number) === this.open?.number);
	}

	async #ask(tail, body) {
		const answer = await sent(this.store.start.urls.versions + tail, body);
		if (answer?.status === 200) return answer.body;
		this.store.emit("said", answer ? answer.body.message ?? "The versions can't be shown now." : "Not connected; versions can be shown when the line is back.");
		return null;
	}

	async look(number) {
		const version = this.open?.number === number ? null : await this.#ask(`${number}/`);
		this.show(version);
	}

	async show(version) {
		const { store } = this;
		this.open = version;
		store.compare(version);
		this.#mark();
		const { settled } = store;
		const found = version ? (await this.#ask(`${version.number}/`, { document: settled }))?.differences : [];
		if (!found || this.open !== version || store.settled !== settled) return;
		const words = version && (found.length ? `Since version ${version.number}, dashed on the drawing:` : `Version ${version.number} says what is drawn now.`);
		this.words.textContent = words;
		this.found.replaceChildren(...found.map((one) => el("li", {}, one.words)));
		this.back.hidden = !found.length || !store.mayChange;
		this.back.textContent = `Bring version ${version?.number} back`;
		if (words) store.emit("said", words);
	}

	restore() {
		const { document, number } = this.open;
		this.show(null);
		this.store.commit(document, `Version ${number} brought back`);
		this.store.emit("save");
	}
}
