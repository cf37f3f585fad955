// The floor entry page: rows without a round trip, messages at their fields, Enter redraws, nothing typed is lost.
// The page works without this file; it only makes it quicker.

const form = document.getElementById("floor-form");

/** Ask for a new drawing as if something had been typed. */
function redraw() {
  form.dispatchEvent(new Event("input", { bubbles: true }));
}

/** Number the rows of one table from 0 again, as the server reads them. */
function renumber(table) {
  const name = table.dataset.rows;
  const rows = [...table.querySelectorAll(":scope > [data-list] > [data-row]")];
  const number = new RegExp(`(?<![a-z])${name}-(\\d+|__number__)`, "g");
  rows.forEach((row, index) => {
    for (const element of row.querySelectorAll("[id], [name], [for], [value^='remove:'], [aria-describedby]")) {
      for (const attribute of ["id", "name", "for", "aria-describedby"]) {
        const text = element.getAttribute(attribute);
        if (text) element.setAttribute(attribute, text.replace(number, `${name}-${index}`));
      }
      if (element.matches("[data-remove]")) element.value = `remove:${name}:${index}`;
    }
  });
  table.querySelector(":scope > [data-count]").value = String(rows.length);
}

/** Add an empty row and return it. */
function addRow(table) {
  const template = table.querySelector(":scope > template");
  const list = table.querySelector(":scope > [data-list]");
  list.append(template.content.cloneNode(true));
  renumber(table);
  return list.lastElementChild;
}

/** Begin a list of corners with the four of the rectangle, so that a step is two more rows. */
function cornersOfRectangle(table) {
  const value = (name) => form.elements[name].value;
  const [width, depth] = [value("width"), value("depth")];
  if (table.querySelector("[data-row]") || !width || !depth) return;
  const corners = [["0", "0", "bottom"], [width, "0", "right"], [width, depth, "top"], ["0", depth, "left"]];
  for (const [x, y, side] of corners) {
    const row = addRow(table);
    const set = (name, text) => { row.querySelector(`[name$="-${name}"]`).value = text; };
    set("x", x);
    set("y", y);
    set("kind", value(`edge_${side}`));
    set("wall", value(`wall_${side}`));
    row.querySelector("details").open = Boolean(value(`edge_${side}`) || value(`wall_${side}`));
  }
}

/** The row of a further bay by its name; the first bay has none, its fields are the form's own. */
function rowOfBay(name) {
  const names = [...form.querySelectorAll("[data-rows=bay] [data-list] [name$='-id']")];
  return names.find((field) => field.value.trim() === name)?.closest("[data-row]");
}

/** A chosen list of corners begins with the rectangle; the style sheet shows the chosen kind only. */
function showShape() {
  const shape = form.elements.shape.value;
  if (shape === "corners") cornersOfRectangle(form.querySelector("[data-rows=corner]"));
}

/** The live load of the chosen use stands in the empty field. */
function showLive() {
  const use = form.elements.occupancy;
  form.elements.live_psf.placeholder = JSON.parse(use.dataset.live)[use.value] ?? "";
}

/** Take the messages of the last answer away and put those of the new one at their fields. */
function placeMessages(answer) {
  for (const list of form.querySelectorAll(".errorlist")) list.remove();
  for (const field of form.querySelectorAll("[aria-invalid]")) field.removeAttribute("aria-invalid");
  for (const item of answer.querySelectorAll("[data-field]")) {
    const field = document.getElementById(item.dataset.field);
    const empty = field && !field.value.trim();
    if (!field || !form.contains(field) || empty) continue;
    field.setAttribute("aria-invalid", "true");
    const list = document.createElement("ul");
    list.className = "errorlist";
    list.id = `${field.id}_error`;
    list.append(document.createElement("li"));
    list.firstChild.textContent = item.dataset.message;
    field.setAttribute("aria-describedby", [field.id + "_helptext", list.id].filter((id) => id === list.id || document.getElementById(id)).join(" "));
    (field.closest(".with-unit") ?? field).before(list);
    field.closest("details")?.setAttribute("open", "");
  }
}

if (form && !form.querySelector("fieldset.entry-form:disabled")) {
  document.documentElement.classList.add("scripted");
  let touched = false;

  form.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-add], button[data-remove]");
    if (!button) return;
    event.preventDefault();
    const table = button.closest("[data-rows]");
    if (button.matches("[data-add]")) {
      addRow(table).querySelector("input:not([type=hidden]), select")?.focus();
    } else {
      button.closest("[data-row]").remove();
      renumber(table);
      table.querySelector("[data-add]").focus();
      redraw();
    }
    touched = true;
  });

  // An option of the matrix fills in profile and spacing; its button stands outside the form.
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button[data-choose]");
    if (!button) return;
    event.preventDefault();
    const row = rowOfBay(button.value.split(":")[0]);
    const field = (name) => row?.querySelector(`[name$="-${name}"]`) ?? form.elements[name];
    field("profile").value = button.dataset.profile;
    field("spacing").value = button.dataset.spacing;
    redraw();
  });

  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("input")) return;
    event.preventDefault();
    redraw();
  });

  form.addEventListener("input", () => {
    touched = true;
    showShape();
    showLive();
  });
  form.addEventListener("submit", () => { touched = false; });
  addEventListener("beforeunload", (event) => { if (touched) event.preventDefault(); });
  document.addEventListener("htmx:afterSettle", () => {
    const answer = document.getElementById("preview");
    if (answer) placeMessages(answer);
  });
  // A link in the list of problems leads to its field even inside a closed part of the form.
  document.addEventListener("click", (event) => {
    const link = event.target.closest("[data-field] a[href^='#']");
    if (!link) return;
    event.preventDefault();
    const field = document.getElementById(link.hash.slice(1));
    field?.closest("details")?.setAttribute("open", "");
    field?.focus();
  });

  showShape();
  showLive();
}
