// Lengths as people type and read them (R50), in whole sixteenths of an inch: the same answers as the engine gives.
// Reading is exact (whole-number fractions), then rounded half up.

const LONGEST = 10000n * 192n;
const LONGEST_TEXT = 40;
const PLAIN = {
  "′": "'", "’": "'", "‘": "'", "´": "'", "`": "'", "ʹ": "'",
  "″": '"', "”": '"', "“": '"', "„": '"', "ʺ": '"',
  "‐": "-", "‑": "-", "–": "-", "—": "-", "−": "-", "⁄": "/", "∕": "/",
  "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ",
};
const SIGNS = { "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8" };
const NUMBER = "(?:[0-9]+(?:\\.[0-9]+)?|\\.[0-9]+)";
const PART = "[0-9]+ ?/ ?[0-9]+";
const FOOT = "(?:'|feet|foot|ft\\.?)";
const INCH = "(?:\"|''|inches|inch|in\\.?)";
const INCHES = `(?:(?<whole>${NUMBER})(?:[ -] ?(?<part>${PART}))?|(?<only>${PART}))`;
const whole = (source, flags = "") => new RegExp(`^(?:${source})$`, flags);
const FEET_INCHES = whole(`(?<feet>${NUMBER}) ?${FOOT}(?: ?-? ?${INCHES} ?${INCH}?)?`, "i");
const DASHED = whole(`(?<feet>[0-9]+)-(?<whole>[0-9]+)(?:[ -](?<part>${PART}))?${INCH}?`);
const MARKED = whole(`${INCHES} ?${INCH}`, "i");
const BARE = whole(INCHES);
const METRIC = whole(`(?<value>${NUMBER}) ?(?<unit>mm|m)`, "i");
const TAPE = [2n, 4n, 8n, 16n, 32n, 64n];

/** Why a text is no length; the message is for people. */
export class Unreadable extends Error {}

const frac = (n, d = 1n) => ({ n, d });
const add = (a, b) => frac(a.n * b.d + b.n * a.d, a.d * b.d);
const times = (a, n, d = 1n) => frac(a.n * n, a.d * d);

function decimal(text) {
  const [before, after = ""] = text.split(".");
  return frac(BigInt(before + after || "0"), 10n ** BigInt(after.length));
}

function floorDiv(n, d) {
  const q = n / d;
  return n % d !== 0n && (n < 0n) !== (d < 0n) ? q - 1n : q;
}

/** Read a length as whole sixteenths; throws Unreadable. `units` decide only what a bare number means. */
export function parseLength(text, units, { negative = false } = {}) {
  const plain = plainly(text);
  const minus = plain.startsWith("-");
  try {
    if (minus && !negative) throw new Unreadable("a length can't be negative.");
    const value = read(minus ? plain.slice(1).trimStart() : plain, units);
    if (value.n > LONGEST * value.d) throw new Unreadable("it is longer than 10,000 ft.");
    const n = minus ? -value.n : value.n;
    return Number(floorDiv(2n * n + value.d, 2n * value.d));
  } catch (error) {
    if (error instanceof Unreadable) throw new Unreadable(`“${text}” is not a length: ${error.message}`);
    throw error;
  }
}

/** What a document holds (a text or a number) as sixteenths, or null where it can't be read. */
export function lengthOf(value, units) {
  if (value === null || value === undefined) return null;
  const text = typeof value === "number" ? value.toFixed(12).replace(/\.?0+$/, "") : String(value);
  try {
    return parseLength(text, units, { negative: true });
  } catch {
    return null;
  }
}

/** Write sixteenths for people: 12'-6 3/8", under a foot 3/8"; metric as whole millimetres. */
export function formatLength(length, units) {
  if (units === "metric") return `${Math.floor((length * 254) / 160 + 0.5)} mm`;
  const size = Math.abs(length);
  const sign = length < 0 ? "-" : "";
  const feet = Math.floor(size / 192);
  return feet ? `${sign}${feet}'-${inchesText(size % 192, true)}` : `${sign}${inchesText(size, false)}`;
}

