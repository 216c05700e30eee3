/*
 * What once per turn there is in dial readings round a shaft: reading = mean + e * cos(angle - high spot), by least
 * squares in whole numbers. Twin of server/witnessmark/rules/harmonic.py.
 */
import { Problem } from "./problems.js";
import { compare } from "./ratio.js";
import { arctangent, cosine, sine, square_root } from "./trig.js";

const UNIT = 10n ** 24n;
const FINE = 10n ** 18n;
const PLACES = 15;
const SHARE_UNIT = 10n ** 12n;
// Angles that carry less than a tenth of what even ones do would turn a small slip of the dial into a large shape.
// Our own line, no source; even angles have the determinant N^3 / 4.
const LEAST_SPREAD = { n: 1n, d: 40n };
const BENT = { n: 9n, d: 10n };

/**
 * The fit through `values` (ratios, one unit) read at `degrees` (ratios), as ratios {mean, eccentricity, high_spot,
 * residual, share}: mean, eccentricity and residual (root mean square over N) in the unit of the values, high_spot in
 * degrees, share the part of the variance that the fit explains. Throws Problem `readings_none` for fewer than four
 * values, `angles_unfit` when the angles are too few, too close together or not one for each value.
 */
export function first_harmonic(values, degrees) {
  if (values.length < 4) throw new Problem("readings_none", {});
  if (values.length !== degrees.length) throw new Problem("angles_unfit", {});
  const rows = degrees.map((angle) => [UNIT, whole(cosine(angle), UNIT), whole(sine(angle), UNIT)]);
  const heights = values.map((value) => whole(value, UNIT));
  const [mean, a, b] = least_squares(rows, heights);
  const left = rows.map((row, k) => FINE * heights[k] - mean * row[0] - a * row[1] - b * row[2]);
  const unexplained = { n: product(left, left), d: (FINE * UNIT) ** 2n };
  return {
    mean: { n: mean, d: FINE },
    eccentricity: square_root({ n: a * a + b * b, d: FINE ** 2n }, PLACES),
    high_spot: arctangent({ n: b, d: 1n }, { n: a, d: 1n }),
    residual: square_root({ n: unexplained.n, d: unexplained.d * BigInt(values.length) }, PLACES),
    share: share_of(heights, unexplained),
  };
}

/**
 * What the readings look like: "round", "once_per_turn" (bent, or off centre), or "other" (worn, oval, a slip).
 * `total` is the total indicator reading; the line at nine tenths of the variance is our own, no source.
 */
export function shape_of(harmonic, total) {
  if (total.n === 0n) return "round";
  return compare(harmonic.share, BENT) >= 0 ? "once_per_turn" : "other";
}

/** The normal equations by Cramer's rule; the three answers in units of 1 / FINE. */
function least_squares(rows, heights) {
  const columns = [0, 1, 2].map((k) => rows.map((row) => row[k]));
  const matrix = columns.map((one) => columns.map((other) => product(one, other)));
  const wanted = columns.map((column) => product(column, heights));
  const divisor = determinant(matrix);
  if (divisor * LEAST_SPREAD.d < LEAST_SPREAD.n * BigInt(rows.length) ** 3n * UNIT ** 6n) {
    throw new Problem("angles_unfit", {});
  }
  return [0, 1, 2].map((k) => whole({ n: determinant(replaced(matrix, k, wanted)), d: divisor }, FINE));
}

function share_of(heights, unexplained) {
  const count = BigInt(heights.length);
  const total = heights.reduce((sum, one) => sum + one, 0n);
  const variation = count * product(heights, heights) - total * total;
  if (variation === 0n) return { n: 1n, d: 1n };
  const explained = unexplained.d * variation - unexplained.n * count * UNIT ** 2n;
  return { n: whole({ n: explained, d: unexplained.d * variation }, SHARE_UNIT), d: SHARE_UNIT };
}

/** How many `unit`ths the ratio is, a half rounded away from zero. */
function whole({ n, d }, unit) {
  const size = (2n * (n < 0n ? -n : n) * unit + d) / (2n * d);
  return n < 0n ? -size : size;
}

function product(one, other) {
  return one.reduce((sum, x, k) => sum + x * other[k], 0n);
}

function replaced(matrix, column, wanted) {
  return matrix.map((row, k) => row.map((value, place) => (place === column ? wanted[k] : value)));
}

function determinant([[a, b, c], [d, e, f], [g, h, i]]) {
  return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
}
