// A drawing that is read by pinch, or by buttons where a glove can't: it grows in its own frame and is pushed about there.

const MOST = 8;
const STEP = 1.6;

/** The drawing in a frame of its own; CSS gives the frame its height and lets it scroll. */
export function zoomed(drawing, words) {
	const box = Object.assign(document.createElement("div"), { className: "site-zoom" });
	const frame = Object.assign(document.createElement("div"), { className: "site-zoom-frame", tabIndex: 0 });
	const fingers = new Map();
	let [scale, spread] = [1, 0];

	/** Grow about a place of the frame, which stays where it is. */
	function grow(to, x, y) {
		const next = Math.min(MOST, Math.max(1, to));
		const [left, top] = [(frame.scrollLeft + x) / scale, (frame.scrollTop + y) / scale];
		scale = next;
		drawing.style.width = `${100 * scale}%`;
		frame.classList.toggle("grown", scale > 1);
		[frame.scrollLeft, frame.scrollTop] = [left * scale - x, top * scale - y];
		smaller.disabled = scale === 1;
		larger.disabled = scale === MOST;
	}

	function button(text, label, factor) {
		const made = Object.assign(document.createElement("button"), { type: "button", className: "button", textContent: text });
		made.setAttribute("aria-label", label);
		made.addEventListener("click", () => grow(scale * factor, frame.clientWidth / 2, frame.clientHeight / 2));
		return made;
	}

	const apart = () => {
		const [one, two] = [...fingers.values()];
		return Math.hypot(one.x - two.x, one.y - two.y);
	};
	const [smaller, larger] = [button("−", words.smaller, 1 / STEP), button("+", words.larger, STEP)];
	smaller.disabled = true;
	frame.addEventListener("pointerdown", (event) => {
		fingers.set(event.pointerId, { x: event.clientX, y: event.clientY });
		if (fingers.size === 2) spread = apart();
	});
	frame.addEventListener("pointermove", (event) => {
		const finger = fingers.get(event.pointerId);
		if (!finger) return;
		const moved = [event.clientX - finger.x, event.clientY - finger.y];
		Object.assign(finger, { x: event.clientX, y: event.clientY });
		if (fingers.size === 1 && scale > 1) frame.scrollBy(-moved[0], -moved[1]);
		if (fingers.size !== 2) return;
		const [one, two] = [...fingers.values()];
		const edge = frame.getBoundingClientRect();
		grow((scale * apart()) / spread, (one.x + two.x) / 2 - edge.left, (one.y + two.y) / 2 - edge.top);
		spread = apart();
	});
	for (const end of ["pointerup", "pointercancel", "pointerleave"]) frame.addEventListener(end, (event) => fingers.delete(event.pointerId));
	const buttons = Object.assign(document.createElement("div"), { className: "site-zoom-by" });
	buttons.append(smaller, larger);
	frame.append(drawing);
	box.append(frame, buttons);
	return box;
}
