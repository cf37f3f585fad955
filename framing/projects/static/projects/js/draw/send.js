const SIGNED_OUT = "You are signed out. What you draw is kept here; sign in and open this page again.";
const WAITS_S = [1, 2, 4, 8, 15, 30];
let token = "";

export function setToken(text) {
	token = text;
}

/** Send a request; returns {status, body}, a body that is no JSON as {}; null where the line is down or slow. */
export async function sent(url, body) {
	const options = { credentials: "same-origin", redirect: "manual", headers: { Accept: "application/json" }, signal: AbortSignal.timeout(20000) };
	if (body !== undefined) {
		Object.assign(options, { method: "POST", body: JSON.stringify(body) });
		Object.assign(options.headers, { "Content-Type": "application/json", "X-CSRFToken": token });
	}
	const answer = await fetch(url, options).catch(() => null);
	if (!answer || (answer.status >= 502 && answer.status <= 504)) return null;
	if (answer.type === "opaqueredirect") return { status: 401, body: { message: SIGNED_OUT } };
	return { status: answer.status, body: await answer.json().catch(() => ({})) };
}

/** One thing to do later; each try that fails makes the next wait longer, and a line that is back tries at once. */
export class Later {
	tries = 0;

	constructor(act) {
		this.act = act;
		addEventListener("online", () => { if (this.tries) this.act(); });
	}

	in(ms) {
		clearTimeout(this.timer);
		this.timer = setTimeout(this.act, ms);
	}

	again() {
		this.in(1000 * WAITS_S[Math.min(this.tries, WAITS_S.length - 1)]);
		this.tries += 1;
	}
}
