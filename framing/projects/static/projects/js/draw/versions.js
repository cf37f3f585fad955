// Saved versions: look at one on the drawing, see what differs, take it back.

import { byId, el } from "./dom.js";
import { differences } from "./merge.js";
import { Offline, send } from "./send.js";

const moment = (iso) => new Date(iso).toLocaleString([], { dateStyle: "medium", timeStyle: "short" });

export class Versions {
  constructor(store) {
    Object.assign(this, { store, list: byId("draw-versions"), told: byId("draw-version-told"), open: null });
    const details = byId("draw-versions-box");
    if (!details) return;
    details.addEventListener("toggle", () => (details.open ? this.load() : this.hide()));
    store.on("saved", () => { if (details.open) this.load(); });
    store.on("settled", () => { if (this.open) this.tell(); });
  }

  async load() {
    const found = await this.#ask("");
    if (!found) return;
    this.list.replaceChildren(...found.versions.map((version) => el("li", {},
      el("button", { type: "button", class: "button small", "aria-pressed": "false", "data-number": version.number, onclick: () => this.look(version.number) }, `Version ${version.number}`),
      el("span", { class: "small quiet" }, `${moment(version.saved_at)}, ${version.saved_by}`))));
  }

  async #ask(tail) {
    try {
      const { status, body } = await send(`${this.store.start.urls.versions}${tail}`);
      if (status === 200) return body;
      this.store.emit("said", body.message ?? "The versions can't be shown now.");
    } catch (error) {
      if (!(error instanceof Offline)) throw error;
      this.store.emit("said", "Not connected; versions can be shown when the line is back.");
    }
    return null;
  }

  async look(number) {
    if (this.open?.number === number) return this.hide();
    const version = await this.#ask(`${number}/`);
    if (!version) return undefined;
    this.open = version;
    this.store.ghost = version;
    this.store.emit("ghost");
    this.tell();
    return undefined;
  }

  /** What is different now from the version that is shown. */
  tell() {
    const found = differences(this.open.document, this.store.settled);
    for (const button of this.list.querySelectorAll("button")) button.setAttribute("aria-pressed", String(Number(button.dataset.number) === this.open.number));
    const words = found.length ? `Since version ${this.open.number}, dashed on the drawing:` : `Version ${this.open.number} says what is drawn now.`;
    this.told.replaceChildren(el("p", {}, words), el("ul", {}, ...found.map((one) => el("li", {}, one.words))));
    if (found.length && this.store.mayChange) {
      this.told.append(el("button", { type: "button", class: "button small", onclick: () => this.restore() }, `Bring version ${this.open.number} back`));
    }
    this.store.emit("said", words);
  }

  hide() {
    this.open = this.store.ghost = null;
    this.store.emit("ghost");
    this.told.replaceChildren();
    for (const button of this.list.querySelectorAll("button")) button.setAttribute("aria-pressed", "false");
  }

  /** The old document becomes the newest version; undo brings today's back. */
  restore() {
    const { document, number } = this.open;
    this.hide();
    this.store.commit(document, `Version ${number} brought back`);
    this.store.emit("save");
  }
}
