/*
 * What a thumb types into a number field, before it becomes the record's decimal text.
 */
import { point_for_comma, read_number } from "../rules/number.js";
import { Problem } from "../rules/problems.js";

/** What is wrong with the typed text, as a Problem, or null. Empty text is not wrong here. */
export function number_problem(typed) {
  if (!typed) return null;
  try {
    read_number(point_for_comma(typed));
    return null;
  } catch (problem) {
    if (problem instanceof Problem) return problem;
    throw problem;
  }
}

/** The typed text with a decimal point where it is clear, otherwise as it was typed. */
export function settled(typed) {
  return number_problem(typed) ? typed : point_for_comma(typed);
}

/** The text with its sign turned: the decimal keypad of some phones has no minus. */
export const turn_sign = (typed) => (typed.startsWith("-") ? typed.slice(1) : `-${typed}`);
