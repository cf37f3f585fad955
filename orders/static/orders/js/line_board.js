// Dragging a bundle to another day or line of the board pins it there: the same form as on its own page is sent.

const form = document.getElementById("move-form");
let held = null;

function cellAt(event) {
	return held && event.target instanceof Element ? event.target.closest("[data-drop]") : null;
}

function light(cell) {
	for (const one of document.querySelectorAll(".drop-here")) one.classList.toggle("drop-here", one === cell);
	cell?.classList.add("drop-here");
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
	form.action = held.dataset.move;
	form.elements.day.value = cell.dataset.day;
	form.elements.line.value = cell.dataset.line;
	form.requestSubmit();
});

document.addEventListener("dragend", () => {
	held?.classList.remove("dragged");
	held = null;
	light(null);
});
