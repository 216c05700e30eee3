/*
 * What a recorded reading means: inside its limits or not, what follows from it, what is still missing for a pass.
 * Twin of server/witnessmark/rules/readings.py, held equal by tests/vectors/readings.json.
 */
import { total_indicator_reading } from "./measurement.js";
import { read_number } from "./number.js";
import { Problem } from "./problems.js";
import { compare, ratio } from "./ratio.js";
import { applied_torque, show_torque } from "./torque.js";
import { in_unit } from "./units.js";

/**
 * Judge a `reading` against its template `field`; no reading can make this throw.
 * Returns {values, unit, within: true | false | null, derived: {name: text}, differs: sorted names}.
 */
export function judge_reading(field, reading) {
  let within = false;
  let derived = {};
  try {
    [within, derived] = JUDGES[field.kind](field, reading);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
  }
  const names = new Set([...Object.keys(derived), ...Object.keys(reading.derived)]);
  const differs = [...names].filter((name) => derived[name] !== reading.derived[name]).sort();
  return { values: reading.values, unit: reading.unit, within, derived, differs };
}

/** The codes of what keeps `field` from a pass: reading_missing, tool_missing, outside_limits, not_acceptable. */
export function reading_gaps(field, reading) {
  const count = field.stations.length || 1;
  const values = reading ? reading.values : [];
  if (values.length !== count || values.includes(null)) {
    return field.required || recorded(values) ? ["reading_missing"] : [];
  }
  const gaps = [];
  if (field.tool && !reading.tools.length) gaps.push("tool_missing");
  if (judge_reading(field, reading).within === false) {
    gaps.push(field.kind === "choice" ? "not_acceptable" : "outside_limits");
  }
  return gaps;
}

/** ["tool_out_of_calibration"] when a tool of this reading was past its calibration on `day`, else []. */
export function calibration_gaps(reading, day) {
  const past = ({ calibrated_until }) => calibrated_until !== null && calibrated_until < day;
  return reading.tools.some(past) ? ["tool_out_of_calibration"] : [];
}

/** What two people must agree on: the values, as numbers where they are numbers, and their unit. */
export function said_by_reading(reading) {
  return { values: reading.values.map(plain), unit: reading.unit };
}

function recorded(values) {
  return values.some((value) => value !== null);
}

function plain(value) {
  try {
    return value === null ? value : read_number(value);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return value;
  }
}

function measure(field, reading) {
  const values = exact_values(field, reading);
  const judged = values.filter((value) => value !== null).map((value) => is_within(field, value));
  if (judged.includes(false)) return [false, {}];
  const all = judged.length > 0 && judged.length === values.length && !judged.includes(null);
  return [all ? true : null, {}];
}

function run_out(field, reading) {
  const values = exact_values(field, reading);
  if (values.includes(null) || !values.length) return [null, {}];
  const total = total_indicator_reading(reading.values);
  return [is_within(field, in_unit(ratio(total), reading.unit, field.unit)), { total }];
}

function torque(field, reading) {
  const { inputs, values } = reading;
  if (values.length === 1 && values[0] === null) return [null, {}];
  if (values.length !== 1) throw new Problem("readings_none", {});
  if (!Object.keys(inputs).length) {
    return [is_within(field, in_unit(ratio(values[0]), reading.unit, field.unit)), {}];
  }
  if (Object.keys(inputs).sort().join() !== "extension,wrench_length") throw new Problem("torque_geometry", {});
  const applied = applied_torque(values[0], inputs.wrench_length, inputs.extension);
  return [is_within(field, in_unit(applied, reading.unit, field.unit)), { applied: show_torque(applied) }];
}

function choice(field, { values }) {
  if (values.length === 1 && values[0] === null) return [null, {}];
  if (values.length !== 1 || !field.options.includes(values[0])) return [false, {}];
  return [field.acceptable.length ? field.acceptable.includes(values[0]) : null, {}];
}

function exact_values(field, reading) {
  if (reading.values.length !== (field.stations.length || 1)) throw new Problem("readings_none", {});
  return reading.values.map((value) => (value === null ? null : in_unit(ratio(value), reading.unit, field.unit)));
}

function is_within(field, value) {
  const { limits } = field;
  if (limits === null) return null;
  if (limits.min !== null && compare(value, ratio(limits.min)) < 0) return false;
  return limits.max === null || compare(value, ratio(limits.max)) <= 0;
}

const JUDGES = { measure, run_out, torque, choice, text: () => [null, {}] };
