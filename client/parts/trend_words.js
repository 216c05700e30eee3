/*
 * What a trend says, in plain sentences. Pure: a series of rules/trend_series and its field in, sentences out.
 */
import { add_numbers, compare_numbers, show_number } from "../rules/number.js";
import { LEAST_POINTS, second_opinion, since_new_part } from "../rules/trend.js";

const LENGTHS = ["in", "mm"];
const FAR_HOURS = "10000";

/** The sentences of one series, most important first. */
export function trend_sentences(series, field) {
  const { projection } = series;
  if (projection.verdict === "too_few_points") {
    return [`Too few points for a trend: ${projection.count} of ${LEAST_POINTS}.`, ...new_part_words(series)];
  }
  return [...verdict_words(series, field), ...new_part_words(series)];
}

function verdict_words(series, field) {
  const { projection, unit } = series;
  const drift = drift_words(projection, unit, field);
  const newest = series.points.at(-1).value;
  switch (projection.verdict) {
    case "past_limit":
      return [`The newest value, ${newest} ${unit}, is past the limit of ${projection.limit} ${unit}.`, drift];
    case "no_drift": return ["No drift over these points."];
    case "away": return [drift, away_words(series)];
    default: return [drift, reach_words(series), ...opinion_words(series)];
  }
}

/* "Gets 0.0012 in thinner per 100 h (between 0.0009 and 0.0016)." */
function drift_words({ slope, slope_low, slope_high }, unit, field) {
  if (/^-?[0.]+$/.test(slope)) return `Changes by less than ${slope.replace(/0$/, "1")} ${unit} per 100 h.`;
  const [near, far] = slope.startsWith("-") ? [slope_high, slope_low] : [slope_low, slope_high];
  const apart = is_down(near) !== is_down(far) && !/^-?[0.]+$/.test(near);
  const said = apart ? (one) => amount(one, unit, field) : size;
  const range = near === far ? "" : ` (between ${said(near)} and ${said(far)})`;
  return `Gets ${amount(slope, unit, field)} per 100 h${range}.`;
}

const is_down = (slope) => slope.startsWith("-");
const size = (slope) => slope.replace("-", "");
const amount = (slope, unit, field) => `${size(slope)} ${unit} ${way(is_down(slope), field)}`;

function way(down, { wear, unit }) {
  if (wear === "thickness") return down ? "thinner" : "thicker";
  if (wear === "depth") return down ? "shallower" : "deeper";
  if (LENGTHS.includes(unit)) return down ? "smaller" : "larger";
  return down ? "lower" : "higher";
}

function away_words({ limits, projection, unit }) {
  const limit = limits.min ?? limits.max;
  if (limit === null) return "The card gives no limit, so nothing is projected.";
  const [low, high] = [projection.slope_low, projection.slope_high];
  const unsure = is_down(low) !== is_down(high) ? " So far the points do not agree on a direction." : "";
  return `That is away from the limit of ${limit} ${unit}.${unsure}`;
}

/* "Reaches the limit of 0.050 in after about 210 h (150 to 320 h), when the airframe has about 1445 h." */
function reach_words({ projection, points, unit }) {
  const { hours, hours_low, hours_high, limit } = projection;
  if (hours === "0.0") return `The line is at the limit of ${limit} ${unit} now.`;
  if (far(hours_low)) return `Reaches the limit of ${limit} ${unit} not before ${FAR_HOURS} h from now.`;
  const late = hours_high === null || far(hours_high) ? "h or much later" : `to ${whole(hours_high)} h`;
  const range = hours_low === hours_high ? "" : ` (${whole(hours_low)} ${late})`;
  const total = whole(add_numbers(points.at(-1).at, hours));
  const then = far(hours) ? "" : `, when the airframe has about ${total} h`;
  return `Reaches the limit of ${limit} ${unit} after ${about(hours)}${range}${then}.`;
}

const far = (hours) => compare_numbers(hours, FAR_HOURS) >= 0;
const whole = (hours) => show_number(hours, 0);
const about = (hours) => (far(hours) ? `more than ${FAR_HOURS} h` : `about ${whole(hours)} h`);

function opinion_words({ points, projection }) {
  const hours = second_opinion(points, projection);
  if (hours === null) return [];
  const instead = hours === "never" ? "that it does not get there" : about(hours);
  return [`A least-squares line, which one odd reading can turn, says ${instead}. Look at the single readings.`];
}

function new_part_words({ points }) {
  const [first] = since_new_part(points);
  return first?.new_part ? [`A new part was fitted at ${first.card}; readings before it do not count.`] : [];
}
