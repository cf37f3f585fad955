// Somebody saved while you drew: who and what, on the drawing too; merge, take theirs, or save yours over it.

import { byId, copyOf, el, on } from "./dom.js";
import { clock } from "./keeping.js";
import { merge } from "./merge.js";
import { sent } from "./send.js";

export class Clash {
  constructor(store) {
    Object.assign(this, { store, box: byId("draw-clash") });
    on(this.box, "click", "[data-do]", ({ dataset }) => this[dataset.do]());
    on(this.box, "change", "[type=radio]", ({ name, value }) => { this.choice[name] = value; });
  }

  async open(theirs) {
    const { baseVersion, start } = this.store;
    const { version, saved_by, saved_at, differences = [] } = theirs;
    const [base, shown] = await Promise.all([baseVersion, version].map((number) => sent(`${start.urls.versions}${number}/`)));
    Object.assign(this, { theirs, base: base?.body.document ?? theirs.document, shown: shown?.body ?? null, choice: {} });
    const { clashes } = this.#merged();
    const form = copyOf("draw-clash-form", { title: `Version ${version} was saved while you drew`, who: `${saved_by} saved it at ${clock(saved_at)}.`, over: `Save mine over version ${version}` });
    form.querySelector("ul").append(...differences.map(({ words }) => el("li", {}, words)));
    form.querySelector("details").hidden = !differences.length;
    form.querySelector("fieldset").append(...clashes.map(pick));
    form.querySelector("fieldset").hidden = !clashes.length;
    this.box.replaceChildren(form);
    this.box.hidden = false;
    form.querySelector("h2").focus();
  }

  #merged() {
    return merge(this.base, this.store.settled, this.theirs.document, this.choice);
  }

  look() {
    const { store, theirs, shown } = this;
    store.compare(store.ghost ? null : shown);
    store.emit("said", store.ghost ? `Version ${theirs.version} is dashed on the drawing.` : "Version hidden again.");
  }

  merge() {
    const { version } = this.theirs;
    this.#adopt(this.#merged().document, `Merged with version ${version}`);
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
