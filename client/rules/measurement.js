/*
 * What a row of readings says together.
 * Twin of server/witnessmark/rules/measurement.py, held equal by tests/vectors/measurement.json.
 */
import { compare_numbers, subtract_numbers } from "./number.js";
import { Problem } from "./problems.js";

/** Largest minus smallest dial reading of one turn, as decimal text in the unit of `values` (typed texts). */
export function total_indicator_reading(values) {
  if (!values.length) throw new Problem("readings_none", {});
  let [lowest] = values;
  let [highest] = values;
  for (const value of values.slice(1)) {
    if (compare_numbers(value, lowest) < 0) lowest = value;
    if (compare_numbers(value, highest) > 0) highest = value;
  }
  return subtract_numbers(highest, lowest);
}
