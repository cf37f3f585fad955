import { el, put } from "./dom.js";
import { getAt, setAt } from "./edits.js";
import { formatLength, parseLength } from "./lengths.js";
import { SPECIAL, pathOf, spacings } from "./parts.js";
import { readPlan, wallKind } from "./plan.js";

const specialOf = ({ row, dataset }) => SPECIAL[`${row.list}.${dataset.field}`];

function valueOf({ value, options, dataset: { kind } }, units) {
	const said = value.trim();
	if (kind === "number") return said && Number.isFinite(Number(said)) ? Number(said) : said;
	if (kind === "text" && !options) return value;
	if (said && kind !== "text") parseLength(said, units, { negative: kind === "signed" });
	return said || null;
}

function textOf(input, doc) {
	const { row, options, dataset: { path, kind } } = input;
	const get = specialOf(input)?.get ?? getAt;
	const value = get(doc, path, row) ?? options?.[0]?.value ?? "";
	return typeof value === "number" && kind !== "number" && doc.units === "imperial" && !options ? formatLength(Math.round(value * 16), "imperial") : String(value);
}

async function take(input, store) {
	const { row, value, selectedOptions, dataset: { path, label } } = input;
	input.removeAttribute("aria-invalid");
	delete input.dataset.typed;
	if (value === textOf(input, store.doc)) return;
	try {
		const set = specialOf(input)?.set ?? ((doc, said) => setAt(doc, path, said));
		const doc = await set(store.doc, valueOf(input, store.units), { ...row, path, start: store.start });
		store.commit(doc, `${row.name}, ${label.toLowerCase()}: ${selectedOptions?.[0].textContent ?? (value || "none")}`);
	} catch (error) {
		input.setAttribute("aria-invalid", "true");
		input.dataset.typed = "1";
		store.emit("said", error.message);
	}
}

export function watchCells(root, store) {
	root.addEventListener("input", ({ target }) => { target.dataset.typed = "1"; });
	root.addEventListener("change", ({ target }) => { if (target.dataset.field) take(target, store); });
	root.addEventListener("keydown", ({ key, target }) => { if (key === "Enter" && target.dataset.field) take(target, store); });
}

/** Bring a field in step with its row, which may be at another path by now; a field without an id has the row's name. */
export function updateCell(input, row, store) {
	const { options, dataset } = input;
	input.row = row;
	put(dataset, "path", pathOf(row, dataset.field));
	if (!input.id) put(input, "ariaLabel", `${row.name}, ${dataset.label.toLowerCase()}`);
	if (dataset.field === "spacing" && dataset.units !== store.units) {
		input.replaceChildren(...spacings(store.units).map(([value, words]) => el("option", { value }, words)));
		dataset.units = store.units;
	}
	if (dataset.path.startsWith("edges.") && options) {
		const now = wallKind({ ...store.doc, edges: [] }, readPlan(store.doc), row.index, store.answer?.drawn);
		put(options[0], "textContent", `By joist direction (${[...options].find(({ value }) => value === now).textContent.toLowerCase()})`);
	}
	if (dataset.typed) return;
	const text = textOf(input, store.doc);
	if (options && ![...options].some(({ value }) => value === text)) input.append(el("option", { value: text }, text));
	put(input, "value", text);
}
