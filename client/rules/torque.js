/*
 * Torque at the fastener: friction drag, an extension on the wrench, and whether the wrench suits.
 * setting = wanted * L / (L + A cos a) and applied = setting * (L + A cos a) / L; drag is added before that.
 * Twin of server/witnessmark/rules/torque.py, which names the sources; held equal by tests/vectors/torque.json.
 */
import { read_number } from "./number.js";
import { Problem } from "./problems.js";
import { compare, minus, over, plus, ratio, show, times } from "./ratio.js";
import { cosine } from "./trig.js";

const NOTHING = ratio("0");

/**
 * The exact ratio of torque at the fastener; both lengths in one unit, the torque in the unit of `setting`.
 * All are typed texts; `angle` in degrees, 0 in line. Throws Problem `torque_geometry` unless L > 0 and
 * L + A cos a > 0.
 */
export function applied_torque(setting, wrench_length, extension, angle = "0") {
  return drag_at_fastener(setting, wrench_length, extension, angle);
}

/** The exact ratio at the fastener of a drag torque that the wrench showed through the extension. */
export function drag_at_fastener(drag, wrench_length, extension, angle = "0") {
  const [length, effective] = lever(wrench_length, extension, angle);
  return over(times(ratio(drag), effective), length);
}

/** What to set on the wrench for the `wanted` torque, as decimal text with `places` decimals. */
export function wrench_setting(wanted, wrench_length, extension, places, angle = "0") {
  const [length, effective] = lever(wrench_length, extension, angle);
  return show(over(times(ratio(wanted), length), effective), places);
}

/**
 * The torque range at the fastener when the friction drag is on top (AC 43.13-1B par. 7-40 d and f).
 * `limits` {min, max} and `drag` are exact ratios in one unit, an open end is null. A castle nut is taken to the lower
 * end, then on to the next slot, never above the upper end. Throws Problem `number_negative` for a drag below 0.
 */
export function window(limits, drag) {
  if (compare(drag, NOTHING) < 0) throw new Problem("number_negative", { value: read_number(show(drag, 2)) });
  const raised = (end) => (end === null ? null : plus(end, drag));
  return { min: raised(limits.min), max: raised(limits.max) };
}

/**
 * What to set on the wrench to stay inside the window `wanted` {min, max} of exact ratios, as decimal texts.
 * The ends are rounded inward, so that no setting shown lies outside: from 1000 to a whole number, from 10 to one
 * decimal, below to two. A window narrower than that is shown to two decimals. Lengths and angle are typed texts, or
 * null without an extension.
 */
export function setting_range(wanted, wrench_length, extension, angle) {
  const [length, effective] = wrench_length ? lever(wrench_length, extension, angle || "0") : [ratio("1"), ratio("1")];
  const ends = [wanted.min, wanted.max].map((end) => (end === null ? null : over(times(end, length), effective)));
  const [low, high] = ends;
  const all_from = (least) => ends.every((end) => end === null || compare(end, ratio(least)) >= 0);
  const places = 2 - ["10", "1000"].filter(all_from).length;
  let texts = [low && inward(low, places, 1), high && inward(high, places, -1)];
  if (low && high && compare(ratio(texts[0]), ratio(texts[1])) > 0) texts = [show(low, 2), show(high, 2)];
  const [min, max] = texts.map((text) => text && read_number(text));
  return { min, max };
}

/**
 * What speaks against a wrench for the `setting`: sorted codes. All typed texts in one unit, graduation or null.
 * Stops: `wrench_below_range` (under 20 % of full scale), `wrench_above_range` (over full scale). Advice:
 * `wrench_ill_suited` (outside 30 to 80 %), `graduation_coarse` (over 10 % of the torque).
 */
export function wrench_advice(setting, full_scale, graduation) {
  const torque = ratio(setting);
  const full = ratio(full_scale);
  const percent = times(torque, ratio("100"));
  const is_coarse = graduation !== null && compare(times(ratio(graduation), ratio("10")), torque) > 0;
  const found = is_coarse ? ["graduation_coarse"] : [];
  if (compare(torque, full) > 0) {
    found.push("wrench_above_range");
  } else if (compare(percent, times(full, ratio("20"))) < 0) {
    found.push("wrench_below_range");
  } else if (compare(percent, times(full, ratio("30"))) < 0 || compare(percent, times(full, ratio("80"))) > 0) {
    found.push("wrench_ill_suited");
  }
  return found.sort();
}

/** An applied torque as it is shown and recorded: two decimals. */
export function show_torque(applied) {
  return show(applied, 2);
}

function lever(wrench_length, extension, angle) {
  const length = ratio(wrench_length);
  const effective = plus(length, times(ratio(extension), cosine(ratio(angle))));
  if (compare(length, NOTHING) <= 0 || compare(effective, NOTHING) <= 0) throw new Problem("torque_geometry", {});
  return [length, effective];
}

/* The nearest text with `places` decimals at or above (direction 1) or at or below (-1) `exact`. */
function inward(exact, places, direction) {
  const text = show(exact, places);
  if (compare(ratio(text), exact) * direction >= 0) return text;
  const smallest = over(ratio("1"), ratio(`1${"0".repeat(places)}`));
  return show((direction > 0 ? plus : minus)(ratio(text), smallest), places);
}
