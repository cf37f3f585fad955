// The option matrix: profiles by spacings of the bay that is selected, else of each; a press takes one. Prices come after
// the figures, while nothing else is asked: each is a floor framed in full.

import { copyOf, el, on, renew } from "./dom.js";
import { setAt } from "./edits.js";
import { spacing } from "./parts.js";
import { Later, sent } from "./send.js";

const IDLE_MS = 1200;
const keyOf = ({ bay, profile, spacing_in: inches }) => `${bay}|${profile}|${inches}`;
const unique = (list) => [...new Set(list)];

export class Options {
  #prices = new Map();
  #wait = new Later(() => this.#ask());
  #failing = false; // whether those that fail are shown

  constructor(root, store) {
    Object.assign(this, { root, store });
    on(root, "click", "button", ({ dataset }) => this.#take(dataset.at));
    store.on("selection", () => { if (store.doc.bays.length > 1) this.fill(); });
  }

  answer() {
    this.#prices.clear();
    this.fill();
    if (this.store.start.urls.options) this.#wait.in(IDLE_MS);
  }

  async #ask() {
    const { frame, start } = this.store;
    if (frame.doc !== this.store.doc) return;
    const answer = await sent(start.urls.options, frame.doc);
    if (answer?.status !== 200 || frame !== this.store.frame) return;
    const { options, currency, waiting } = answer.body;
    this.money = new Intl.NumberFormat("en-US", { style: "currency", currency, maximumFractionDigits: 0 });
    this.drawn = options.find(({ drawn }) => drawn)?.goods;
    for (const option of options) this.#prices.set(keyOf(option), option);
    this.fill();
    if (waiting) this.#wait.in(0);
  }

  fill() {
    const { doc, frame, keys } = this.store;
    this.all = new Map((frame?.options ?? []).map((option) => [keyOf(option), { ...option, ...this.#prices.get(keyOf(option)) }]));
    const bays = unique([...this.all.values()].map(({ bay }) => bay));
    const chosen = keys.map((key) => key.startsWith("bays.") && doc.bays[key.slice(5)]?.id).find((id) => bays.includes(id));
    renew(this.root, (chosen ? [chosen] : bays).flatMap((bay) => this.#bay(bay, bays.length > 1 ? `Bay ${bay}` : "")));
  }

  #bay(bay, title) {
    const options = [...this.all.values()].filter((option) => option.bay === bay);
    const passing = unique(options.filter(({ passes }) => passes).map(({ profile }) => profile));
    const failing = unique(options.map(({ profile }) => profile)).filter((profile) => !passing.includes(profile));
    const label = title ? `Options of ${title.toLowerCase()}` : "Options";
    const shown = this.#matrix(options, passing, { title, label });
    if (!failing.length) return [shown];
    return [shown, el("details", { open: this.#failing, ontoggle: ({ target }) => this.#toggle(target.open) },
      el("summary", {}, `${failing.length} profiles that fail at every spacing`), this.#failing && this.#matrix(options, failing, { label: `${label} that fail` }))];
  }

  #toggle(open) {
    if (open === this.#failing) return;
    this.#failing = open;
    this.fill();
  }

  #matrix([{ bay }, ...more], profiles, { title, label }) {
    const node = copyOf("draw-matrix", { title, none: !profiles.length && "No profile passes at any spacing." });
    const wrap = node.querySelector(".table-wrap");
    wrap.setAttribute("aria-label", label);
    if (!profiles.length) wrap.remove();
    const inches = unique(more.map((option) => option.spacing_in)).sort((a, b) => a - b);
    node.querySelector("thead tr")?.append(...inches.map((one) => el("th", { scope: "col" }, spacing(one, this.store.units)[1])));
    node.querySelector("tbody")?.append(...profiles.map((profile) => el("tr", {}, el("th", { scope: "row", class: "fig" }, profile),
      inches.map((one) => this.#cell(this.all.get(keyOf({ bay, profile, spacing_in: one })))))));
    return node;
  }

  #cell(option) {
    if (!option) return el("td");
    const { store } = this;
    const { profile, passes, reason, spacing_in: inches } = option;
    const bay = store.doc.bays.find(({ id }) => id === option.bay);
    const chosen = bay?.profile === profile && Math.abs(parseFloat(bay.spacing) - inches) < 0.01;
    const weight = Math.round(option.weight_lb).toLocaleString("en-US");
    const ratio = option.ratio.toFixed(2);
    const [price, told] = this.#price(option);
    const node = copyOf(passes ? "draw-option" : "draw-option-fails", { price, weight, ratio, reason: ` fails: ${reason}` });
    node.classList.toggle("chosen", chosen);
    if (!passes) node.title = reason;
    const press = node.querySelector("button");
    if (!press) return node;
    press.disabled = !store.mayChange;
    press.dataset.at = keyOf(option);
    press.setAttribute("aria-pressed", chosen);
    press.setAttribute("aria-label", `${profile} at ${spacing(inches, store.units)[1]}: ${told}${weight} lb of steel, ratio ${ratio}${chosen ? ", chosen" : ""}`);
    return node;
  }

  /** The difference to what is drawn, or the price where that has none; for the eye and for the ear. */
  #price({ goods, drawn }) {
    if (!goods) return ["", ""];
    const more = goods - this.drawn;
    const money = this.money.format(drawn || Number.isNaN(more) ? goods : Math.abs(more));
    if (money === this.money.format(goods)) return [money, `${money}, `];
    return more < 0 ? [`−${money}`, `${money} less, `] : [`+${money}`, `${money} more, `];
  }

  #take(key) {
    const { store } = this;
    const { bay, profile, spacing_in: inches } = this.all.get(key);
    const index = store.doc.bays.findIndex(({ id }) => id === bay);
    if (index < 0) return;
    const [typed, words] = spacing(inches, store.units);
    store.commit(setAt(setAt(store.doc, `bays.${index}.profile`, profile), `bays.${index}.spacing`, typed), `${profile} at ${words} taken`);
  }
}
