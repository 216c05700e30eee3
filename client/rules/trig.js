/*
 * Cosine, sine, arctangent and square root of exact ratios, the same digits in both languages: whole numbers scaled by
 * 2^120, never a float. Twin of server/witnessmark/rules/trig.py.
 */
import { Problem } from "./problems.js";
import { minus, show } from "./ratio.js";

const BITS = 120n;
const ONE = 1n << BITS;
// pi * 2^120, rounded down
const PI = 0x3243F6A8885A308D313198A2E037073n;
const DECIMALS = 10n ** 24n;
const ANGLE_DECIMALS = 10n ** 12n;
const RIGHT_ANGLE = { n: 90n, d: 1n };

/** The cosine of an angle in degrees, any ratio, as a ratio rounded to 24 decimals. */
export function cosine({ n, d }) {
  const turn = ((n % (360n * d)) + 360n * d) % (360n * d);
  const folded = smaller(turn, 360n * d - turn);
  const sharp = smaller(folded, 180n * d - folded);
  const size = sharp <= 45n * d ? cosine_of_sharp(sharp, d) : sine_of_sharp(90n * d - sharp, d);
  const whole = (2n * size * DECIMALS + ONE) >> (BITS + 1n);
  return { n: folded <= 90n * d ? whole : -whole, d: DECIMALS };
}

/** The sine of an angle in degrees, any ratio, as a ratio rounded to 24 decimals. */
export function sine(degrees) {
  return cosine(minus(degrees, RIGHT_ANGLE));
}

/** The direction of the point (x, y) in degrees, 0 <= angle < 360, rounded to 12 decimals; 0 for the origin. */
export function arctangent(y, x) {
  const [across, along] = [y.n * x.d, x.n * y.d];
  if (across === 0n && along === 0n) return { n: 0n, d: 1n };
  const [height, width] = [size_of(across), size_of(along)];
  const steep = height > width;
  const slope = steep ? (width << BITS) / height : (height << BITS) / width;
  let angle = (arctangent_of_slope(slope) * 180n * ONE) / PI;
  if (steep) angle = 90n * ONE - angle;
  if (along < 0n) angle = 180n * ONE - angle;
  if (across < 0n) angle = 360n * ONE - angle;
  const whole = (2n * angle * ANGLE_DECIMALS + ONE) >> (BITS + 1n);
  return { n: whole % (360n * ANGLE_DECIMALS), d: ANGLE_DECIMALS };
}

/** The square root of a ratio, rounded half up to `places` decimals. Throws Problem `number_negative`. */
export function square_root(value, places) {
  if (value.n < 0n) throw new Problem("number_negative", { value: show(value, places) });
  const doubled = floor_of_root((4n * value.n * 100n ** BigInt(places)) / value.d);
  return { n: (doubled + 1n) / 2n, d: 10n ** BigInt(places) };
}

function cosine_of_sharp(n, d) {
  const x = (n * PI) / (180n * d);
  return series(ONE, (x * x) >> BITS, 1n);
}

function sine_of_sharp(n, d) {
  const x = (n * PI) / (180n * d);
  return series(x, (x * x) >> BITS, 2n);
}

/** term - term * square / (factor * (factor + 1)) + ... until a term vanishes. */
function series(first, square, first_factor) {
  let [total, term, factor, sign] = [0n, first, first_factor, 1n];
  while (term) {
    total += sign * term;
    term = ((term * square) >> BITS) / (factor * (factor + 1n));
    factor += 2n;
    sign = -sign;
  }
  return total;
}

/** In radians, for 0 <= slope <= 1; the angle is halved twice first, so that the series is short. */
function arctangent_of_slope(given) {
  let slope = given;
  for (let halving = 0; halving < 2; halving += 1) {
    slope = (slope << BITS) / (ONE + floor_of_root(ONE * ONE + slope * slope));
  }
  const square = (slope * slope) >> BITS;
  let [power, total, odd] = [slope, 0n, 1n];
  while (power) {
    total += odd % 4n === 1n ? power / odd : -(power / odd);
    power = (power * square) >> BITS;
    odd += 2n;
  }
  return 4n * total;
}

/** The largest whole number whose square is at most `value`: Newton's steps downwards from a power of two above it. */
function floor_of_root(value) {
  if (value < 2n) return value;
  let root = 1n << BigInt((value.toString(16).length + 1) * 2);
  for (;;) {
    const next = (root + value / root) / 2n;
    if (next >= root) return root;
    root = next;
  }
}

function size_of(whole) {
  return whole < 0n ? -whole : whole;
}

function smaller(a, b) {
  return a < b ? a : b;
}
