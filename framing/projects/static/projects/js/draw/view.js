import { pt } from "./geometry.js";

const CLOSEST = 3; // px per sixteenth
const FARTHEST = 0.002;
const STEPS = {
	imperial: [1, 4, 16, 48, 96, 192, 768, 1920, 7680],
	metric: [1, 5, 10, 25, 50, 100, 250, 500, 1000, 5000, 10000],
};

export class View {
	constructor(width, height) {
		Object.assign(this, { width, height, scale: 0.05, left: 60, top: height - 60 });
	}

	resize(width, height) {
		this.top += (height - this.height) / 2;
		this.left += (width - this.width) / 2;
		Object.assign(this, { width, height });
	}

	screen(p) {
		return pt(this.left + p.x * this.scale, this.top - p.y * this.scale);
	}

	plan(px) {
		return pt((px.x - this.left) / this.scale, (this.top - px.y) / this.scale);
	}

	get matrix() {
		const s = this.scale * 16;
		return `matrix(${s} 0 0 ${-s} ${this.left} ${this.top})`;
	}

	pan(dx, dy) {
		this.left += dx;
		this.top += dy;
	}

	zoom(factor, at = pt(this.width / 2, this.height / 2)) {
		const scale = Math.min(CLOSEST, Math.max(FARTHEST, this.scale * factor));
		const p = this.plan(at);
		this.scale = scale;
		this.left = at.x - p.x * scale;
		this.top = at.y + p.y * scale;
	}

	fit(box) {
		const low = box?.low ?? pt(0, 0);
		const high = box?.high ?? pt(7680, 5760);
		const room = Math.min(84, this.width / 8);
		const [w, h] = [Math.max(high.x - low.x, 192), Math.max(high.y - low.y, 192)];
		this.scale = Math.min((this.width - 2 * room) / w, (this.height - 2 * room) / h, CLOSEST);
		this.left = this.width / 2 - ((low.x + high.x) / 2) * this.scale;
		this.top = this.height / 2 + ((low.y + high.y) / 2) * this.scale;
	}

	/** The step that pointing keeps to, in sixteenths: the finest that is at least `px` wide. */
	step(units, px = 6) {
		const size = (step) => (units === "metric" ? (step * 160) / 25.4 / 10 : step);
		const steps = STEPS[units] ?? STEPS.imperial;
		return size(steps.find((step) => size(step) * this.scale >= px) ?? steps.at(-1));
	}
}
