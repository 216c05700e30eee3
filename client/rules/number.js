/*
 * Typed decimal numbers: read, compare and show them without ever passing through a float.
 * Twin of server/witnessmark/rules/number.py, held equal by tests/vectors/number.json.
 */
import { Problem } from "./problems.js";
import { compare, minus, plus, ratio, show } from "./ratio.js";

const COMMA = /^-?[0-9]+,[0-9]+$/;

/** The shortest decimal text of the same value: "38.50" -> "38.5", "-.002" -> "-0.002", "-0" -> "0". */
export function read_number(typed) {
  const exact = ratio(typed);
  const text = show(exact, decimals(typed));
  return text.includes(".") ? text.replace(/0+$/, "").replace(/\.$/, "") : text;
}

/**
 * What a person typed, with a decimal comma turned into a point.
 * Throws Problem `number_ambiguous` for "1,250", which is 1.250 to some and 1250 to others.
 */
export function point_for_comma(typed) {
  const trimmed = typed.trim();
  if (!COMMA.test(trimmed)) return trimmed;
  const [whole, rest] = trimmed.split(",");
  if (rest.length === 3 && whole.replace(/^-/, "") !== "0") {
    throw new Problem("number_ambiguous", { value: trimmed, first: `${whole}.${rest}`, second: whole + rest });
  }
  return `${whole}.${rest}`;
}

/** -1, 0 or 1 as the typed number `a` is less than, equal to or greater than `b`. */
export function compare_numbers(a, b) {
  return compare(ratio(a), ratio(b));
}

/** a + b as decimal text, exact, with as many decimals as the longer of the two. */
export function add_numbers(a, b) {
  return show(plus(ratio(a), ratio(b)), decimals(a, b));
}

/** a - b as decimal text, exact, with as many decimals as the longer of the two. */
export function subtract_numbers(a, b) {
  return show(minus(ratio(a), ratio(b)), decimals(a, b));
}

/** The typed number with `places` decimals, halves away from zero. */
export function show_number(typed, places) {
  return show(ratio(typed), places);
}

function decimals(...typed) {
  return Math.max(...typed.map((text) => (text.split(".")[1] ?? "").length));
}
