/*
 * From an open card to the body of a release or a disapproval. Pure.
 */
import { plain_lines } from "../parts/reading.js";
import { settled } from "../parts/typed_number.js";
import { statement } from "../rules/sign_off.js";

/** The discrepancies that stand open: [{item, what, where}] in walk order, from the newest fail of each item. */
export function open_discrepancies({ state, entries }) {
  const failed = state.items.filter(({ status }) => status === "failed" || status === "corrected");
  return failed.flatMap(({ item, history }) => {
    const id = history.findLast((entry) => entries.get(entry).body.discrepancy);
    return id ? [{ item, ...entries.get(id).body.discrepancy }] : [];
  });
}

/** The body to sign; `typed` is the airframe's total time as it was typed. */
export function approval_body(view, kind, typed) {
  return {
    covers: view.state.covers,
    statement: statement(kind, view.card),
    times: { airframe: { value: plain_lines(settled(typed)), unit: "h" } },
    discrepancies: kind === "disapproval" ? open_discrepancies(view) : [],
  };
}
