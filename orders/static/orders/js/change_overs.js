// Arrow keys go from cell to cell of the change-over grid; the picker of one pair shows what holds for it now.

const STEPS = { ArrowUp: [-1, 0], ArrowDown: [1, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };

function beside(cell, [down, across]) {
	const rows = cell.closest("tbody").rows;
	let row = cell.parentElement.rowIndex - 1;
	let column = cell.cellIndex;
	do {
		row += down;
		column += across;
	} while (rows[row]?.cells[column]?.classList.contains("same"));
	return rows[row]?.cells[column]?.querySelector("input");
}

function atEdge(input, across) {
	if (input.selectionStart === 0 && input.selectionEnd === input.value.length) return true;
	if (input.selectionStart !== input.selectionEnd) return false;
	return input.selectionStart === (across < 0 ? 0 : input.value.length);
}

document.querySelector(".changes-grid")?.addEventListener("keydown", (event) => {
	const step = STEPS[event.key];
	const input = event.target;
	if (!step || !(input instanceof HTMLInputElement) || event.altKey || event.ctrlKey || event.metaKey) return;
	if (step[1] && !atEdge(input, step[1])) return;
	const next = beside(input.closest("td"), step);
	if (!next) return;
	event.preventDefault();
	next.focus();
	next.select();
});

const before = document.getElementById("id_pair-before");
const after = document.getElementById("id_pair-after");
const minutes = document.getElementById("id_pair-minutes");

function showHeld() {
	const cell = document.getElementById(`id_pair__${before.value}__${after.value}`);
	minutes.value = cell?.defaultValue ?? "";
	minutes.placeholder = cell?.placeholder ?? "";
}

for (const choice of [before, after]) choice?.addEventListener("change", showHeld);
