/*
 * What the readings of each kind of field mean. readings.js is the door to this.
 * A judge takes (field, reading) and returns [within, derived, stops]: within is true, false or null (nothing to judge by,
 * or something is missing), derived {name: text}, stops [[code, fields]] beyond a value outside its limits.
 * Twin of server/witnessmark/rules/judges.py, held equal by tests/vectors/judges.json.
 */
import { LEAKS, loss } from "./compression.js";
import { judge_balance, judge_drop, judge_rate } from "./engine_judges.js";
import { may_pass, outcome, uncertainty } from "./guard.js";
import { first_harmonic, shape_of } from "./harmonic.js";
import {
  closed, decimals, exact_values, guard_stop, is_within, not_negative, stop, told_tolerance, within_all,
} from "./judging.js";
import { limits_of } from "./limits.js";
import { least, most, spread, step, total_indicator_reading } from "./measurement.js";
import { Problem } from "./problems.js";
import { compare, minus, ratio, show } from "./ratio.js";
import { between_rows } from "./table.js";
import { judge_torque } from "./torque_judge.js";
import { in_unit, span_in_unit } from "./units.js";

const COUNT = /^[0-9]{1,3}$/;
const BETTER_FIRST = ["pass", "conditional_pass", "tool_not_good_enough", "conditional_fail", "fail"];
const ROWS = ["dial_low", "result_low", "dial_high", "result_high"];

/** One value, or one at each station, each against its own limits. */
export function judge_measure(field, reading) {
  const values = exact_values(field, reading);
  const limits = limits_of(field, reading);
  const within = within_all(values, limits);
  if (values.includes(null)) return [within, {}, []];
  const derived = row_facts(field, reading.values);
  const stops = row_stops(field, reading, derived);
  const told = values.map((value, index) => told_by_tool(reading, value, limits[index], field));
  const decision = field.decision ?? "simple";
  if (!told.includes(null)) {
    derived.outcome = BETTER_FIRST[Math.max(...told.map((one) => BETTER_FIRST.indexOf(one)))];
    const allowed = told.map((one, index) => may_pass(decision, is_within(limits[index], values[index]) === true, one));
    if (allowed.includes(false) && within === true) stops.push(guard_stop(field, derived.outcome));
  } else if (decision !== "simple") {
    return [within === false ? false : null, derived, [...stops, stop("tolerance_missing", field)]];
  }
  return closed(field, within, derived, stops);
}

/* How the tolerance of the tool judges one value; null without a tolerance or without limits. */
function told_by_tool({ inputs, unit }, value, pair, field) {
  if (pair === null) return null;
  const [width, percent] = [told_tolerance(inputs, "tolerance"), told_tolerance(inputs, "tolerance_percent")];
  if (width === null && percent === null) return null;
  const band = width === null ? uncertainty(value, percent) : span_in_unit(ratio(width), unit, field.unit);
  return outcome(value, pair.min, pair.max, band);
}

function row_facts(field, values) {
  const derived = {};
  if (Object.hasOwn(field, "spread")) derived.spread = spread(values);
  if (Object.hasOwn(field, "step")) {
    const largest = step(values);
    Object.assign(derived, { step: largest.step, step_at: largest.at });
  }
  if (Object.hasOwn(field, "wear")) {
    const [name, worst] = field.wear === "thickness" ? ["least", least(values)] : ["most", most(values)];
    Object.assign(derived, { [name]: worst.value, [`${name}_at`]: worst.at });
  }
  return derived;
}

function row_stops(field, reading, derived) {
  const over_limit = (name) => Object.hasOwn(field, name)
    && compare(span_in_unit(ratio(derived[name]), reading.unit, field.unit), ratio(field[name])) > 0;
  return ["spread", "step"].filter(over_limit).map((name) => stop(`${name}_outside`, field));
}

/** One turn of a dial: total indicator reading, and the shape behind it when the angles are known. */
export function judge_run_out(field, reading) {
  const values = exact_values(field, reading);
  if (values.includes(null)) return [null, {}, []];
  const total = total_indicator_reading(reading.values);
  const derived = { total, ...(Object.hasOwn(field, "angles") ? shape(field, reading.values, total) : {}) };
  const stops = back_stops(field, reading);
  const within = is_within(limits_of(field, reading)[0], in_unit(ratio(total), reading.unit, field.unit));
  return [stops.length && within ? null : within, derived, stops];
}

