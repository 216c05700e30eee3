/*
 * What a recorded reading means: inside its limits or not, what follows from it, what is still missing for a pass.
 * Twin of server/witnessmark/rules/readings.py, held equal by tests/vectors/readings.json.
 */
import { JUDGES } from "./judges.js";
import { stop } from "./judging.js";
import { MEASURING } from "./measuring_sentences.js";
import { read_number } from "./number.js";
import { Problem } from "./problems.js";
import { convert } from "./units.js";

const READ_TOO = [
  "at", "at_unit", "back", "base", "dial_high", "dial_low", "drag", "drag_at", "extension", "first_clock",
  "first_ips", "hours_now", "hours_then", "master_orifice", "result_high", "result_low", "second_clock", "second_ips",
  "trial_clock", "trial_mass",
];
const LEVER = ["angle", "wrench_length"];

/**
 * Judge a `reading` against its template `field`; no reading can make this throw.
 * Returns {values, unit, within: true | false | null, derived: {name: text}, differs: sorted names}.
 */
export function judge_reading(field, reading) {
  const [within, derived] = judged(field, reading);
  const names = new Set([...Object.keys(derived), ...Object.keys(reading.derived)]);
  const differs = [...names].filter((name) => derived[name] !== reading.derived[name]).sort();
  return { values: reading.values, unit: reading.unit, within, derived, differs };
}

/** The codes of what keeps `field` from a pass, for example reading_missing, tool_missing, outside_limits. */
export function reading_gaps(field, reading) {
  return reading_stops(field, reading).map(([code]) => code);
}

/** As `reading_gaps`, each with the fields of its sentence: [[code, fields]]. `reading` may be null. */
export function reading_stops(field, reading) {
  const count = field.stations.length || 1;
  const values = reading ? reading.values : [];
  if (values.length !== count || values.includes(null)) {
    return field.required || recorded(values) ? [stop("reading_missing", field)] : [];
  }
  const [within, , stops] = judged(field, reading);
  const tool = field.tool && !reading.tools.length ? [stop("tool_missing", field)] : [];
  if (within !== false || stops.length) return [...tool, ...stops];
  return [...tool, stop(field.options.length ? "not_acceptable" : "outside_limits", field)];
}

/** ["tool_out_of_calibration"] when a tool of this reading was past its calibration on `day`, else []. */
export function calibration_gaps(reading, day) {
  const past = ({ calibrated_until }) => calibrated_until !== null && calibrated_until < day;
  return reading.tools.some(past) ? ["tool_out_of_calibration"] : [];
}

/**
 * What two people must agree on: the values, as numbers where they are numbers, their unit, and what else was read. What
 * belongs to the tool alone (full scale, tolerance) is no disagreement.
 */
export function said_by_reading(reading) {
  const names = Object.hasOwn(reading.inputs, "extension") ? [...READ_TOO, ...LEVER] : READ_TOO;
  const read_too = names.filter((name) => Object.hasOwn(reading.inputs, name));
  const inputs = Object.fromEntries(read_too.map((name) => [name, plain(reading.inputs[name])]));
  return { values: reading.values.map(plain), unit: reading.unit, inputs };
}

/**
 * What a reading adds to a trend: [{station: text or "", value: decimal text in the unit of the field}].
 * What cannot be read as a number adds nothing.
 */
export function trend_values(field, reading) {
  const { derived } = judge_reading(field, reading);
  const wanted = TRENDED[field.kind]?.(field, reading, derived) ?? [];
  return wanted.map(([station, value]) => ({ station, value: in_field_unit(value ?? null, field, reading) }))
    .filter(({ value }) => value !== null);
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

/* [within, derived, stops] of judges.js; a Problem of the measured values themselves is a stop, any other a no. */
function judged(field, reading) {
  try {
    return JUDGES[field.kind](field, reading);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return Object.hasOwn(MEASURING, error.code) ? [null, {}, [[error.code, error.fields]]] : [false, {}, []];
  }
}

function each({ stations }, { values }) {
  const names = stations.length ? stations : [""];
  return values.slice(0, names.length).map((value, index) => [names[index], value]);
}

function in_field_unit(value, field, reading) {
  try {
    if (value === null) return null;
    const text = reading.unit === field.unit ? value : convert(value, reading.unit, field.unit, 6);
    // Turned into a smaller unit, a number can have more digits than one that can be read again.
    return read_number(text) && text;
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return null;
  }
}

const TRENDED = {
  measure: each,
  compression: each,
  drop: ({ stations }, _, derived) => stations.map((station, index) => [station, derived[`drop_${index + 1}`]]),
  run_out: (_field, _reading, { total }) => [["", total]],
  rate: (_field, _reading, { per_hour }) => [["", per_hour]],
};
