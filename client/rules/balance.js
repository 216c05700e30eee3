/*
 * Single-plane balance with one trial weight: influence = (second - first) / trial weight, correction = -first /
 * influence with the trial weight taken off again. All clocks run the same way round; a mark seen under a strobe moves
 * the other way and is read backwards, 12 minus what is seen. Twin of server/witnessmark/rules/balance.py.
 */
import { Problem } from "./problems.js";
import { compare, minus, over, plus, ratio, show, times } from "./ratio.js";
import { arctangent, cosine, sine, square_root } from "./trig.js";

const NOTHING = ratio("0");
const DEGREES_PER_HOUR = ratio("30");
const HOURS = ratio("12");
const HALF_TURN = ratio("180");

/**
 * The angle of a clock reading in decimal hours ("3.5" is half past three), a ratio from 0 up to below 360.
 * Throws Problem `clock_wrong` for anything but a number from 0 to 12.
 */
export function clock_degrees(typed) {
  const hours = hours_of(typed);
  if (compare(hours, NOTHING) < 0 || compare(hours, HOURS) > 0) throw new Problem("clock_wrong", { value: typed });
  return compare(hours, HOURS) === 0 ? NOTHING : times(hours, DEGREES_PER_HOUR);
}

/**
 * What one gram does, and the weight that takes the first reading away, from six typed texts: amplitudes in ips, mass
 * in grams, clocks in decimal hours. Texts {influence (ips per gram, 6 decimals), influence_clock, correction_mass
 * (grams, 2 decimals), correction_clock (hours, 1 decimal, "12.0" at the top)}. Throws Problem `clock_wrong`,
 * `number_unreadable`, `number_negative`, or `balance_no_effect` when the trial weight is nothing, changed nothing, or so little that
 * the correction has more than 15 digits.
 */
export function influence(first_ips, first_clock, trial_mass, trial_clock, second_ips, second_clock) {
  const [first, mass, second] = [first_ips, trial_mass, second_ips].map(size_of);
  const [first_at, trial_at, second_at] = [first_clock, trial_clock, second_clock].map(clock_degrees);
  const along = minus(times(second, cosine(second_at)), times(first, cosine(first_at)));
  const across = minus(times(second, sine(second_at)), times(first, sine(first_at)));
  const square = plus(times(along, along), times(across, across));
  if (compare(square, NOTHING) === 0 || compare(mass, NOTHING) === 0) throw new Problem("balance_no_effect", {});
  const [effect_at, moved] = [arctangent(across, along), times(first, mass)];
  const correction = show(square_root(over(times(moved, moved), square), 2), 2);
  if (!is_weight(correction)) throw new Problem("balance_no_effect", {});
  return {
    influence: show(square_root(over(square, times(mass, mass)), 6), 6),
    influence_clock: clock_of(minus(effect_at, trial_at)),
    correction_mass: correction,
    correction_clock: clock_of(plus(minus(first_at, effect_at), plus(HALF_TURN, trial_at))),
  };
}

/**
 * What of a weight (grams, decimal hours, texts) can go on the blades, A at 12 and B at 6 o'clock: {blade: "A", "B" or
 * "none", mass: grams along the blades, left: grams across them}, two decimals each; the part across needs another
 * place or another cure. Throws Problem `clock_wrong`, `number_unreadable` or `number_negative`.
 */
export function two_blade(mass, clock) {
  const [size, angle] = [size_of(mass), clock_degrees(clock)];
  const along = show(times(size, cosine(angle)), 2);
  const across = show(times(size, sine(angle)), 2);
  const sign = compare(ratio(along), NOTHING);
  return {
    blade: sign === 0 ? "none" : sign < 0 ? "B" : "A",
    mass: along.replace("-", ""),
    left: across.replace("-", ""),
  };
}

function hours_of(typed) {
  try {
    return ratio(typed);
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    throw new Problem("clock_wrong", { value: [...String(typed)].slice(0, 40).join("") });
  }
}

/* Whether the text is still a number by `ratio`: who draws the correction or splits it reads it again. */
function is_weight(shown) {
  return shown.length <= "999999999999999.99".length;
}

function size_of(typed) {
  const value = ratio(typed);
  if (compare(value, NOTHING) < 0) throw new Problem("number_negative", { value: typed });
  return value;
}

/** An angle between -360 and 900 degrees as it is read from a clock: never "0.0". */
function clock_of(degrees) {
  let hours = ratio(show(over(plus(degrees, times(HALF_TURN, ratio("2"))), DEGREES_PER_HOUR), 1));
  while (compare(hours, HOURS) > 0) hours = minus(hours, HOURS);
  return show(compare(hours, NOTHING) === 0 ? HOURS : hours, 1);
}