function inchesText(rest, zero) {
  const inches = Math.floor(rest / 16);
  let over = rest % 16;
  if (!over) return `${inches}"`;
  let under = 16;
  while (over % 2 === 0) [over, under] = [over / 2, under / 2];
  return inches || zero ? `${inches} ${over}/${under}"` : `${over}/${under}"`;
}

function plainly(text) {
  if ([...text].length > LONGEST_TEXT) {
    const start = [...text].slice(0, LONGEST_TEXT).join("");
    throw new Unreadable(`“${start}…” is not a length: it is longer than ${LONGEST_TEXT} signs.`);
  }
  const plain = [...text].map((sign) => PLAIN[sign] ?? (SIGNS[sign] ? ` ${SIGNS[sign]}` : sign)).join("");
  return plain.replace(/ +/g, " ").replaceAll("- ", "-").trim();
}

function read(body, units) {
  if (!body) throw new Unreadable("nothing was typed.");
  let match = METRIC.exec(body);
  if (match) {
    const metres = match.groups.unit.toLowerCase() === "m" ? 1000n : 1n;
    return times(decimal(match.groups.value), metres * 160n * 16n, 254n * 16n);
  }
  if ((match = FEET_INCHES.exec(body))) return feetAndInches(match.groups);
  if ((match = DASHED.exec(body))) {
    if (units === "metric" && match.groups.part === undefined) {
      throw new Unreadable("two numbers with a dash mean feet and inches; write 3810 mm, 3.81 m or 12' 6\".");
    }
    return feetAndInches(match.groups);
  }
  if ((match = MARKED.exec(body))) return times(inchesOf(match.groups), 16n);
  if ((match = BARE.exec(body))) return bare(match, units);
  throw new Unreadable(reason(body));
}

function feetAndInches(groups) {
  const feet = decimal(groups.feet);
  const inches = inchesOf(groups);
  if (inches.n && feet.n % feet.d) throw new Unreadable("feet beside inches must be a whole number.");
  if (inches.n >= 12n * inches.d) throw new Unreadable("inches beside feet must be under 12.");
  return add(times(feet, 192n), times(inches, 16n));
}

function bare(match, units) {
  const { part, only, whole: number } = match.groups;
  if (units !== "metric") {
    if (part && match[0].includes("-")) {
      throw new Unreadable("it could be feet or inches; write 12' 0 3/8\" or 12 3/8\".");
    }
    return times(inchesOf(match.groups), 16n);
  }
  if (part || only) {
    throw new Unreadable('a bare number is in millimetres, which take no fraction; add " for inches.');
  }
  return times(decimal(number), 160n, 254n);
}

function inchesOf(groups) {
  const number = decimal(groups.whole || "0");
  const part = groups.part || groups.only;
  if (part === undefined) return number;
  if ((groups.whole || "").includes(".")) throw new Unreadable("a decimal and a fraction don't go together.");
  return add(number, tapeFraction(part));
}

function tapeFraction(text) {
  const [over, under] = text.replaceAll(" ", "").split("/").map(BigInt);
  if (!TAPE.includes(under)) throw new Unreadable(`a tape has halves to sixty-fourths, no ${over}/${under}.`);
  if (over >= under) throw new Unreadable(`${over}/${under} is no fraction under 1.`);
  return frac(over, under);
}

function reason(body) {
  if (/(?![0-9])[\p{Nd}²³¹⁰-⁹₀-₉]/u.test(body)) return "use the digits 0 to 9.";
  if (body.includes(",")) return "write decimals with a point and thousands without a sign.";
  if (body.startsWith("-")) return "it has two minus signs.";
  if (!/[0-9]/.test(body)) return "it has no number.";
  if (/[^0-9 ./'"\-a-zA-Z]/.test(body)) return "it has a sign that lengths don't use.";
  if (/[a-zA-Z]/.test(body)) return "units are ', ft, \", in, mm and m.";
  return "write it like 12' 6 3/8\", 12-6-3/8, 150.375, 3.81 m or 3810 mm.";
}
