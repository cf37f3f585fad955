// Nothing drawn is lost: each change is kept in this browser at once and on the server a moment later; saving makes a
// version. When the line is down the page goes on and sends what it kept as soon as the line is back.

import { byId, el } from "./dom.js";
import { Offline, send } from "./send.js";

export const LOST = "Not connected. What you draw is kept here and sent when the line is back.";
const DRAFT_MS = 900;
const HERE_MS = 15000;
const WAITS_MS = [1000, 2000, 4000, 8000, 15000, 30000];

export const clock = (iso) => new Date(iso).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });

export class Keeping {
  #timer = 0;
  #tries = 0;
  #sent = null;

  constructor(store, clash) {
    Object.assign(this, { store, clash, saving: false });
    this.place = `draw:${store.start.urls.save}`;
    store.savedDoc = store.start.from_draft ? null : store.settled;
    this.#sent = store.settled;
    store.on("settled", () => this.change());
    store.on("line", (up) => { if (up) this.flush(); });
    addEventListener("online", () => this.flush());
    addEventListener("beforeunload", (event) => { if (this.unkept) event.preventDefault(); });
    if (store.start.urls.presence) setInterval(() => { if (!document.hidden) this.presence(); }, HERE_MS);
    this.say();
  }

  /** Something is neither in this browser's store nor on the server. */
  get unkept() {
    return this.store.settled !== this.#sent && !this.keptHere;
  }

  change() {
    const { store } = this;
    try {
      localStorage.setItem(this.place, JSON.stringify({ document: store.settled, base: store.baseVersion }));
      this.keptHere = true;
    } catch {
      this.keptHere = false;
    }
    this.say();
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.flush(), DRAFT_MS);
  }

  /** What an earlier visit kept here and could not send: {document, base}, or null. */
  recall() {
    try {
      const kept = JSON.parse(localStorage.getItem(this.place) ?? "null");
      return kept && kept.base <= this.store.baseVersion ? kept : null;
    } catch {
      return null;
    }
  }

  #forget() {
    try { localStorage.removeItem(this.place); } catch { /* a browser that keeps nothing has nothing to forget */ }
  }

  async flush() {
    const { store } = this;
    const { draft } = store.start.urls;
    if (!draft || !store.mayChange || this.saving || store.settled === this.#sent) return;
    const doc = store.settled;
    try {
      const { status, body } = await send(draft, { document: doc, base_version: store.baseVersion });
      this.#tries = 0;
      if (status !== 200) return this.say(body.message || "The draft could not be kept on the server; it is kept here. Open this page again.", "care");
      this.#sent = doc;
      this.keptAt = body.saved_at;
      this.others(body.others);
      if (store.settled === doc) this.#forget();
      this.say();
    } catch (error) {
      if (!(error instanceof Offline)) throw error;
      this.#again();
    }
    return undefined;
  }

  #again() {
    this.#tries += 1;
    this.say(LOST, "care");
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.flush(), WAITS_MS[Math.min(this.#tries, WAITS_MS.length) - 1]);
  }

  async presence() {
    const { store } = this;
    try {
      const { status, body } = await send(store.start.urls.presence, { base_version: store.baseVersion });
      if (status !== 200) return;
      this.others(body.others, body);
    } catch (error) {
      if (!(error instanceof Offline)) throw error;
    }
  }

  /** Who else is here, and what was saved meanwhile. */
  others(others = [], newest = null) {
    const lines = others.map((one) => {
      const what = one.words?.length ? ` and has changed: ${one.words.join("; ")}${one.fields > one.words.length ? "; and more" : ""}` : "";
      const from = one.base_version !== this.store.baseVersion ? ` from version ${one.base_version}` : "";
      return `${one.name} ${one.here ? "draws on this floor too" : "has a draft of this floor"}${from}${what}.`;
    });
    if (newest && newest.version > this.store.baseVersion) {
      lines.unshift(`${newest.saved_by} saved version ${newest.version} at ${clock(newest.saved_at)}. Saving yours will ask what to do.`);
    }
    const box = byId("draw-others");
    const text = lines.join(" ");
    if (box.textContent.trim() !== text) box.replaceChildren(...lines.map((line) => el("p", {}, line)));
    box.hidden = !lines.length;
  }

  /** Save as a version. */
  async save(base = this.store.baseVersion) {
    const { store } = this;
    if (this.saving || !store.mayChange) return;
    this.saving = true;
    clearTimeout(this.#timer);
    const doc = store.settled;
    this.say("Saving…");
    try {
      const { status, body } = await send(store.start.urls.save, { document: doc, base_version: base });
      this.saving = false;
      if (status === 409) return void (this.say(body.message, "care"), this.clash.open(body));
      if (status >= 400) return void this.refused(body, status);
      this.#saved(doc, body);
    } catch (error) {
      this.saving = false;
      if (!(error instanceof Offline)) throw error;
      this.#again();
    }
  }

  refused(body, status) {
    const first = body.problems?.[0]?.message ?? body.message ?? `The server answered with an error (${status}).`;
    this.say(`Not saved: ${first}`, "bad");
    this.change();
    this.say(`Not saved: ${first}`, "bad");
  }

  #saved(doc, body) {
    const { store } = this;
    store.savedDoc = this.#sent = doc;
    store.baseVersion = body.version;
    if (store.settled === doc) this.#forget();
    if (body.url) {
      location.assign(body.url);
      return;
    }
    byId("draw-version").textContent = `version ${body.version}`;
    store.emit("saved", body);
    this.say(`Saved as version ${body.version}.`, "good");
    if (store.settled !== doc) this.change();
  }

  say(words = "", tone = "") {
    const { store } = this;
    const box = byId("draw-kept");
    const quiet = store.settled === store.savedDoc && store.baseVersion ? "Saved" : store.settled === this.#sent && this.keptAt ? `Draft kept at ${clock(this.keptAt)}` : store.start.urls.draft ? "Draft kept here" : "Not saved yet";
    box.className = words && tone ? `state ${tone}` : "state plain";
    box.textContent = words || quiet;
    if (words) store.emit("said", words);
  }
}
