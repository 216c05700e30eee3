/*
 * Which limits a reading has: one pair for all, a pair of its own at each station, or a pair that an input decides.
 * Twin of server/witnessmark/rules/limits.py, held equal by tests/vectors/limits.json.
 */
import { Problem } from "./problems.js";
import { ratio } from "./ratio.js";
import { between_rows } from "./table.js";
import { in_unit } from "./units.js";

/**
 * [{min, max} as exact ratios or null, in the field's unit, or null] one for each station (one when none).
 * `field` is a template field. `limits_by` takes the input `at` of `reading` (with `at_unit`, else the unit of the
 * card) and lies straight between its rows. Throws Problem `limit_input_missing`, `table_outside`, `table_rows`.
 */
export function limits_of(field, reading) {
  const count = field.stations.length || 1;
  const by = field.limits_by ?? null;
  if (by !== null) return limits_by(by, count, reading.inputs);
  return field.limits_at?.length ? field.limits_at.map(exact) : Array(count).fill(exact(field.limits));
}

function limits_by(by, count, inputs) {
  const at = inputs.at ?? null;
  if (at === null) throw new Problem("limit_input_missing", { what: by.title });
  const rows = by.rows.map((row) => [row.at, pairs_of(row, count)]);
  if (by.unit === null) {
    const found = rows.find(([choice]) => choice === at);
    if (!found) throw new Problem("limit_input_missing", { what: by.title });
    return found[1].map(exact);
  }
  const where = in_unit(ratio(at), inputs.at_unit ?? by.unit, by.unit);
  return Array.from({ length: count }, (_, place) => between(rows, place, where));
}

function pairs_of(row, count) {
  return row.limits_at?.length ? row.limits_at : Array(count).fill(row.limits);
}

function between(rows, place, where) {
  const [min, max] = ["min", "max"].map((end) => {
    const column = rows.map(([at, pairs]) => [at, pairs[place]?.[end] ?? null]);
    const given = column.filter(([, limit]) => limit !== null);
    if (given.length && given.length < column.length) {
      throw new Problem("table_rows", { why: `some rows give a ${end} and others do not` });
    }
    return given.length ? between_rows(given, where)[0] : null;
  });
  return min === null && max === null ? null : { min, max };
}

function exact(pair) {
  if (pair === null) return null;
  const [min, max] = [pair.min, pair.max].map((end) => (end === null ? null : ratio(end)));
  return { min, max };
}
