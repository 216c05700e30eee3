/*
 * The limits that apply to a reading now, for the eye: those of the card, or those that `limits_by` gives. Pure.
 */
import { limits_of } from "../rules/limits.js";
import { is_within } from "../rules/judging.js";
import { read_number } from "../rules/number.js";
import { Problem } from "../rules/problems.js";
import { ratio, show } from "../rules/ratio.js";
import { in_unit } from "../rules/units.js";
import { asked } from "./rule_problem.js";
import { settled } from "./typed_number.js";

const SHOWN_DECIMALS = 4;

/**
 * The limits that apply to `reading` now, as texts for the eye: [{min, max} or null] one for each station, or the
 * Problem that says why none can be named yet.
 */
export function limits_in_force(field, reading) {
  const inputs = Object.fromEntries(
    Object.entries(reading.inputs).map(([name, text]) => [name, settled(text)]).filter(([, text]) => text));
  try {
    return limits_of(field, { inputs }).map((pair) => pair && { min: shown(pair.min), max: shown(pair.max) });
  } catch (problem) {
    if (problem instanceof Problem) return problem;
    throw problem;
  }
}

/** Which of the values typed so far are outside the limits that apply now: [true or false] for each station. */
export function stations_out(field, reading) {
  const inputs = Object.fromEntries(Object.entries(reading.inputs).map(([name, text]) => [name, settled(text)]));
  const out = (pair, typed) => is_within(pair, in_unit(ratio(settled(typed)), reading.unit, field.unit)) === false;
  const [limits] = asked(() => limits_of(field, { inputs }));
  return reading.values.map((typed, index) => Boolean(limits && typed && asked(() => out(limits[index], typed))[0]));
}

/** `field` with the limits that apply now as its `limits`, for `limit_words`; as it is when they differ or none do. */
export function worded_field(field, reading) {
  if (!field.limits_by) return field;
  const limits = limits_in_force(field, reading);
  const told = limits instanceof Problem ? [] : limits.map((pair) => JSON.stringify(pair));
  return told.length && told.every((pair) => pair === told[0]) ? { ...field, limits: limits[0] } : field;
}

function shown(limit) {
  return limit && read_number(show(limit, SHOWN_DECIMALS));
}
