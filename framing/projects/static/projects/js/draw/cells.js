// A cell as an input: what was typed goes into the document when the field is left; a document that changes otherwise
// shows in the field unless somebody types in it.

import { el } from "./dom.js";
import { formatLength, parseLength } from "./lengths.js";

/** What an input holds, as the document keeps it. Throws for a length that is none. */
function valueOf(cell, text, units) {
  const said = text.trim();
  if (cell.kind === "length") {
    if (!said) return null;
    parseLength(said, units, { negative: Boolean(cell.negative) });
    return said;
  }
  if (cell.kind === "number" || cell.whole) return said !== "" && Number.isFinite(Number(said)) ? Number(said) : said;
  if (cell.kind === "choice") return said === "" && "empty" in cell ? cell.empty : said;
  return text;
}

export function shownText(cell, doc) {
  const value = cell.get(doc);
  if (value === null || value === undefined) return "";
  if (typeof value === "number" && cell.kind === "length" && doc.units === "imperial") return formatLength(Math.round(value * 16), doc.units);
  return String(value);
}

/** An input for a cell of the thing `name`; with an `id` a visible label names it. */
export function cellInput(cell, store, { id, name, describedby }) {
  const shared = { id, "aria-label": id ? null : `${name}, ${cell.label.toLowerCase()}`, "data-path": cell.path, disabled: !store.mayChange, "aria-describedby": describedby };
  const commit = (input) => {
    input.removeAttribute("aria-invalid");
    delete input.dataset.typed;
    const current = input.cell;
    if (input.value === shownText(current, store.doc)) return;
    try {
      store.commit(current.set(store.doc, valueOf(current, input.value, store.units)), `${name}, ${cell.label.toLowerCase()}: ${input.selectedOptions?.[0]?.textContent ?? (input.value || "none")}`);
    } catch (error) {
      input.setAttribute("aria-invalid", "true");
      input.dataset.typed = "1";
      store.emit("said", error.message);
    }
  };
  const input = cell.kind === "choice"
    ? el("select", { ...shared, onchange: (event) => commit(event.target) })
    : el("input", {
      ...shared, class: cell.kind === "length" ? "length" : cell.kind === "number" ? "fig" : "", autocomplete: "off", spellcheck: "false", placeholder: cell.hint,
      inputmode: cell.kind === "number" ? "decimal" : null,
      oninput: (event) => { event.target.dataset.typed = "1"; },
      onchange: (event) => commit(event.target),
      onkeydown: (event) => { if (event.key === "Enter") commit(event.target); },
    });
  updateCell(input, cell, store);
  return input;
}

/** Bring an input in step with the document. */
export function updateCell(input, cell, store) {
  input.cell = cell;
  const text = shownText(cell, store.doc);
  if (cell.kind === "choice") {
    const known = cell.choices.some(([value]) => value === text);
    const choices = known ? cell.choices : [...cell.choices, [text, text || "Not said"]];
    const marks = choices.flat().join("|");
    if (input.dataset.marks !== marks) {
      input.dataset.marks = marks;
      input.replaceChildren(...choices.map(([value, words]) => el("option", { value }, words)));
    }
  }
  if (!input.dataset.typed && input.value !== text) input.value = text;
}
