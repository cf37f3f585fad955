// Every field of a floor document, as rows of cells: the table shows all of them, the panel those of what is selected.
// A cell knows its place in the document (the place that a refusal names), and how to read and write it.

import { far } from "./geometry.js";
import { formatLength, lengthOf } from "./lengths.js";
import { getAt, setAt, setWall, setWallLength } from "./edits.js";
import { nameOf, readPlan, wallKind } from "./plan.js";

const EDGES = [["", "By joist direction"], ["platform", "Bearing, platform"], ["balloon", "Bearing, ledger"], ["free", "Free, nothing under it"], ["parallel", "Beside the joists"]];
const SUPPORTS = [["wall", "Bearing wall"], ["beam", "Beam below"], ["flush_beam", "Flush beam"]];
const JOINTS = [["lap", "Lap"], ["butt", "Butt"], ["through", "Run through"]];
const OPENINGS = [["stair", "Stair"], ["shaft", "Shaft"]];
const WAYS = [["y", "Bottom to top"], ["x", "Left to right"]];
const STARTS = [["low", "Left, or bottom"], ["high", "Right, or top"]];
const PLIES = [["1", "Single"], ["2", "Double"], ["3", "Triple"]];
const PARTS = [["trimmer_low", "First trimmer"], ["trimmer_high", "Second trimmer"], ["header_low", "Low header"], ["header_high", "High header"], ["joist", "Joist under it"], ["beam", "Beam"]];
const YES = [["", "No"], ["yes", "Yes"]];
const SPACINGS = { imperial: [["12", "12 in"], ["16", "16 in"], ["19.2", "19.2 in"], ["24", "24 in"]], metric: [['12"', "305 mm"], ['16"', "406 mm"], ['19.2"', "488 mm"], ['24"', "610 mm"]] };

function cell(path, label, kind, more = {}) {
  return {
    path, label, kind,
    get: (doc) => getAt(doc, path),
    set: (doc, value) => setAt(doc, path, value),
    ...more,
  };
}

const length = (path, label, more) => cell(path, label, "length", more);
const choice = (path, label, choices, more) => cell(path, label, "choice", { choices, ...more });
const number = (path, label, more) => cell(path, label, "number", more);
const pair = (path, labels) => [0, 1].map((i) => length(`${path}.${i}`, labels[i], { negative: true }));
const ends = (path) => [...pair(`${path}.from`, ["From, across", "From, up"]), ...pair(`${path}.to`, ["To, across", "To, up"])];

/** Corners as one text: `0, 0; 12', 0; 12', 26'`. */
const corners = (path, label) => cell(path, label, "text", {
  get: (doc) => (getAt(doc, path) || []).map((p) => (Array.isArray(p) ? p.join(", ") : p)).join("; "),
  set: (doc, text) => setAt(doc, path, text.trim() ? text.split(";").map((p) => p.split(",").map((part) => part.trim())) : null),
  wide: true, hint: "Empty: the whole floor",
});

/** Layers of dead load as one text: `Floor 10; Tile 4`. */
const layers = (path) => cell(path, "Dead load, psf", "text", {
  get: (doc) => (getAt(doc, path) || []).map((layer) => `${layer.name} ${layer.psf}`).join("; "),
  set: (doc, text) => setAt(doc, path, text.split(";").map((part) => part.trim()).filter(Boolean).map((part) => {
    const [, name, psf] = /^(.*?)\s*(-?[0-9.]+)?$/.exec(part);
    return { name, psf: psf === undefined ? 0 : Number(psf) };
  })),
  wide: true,
});

function wallCells(doc, index, drawn) {
  const entry = (doc.edges || []).findIndex((edge) => edge.edge === index);
  const at = (field) => (entry < 0 ? `edges.new${index}.${field}` : `edges.${entry}.${field}`);
  const plan = readPlan(doc);
  const wall = plan.walls.find((one) => one.index === index);
  const now = EDGES.find(([value]) => value === wallKind(doc, plan, index, drawn))?.[1] ?? "";
  const kinds = [["", `By joist direction (${now.toLowerCase()})`], ...EDGES.slice(1)];
  return [
    choice(at("kind"), "What it does", kinds, { get: () => doc.edges?.[entry]?.kind ?? "", set: (d, v) => setWall(d, index, { kind: v || null }) }),
    length(at("width"), "Wall width", { get: () => doc.edges?.[entry]?.width, set: (d, v) => setWall(d, index, { width: v }) }),
    length(`wall.${index}.length`, "Length", {
      get: () => (wall ? formatLength(Math.round(far(wall.a, wall.b)), doc.units) : ""),
      set: (d, v) => (lengthOf(v, d.units) === null ? d : setWallLength(d, index, lengthOf(v, d.units))),
      derived: true,
    }),
  ];
}

