// Loading a truck in the yard: a tick or scan shows at once and waits in this phone until the server has it.
// Without script the same forms work.

import { Line } from "./site_line.js";
import { Queue, newId } from "./site_queue.js";

const REST_MS = 3000;
const byId = (id) => document.getElementById(`yard-${id}`);
const yard = document.getElementById("yard");
const words = JSON.parse(byId("says").textContent);
const [ticks, code, left, said] = ["ticks", "code", "left", "said"].map(byId);
const rows = [...ticks.querySelectorAll("li[data-code]")];
let on = new Set(rows.filter((row) => "on" in row.dataset).map((row) => row.dataset.code));
let loaded = "loaded" in yard.dataset;
let waiting = [];
let last = { code: "", at: 0 };

function isOn(sought) {
	const act = waiting.filter((one) => one.code === sought && !one.refused).at(-1);
	return act ? act.verb === "on" : on.has(sought);
}

function show() {
	for (const row of rows) {
		const now = isOn(row.dataset.code);
		const unsent = waiting.some((act) => act.code === row.dataset.code && !act.refused);
		row.toggleAttribute("data-unsent", unsent);
		const [told, tick] = [row.querySelector("[data-told]"), row.querySelector(".yard-tick")];
		if (told && (now !== "on" in row.dataset || unsent !== (told.dataset.unsent === "1"))) {
			const text = now ? words.told_on : words.told_off;
			told.textContent = unsent ? `${text}, ${words.unsent}` : text;
			told.dataset.unsent = unsent ? "1" : "";
			told.className = `state ${now ? "good" : "plain"}`;
		}
		row.toggleAttribute("data-on", now);
		tick.setAttribute("aria-pressed", now);
		tick.setAttribute("aria-label", `${now ? words.off : words.on}: ${row.dataset.what}`);
		tick.disabled = loaded || !told;
	}
	const count = rows.filter((row) => "on" in row.dataset).length;
	const open = words.left.replace("%1", count).replace("%2", rows.length);
	left.textContent = loaded ? words.loaded : count < rows.length || waiting.length ? open : words.full;
	if (code) code.hidden = loaded;
	yard.toggleAttribute("data-loaded", loaded);
}

function told({ acts, photos, answer, ...more }) {
	waiting = acts;
	if (answer?.on) [on, loaded] = [new Set(answer.on), answer.loaded];
	const newest = answer?.answers?.at(-1);
	if (newest && said) {
		said.textContent = newest.outcome === "refused" ? "" : newest.words; // a refusal stands above, with what to do
		said.dataset.tone = "";
	}
	show();
	line.tell({ acts, photos, ...more });
}

const line = new Line("yard", words, (id, again) => queue.settle(id, again));
const queue = new Queue({
	name: `yard ${yard.dataset.trip}`, acts: yard.dataset.acts, photos: "", told, token: document.querySelector("[name=csrfmiddlewaretoken]"),
});

function act(verb, what, sought) {
	return queue.add({ id: newId(), verb, what, code: sought, marks: {}, words: "", name: "", tapped_at: new Date().toISOString(), refused: "" });
}

// Before any other listener: a form here never waits for a page.
addEventListener("submit", (event) => {
	if (event.target !== ticks && event.target !== code) return;
	event.preventDefault();
	event.stopImmediatePropagation();
	if (event.target === code) return typed();
	const row = event.submitter?.closest("li");
	if (row) act(isOn(row.dataset.code) ? "off" : "on", row.dataset.what, row.dataset.code);
}, { capture: true });

/** A scanned or typed code: the address of a tag's door, or its bare signs; a tag held in front of the camera counts once. */
function coded(text) {
	const bare = (/\/t\/([0-9a-z]+)\/?$/i.exec(text.trim())?.[1] ?? text).replace(/[\s-]/g, "").toUpperCase();
	const sought = bare.replaceAll("O", "0").replace(/[IL]/g, "1");
	if (!sought || (sought === last.code && Date.now() - last.at < REST_MS)) return;
	last = { code: sought, at: Date.now() };
	const row = rows.find((one) => one.dataset.code === sought);
	said.dataset.tone = row ? "" : "bad";
	if (!row) {
		said.textContent = words.strange;
		return void act("on", bare.slice(0, 20), sought);
	}
	row.scrollIntoView({ block: "center" });
	if (!row.querySelector("[data-told]")) {
		said.dataset.tone = "bad";
		said.textContent = `${row.dataset.what} ${words.rolls}`;
	} else if (isOn(sought)) said.textContent = `${row.dataset.what} ${words.was}`;
	else {
		said.textContent = `${row.dataset.what} ${words.ticked}`;
		act("on", row.dataset.what, sought);
	}
}

function typed() {
	const field = code.elements.code;
	coded(field.value);
	field.value = "";
	field.focus({ preventScroll: true });
}

/** A scanner that types: its first sign goes to the field for codes, wherever the focus is. */
addEventListener("keydown", (event) => {
	if (!code || event.key.length !== 1 || event.key === " " || event.ctrlKey || event.altKey || event.metaKey) return;
	if (event.target.closest?.("input, textarea, select, dialog")) return;
	code.elements.code.focus({ preventScroll: true });
}, { capture: true });

/** The phone's camera, where the browser itself can read codes. */
function camera() {
	const [button, seen, video] = ["camera", "seen", "video"].map(byId);
	const reader = new BarcodeDetector({ formats: ["qr_code"] });
	let stream = null;
	const look = async () => {
		if (!stream) return;
		const [found] = await reader.detect(video).catch(() => []);
		if (!found) return void setTimeout(look, 200);
		seen.close();
		coded(found.rawValue);
	};
	button.hidden = false;
	button.addEventListener("click", async () => {
		stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } }).catch(() => null);
		if (!stream) return void (said.textContent = words.camera);
		video.srcObject = stream;
		seen.showModal();
		await video.play().catch(() => null);
		look();
	});
	seen.querySelector("[data-close]").addEventListener("click", () => seen.close());
	seen.addEventListener("close", () => {
		stream?.getTracks().forEach((track) => track.stop());
		stream = null;
	});
}
if (code && "BarcodeDetector" in window && navigator.mediaDevices) camera();

queue.start();
