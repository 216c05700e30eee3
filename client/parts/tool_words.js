/*
 * What the register knows of a tool, in words. Pure: facts as rules/tool_facts describes them in, words out.
 */

import { UNITS } from "../rules/units.js";

/** What a tool is used for, in the order in which a form offers it; "" is a tool of which nothing is known. */
export const USES = [
  ["torque_wrench", "Torque wrench"],
  ["gauge", "Gauge or dial"],
  ["tensiometer", "Tensiometer"],
  ["", "Anything else"],
];

/** What is known of a tool, one text for each line; [] when nothing is. */
export function facts_lines(facts) {
  return facts ? LINES[facts.use](facts) : [];
}

const LINES = {
  torque_wrench: ({ unit, full_scale, graduation, tolerance_percent, length, length_unit }) => [[
    `Up to ${full_scale} ${unit}`, graduation && `marked every ${graduation}`,
    tolerance_percent && `±${tolerance_percent}\u00a0% of the reading`, length && `${length} ${length_unit} long`,
  ].filter(Boolean).join(", ")],
  gauge: ({ unit, tolerance, graduation }) => [[
    tolerance ? `±${tolerance} ${unit}` : `Reads in ${unit}`, graduation && `marked every ${graduation}`,
  ].filter(Boolean).join(", ")],
  tensiometer: ({ unit, tables }) => tables.map((table) => `${table.column}: ${table_words(table.rows, unit)}`),
};

/** "dial 10 to 28 is 20 to 60 lbf" for the rows of one column. */
export function table_words(rows, unit) {
  const [[first, from], [last, to]] = [rows[0], rows.at(-1)];
  return `dial ${first} to ${last} is ${from} to ${to} ${unit}`;
}

/** Why a tool of these `facts` cannot have taken a reading of `field`, or "": advice, since a register can be wrong. */
export function unfit_words(field, facts) {
  const wanted = { torque: "torque_wrench", look_up: "tensiometer" }[field.kind] ?? "gauge";
  if (!facts || (facts.use === wanted && UNITS[facts.unit]?.kind === UNITS[field.unit]?.kind)) return "";
  return `By the shop’s register this is no ${field.tool}. Look at the serial number again.`;
}

/** The day before `day`, both "2026-11-25". */
export function day_before(day) {
  return new Date(Date.parse(`${day}T00:00:00Z`) - 86400000).toISOString().slice(0, 10);
}

/** What to think of before the day `until` is kept for a tool of that use, or "": advice, never a refusal. */
export function calibration_advice(use, until, today) {
  const in_a_year = `${Number(today.slice(0, 4)) + 1}${today.slice(4)}`;
  if (use !== "torque_wrench" || !until || until <= in_a_year) return "";
  return "That is more than 12 months ahead. AC 43.13-1B par. 7-40 a: a torque wrench is calibrated at least once a year, and "
    + "at once after abuse or a drop.";
}
