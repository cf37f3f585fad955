// Moving a bundle or carton on the board, by drag or by keys: onto a truck, or onto a thing in its stack. Both send the
// same form as the page of a move; the server checks the step, and what it refuses stands at the bundle.

const form = document.getElementById("load-step");
const said = document.getElementById("board-said");
let held = null;
let goals = [];
let at = -1;

const trucks = () => [...document.querySelectorAll("[data-trip]")];

function send(thing, { truck, row }) {
	form.elements.thing.value = thing;
	form.elements.to.value = truck.dataset.trip;
	form.elements.on.value = row ? row.dataset.thing : "";
	form.requestSubmit();
}

// --- by drag ---

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
	send(held.dataset.thing, goal);
});

document.addEventListener("dragend", () => {
	held?.classList.remove("dragged");
	held = null;
	light(null);
});

// --- by keys: pick up, choose with the arrows, Enter puts it down, Escape leaves it ---

function goalsOf(row) {
	return trucks().flatMap((truck) => [
		{ truck, row: null },
		...[...truck.querySelectorAll("[data-thing]")].filter((one) => one !== row).map((one) => ({ truck, row: one })),
	]);
}

function mark() {
	for (const one of document.querySelectorAll(".goal")) one.classList.remove("goal");
	const goal = goals[at];
	if (!goal) return;
	const here = goal.row ?? goal.truck;
	here.classList.add("goal");
	here.scrollIntoView({ block: "nearest" });
	said.textContent = goal.row ? `${goal.truck.dataset.what}, onto ${goal.row.dataset.what}` : `${goal.truck.dataset.what}, the first place that is free`;
}

function pick(grip) {
	const row = grip.closest("[data-thing]");
	goals = goalsOf(row);
	if (!goals.length) return void (said.textContent = "There is no truck that may be changed.");
	const own = row.closest("[data-trip]");
	at = Math.max(0, goals.findIndex((goal) => goal.truck !== own && !goal.row));
	grip.setAttribute("aria-pressed", "true");
	mark();
	said.textContent = `${row.dataset.what} is picked up. ${said.textContent}. Arrows choose, Enter puts it down, Escape leaves it.`;
}

function drop(grip) {
	grip.setAttribute("aria-pressed", "false");
	[goals, at] = [[], -1];
	mark();
}

document.addEventListener("keydown", (event) => {
	const grip = event.target.closest?.(".grip");
	if (!grip) return;
	const picked = grip.getAttribute("aria-pressed") === "true";
	if (event.key === "Enter" || event.key === " ") {
		event.preventDefault();
		if (!picked) return pick(grip);
		const goal = goals[at];
		drop(grip);
		return send(grip.closest("[data-thing]").dataset.thing, goal);
	}
	if (!picked) return;
	const step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
	if (step) {
		event.preventDefault();
		at = (at + step + goals.length) % goals.length;
		mark();
	} else if (event.key === "Escape") {
		event.preventDefault();
		drop(grip);
		said.textContent = `${grip.closest("[data-thing]").dataset.what} stays where it is.`;
	}
});

document.addEventListener("focusout", (event) => {
	if (event.target.closest?.(".grip[aria-pressed=true]")) drop(event.target);
});

if (form) {
	for (const grip of document.querySelectorAll(".grip")) grip.hidden = false;
	const refused = document.getElementById("refused");
	refused?.scrollIntoView({ block: "center" });
	refused?.focus({ preventScroll: true });
	// After a step the focus stays with what was moved, so that the next one goes on from there; the browser itself
	// goes to the address's part until all is loaded, and would take the focus away again.
	const moved = location.hash.startsWith("#thing-") ? document.getElementById(decodeURIComponent(location.hash.slice(1))) : null;
	const follow = () => requestAnimationFrame(() => {
		moved.scrollIntoView({ block: "center" });
		moved.querySelector(".grip")?.focus({ preventScroll: true });
	});
	if (moved && document.readyState === "complete") follow();
	else if (moved) addEventListener("load", follow, { once: true });
}
