// What every page needs: a second look before weighty acts, no double sending, and focus that is never lost.
// Everything here adds to pages that also work without it.

const WRITES = "[method=post i], [hx-post], [hx-put], [hx-patch], [hx-delete]";
const confirmed = new WeakSet();
const focusedAtSend = new WeakMap();
const live = document.getElementById("live");

/** Say a sentence to screen readers without moving the focus. */
function announce(text) {
  if (!live || !text) return;
  live.textContent = "";
  requestAnimationFrame(() => { live.textContent = text; });
}

/** Show a notice above the content and announce it. */
function notice(text, tone) {
  const place = document.getElementById("messages");
  if (!place || !text) return;
  const box = document.createElement("div");
  box.className = `notice ${tone}`;
  const line = document.createElement("p");
  line.textContent = text;
  box.append(line);
  place.replaceChildren(box);
}

/** Take the focus to the first error summary inside `root`; true when there is one. */
function focusErrors(root) {
  const summary = root.querySelector?.("[data-error-summary]");
  summary?.focus();
  return Boolean(summary);
}

/** Ask before a form with data-confirm (on itself or on the pressed button) is sent. */
function askFirst(event) {
  const form = event.target;
  const button = event.submitter;
  const asker = button?.dataset.confirm ? button : form;
  const dialog = document.getElementById("confirm");
  if (!asker.dataset.confirm || !dialog?.showModal) return false;
  if (confirmed.delete(form)) return false;
  event.preventDefault();
  event.stopImmediatePropagation();
  dialog.querySelector("#confirm-text").textContent = asker.dataset.confirm;
  const yes = dialog.querySelector("#confirm-yes");
  yes.dataset.usual ??= yes.textContent;
  yes.textContent = asker.dataset.confirmVerb || button?.textContent.trim() || yes.dataset.usual;
  dialog.returnValue = "no";
  dialog.addEventListener("close", () => {
    if (dialog.returnValue !== "yes") { button?.focus(); return; }
    confirmed.add(form);
    form.requestSubmit(button);
  }, { once: true });
  dialog.showModal();
  return true;
}

/** Let a form that was sent be sent again (an answer came, or the page was shown from the back list). */
function release(form) {
  form.removeAttribute("aria-busy");
  for (const button of form.querySelectorAll("[data-was-on]")) {
    button.disabled = false;
    delete button.dataset.wasOn;
  }
  // A disabled button loses the focus: give it back unless the reader has moved on.
  if (form.isConnected && document.activeElement === document.body) focusedAtSend.get(form)?.focus();
  focusedAtSend.delete(form);
}

/** Disable the buttons of a form that is on its way; the second press of an eager finger is dropped. */
function guard(event) {
  const form = event.target;
  form.setAttribute("aria-busy", "true");
  focusedAtSend.set(form, document.activeElement);
  // After this turn, so that the pressed button's own name and value are still sent.
  setTimeout(() => {
    for (const button of form.querySelectorAll("button:not([type=button]):not(:disabled)")) {
      button.dataset.wasOn = "";
      button.disabled = true;
    }
  });
  // A sent form that stays on the page (a file came, or the network hangs) opens again by itself.
  setTimeout(() => release(form), 20000);
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.matches(WRITES)) return;
  if (form.getAttribute("aria-busy") === "true") {
    event.preventDefault();
    event.stopImmediatePropagation();
    return;
  }
  if (!askFirst(event)) guard(event);
}, { capture: true });

addEventListener("pageshow", (event) => {
  if (event.persisted) document.querySelectorAll("form[aria-busy]").forEach(release);
});

// Swapped parts ------------------------------------------------------------------------------------
let kept = null;

// A page that waits for work asks itself every second: never under an open dialog, and only what reads otherwise is put in.
document.addEventListener("htmx:beforeSwap", (event) => {
  if (event.detail.requestConfig?.elt?.matches("[data-work]") && document.querySelector("dialog[open]")) event.detail.shouldSwap = false;
});
document.addEventListener("htmx:oobBeforeSwap", (event) => {
  const words = (node) => node.textContent.replace(/\s+/g, " ").trim();
  if (words(event.detail.target) === words(event.detail.fragment)) event.detail.shouldSwap = false;
});

document.addEventListener("htmx:beforeSwap", (event) => {
  const sender = event.detail.requestConfig?.elt?.closest?.("form");
  const at = document.activeElement === document.body ? focusedAtSend.get(sender) : document.activeElement;
  kept = at && at !== document.body ? { id: at.id, name: at.getAttribute("name") } : null;
});

document.addEventListener("htmx:afterSettle", (event) => {
  const part = event.detail.elt;
  announce(part.dataset?.announce || part.querySelector?.("[data-announce]")?.dataset.announce);
  if (focusErrors(part) || !kept || document.activeElement !== document.body) return;
  const again = (kept.id && document.getElementById(kept.id))
    || (kept.name && part.querySelector?.(`[name="${CSS.escape(kept.name)}"]`));
  again?.focus({ preventScroll: true });
});

document.addEventListener("htmx:afterRequest", (event) => {
  const form = event.detail.elt.closest?.("form");
  if (form) release(form);
});
document.addEventListener("htmx:sendError", () => notice(live?.dataset.lost, "care"));
document.addEventListener("htmx:responseError", () => notice(live?.dataset.failed, "bad"));

// Menus close like any menu: Escape, a press elsewhere, or the focus going on.
const opened = () => document.querySelector("details:is(.menu, .nav-more)[open]");
document.addEventListener("keydown", ({ key }) => {
  if (key !== "Escape" || !opened()) return;
  opened().querySelector("summary").focus();
  opened().open = false;
});
for (const kind of ["click", "focusin"]) {
  document.addEventListener(kind, ({ target }) => {
    if (opened()?.contains(target) === false) opened().open = false;
  });
}

focusErrors(document);
