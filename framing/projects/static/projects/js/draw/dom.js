const make = (space) => (tag, attributes = {}, ...children) => {
	const node = document.createElementNS(space, tag);
	for (const [name, value] of Object.entries(attributes)) if (value !== false) node.setAttribute(name, value === true ? "" : value);
	node.append(...children);
	return node;
};

export const el = make(document.documentElement.namespaceURI);
export const svg = make("http://www.w3.org/2000/svg");

export const byId = (id) => document.getElementById(id);

/** Set a property where it is another by now: what is set is styled anew even if it is the same. */
export function put(thing, name, value) {
	if (thing[name] !== value) thing[name] = value;
}

export function on(root, event, selector, act) {
	root.addEventListener(event, ({ target }) => {
		const found = target.closest(selector);
		if (found) act(found);
	});
}

/** A copy of the page's template: `words` go where `data-say` names them; what has none is left out. */
export function copyOf(template, words) {
	const node = byId(template).content.firstElementChild.cloneNode(true);
	for (const place of node.querySelectorAll("[data-say]")) {
		if (words[place.dataset.say]) place.textContent = words[place.dataset.say];
		else place.remove();
	}
	return node;
}

/** Make `root` hold what `made` holds; children that are equal stay as they are, open ones open, the focus at its `data-at`. */
export function renew(root, made) {
	root.hidden = !made.textContent;
	if (!made.children.length) return void (root.textContent = made.textContent);
	const at = root.contains(document.activeElement) && document.activeElement.dataset.at;
	const open = [...root.querySelectorAll("details")].map((one) => one.open);
	made.querySelectorAll("details").forEach((one, i) => { one.open = open[i]; });
	const old = [...root.children];
	const fresh = [...made.children];
	fresh.forEach((node, i) => {
		if (!old[i]) root.append(node);
		else if (!old[i].isEqualNode(node)) old[i].replaceWith(node);
	});
	old.slice(fresh.length).forEach((node) => node.remove());
	if (at && !root.contains(document.activeElement)) root.querySelector(`[data-at="${CSS.escape(at)}"]`)?.focus();
}
