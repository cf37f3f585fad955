// Somebody saved while you drew: who and what, on the drawing too; merge, take theirs, or save yours over it.

import { byId, el } from "./dom.js";
import { clock } from "./keeping.js";
import { merge } from "./merge.js";
import { send } from "./send.js";

export class Clash {
  constructor(store) {
    this.store = store;
    this.box = byId("draw-clash");
  }

  async open(theirs) {
    const { store } = this;
    this.theirs = theirs;
    this.choice = {};
    const versions = store.start.urls.versions;
    const [base, shown] = await Promise.all([store.baseVersion, theirs.version].map((number) => send(`${versions}${number}/`).catch(() => ({ body: {} }))));
    this.base = base.body.document ?? theirs.document;
    this.shown = shown.body;
    this.fill();
    this.box.hidden = false;
    this.box.querySelector("h2").focus();
  }

  fill() {
    const { theirs } = this;
    const { clashes } = merge(this.base, this.store.settled, theirs.document, this.choice);
    const list = (theirs.differences ?? []).map((difference) => el("li", {}, difference.words));
    const button = (words, act, look = "") => el("button", { type: "button", class: `button ${look}`, onclick: act }, words);
    this.box.replaceChildren(
      el("h2", { tabindex: "-1" }, `Version ${theirs.version} was saved while you drew`),
      el("p", {}, `${theirs.saved_by} saved it at ${clock(theirs.saved_at)}. Yours is kept; nothing is lost whatever you choose.`),
      list.length ? el("details", { open: true }, el("summary", {}, "What differs"), el("ul", {}, ...list)) : null,
      clashes.length ? el("fieldset", { class: "stack" }, el("legend", {}, "Changed by both"), ...clashes.map((one) => this.#pick(one))) : null,
      el("div", { class: "row" },
        button("Merge both", () => this.merge(), "primary"), button("Take theirs", () => this.take()),
        button(`Save mine over version ${theirs.version}`, () => this.over()), button("Show theirs on the drawing", () => this.look()), button("Not now", () => this.close(), "quiet")),
    );
  }

  #pick({ path, words }) {
    const radio = (value, label) => el("label", { class: "check" }, el("input", {
      type: "radio", name: `pick-${path}`, value, checked: (this.choice[path] ?? "mine") === value, onchange: () => { this.choice[path] = value; },
    }), label);
    return el("div", { class: "row", role: "radiogroup", "aria-label": words }, el("span", {}, words), radio("mine", "Mine"), radio("theirs", "Theirs"));
  }

  look() {
    this.store.ghost = this.store.ghost ? null : this.shown;
    this.store.emit("ghost");
    this.store.emit("said", this.store.ghost ? `Version ${this.theirs.version} is dashed on the drawing.` : "Version hidden again.");
  }

  merge() {
    const { document } = merge(this.base, this.store.settled, this.theirs.document, this.choice);
    this.#adopt(document, `Merged with version ${this.theirs.version}`);
    this.store.emit("said", `Merged with version ${this.theirs.version}. Look it over, then save.`);
  }

  take() {
    this.#adopt(this.theirs.document, `Version ${this.theirs.version} taken`);
    this.store.savedDoc = this.store.settled;
    this.store.emit("settled");
  }

  #adopt(document, words) {
    this.store.baseVersion = this.theirs.version;
    this.store.commit(document, words);
    byId("draw-version").textContent = `version ${this.theirs.version}`;
    this.close();
  }

  over() {
    this.store.baseVersion = this.theirs.version;
    this.close();
    this.store.emit("save");
  }

  close() {
    this.box.hidden = true;
    if (this.store.ghost) { this.store.ghost = null; this.store.emit("ghost"); }
    this.store.emit("focus");
  }
}
