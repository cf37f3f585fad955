// Lengths as people type and read them (R50), in whole sixteenths of an inch: the same answers as the engine gives.
// Reading is exact: whole numbers over whole numbers, rounded half up at the end.

const LONGEST = 10000n * 192n;
const LONGEST_TEXT = 40;
const PLAIN = [[/[½¼¾⅛⅜⅝⅞]/g, (sign) => ` ${sign.normalize("NFKC")}`], [/[′’‘´`ʹ]/g, "'"], [/[″”“„ʺ]/g, '"'], [/[‐‑–—−]/g, "-"], [/[⁄∕]/g, "/"], [/[\u00a0\u2009\u202f\t ]+/g, " "], [/- /g, "-"]];
const NUMBER = "(?:[0-9]+(?:\\.[0-9]+)?|\\.[0-9]+)";
const PART = "[0-9]+ ?/ ?[0-9]+";
const FOOT = "(?:'|feet|foot|ft\\.?)";
const INCH = "(?:\"|''|inches|inch|in\\.?)";
const INCHES = `(?:(?<whole>${NUMBER})(?:[ -] ?(?<part>${PART}))?|(?<only>${PART}))`;
const form = (source, flags = "i") => new RegExp(`^(?:${source})$`, flags);
const METRIC = form(`(?<value>${NUMBER}) ?(?<unit>mm|m)`);
const FEET = form(`(?<feet>${NUMBER}) ?${FOOT}(?: ?-? ?${INCHES} ?${INCH}?)?`);
const DASHED = form(`(?<feet>[0-9]+)-(?<whole>[0-9]+)(?:[ -](?<part>${PART}))?${INCH}?`, "");
const MARKED = form(`${INCHES} ?${INCH}`);
const BARE = form(INCHES);
const TAPE = [2n, 4n, 8n, 16n, 32n, 64n];
const WHY = [
  [/(?![0-9])[\p{Nd}²³¹⁰-⁹₀-₉]/u, "use the digits 0 to 9."],
  [/,/, "write decimals with a point and thousands without a sign."],
  [/^-/, "it has two minus signs."],
  [/^[^0-9]*$/, "it has no number."],
  [/[^0-9 ./'"\-a-zA-Z]/, "it has a sign that lengths don't use."],
  [/[a-zA-Z]/, "units are ', ft, \", in, mm and m."],
  [/^/, "write it like 12' 6 3/8\", 12-6-3/8, 150.375, 3.81 m or 3810 mm."],
];

/** Why a text is no length; the message is for people. */
export class Unreadable extends Error {}

const refuse = (why) => { throw new Unreadable(why); };

/** Read a length as whole sixteenths; throws Unreadable. `units` decide only what a bare number means. */
export function parseLength(text, units, { negative = false } = {}) {
  const signs = [...text];
  if (signs.length > LONGEST_TEXT) refuse(`“${signs.slice(0, LONGEST_TEXT).join("")}…” is not a length: it is longer than ${LONGEST_TEXT} signs.`);
  const plain = PLAIN.reduce((said, [from, to]) => said.replace(from, to), text).trim();
  const minus = plain.startsWith("-");
  try {
    if (minus && !negative) refuse("a length can't be negative.");
    const [n, d] = read(minus ? plain.slice(1).trimStart() : plain, units);
    if (n > LONGEST * d) refuse("it is longer than 10,000 ft.");
    // Halves go up, so of negative lengths towards zero; BigInt drops what is over, so the bounds are told apart.
    return Number(minus ? -((2n * n + d - 1n) / (2n * d)) : (2n * n + d) / (2n * d)) + 0;
  } catch (error) {
    if (error instanceof Unreadable) error.message = `“${text}” is not a length: ${error.message}`;
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
  const [feet, inches] = [Math.floor(size / 192), Math.floor(size / 16) % 12];
  let [over, under] = [size % 16, 16];
  while (over && over % 2 === 0) [over, under] = [over / 2, under / 2];
  const part = over ? `${over}/${under}` : "";
  const said = inches || feet || !part ? `${inches}${part && ` ${part}`}` : part;
  return `${length < 0 ? "-" : ""}${feet ? `${feet}'-` : ""}${said}"`;
}

/** A plain text as sixteenths, exactly: [numerator, denominator]. */
function read(body, units) {
  if (!body) refuse("nothing was typed.");
  const [metric, feet, dashed, marked, bare] = [METRIC, FEET, DASHED, MARKED, BARE].map((one) => one.exec(body)?.groups);
  if (metric) {
    const [n, d] = decimal(metric.value);
    return [n * 160n * (metric.unit.toLowerCase() === "m" ? 1000n : 1n), d * 254n];
  }
  if (feet) return feetAndInches(feet);
  if (dashed) {
    if (units === "metric" && !dashed.part) refuse("two numbers with a dash mean feet and inches; write 3810 mm, 3.81 m or 12' 6\".");
    return feetAndInches(dashed);
  }
  if (marked) return sixteenths(marked);
  if (!bare) refuse(WHY.find(([form]) => form.test(body))[1]);
  if (units !== "metric") {
    if (bare.part && body.includes("-")) refuse("it could be feet or inches; write 12' 0 3/8\" or 12 3/8\".");
    return sixteenths(bare);
  }
  if (bare.part || bare.only) refuse('a bare number is in millimetres, which take no fraction; add " for inches.');
  const [n, d] = decimal(bare.whole);
  return [n * 160n, d * 254n];
}

function decimal(text) {
  const [before, after = ""] = text.split(".");
  return [BigInt(before + after || "0"), 10n ** BigInt(after.length)];
}

function feetAndInches(groups) {
  const [feet, part] = decimal(groups.feet);
  const [n, d] = sixteenths(groups);
  if (n && feet % part) refuse("feet beside inches must be a whole number.");
  if (n >= 192n * d) refuse("inches beside feet must be under 12.");
  return [feet * 192n * d + n * part, d * part];
}

function sixteenths({ whole = "0", part, only = part }) {
  const [n, d] = decimal(whole);
  if (!only) return [16n * n, d];
  if (whole.includes(".")) refuse("a decimal and a fraction don't go together.");
  const [over, under] = only.replaceAll(" ", "").split("/").map(BigInt);
  if (!TAPE.includes(under)) refuse(`a tape has halves to sixty-fourths, no ${over}/${under}.`);
  if (over >= under) refuse(`${over}/${under} is no fraction under 1.`);
  return [16n * (n * under + over), under];
}
