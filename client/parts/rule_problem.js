/*
 * What a rule says no to while a field is filled in, for the elements that ask it early.
 */
import { html, nothing } from "../vendor/lit.js";
import { Problem } from "../rules/problems.js";

/** [what `ask` returns, null], or [null, the Problem it throws]. */
export function asked(ask) {
  try {
    return [ask(), null];
  } catch (problem) {
    if (problem instanceof Problem) return [null, problem];
    throw problem;
  }
}

/** The sentence of `problem`, or nothing for null. */
export function problem_line(problem) {
  return problem ? html`<p class="problem" role="alert">${problem.sentence}</p>` : nothing;
}
