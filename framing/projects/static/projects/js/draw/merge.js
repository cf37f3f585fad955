// Three documents of one floor: what both began with, mine and theirs. Whatever only one of the two changed is taken;
// what both changed differently is told, and mine is taken until somebody chooses.

import { getAt, setAt } from "./edits.js";
import { PARTS, fieldsOf } from "./parts.js";
import { LISTS as DRAWN } from "./plan.js";

const WHOLE = new Map([...fieldsOf("floor").map(({ dataset: { field, label } }) => [field, label]), ["outline", "Outline"], ["load_case", "Loads"]]);
const LISTS = [...DRAWN, "wall", "plies"].map((list) => PARTS[list]);

/** Equal as JSON; a field left out is one that is null. */
export function equal(a, b) {
  if (a === b || (a ?? null) === (b ?? null)) return true;
  if (typeof a !== "object" || typeof b !== "object" || !a || !b || Array.isArray(a) !== Array.isArray(b)) return false;
  return [...new Set([...Object.keys(a), ...Object.keys(b)])].every((key) => equal(a[key], b[key]));
}

/** What is taken or left as one, by path: its list if it is of one, its words and its value. */
function parts(doc) {
  const found = new Map();
  for (const [path, words] of WHOLE) found.set(path, { path, words, value: doc[path] });
  for (const list of LISTS) for (const value of getAt(doc, list.at) ?? []) {
    const path = `${list.at}|${list.id(value)}`;
    found.set(path, { path, list, words: `${list.one} ${list.id(value)}`, value });
  }
  return found;
}

/** What differs between two documents, as sentences without an end. */
export function differences(before, after) {
  const [a, b] = [before, after].map(parts);
  return [...new Map([...a, ...b]).values()].filter(({ path }) => !equal(a.get(path)?.value, b.get(path)?.value)).map(({ path, words }) => {
    const verb = (a.get(path)?.value ?? null) === null ? "added" : b.has(path) ? "changed" : "taken away";
    return { path, words: `${words} ${verb}` };
  });
}

/** {document, clashes}: `clashes` are parts that both changed; `choice` maps a part to "mine" or "theirs". */
export function merge(base, mine, theirs, choice = {}) {
  const [b, m, t] = [base, mine, theirs].map(parts);
  const clashes = [];
  const taken = [];
  for (const { path, words } of new Map([...b, ...t, ...m]).values()) {
    const [was, my, their] = [b, m, t].map((found) => found.get(path)?.value);
    const both = !equal(was, my) && !equal(was, their) && !equal(my, their);
    if (both) clashes.push({ path, words });
    const from = (both ? choice[path] === "theirs" : equal(was, my)) ? t : m;
    if (from.has(path)) taken.push(from.get(path));
  }
  return { document: assemble(mine, theirs, taken), clashes };
}

/** Mine in my order, then what is theirs alone. */
function assemble(mine, theirs, taken) {
  let result = { ...mine };
  for (const { path, list, value } of taken) if (!list && (value !== undefined || path in mine)) result[path] = value;
  for (const list of LISTS) {
    const order = [mine, theirs].flatMap((doc) => getAt(doc, list.at) ?? []).map(list.id);
    const kept = taken.filter((one) => one.list === list).map(({ value }) => value);
    if (getAt(mine, list.at) || kept.length) result = setAt(result, list.at, kept.sort((a, b) => order.indexOf(list.id(a)) - order.indexOf(list.id(b))));
  }
  return { ...result, edges: (result.edges ?? []).filter(({ edge }) => edge < result.outline.length).sort((a, b) => a.edge - b.edge) };
}