function bayCells(doc, i, start) {
  const at = `bays.${i}`;
  return [
    cell(`${at}.id`, "Name", "text"),
    choice(`${at}.direction`, "Joists run", WAYS), choice(`${at}.start`, "Count from", STARTS),
    choice(`${at}.spacing`, "Spacing", SPACINGS[doc.units] ?? SPACINGS.imperial, { open: true }),
    length(`${at}.offset`, "First joist at", { hint: "One spacing" }),
    choice(`${at}.profile`, "Profile", [["", "Best that passes"], ...start.profiles.map((name) => [name, name])], { empty: null }),
    choice(`${at}.plies`, "Plies", PLIES, { whole: true }),
    corners(`${at}.outline`, "Corners"),
  ];
}

function loadCells(path, start) {
  return [
    choice(`${path}.occupancy`, "Use", start.occupancies.map((name) => [name, name]), {
      open: true,
      set: (doc, v) => {
        const live = start.live_psf?.[v];
        const named = setAt(doc, `${path}.occupancy`, v);
        return live === undefined ? named : setAt(named, `${path}.live_psf`, live);
      },
    }),
    number(`${path}.live_psf`, "Live load, psf"), number(`${path}.partition_psf`, "Partitions, psf"), layers(`${path}.layers`),
  ];
}

const row = (doc, key, cells, name) => ({ key, name: name ?? nameOf(doc, key), cells });

function supportCells(i) {
  const at = `supports.${i}`;
  return [cell(`${at}.id`, "Name", "text"), choice(`${at}.kind`, "Kind", SUPPORTS), ...ends(at), length(`${at}.width`, "Width", { hint: "Usual" }), choice(`${at}.joint`, "Joists over it", JOINTS)];
}

function openingCells(i) {
  const at = `openings.${i}`;
  return [
    cell(`${at}.name`, "Name", "text"), choice(`${at}.kind`, "Kind", OPENINGS),
    ...pair(`${at}.corner`, ["Low corner, across", "Low corner, up"]), length(`${at}.size.0`, "Width"), length(`${at}.size.1`, "Depth"),
  ];
}

function partitionCells(i) {
  const at = `partitions.${i}`;
  return [
    cell(`${at}.id`, "Name", "text"), ...ends(at),
    choice(`${at}.bearing`, "Bears load", YES, { get: (doc) => (getAt(doc, `${at}.bearing`) ? "yes" : ""), set: (doc, v) => setAt(doc, `${at}.bearing`, v === "yes") }),
    number(`${at}.load_plf`, "Load, plf"),
  ];
}

/** The tables of the whole document, in order; `key` of a row is what the drawing selects. */
export function tablesOf(doc, start, drawn) {
  const list = (name, cells) => (doc[name] || []).map((_, i) => row(doc, `${name}.${i}`, cells(i)));
  const own = (doc.bays || []).flatMap((bay, i) => (bay.load_case ? [row(doc, `loads.${i}`, loadCells(`bays.${i}.load_case`, start), `Bay ${bay.id}`)] : []));
  const plies = (doc.overrides?.plies || []).map((_, i) => {
    const at = `overrides.plies.${i}`;
    return row(doc, `plies.${i}`, [cell(`${at}.of`, "Of", "text"), choice(`${at}.part`, "Member", PARTS), choice(`${at}.plies`, "Plies", PLIES, { whole: true })], `Fixed plies ${i + 1}`);
  });
  return [
    { id: "floor", title: "Floor", rows: [row(doc, "floor", floorCells(), "This floor")] },
    { id: "outline", title: "Corners", add: "Add a corner", rows: list("outline", (i) => pair(`outline.${i}`, ["Across", "Up"])) },
    { id: "wall", title: "Walls around", rows: doc.outline.map((_, i) => row(doc, `wall.${i}`, wallCells(doc, i, drawn))) },
    { id: "supports", title: "Bearings inside", add: "Add a bearing", rows: list("supports", supportCells) },
    { id: "openings", title: "Openings", add: "Add an opening", rows: list("openings", openingCells) },
    { id: "partitions", title: "Partitions and line loads", add: "Add a partition", rows: list("partitions", partitionCells) },
    { id: "bays", title: "Bays", add: "Add a bay", rows: list("bays", (i) => bayCells(doc, i, start)) },
    { id: "loads", title: "Loads", rows: [row(doc, "loads", loadCells("load_case", start), "Whole floor"), ...own], own: true },
    { id: "plies", title: "Fixed plies", add: "Fix the plies of a member", rows: plies },
  ];
}

function floorCells() {
  return [
    cell("name", "Name", "text"), cell("level", "Level", "text"), number("repeat", "Equal floors", { whole: true }),
  ];
}

/** The row of one selected thing, or null. A wall of the floor with one bay shows the bay too when nothing is selected. */
export function rowOf(doc, key, start, drawn) {
  const list = key.split(".")[0];
  return tablesOf(doc, start, drawn).find((table) => table.id === list)?.rows.find((one) => one.key === key) ?? null;
}
