// Where the things of a bill line are, asked once for each answer; and which lines count a member.

import { apart } from "./framing.js";
import { Offline, send } from "./send.js";

const NEAR = 2.5; // inches beside a member's own width

export class Places {
  #kept = new Map();
  #of = null;

  constructor(store) {
    this.store = store;
    this.wanted = "";
    store.on("member", (member) => this.member(member));
    store.on("answer", () => { if (store.lit.member) store.light({}); });
  }

  /** Places of a code for the floor as last drawn; [] where the line is down. */
  async of(code) {
    const { frame, start } = this.store;
    if (!frame) return [];
    if (this.#of !== frame) {
      this.#of = frame;
      this.#kept.clear();
    }
    if (!this.#kept.has(code)) this.#kept.set(code, this.#ask(start.urls.places, frame.doc, code));
    return this.#kept.get(code);
  }

  async #ask(url, document, code) {
    try {
      const { status, body } = await send(url, { document, code });
      return status === 200 ? body.places : [];
    } catch (error) {
      if (!(error instanceof Offline)) throw error;
      this.#kept.delete(code);
      return [];
    }
  }

  /** Light a line; a later wish wins. */
  async show(code) {
    this.wanted = code;
    const places = await this.of(code);
    if (this.wanted === code) this.store.light({ code, places });
    return places;
  }

  /** Light the lines that count a member: what is named like it, or lies on it. */
  async member(member) {
    const { frame } = this.store;
    this.wanted = member.id;
    this.store.light({ member: member.id });
    const found = await Promise.all(frame.bill.map(async (line) => [line.code, await this.of(line.code)]));
    if (this.wanted !== member.id) return;
    const codes = found.filter(([, places]) => places.some((place) => on(place, member))).map(([code]) => code);
    this.store.light({ member: member.id, codes });
  }
}

function on(place, member) {
  if (place.id === member.id) return true;
  const reach = member.width / 2 + NEAR;
  if (!place.to) return apart(...place.at, member.line) <= reach;
  return apart(...place.at, member.line) <= reach && apart(...place.to, member.line) <= reach;
}