function shape(field, values, total) {
  const found = first_harmonic(values.map(ratio), field.angles.map(ratio));
  const places = decimals(values) + 1;
  const high = show(found.high_spot, 1);
  return { eccentricity: show(found.eccentricity, places), residual: show(found.residual, places),
    high_spot: high === "360.0" ? "0.0" : high, shape: shape_of(found, ratio(total)) };
}

function back_stops(field, reading) {
  if (!Object.hasOwn(field, "return_within")) return [];
  if (!Object.hasOwn(reading.inputs, "back")) return [stop("back_missing", field)];
  const moved = minus(ratio(reading.inputs.back), ratio(reading.values[0]));
  const apart = span_in_unit(moved, reading.unit, field.unit);
  const allowed = ratio(field.return_within);
  const within = compare(apart, allowed) <= 0 && compare(minus(ratio("0"), apart), allowed) <= 0;
  return within ? [] : [stop("dial_moved", field)];
}

/** Differential compression: the pressure each cylinder keeps of the supply pressure. */
export function judge_compression(field, reading) {
  const values = exact_values(field, reading);
  const { inputs } = reading;
  const told = field.compression;
  for (const name of Object.keys(inputs).sort()) check_told(name, inputs[name], field);
  if (values.includes(null)) return [null, {}, []];
  const losses = values.map((value, index) => [`loss_${index + 1}`, loss(ratio(told.supply), value)]);
  const derived = { ...Object.fromEntries(losses), spread: spread(reading.values), weakest: least(reading.values).at };
  const stops = row_stops(field, reading, derived);
  if (values.some((value) => compare(value, ratio(told.supply)) > 0)) {
    stops.push(["pressure_above_supply", { title: field.title, supply: told.supply, unit: field.unit }]);
  }
  let pair;
  if (told.mode === "fixed_ratio") {
    [pair] = limits_of(field, reading);
  } else if (!Object.hasOwn(inputs, "master_orifice") || !not_negative(inputs.master_orifice).n) {
    return [null, derived, [...stops, stop("master_orifice_missing", field)]];
  } else {
    pair = { min: in_unit(ratio(inputs.master_orifice), reading.unit, field.unit), max: null };
  }
  return closed(field, within_all(values, values.map(() => pair)), derived, stops);
}

function check_told(name, value, field) {
  if (name.startsWith("again_") && !COUNT.test(value)) throw new Problem("again_wrong", { value });
  if (name.startsWith("heard_") && !LEAKS.includes(value)) {
    throw new Problem("choice_unknown", { value, title: field.title });
  }
}

/** A dial reading, turned by the two rows of the instrument's own table that stand around it. */
export function judge_look_up(field, reading) {
  const { inputs, values } = reading;
  if (values.length === 1 && values[0] === null) return [null, {}, []];
  if (values.length !== 1) throw new Problem("readings_none", {});
  const dial = ratio(values[0]);
  if (ROWS.some((name) => !Object.hasOwn(inputs, name))) return [null, {}, [stop("table_row_missing", field)]];
  const result = between_told_rows(inputs, dial, values[0]);
  const derived = { result: show(result, 2) };
  let pair;
  try {
    [pair] = limits_of(field, reading);
  } catch (missing) {
    if (!(missing instanceof Problem)) throw missing;
    return [null, derived, [[missing.code, missing.fields]]];
  }
  return [is_within(pair, in_unit(result, reading.unit, field.unit)), derived, []];
}

function between_told_rows({ dial_low, result_low, dial_high, result_high }, dial, typed) {
  if (dial_low !== dial_high || result_low !== result_high) {
    return between_rows([[dial_low, result_low], [dial_high, result_high]], dial)[0];
  }
  if (compare(dial, ratio(dial_low)) !== 0) {
    throw new Problem("table_outside", { value: typed, first: dial_low, last: dial_high });
  }
  return ratio(result_low);
}

/** One of the options; acceptable or not when the card says which are. */
export function judge_choice(field, { values }) {
  if (values.length === 1 && values[0] === null) return [null, {}, []];
  if (values.length !== 1 || !field.options.includes(values[0])) return [false, {}, []];
  return [field.acceptable?.length ? field.acceptable.includes(values[0]) : null, {}, []];
}

/** A line of words is never judged. */
export function judge_text() {
  return [null, {}, []];
}

export const JUDGES = {
  measure: judge_measure, run_out: judge_run_out, torque: judge_torque, compression: judge_compression,
  drop: judge_drop, rate: judge_rate, look_up: judge_look_up, balance: judge_balance,
  choice: judge_choice, scale: judge_choice, text: judge_text,
};
