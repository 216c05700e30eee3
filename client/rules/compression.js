/*
 * The differential compression test: what a cylinder loses, which orifice its tester needs, where the air is heard.
 * Twin of server/witnessmark/rules/compression.py, which names the sources. tests/vectors/compression.json holds them
 * equal.
 */
import { read_number } from "./number.js";
import { Problem } from "./problems.js";
import { compare, minus, over, ratio, show, times } from "./ratio.js";

/** Exhaust pipe: exhaust valve. Induction: intake valve. Breather or filler: rings. */
export const LEAKS = ["none", "exhaust", "induction", "breather", "other"];

/**
 * What does not stay in the cylinder, in percent of the supply, one decimal. Both exact ratios in one unit.
 * Below zero when the gauge of the cylinder shows more than is supplied. Throws Problem `number_negative` unless
 * supply > 0.
 */
export function loss(supply, reading) {
  if (compare(supply, ratio("0")) <= 0) throw new Problem("number_negative", { value: read_number(show(supply, 4)) });
  return show(over(times(minus(supply, reading), ratio("100")), supply), 1);
}

/** The diameter of the tester's orifice in inches for the bore in inches: "0.040" below 5.00 in, else "0.060". */
export function orifice_for_bore(bore) {
  return compare(ratio(bore), ratio("5.00")) < 0 ? "0.040" : "0.060";
}
