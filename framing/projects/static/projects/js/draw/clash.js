import { byId, copyOf, el, on } from "./dom.js";
import { LOST, clock } from "./keeping.js";
import { sent } from "./send.js";

export class Clash {
	constructor(store) {
		Object.assign(this, { store, box: byId("draw-clash") });
		on(this.box, "click", "[data-do]", ({ dataset }) => this[dataset.do]());
		on(this.box, "change", "[type=radio]", ({ name, value }) => { this.choice[name] = value; });
	}

	async open(theirs) {
		const { version, saved_by, saved_at, differences = [] } = theirs;
		Object.assign(this, { theirs, url: `${this.store.start.urls.versions}${version}/`, choice: {} });
		const { clashes = [] } = await this.#merged();
		const form = copyOf("draw-clash-form", { title: `Version ${version} was saved while you drew`, who: `${saved_by} saved it at ${clock(saved_at)}.`, over: `Save mine over version ${version}` });
		form.querySelector("ul").append(...differences.map(({ words }) => el("li", {}, words)));
		form.querySelector("details").hidden = !differences.length;
		form.querySelector("fieldset").append(...clashes.map(pick));
		form.querySelector("fieldset").hidden = !clashes.length;
		this.box.replaceChildren(form);
		this.box.hidden = false;
		form.querySelector("h2").focus();
	}

	async #merged() {
		const { settled: document, baseVersion: base_version } = this.store;
		const answer = await sent(this.url, { document, base_version, choice: this.choice });
		return answer?.status === 200 ? answer.body : {};
	}

	async look() {
		const { store, theirs } = this;
		store.compare(store.ghost ? null : (await sent(this.url))?.body);
		store.emit("said", store.ghost ? `Version ${theirs.version} is dashed on the drawing.` : "Version hidden again.");
	}

	async merge() {
		const { version } = this.theirs;
		const { document } = await this.#merged();
		if (!document) return this.store.emit("said", LOST);
		this.#adopt(document, `Merged with version ${version}`);
		this.store.emit("said", `Merged with version ${version}. Look it over, then save.`);
	}

	take() {
		this.#adopt(this.theirs.document, `Version ${this.theirs.version} taken`);
		this.store.savedDoc = this.store.settled;
		this.store.emit("settled");
	}

	#adopt(document, words) {
		const { version } = this.theirs;
		this.store.baseVersion = version;
		this.store.commit(document, words);
		byId("draw-version").textContent = `version ${version}`;
		this.close();
	}

	over() {
		this.store.baseVersion = this.theirs.version;
		this.close();
		this.store.emit("save");
	}

	close() {
		this.box.hidden = true;
		this.store.compare(null);
		this.store.emit("focus");
	}
}

function pick({ path, words }) {
	const node = copyOf("draw-pick", { words });
	node.setAttribute("aria-label", words);
	for (const radio of node.querySelectorAll("input")) radio.name = path;
	return node;
}
