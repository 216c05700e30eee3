/*
 * Whether a value creeps: the line through past readings, how sure it is, and when it reaches a limit.
 *
 * The line is the Theil-Sen one: the median of the slopes between all pairs of points, so that one odd reading does not
 * turn it. Interval: P. K. Sen, Journal of the American Statistical Association 63 (1968), 1379-1389, equation 2.6.
 * Twin of server/witnessmark/rules/trend.py, held equal by tests/vectors/trend.json.
 */
import { Problem } from "./problems.js";
import { compare, minus, over, plus, ratio, show, times } from "./ratio.js";
import { square_root } from "./trig.js";

export const LEAST_POINTS = 5;
export const CONFIDENCE = "0.90";
const SLOPE_PER = ratio("100");
const SD_PLACES = 24;
const ZERO = ratio("0");
/* No text of hours has more digits than a number that can be read again. */
const FARTHEST = ratio("999999999999.9");

/* Two-sided points of the normal distribution, times 10^15. */
const NORMAL = { "0.50": 674489750196082n, "0.80": 1281551565544600n, "0.90": 1644853626951473n,
  "0.93": 1811910672952598n, "0.95": 1959963984540054n, "0.99": 2575829303548901n };

/** `points` by their hours, from the newest one with `new_part` on; those at the same hours stay in their order. */
export function since_new_part(points) {
  const ordered = points.toSorted((a, b) => compare(ratio(a.at), ratio(b.at)));
  const fitted = ordered.findLastIndex((point) => point.new_part);
  return fitted < 0 ? ordered : ordered.slice(fitted);
}

/**
 * The line through points of ratios: {slope, intercept, low, high} as ratios, exact.
 * slope = median of the pairwise slopes, intercept = median(ys) - slope * median(xs), low and high the ends of the
 * slope's interval; `confidence` is a key of NORMAL. Throws Problem `readings_none` when no two xs differ.
 */
export function theil_sen(xs, ys, confidence) {
  const [x, y] = [whole(xs), whole(ys)];
  const slopes = sorted_slopes(x.values, y.values);
  if (!slopes.length) throw new Problem("readings_none", {});
  const exact = (index) => ({ n: slopes[index].rise * x.scale, d: slopes[index].run * y.scale });
  const [first, last] = interval(slopes.length, x.values, y.values, NORMAL[confidence]);
  const slope = middle(slopes.length, exact);
  const intercept = minus(median(ys), times(slope, median(xs)));
  return { slope, intercept, low: exact(first), high: exact(last) };
}

/**
 * The least-squares line: {slope, intercept, slope_sd, intercept_sd, residual_sd} as ratios.
 * slope and intercept are exact, the standard deviations rounded to SD_PLACES decimals. Throws Problem
 * `readings_none` for fewer than three points or when no two xs differ.
 */
export function least_squares(xs, ys) {
  const [x, y] = [whole(xs), whole(ys)];
  const count = BigInt(xs.length);
  const [x_sum, y_sum] = [sum(x.values), sum(y.values)];
  const x_squares = sum(x.values.map((one) => one * one));
  const x_square = count * x_squares - x_sum * x_sum;
  if (count < 3n || x_square === 0n) throw new Problem("readings_none", {});
  const product = count * sum(x.values.map((one, index) => one * y.values[index])) - x_sum * y_sum;
  const y_square = count * sum(y.values.map((one) => one * one)) - y_sum * y_sum;
  const slope = { n: product * x.scale, d: x_square * y.scale };
  const intercept = { n: y_sum * x_square - product * x_sum, d: count * x_square * y.scale };
  const variance = { n: y_square * x_square - product * product,
    d: count * (count - 2n) * x_square * y.scale * y.scale };
  const slope_variance = times(variance, { n: count * x.scale * x.scale, d: x_square });
  return { slope, intercept, slope_sd: square_root(slope_variance, SD_PLACES),
    intercept_sd: square_root(times(variance, { n: x_squares, d: x_square }), SD_PLACES),
    residual_sd: square_root(variance, SD_PLACES) };
}

/**
 * When a followed value reaches a limit: points {at: hours, value, new_part} of texts, limits texts or null.
 * {verdict: too_few_points | past_limit | no_drift | away | reaches, count: different hours since the newest part,
 * slope, slope_low, slope_high: text per 100 h, hours, hours_low, hours_high: text from the last point, limit: text};
 * what cannot be said is null. hours_high is null when the interval allows no drift.
 */
export function projection(points, limit_min, limit_max) {
  const series = since_new_part(points);
  const xs = series.map((point) => ratio(point.at));
  const ys = series.map((point) => ratio(point.value));
  const count = xs.filter((x, index) => index === 0 || compare(x, xs[index - 1]) !== 0).length;
  const found = { verdict: "too_few_points", count, slope: null, slope_low: null, slope_high: null, hours: null,
    hours_low: null, hours_high: null, limit: null };
  if (count < LEAST_POINTS) return found;
  const line = theil_sen(xs, ys, CONFIDENCE);
  Object.assign(found, shown_slopes(line, series));
  const passed = passed_limit(ys.at(-1), limit_min, limit_max);
  if (passed !== null) return { ...found, verdict: "past_limit", limit: passed };
  const way = compare(line.slope, ZERO);
  if (way === 0) return { ...found, verdict: "no_drift" };
  const limit = way > 0 ? limit_max : limit_min;
  if (limit === null) return { ...found, verdict: "away" };
  return { ...found, verdict: "reaches", limit, ...hours_to(line, xs, ys, ratio(limit)) };
}

