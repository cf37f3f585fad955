// A bundle goes to another day or line of the board by dragging, or by arrow keys from its “Move”; the same form as on
// its own page is sent, so both pin it.

const form = document.getElementById("move-form");
let held = null;

function cellAt(event) {
	return held && event.target instanceof Element ? event.target.closest("[data-drop]") : null;
}

function light(cell) {
	for (const one of document.querySelectorAll(".drop-here")) one.classList.toggle("drop-here", one === cell);
	cell?.classList.add("drop-here");
}

function pin(bundle, cell) {
	form.action = bundle.dataset.move;
	form.elements.day.value = cell.dataset.day;
	form.elements.line.value = cell.dataset.line;
	form.requestSubmit();
}

document.addEventListener("dragstart", (event) => {
	held = event.target instanceof Element ? event.target.closest("[data-move]") : null;
	if (!held) return;
	event.dataTransfer.effectAllowed = "move";
	event.dataTransfer.setData("text/plain", held.querySelector(".line-name").textContent);
	held.classList.add("dragged");
});

document.addEventListener("dragover", (event) => {
	const cell = cellAt(event);
	light(cell);
	if (cell) event.preventDefault();
});

document.addEventListener("drop", (event) => {
	const cell = cellAt(event);
	if (!cell || !form) return;
	event.preventDefault();
	pin(held, cell);
});

document.addEventListener("dragend", () => {
	held?.classList.remove("dragged");
	held = null;
	light(null);
});

// --- by keys ---

const aim = document.getElementById("move-aim");
const STEPS = { ArrowUp: [-1, "line"], ArrowDown: [1, "line"], ArrowLeft: [-1, "day"], ArrowRight: [1, "day"] };
let aimed = null;

function aimAt(cell) {
	aimed = cell;
	light(cell);
	aim.textContent = cell ? `${cell.dataset.words} ${aim.dataset.there}` : "";
	cell?.scrollIntoView({ block: "nearest" });
}

/** The next cell that takes bundles: up and down are days of one line, left and right are lines of one day. */
function beside(cell, step, same) {
	const row = [...document.querySelectorAll("[data-drop]")].filter((one) => one.dataset[same] === cell.dataset[same]);
	return row[row.indexOf(cell) + step] ?? null;
}

document.addEventListener("keydown", (event) => {
	const move = event.target instanceof Element ? event.target.closest(".line-move") : null;
	if (!move || !form || event.ctrlKey || event.altKey || event.metaKey || event.shiftKey) return;
	const bundle = move.closest("[data-move]");
	const home = bundle.closest("[data-drop]");
	if (event.key in STEPS && home) {
		event.preventDefault();
		const next = beside(aimed ?? home, ...STEPS[event.key]);
		if (next) aimAt(next === home ? null : next);
		else aim.textContent = aim.dataset.end;
	} else if (event.key === "Enter" && aimed) {
		event.preventDefault();
		pin(bundle, aimed);
	} else if (event.key === "Escape" && aimed) {
		aimAt(null);
	}
});

document.addEventListener("focusout", (event) => {
	if (aimed && event.target instanceof Element && event.target.closest(".line-move")) aimAt(null);
});
