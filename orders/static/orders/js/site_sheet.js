// One bundle or carton up close: where it goes on the floor, a report with marks and photos; and the camera for codes.

import { shrunk } from "./photo_shrink.js";
import { zoomed } from "./site_zoom.js";

const byId = (id) => document.getElementById(id);
const box = byId("site-sheet");
const form = byId("site-report");
const [pictures, marks, file] = [byId("site-pictures"), byId("site-marks"), byId("site-file")];
const places = JSON.parse(byId("site-places").textContent);
let shown = null;

for (const end of document.querySelectorAll("dialog [data-close]")) end.addEventListener("click", () => end.closest("dialog").close());

export function sheet(row, words, closed) {
	if (shown !== row) fresh(row); // a report that was begun and put away goes on
	form.hidden = closed;
	byId("site-no-report").hidden = !closed;
	pictures.replaceChildren();
	const number = /\d+/.exec(row.dataset.what)[0];
	for (const index of row.dataset.places.split(" ").filter(Boolean)) picture(places[index], number, words);
	box.showModal();
}

/** The form as nobody has touched it, for this row. */
function fresh(row) {
	shown = row;
	form.reset();
	byId("site-file-said").textContent = "";
	byId("site-sheet-title").textContent = row.dataset.what;
	byId("site-sheet-where").textContent = row.querySelector(".site-where").textContent;
	marks.hidden = !row.dataset.marks;
	marks.querySelector("div").replaceChildren(...row.dataset.marks.split(" ").filter(Boolean).map(markField));
}

function markField(pair) {
	const cut = pair.lastIndexOf(":");
	const [mark, most] = [pair.slice(0, cut), pair.slice(cut + 1)];
	const label = document.createElement("label");
	const field = Object.assign(document.createElement("input"), { type: "number", inputMode: "numeric", name: `mark.${mark}`, min: 0, max: most });
	label.append(mark, field, `/ ${most}`);
	return label;
}

/** The floor with this bundle lit; asked for when it is wanted, kept by the worker from then on. */
async function picture({ url, title }, number, words) {
	const figure = document.createElement("figure");
	figure.className = "drawing";
	const caption = Object.assign(document.createElement("figcaption"), { textContent: title });
	figure.append(caption);
	pictures.append(figure);
	const text = await fetch(url, { credentials: "same-origin" }).then((answer) => (answer.ok ? answer.text() : "")).catch(() => "");
	const drawn = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
	if (drawn.nodeName !== "svg") return void (caption.textContent = `${title}: ${words.nopicture}`);
	for (const path of drawn.querySelectorAll(`[data-lot="${number}"]`)) {
		path.classList.add("lit");
		path.parentNode.append(path);
	}
	figure.prepend(zoomed(document.importNode(drawn, true), words));
}

export function report(send, words) {
	file.addEventListener("change", () => { byId("site-file-said").textContent = file.files.length > 1 ? words.photos.replace("%s", file.files.length) : ""; });
	form.addEventListener("submit", async (event) => {
		event.preventDefault();
		const button = form.querySelector(".form-end button");
		button.disabled = true;
		const fields = Object.fromEntries([...new FormData(form)].filter(([name]) => name !== ""));
		const counts = Object.entries(fields).filter(([name, value]) => name.startsWith("mark.") && Number(value) > 0);
		const photos = [];
		for (const one of file.files) photos.push({ blob: await shrunk(one), name: one.name });
		await send(shown, { verb: fields.verb, words: fields.words, marks: Object.fromEntries(counts.map(([name, value]) => [name.slice(5), Number(value)])) }, photos);
		button.disabled = false;
		fresh(shown);
		box.close();
	});
}

/** The phone's camera, where the browser itself can read codes: one tag after another until it is closed. */
export function camera(found, words) {
	const [button, seen, video, said] = ["camera", "seen", "video", "seen-said"].map((name) => byId(`site-${name}`));
	if (!("BarcodeDetector" in window) || !navigator.mediaDevices) return;
	const reader = new BarcodeDetector({ formats: ["qr_code"] });
	let [stream, last] = [null, ""];
	const look = async () => {
		if (!stream) return;
		const [code] = await reader.detect(video).catch(() => []);
		if (code && code.rawValue !== last) {
			last = code.rawValue;
			said.textContent = found(last);
			navigator.vibrate?.(60);
		}
		setTimeout(look, 200);
	};
	button.hidden = false;
	button.addEventListener("click", async () => {
		stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } }).catch(() => null);
		if (!stream) return void (byId("site-code-said").textContent = words.camera);
		video.srcObject = stream;
		[said.textContent, last] = ["", ""];
		seen.showModal();
		video.play().catch(() => null);
		look();
	});
	seen.addEventListener("close", () => {
		stream?.getTracks().forEach((track) => track.stop());
		stream = null;
	});
}
