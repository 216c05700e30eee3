/*
 * What every judge of readings needs: exact values in the field's unit, and a value against one pair of limits.
 * Twin of server/witnessmark/rules/judging.py, held equal by tests/vectors/judging.json.
 */
import { Problem } from "./problems.js";
import { compare, ratio } from "./ratio.js";
import { in_unit } from "./units.js";

/** The values as ratios in the field's unit, null where none was taken. Throws Problem for a wrong count or unit. */
export function exact_values(field, reading) {
  if (reading.values.length !== (field.stations.length || 1)) throw new Problem("readings_none", {});
  return reading.values.map((value) => (value === null ? null : in_unit(ratio(value), reading.unit, field.unit)));
}

/** Whether the ratio `value` is inside `pair` = {min, max} (ratios or null), ends included; null without a pair. */
export function is_within(pair, value) {
  if (pair === null) return null;
  if (pair.min !== null && compare(value, pair.min) < 0) return false;
  return pair.max === null || compare(value, pair.max) <= 0;
}

/** False when one of the values taken is outside, true when all are taken, judged and inside, else null. */
export function within_all(values, limits) {
  const judged = values.map((value, index) => [limits[index], value]).filter(([, value]) => value !== null)
    .map(([pair, value]) => is_within(pair, value));
  if (judged.includes(false)) return false;
  return judged.length > 0 && judged.length === values.length && !judged.includes(null) ? true : null;
}

/**
 * The typed tolerance `name` of the tool, or null when it is missing or nothing: a tool without any would always do.
 * Throws Problem `number_negative`, `number_unreadable`.
 */
export function told_tolerance(inputs, name) {
  if (!Object.hasOwn(inputs, name)) return null;
  return compare(not_negative(inputs[name]), ratio("0")) ? inputs[name] : null;
}

/** The exact ratio of a text that cannot be below zero. Throws Problem `number_negative`, `number_unreadable`. */
export function not_negative(typed) {
  const value = ratio(typed);
  if (compare(value, ratio("0")) < 0) throw new Problem("number_negative", { value: typed });
  return value;
}

/** What keeps a pass of `field` from standing: [code, fields of its sentence]. */
export function stop(code, field) {
  return [code, { title: field.title }];
}

/** The stop of a value inside its limits whose `found` outcome the card's decision rule does not let pass. */
export function guard_stop(field, found) {
  return stop(found === "tool_not_good_enough" ? found : "inside_guard_band", field);
}

/** [within, derived, stops] of values whose `stops` are a no of their own; limits that say no too are named beside. */
export function closed(field, within, derived, stops) {
  if (!stops.length) return [within, derived, []];
  return [false, derived, within === false ? [...stops, stop("outside_limits", field)] : stops];
}

/** The most decimals that any of the typed texts has. */
export function decimals(values) {
  return Math.max(...values.map((value) => (value.split(".")[1] ?? "").length));
}
