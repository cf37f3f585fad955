// Which things belong together: the places of a bill line, and the lines that count what was pointed at. Asked once for
// each answer, a few lines at a time and never across an edit, whose own question comes first.

import { apart } from "./framing.js";
import { readPlan } from "./plan.js";
import { Later, sent } from "./send.js";

const NEAR = 2.5; // inches beside a thing's own half width
const USUAL_16 = 56;
const AT_ONCE = 4;
const SETTLED_MS = 200;

export class Places {
  #kept = new Map();
  #turn = 0;
  #rest = {};
  #wait = new Later(() => this.#find({ key: this.store.keys[0] }, this.#shapes()));
  pinned = "";

  constructor(store) {
    this.store = store;
    store.on("member", (member) => this.#find({ member: member.id }, [member]));
    store.on("selection", () => {
      if (this.#shapes().length) this.#wait.in(SETTLED_MS);
      else if (store.lit.key) this.#stay({});
    });
    store.on("doc", () => { this.#turn += 1; });
    store.on("answer", () => (this.pinned ? this.#show(this.pinned, true) : store.lit.member && this.#stay({})));
    store.on("lit", () => { if (!store.lit.code && !store.lit.member && !store.lit.key) this.pinned = ""; });
  }

  /** Places of a code for the floor as last drawn; [] where the line is down. */
  async of(code) {
    const { frame, start } = this.store;
    if (this.frame !== frame) this.#kept.clear();
    this.frame = frame;
    if (!this.#kept.has(code)) this.#kept.set(code, sent(start.urls.places, { document: frame.doc, code }));
    const answer = await this.#kept.get(code);
    if (!answer) this.#kept.delete(code);
    return answer?.body.places ?? [];
  }

  /** A bill line is lit while it is pointed at; then what was lit before. */
  point(code) {
    if (!this.pinned) this.#show(code);
  }

  leave() {
    if (this.pinned) return;
    this.#turn += 1;
    this.store.light(this.#rest);
  }

  /** A bill line stays lit; a second press lets it go. Returns its places. */
  async pin(code) {
    this.pinned = this.pinned === code ? "" : code;
    if (this.pinned) return this.#show(code, true);
    this.#stay({});
    return null;
  }

  /** A later wish wins. */
  async #show(code, stay = false) {
    const turn = ++this.#turn;
    const places = await this.of(code);
    if (turn === this.#turn) this.#stay({ code, places }, stay);
    return places;
  }

  #stay(lit, stay = true) {
    if (stay) this.#rest = lit;
    this.store.light(lit);
  }

  /** Light the lines with a place on one of the shapes. */
  async #find(lit, shapes) {
    const turn = ++this.#turn;
    const codes = [];
    this.pinned = "";
    if (lit.member) this.#stay(lit);
    const { bill } = this.store.frame;
    for (let i = 0; i < bill.length; i += AT_ONCE) {
      const some = bill.slice(i, i + AT_ONCE).map(({ code }) => code);
      const found = await Promise.all(some.map((code) => this.of(code)));
      if (turn !== this.#turn) return;
      codes.push(...some.filter((_, j) => found[j].some((place) => shapes.some((shape) => lies(place, shape)))));
    }
    this.#stay({ ...lit, codes });
  }

  /** The lines of the one thing that is selected, in inches, each with its width; an opening has four. */
  #shapes() {
    const { frame, doc, keys } = this.store;
    const thing = frame && keys.length === 1 && readPlan(doc).at(keys[0]);
    if (!thing || /^(outline|bays)/.test(thing.key)) return [];
    const { a = thing.low, b = thing.high ?? a } = thing;
    const lines = thing.low ? [[a.x, a.y, b.x, a.y], [b.x, a.y, b.x, b.y], [a.x, b.y, b.x, b.y], [a.x, a.y, a.x, b.y]] : [[a.x, a.y, b.x, b.y]];
    return lines.map((line) => ({ line: line.map((value) => value / 16), width: (thing.width ?? USUAL_16) / 16 }));
  }
}

/** A place is a shape's where it lies along it, or the shape along the place, as an opening's side along a trimmer. */
function lies(place, { id, line, width }) {
  const own = [...place.at, ...(place.to ?? place.at)];
  const along = ([x1, y1, x2, y2], other) => Math.max(apart(x1, y1, other), apart(x2, y2, other)) <= width / 2 + NEAR;
  return place.id === id || along(own, line) || along(line, own);
}
