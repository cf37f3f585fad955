import { on } from "./dom.js";
import { setAt } from "./edits.js";
import { Later, sent } from "./send.js";

const IDLE_MS = 1200;

export class Options {
	#wait = new Later(() => this.#price());

	constructor(root, store) {
		Object.assign(this, { root, store });
		on(root, "click", "button", (button) => this.#take(button.dataset));
		store.on("selection", () => this.#choose());
	}

	answer() {
		this.#choose();
		if (!this.store.mayChange) for (const button of this.root.querySelectorAll("button")) button.disabled = true;
		if (this.store.start.urls.options) this.#wait.in(IDLE_MS);
	}

	#choose() {
		const { doc, keys } = this.store;
		const [chosen] = keys.flatMap((key) => (key.startsWith("bays.") ? doc.bays[key.slice(5)]?.id ?? [] : []));
		for (const bay of this.root.children) bay.hidden = Boolean(chosen) && bay.dataset.bay !== chosen;
	}

	async #price() {
		const { frame, doc, start } = this.store;
		if (frame.doc !== doc) return;
		const answer = await sent(start.urls.options, doc);
		if (answer?.status !== 200 || frame !== this.store.frame) return;
		const { options, currency, waiting } = answer.body;
		const { format } = new Intl.NumberFormat("en-US", { style: "currency", currency, maximumFractionDigits: 0 });
		const base = options.find(({ drawn }) => drawn)?.goods;
		for (const { bay, profile, spacing_in: inches, goods, drawn } of options) {
			const place = goods && this.root.querySelector(`[data-at="${CSS.escape(`${bay}|${profile}|${inches}`)}"] .option-price`);
			if (!place) continue;
			place.closest("td").classList.toggle("chosen", drawn);
			place.textContent = !base || drawn ? format(goods) : `${goods - base < 0 ? "−" : "+"}${format(Math.abs(goods - base))}`;
		}
		if (waiting) this.#wait.in(0);
	}

	#take({ at, typed, said }) {
		const { store } = this;
		const [id, profile] = at.split("|");
		const path = `bays.${store.doc.bays.findIndex((bay) => bay.id === id)}`;
		if (store.mayChange && !path.endsWith("-1")) store.commit(setAt(setAt(store.doc, `${path}.profile`, profile), `${path}.spacing`, typed), `${said} taken`);
	}
}
