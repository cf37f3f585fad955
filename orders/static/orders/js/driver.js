// The driver's page of a trip: what is told shows at once and waits in this phone until the server has it. Without script
// the same forms work.

import { shrunk } from "./photo_shrink.js";
import { Queue, newId } from "./site_queue.js";

const byId = (id) => document.getElementById(id);
const driver = byId("driver");
const words = JSON.parse(byId("driver-words").textContent);
const [line, refusals] = [byId("driver-line"), byId("driver-refused")];
const stops = [...driver.querySelectorAll("[data-stop]")];
const filled = (text, value) => text.replace("%s", value);

let states = Object.fromEntries(stops.map((one) => [one.dataset.stop, one.dataset.state]));
const loaded = JSON.stringify(states);
let waiting = [];

/** How a stop stands with what waits here laid over what the server said. */
function now(stop) {
	const acts = waiting.filter((act) => act.code === stop && !act.refused);
	if (acts.some((act) => act.verb === "unload")) return ["unloaded", true];
	return acts.length ? ["arrived", true] : [states[stop] ?? "loaded", false];
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

/** The strip at the top: is everything sent? And what was not taken, with what to do. */
function told({ acts, photos, answer, state, lasts }) {
	waiting = acts;
	if (answer?.states) states = answer.states;
	show();
	const refused = [...acts, ...photos].filter((one) => one.refused);
	const count = acts.length + photos.length - refused.length;
	const parts = [count === 0 ? words.all : count === 1 ? words.one : filled(words.many, count)];
	if (state === "ended") parts.push(words.ended);
	else if (count && !lasts) parts.push(words.memory);
	else if (count) parts.push(words.waits);
	line.hidden = false;
	line.dataset.tone = state === "ended" || refused.length ? "bad" : count ? "care" : "";
	line.dataset.count = count;
	byId("driver-line-words").textContent = parts.length > 1 ? `${parts[0]}. ${parts[1]}` : parts[0];
	refusals.hidden = !refused.length;
	refusals.replaceChildren(...refused.map(refusal));
	if (!acts.length && !photos.length && JSON.stringify(states) !== loaded) location.reload(); // with the proof as it is kept
}

function element(name, text = "", fields = {}) {
	return Object.assign(document.createElement(name), { textContent: text }, fields);
}

function refusal(one) {
	const box = element("div", "", { className: "notice bad" });
	const said = element("p");
	said.append(element("strong", `${words.refused}: ${one.what}. `), one.refused);
	const acts = element("div", "", { className: "actions" });
	for (const [text, again] of [[words.again, true], [words.drop, false]]) {
		const button = element("button", text, { type: "button", className: "button small" });
		button.addEventListener("click", () => queue.settle(one.id, again));
		acts.append(button);
	}
	box.append(said, acts);
	return box;
}

const queue = new Queue({
	name: `driver ${driver.dataset.link}`, acts: driver.dataset.acts, photos: driver.dataset.photos, told,
	token: document.querySelector("[name=csrfmiddlewaretoken]") ?? { value: "" },
});

driver.addEventListener("submit", async (event) => {
	event.preventDefault();
	const form = event.target;
	const button = form.querySelector("button");
	button.disabled = true;
	const fields = Object.fromEntries(new FormData(form));
	const [id, what] = [newId(), form.closest("[data-stop]").dataset.what];
	const photos = [];
	for (const one of form.elements.file?.files ?? []) {
		photos.push({ id: newId(), act: id, blob: await shrunk(one), name: one.name, what: `${words.photo}, ${what}`, refused: "" });
	}
	await queue.add({
		id, what, verb: fields.verb, code: fields.code, marks: {}, words: fields.words ?? "", name: fields.name ?? "",
		tapped_at: new Date().toISOString(), refused: "",
	}, photos);
	button.disabled = false;
});

queue.start();
if ("serviceWorker" in navigator) navigator.serviceWorker.register(driver.dataset.worker).catch(() => null);
