// The builder's page of a delivery: what is tapped shows at once and waits in this phone until the server has it.
// Without script the same forms work.

import { Line, Standing, idle } from "./site_line.js";
import { Queue, newId } from "./site_queue.js";
import { camera, report, sheet } from "./site_sheet.js";

const byId = (id) => document.getElementById(id);
const site = byId("site");
const words = JSON.parse(byId("site-says").textContent);
const [ticks, sign, code, seen] = ["ticks", "sign", "code", "seen-to"].map((name) => byId(`site-${name}`));
const rows = [...ticks.querySelectorAll("li[data-code]")];
const row = (sought) => rows.find((one) => one.dataset.code === sought);
const NAMED = 6; // of what is not ticked yet
const REPORTS = ["short", "damaged", "wrong"];
const filled = (text, value) => text.replace("%s", value);

/** The delivery's, not the link's: what waits here goes out by the next link too, if this one ends. */
const name = `site ${site.dataset.delivery}`;
/** How things stand at the server; what waits here is laid over it. */
const stands = new Standing(name, Object.fromEntries(rows.map((one) => [one.dataset.code, one.dataset.state])), site.dataset.at);
let [waiting, terms] = [[], site.dataset.terms];

function now(sought) {
	let state = stands.states[sought] ?? "open";
	for (const act of waiting) {
		if (act.code !== sought || act.refused) continue;
		if (REPORTS.includes(act.verb)) state = act.verb;
		else if (!REPORTS.includes(state)) state = act.verb === "tick" ? "received" : "open";
	}
	return state;
}

function show() {
	const signed = "closed" in site.dataset || waiting.some((act) => act.verb === "sign" && !act.refused);
	for (const one of rows) {
		const state = now(one.dataset.code);
		const unsent = waiting.some((act) => act.code === one.dataset.code && !act.refused);
		one.dataset.state = state;
		one.toggleAttribute("data-unsent", unsent);
		const told = one.querySelector("[data-told]");
		told.dataset.state = state;
		told.textContent = unsent ? `${words[state]}, ${words.unsent}` : words[state];
		const tick = one.querySelector(".site-tick");
		tick.setAttribute("aria-pressed", state === "received");
		tick.setAttribute("aria-label", `${words[state === "received" ? "untick" : "tick"]}: ${one.dataset.what}`);
		tick.disabled = signed || REPORTS.includes(state);
	}
	const left = rows.filter((one) => one.dataset.state === "open").length;
	seen.hidden = !sign || signed;
	seen.textContent = `${rows.length - left} / ${rows.length}`;
	seen.setAttribute("aria-label", filled(words.seen, seen.textContent));
	if (!sign) return;
	byId("site-left").textContent = signed ? "" : left ? filled(words.left, left) : words.ready;
	sign.querySelector("button").disabled = signed;
	if (code) code.hidden = signed;
}

function told({ acts, photos, answer, ...more }) {
	waiting = acts;
	stands.take(answer);
	show();
	line.tell({ acts, photos, ...more });
	terms = answer?.terms ?? terms;
	if (terms !== site.dataset.terms && !acts.length && !photos.length && idle()) location.reload(); // signed, say
}

const line = new Line("site", words, (id, again) => queue.settle(id, again));
const queue = new Queue({
	name, acts: site.dataset.acts, photos: site.dataset.photos, told,
	token: document.querySelector("[name=csrfmiddlewaretoken]"),
});

function act(verb, what, more = {}, photos = []) {
	const id = newId();
	const made = { id, verb, what, code: "", marks: {}, words: "", name: "", tapped_at: new Date().toISOString(), refused: "", ...more };
	return queue.add(made, photos.map((photo) => ({ ...photo, id: newId(), act: id, what: `${words.photo}, ${what}`, refused: "" })));
}

const tick = (one) => act(one.dataset.state === "received" ? "untick" : "tick", one.dataset.what, { code: one.dataset.code });

ticks.addEventListener("submit", (event) => {
	event.preventDefault();
	const one = event.submitter?.closest("li");
	if (one) tick(one);
});

ticks.addEventListener("click", (event) => {
	const link = event.target.closest(".site-what");
	if (!link || event.ctrlKey || event.metaKey) return;
	event.preventDefault();
	sheet(link.closest("li"), words, !("reports" in site.dataset));
});

report((one, fields, photos) => act(fields.verb, one.dataset.what, { ...fields, code: one.dataset.code }, photos), words);

sign?.addEventListener("submit", (event) => {
	event.preventDefault();
	const open = rows.filter((one) => now(one.dataset.code) === "open").map((one) => one.dataset.what);
	const said = byId("site-sign-said");
	said.classList.toggle("site-mind", open.length);
	if (open.length) {
		said.textContent = `${filled(words.left, open.length)}: ${open.slice(0, NAMED).join(", ")}${open.length > NAMED ? ", …" : "."} ${words.first}`;
	} else {
		const name = sign.elements.name;
		act("sign", words.sign, { name: name.value }).then(() => { said.textContent = words.signed; });
		name.defaultValue = name.value; // nobody is writing it any more
	}
});

/** A scanned or typed code: the address of a tag's door, or its bare signs. Returns what became of it, in words. */
function coded(text) {
	const sought = (/\/t\/([0-9a-z]+)\/?$/i.exec(text.trim())?.[1] ?? text).replace(/[\s-]/g, "").toUpperCase();
	const one = row(sought);
	const said = one ? `${one.dataset.what}: ${words.ticked}` : words.strange;
	if (one?.dataset.state === "open") tick(one);
	one?.scrollIntoView({ block: "center" });
	byId("site-code-said").textContent = said;
	byId("site-code-said").classList.toggle("site-mind", !one);
	return said;
}

code?.addEventListener("submit", (event) => {
	event.preventDefault();
	coded(code.elements.code.value);
	code.reset();
});
if (code) camera(coded, words);

queue.start();
if ("serviceWorker" in navigator) navigator.serviceWorker.register(site.dataset.worker).catch(() => null);
