/*
 * What a trend plot shows, as numbers for drawing. Pure: a series of rules/trend_series in, plain numbers out.
 */
import { ratio, show } from "../rules/ratio.js";
import { CONFIDENCE, since_new_part, theil_sen } from "../rules/trend.js";

// How many lengths of the series the line may run on to meet its limit, and how far it runs on when it meets none.
const AHEAD = 1.5;
const RUN_ON = 0.25;
const ROOM = 0.08;

/**
 * {now, before: [[hours, value]] of the part fitted now and of those before it, fitted: hours of new parts, line: null
 * or [{x, value, low, high}] along the line and its band, limits: {min, max} or null each, crossing: null or {x, value},
 * x, y: [from, to] of the axes}.
 */
export function trend_picture({ points, limits, projection }) {
  const series = since_new_part(points);
  const told = (some) => some.map(({ at, value }) => [Number(at), Number(value)]);
  const [now, before] = [told(series), told(points.filter((point) => !series.includes(point)))];
  const fitted = points.filter((point) => point.new_part).map(({ at }) => Number(at));
  const ends = { min: number(limits.min), max: number(limits.max) };
  const reached = reached_at(now, projection);
  const line = projection.slope === null ? null : line_of(series, now, reached);
  const crossing = reached === null ? null : { x: reached, value: Number(projection.limit) };
  return { now, before, fitted, line, limits: ends, crossing, ...axes([...before, ...now], line, ends) };
}

const number = (text) => (text === null ? null : Number(text));

/* Where the line meets its limit, in hours of the airframe; null when it does not, or too far away to draw. */
function reached_at(now, { verdict, hours }) {
  if (verdict !== "reaches") return null;
  const length = now.at(-1)[0] - now[0][0];
  return Number(hours) <= AHEAD * length ? now.at(-1)[0] + Number(hours) : null;
}

function line_of(series, now, reached) {
  const exact = (name) => series.map((point) => ratio(point[name]));
  const told = theil_sen(exact("at"), exact("value"), CONFIDENCE);
  const told_as_number = (name) => Number(show(told[name], 18));
  const [slope, intercept, low, high] = ["slope", "intercept", "low", "high"].map(told_as_number);
  const [from, last] = [now[0][0], now.at(-1)[0]];
  const turn = middle(now.map(([x]) => x));
  const until = Math.max(reached ?? 0, last) + RUN_ON * (last - from);
  const [value, held] = [(x) => intercept + slope * x, intercept + slope * turn];
  const places = new Set([from, turn, last, ...(reached === null ? [] : [reached]), until]);
  return [...places].sort((a, b) => a - b).map((x) => {
    const fan = [held + low * (x - turn), held + high * (x - turn)];
    return { x, value: value(x), low: Math.min(...fan), high: Math.max(...fan) };
  });
}

function middle(numbers) {
  const place = Math.floor(numbers.length / 2);
  return numbers.length % 2 ? numbers[place] : (numbers[place - 1] + numbers[place]) / 2;
}

/* A band that spreads wide may run out of the picture; points, limits and line may not. */
function axes(points, line, { min, max }) {
  const xs = [...points.map(([x]) => x), ...(line ?? []).map(({ x }) => x)];
  const ys = [...points.map(([, y]) => y), ...(line ?? []).map(({ value }) => value), min, max];
  return { x: with_room(xs, 10), y: with_room(ys.filter((y) => y !== null), 0.001) };
}

function with_room(numbers, least) {
  const [from, to] = [Math.min(...numbers), Math.max(...numbers)];
  const room = (to - from) * ROOM || least;
  return [from - room, to + room];
}
