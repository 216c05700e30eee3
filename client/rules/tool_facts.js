/*
 * What the register knows of a tool beyond its name and its day, and what a reading takes over from that.
 * Twin of server/witnessmark/rules/tool_facts.py, which states the forms; held equal by tests/vectors/tool_facts.json.
 */
import { read_number } from "./number.js";
import { Problem } from "./problems.js";
import { compare, minus, ratio, show } from "./ratio.js";
import { check_shape } from "./shape.js";
import { rows_around } from "./table.js";
import { UNITS, check_unit, in_unit } from "./units.js";

const NUMBER = ["text", 1, 36];
const UNKNOWN_OR_NUMBER = ["null_or", NUMBER];
const UNIT = ["text", 1, 20];
const TABLE = ["object", { column: ["text", 1, 60], rows: ["list", ["list", ["text", 1, 36], 2], 100] }];
const SHAPES = {
  torque_wrench: ["object", { use: ["text", 1, 20], unit: UNIT, full_scale: NUMBER, graduation: UNKNOWN_OR_NUMBER,
    tolerance_percent: UNKNOWN_OR_NUMBER, length: UNKNOWN_OR_NUMBER, length_unit: ["null_or", UNIT] }],
  gauge: ["object", { use: ["text", 1, 20], unit: UNIT, tolerance: UNKNOWN_OR_NUMBER, graduation: UNKNOWN_OR_NUMBER }],
  tensiometer: ["object", { use: ["text", 1, 20], unit: UNIT, tables: ["list", TABLE, 12] }],
};
const [LEAST, MOST] = ["0.00001", "1000000"];
const TURNED_DECIMALS = 9;

/**
 * Return `facts` when they have one of the forms of the twin, else throw Problem: request_shape {at, why},
 * number_unreadable, unit_unknown, unit_mismatch, table_rows {why}, which names the column and the line that is wrong.
 */
export function check_facts(facts) {
  if (facts === null) return null;
  const use = typeof facts === "object" && !Array.isArray(facts) ? facts.use : null;
  if (typeof use !== "string" || !Object.hasOwn(SHAPES, use)) {
    refuse("facts.use", `it must be one of ${Object.keys(SHAPES).join(", ")}`);
  }
  try {
    check_shape(facts, SHAPES[use], "facts");
  } catch (refusal) {
    if (!(refusal instanceof Problem)) throw refusal;
    throw new Problem("request_shape", refusal.fields);
  }
  check_unit(facts.unit);
  CHECKS[use](facts);
  return facts;
}

/**
 * Return the `rows` of one column if they can be read between: two or more [dial, result], the dial rising.
 * Throws Problem table_rows {why} for the first that is wrong.
 */
export function check_table(column, rows) {
  if (rows.length < 2) refuse_table(column, "it needs at least two lines, each a dial reading and its tension");
  rows.forEach((row, index) => {
    if (row.length !== 2) refuse_table(column, `line ${index + 1} must hold a dial reading and its tension`);
    const [dial, result] = row.map(ratio);
    if (compare(dial, ratio("0")) < 0 || compare(result, ratio("0")) < 0) {
      refuse_table(column, `line ${index + 1} is below zero`);
    }
    if (index && compare(dial, ratio(rows[index - 1][0])) <= 0) {
      refuse_table(column, `the dial reading of line ${index + 1} must be above that of line ${index}`);
    }
  });
  return rows;
}

/**
 * What a reading in `unit` takes over from a torque wrench or gauge, as texts by the name of the input: full_scale,
 * graduation, tolerance_percent, wrench_length with length_unit; or tolerance. Only what is known, turned into `unit` where
 * the tool has another one. {} when the tool measures something else.
 */
