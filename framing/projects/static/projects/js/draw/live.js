// Asks for the answer to what is drawn. Each question has a number; an answer older than the last one shown is
// dropped. While one question is out the newest document waits, but never long behind a slow one.

import { Offline, send } from "./send.js";

const SLOW_MS = 400;
const OUT_MOST = 3;
const WAITS_MS = [1000, 2000, 4000, 8000, 15000, 30000];

export class Live {
  #sequence = 0;
  #shown = 0;
  #out = new Map();
  #asked = null;
  #timer = 0;
  #tries = 0;

  constructor(store, ask = (body) => send(store.start.urls.answer, body)) {
    this.store = store;
    this.ask = ask;
    store.on("doc", () => this.change());
    addEventListener("online", () => this.retry());
  }

  /** The document changed, or an outline was closed. */
  change() {
    if (this.store.unfinished || this.store.doc === this.#asked) return;
    const oldest = Math.min(...this.#out.values(), Infinity);
    const waits = this.#out.size ? Math.max(0, oldest + SLOW_MS - performance.now()) : 0;
    clearTimeout(this.#timer);
    if (this.#out.size >= OUT_MOST) return;
    if (!waits) this.#go();
    else this.#timer = setTimeout(() => this.change(), waits);
  }

  retry() {
    if (!this.#tries) return;
    this.#asked = null;
    this.change();
  }

  async #go() {
    const sequence = ++this.#sequence;
    const doc = this.store.doc;
    this.#asked = doc;
    this.#out.set(sequence, performance.now());
    this.store.emit("asking", sequence);
    try {
      const { status, body } = await this.ask({ sequence, document: doc });
      this.#out.delete(sequence);
      this.#take(sequence, doc, status, body);
    } catch (error) {
      this.#out.delete(sequence);
      if (!(error instanceof Offline)) throw error;
      this.#lost(sequence);
    }
    this.change();
  }

  #take(sequence, doc, status, body) {
    if (sequence <= this.#shown) return;
    this.#shown = sequence;
    if (this.#tries) this.store.emit("line", true);
    this.#tries = 0;
    if (status !== 200) {
      this.store.emit("refused", body.message || `The server answered with an error (${status}). What is drawn is kept here.`);
      return;
    }
    this.store.answer = body;
    body.doc = doc;
    if (body.state === "drawn") this.store.frame = body;
    this.store.emit("answer");
  }

  #lost(sequence) {
    if (sequence !== this.#sequence) return;
    this.#tries += 1;
    this.store.emit("line", false);
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.retry(), WAITS_MS[Math.min(this.#tries, WAITS_MS.length) - 1]);
  }
}
