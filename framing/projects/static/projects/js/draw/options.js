// The option matrix: profiles by spacings of the bay that is selected, else of the first; a press takes one.

import { el } from "./dom.js";
import { setAt } from "./edits.js";

const spacingWords = (inches, units) => (units === "metric" ? `${Math.round(inches * 25.4)} mm` : `${inches} in`);

function take(store, option) {
  const index = store.doc.bays.findIndex((bay) => bay.id === option.bay);
  if (index < 0) return;
  const typed = store.units === "metric" ? `${option.spacing_in}"` : String(option.spacing_in);
  const doc = setAt(setAt(store.doc, `bays.${index}.profile`, option.profile), `bays.${index}.spacing`, typed);
  store.commit(doc, `${option.profile} at ${spacingWords(option.spacing_in, store.units)} taken`);
}

function cell(store, option) {
  if (!option) return el("td", {});
  const bay = store.doc.bays.find((one) => one.id === option.bay);
  const chosen = bay?.profile === option.profile && Math.abs(parseFloat(bay.spacing) - option.spacing_in) < 0.01;
  const ratio = option.ratio.toFixed(2);
  if (!option.passes) {
    return el("td", { class: `option fails${chosen ? " chosen" : ""}`, title: option.reason },
      el("span", { class: "state bad" }, ratio), el("span", { class: "unseen" }, ` fails: ${option.reason}`));
  }
  const words = [el("span", { class: "option-price" }, Math.round(option.weight_lb).toLocaleString("en-US")), el("span", { class: "option-ratio" }, ratio)];
  const label = `${option.profile} at ${spacingWords(option.spacing_in, store.units)}: ${Math.round(option.weight_lb)} lb of steel, ratio ${ratio}${chosen ? ", chosen" : ""}`;
  if (!store.mayChange) return el("td", { class: "option" }, ...words);
  return el("td", { class: `option${chosen ? " chosen" : ""}` }, el("button", {
    type: "button", class: "option-take", "aria-label": label, "aria-pressed": String(chosen), "data-option": `${option.bay}|${option.profile}|${option.spacing_in}`,
    onclick: () => take(store, option),
  }, ...words));
}

/** Fill the matrix; the focus stays on the option that has it. */
export function fillOptions(root, store) {
  const { options } = store.answer;
  const names = [...new Set(options.map((option) => option.bay))];
  const selected = store.keys.map((key) => (key.startsWith("bays.") ? store.doc.bays[Number(key.split(".")[1])]?.id : "")).find((id) => names.includes(id));
  const focused = document.activeElement?.dataset?.option;
  root.replaceChildren(...(selected ? [selected] : names).flatMap((bay) => table(store, options.filter((option) => option.bay === bay), names.length > 1 ? `Bay ${bay}` : "")));
  if (focused) root.querySelector(`[data-option="${CSS.escape(focused)}"]`)?.focus();
}

function table(store, options, title) {
  const spacings = [...new Set(options.map((option) => option.spacing_in))].sort((a, b) => a - b);
  const profiles = [...new Set(options.map((option) => option.profile))];
  const at = new Map(options.map((option) => [`${option.profile}|${option.spacing_in}`, option]));
  const best = profiles.filter((name) => options.some((option) => option.profile === name && option.passes));
  const rest = profiles.filter((name) => !best.includes(name));
  const rows = (names) => el("tbody", {}, ...names.map((name) => el("tr", {}, el("th", { scope: "row", class: "fig" }, name), ...spacings.map((spacing) => cell(store, at.get(`${name}|${spacing}`))))));
  const head = () => el("thead", {}, el("tr", {}, el("th", { scope: "col" }, "Profile"), ...spacings.map((spacing) => el("th", { scope: "col" }, spacingWords(spacing, store.units)))));
  const whole = (names, label) => el("div", { class: "table-wrap pl-scroll", tabindex: "0", role: "group", "aria-label": label }, el("table", { class: "option-table" }, head(), rows(names)));
  const name = title ? `Options of ${title.toLowerCase()}` : "Options";
  const failing = rest.length ? el("details", {}, el("summary", {}, `${rest.length} profiles that fail at every spacing`), whole(rest, `${name} that fail`)) : null;
  return [title ? el("h3", {}, title) : null, best.length ? whole(best, name) : el("p", {}, "No profile passes at any spacing."), failing].filter(Boolean);
}
