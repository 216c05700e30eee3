/*
 * What a fall of rpm, a rate per hour and a balance run mean. See judges.js.
 * Twin of server/witnessmark/rules/engine_judges.py, held equal by tests/vectors/engine_judges.json.
 */
import { influence } from "./balance.js";
import { closed, exact_values, is_within, not_negative, stop, within_all } from "./judging.js";
import { limits_of } from "./limits.js";
import { drops, hours_run, per_hour, spread } from "./measurement.js";
import { compare, minus, over, ratio } from "./ratio.js";
import { in_unit, span_in_unit } from "./units.js";

const RUNS = ["first_ips", "first_clock", "trial_mass", "trial_clock", "second_ips", "second_clock"];

/** How far each value falls from the base, for example the rpm on one magneto from that on both. */
export function judge_drop(field, reading) {
  const values = exact_values(field, reading);
  const { inputs } = reading;
  if (!Object.hasOwn(inputs, "base")) {
    return [null, {}, values.some((value) => value !== null) ? [stop("base_missing", field)] : []];
  }
  if (values.includes(null)) return [null, {}, []];
  const base = in_unit(ratio(inputs.base), reading.unit, field.unit);
  const fallen = values.map((value) => minus(base, value));
  const shown = drops(inputs.base, reading.values);
  const derived = Object.fromEntries(shown.map((text, index) => [`drop_${index + 1}`, text]));
  derived.difference = spread(shown);
  const stops = [];
  if (fallen.some((one) => compare(one, ratio("0")) <= 0)) stops.push(stop("drop_suspect", field));
  const apart = span_in_unit(ratio(derived.difference), reading.unit, field.unit);
  if (Object.hasOwn(field, "difference") && compare(apart, ratio(field.difference)) > 0) {
    stops.push(stop("spread_outside", field));
  }
  const within = within_all(fallen, limits_of(field, reading));
  return closed(field, within, derived, stops);
}

/** An amount used over the hours between two readings of the hour-meter; the limits are per hour. */
export function judge_rate(field, reading) {
  const [value] = exact_values(field, reading);
  if (value === null) return [null, {}, []];
  const { inputs } = reading;
  if (!Object.hasOwn(inputs, "hours_then") || !Object.hasOwn(inputs, "hours_now")) {
    return [null, {}, [stop("hours_missing", field)]];
  }
  not_negative(reading.values[0]);
  const hours = hours_run(inputs.hours_then, inputs.hours_now);
  const derived = { hours, per_hour: per_hour(reading.values[0], hours) };
  const [pair] = limits_of(field, reading);
  return [is_within(pair, over(value, ratio(hours))), derived, []];
}

/** The amplitude of the last run; the correction when a first run and one with a trial weight were made. */
export function judge_balance(field, reading) {
  const [value] = exact_values(field, reading);
  const { inputs } = reading;
  const given = RUNS.filter((name) => Object.hasOwn(inputs, name)).map((name) => inputs[name]);
  const derived = given.length === RUNS.length ? influence(...given) : {};
  if (value === null) return [null, derived, []];
  not_negative(reading.values[0]);
  const [pair] = limits_of(field, reading);
  const stops = given.length > 0 && given.length < RUNS.length ? [stop("balance_missing", field)] : [];
  const within = is_within(pair, value);
  return [stops.length && within ? null : within, derived, stops];
}
