// The answer in words and figures beside the drawing; pointing at a bill line lights its places.

import { cellInput, updateCell } from "./cells.js";
import { byId, el } from "./dom.js";
import { rowOf } from "./fields.js";
import { fillOptions } from "./options.js";
import { exists, nameOf } from "./plan.js";

const pounds = (value) => `${Math.round(value).toLocaleString("en-US")} lb`;
const figure = (value) => Number(value).toLocaleString("en-US", { maximumFractionDigits: 1 });

export class Panel {
  constructor(store, places) {
    Object.assign(this, { store, places, cells: "" });
    store.on("drawn", () => setTimeout(() => this.answer())); // the plan first, the figures after it
    store.on("selection doc drawn", () => this.selected());
    store.on("lit", () => this.lit());
    byId("draw-bill").addEventListener("mouseleave", () => { if (!this.pinned) store.light({ member: store.lit.member }); });
  }

  answer() {
    const { answer } = this.store;
    if (!answer) return;
    const drawn = answer.state === "drawn";
    this.problems(answer);
    byId("draw-figures").classList.toggle("pl-stale", !drawn);
    this.state(answer);
    byId("draw-stale").hidden = drawn || byId("draw-figures").hidden;
    byId("draw-price").hidden ||= !drawn;
    if (!drawn) return;
    byId("draw-figures").hidden = false;
    byId("draw-first").hidden = true;
    this.counts(answer);
    this.checks(answer);
    this.bill(answer);
    fillOptions(byId("draw-options"), this.store);
    this.price(answer);
    if (this.pinned) this.places.show(this.pinned);
  }

  state({ state, passes, failing, problems, counts }) {
    const first = counts[0] ? `${counts[0].quantity} ${counts[0].words.toLowerCase()}` : "";
    const fail = failing === 1 ? "1 member fails" : `${failing} members fail`;
    const words = state !== "drawn" ? `${problems.length} to correct` : passes ? "All members pass" : fail;
    const tone = state !== "drawn" ? "care" : passes ? "good" : "bad";
    byId("draw-state").className = `state ${tone}`;
    byId("draw-state").textContent = words;
    const said = state === "drawn" ? `${first}, ${words.toLowerCase()}.` : `${words}: ${problems[0]?.message ?? ""}`;
    this.store.emit("answered", said);
  }

  problems({ problems, warnings }) {
    const list = (items, tone) => items.map((item) => {
      const key = /^(outline|supports|openings|partitions|bays)\.[0-9]+/.exec(item.place)?.[0];
      const named = key && exists(this.store.doc, key) ? nameOf(this.store.doc, key) : "";
      const show = key && named ? el("button", { type: "button", class: "button small quiet", onclick: () => this.store.emit("show", key) }, `Show ${named}`) : null;
      return el("li", { class: `pl-problem ${tone}` }, el("span", {}, item.message), show);
    });
    byId("draw-problems").replaceChildren(...list(problems, "bad"), ...list(warnings, "care"));
    byId("draw-problems").hidden = !problems.length && !warnings.length;
  }

  counts({ counts, weight_lb: weight }) {
    const one = (words, value) => el("div", {}, el("dt", {}, words), el("dd", { class: "fig" }, value));
    byId("draw-counts").replaceChildren(...counts.map((count) => one(count.words, count.quantity.toLocaleString("en-US"))), one("Weight", pounds(weight)));
  }

  checks({ checks }) {
    byId("draw-checks").replaceChildren(...checks.map((check) => el("tr", { class: check.passes ? "" : "fails" },
      el("th", { scope: "row", class: "fig" }, check.profile),
      el("td", {}, `${check.title}: ${check.check.toLowerCase()} `, el("span", { class: "quiet small" }, check.clause)),
      el("td", { class: "num" }, check.ratio.toFixed(2)),
      el("td", { class: "fit" }, el("span", { class: `state ${check.passes ? "good" : "bad"}` }, check.passes ? "Passes" : "Fails")))));
  }

  bill({ bill }) {
    const body = byId("draw-bill");
    const focused = document.activeElement?.dataset?.code;
    body.replaceChildren(...bill.map((line) => el("tr", { "data-code": line.code, onmouseenter: () => this.point(line.code) },
      el("th", { scope: "row" }, el("button", {
        type: "button", class: "pl-line", "data-code": line.code, "aria-pressed": "false", onclick: () => this.pin(line),
        onfocus: () => this.point(line.code),
      }, line.description)),
      el("td", { class: "num" }, `${figure(line.exact)} ${line.unit}`),
      el("td", { class: "num" }, `${figure(line.bought)} ${line.sold_by}`))));
    if (focused) body.querySelector(`button[data-code="${CSS.escape(focused)}"]`)?.focus();
    this.lit();
  }

  point(code) {
    if (!this.pinned) this.places.show(code);
  }

  async pin(line) {
    this.pinned = this.pinned === line.code ? "" : line.code;
    if (!this.pinned) return this.store.light({});
    const places = await this.places.show(line.code);
    this.store.emit("said", `${line.description}: ${places.length} places lit on the plan.`);
    return undefined;
  }

  /** Lines that are lit, or that count the member that was pointed at. */
  lit() {
    const { code, codes = [], member } = this.store.lit;
    if (!code && !member) this.pinned = "";
    for (const line of byId("draw-bill").querySelectorAll("tr")) {
      const on = line.dataset.code === code || codes.includes(line.dataset.code);
      line.classList.toggle("selected", on);
      line.querySelector("button").setAttribute("aria-pressed", String(line.dataset.code === this.pinned));
    }
    const found = this.store.frame?.members.find((one) => one.id === member);
    byId("draw-member").hidden = !found;
    if (found) {
      const kind = found.kind[0].toUpperCase() + found.kind.slice(1);
      byId("draw-member").textContent = `${kind} ${found.mark}${found.plies > 1 ? `, ${found.plies} plies` : ""}${found.fails ? ", fails a check" : ""}. The lit lines of the bill count it.`;
    }
  }

  price({ price }) {
    const box = byId("draw-price");
    box.hidden = !price;
    if (price) box.replaceChildren(el("span", { class: "grand" }, price.total), el("span", { class: "small quiet" }, price.words));
  }

  /** The fields of the one thing that is selected. */
  selected() {
    const { store } = this;
    const root = byId("draw-selected");
    const keys = store.keys;
    const row = keys.length === 1 ? rowOf(store.doc, keys[0], store.start, store.answer?.drawn) : null;
    const marks = row ? `${row.key}${row.cells.map((cell) => cell.label)}` : `${keys.length}`;
    root.hidden = !keys.length;
    byId("draw-selected-name").textContent = row ? row.name : `${keys.length} things selected`;
    const box = byId("draw-selected-fields");
    if (marks !== this.cells) {
      this.cells = marks;
      box.replaceChildren(...(row?.cells ?? []).map((cell, i) => {
        const id = `sel-${i}`;
        const input = cellInput(cell, store, { id, name: row.name });
        return el("div", { class: `field${cell.wide ? " pl-wide" : ""}` }, el("label", { for: id }, cell.label), input);
      }));
    } else {
      [...box.querySelectorAll("input, select")].forEach((input, i) => {
        input.dataset.path = row.cells[i].path;
        updateCell(input, row.cells[i], store);
      });
    }
  }
}
