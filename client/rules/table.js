/*
 * Tables of two or more columns: the dial of a tensiometer against tension, a limit against temperature.
 * Straight between two rows, never beyond the first and the last.
 * Twin of server/witnessmark/rules/table.py, which names the sources; held equal by tests/vectors/table.json.
 */
import { read_number } from "./number.js";
import { Problem } from "./problems.js";
import { compare, minus, over, plus, ratio, show, times } from "./ratio.js";

/**
 * What the columns behind the first say at the ratio `at`, as a list of exact ratios.
 * `rows`: [[x, y, ...], ...] decimal texts, x ascending. Throws Problem `table_outside`, `table_rows`.
 */
export function between_rows(rows, at) {
  const [low, high] = rows_around(rows, at);
  const start = ratio(low[0]);
  const width = minus(ratio(high[0]), start);
  if (compare(width, ratio("0")) === 0) return low.slice(1).map(ratio);
  const share = over(minus(at, start), width);
  return low.slice(1).map((text, column) => {
    const from = ratio(text);
    return plus(from, times(minus(ratio(high[column + 1]), from), share));
  });
}

/**
 * [row at or below, row at or above] the ratio `at`: the same row twice when `at` stands in the table.
 * Throws Problem `table_outside` beyond the ends, `table_rows` for a table that cannot be used.
 */
export function rows_around(rows, at) {
  check_rows(rows);
  const [first, last] = [rows[0][0], rows.at(-1)[0]];
  if (compare(at, ratio(first)) < 0 || compare(at, ratio(last)) > 0) {
    throw new Problem("table_outside", { value: read_number(show(at, 4)), first, last });
  }
  const high = rows.find((row) => compare(ratio(row[0]), at) >= 0);
  const low = rows.findLast((row) => compare(ratio(row[0]), at) <= 0);
  return [low, high];
}

/** `rows` as they are. Throws Problem `table_rows` (too few, not ascending, widths differ), `number_unreadable`. */
export function check_rows(rows) {
  if (rows.length < 2) throw new Problem("table_rows", { why: "it has fewer than two rows" });
  const width = rows[0].length;
  if (width < 2 || rows.some((row) => row.length !== width)) {
    throw new Problem("table_rows", { why: "its rows do not have the same two or more columns" });
  }
  const first = rows.map((row) => row.map(ratio)).map((exact) => exact[0]);
  if (first.slice(1).some((following, index) => compare(first[index], following) >= 0)) {
    throw new Problem("table_rows", { why: "its first column does not rise from row to row" });
  }
  return rows;
}
