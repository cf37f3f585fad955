// Dragging a bundle or carton onto a truck, or onto a thing in its stack, sends the same form as its own page.

const form = document.getElementById("load-step");
let held = null;

function goalAt(event) {
	if (!held || !(event.target instanceof Element)) return null;
	const truck = event.target.closest("[data-trip]");
	if (!truck) return null;
	const row = event.target.closest("[data-thing]");
	return { truck, row: row && row !== held ? row : null };
}

function light(goal) {
	for (const one of document.querySelectorAll(".drop-here")) one.classList.remove("drop-here");
	(goal?.row ?? goal?.truck)?.classList.add("drop-here");
}

document.addEventListener("dragstart", (event) => {
	held = event.target instanceof Element ? event.target.closest("[data-thing][draggable]") : null;
	if (!held) return;
	event.dataTransfer.effectAllowed = "move";
	event.dataTransfer.setData("text/plain", held.dataset.thing);
	held.classList.add("dragged");
});

document.addEventListener("dragover", (event) => {
	const goal = goalAt(event);
	light(goal);
	if (goal) event.preventDefault();
});

document.addEventListener("drop", (event) => {
	const goal = goalAt(event);
	if (!goal || !form) return;
	event.preventDefault();
	form.elements.thing.value = held.dataset.thing;
	form.elements.to.value = goal.truck.dataset.trip;
	form.elements.on.value = goal.row ? goal.row.dataset.thing : "";
	form.requestSubmit();
});

document.addEventListener("dragend", () => {
	held?.classList.remove("dragged");
	held = null;
	light(null);
});
