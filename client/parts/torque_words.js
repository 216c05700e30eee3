/*
 * What the torque screen says: what is awaited, advice on the wrench, the verdict with the tolerance of the wrench.
 */
import { html } from "../vendor/lit.js";

/** Words that must not be torn apart at the end of a line. */
export const whole = (words) => html`<span class="whole">${words}</span>`;

/** The same for each word like "7-40" or "1-1500-204-23-9" in a source. */
export function unbroken(words) {
  return words.split(" ").map((word) => (/\d-\d/.test(word) ? html`${whole(word)} ` : `${word} `));
}

/** Why there is no setting yet, by `waits` of `sequence_of`. */
export const WAITING = {
  drag: "Type the drag first.",
  wrench_length: "Type the wrench length too.",
  drag_at: "Say above whether the drag was read at the fastener or through the extension.",
  extension: "Type the extension through which the drag was read.",
  number: "Correct the number above first.",
  limits: "This card gives no limits: the manufacturer’s instructions say what to set.",
};

/** Sentences of the codes of `wrench_advice`, after "The setting", "The low end" or "The high end". */
export const ADVICE = {
  wrench_below_range: "is below 20 % of full scale, where a wrench is not accurate. Take a smaller wrench.",
  wrench_above_range: "is above the full scale of the wrench. Take a larger wrench.",
  wrench_ill_suited: "is in the range of the wrench, but a wrench is most accurate from 30 to 80 % of full scale.",
  graduation_coarse: "is less than ten marks of the scale. A wrench with a finer scale can be read better.",
};
export const ADVICE_SOURCE = "US Army TM 1-1500-204-23-9 par. 8-3";
export const STOPS = ["wrench_below_range", "wrench_above_range"];
export const ENDS = { all: "The setting", low: "The low end", high: "The high end", seen: "What you saw" };

/** What the tolerance of the wrench says about the torque, by the outcome of the rule `guard`. */
export const OUTCOMES = {
  pass: "Inside by more than the tolerance of the wrench.",
  conditional_pass: "Inside, but nearer to the end than the tolerance of the wrench: the true torque may lie outside.",
  conditional_fail: "Outside by no more than the tolerance of the wrench. It counts as outside.",
  fail: "Outside by more than the tolerance of the wrench.",
  tool_not_good_enough: "Twice the tolerance of the wrench is wider than the window, so this wrench cannot show that " +
    "the torque is inside. Take a better one.",
};

/** "58 to 78 in-lbf", "at most 78 in-lbf", "at least 58 in-lbf", or "" without ends. */
export function range_words({ min, max }, unit) {
  if (min === null && max === null) return "";
  if (min === null) return `at most ${max} ${unit}`.trim();
  if (max === null) return `at least ${min} ${unit}`.trim();
  return `${min === max ? min : `${min} to ${max}`} ${unit}`.trim();
}

/** The verdict on the torque at the fastener; "" while there is none. `told` is of `judge_reading`. */
export function verdict_words({ within, derived }, wanted, unit) {
  if (within === null) return "";
  const range = range_words(wanted, unit);
  if (within) return `Inside ${range} at the fastener`;
  const narrow = ["conditional_pass", "tool_not_good_enough"].includes(derived.outcome);
  if (narrow) return "Nearer to its limit than this card lets pass. The item cannot pass.";
  return `Outside: at the fastener it must be ${range}. The item cannot pass.`;
}
