/*
 * What a tool can tell: the tolerance of the tool as a guard band inside the limits.
 * Twin of server/witnessmark/rules/guard.py, which names the sources; held equal by tests/vectors/guard.json.
 */
import { compare, minus, over, plus, ratio, times } from "./ratio.js";

const ACCEPTED = { guarded: ["pass"], four_outcome: ["pass", "conditional_pass"] };

/** The tolerance of the tool at the exact ratio `value`, as a ratio; `percent` of the reading as typed text. */
export function uncertainty(value, percent) {
  const size = compare(value, ratio("0")) < 0 ? times(value, ratio("-1")) : value;
  return over(times(size, ratio(percent)), ratio("100"));
}

/**
 * The limits shrunk by `u` on both sides: {min, max}; all exact ratios, an open end is null.
 * Null when nothing is left between them (2u > high - low): the tool is not good enough.
 */
export function acceptance(low, high, u) {
  if (is_empty(low, high, u)) return null;
  return { min: moved(low, plus, u), max: moved(high, minus, u) };
}

/**
 * What the tool shows about `value`; exact ratios in one unit, an open end is null: "fail" (beyond a limit by more than
 * u), "tool_not_good_enough" (nothing left between the guard bands), "conditional_fail" (beyond a limit by at most u),
 * "conditional_pass" (inside, nearer than u), "pass".
 */
export function outcome(value, low, high, u) {
  if (!between(value, moved(low, minus, u), moved(high, plus, u))) return "fail";
  if (is_empty(low, high, u)) return "tool_not_good_enough";
  if (!between(value, low, high)) return "conditional_fail";
  return between(value, moved(low, plus, u), moved(high, minus, u)) ? "pass" : "conditional_pass";
}

/** Whether the card's `decision` rule lets a value pass: simple (or null) by `within` alone, else by `outcome`. */
export function may_pass(decision, within, outcome) {
  return ACCEPTED[decision]?.includes(outcome) ?? within === true;
}

function is_empty(low, high, u) {
  return low !== null && high !== null && compare(plus(u, u), minus(high, low)) > 0;
}

function between(value, low, high) {
  return (low === null || compare(value, low) >= 0) && (high === null || compare(value, high) <= 0);
}

function moved(end, way, u) {
  return end === null ? null : way(end, u);
}
