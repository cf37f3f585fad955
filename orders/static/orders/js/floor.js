// The shop floor page: a tap is kept in this browser until the server has answered it, so that neither a reload nor a
// line that is down loses one. Each has a number of its own; sent twice it counts once. Without script the same forms work.

const WAITS_S = [1, 2, 4, 8, 15, 30];
const UNDO_MS = 10000;
const FRESH_MS = 20000;
const SCAN_REST_MS = 5000;
const root = document.getElementById("floor");
const key = `taps:${root.dataset.tapper}`;
const [strip, said, line, back] = ["strip", "said", "line", "undo"].map((name) => document.getElementById(`floor-${name}`));
const scan = document.getElementById("floor-scan");
const token = () => document.querySelector("[name=csrfmiddlewaretoken]").value;
let [busy, tries, wait, undoTimer, lastScan] = [false, 0, 0, 0, { code: "", at: 0 }];

// Where it can't be kept (a private window, a full disk) a tap lives as long as the page.
let here = [];
function taps() {
	try { return JSON.parse(localStorage.getItem(key) ?? "[]"); } catch { return here; }
}
function keep(list) {
	here = list;
	try { localStorage.setItem(key, JSON.stringify(list)); } catch { /* `here` has them */ }
}
const drop = (id) => keep(taps().filter((tap) => tap.id !== id));

function say(text, tone) {
	said.textContent = text;
	said.dataset.tone = tone;
}

/** What the line does, in words: nothing is left, taps wait, or nobody is signed in. */
function tell(words = "") {
	const left = taps();
	line.textContent = left.length ? `${words || line.dataset.wait} ${left.map((tap) => tap.what).join(", ")}.` : line.dataset.all;
	line.dataset.tone = left.length && (words || tries) ? "care" : "";
	for (const card of root.querySelectorAll("[data-part]")) card.toggleAttribute("data-sending", left.some((tap) => tap.part === card.id));
}

