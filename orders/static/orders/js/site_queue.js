// Acts and photos of a phone on site: kept in this browser before anything else happens, sent in order when there is a
// line, dropped when the server has answered. Each has a number of its own, so what is sent twice counts once.

const WAITS_S = [1, 2, 4, 8, 15, 30, 60];
const BATCH = 20;
const PATIENCE_MS = 20000;
const LOOK_MS = 60000;

/** A number that no other act has; pages over plain http have no randomUUID. */
export function newId() {
	if (crypto.randomUUID) return crypto.randomUUID();
	const bytes = crypto.getRandomValues(new Uint8Array(16));
	bytes[6] = (bytes[6] & 15) | 64;
	bytes[8] = (bytes[8] & 63) | 128;
	const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
	return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

const asked = (request) => new Promise((yes, no) => {
	request.onsuccess = () => yes(request.result);
	request.onerror = () => no(request.error);
});

/** The browser's own store; where it has none (a private window, a full disk) what is said lives as long as the page. */
class Store {
	constructor(base) {
		this.base = base;
		this.lasts = Boolean(base);
		this.here = { acts: new Map(), photos: new Map() };
		this.next = 1;
	}

	static async open(name) {
		try {
			const request = indexedDB.open(name, 1);
			request.onupgradeneeded = () => {
				request.result.createObjectStore("acts", { keyPath: "seq", autoIncrement: true });
				request.result.createObjectStore("photos", { keyPath: "id" });
			};
			return new Store(await asked(request));
		} catch {
			return new Store(null);
		}
	}

	/** Done when it lies on the disk, not when it was asked for. */
	async put(kind, row) {
		if (this.base) {
			try {
				const change = this.base.transaction(kind, "readwrite", { durability: "strict" });
				const key = asked(change.objectStore(kind).put(row));
				await new Promise((yes, no) => { change.oncomplete = yes; change.onabort = change.onerror = () => no(change.error); });
				return await key;
			} catch { this.lasts = false; }
		}
		const key = row.id === undefined || kind === "acts" ? (row.seq ?? `here ${this.next++}`) : row.id;
		this.here[kind].set(key, kind === "acts" ? { ...row, seq: key } : row);
		return key;
	}

	async all(kind) {
		const kept = this.base ? await asked(this.base.transaction(kind).objectStore(kind).getAll()).catch(() => []) : [];
		return [...kept, ...this.here[kind].values()];
	}

	async remove(kind, key) {
		if (this.here[kind].delete(key) || !this.base) return;
		await asked(this.base.transaction(kind, "readwrite").objectStore(kind).delete(key));
	}
}

export class Queue {
	/** `told` is called with {acts, photos, state, answer} whenever something changed; state is "", "waits" or "ended". */
	constructor({ name, acts, photos, token, told }) {
		Object.assign(this, { name, urls: { acts, photos }, token, told, tries: 0, size: BATCH, busy: false, state: "", wait: 0 });
	}

	async start() {
		this.store = await Store.open(this.name);
		const look = () => document.hidden || this.send(true);
		addEventListener("online", look);
		document.addEventListener("visibilitychange", look);
		setInterval(look, LOOK_MS);
		await this.tell();
		this.send();
	}

	async tell(answer = null) {
		const [acts, photos] = [await this.store.all("acts"), await this.store.all("photos")];
		this.told({ acts, photos, answer, state: this.state, lasts: this.store.lasts });
	}

	async add(act, photos = []) {
		for (const photo of photos) await this.store.put("photos", photo);
		await this.store.put("acts", act);
		await this.tell();
		this.send();
	}

	/** A refused act is sent again under its number, or left out with its photos. */
	async settle(id, again) {
		for (const act of await this.store.all("acts")) {
			if (act.id !== id) continue;
			if (again) await this.store.put("acts", { ...act, refused: "" });
			else await this.store.remove("acts", act.seq);
		}
		for (const photo of await this.store.all("photos")) {
			if (photo.id !== id && photo.act !== id) continue;
			if (again) await this.store.put("photos", { ...photo, refused: "" });
			else await this.store.remove("photos", photo.id);
		}
		await this.tell();
		this.send();
	}

	/** What waits; where nothing does, `look` asks how things stand, since another phone may have told something. */
	async send(look = false) {
		if (this.busy || !this.store) return;
		this.busy = true;
		clearTimeout(this.wait);
		this.wait = 0;
		try {
			if ((await this.sendActs(look)) && (await this.sendPhotos())) this.state = this.state === "ended" ? "ended" : "";
			else this.later();
		} finally {
			this.busy = false;
		}
		await this.tell();
		if (!this.wait && this.state !== "ended" && (await this.store.all("acts")).some((act) => !act.refused)) this.send();
	}

	later() {
		if (this.state === "ended") return;
		this.state = "waits";
		this.wait = setTimeout(() => { this.wait = 0; this.send(); }, 1000 * WAITS_S[Math.min(this.tries++, WAITS_S.length - 1)]);
	}

	async sendActs(look) {
		for (;; look = false) {
			const due = (await this.store.all("acts")).filter((act) => !act.refused).slice(0, this.size);
			if (!due.length && !look) return true;
			const wire = due.map(({ id, verb, code, marks, words, name, tapped_at }) => ({ id, verb, code, marks, words, name, tapped_at }));
			const answer = await this.post(this.urls.acts, JSON.stringify({ acts: wire }), "application/json");
			if (!due.length) {
				if (answer && !answer.unfit) await this.tell(answer);
				return true;
			}
			if (!answer) return false;
			if (answer.unfit) {
				if (due.length > 1) this.size = 1;
				else await this.store.put("acts", { ...due[0], refused: answer.words });
				continue;
			}
			const said = new Map((answer.answers ?? []).map((one) => [one.id, one]));
			const found = due.filter((act) => said.has(act.id));
			if (!found.length) return false;
			for (const act of found) {
				const { outcome, words } = said.get(act.id);
				if (outcome === "refused") await this.store.put("acts", { ...act, refused: words });
				else await this.store.remove("acts", act.seq);
			}
			[this.tries, this.size] = [0, BATCH];
			await this.tell(answer);
		}
	}

	/** Photos go one by one, each after its own act. */
	async sendPhotos() {
		const acts = new Set((await this.store.all("acts")).map((act) => act.id));
		for (const photo of await this.store.all("photos")) {
			if (photo.refused || acts.has(photo.act)) continue;
			const form = new FormData();
			form.set("photo_id", photo.id);
			form.set("action_id", photo.act);
			form.set("file", new File([photo.blob], photo.name, { type: photo.blob.type }));
			const answer = await this.post(this.urls.photos, form);
			if (!answer) return false;
			if (answer.unfit || answer.outcome === "refused") await this.store.put("photos", { ...photo, refused: answer.words });
			else await this.store.remove("photos", photo.id);
			this.tries = 0;
			await this.tell();
		}
		return true;
	}

	/** The server's answer; null where there was none; {unfit} where it will never take it so. */
	async post(url, body, type = "", again = true) {
		const headers = { "X-CSRFToken": this.token.value, ...(type && { "Content-Type": type }) };
		const patience = type ? PATIENCE_MS : 6 * PATIENCE_MS;
		const answer = await fetch(url, { method: "POST", body, headers, credentials: "same-origin", redirect: "manual", signal: AbortSignal.timeout(patience) }).catch(() => null);
		if (!answer || answer.status >= 500 || answer.status === 429 || answer.type === "opaqueredirect") return null;
		if (answer.status === 404) {
			this.state = "ended";
			return null;
		}
		if (answer.status === 403) return again && (await this.freshToken()) ? this.post(url, body, type, false) : null;
		if (!answer.ok) return { unfit: true, words: this.read(await answer.text()).querySelector("main p")?.textContent ?? `${answer.status}` };
		return answer.json().catch(() => null);
	}

	read(text) {
		return new DOMParser().parseFromString(text, "text/html");
	}

	/** The page was kept longer than its token. */
	async freshToken() {
		const page = await fetch(location.pathname, { credentials: "same-origin", cache: "reload" }).then((one) => one.text()).catch(() => "");
		const found = this.read(page).querySelector("[name=csrfmiddlewaretoken]");
		if (found) this.token.value = found.value;
		return Boolean(found);
	}
}
