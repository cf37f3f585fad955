// Lists: addresses without empty words, and a fold that closes with Escape. Without it lists work the same.

const form = document.querySelector("[data-list-filters]");

/** Leave out what says nothing: empty fields, and the columns while they are the usual ones. */
function shorten(event) {
  const { formData } = event;
  for (const [name, value] of [...formData.entries()]) {
    const field = form.elements.namedItem(name);
    if (value === "" && !field?.matches?.("[data-keep]")) formData.delete(name);
  }
  const ticks = [...form.querySelectorAll("[name=cols][type=checkbox]")];
  formData.delete("cols");
  if (ticks.every((tick) => tick.checked === tick.matches("[data-usual]"))) return;
  const first = form.querySelector("[data-first-column]");
  formData.set("cols", [first.value, ...ticks.filter((tick) => tick.checked).map((tick) => tick.value)].join(","));
}

form?.addEventListener("formdata", shorten);

for (const fold of form?.querySelectorAll("details") ?? []) {
  fold.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !fold.open) return;
    fold.open = false;
    fold.querySelector("summary").focus();
  });
}
