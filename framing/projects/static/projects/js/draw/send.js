// Requests of this page: JSON, with the token that guards against foreign posts, never to another host.

/** The line is down, or nobody answered in time. */
export class Offline extends Error {}

const SIGNED_OUT = "You are signed out. What you draw is kept here; sign in and open this page again.";
let token = "";

export function setToken(text) {
  token = text;
}

/** Send a request; returns {status, body}. A body that is no JSON comes back as {}. Throws Offline. */
export async function send(url, body = undefined, { timeout = 20000 } = {}) {
  const options = { credentials: "same-origin", redirect: "manual", headers: { Accept: "application/json" }, signal: AbortSignal.timeout(timeout) };
  if (body !== undefined) {
    options.method = "POST";
    options.headers["Content-Type"] = "application/json";
    options.headers["X-CSRFToken"] = token;
    options.body = JSON.stringify(body);
  }
  let answer;
  try {
    answer = await fetch(url, options);
  } catch {
    throw new Offline();
  }
  if (answer.type === "opaqueredirect") return { status: 401, body: { message: SIGNED_OUT } };
  if (answer.status >= 502 && answer.status <= 504) throw new Offline();
  return { status: answer.status, body: await answer.json().catch(() => ({})) };
}
