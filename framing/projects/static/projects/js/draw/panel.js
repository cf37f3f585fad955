import { updateCell, watchCells } from "./cells.js";
import { byId, el, on, renew } from "./dom.js";
import { Options } from "./options.js";
import { fieldsOf, nameOf, rowOf } from "./parts.js";
import { exists } from "./plan.js";

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
		const made = el("template");
		made.innerHTML = answer.panel;
		for (const part of made.content.querySelectorAll("[id]")) renew(byId(part.id), part);
		const [figures, drawn] = [byId("draw-figures"), answer.state === "drawn"];
		figures.classList.toggle("pl-stale", !drawn);
		figures.hidden &&= !drawn;
		byId("draw-first").hidden = !figures.hidden;
		byId("draw-stale").hidden = drawn || figures.hidden;
		if (!drawn) return;
		this.lit();
		this.options.answer();
	}

	async pin({ dataset, textContent }) {
		const places = await this.places.pin(dataset.at);
		if (places) this.store.emit("said", `${textContent}: ${places.length} places lit on the plan.`);
	}

	lit() {
		const { lit, frame, doc } = this.store;
		for (const { classList, dataset: { code }, firstElementChild } of byId("draw-bill").children) {
			classList.toggle("selected", [lit.code, ...lit.codes].includes(code));
			firstElementChild.firstElementChild.setAttribute("aria-pressed", code === this.places.pinned);
		}
		const member = frame?.members.find(({ id }) => id === lit.member);
		const name = member ? memberName(member) : lit.codes.length && lit.key && exists(doc, lit.key) && nameOf(doc, lit.key);
		byId("draw-member").hidden = !name;
		if (name) byId("draw-member").textContent = `${name}. The lit lines of the bill count it.`;
	}

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

function memberName({ kind, mark, plies, fails }) {
	return `${kind[0].toUpperCase()}${kind.slice(1)} ${mark}${plies > 1 ? `, ${plies} plies` : ""}${fails ? ", fails a check" : ""}`;
}
