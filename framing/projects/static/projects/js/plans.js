// Dropping files into the frame is the same as choosing them. Without this file they are chosen.

const drop = document.getElementById("drop");
const input = drop?.querySelector('input[type="file"]');
const brings = (event) => event.dataTransfer?.types.includes("Files");

for (const name of ["dragenter", "dragover"]) {
  drop?.addEventListener(name, (event) => {
    if (!brings(event)) return;
    event.preventDefault();
    drop.classList.add("over");
  });
}
drop?.addEventListener("dragleave", (event) => {
  if (!drop.contains(event.relatedTarget)) drop.classList.remove("over");
});
drop?.addEventListener("drop", (event) => {
  if (!brings(event)) return;
  event.preventDefault();
  drop.classList.remove("over");
  input.files = event.dataTransfer.files;
  drop.requestSubmit();
});