/**
 * What least squares says where it differs much from `found` = `projection(points, ..)`: hours as text, or "never".
 * null while its hours lie within the interval of `found`, and when nothing was projected.
 */
export function second_opinion(points, found) {
  if (found.verdict !== "reaches") return null;
  const series = since_new_part(points);
  const xs = series.map((point) => ratio(point.at));
  const ys = series.map((point) => ratio(point.value));
  const [line, steady] = [least_squares(xs, ys), theil_sen(xs, ys, CONFIDENCE)];
  if (compare(line.slope, ZERO) !== compare(steady.slope, ZERO)) {
    return found.hours_high === null ? null : "never";
  }
  const hours = until(minus(ratio(found.limit), line.intercept), line.slope, xs.at(-1));
  const early = compare(ratio(hours), ratio(found.hours_low)) < 0;
  const late = found.hours_high !== null && compare(ratio(hours), ratio(found.hours_high)) > 0;
  return early || late ? hours : null;
}

/* With the decimals of the values; with one more while that would show a single digit. Never more than six. */
function shown_slopes(line, series) {
  const decimals = Math.max(...series.map((point) => (point.value.split(".")[1] ?? "").length));
  const [slope, low, high] = [line.slope, line.low, line.high].map((one) => times(one, SLOPE_PER));
  const single = show(slope, decimals).replace(/^[-0.]+/, "").length < 2;
  const shown = (one) => show(one, Math.min(decimals + (single ? 1 : 0), 6));
  return { slope: shown(slope), slope_low: shown(low), slope_high: shown(high) };
}

function passed_limit(value, limit_min, limit_max) {
  if (limit_max !== null && compare(value, ratio(limit_max)) > 0) return limit_max;
  return limit_min !== null && compare(value, ratio(limit_min)) < 0 ? limit_min : null;
}

/* Each slope of the interval turns about the median point; a slope that never gets there gives no hours. */
function hours_to(line, xs, ys, limit) {
  const way = compare(line.slope, ZERO);
  const [steep, flat] = way > 0 ? [line.high, line.low] : [line.low, line.high];
  const [turn, since] = [minus(limit, median(ys)), minus(xs.at(-1), median(xs))];
  const told = (slope) => compare(slope, ZERO) === way ? until(turn, slope, since) : null;
  return { hours: told(line.slope), hours_low: told(steep), hours_high: told(flat) };
}

function until(turn, slope, since) {
  const hours = minus(over(turn, slope), since);
  const near = compare(hours, FARTHEST) < 0 ? hours : FARTHEST;
  return show(compare(near, ZERO) > 0 ? near : ZERO, 1);
}

/* {values: whole numbers, scale}: each ratio is its whole number over the scale. */
function whole(ratios) {
  const scale = ratios.reduce((found, one) => found / common(found, one.d) * one.d, 1n);
  return { values: ratios.map((one) => one.n * (scale / one.d)), scale };
}

function common(a, b) {
  return b === 0n ? a : common(b, a % b);
}

/*
 * [{rise, run > 0}] of all pairs of whole-numbered points that differ in x, by slope.
 * Two different slopes are at least 1/widest² apart, so the whole part of slope * widest² orders them exactly.
 */
function sorted_slopes(xs, ys) {
  const ordered = xs.toSorted((a, b) => (a < b ? -1 : a > b ? 1 : 0));
  const widest = xs.length ? (ordered.at(-1) - ordered[0]) ** 2n : 0n;
  const keyed = [];
  for (let index = 0; index < xs.length; index += 1) {
    for (let other = 0; other < index; other += 1) {
      const [rise, run] = [ys[index] - ys[other], xs[index] - xs[other]];
      if (run) keyed.push({ key: rise * widest / run, ...(run > 0n ? { rise, run } : { rise: -rise, run: -run }) });
    }
  }
  return keyed.sort((a, b) => (a.key < b.key ? -1 : a.key > b.key ? 1 : 0));
}

/* Places of both ends of the interval among `count` sorted slopes, rounded as scipy.stats.theilslopes does. */
function interval(count, xs, ys, point) {
  const variance = tie_weight(BigInt(xs.length)) - ties(xs) - ties(ys);
  if (variance < 0n) return [0, count - 1];
  const square = { n: point * point * variance, d: 18n * 10n ** 30n };
  const near = square_root(square, 0).n;
  const side = near * near * square.d;
  const width = Number(side > square.n ? near - 1n : near);
  const wider = side === square.n ? width : width + 1;
  const last = Math.min(Math.floor((count + 1 + width) / 2), count - 1);
  return [Math.max(Math.floor((count + 1 - wider) / 2) - 1, 0), last];
}

function ties(values) {
  const counts = new Map();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0n) + 1n);
  return sum([...counts.values()].map(tie_weight));
}

function tie_weight(size) {
  return size * (size - 1n) * (2n * size + 5n);
}

function median(ratios) {
  const ordered = ratios.toSorted(compare);
  return middle(ordered.length, (index) => ordered[index]);
}

function middle(count, at) {
  const place = Math.floor(count / 2);
  return count % 2 ? at(place) : over(plus(at(place - 1), at(place)), ratio("2"));
}

function sum(numbers) {
  return numbers.reduce((total, one) => total + one, 0n);
}
