/*
 * Torque through an extension in line with the wrench: applied = setting * (L + A) / L.
 * Twin of server/witnessmark/rules/torque.py, which names the source; held equal by tests/vectors/torque.json.
 */
import { Problem } from "./problems.js";
import { compare, over, plus, ratio, show, times } from "./ratio.js";

/**
 * The exact ratio of torque at the fastener; both lengths in one unit, the torque in the unit of `setting`.
 * Throws Problem `torque_geometry` unless L > 0 and L + A > 0.
 */
export function applied_torque(setting, wrench_length, extension) {
  const [length, effective] = lever(wrench_length, extension);
  return over(times(ratio(setting), effective), length);
}

/** What to set on the wrench for the `wanted` torque, as decimal text with `places` decimals. */
export function wrench_setting(wanted, wrench_length, extension, places) {
  const [length, effective] = lever(wrench_length, extension);
  return show(over(times(ratio(wanted), length), effective), places);
}

/** An applied torque as it is shown and recorded: two decimals. */
export function show_torque(applied) {
  return show(applied, 2);
}

function lever(wrench_length, extension) {
  const length = ratio(wrench_length);
  const effective = plus(length, ratio(extension));
  const nothing = ratio("0");
  if (compare(length, nothing) <= 0 || compare(effective, nothing) <= 0) {
    throw new Problem("torque_geometry", {});
  }
  return [length, effective];
}
