// The take-off page: a line or a term lights its places on the plan; a member on the plan tells which lines count it.
// Without this file the page still reads; it only points.

const plan = document.querySelector("#plan svg");
const bill = document.getElementById("bill");
const source = document.getElementById("lights");

const SVG = "http://www.w3.org/2000/svg";
const NEAR_PX = 22; // how far from a member a finger may land

/** One shape of the plan: a spot, a line or a rectangle. */
function shapeOf(numbers) {
  const [x, y, x2, y2, area] = numbers;
  const make = (name, values) => {
    const shape = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(values)) shape.setAttribute(key, value);
    return shape;
  };
  if (x2 === undefined) return make("circle", { cx: x, cy: y, r: 1.1 });
  if (!area) return make("line", { x1: x, y1: y, x2, y2 });
  return make("rect", { x: Math.min(x, x2), y: Math.min(y, y2), width: Math.abs(x2 - x), height: Math.abs(y2 - y) });
}

/** How far a point lies from a line, all in the plan's units. */
function distance(px, py, [x, y, x2, y2]) {
  const [dx, dy] = [x2 - x, y2 - y];
  const along = Math.max(0, Math.min(1, ((px - x) * dx + (py - y) * dy) / (dx * dx + dy * dy || 1)));
  return Math.hypot(px - x - along * dx, py - y - along * dy);
}

/** Numbers from first to last. */
function range(first, last) {
  return Array.from({ length: last - first + 1 }, (_, index) => first + index);
}

function start({ shapes, terms, members }) {
  const layer = document.createElementNS(SVG, "g");
  layer.setAttribute("class", "lit-layer");
  plan.append(layer);
  const live = document.getElementById("live");
  const select = document.getElementById("member");
  const told = document.getElementById("member-lines");
  let pinned = null; // { shapes, at }: what stays lit when the pointer leaves

  const show = (indexes) => layer.replaceChildren(...indexes.map((index) => shapeOf(shapes[index])));
  const shapesOf = (numbers) => [...new Set(numbers.flatMap((number) => terms[number]))];
  const say = (text) => { live.textContent = text; };

  /** The line or term under an event, with its places. */
  function thingAt(target) {
    const at = target.closest?.("[data-term], .bill-line > details > summary");
    if (!at) return null;
    const line = at.closest(".bill-line");
    const numbers = at.matches("[data-term]") ? [Number(at.dataset.term)] : range(Number(line.dataset.first), Number(line.dataset.last));
    return { at: at.matches("[data-term]") ? at : line, shapes: shapesOf(numbers) };
  }

  function mark(at) {
    for (const old of bill.querySelectorAll(".pinned")) {
      old.classList.remove("pinned");
      old.querySelector(":scope > [aria-pressed]")?.setAttribute("aria-pressed", "false");
    }
    at?.classList.add("pinned");
    at?.querySelector(":scope > [aria-pressed]")?.setAttribute("aria-pressed", "true");
  }

  function pin(thing) {
    pinned = thing;
    mark(thing?.at);
    show(thing?.shapes ?? []);
  }

  function forgetMember() {
    select.value = "";
    told.hidden = true;
    for (const counting of bill.querySelectorAll(".counts")) counting.classList.remove("counts");
  }

  function letGo() {
    forgetMember();
    pin(null);
  }

  /** Tell which lines count a member, and light it. */
  function choose(id) {
    forgetMember();
    const [words, shape, counted] = members[id];
    select.value = id;
    pin({ at: null, shapes: [shape] });
    const list = document.createElement("ul");
    const lines = new Set();
    for (let index = 0; index < counted.length; index += 2) {
      const term = bill.querySelector(`[data-term="${counted[index]}"]`);
      const line = term.closest(".bill-line");
      line.classList.add("counts");
      lines.add(line);
      term.classList.add("counts");
      const link = document.createElement("a");
      link.href = `#${line.id}`;
      link.dataset.goTo = counted[index];
      link.textContent = line.querySelector(".bill-what").textContent;
      const item = document.createElement("li");
      const amount = document.createElement("span");
      amount.className = "num";
      amount.textContent = counted[index + 1];
      const name = document.createElement("span");
      name.append(link, ` ${term.dataset.words}`);
      item.append(amount, name);
      list.append(item);
    }
    const head = document.createElement("p");
    head.textContent = `${words}: counted in ${lines.size} lines of the bill.`;
    say(head.textContent);
    const close = document.createElement("button");
    close.type = "button";
    close.className = "button small";
    close.textContent = "Close";
    close.addEventListener("click", () => { letGo(); select.focus({ preventScroll: true }); });
    head.append(close);
    told.replaceChildren(head, list);
    told.hidden = false;
  }

  // Each number of places becomes a button that keeps them lit.
  for (const label of bill.querySelectorAll(".term-places")) {
    const term = label.closest("[data-term]");
    term.dataset.words = term.querySelector(".term-words").textContent;
    const button = document.createElement("button");
    button.type = "button";
    button.className = label.className;
    button.dataset.places = label.dataset.places;
    button.setAttribute("aria-pressed", "false");
    const more = document.createElement("span");
    more.className = "unseen";
    more.textContent = ` of ${term.dataset.words}: light them on the plan`;
    button.append(label.textContent, more);
    label.replaceWith(button);
  }

  bill.addEventListener("pointerover", (event) => {
    if (event.pointerType !== "mouse") return;
    const thing = thingAt(event.target);
    show((thing ?? pinned)?.shapes ?? []);
  });
  bill.addEventListener("pointerleave", () => show(pinned?.shapes ?? []));
  bill.addEventListener("focusin", (event) => {
    const thing = event.target.matches(":focus-visible") && thingAt(event.target);
    if (thing) show(thing.shapes);
  });
  bill.addEventListener("focusout", () => show(pinned?.shapes ?? []));

  // An opened line stays lit; its button keeps one term.
  bill.addEventListener("click", (event) => {
    const button = event.target.closest("button.term-places");
    const thing = thingAt(event.target);
    if (!thing || !(button || event.target.closest("summary"))) return;
    const off = button ? button.getAttribute("aria-pressed") === "true" : thing.at.querySelector("details").open;
    forgetMember();
    pin(off ? null : thing);
    const places = button?.dataset.places ?? thing.at.querySelector(".bill-places").dataset.places;
    say(off ? "" : `${places} place${places === "1" ? "" : "s"} lit on the plan.`);
  });

  plan.addEventListener("click", (event) => {
    const matrix = plan.getScreenCTM();
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    let [best, least] = ["", NEAR_PX / matrix.a];
    for (const [id, [, shape]] of Object.entries(members)) {
      const away = distance(at.x, at.y, shapes[shape]);
      if (away < least) [best, least] = [id, away];
    }
    if (best) choose(best);
    else letGo();
  });

  select.addEventListener("change", () => {
    if (select.value) choose(select.value);
    else letGo();
  });

  told.addEventListener("click", (event) => {
    const link = event.target.closest("[data-go-to]");
    if (!link) return;
    const term = bill.querySelector(`[data-term="${link.dataset.goTo}"]`);
    term.closest("details").open = true;
    event.preventDefault();
    term.querySelector("button").focus();
    term.scrollIntoView({ block: "center" });
  });

  addEventListener("keydown", (event) => {
    if (event.key === "Escape") letGo();
  });

  document.getElementById("picker").hidden = false;
}

if (plan && bill && source) start(JSON.parse(source.content.textContent));
