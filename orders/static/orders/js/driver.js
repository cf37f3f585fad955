// The driver's page of a trip: what is told shows at once and waits in this phone until the server has it. Without script
// the same forms work.

import { shrunk } from "./photo_shrink.js";
import { Line, Standing, idle } from "./site_line.js";
import { Queue, newId } from "./site_queue.js";

const byId = (id) => document.getElementById(id);
const driver = byId("driver");
const words = JSON.parse(byId("driver-words").textContent);
const stops = [...driver.querySelectorAll(".driver-stop")];

const shown = Object.fromEntries(stops.map((one) => [one.dataset.stop, one.dataset.state]));
const name = `driver ${driver.dataset.trip}`; // the trip's, not the link's: what waits here goes out by the next link too
const stands = new Standing(name, shown, driver.dataset.at);
const proofs = (states) => Object.values(states).filter((state) => state === "unloaded").length;
let [waiting, heard] = [[], false];

/** How a stop stands with what waits here laid over what the server said. */
function now(stop) {
	const acts = waiting.filter((act) => act.code === stop && !act.refused);
	if (acts.some((act) => act.verb === "unload")) return ["unloaded", true];
	return acts.length ? ["arrived", true] : [stands.states[stop] ?? "loaded", false];
}

function show() {
	for (const one of stops) {
		const [state, unsent] = now(one.dataset.stop);
		one.toggleAttribute("data-unsent", unsent);
		one.dataset.state = state;
		const told = one.querySelector("[data-told]");
		if (words[state]) told.textContent = unsent ? `${words[state]}, ${words.unsent}` : words[state];
		for (const form of one.querySelectorAll("form")) {
			form.hidden = state === "unloaded" || (state === "arrived" && form.elements.verb.value === "arrive");
		}
	}
}

function told({ acts, photos, answer, ...more }) {
	waiting = acts;
	stands.take(answer);
	heard ||= Boolean(answer);
	show();
	line.tell({ acts, photos, ...more });
	const all = heard && !acts.length && !photos.length;
	if (all && proofs(stands.states) !== proofs(shown) && idle()) location.reload(); // with the proof as it is kept
}

const line = new Line("driver", words, (id, again) => queue.settle(id, again));
const queue = new Queue({
	name, acts: driver.dataset.acts, photos: driver.dataset.photos, told,
	token: document.querySelector("[name=csrfmiddlewaretoken]") ?? { value: "" },
});

driver.addEventListener("submit", async (event) => {
	event.preventDefault();
	const form = event.target;
	const button = form.querySelector("button");
	button.disabled = true;
	const fields = Object.fromEntries(new FormData(form));
	const [id, what] = [newId(), form.closest(".driver-stop").dataset.what];
	const photos = [];
	for (const one of form.elements.file?.files ?? []) {
		photos.push({ id: newId(), act: id, blob: await shrunk(one), name: one.name, what: `${words.photo}, ${what}`, refused: "" });
	}
	await queue.add({
		id, what, verb: fields.verb, code: fields.code, marks: {}, words: fields.words ?? "", name: fields.name ?? "",
		tapped_at: new Date().toISOString(), refused: "",
	}, photos);
	form.reset();
	button.disabled = false;
});

queue.start();
if ("serviceWorker" in navigator) navigator.serviceWorker.register(driver.dataset.worker).catch(() => null);
