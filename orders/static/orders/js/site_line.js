// What every page on site tells of its queue: whether all is sent, and what was not taken, with all that was typed.

const filled = (text, value) => text.replace("%s", value);

function element(name, text = "", fields = {}) {
	return Object.assign(document.createElement(name), { textContent: text }, fields);
}

/** The strip at the top and what was refused under it; `words` are the page's, `settle` decides on a refused one. */
export class Line {
	constructor(prefix, words, settle) {
		const [box, said, refused] = ["line", "line-words", "refused"].map((name) => document.getElementById(`${prefix}-${name}`));
		Object.assign(this, { box, said, refused, words, settle });
	}

	tell({ acts, photos, state, lasts }) {
		const words = this.words;
		const refused = [...acts, ...photos].filter((one) => one.refused);
		const held = photos.filter((photo) => !photo.refused && refused.some((one) => one.id === photo.act)); // goes with its act
		const count = acts.length + photos.length - refused.length - held.length;
		const first = count === 0 ? (refused.length ? words.rest : words.all) : count === 1 ? words.one : filled(words.many, count);
		const more = state === "ended" ? words.ended : count ? (lasts ? words.waits : words.memory) : "";
		this.box.hidden = false;
		this.box.dataset.tone = state === "ended" || refused.length ? "bad" : count ? "care" : "";
		this.box.dataset.count = count;
		this.said.replaceChildren(element("strong", more ? `${first}. ` : first), more);
		this.refused.hidden = !refused.length;
		this.refused.replaceChildren(...refused.map((one) => this.refusal(one, photos)));
	}

	/** One that was not taken: why, what had been typed, and what may be done about it. */
	refusal(one, photos) {
		const box = element("div", "", { className: "notice bad site-refusal" });
		const said = element("p");
		const what = [...new Set([one.what, this.words[one.verb]])].filter(Boolean).join(", ");
		said.append(element("strong", `${this.words.refused}: ${what}. `), one.refused);
		box.append(said);
		const typed = this.typed(one, photos);
		if (typed) box.append(element("p", `${this.words.typed} ${typed}`, { className: "site-typed" }));
		const acts = element("div", "", { className: "actions" });
		for (const [text, again] of [[this.words.again, true], [this.words.drop, false]]) {
			const button = element("button", text, { type: "button", className: "button small" });
			button.addEventListener("click", () => this.settle(one.id, again));
			acts.append(button);
		}
		box.append(acts);
		return box;
	}

	/** What somebody would have to write again if this were lost; "" for a bare tap or a photo. */
	typed(one, photos) {
		if (!one.verb) return "";
		const pictures = photos.filter((photo) => photo.act === one.id).length;
		return [
			one.name, ...Object.entries(one.marks).map(([mark, count]) => `${count} × ${mark}`), one.words && `“${one.words}”`,
			pictures === 1 ? this.words.photo : pictures && filled(this.words.photos, pictures),
		].filter(Boolean).join(", ");
	}
}

/** How things stood when the server last said so. A page that the worker kept may be older than an answer that came since. */
export class Standing {
	constructor(key, states, at) {
		Object.assign(this, { key, states, at: Number(at) });
		try {
			const kept = JSON.parse(localStorage.getItem(key));
			if (kept?.at > this.at) Object.assign(this, kept);
		} catch { /* a window that keeps nothing */ }
	}

	take(answer) {
		if (!answer?.states) return;
		Object.assign(this, { states: answer.states, at: answer.at });
		try {
			localStorage.setItem(this.key, JSON.stringify({ states: this.states, at: this.at }));
		} catch { /* a window that keeps nothing */ }
	}
}

/** Whether the page may be loaded anew: nobody is in the middle of something. */
export function idle() {
	const begun = (field) => field.files?.length || (/^(text|number|textarea)$/.test(field.type) && field.value !== field.defaultValue);
	return !document.querySelector("dialog[open]") && ![...document.querySelectorAll("input, textarea")].some(begun);
}
