// The same document as tables: every object a row, every field a cell, with what is refused beside it.

import { cellInput, updateCell } from "./cells.js";
import { el } from "./dom.js";
import { add, freeId, insertCorner, remove, setAt } from "./edits.js";
import { tablesOf } from "./fields.js";
import { mid, pt } from "./geometry.js";
import { extent, readPlan } from "./plan.js";

const NEW = {
  supports: (doc) => ({ id: freeId(doc.supports, "W"), kind: "wall", from: ['0"', '0"'], to: ['0"', '0"'], width: null, joint: "lap" }),
  openings: (doc) => ({ id: freeId(doc.openings, "O"), name: "", kind: "stair", corner: ['0"', '0"'], size: ["4'-0\"", "4'-0\""] }),
  partitions: (doc) => ({ id: freeId(doc.partitions, "P"), from: ['0"', '0"'], to: ['0"', '0"'], bearing: false, load_plf: 0 }),
  bays: (doc) => ({ ...doc.bays[0], id: freeId(doc.bays, "B"), outline: null }),
};

/** The row key that a place such as `edges.0.kind` belongs to. */
export function rowKeyOf(doc, place) {
  const [list, index] = place.split(".");
  if (list === "edges") return doc.edges?.[Number(index)] ? `wall.${doc.edges[Number(index)].edge}` : "";
  if (list === "overrides") return `plies.${place.split(".")[2] ?? 0}`;
  if (list === "load_case") return "loads";
  if (list === "bays" && place.includes("load_case")) return `loads.${index}`;
  return index === undefined ? "floor" : `${list}.${index}`;
}

export class Table {
  constructor(root, store) {
    Object.assign(this, { root, store, shown: false, marks: "" });
    store.on("doc answer", () => this.update());
    store.on("selection", () => this.choose());
  }

  show(shown) {
    this.shown = shown;
    this.update();
  }

  update() {
    if (!this.shown) return;
    const { store } = this;
    this.tables = tablesOf(store.doc, store.start, store.answer?.drawn);
    const marks = this.tables.map((t) => `${t.id}:${t.rows.map((r) => `${r.key}(${r.cells.map((c) => c.label)})`)}`).join();
    if (marks !== this.marks) this.#build(marks);
    else this.#refresh();
    this.#problems();
    this.choose();
  }

  #build(marks) {
    this.marks = marks;
    const path = document.activeElement?.dataset?.path ?? document.activeElement?.dataset?.act;
    this.root.replaceChildren(...this.tables.map((table) => this.#table(table)));
    if (path) this.root.querySelector(`[data-path="${path}"], [data-act="${path}"]`)?.focus();
  }

  #refresh() {
    const cells = new Map(this.tables.flatMap((t) => t.rows.flatMap((r) => r.cells.map((c, i) => [`${r.key}|${i}`, [c, r]]))));
    for (const input of this.root.querySelectorAll("[data-cell]")) {
      const [cell] = cells.get(input.dataset.cell);
      input.dataset.path = cell.path;
      updateCell(input, cell, this.store);
    }
    for (const table of this.tables) for (const row of table.rows) {
      this.root.querySelector(`[data-row="${row.key}"] .pl-row-name`).textContent = row.name;
    }
  }

  #table(table) {
    const title = el("h2", { id: `t-${table.id}` }, table.title);
    const button = table.add && this.store.mayChange
      ? el("button", { type: "button", class: "button small", "data-act": `add-${table.id}`, onclick: () => this.#add(table.id) }, table.add) : null;
    const line = el("div", { class: "section-line" }, title, button);
    if (!table.rows.length) return el("section", {}, line, el("p", { class: "quiet" }, "None yet."), this.#ownLoads(table));
    const heads = table.rows[0].cells.map((cell) => el("th", { scope: "col", class: cell.wide ? "pl-wide" : "" }, cell.label));
    const head = el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "What"), ...heads, el("th", { scope: "col" }, el("span", { class: "unseen" }, "Take away"))));
    const body = el("tbody", {}, ...table.rows.map((row) => this.#row(table, row)));
    const wrap = el("div", { class: "table-wrap pl-scroll", tabindex: "0", role: "group", "aria-labelledby": `t-${table.id}` },
      el("table", { "aria-labelledby": `t-${table.id}` }, head, body));
    return el("section", {}, line, wrap, this.#ownLoads(table));
  }

  #row(table, row) {
    const inputs = row.cells.map((cell, i) => {
      const input = cellInput(cell, this.store, { name: row.name, describedby: `e-${row.key}` });
      input.dataset.cell = `${row.key}|${i}`;
      return el("td", { class: cell.wide ? "pl-wide" : "" }, input);
    });
    const bin = this.#canGo(table, row) ? el("button", {
      type: "button", class: "button small quiet", "aria-label": `Take away ${row.name}`, onclick: () => this.#remove(table, row),
    }, "Take away") : null;
    const name = el("th", { scope: "row" }, el("span", { class: "pl-row-name" }, row.name), el("span", { class: "pl-row-error", id: `e-${row.key}` }));
    return el("tr", { "data-row": row.key, onfocusin: () => this.#focused(row.key) }, name, ...inputs, el("td", { class: "fit" }, bin));
  }

  #canGo(table, row) {
    if (!this.store.mayChange || table.id === "floor" || table.id === "wall") return false;
    if (table.id === "bays") return this.store.doc.bays.length > 1;
    return table.id !== "loads" || row.key !== "loads";
  }

