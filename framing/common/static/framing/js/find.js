// The find box of every page: hits as one types, arrows and Enter on them, “/” to come, Escape to go back; and the
// sheet of keys. Without this script the box is a plain form that leads to the find page.

const box = document.getElementById("find-box");
const panel = document.getElementById("find-panel");
const sheet = document.getElementById("keys");
const singleKeys = document.body.dataset.singleKeys !== "off";
let cameFrom = null;
let active = null;

const options = () => [...panel.querySelectorAll("[role=option]")];

function choose(option) {
  active?.removeAttribute("aria-selected");
  active = option ?? null;
  active?.setAttribute("aria-selected", "true");
  active?.scrollIntoView({ block: "nearest" });
  if (active) box.setAttribute("aria-activedescendant", active.id);
  else box.removeAttribute("aria-activedescendant");
}

function show(open) {
  panel.hidden = !open;
  box.setAttribute("aria-expanded", String(open));
  if (!open) choose(null);
}

/** Arrows go round through the hits and the box itself. */
function walk(step) {
  const all = options();
  if (!all.length) return;
  show(true);
  const at = active ? all.indexOf(active) + step : step > 0 ? 0 : all.length - 1;
  choose(all[at]);
}

function leave() {
  if (!panel.hidden) { show(false); return; }
  box.value = "";
  panel.replaceChildren();
  if (cameFrom?.isConnected) cameFrom.focus();
  else box.blur();
}

function onKey(event) {
  if (event.isComposing || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "ArrowDown" || event.key === "ArrowUp") walk(event.key === "ArrowDown" ? 1 : -1);
  else if (event.key === "Enter" && active) location.assign(active.href);
  else if (event.key === "Escape") leave();
  else return;
  event.preventDefault();
  event.stopPropagation();
}

const typesIn = (node) => node.isContentEditable || node.matches?.("input:not([type=checkbox], [type=radio], [type=button], [type=submit]), select, textarea");

/** Single keys act where nobody types, no dialog is open, and no part of the page has taken the key. */
function onPageKey(event) {
  if (!singleKeys || event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return;
  if (typesIn(event.target) || document.querySelector("dialog[open]")) return;
  if (event.key === "/") {
    event.preventDefault();
    cameFrom = document.activeElement === document.body ? null : document.activeElement;
    box.focus();
    box.select();
  } else if (event.key === "?" && sheet?.showModal) {
    event.preventDefault();
    sheet.showModal();
  }
}

if (box && panel) {
  for (const [name, value] of [["role", "combobox"], ["aria-expanded", "false"], ["aria-controls", panel.id], ["aria-autocomplete", "list"], ["aria-haspopup", "listbox"]]) box.setAttribute(name, value);
  box.addEventListener("keydown", onKey);
  box.addEventListener("focus", () => { if (box.value.trim() && options().length) show(true); });
  box.addEventListener("input", () => { if (!box.value.trim()) { panel.replaceChildren(); show(false); } });
  // The newest question is the only one that may answer: what was typed meanwhile drops this answer.
  panel.addEventListener("htmx:beforeSwap", (event) => {
    if (event.detail.requestConfig.parameters.q !== box.value) event.detail.shouldSwap = false;
  });
  panel.addEventListener("htmx:afterSwap", () => {
    choose(null);
    show(document.activeElement === box && Boolean(panel.querySelector(".find-hit, .find-word")));
  });
  document.addEventListener("pointerdown", (event) => { if (!event.target.closest?.("#find")) show(false); });
  document.addEventListener("focusin", (event) => { if (!event.target.closest?.("#find")) show(false); });
  document.addEventListener("keydown", onPageKey);
}

document.querySelector("[data-keys-open]")?.addEventListener("click", (event) => {
  if (!sheet?.showModal) return;
  event.preventDefault();
  sheet.showModal();
});