export function inputs_of(facts, unit) {
  if (!facts || !Object.hasOwn(UNITS, String(unit)) || UNITS[unit].kind !== UNITS[facts.unit].kind) return {};
  if (facts.use === "gauge") return known({ tolerance: turned(facts.tolerance, facts.unit, unit) });
  if (facts.use !== "torque_wrench") return {};
  return known({
    full_scale: turned(facts.full_scale, facts.unit, unit),
    graduation: turned(facts.graduation, facts.unit, unit),
    tolerance_percent: facts.tolerance_percent,
    wrench_length: facts.length, length_unit: facts.length_unit,
  });
}

/**
 * {column, dial_low, result_low, dial_high, result_high}: the two rows around the typed `dial` reading, results in the unit
 * of `facts`. Both rows are the same one when the table holds the reading itself.
 * Throws Problem table_outside, number_unreadable; table_rows when the tool has no such column.
 */
export function row_inputs(facts, column, dial) {
  const tables = facts?.use === "tensiometer" ? facts.tables : [];
  const table = tables.find((found) => found.column === column);
  if (!table) throw new Problem("table_rows", { why: `this tool has no column "${String(column).slice(0, 60)}"` });
  const [low, high] = rows_around(table.rows, ratio(dial));
  return { column, dial_low: low[0], result_low: low[1], dial_high: high[0], result_high: high[1] };
}

function check_wrench(facts) {
  check_kind(facts.unit, "torque", "in-lbf");
  for (const name of ["full_scale", "graduation", "tolerance_percent", "length"]) check_amount(facts[name], `facts.${name}`);
  if (facts.graduation !== null && compare(ratio(facts.graduation), ratio(facts.full_scale)) >= 0) {
    refuse("facts.graduation", "it must be below the full scale");
  }
  if (facts.tolerance_percent !== null && compare(ratio(facts.tolerance_percent), ratio("100")) >= 0) {
    refuse("facts.tolerance_percent", "it must be below 100");
  }
  if ((facts.length === null) !== (facts.length_unit === null)) {
    refuse("facts.length_unit", "a length and its unit come together");
  }
  if (facts.length_unit !== null) check_kind(facts.length_unit, "length", "in");
}

function check_gauge(facts) {
  for (const name of ["tolerance", "graduation"]) check_amount(facts[name], `facts.${name}`);
}

function check_tensiometer(facts) {
  check_kind(facts.unit, "force", "lbf");
  if (!facts.tables.length) throw new Problem("table_rows", { why: "a tensiometer needs at least one column" });
  const columns = facts.tables.map(({ column }) => column);
  facts.tables.forEach(({ column, rows }, index) => {
    if (!column.trim()) throw new Problem("table_rows", { why: `column ${index + 1} has no name` });
    if (columns.indexOf(column) < index) refuse_table(column, "there are two columns of this name");
    check_table(column, rows);
  });
}

const CHECKS = { torque_wrench: check_wrench, gauge: check_gauge, tensiometer: check_tensiometer };

function check_kind(unit, kind, example) {
  if (UNITS[check_unit(unit)].kind !== kind) throw new Problem("unit_mismatch", { unit, other: example });
}

function check_amount(typed, at) {
  if (typed === null) return;
  const amount = ratio(typed);
  if (compare(amount, ratio(LEAST)) < 0 || compare(amount, ratio(MOST)) > 0) refuse(at, `it must be from ${LEAST} to ${MOST}`);
}

function turned(typed, unit, wanted) {
  if (typed === null || unit === wanted) return typed;
  // A width, not a place on the scale: 1 °C of tolerance is 1.8 °F, not 33.8.
  const width = minus(in_unit(ratio(typed), unit, wanted), in_unit(ratio("0"), unit, wanted));
  return read_number(show(width, TURNED_DECIMALS));
}

function known(inputs) {
  return Object.fromEntries(Object.entries(inputs).filter(([, text]) => text !== null));
}

function refuse(at, why) {
  throw new Problem("request_shape", { at, why });
}

function refuse_table(column, why) {
  throw new Problem("table_rows", { why: `in "${column}" ${why}` });
}
