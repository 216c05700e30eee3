/*
 * Typed values that a person is asked about before anything is recorded. Nothing is refused for being unusual.
 * Twin of server/witnessmark/rules/doubts.py, held equal by tests/vectors/doubts.json.
 */
import { limits_of } from "./limits.js";
import { hours_run } from "./measurement.js";
import { read_number } from "./number.js";
import { Problem } from "./problems.js";
import { compare, ratio, show, times } from "./ratio.js";
import { UNITS, in_unit, span_in_unit } from "./units.js";

const NEVER_NEGATIVE = ["length", "torque", "pressure", "force", "volume", "speed of rotation", "time", "velocity", "mass",
  "number of turns", "number of wires", "number of strands", "number of threads"];
const MAY_TURN = ["run_out"];
const LIMITED = ["measure", "run_out", "torque", "compression", "balance"];
const TEN = ratio("10");
const MANY_HOURS = ratio("100");

/**
 * {value} of the first typed value below zero where that cannot be measured, or null.
 * Lengths may be negative on a dial that turns (run_out), and wherever the card's own limits go below zero.
 */
export function impossible_value(field, reading) {
  const kind = Object.hasOwn(UNITS, reading.unit ?? "") ? UNITS[reading.unit].kind : "";
  if (MAY_TURN.includes(field.kind) || !NEVER_NEGATIVE.includes(kind)) return null;
  const { limits } = field;
  if (limits && limits.min !== null && compare(ratio(limits.min), ratio("0")) < 0) return null;
  const value = reading.values.find(is_negative);
  return value === undefined ? null : { value };
}

/**
 * {value, limit, unit} of the first value beyond ten times its limit, in the field's unit, or null.
 * The upper limit, or where there is none the lower one. Null too once the input `confirmed` says "yes".
 */
export function absurd_value(field, reading) {
  if (!LIMITED.includes(field.kind) || reading.inputs.confirmed === "yes") return null;
  try {
    const limits = limits_of(field, reading);
    const judged = reading.values.slice(0, limits.length).map((value, index) => [value, limit_of(limits[index])]);
    for (const [value, limit] of judged.filter((pair) => !pair.includes(null))) {
      const exact = in_unit(ratio(value), reading.unit, field.unit);
      if (compare(size(exact), times(size(limit), TEN)) > 0 && compare(limit, ratio("0"))) {
        return { value: plain(exact), limit: plain(limit), unit: field.unit };
      }
    }
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
  }
  return null;
}

/* What cannot be read as a number is refused elsewhere, in words of its own. */
function is_negative(value) {
  try {
    return value !== null && compare(ratio(value), ratio("0")) < 0;
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return false;
  }
}

/**
 * [code, fields of its sentence] of an input that would move the judgement unseen, or null: a friction drag above half of
 * the torque it is added to, over 100 h between two fillings. Null too once the input `confirmed` says "yes".
 */
export function unlikely_input(field, reading) {
  if (reading.inputs.confirmed === "yes") return null;
  try {
    return { torque: large_drag, rate: many_hours }[field.kind]?.(field, reading) ?? null;
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    return null;
  }
}

function large_drag(field, reading) {
  if (!Object.hasOwn(reading.inputs, "drag")) return null;
  const [pair] = limits_of(field, reading);
  const drag = span_in_unit(ratio(reading.inputs.drag), reading.unit, field.unit);
  if (pair === null || pair.max === null || compare(times(drag, ratio("2")), pair.max) <= 0) return null;
  return ["drag_large", { value: read_number(reading.inputs.drag), unit: reading.unit }];
}

function many_hours(field, { inputs }) {
  if (!Object.hasOwn(inputs, "hours_then") || !Object.hasOwn(inputs, "hours_now")) return null;
  const hours = hours_run(inputs.hours_then, inputs.hours_now);
  return compare(ratio(hours), MANY_HOURS) > 0 ? ["hours_many", { hours }] : null;
}

const limit_of = (pair) => pair && (pair.max ?? pair.min);

const size = (exact) => (compare(exact, ratio("0")) < 0 ? times(exact, ratio("-1")) : exact);

const plain = (exact) => read_number(show(exact, 6));
