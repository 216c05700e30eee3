/*
 * A reading while it is typed and when it is recorded. Pure: plain data in, plain data out.
 * While typed it holds the raw texts of the thumb; `finished` makes the member of the entry.
 */
import { absurd_value, impossible_value, unlikely_input } from "../rules/doubts.js";
import { Problem } from "../rules/problems.js";
import { judge_reading, reading_stops } from "../rules/readings.js";
import { inputs_of } from "../rules/tool_facts.js";
import { applied_torque } from "../rules/torque.js";
import { day_words } from "./shop_words.js";
import { number_problem, settled } from "./typed_number.js";

const WORDS = ["choice", "scale", "text"];
const WORDED_INPUTS = ["at_unit", "column", "confirmed", "drag_at", "length_unit", "new_part"];
const BELOW_ZERO_TOO = ["angle", "at", "back", "extension", "first_clock", "second_clock", "trial_clock"];
const HALF_A_LEVER = { code: "wrench_length_missing", fields: {},
  sentence: "An extension is on the wrench: type the wrench length too. Without one, empty the extension." };
const WHOLE = ["wires", "strands"];
const TOLD_BY_TOOL = ["full_scale", "graduation", "length_unit", "tolerance", "tolerance_percent", "wrench_length"];

export const is_number = (field) => !WORDS.includes(field.kind);

/** Does the input of this name hold a number, not words? */
export function is_number_input(field, name) {
  if (name === "at") return field.limits_by?.unit !== null;
  return !WORDED_INPUTS.includes(name) && !name.startsWith("heard_");
}

/** A reading of `field` with nothing typed; `serial` is the number last used on this phone, or ""; `tools` the register. */
export function empty_reading(field, serial = "", tools = []) {
  const values = Array(field.stations?.length || 1).fill("");
  const reading = { values, unit: field.unit, tools: field.tool ? [serial] : [], inputs: {} };
  return { ...reading, inputs: told_by_tool(reading, tools) };
}

/** The reading with one of its values replaced. */
export function with_value(reading, index, typed) {
  return { ...reading, values: reading.values.with(index, typed) };
}

/** The reading taken with the tool `serial`: what the register knows of it comes along, what was typed by hand stays. */
export function with_tool(reading, serial, tools = []) {
  return told_anew(reading, { ...reading, tools: [serial] }, tools);
}

/** The reading in another unit, and what the register knows of its tool too. */
export function with_unit(reading, unit, tools = []) {
  return told_anew(reading, { ...reading, unit }, tools);
}

function told_by_tool({ tools: [serial], unit }, register) {
  const tool = register.find((one) => serial && one.serial === serial.trim());
  return tool?.facts ? inputs_of(tool.facts, unit) : {};
}

function told_anew(before, after, tools) {
  const told = told_by_tool(before, tools);
  const own = Object.entries(after.inputs).filter(([name, text]) => told[name] !== text);
  return { ...after, inputs: { ...told_by_tool(after, tools), ...Object.fromEntries(own) } };
}

/** True when the person typed or chose anything but a tool. */
export function is_touched(reading) {
  const typed = Object.entries(reading.inputs).filter(([name]) => !TOLD_BY_TOOL.includes(name));
  return reading.values.some(Boolean) || typed.some(([, text]) => Boolean(text));
}

/** Typed text as an entry may hold it: no tabs, no carriage returns, no blank ends. */
export function plain_lines(typed) {
  return typed.replace(/\r\n?/g, "\n").replace(/[^\S\n]/g, " ").trim();
}

/** A tool as an entry names it; `calibrated_until` is null when the shop's register `tools` does not know the serial. */
export function tool_of(serial, tools) {
  return { serial, calibrated_until: tools.find((tool) => tool.serial === serial)?.calibrated_until ?? null };
}

/** What the register says about a tool's calibration, to be read after its serial number. `day` "YYYY-MM-DD". */
export function calibration_words({ calibrated_until }, day) {
  if (calibrated_until === null) return "no calibration date in the shop’s tool register";
  return `${calibrated_until < day ? "OUT OF CALIBRATION since" : "calibrated until"} ${day_words(calibrated_until)}`;
}

/** The reading as the entry holds it: points for commas, null for what is empty, derived values computed. */
export function finished(field, reading, tools = []) {
  const typed = as_typed(field, reading, tools);
  return { ...typed, derived: judge_reading(field, typed).derived };
}

