/*
 * A local code as people read it: which sentence is signed when, and the note on one that is not confirmed yet.
 */
import { html } from "../vendor/lit.js";

/** When each sentence of a local code is signed, in the order of KEYS of rules/local_code. */
export const WHEN = {
  countersignature: "Countersigning an item",
  settlement: "Settling a dispute",
  admission: "Taking in a refused entry",
  inspection: "Releasing after a whole inspection",
  inspection_part: "Releasing after a part of an inspection",
  maintenance: "Releasing after maintenance",
  disapproval: "Disapproving after a whole inspection",
  disapproval_part: "Disapproving after a part of an inspection",
};

/** Loud wherever such a code is chosen, read or signed. */
export const confirm_note = () => html`<p class="problem">Confirm with your authority before use.</p>`;

/** Who may sign a statement: "Inspection authorization or IA", or anybody with the role. */
export function certificate_words({ certificates }) {
  return certificates.length ? `Certificate: ${certificates.join(" or ")}` : "Any certificate";
}