  #focused(key) {
    const drawn = /^(outline|wall|supports|openings|partitions|bays)\./.test(key);
    if (drawn && !this.store.selection.has(key)) this.store.select([key]);
  }

  #add(list) {
    const { doc, units } = this.store;
    if (list === "plies") return this.#commit(setAt(doc, "overrides", { plies: [...(doc.overrides?.plies || []), { of: doc.openings?.[0]?.id ?? "", part: "trimmer_low", plies: 2 }] }), "Plies fixed");
    if (list === "outline") return this.#commit(this.#corner(doc), "Corner added");
    const entry = NEW[list](doc);
    if (units === "metric" && list === "openings") entry.size = ["1200 mm", "1200 mm"];
    if (list === "openings" || list === "supports") this.#centre(entry, doc);
    return this.#commit(add(doc, list, entry), "Row added");
  }

  #corner(doc) {
    const plan = readPlan(doc);
    const wall = plan.walls.at(-1);
    if (!wall || doc.outline.length < 3) return { ...doc, outline: [...doc.outline, ['0"', '0"']] };
    const middle = mid(wall.a, wall.b);
    return insertCorner(doc, doc.outline.length - 1, pt(Math.round(middle.x), Math.round(middle.y)));
  }

  /** A new bearing crosses the floor's middle, a new opening stands in its low corner. */
  #centre(entry, doc) {
    const box = extent(readPlan(doc));
    if (!box) return;
    const text = (value) => `${value / 16}"`;
    const middle = Math.round((box.low.y + box.high.y) / 2);
    if (entry.from) Object.assign(entry, { from: [text(box.low.x), text(middle)], to: [text(box.high.x), text(middle)] });
    else entry.corner = [text(box.low.x + 768), text(box.low.y + 768)];
  }

  #remove(table, row) {
    const { doc } = this.store;
    const index = Number(row.key.split(".").at(-1));
    if (table.id === "plies") this.#commit(setAt(doc, "overrides.plies", doc.overrides.plies.filter((_, i) => i !== index)), "Fixed plies let go");
    else if (table.id === "loads") this.#commit(setAt(doc, `bays.${index}.load_case`, null), "The bay takes the floor's loads");
    else this.#commit(remove(doc, [row.key]), `${row.name} taken away`);
    this.root.querySelector(`#t-${table.id}`)?.closest("section").querySelector("button, input")?.focus();
  }

  /** Buttons that give a bay loads of its own. */
  #ownLoads(table) {
    if (!table.own || !this.store.mayChange) return null;
    return el("p", { class: "row" }, ...this.store.doc.bays.flatMap((bay, i) => (bay.load_case ? [] : [el("button", {
      type: "button", class: "button small", "data-act": `loads-${i}`,
      onclick: () => this.#commit(setAt(this.store.doc, `bays.${i}.load_case`, this.store.doc.load_case), `Bay ${bay.id} has its own loads`),
    }, `Give bay ${bay.id} its own loads`)])));
  }

  #commit(doc, words) {
    this.store.commit(doc, words);
  }

  #problems() {
    const { answer, doc } = this.store;
    const found = new Map();
    for (const problem of answer?.doc === doc ? answer.problems : []) {
      const key = rowKeyOf(doc, problem.place);
      found.set(key, [...(found.get(key) ?? []), problem]);
    }
    for (const line of this.root.querySelectorAll("[data-row]")) {
      const own = found.get(line.dataset.row) ?? [];
      line.querySelector(".pl-row-error").textContent = own.map((problem) => problem.message).join(" ");
      for (const input of line.querySelectorAll("[data-path]")) {
        const bad = own.some((p) => p.place === input.dataset.path || input.dataset.path.startsWith(`${p.place}.`) || p.place.startsWith(`${input.dataset.path}.`));
        if (bad) input.setAttribute("aria-invalid", "true");
        else if (!input.dataset.typed) input.removeAttribute("aria-invalid");
      }
    }
  }

  choose() {
    if (!this.shown) return;
    for (const line of this.root.querySelectorAll("[data-row]")) line.classList.toggle("selected", this.store.selection.has(line.dataset.row));
  }
}