/** A number that no other tap has; pages that came over plain http on a shop's own net have no randomUUID. */
function newId() {
	if (crypto.randomUUID) return crypto.randomUUID();
	const bytes = crypto.getRandomValues(new Uint8Array(16));
	bytes[6] = (bytes[6] & 15) | 64;
	bytes[8] = (bytes[8] & 63) | 128;
	const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
	return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/** Keep a tap, then send it. The same button pressed again while its tap waits is the same tap. */
function tap(url, fields, what, part) {
	const list = taps();
	if (list.some((one) => one.url === url && one.same === fields.toString())) return;
	const same = fields.toString();
	const id = newId();
	fields.set("action_id", id);
	fields.set("tapped_at", new Date().toISOString());
	keep([...list, { id, url, body: fields.toString(), same, what, part }]);
	offerUndo(null);
	tell();
	send();
}

async function send() {
	if (busy) return;
	busy = true;
	clearTimeout(wait);
	try {
		for (let next = taps()[0]; next; next = taps()[0]) {
			if (!(await settled(next))) return;
			drop(next.id);
			tries = 0;
			tell();
		}
	} finally {
		busy = false;
	}
}

/** Send one tap; true where the server has answered it, whether it did it or refused it in words. */
async function settled(one) {
	const answer = await fetch(one.url, {
		method: "POST", body: one.body, credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout(20000),
		headers: { "Content-Type": "application/x-www-form-urlencoded", "X-CSRFToken": token(), "X-Tap": root.dataset.tap },
	}).catch(() => null);
	if (answer?.type === "opaqueredirect" || answer?.status === 403) {
		later(line.dataset.out);
		return false;
	}
	const body = await answer?.json().catch(() => null);
	if (!answer || answer.status >= 500 || answer.status === 429) {
		later("");
		return false;
	}
	if (!body?.said) {
		say(line.dataset.odd, "bad");
		return true;
	}
	say(body.said, body.tone);
	for (const [id, html] of Object.entries(body.parts)) swap(document.getElementById(id), html);
	offerUndo(body.undo ? body : null);
	if (body.piece) seen(body);
	return true;
}

function later(words) {
	tell(words || line.dataset.wait);
	wait = setTimeout(send, 1000 * WAITS_S[Math.min(tries, WAITS_S.length - 1)]);
	tries += 1;
}

/** Put in a part that reads otherwise; the focus stays on the button of the same name. */
function swap(old, html) {
	if (!old) return;
	const made = new DOMParser().parseFromString(html, "text/html").body.firstElementChild;
	const words = (node) => node.textContent.replace(/\s+/g, " ").trim();
	if (!made || (words(made) === words(old) && made.dataset.state === old.dataset.state)) return;
	const name = old.contains(document.activeElement) ? document.activeElement.name : "";
	old.replaceWith(made);
	if (name) made.querySelector(`[name="${CSS.escape(name)}"]:not(:disabled)`)?.focus({ preventScroll: true });
}

/** Ten seconds to take the last tap back; the button keeps its place when it is not there. */
function offerUndo(body) {
	clearTimeout(undoTimer);
	back.toggleAttribute("data-off", !body);
	back.disabled = !body;
	if (!body) return;
	back.dataset.undoes = body.undo;
	back.dataset.bundle = body.bundle;
	undoTimer = setTimeout(() => offerUndo(null), UNDO_MS);
}

back.addEventListener("click", () => {
	const { undoes, bundle } = back.dataset;
	tap(strip.dataset.undo.replace("00000000000000000000", bundle), new URLSearchParams({ undoes }), back.textContent, `b-${bundle}`);
});

// Before any other listener: a form here never waits for a page.
addEventListener("submit", (event) => {
	const form = event.target;
	if (!form.dataset.tapped || !root.contains(form)) return;
	event.preventDefault();
	event.stopImmediatePropagation();
	if (!form.reportValidity()) return;
	const fields = new URLSearchParams(new FormData(form));
	for (const name of ["csrfmiddlewaretoken", "action_id", "tapped_at", "back"]) fields.delete(name);
	if (form === scan) return scanned(fields);
	tap(form.action, fields, form.dataset.tapped, form.closest("[data-part]")?.id);
	if ("clears" in form.dataset) form.reset();
}, { capture: true });

// --- scanning ---

function scanned(fields) {
	const code = (fields.get("code") ?? "").trim();
	scan.elements.code.value = "";
	if (!code || (code === lastScan.code && Date.now() - lastScan.at < SCAN_REST_MS)) return;
	lastScan = { code, at: Date.now() };
	fields.set("code", code);
	tap(scan.action, fields, `${scan.dataset.tapped} ${code}`, "");
}

// A scanner that types: its first sign, wherever it comes in, goes to the field for codes and the rest follows.
addEventListener("keydown", (event) => {
	if (event.key.length !== 1 || event.key === " " || event.ctrlKey || event.altKey || event.metaKey) return;
	if (event.target.closest?.("input:not([type=radio]), textarea, select, dialog")) return;
	scan.elements.code.focus({ preventScroll: true });
}, { capture: true });

/** Pieces of the bundle in hand that were scanned, and which are missing yet; the last one is chosen. */
function seen(body) {
	const tile = root.querySelector(`[data-piece="${CSS.escape(body.piece)}"]`);
	const check = document.getElementById("floor-check");
	if (!tile || !check) return;
	tile.dataset.seen = "";
	tile.querySelector("input").checked = true;
	const tiles = [...root.querySelectorAll("[data-piece]")];
	const missing = tiles.filter((one) => !("seen" in one.dataset));
	const marks = [...new Set(missing.map((one) => one.dataset.mark))].join(", ");
	check.hidden = false;
	check.textContent = missing.length ? `${check.dataset.some} ${tiles.length - missing.length} / ${tiles.length}. ${check.dataset.missing} ${marks}.` : check.dataset.all;
}

/** The tablet's camera, where the browser itself can read codes. */
function camera() {
	const [button, box, video, end] = ["camera", "seen", "video", "seen-end"].map((name) => document.getElementById(`floor-${name}`));
	const reader = new BarcodeDetector({ formats: ["qr_code"] });
	let stream = null;
	const stop = () => {
		stream?.getTracks().forEach((track) => track.stop());
		stream = null;
		if (box.open) box.close();
	};
	const look = async () => {
		if (!stream) return;
		const [code] = await reader.detect(video).catch(() => []);
		if (!code) return void setTimeout(look, 200);
		stop();
		scan.elements.code.value = code.rawValue;
		scan.requestSubmit();
	};
	button.hidden = false;
	button.addEventListener("click", async () => {
		stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } }).catch(() => null);
		if (!stream) return say("The camera can't be used. Type the code, or use a scanner.", "care");
		video.srcObject = stream;
		box.showModal();
		await video.play().catch(() => null);
		look();
	});
	box.addEventListener("close", stop);
	end.addEventListener("click", stop);
}
if ("BarcodeDetector" in window && navigator.mediaDevices) camera();

// --- what others do ---

let fingers = 0;
addEventListener("pointerdown", () => { fingers = Date.now(); });

/** Cards that read otherwise by now; none is added, taken away or moved under a finger. */
async function fresh() {
	if (document.hidden || busy || Date.now() - fingers < 2000) return;
	const answer = await fetch(location.href, { credentials: "same-origin", redirect: "manual" }).catch(() => null);
	if (!answer?.ok) return;
	const page = new DOMParser().parseFromString(await answer.text(), "text/html");
	const now = [...page.querySelectorAll("[data-part]")];
	for (const part of now) swap(document.getElementById(part.id), part.outerHTML);
	const old = [...root.querySelectorAll("[data-part]")].map((part) => part.id).join();
	if (!taps().length && old !== now.map((part) => part.id).join()) line.textContent = line.dataset.changed;
}
if ("fresh" in root.dataset) setInterval(fresh, FRESH_MS);

strip.hidden = false;
offerUndo(null);
tell();
addEventListener("online", send);
addEventListener("storage", () => tell());
send();
