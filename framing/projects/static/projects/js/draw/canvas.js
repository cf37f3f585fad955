import { byId, copyOf, svg } from "./dom.js";
import { framePaths, ghostPaths, litPaths } from "./framing.js";
import { bounds, boxRing, far, mid, minus, plus, pt, sides, times } from "./geometry.js";
import { formatLength } from "./lengths.js";
import { bordersOf, readPlan, wallKind } from "./plan.js";

const IN = 16;
const HANDLE_PX = matchMedia("(pointer: coarse)").matches ? 14 : 9;
export const STRING_PX = 22; // how far a length stands from its wall
const SHORT_PX = 40; // what is shorter on the screen shows no length
const d = (points) => `M${points.map((p) => `${p.x / IN} ${p.y / IN}`).join("L")}`;
const closed = (points) => `${d(points)}Z`;
const handle = ({ x, y }, name) => [name, `M${x - HANDLE_PX / 2} ${y - HANDLE_PX / 2}h${HANDLE_PX}v${HANDLE_PX}h-${HANDLE_PX}Z`];

/** Make the children of `root` paths of these [class, path]; only what changed is written. */
function paths(root, wanted) {
	const nodes = [...root.children];
	wanted.forEach(([name, line], i) => {
		const node = nodes[i] ?? root.appendChild(svg("path"));
		if (node.name !== name) node.setAttribute("class", (node.name = name));
		if (node.line !== line) node.setAttribute("d", (node.line = line));
	});
	nodes.slice(wanted.length).forEach((node) => node.remove());
}

export class Canvas {
	old = true; // the members on the sheet are not those of the last answer

	constructor(root, store, view) {
		Object.assign(this, { store, view });
		this.layers = Object.fromEntries([...root.querySelectorAll("g")].map((layer) => [layer.classList[0].slice(3), layer]));
		store.on("doc selection lit", () => this.later());
		store.on("answer ghost", () => { this.old = true; this.later(); });
	}

	get read() { return readPlan(this.store.doc); }

	later() {
		this.waiting ||= requestAnimationFrame(() => { this.waiting = 0; this.draw(); });
	}

