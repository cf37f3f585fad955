import { updateCell, watchCells } from "./cells.js";
import { byId, on, put } from "./dom.js";
import { PARTS, addTo, mayGo, nameOf, page, rowsOf, takeAway } from "./parts.js";
import { LISTS } from "./plan.js";

const SELECTED = ["outline", "wall", ...LISTS];
const inside = (path, place) => path === place || path.startsWith(`${place}.`);

export class Table {
	constructor(root, store) {
		Object.assign(this, { root, store, shown: false });
		root.append(page);
		watchCells(root, store);
		on(root, "click", "[data-add]", ({ dataset }) => this.#add(dataset.add));
		on(root, "click", "[data-go]", (bin) => this.#remove(bin.closest("tr").row));
		on(root, "focusin", "tbody tr", ({ row: { list, key } }) => {
			if (!store.selection.has(key)) store.select(SELECTED.includes(list) ? [key] : []);
		});
		store.on("doc answer", () => this.update());
		store.on("selection", () => this.choose());
	}

	show(shown) {
		this.shown = shown;
		this.update();
	}

	update() {
		if (!this.shown) return;
		for (const [list, { section, row: one }] of Object.entries(PARTS)) {
			const rows = rowsOf(this.store.doc, list);
			const body = section.querySelector("tbody");
			section.querySelector("p").hidden = rows.length > 0;
			section.querySelector(".table-wrap").hidden = !rows.length;
			while (body.children.length > rows.length) body.lastChild.remove();
			while (body.children.length < rows.length) body.append(document.importNode(one, true));
			rows.forEach((row, i) => this.#fill(body.children[i], row));
		}
		this.#problems();
		this.choose();
	}

	#fill(line, row) {
		const { key, name } = row;
		line.row = row;
		put(line.dataset, "row", key);
		put(line.querySelector(".pl-row-name"), "textContent", name);
		put(line.querySelector(".pl-row-error"), "id", `e-${key}`);
		for (const input of line.querySelectorAll("[data-field]")) {
			updateCell(input, row, this.store);
			if (input.getAttribute("aria-describedby") !== `e-${key}`) input.setAttribute("aria-describedby", `e-${key}`);
		}
		const bin = line.querySelector("[data-go]");
		if (!bin) return;
		put(bin, "ariaLabel", `Take away ${name}`);
		bin.hidden = !mayGo(this.store.doc, row);
	}

	#add(list) {
		const doc = addTo(this.store.doc, list);
		this.store.commit(doc, `${rowsOf(doc, list).at(-1).name} added`);
		PARTS[list].section.querySelector("tr:last-child [data-field]").focus();
	}

	#remove(row) {
		this.store.commit(takeAway(this.store.doc, row), `${row.name} taken away`);
		PARTS[row.list].section.querySelector("[data-add], [data-field]").focus();
	}

	#problems() {
		const { answer, doc } = this.store;
		const lines = [...this.root.querySelectorAll("[data-row]")].sort((a, b) => b.row.base.length - a.row.base.length);
		const found = new Map(lines.map((line) => [line, []]));
		for (const problem of answer?.doc === doc ? answer.problems : []) found.get(lines.find(({ row: { base } }) => !base || inside(problem.place, base))).push(problem);
		for (const [line, problems] of found) {
			put(line.querySelector(".pl-row-error"), "textContent", problems.map(({ message }) => message).join(" "));
			for (const input of line.querySelectorAll("[data-path]")) {
				const { path, typed } = input.dataset;
				if (problems.some(({ place }) => inside(path, place) || inside(place, path))) input.setAttribute("aria-invalid", "true");
				else if (!typed) input.removeAttribute("aria-invalid");
			}
		}
	}

	choose() {
		if (!this.shown) return;
		const { selection, keys, doc } = this.store;
		for (const line of this.root.querySelectorAll("[data-row]")) line.classList.toggle("selected", selection.has(line.dataset.row));
		const told = byId("draw-table-told");
		if (told) told.textContent = keys.length === 1 ? `${nameOf(doc, keys[0])} is selected.` : keys.length ? `${keys.length} things are selected.` : "Nothing is selected; mirror and turn take the floor.";
	}
}
