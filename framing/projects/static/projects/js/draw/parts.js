import { freeId, getAt, insertCorner, pairOf, remove, setAt, setWall, setWallLength } from "./edits.js";
import { byId } from "./dom.js";
import { bounds, far, mid, pt, whole } from "./geometry.js";
import { formatLength, lengthOf } from "./lengths.js";
import { readPlan } from "./plan.js";
import { wholly } from "./transforms.js";

export const page = byId("draw-parts").content;

/** By list: its words, `letter` and `usual` of a new entry, path `at`, `id` that tells an entry for good, `row` to copy. */
export const PARTS = Object.fromEntries([...page.querySelectorAll("[data-list]")].map((section) => {
	const { list, usual, ...words } = section.dataset;
	return [list, { ...words, list, section, usual: JSON.parse(usual), id: (entry) => entry.id, row: section.querySelector("template").content.firstElementChild }];
}));
PARTS.wall.id = ({ edge }) => edge + 1;
PARTS.plies.id = ({ of, part }) => `${of} ${part}`.replaceAll("_", " ");

export const fieldsOf = (list) => [...PARTS[list].row.querySelectorAll("[data-field]")];

export const spacings = (units) => [12, 16, 19.2, 24].map((inches) => (units === "metric" ? [`${inches}"`, `${Math.round(inches * 25.4)} mm`] : [`${inches}`, `${inches} in`]));

const wall = (name) => ({ set: (doc, value, { index }) => setWall(doc, index, { [name]: value || null }) });

const many = (join, split, none) => ({
	get: (doc, path) => (getAt(doc, path) ?? []).map(join).join("; "),
	set: (doc, said, { path }) => setAt(doc, path, said.trim() ? said.split(";").map((piece) => split(piece.trim())) : none),
});

export const SPECIAL = {
	"floor.units": { set: (doc, units, { start }) => wholly(start, doc, units) },
	"wall.kind": wall("kind"),
	"wall.width": wall("width"),
	"wall.length": {
		get: (doc, _, { key }) => {
			const side = readPlan(doc).walls.find((one) => one.key === key);
			return side && formatLength(Math.round(far(side.a, side.b)), doc.units);
		},
		set: (doc, said, { index }) => (said ? setWallLength(doc, index, lengthOf(said, doc.units)) : doc),
	},
	"partitions.bearing": { set: (doc, value, { path }) => setAt(doc, path, value === "true") },
	"bays.outline": many((pair) => [pair].flat().join(", "), (piece) => piece.split(",").map((one) => one.trim()), null),
	"bays.load_case": {
		get: (doc, path) => (getAt(doc, path) ? "own" : ""),
		set: (doc, value, { path }) => setAt(doc, path, value && doc.load_case),
	},
	"loads.occupancy": {
		set(doc, use, { path, base, start }) {
			const live = start.live_psf?.[use];
			return setAt(live === undefined ? doc : setAt(doc, `${base}.live_psf`, live), path, use);
		},
	},
	"loads.layers": many(({ name, psf }) => `${name} ${psf}`, (piece) => {
		const [, name, psf] = /^(.*?)\s*(-?[0-9.]+)?$/.exec(piece);
		return { name, psf: Number(psf ?? 0) };
	}, []),
};

/** [key, path, name] of the rows of lists that are no plain list of named entries. */
const ROWS = {
	floor: () => [["floor", "", "This floor"]],
	wall: (doc) => doc.outline.map((_, i) => [`wall.${i}`, `edges.${(doc.edges ?? []).findIndex(({ edge }) => edge === i)}`, `Wall ${i + 1}`]),
	loads: ({ bays }) => [["loads", "load_case", "Whole floor"], ...bays.flatMap(({ id, load_case }, i) => (load_case ? [[`loads.${i}`, `bays.${i}.load_case`, `Loads of bay ${id}`]] : []))],
	plies: ({ overrides }) => (overrides?.plies ?? []).map((_, i) => [`plies.${i}`, `overrides.plies.${i}`, `Fixed plies ${i + 1}`]),
};

export function nameOf(doc, key) {
	const [list, number] = key.split(".");
	const [{ letter, one, row }, entry] = [PARTS[list], doc[list]?.[number]];
	if (!letter) return `${one} ${Number(number) + 1}`;
	if (!entry) return "";
	const kind = list === "supports" && row.querySelector(`option[value="${CSS.escape(entry.kind ?? "wall")}"]`);
	return `${kind?.textContent || one} ${entry.name || entry.id}`;
}

/** Rows of a list: {list, key, index, base: path in the document, name}. */
export function rowsOf(doc, list) {
	const plain = () => (doc[list] ?? []).map((_, i) => [`${list}.${i}`, `${list}.${i}`, nameOf(doc, `${list}.${i}`)]);
	return (ROWS[list] ?? plain)(doc).map(([key, base, name]) => ({ list, key, base, name, index: Number(key.split(".")[1]) }));
}

export const rowOf = (doc, key) => rowsOf(doc, key.split(".")[0]).find((row) => row.key === key);
export const pathOf = ({ base }, path) => (base ? `${base}.${path}` : path);

/** The document with one entry more: across the middle, an opening at the low corner, a corner halves the last wall. */
export function addTo(doc, list) {
	const { walls, corners } = readPlan(doc);
	const last = walls.at(-1);
	if (list === "outline" && walls.length > 2) return insertCorner(doc, last.index, whole(mid(last.a, last.b)));
	const { low, high } = bounds(corners) ?? { low: pt(0, 0), high: pt(0, 0) };
	const { letter, usual, at } = PARTS[list];
	const place = (x, y) => pairOf(whole(pt(x, y)), doc.units);
	const { x, y } = mid(low, high);
	const across = { from: place(low.x, y), to: place(high.x, y) };
	const entry = {
		outline: place(0, 0), supports: across, partitions: across, point_loads: { at: place(x, y) }, bays: { ...doc.bays[0], outline: null },
		openings: { corner: place(low.x + 768, low.y + 768), size: place(768, 768) }, plies: { of: doc.openings?.[0]?.id ?? "", part: "trimmer_low", plies: 2 },
	}[list];
	const old = getAt(doc, at) ?? [];
	return setAt(doc, at, [...old, letter ? { ...usual, ...entry, id: freeId(old, letter) } : entry]);
}

export const mayGo = (doc, { list, key }) => key !== "loads" && (list !== "bays" || doc.bays.length > 1);

export function takeAway(doc, { list, key, base, index }) {
	if (list === "loads") return setAt(doc, base, null);
	return list === "plies" ? setAt(doc, PARTS.plies.at, doc.overrides.plies.toSpliced(index, 1)) : remove(doc, [key]);
}