	draw() {
		const { store, layers } = this;
		this.move();
		paths(layers.floor, this.#floor());
		paths(layers.things, this.#things());
		byId("draw-empty").hidden = this.read.corners.length > 0;
		if (this.old) {
			paths(layers.frame, framePaths(store.frame));
			paths(layers.ghost, ghostPaths(store.ghost));
			this.old = false;
			store.emit("drawn");
		}
		layers.frame.classList.toggle("pl-old", Boolean(store.answer && store.answer.state !== "drawn"));
		paths(layers.lit, litPaths(store.lit, store.frame));
	}

	move() {
		const { view, layers } = this;
		layers.plan.setAttribute("transform", view.matrix);
		paths(layers.grid, [["pl-grid-line", this.#grid(24)], ["pl-grid-line pl-major", this.#grid(110)]]);
		layers.labels.replaceChildren(...this.#labels());
		this.#notes();
		paths(layers.over, this.#handles());
		this.tool(this.shown);
		this.store.emit("view");
	}

	#grid(least) {
		const step = this.view.step(this.store.units, least);
		const [a, b] = [pt(0, this.view.height), pt(this.view.width, 0)].map((p) => times(this.view.plan(p), 1 / IN));
		const stations = (from, to) => Array.from({ length: Math.ceil(((to - from) * IN) / step) }, (_, i) => ((Math.ceil((from * IN) / step) + i) * step) / IN);
		return [...stations(a.x, b.x).map((x) => `M${x} ${a.y}V${b.y}`), ...stations(a.y, b.y).map((y) => `M${a.x} ${y}H${b.x}`)].join("");
	}

	#look({ key }, name) {
		return this.store.selection.has(key) ? `${name} pl-chosen` : name;
	}

	#floor() {
		const { store, read: { corners, walls, bays } } = this;
		if (!corners.length) return [];
		const drawn = store.answer?.doc === store.doc ? store.answer.drawn : null;
		const kinds = walls.map((wall) => wallKind(store.doc, this.read, wall.index, drawn));
		return [
			["pl-ground", closed(corners)],
			...bays.filter((bay) => bay.ring).map((bay) => [this.#look(bay, "pl-bay"), closed(bay.ring)]),
			...walls.map((wall, i) => [this.#look(wall, `pl-wall pl-${kinds[i]}`), d(wall.points)]),
			["pl-between", walls.filter(({ key }, i) => kinds[i] === "platform" && !store.selection.has(key)).map(({ points }) => d(points)).join("")],
		];
	}

	#things() {
		const { supports, openings, partitions } = this.read;
		return [
			...supports.flatMap((line) => this.#support(line)),
			...partitions.map((line) => [this.#look(line, `pl-partition${line.entry.bearing ? " pl-bearing" : ""}`), d(line.points)]),
			...openings.flatMap((o) => [[this.#look(o, "pl-opening"), closed(boxRing(o))], ["pl-diagonal", d(o.points)]]),
		];
	}

	#support(line) {
		const { a, b, points, width, entry: { kind = "wall" } } = line;
		if (kind === "flush_beam") return [[this.#look(line, "pl-flush"), d(points)]];
		const off = times(pt(a.y - b.y, b.x - a.x), (width ?? 56) / 2 / (far(a, b) || 1));
		const band = closed([plus(a, off), plus(b, off), minus(b, off), minus(a, off)]);
		return [[this.#look(line, `pl-support pl-on-${kind}`), band], ["pl-centre", kind === "beam" ? d(points) : ""]];
	}

	#labels() {
		const { walls, openings, lines, spots, bays } = this.read;
		const named = lines.filter(({ list, entry }) => list === "supports" || entry.load_plf);
		return [
			...walls.flatMap((wall) => this.#length(wall)),
			...openings.map(({ low, high, entry }) => this.#text(mid(low, high), entry.name || entry.id)),
			...named.map(({ a, b, entry: { id, load_plf: load } }) => this.#text(mid(a, b), load ? `${id} ${load} plf` : id, 12)),
			...spots.flatMap((spot) => this.#spot(spot)),
			...bays.filter((bay) => bay.ring).map(({ ring, entry }) => this.#text({ ...mid(...Object.values(bounds(ring))), y: bounds(ring).high.y }, `Bay ${entry.id}`, -16)),
		];
	}

	#text(p, words, up = 0) {
		const s = this.view.screen(p);
		return svg("text", { class: "pl-name", x: s.x, y: s.y - up }, words);
	}

	#spot(spot) {
		const { name, id, dead_lb: dead, live_lb: live } = spot.entry;
		const { x, y } = this.view.screen(spot.a);
		return [svg("path", { class: this.#look(spot, "pl-spot"), d: `M${x} ${y}l-7-12h14Z` }), this.#text(spot.a, `${name || id} ${(dead || 0) + (live || 0)} lb`, 22)];
	}

	#length({ a, b }) {
		const [from, to] = [a, b].map((p) => this.view.screen(p));
		const long = far(from, to);
		if (long < SHORT_PX) return [];
		const angle = (Math.atan2(to.y - from.y, to.x - from.x) * 180) / Math.PI;
		const words = formatLength(Math.round(far(a, b)), this.store.units);
		const [middle, gap] = [long / 2, words.length * 4 + 6];
		return [svg("g", { transform: `translate(${from.x} ${from.y}) rotate(${angle}) translate(0 ${STRING_PX})` },
			svg("path", { class: "pl-string", d: `M0 0H${Math.max(0, middle - gap)}M${Math.min(long, middle + gap)} 0H${long}M-4 4L4-4M${long - 4} 4L${long + 4}-4` }),
			svg("text", { class: "pl-length", transform: `translate(${middle} 0) rotate(${angle >= 90 || angle < -90 ? 180 : 0})` }, words))];
	}

	#notes() {
		const { answer, settled } = this.store;
		const notes = (list, kind) => list.filter(({ x }) => Number.isFinite(x)).map(({ message, x, y }) => {
			const node = copyOf(`draw-${kind}`, { message });
			const at = this.view.screen(pt(x * IN, y * IN));
			node.style.setProperty("--x", `${at.x}px`);
			node.style.setProperty("--y", `${at.y}px`);
			return node;
		});
		const { problems, warnings } = answer?.doc === settled ? answer : { problems: [], warnings: [] };
		byId("draw-calls").replaceChildren(...notes(problems, "bad"), ...notes(warnings, "care"));
	}

	#handles() {
		const { store, view, read: { corners, lines, at } } = this;
		if (!store.mayChange) return [];
		const chosen = store.keys.map(at).flatMap((thing) => {
			if (thing?.list === "bays") return bordersOf(this.read, thing).map(({ a, b }) => mid(a, b));
			return lines.includes(thing) ? thing.points : [];
		});
		return [...corners.map((p) => [p, this.#look(p, "pl-handle")]), ...chosen.map((p) => [p, "pl-handle pl-chosen"])].map(([p, name]) => handle(view.screen(p), name));
	}

	tool(shown = {}) {
		this.shown = shown;
		const { lines = [], guides = [], at, box, drawn = [] } = shown;
		const r = 7 / (this.view.scale * IN);
		paths(this.layers.tool, [
			["pl-guide", guides.map(({ from, to }) => d([from, to])).join("")],
			["pl-marquee", box ? closed(boxRing(box)) : ""],
			["pl-rubber", lines.map(d).join("")],
			["pl-cursor", at ? `M${at.x / IN - r} ${at.y / IN}h${2 * r}m${-r} ${-r}v${2 * r}` : ""],
		]);
		this.layers.made.replaceChildren(...sides(drawn).slice(0, -1).flatMap((side) => this.#length(side)));
		paths(this.layers.placed, drawn.map((p) => handle(this.view.screen(p), "pl-handle")));
	}
}
