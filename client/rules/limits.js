/*
 * Which limits a reading has: one pair for all, a pair of its own at each station, or a pair that an input decides.
 * Twin of server/witnessmark/rules/limits.py, held equal by tests/vectors/limits.json.
 */
import { Problem } from "./problems.js";
import { ratio } from "./ratio.js";
import { between_rows, rows_around } from "./table.js";
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
  for (let place = 0; place < count; place += 1) check_ends(rows.map(([, pairs]) => pairs[place]));
  // The two rows are found once: every place asking the whole table anew would be felt with each key on a phone.
  const around = rows_around(rows.map(([typed], index) => [typed, String(index)]), where).map(([, index]) => rows[index]);
  return Array.from({ length: count }, (_, place) => between(around.map(([typed, pairs]) => [typed, pairs[place]]), where));
}

function pairs_of(row, count) {
  return row.limits_at?.length ? row.limits_at : Array(count).fill(row.limits);
}

function check_ends(pairs) {
  for (const end of ["min", "max"]) {
    const given = pairs.filter((pair) => (pair?.[end] ?? null) !== null);
    if (given.length && given.length < pairs.length) {
      throw new Problem("table_rows", { why: `some rows give a ${end} and others do not` });
    }
  }
}

/* The pair at `where` from the two rows [at, pair] around it, which are the same one when the table holds it. */
function between([[low_at, low], [high_at, high]], where) {
  if (low === null || (low.min === null && low.max === null)) return null;
  if (low_at === high_at) return exact(low);
  const [min, max] = ["min", "max"].map((end) =>
    (low[end] === null ? null : between_rows([[low_at, low[end]], [high_at, high[end]]], where)[0]));
  return { min, max };
}

function exact(pair) {
  if (pair === null) return null;
  const [min, max] = [pair.min, pair.max].map((end) => (end === null ? null : ratio(end)));
  return { min, max };
}
