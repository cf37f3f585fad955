// Every key of the canvas; templates/projects/_draw_keys.html tells them. They act only while the canvas has the
// focus; those with Ctrl act on the whole page.

const TOOLS = { v: "select", l: "outline", r: "rectangle", w: "wall", b: "beam", f: "flush", o: "opening", k: "border", p: "partition", g: "load" };
const WAYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const SIGNS = { ArrowLeft: "←", ArrowRight: "→", ArrowUp: "↑", ArrowDown: "↓" };

export class Keys {
  constructor({ root, controller, store, actions, typed }) {
    Object.assign(this, { root, controller, store, actions, typed });
    root.addEventListener("keydown", (event) => this.canvas(event));
    root.addEventListener("keyup", (event) => { if (event.key === " ") this.#space(); });
    root.addEventListener("blur", () => { controller.space = false; });
    document.addEventListener("keydown", (event) => this.page(event));
    typed.addEventListener("keydown", (event) => this.inField(event));
  }

  page(event) {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const inText = event.target.closest?.("input:not([type=checkbox]), textarea");
    const acts = { s: "save", e: "swap" };
    if (!inText) Object.assign(acts, event.shiftKey ? { z: "redo" } : { z: "undo", y: "redo" });
    const act = acts[event.key.toLowerCase()];
    if (!act) return;
    event.preventDefault();
    this.actions[act]();
  }

  canvas(event) {
    if (event.target !== this.root) return;
    if (event.ctrlKey || event.metaKey) {
      if (event.key.toLowerCase() === "a") { event.preventDefault(); this.actions.all(); }
      return;
    }
    if (this.#handled(event)) event.preventDefault();
  }

  #handled(event) {
    const { controller, actions } = this;
    const key = event.key;
    if (WAYS[key]) return this.#arrow(WAYS[key], event.shiftKey);
    if (/^[0-9.'"½¼¾⅛⅜⅝⅞]$/.test(key)) return this.begin(key);
    if (TOOLS[key.toLowerCase()] && !event.shiftKey) return this.store.emit("tool", TOOLS[key.toLowerCase()]) ?? true;
    const plain = {
      Delete: "remove", Backspace: "remove", c: "copy", m: "mirror", t: "turn", a: "fit", "+": "nearer", "=": "nearer",
      "-": "farther", "?": "sheet", ",": "before", ".": "after", Escape: "escape",
    };
    if (plain[key]) { actions[plain[key]](); return true; }
    if (key === "Enter") { this.#enter(); return true; }
    if (key === " ") { controller.space = true; this.spaced = performance.now(); return true; }
    return false;
  }

  #enter() {
    const tool = this.controller.tool;
    if (tool.name === "select") return;
    const at = tool.cursor;
    if (at && !(tool.last && at.x === tool.last.x && at.y === tool.last.y)) this.controller.place(at);
    else tool.finish();
  }

  /** A short press of the space bar places a point; a long one with the mouse moves the sheet. */
  #space() {
    const quick = performance.now() - this.spaced < 300 && !this.controller.panning;
    this.controller.space = false;
    const { tool } = this.controller;
    if (quick && tool.name !== "select" && tool.cursor) this.controller.place(tool.cursor);
  }

  #arrow([dx, dy], shifted) {
    const { controller, store } = this;
    const metric = store.units === "metric";
    const [small, large] = metric ? [160 / 25.4, 1600 / 25.4] : [16, 192];
    if (controller.tool.name !== "select") controller.step(dx, dy, Math.round(shifted ? small : large));
    else {
      const size = Math.round(shifted ? large : small);
      return controller.tool.nudge({ x: dx * size, y: dy * size });
    }
    return true;
  }

  /** Digits go to the length that is asked for: the drawing tool's, or the selected thing's. */
  begin(text) {
    const { controller, typed } = this;
    if (controller.tool.name === "select") {
      if (text === ".") { this.actions.after(); return true; }
      controller.tool.drop();
      return controller.dimensions.begin(text);
    }
    typed.value = text;
    typed.focus();
    return true;
  }

  inField(event) {
    const { typed } = this;
    const atEnd = typed.selectionStart === typed.value.length && typed.value.trim();
    if (event.key === "Escape") {
      typed.value = "";
      this.root.focus();
    } else if (event.key === "Enter") {
      event.preventDefault();
      this.send(typed.value);
    } else if (SIGNS[event.key] && atEnd && !event.shiftKey && !event.altKey) {
      event.preventDefault();
      this.send(`${typed.value} ${SIGNS[event.key]}`);
    }
  }

  send(text) {
    if (!text.trim()) {
      this.controller.tool.finish();
      return this.root.focus();
    }
    try {
      this.controller.tool.typed(text);
      this.typed.value = "";
      this.typed.removeAttribute("aria-invalid");
      this.actions.reached();
      this.root.focus();
    } catch (error) {
      this.typed.setAttribute("aria-invalid", "true");
      this.store.emit("said", error.message);
    }
    this.store.emit("prompt");
    return undefined;
  }
}