function as_typed(field, reading, tools) {
  const settle = is_number(field) ? settled : plain_lines;
  const input = ([name, text]) => [name, is_number_input(field, name) ? settled(text) : plain_lines(text)];
  return {
    values: reading.values.map((value) => settle(value) || null),
    unit: reading.unit,
    tools: reading.tools.map(plain_lines).filter(Boolean).map((serial) => tool_of(serial, tools)),
    inputs: Object.fromEntries(Object.entries(reading.inputs).map(input).filter(([, text]) => text)),
    derived: {},
  };
}

/* One drawing of a field asks the same of the rules several times. A reading is never changed, only replaced. */
function once(work) {
  const known = new WeakMap();
  return (field, reading) => {
    const kept = known.get(reading);
    if (kept?.field === field) return kept.answer;
    const answer = work(field, reading);
    known.set(reading, { field, answer });
    return answer;
  };
}

/** What the rules say about the reading so far, or null while something typed is no number yet. */
export const judged = once((field, reading) => {
  if (typing_problem(field, reading)) return null;
  const typed = as_typed(field, reading, []);
  const taken = typed.values.filter((value) => value !== null);
  if (field.kind !== "run_out" || taken.length === typed.values.length || !taken.length) {
    return judge_reading(field, typed);
  }
  // A total can only grow, so a turn that is half taken can already be out, but not yet within.
  const { angles: _, return_within: __, ...plain } = field;
  const part = judge_reading({ ...plain, stations: field.stations.slice(0, taken.length) }, { ...typed, values: taken });
  return { ...part, within: part.within === false ? false : null };
});

/** What keeps the reading so far from a pass, [[code, fields of its sentence]]; [] while something is no number yet. */
export const stops_of = once((field, reading) =>
  (typing_problem(field, reading) ? [] : reading_stops(field, as_typed(field, reading, []))));

/** The Problem of what is typed: no number, an ambiguous comma, less than nothing, half a wire, half a lever. Else null. */
export const typing_problem = once((field, reading) => {
  if (!is_number(field)) return null;
  const inputs = Object.entries(reading.inputs).filter(([name]) => is_number_input(field, name));
  const problem = [...reading.values, ...inputs.map(([, text]) => text)].map(number_problem).find(Boolean);
  if (problem) return problem;
  const lever = lever_problem(reading.inputs);
  if (lever) return lever;
  const below = inputs.find(([name, text]) => !BELOW_ZERO_TOO.includes(name) && /^-.*[1-9]/.test(settled(text)));
  if (below) return new Problem("number_negative", { value: settled(below[1]) });
  const part = WHOLE.includes(reading.unit) && reading.values.find((text) => /\..*[1-9]/.test(settled(text)));
  if (part) return new Problem("again_wrong", { value: part });
  const impossible = impossible_value(field, { ...reading, values: reading.values.map((text) => settled(text) || null) });
  return impossible && new Problem("number_negative", impossible);
});

function lever_problem({ wrench_length, extension, angle }) {
  if (!extension) return null;
  if (!wrench_length) return HALF_A_LEVER;
  try {
    applied_torque("1", settled(wrench_length), settled(extension), settled(angle || "0"));
    return null;
  } catch (problem) {
    if (problem instanceof Problem) return problem;
    throw problem;
  }
}

/** The Problem of a value so far from its limit that the person is asked whether they read it so, or null. */
export const doubt_of = once((field, reading) => {
  if (!is_number(field) || typing_problem(field, reading)) return null;
  const typed = as_typed(field, reading, []);
  const absurd = absurd_value(field, typed);
  if (absurd) return new Problem("value_absurd", absurd);
  const unlikely = unlikely_input(field, typed);
  return unlikely && new Problem(...unlikely);
});

/** "0.000 to 0.005 in", "at most 0.005 in", or null without limits. `limit_unit`: where they have one of their own. */
export function limit_words({ limits, unit, limit_unit = unit }) {
  if (!limits || (limits.min === null && limits.max === null)) return null;
  const tail = limit_unit ? ` ${limit_unit}` : "";
  if (limits.min === null) return `at most ${limits.max}${tail}`;
  if (limits.max === null) return `at least ${limits.min}${tail}`;
  return `${limits.min} to ${limits.max}${tail}`;
}
