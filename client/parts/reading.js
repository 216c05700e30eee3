/*
 * A reading while it is typed and when it is recorded. Pure: plain data in, plain data out.
 * While typed it holds the raw texts of the thumb; `finished` makes the member of the entry.
 */
import { Problem } from "../rules/problems.js";
import { judge_reading } from "../rules/readings.js";
import { day_words } from "./shop_words.js";
import { number_problem, settled } from "./typed_number.js";

const NUMBERS = ["measure", "run_out", "torque"];

export const is_number = (field) => NUMBERS.includes(field.kind);

/** A reading of `field` with nothing typed; `tool` is the serial number last used on this phone, or "". */
export function empty_reading(field, tool = "") {
  const stations = field.stations?.length || 1;
  return { values: Array(stations).fill(""), unit: field.unit, tools: field.tool ? [tool] : [], inputs: {} };
}

/** The reading with one of its values replaced. */
export function with_value(reading, index, typed) {
  return { ...reading, values: reading.values.with(index, typed) };
}

/** True when the person typed or chose anything but a remembered serial number. */
export function is_touched(reading) {
  return reading.values.some(Boolean) || Object.values(reading.inputs).some(Boolean);
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
  const settle = is_number(field) ? settled : plain_lines;
  const typed = {
    values: reading.values.map((value) => settle(value) || null),
    unit: reading.unit,
    tools: reading.tools.map(plain_lines).filter(Boolean).map((serial) => tool_of(serial, tools)),
    inputs: Object.fromEntries(
      Object.entries(reading.inputs).map(([name, text]) => [name, settled(text)]).filter(([, text]) => text)),
    derived: {},
  };
  return { ...typed, derived: judge_reading(field, typed).derived };
}

/** What the rules say about the reading so far, or null while something typed is no number yet. */
export function judged(field, reading) {
  if (typing_problem(field, reading)) return null;
  const typed = finished(field, reading);
  const taken = typed.values.filter((value) => value !== null);
  if (field.kind !== "run_out" || taken.length === typed.values.length || !taken.length) {
    return judge_reading(field, typed);
  }
  // A total can only grow, so a turn that is half taken can already be out, but not yet within.
  const part = judge_reading({ ...field, stations: field.stations.slice(0, taken.length) }, { ...typed, values: taken });
  return { ...part, within: part.within === false ? false : null };
}

/** The Problem of what is typed: no number, an ambiguous comma, one length of two. Null when there is none. */
export function typing_problem(field, reading) {
  if (!is_number(field)) return null;
  const typed = [...reading.values, ...Object.values(reading.inputs)];
  const problem = typed.map(number_problem).find(Boolean);
  if (problem) return problem;
  return Object.values(reading.inputs).filter(Boolean).length === 1 ? new Problem("torque_geometry") : null;
}

/** "0.000 to 0.005 in", "at most 0.005 in", "at least 0.040 in", or null without limits. */
export function limit_words({ limits, unit }) {
  if (!limits || (limits.min === null && limits.max === null)) return null;
  const tail = unit ? ` ${unit}` : "";
  if (limits.min === null) return `at most ${limits.max}${tail}`;
  if (limits.max === null) return `at least ${limits.min}${tail}`;
  return `${limits.min} to ${limits.max}${tail}`;
}

/** A reading recorded on `day` in words: {values: [{station, text}], rest: [[name, text]]}, units and tools named. */
export function reading_words(field, reading, day) {
  const unit = reading.unit ? ` ${reading.unit}` : "";
  const value = (text, index) => ({
    station: field.stations[index] ?? "", text: text === null ? "not taken" : text + (field.stations.length ? "" : unit),
  });
  const derived = { applied: "Applied at the fastener", total: "Total indicator reading" };
  const inputs = { wrench_length: "Wrench length", extension: "Extension" };
  const rest = [
    ...Object.entries(reading.inputs).map(([name, text]) => [`${inputs[name] ?? name}:`, text]),
    ...Object.entries(reading.derived).map(([name, text]) => [`${derived[name] ?? name}:`, `${text}${unit}`]),
    ...reading.tools.map((tool) => [`With ${field.tool ?? "tool"} no.`, `${tool.serial}, ${calibration_words(tool, day)}`]),
  ];
  return { values: reading.values.map(value), rest };
}
