// Dragging pieces from bundle to bundle: ticks what is dragged, says where it goes and sends the same form as the
// button “Move”. Without it, and by keys or on glass, the ticks and the list of bundles do the same.

const board = document.querySelector("[data-bundles]");
let source = null;

/** The bundle at an event, when the dragged pieces may be dropped on it. */
function targetOf(event) {
  const bundle = event.target.closest?.("[data-bundle]");
  if (!bundle || !source || bundle === source || bundle.hasAttribute("data-closed")) return null;
  return bundle.dataset.profile === source.dataset.profile ? bundle : null;
}

function pick(event) {
  const piece = event.target.closest?.("[data-piece]");
  source = piece?.closest("[data-bundle]") ?? null;
  const box = piece?.querySelector("input[name=pieces]");
  if (!box) { source = null; return; }
  // An unticked piece goes alone; a ticked one takes the other ticked ones along.
  if (!box.checked) for (const other of source.querySelectorAll("input[name=pieces]:checked")) other.checked = false;
  box.checked = true;
  event.dataTransfer.effectAllowed = "move";
  event.dataTransfer.setData("text/plain", box.value);
  board.classList.add("dragging");
  for (const bundle of board.querySelectorAll("[data-bundle]")) {
    bundle.classList.toggle("wrong", bundle.dataset.profile !== source.dataset.profile || bundle.hasAttribute("data-closed"));
  }
}

function over(event) {
  const target = targetOf(event);
  for (const bundle of board.querySelectorAll(".over")) if (bundle !== target) bundle.classList.remove("over");
  if (!target) return;
  event.preventDefault();
  event.dataTransfer.dropEffect = "move";
  target.classList.add("over");
}

function drop(event) {
  const target = targetOf(event);
  if (!target) return;
  event.preventDefault();
  const form = source.querySelector("form[data-step]");
  form.elements.namedItem("to").value = target.dataset.bundle;
  form.requestSubmit(form.querySelector("button[value=move]"));
}

function end() {
  board.classList.remove("dragging");
  for (const bundle of board.querySelectorAll(".over, .wrong")) bundle.classList.remove("over", "wrong");
  source = null;
}

if (board) {
  for (const piece of board.querySelectorAll("[data-piece]:has(input)")) piece.draggable = true;
  board.addEventListener("dragstart", pick);
  board.addEventListener("dragover", over);
  board.addEventListener("drop", drop);
  board.addEventListener("dragend", end);
}
