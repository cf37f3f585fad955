// Three documents of one floor: what both began with, mine and theirs. Whatever only one of the two changed is taken;
// what both changed differently is told, and mine is taken until somebody chooses.

const LISTS = ["supports", "openings", "partitions", "bays"];
const NAMES = { supports: "Bearing", openings: "Opening", partitions: "Partition", bays: "Bay" };
const FIELDS = { name: "Name", level: "Level", repeat: "Equal floors", units: "Units", outline: "Outline", load_case: "Loads" };

/** Equal as JSON; a field left out is one that is null. */
export function equal(a, b) {
  if (a === b || (a ?? null) === (b ?? null)) return true;
  if (typeof a !== "object" || typeof b !== "object" || !a || !b || Array.isArray(a) !== Array.isArray(b)) return false;
  return [...new Set([...Object.keys(a), ...Object.keys(b)])].every((key) => equal(a[key], b[key]));
}

function mapOf(list, key) {
  return new Map((list || []).map((entry) => [entry[key], entry]));
}

/** Parts of a document that are taken or left as one: path words, and the value. */
function parts(doc) {
  const found = new Map(Object.keys(FIELDS).map((field) => [field, doc[field]]));
  for (const list of LISTS) for (const [id, entry] of mapOf(doc[list], "id")) found.set(`${list}|${id}`, entry);
  for (const [index, entry] of mapOf(doc.edges, "edge")) found.set(`edges|${index}`, entry);
  for (const entry of doc.overrides?.plies || []) found.set(`plies|${entry.of} ${entry.part}`, entry);
  return found;
}

export function partName(path) {
  const [list, id] = path.split("|");
  if (list === "edges") return `Wall ${Number(id) + 1}`;
  if (list === "plies") return `Fixed plies of ${id.replaceAll("_", " ")}`;
  return id === undefined ? FIELDS[list] : `${NAMES[list]} ${id}`;
}

/** What differs between two documents, as sentences without an end. */
export function differences(before, after) {
  const [a, b] = [parts(before), parts(after)];
  return [...new Set([...a.keys(), ...b.keys()])].filter((path) => !equal(a.get(path), b.get(path))).map((path) => {
    const verb = !a.has(path) || a.get(path) === null ? "added" : b.has(path) ? "changed" : "taken away";
    return { path, words: `${partName(path)} ${verb}` };
  });
}

/** {document, clashes}: `clashes` are parts that both changed; `choice` maps a part to "mine" or "theirs". */
export function merge(base, mine, theirs, choice = {}) {
  const [b, m, t] = [base, mine, theirs].map(parts);
  const clashes = [];
  const taken = new Map();
  for (const path of new Set([...m.keys(), ...t.keys(), ...b.keys()])) {
    const mineChanged = !equal(b.get(path), m.get(path));
    const theirsChanged = !equal(b.get(path), t.get(path));
    const both = mineChanged && theirsChanged && !equal(m.get(path), t.get(path));
    if (both) clashes.push({ path, words: partName(path) });
    const from = both ? (choice[path] === "theirs" ? t : m) : mineChanged ? m : t;
    if (from.has(path)) taken.set(path, from.get(path));
  }
  return { document: assemble(mine, theirs, taken), clashes };
}

function assemble(mine, theirs, taken) {
  const result = { ...mine };
  for (const field of Object.keys(FIELDS)) if (taken.has(field)) result[field] = taken.get(field);
  const ordered = (prefix, keys) => [...new Set(keys)].map((key) => taken.get(`${prefix}|${key}`)).filter(Boolean);
  for (const list of LISTS) result[list] = ordered(list, [...(mine[list] || []), ...(theirs[list] || [])].map((entry) => entry.id));
  result.edges = ordered("edges", [...(mine.edges || []), ...(theirs.edges || [])].map((entry) => entry.edge)).sort((a, b) => a.edge - b.edge);
  result.edges = result.edges.filter((entry) => entry.edge < result.outline.length);
  const plies = [...(mine.overrides?.plies || []), ...(theirs.overrides?.plies || [])];
  result.overrides = { plies: ordered("plies", plies.map((entry) => `${entry.of} ${entry.part}`)) };
  return result;
}
