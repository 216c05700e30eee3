/*
 * What a row of readings says together, and what follows from two readings of a meter.
 * Twin of server/witnessmark/rules/measurement.py, held equal by tests/vectors/measurement.json.
 */
import { compare_numbers, subtract_numbers } from "./number.js";
import { Problem } from "./problems.js";
import { over, ratio, show } from "./ratio.js";

/** Largest minus smallest dial reading of one turn, as decimal text in the unit of `values` (typed texts). */
export function total_indicator_reading(values) {
  return spread(values);
}

/** Largest minus smallest of `values` (typed texts) as decimal text. Throws Problem `readings_none` for none. */
export function spread(values) {
  return subtract_numbers(most(values).value, least(values).value);
}

/** {value: the smallest as typed, at: its place from "1"}, the first of equals. Throws Problem `readings_none`. */
export function least(values) {
  return first(values, -1);
}

/** {value: the largest as typed, at: its place from "1"}, the first of equals. Throws Problem `readings_none`. */
export function most(values) {
  return first(values, 1);
}

/**
 * {step: the largest difference of two neighbours, at: place of the first of the two, counted from "1"}.
 * The first such pair of equals. Throws Problem `readings_none` for fewer than two `values` (typed texts).
 */
export function step(values) {
  if (values.length < 2) throw new Problem("readings_none", {});
  const found = most(values.slice(1).map((following, index) => spread([values[index], following])));
  return { step: found.value, at: found.at };
}

/** How far each of `values` lies below `base`, as decimal texts; below zero for a rise. Typed texts, one unit. */
export function drops(base, values) {
  return values.map((value) => subtract_numbers(base, value));
}

/** Hours between two readings of an hour-meter as decimal text. Throws Problem `hours_backwards` unless > 0. */
export function hours_run(then, now) {
  if (compare_numbers(now, then) <= 0) throw new Problem("hours_backwards", {});
  return subtract_numbers(now, then);
}

/** `amount` for each of `hours` (typed texts), three decimals. Throws Problem `hours_backwards` unless hours > 0. */
export function per_hour(amount, hours) {
  if (compare_numbers(hours, "0") <= 0) throw new Problem("hours_backwards", {});
  return show(over(ratio(amount), ratio(hours)), 3);
}

function first(values, sign) {
  if (!values.length) throw new Problem("readings_none", {});
  for (const value of values) ratio(value);
  let place = 0;
  values.forEach((value, index) => {
    if (sign * compare_numbers(value, values[place]) > 0) place = index;
  });
  return { value: values[place], at: String(place + 1) };
}
