/*
 * Exact arithmetic on typed decimal text: a ratio {n, d} of two BigInts with d > 0, never a float.
 * Twin of server/witnessmark/rules/ratio.py.
 */
import { Problem } from "./problems.js";

const TYPED = /^-?([0-9]{1,15}(\.[0-9]{1,18})?|\.[0-9]{1,18})$/;

/** The exact value of the typed decimal text ("38.50", "-.002"). Throws Problem `number_unreadable`. */
export function ratio(typed) {
  if (typeof typed !== "string" || !TYPED.test(typed)) {
    throw new Problem("number_unreadable", { value: [...String(typed)].slice(0, 40).join("") });
  }
  const [whole, decimals = ""] = typed.replace("-", "").split(".");
  const n = BigInt(whole + decimals);
  return { n: typed.startsWith("-") ? -n : n, d: 10n ** BigInt(decimals.length) };
}

/** a + b. */
export function plus(a, b) {
  return { n: a.n * b.d + b.n * a.d, d: a.d * b.d };
}

/** a - b. */
export function minus(a, b) {
  return { n: a.n * b.d - b.n * a.d, d: a.d * b.d };
}

/** a * b. */
export function times(a, b) {
  return { n: a.n * b.n, d: a.d * b.d };
}

/** a / b; b is not zero. */
export function over(a, b) {
  const sign = b.n < 0n ? -1n : 1n;
  return { n: sign * a.n * b.d, d: sign * a.d * b.n };
}

/** -1, 0 or 1 as a is less than, equal to or greater than b. */
export function compare(a, b) {
  const difference = a.n * b.d - b.n * a.d;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

/** The decimal text of ratio `a` with `places` decimals, a half rounded away from zero (0.125 -> 0.13). */
export function show(a, places) {
  const scaled = (a.n < 0n ? -a.n : a.n) * 10n ** BigInt(places);
  const whole = (2n * scaled + a.d) / (2n * a.d);
  const digits = String(whole).padStart(places + 1, "0");
  const sign = a.n < 0n && whole ? "-" : "";
  return sign + (places === 0 ? digits : `${digits.slice(0, -places)}.${digits.slice(-places)}`);
}
