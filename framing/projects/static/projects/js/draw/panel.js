// The answer in words and figures beside the drawing; pointing at a bill line lights its places.

import { updateCell, watchCells } from "./cells.js";
import { byId, copyOf, el, on, renew } from "./dom.js";
import { Options } from "./options.js";
import { PARTS, fieldsOf, nameOf, rowOf } from "./parts.js";
import { exists } from "./plan.js";

const figure = (value, digits = 1) => Number(value).toLocaleString("en-US", { maximumFractionDigits: digits });

export class Panel {
  constructor(store, places) {
    Object.assign(this, { store, places, options: new Options(byId("draw-options"), store) });
    store.on("drawn", () => setTimeout(() => this.answer())); // the plan first, the figures after it
    store.on("selection doc drawn", () => this.selected());
    store.on("lit", () => this.lit());
    watchCells(byId("draw-selected-fields"), store);
    on(byId("draw-problems"), "click", "button", ({ dataset }) => store.emit("show", dataset.at));
    const bill = byId("draw-bill");
    for (const event of ["mouseover", "focusin"]) on(bill, event, "tr", ({ dataset }) => places.point(dataset.code));
    for (const event of ["mouseleave", "focusout"]) bill.addEventListener(event, () => places.leave());
    on(bill, "click", "button", (line) => this.pin(line));
  }

  answer() {
    const { answer } = this.store;
    if (!answer || answer === this.shown) return;
    this.shown = answer;
    const drawn = answer.state === "drawn";
    this.problems(answer);
    this.state(answer, drawn);
    const figures = byId("draw-figures");
    figures.classList.toggle("pl-stale", !drawn);
    figures.hidden &&= !drawn;
    byId("draw-first").hidden = !figures.hidden;
    byId("draw-stale").hidden = drawn || figures.hidden;
    const { price, counts, weight_lb, checks, bill } = answer;
    byId("draw-price").hidden = !price;
    if (!drawn) return;
    if (price) [price.total, price.words].forEach((words, i) => { byId("draw-price").children[i].textContent = words; });
    const all = [...counts, { words: "Weight", quantity: weight_lb, unit: " lb" }];
    renew(byId("draw-counts"), all.map(({ words, quantity, unit = "" }) => copyOf("draw-count", { words, value: figure(quantity, 0) + unit })));
    renew(byId("draw-checks"), checks.map(check));
    renew(byId("draw-bill"), bill.map(line));
    this.lit();
    this.options.answer();
  }

  state({ passes, failing, problems, counts: [first] }, drawn) {
    const fail = failing === 1 ? "1 member fails" : `${failing} members fail`;
    const words = !drawn ? `${problems.length} to correct` : passes ? "All members pass" : fail;
    byId("draw-state").className = `state ${!drawn ? "care" : passes ? "good" : "bad"}`;
    byId("draw-state").textContent = words;
    const count = first ? `${first.quantity} ${first.words.toLowerCase()}` : "";
    this.store.emit("answered", drawn ? `${count}, ${words.toLowerCase()}.` : `${words}: ${problems[0]?.message ?? ""}`);
  }

  problems({ problems, warnings }) {
    const item = (tone) => ({ place, message }) => {
      const [list, index] = place.split(".");
      const key = `${list}.${index}`;
      const name = PARTS[list]?.one && exists(this.store.doc, key) && nameOf(this.store.doc, key);
      const node = copyOf("draw-problem", { message, show: name && `Show ${name}` });
      node.classList.add(tone);
      if (name) node.lastChild.dataset.at = key;
      return node;
    };
    renew(byId("draw-problems"), [...problems.map(item("bad")), ...warnings.map(item("care"))]);
    byId("draw-problems").hidden = !problems.length && !warnings.length;
  }

  async pin({ dataset, textContent }) {
    const places = await this.places.pin(dataset.at);
    if (places) this.store.emit("said", `${textContent}: ${places.length} places lit on the plan.`);
  }

  /** Lines that are lit, or that count what was pointed at. */
  lit() {
    const { lit, frame, doc } = this.store;
    for (const one of byId("draw-bill").children) {
      one.classList.toggle("selected", [lit.code, ...lit.codes].includes(one.dataset.code));
      one.querySelector("button").setAttribute("aria-pressed", one.dataset.code === this.places.pinned);
    }
    const member = frame?.members.find(({ id }) => id === lit.member);
    const name = member ? memberName(member) : lit.codes.length && lit.key && exists(doc, lit.key) && nameOf(doc, lit.key);
    byId("draw-member").hidden = !name;
    if (name) byId("draw-member").textContent = `${name}. The lit lines of the bill count it.`;
  }

  /** The fields of the one thing that is selected. */
  selected() {
    const { doc, keys } = this.store;
    const row = keys.length === 1 && rowOf(doc, keys[0]);
    const box = byId("draw-selected-fields");
    byId("draw-selected").hidden = !keys.length;
    byId("draw-selected-name").textContent = row ? row.name : `${keys.length} things selected`;
    if (row?.key !== this.key) {
      box.replaceChildren(...(row ? fieldsOf(row.list) : []).map((field, i) => {
        const input = document.importNode(field, true);
        input.id = `sel-${i}`;
        return el("div", { class: `field ${field.parentNode.className}` }, el("label", { for: input.id }, field.dataset.label), input);
      }));
    }
    this.key = row?.key;
    if (row) box.querySelectorAll("[data-field]").forEach((input) => updateCell(input, row, this.store));
  }
}

function line({ code, description, exact, unit, bought, sold_by }) {
  const node = copyOf("draw-line", { description, counted: `${figure(exact)} ${unit}`, sold: `${figure(bought)} ${sold_by}` });
  node.dataset.code = node.querySelector("button").dataset.at = code;
  return node;
}

function check({ passes, profile, title, check: name, clause, ratio }) {
  const node = copyOf("draw-check", { profile, clause, name: `${title}: ${name.toLowerCase()}`, ratio: ratio.toFixed(2), [passes ? "passes" : "fails"]: passes ? "Passes" : "Fails" });
  node.classList.toggle("fails", !passes);
  return node;
}

function memberName({ kind, mark, plies, fails }) {
  return `${kind[0].toUpperCase()}${kind.slice(1)} ${mark}${plies > 1 ? `, ${plies} plies` : ""}${fails ? ", fails a check" : ""}`;
}
