import { byId, el } from "./dom.js";
import { Later, sent } from "./send.js";

export const LOST = "Not connected. What you draw is kept here and sent when the line is back.";
const [DRAFT_MS, HERE_MS] = [900, 15000];

export const clock = (iso) => new Date(iso).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });

export class Keeping {
	#sent;
	#wait = new Later(() => this.flush());

	constructor(store, clash) {
		const { urls, from_draft } = store.start;
		Object.assign(this, { store, clash, urls, saving: false, place: `draw:${urls.save}` });
		this.#sent = store.settled;
		store.savedDoc = from_draft ? null : store.settled;
		store.on("settled", () => this.change());
		store.on("line", (up) => { if (up) this.flush(); });
		addEventListener("beforeunload", (event) => { if (this.unkept) event.preventDefault(); });
		if (urls.presence) setInterval(() => { if (!document.hidden) this.presence(); }, HERE_MS);
		this.say();
	}

	get unkept() {
		return this.store.settled !== this.#sent && !this.keptHere;
	}

	change() {
		const { settled, baseVersion: base } = this.store;
		try {
			localStorage.setItem(this.place, JSON.stringify({ document: settled, base }));
			this.keptHere = true;
		} catch {
			this.keptHere = false;
		}
		this.say();
		this.#wait.in(DRAFT_MS);
	}

	/** What an earlier visit kept here and could not send: {document, base}, or null. */
	recall() {
		try {
			const kept = JSON.parse(localStorage.getItem(this.place));
			return kept?.base <= this.store.baseVersion ? kept : null;
		} catch {
			return null;
		}
	}

	#done(doc) {
		this.#sent = doc;
		this.#wait.tries = 0;
		if (this.store.settled !== doc) return;
		try { localStorage.removeItem(this.place); } catch { /* a browser that keeps nothing has nothing to forget */ }
	}

	async flush() {
		const { settled: doc, mayChange, baseVersion } = this.store;
		if (!this.urls.draft || !mayChange || this.saving || doc === this.#sent) return;
		const answer = await sent(this.urls.draft, { document: doc, base_version: baseVersion });
		if (!answer) return this.#again();
		const { status, body } = answer;
		if (status !== 200) return this.say(body.message || "The draft could not be kept on the server; it is kept here. Open this page again.", "care");
		this.#done(doc);
		this.keptAt = body.saved_at;
		this.others(body.others);
		this.say();
	}

	#again() {
		this.say(LOST, "care");
		this.#wait.again();
	}

	async presence() {
		const answer = await sent(this.urls.presence, { base_version: this.store.baseVersion });
		if (answer?.status === 200) this.others(answer.body.others, answer.body);
	}

	others(others = [], newest = {}) {
		const { baseVersion } = this.store;
		const lines = others.map(({ said }) => said);
		if (newest.version > baseVersion) lines.unshift(`${newest.saved_by} saved version ${newest.version} at ${clock(newest.saved_at)}. Saving yours will ask what to do.`);
		const box = byId("draw-others");
		if (box.textContent !== lines.join("")) box.replaceChildren(...lines.map((line) => el("p", {}, line)));
		box.hidden = !lines.length;
	}

	async save() {
		const { settled: doc, baseVersion, mayChange } = this.store;
		if (this.saving || !mayChange) return;
		this.saving = true;
		this.say("Saving…");
		const answer = await sent(this.urls.save, { document: doc, base_version: baseVersion });
		this.saving = false;
		if (!answer) return this.#again();
		const { status, body } = answer;
		if (status === 409) {
			this.say(body.message, "care");
			this.clash.open(body);
		} else if (status < 400) this.#saved(doc, body);
		else {
			this.change();
			this.say(`Not saved: ${body.problems?.[0]?.message ?? body.message ?? `The server answered with an error (${status}).`}`, "bad");
		}
	}

	#saved(doc, body) {
		const { store } = this;
		store.savedDoc = doc;
		store.baseVersion = body.version;
		this.#done(doc);
		if (body.url) return location.assign(body.url);
		byId("draw-version").textContent = `version ${body.version}`;
		store.emit("saved", body);
		this.say(`Saved as version ${body.version}.`, "good");
		if (store.settled !== doc) this.change();
	}

	say(words = "", tone = "plain") {
		const { settled, savedDoc, baseVersion } = this.store;
		const box = byId("draw-kept");
		const draft = settled === this.#sent && this.keptAt ? `Draft kept at ${clock(this.keptAt)}` : this.urls.draft ? "Draft kept here" : "Not saved yet";
		box.className = `state ${tone}`;
		box.textContent = words || (settled === savedDoc && baseVersion ? "Saved" : draft);
		if (words) this.store.emit("said", words);
	}
}
